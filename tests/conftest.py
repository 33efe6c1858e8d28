"""Settings of all tests: how long Hypothesis looks, and that nobody's own shelf is read."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile("here", max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("ci", settings.get_profile("here"), derandomize=True, database=None, print_blob=True)
settings.load_profile("ci" if os.environ.get("CI") else "here")


@pytest.fixture(autouse=True)
def no_own_shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Point the own shelf at a file that is not there, so that the shelf of whoever runs the tests plays no part."""
    monkeypatch.setenv("LEVIGATE_SHELF", str(tmp_path / "no-own-shelf.toml"))
