"""Backup and restore: safe while the workshop is open, and the old records are kept aside.

Of the embedded file a backup is a copy made by SQLite while others go on writing, with the papers beside it. Of records
in PostgreSQL it is the archive; `restore` takes either.
"""

from __future__ import annotations

import os
import sqlite3
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.db import connection, transaction
from django.db.migrations.loader import MigrationLoader
from django.utils import timezone

from levigate.errors import RecordError
from levigate.records import archive, papers, triggers
from levigate.records.archive import Counted
from levigate.records.progress import Progress, Steps
from levigate.records.tables import TABLES
from levigate.records.zips import CHUNK, Unpacking, packing, unpacking

FORMAT = 1
KIND = "backup"
_COPY = "workshop.sqlite3"
#: Pages of the file that are copied between one word on how far it is and the next.
_PAGES = 1000


@dataclass(frozen=True, slots=True)
class Restored:
    """What was restored, and where the records lie now that were there before."""

    kind: str
    counted: Counted
    aside: Path | None


def backup(path: Path, progress: Progress | None = None) -> tuple[str, Counted]:
    """Write a backup; return its kind and what is in it.

    Parameters
    ----------
    path : Path
        The file; one that is there is replaced when the new one is whole.
    progress : callable, optional
        Told how many bytes are copied and packed, and of how many; what it raises stops the work, and no file is left.

    Raises
    ------
    RecordError
        When there is nothing to back up, or it cannot be written.
    """
    if connection.vendor != "sqlite":
        return archive.KIND, archive.export(path, progress)
    database = _database()
    if not database.is_file():
        raise RecordError(f"There are no records in {database.parent}; --data names another folder.")
    with _beside(path.resolve().parent) as copy:
        with _sayable(database):
            _copy(database, copy, progress)
        counted, sheets, size = Counted(_rows(copy)), _papers(copy), copy.stat().st_size
        steps = Steps(progress, 2 * size + sum(sheets.values()), size)
        with packing(path, KIND, FORMAT) as writing:
            writing.add_file(_COPY, copy, steps=steps)
            for sha256 in sheets:
                if papers.path_of(sha256).is_file():
                    writing.add_file(archive.paper_name(sha256), papers.path_of(sha256), packed=False, steps=steps)
                    counted.papers += 1
                else:
                    counted.missing += (sha256,)
    return KIND, counted


def _database() -> Path:
    return Path(connection.settings_dict["NAME"])


@contextmanager
def _beside(folder: Path) -> Iterator[Path]:
    """Give a new file in a folder, and take it away at the end where it was not moved."""
    try:
        handle, name = tempfile.mkstemp(dir=folder, prefix=".levigate-", suffix=".sqlite3")
    except OSError as trouble:
        raise RecordError(f"{folder} cannot be written to: {(trouble.strerror or str(trouble)).lower()}.") from trouble
    os.close(handle)
    try:
        yield Path(name)
    finally:
        for ending in ("", "-wal", "-shm", "-journal"):
            Path(name + ending).unlink(missing_ok=True)


@contextmanager
def _sayable(path: Path) -> Iterator[None]:
    try:
        yield
    except sqlite3.Error as trouble:
        raise RecordError(f"{path} cannot be read as records: {trouble}.") from trouble


def _copy(database: Path, copy: Path, progress: Progress | None) -> None:
    """Copy the records as they are at one moment, though others write; what is no longer used is left out."""
    with (
        closing(sqlite3.connect(f"{database.resolve().as_uri()}?mode=rw", uri=True, timeout=20)) as source,
        closing(sqlite3.connect(copy, isolation_level=None)) as target,
    ):
        (paper_bytes,) = source.execute("SELECT coalesce(sum(size), 0) FROM records_attachment").fetchone()
        (page_size,) = source.execute("PRAGMA page_size").fetchone()

        def tell(_: int, remaining: int, pages: int) -> None:
            if progress is not None:
                progress((pages - remaining) * page_size, 2 * pages * page_size + paper_bytes)

        # Reading has begun, so that what others write meanwhile does not make the copy begin anew.
        source.execute("BEGIN")
        source.execute("SELECT 1 FROM records_attachment").fetchone()
        source.backup(target, pages=_PAGES, progress=tell)
        target.execute("PRAGMA journal_mode=DELETE")
        target.execute("VACUUM")


