"""Backup and restore of records in PostgreSQL; those of the embedded file are in tests/cli/test_saving.py."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.db import connection

from levigate.errors import RecordError
from levigate.records import archive, backup, zips
from levigate.records.models import Lot, Weighing
from tests.records.workshop import a_lot, fill

pytestmark = pytest.mark.skipif(connection.vendor != "postgresql", reason="of PostgreSQL")


def nothing() -> None:
    """Stand for what brings the database to this version."""


def test_a_backup_is_an_archive_and_the_old_records_are_kept_aside(kept_db: None, tmp_path: Path) -> None:
    fill()
    assert backup.backup(tmp_path / "b.zip")[0] == "archive"
    archive.wipe()
    a_lot("of today")
    with pytest.raises(RecordError, match="--replace puts them aside"):
        backup.restore(tmp_path / "b.zip", prepare=nothing)
    restored = backup.restore(tmp_path / "b.zip", replace=True, prepare=nothing)
    assert Weighing.objects.count() == 3 and not Lot.objects.filter(number="of today").exists()
    assert restored.aside is not None
    backup.restore(restored.aside, replace=True, prepare=nothing)
    assert Lot.objects.get().number == "of today"


def test_a_restore_that_fails_leaves_what_was(kept_db: None, tmp_path: Path) -> None:
    a_lot("of today")
    with zips.packing(tmp_path / "b.zip", "archive", 1) as file:
        file.add("README.txt", b"")
    with pytest.raises(RecordError, match="is missing from the file"):
        backup.restore(tmp_path / "b.zip", replace=True, prepare=nothing)
    assert Lot.objects.get().number == "of today"


def test_a_copy_of_the_embedded_records_is_refused(kept_db: None, tmp_path: Path) -> None:
    with zips.packing(tmp_path / "b.zip", "backup", 1) as file:
        file.add("workshop.sqlite3", b"")
    with pytest.raises(RecordError, match="these records are in PostgreSQL"):
        backup.restore(tmp_path / "b.zip", prepare=nothing)
