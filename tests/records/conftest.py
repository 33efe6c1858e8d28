"""A data folder for each test, and records that are gone after it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import LazySettings

from levigate.records import archive


@pytest.fixture(autouse=True)
def own_folder(settings: LazySettings, tmp_path: Path) -> None:
    """Let papers lie in a folder of this test."""
    settings.DATA = tmp_path / "data"


@pytest.fixture
def kept_db(transactional_db: None) -> Iterator[None]:
    """Give a database in which transactions are real; what is kept in it can be taken away by a wipe only."""
    yield
    archive.wipe()