def _rows(copy: Path) -> dict[str, int]:
    """Return how many rows each table has; tables that an older program did not have are left out."""
    with closing(sqlite3.connect(copy)) as records:
        there = {name for (name,) in records.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        return {
            table.name: records.execute(f"SELECT count(*) FROM {table.model._meta.db_table}").fetchone()[0]
            for table in TABLES
            if table.model._meta.db_table in there
        }


def _papers(copy: Path) -> dict[str, int]:
    """Return the papers, each with its size. [bytes]"""
    with closing(sqlite3.connect(copy)) as records, _sayable(copy):
        return dict(records.execute("SELECT sha256, size FROM records_attachment ORDER BY sha256").fetchall())


def restore(
    source: Path, *, replace: bool = False, prepare: Callable[[], None], progress: Progress | None = None
) -> Restored:
    """Bring back what a backup or an archive holds.

    Parameters
    ----------
    source : Path
        The backup or archive.
    replace : bool
        Whether to put aside the records that are there.
    prepare : callable
        Brings the database to this version of the program.
    progress : callable, optional
        Told how much is done, and of how much.

    Raises
    ------
    RecordError
        When there are records and they are not to be replaced, the workshop is open, or the file is not whole.
    """
    with unpacking(source) as reading:
        kind = reading.kind
        if kind == KIND and connection.vendor == "sqlite":
            restored = _restore_copy(reading, replace, progress)
            prepare()
            return restored
    if kind == KIND:
        raise RecordError(
            "The file is a backup of the embedded records, and these records are in PostgreSQL: restore it without "
            "LEVIGATE_DATABASE_URL, then `levigate records export`, and import that."
        )
    prepare()
    return _restore_archive(source, replace, progress)


def _restore_archive(source: Path, replace: bool, progress: Progress | None) -> Restored:
    aside = None
    if not archive.is_empty():
        _only_if(replace)
        data = Path(settings.DATA)
        data.mkdir(parents=True, exist_ok=True)
        aside = _free(lambda stamp: data / f"before-restore-{stamp}.zip")
        archive.export(aside)
    with transaction.atomic():
        archive.wipe()
        counted = archive.bring_in(source, progress)
    return Restored(archive.KIND, counted, aside)


def _only_if(replace: bool) -> None:
    if not replace:
        raise RecordError("There are records already; --replace puts them aside and restores these.")


def _free(name: Callable[[str], Path]) -> Path:
    stamp = f"{timezone.now():%Y%m%d-%H%M%S}"
    return next(path for n in range(1000) if not (path := name(f"{stamp}-{n}" if n else stamp)).exists())


def _restore_copy(reading: Unpacking, replace: bool, progress: Progress | None) -> Restored:
    if reading.format != FORMAT:
        raise RecordError(f"The backup is of format {reading.format}, written by version {reading.program}.")
    database = _database()
    if database.exists():
        _only_if(replace)
        _refuse_if_open(database)
    reading.check(progress)
    with _beside(database.parent) as copy, archive.papers_or_none() as came:
        with reading.open(_COPY) as packed, copy.open("wb") as file:
            while chunk := packed.read(CHUNK):
                file.write(chunk)
            file.flush()
            os.fsync(file.fileno())
        with _sayable(Path(_COPY)):
            _check_copy(copy)
        counted = Counted(_rows(copy))
        for sha256 in _papers(copy):
            if archive.paper_name(sha256) in reading.names:
                archive.put_paper(reading, sha256, reading.size_of(archive.paper_name(sha256)), came)
                counted.papers += 1
            else:
                counted.missing += (sha256,)
        aside = _put_aside(database)
        copy.chmod(0o600)
        copy.replace(database)
    return Restored(KIND, counted, aside)


def _refuse_if_open(database: Path) -> None:
    connection.close()
    try:
        with closing(sqlite3.connect(database, timeout=1, isolation_level=None)) as records:
            # Leaving the write-ahead log is granted only to one who is alone; the log is then in the file.
            records.execute("PRAGMA journal_mode=DELETE").fetchone()
    except sqlite3.OperationalError as trouble:
        if "locked" in str(trouble):
            raise RecordError("The workshop is open; stop it, then restore.") from trouble
    except sqlite3.DatabaseError:
        return  # damaged: the very reason to restore


def _check_copy(copy: Path) -> None:
    """Refuse records that are damaged or newer than this program; let no trigger or view of a stranger in."""
    with closing(sqlite3.connect(copy, isolation_level=None)) as records:
        if records.execute("PRAGMA integrity_check").fetchall() != [("ok",)]:
            raise RecordError("The records in the backup are damaged.")
        if records.execute("PRAGMA foreign_key_check").fetchone() is not None:
            raise RecordError("The records in the backup name records that are not there.")
        applied = {name for (name,) in records.execute("SELECT name FROM django_migrations WHERE app = 'records'")}
        known = {name for app, name in MigrationLoader(None).disk_migrations if app == "records"}
        if applied - known or not applied:
            raise RecordError(
                "The records in the backup were written by a newer version of the program; upgrade first."
            )
        found = records.execute("SELECT type, name FROM sqlite_master WHERE type IN ('trigger', 'view', 'table')")
        names = [(kind, name) for kind, name in found.fetchall()]
        for kind, name in names:
            if kind != "table":
                records.execute(f"DROP {kind} {connection.ops.quote_name(name)}")
        there = [name for kind, name in names if kind == "table"]
        for statement in triggers.statements("sqlite", there):
            records.execute(statement)


def _put_aside(database: Path) -> Path | None:
    """Keep the records aside, with what SQLite keeps beside them; the papers stay, each under its hash."""
    if not database.exists():
        return None
    aside = _free(lambda stamp: database.parent / f"before-restore-{stamp}")
    aside.mkdir(mode=0o700)
    for ending in ("-wal", "-shm"):  # only there where the records are damaged
        beside = database.with_name(database.name + ending)
        if beside.exists():
            beside.replace(aside / beside.name)
    # A second name for the old file: the new one then takes the first name in one step.
    os.link(database, aside / database.name)
    return aside
