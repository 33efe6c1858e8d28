"""The archive: everything on record in one documented file, and back again.

Formulas and own materials are TOML files in folders one can read, the rest is CSV, papers are what they were.
Numbers, keys and times are kept, so that an archive of what was brought in holds the same as the archive it came from.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from functools import partial
from itertools import islice
from pathlib import Path
from typing import Any, BinaryIO

from django.core.management.color import no_style
from django.db import DataError, IntegrityError, connection, transaction

from levigate.errors import LevigateError, RecordError
from levigate.records import papers, triggers
from levigate.records.archive_page import page
from levigate.records.models import Attachment, MaterialText, Preference
from levigate.records.progress import Progress, Steps
from levigate.records.shelf import check_material
from levigate.records.tables import LEFT_OUT, TABLES, Table
from levigate.records.zips import CHUNK, LIMITS, Limits, Packing, Unpacking, packing, unpacking

#: Raised when an archive is written in another way than before.
FORMAT = 1
KIND = "archive"
#: The longest text of a formula or a material that is taken in. [bytes]
LARGEST_TEXT = 2_000_000
#: The longest cell of a table. [letters]
LARGEST_CELL = 5_000_000
#: Rows that are written at once.
_AT_ONCE = 500


@dataclass(slots=True)
class Counted:
    """What was written to an archive, or brought in."""

    #: Rows of each table.
    rows: dict[str, int] = field(default_factory=dict)
    papers: int = 0
    #: Papers on record whose files were not to be found.
    missing: tuple[str, ...] = ()


def is_empty() -> bool:
    """Return whether nothing is on record; preferences and keys do not count."""
    return not any(table.model._default_manager.exists() for table in TABLES if table.model is not Preference)


def export(path: Path, progress: Progress | None = None) -> Counted:
    """Write everything on record to an archive.

    Parameters
    ----------
    path : Path
        The file; one that is there is replaced when the new one is whole.
    progress : callable, optional
        Told how many rows and papers are done, and of how many; what it raises stops the work, and no file is left.

    Raises
    ------
    RecordError
        When it cannot be written.
    """
    counted = Counted()
    with packing(path, KIND, FORMAT) as writing:
        writing.add("README.txt", page().encode())
        with _one_moment():
            sheets = list(Attachment.objects.order_by("sha256").values_list("sha256", flat=True))
            steps = Steps(progress, sum(table.model._default_manager.count() for table in TABLES) + len(sheets))
            steps.on(0)
            for table in TABLES:
                counted.rows[table.name] = _write_table(writing, table, steps)
        # Papers never change: they are read while others write.
        for sha256 in sheets:
            if papers.path_of(sha256).is_file():
                writing.add_file(paper_name(sha256), papers.path_of(sha256), packed=False)
                counted.papers += 1
            else:
                counted.missing += (sha256,)
            steps.on()
    return counted


def paper_name(sha256: str) -> str:
    """Return what the paper with a hash is called in an archive or a backup."""
    return f"attachments/{sha256[:2]}/{sha256}"


@contextmanager
def _one_moment() -> Iterator[None]:
    """Let all that is read be of one moment, though others write."""
    outermost = not connection.in_atomic_block
    with ExitStack() as stack:
        if outermost and connection.vendor == "sqlite":
            stack.enter_context(_reading_only())
        stack.enter_context(transaction.atomic())
        if outermost and connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        yield


@contextmanager
def _reading_only() -> Iterator[None]:
    """Begin transactions without the write lock meanwhile, so that others go on weighing."""
    connection.ensure_connection()  # which sets the mode
    before = connection.transaction_mode  # type: ignore[attr-defined]
    connection.transaction_mode = "DEFERRED"  # type: ignore[attr-defined]
    try:
        yield
    finally:
        connection.transaction_mode = before  # type: ignore[attr-defined]


def _write_table(writing: Packing, table: Table, steps: Steps) -> int:
    out = io.StringIO(newline="")
    sheet = csv.writer(out, lineterminator="\n")
    sheet.writerow(table.columns)
    count = 0
    for row in table.rows().iterator(chunk_size=2000):
        sheet.writerow(table.cells(row))
        if table.file is not None:
            writing.add(table.file(row), row.text.encode())
        count += 1
        steps.on()
    writing.add(f"tables/{table.name}.csv", out.getvalue().encode())
    return count


def bring_in(source: Path | BinaryIO, progress: Progress | None = None, limits: Limits = LIMITS) -> Counted:
    """Bring an archive in, all of it or nothing; there must be nothing on record yet.

    Parameters
    ----------
    source : Path or binary file
        The archive.
    progress : callable, optional
        Told how much is done, and of how much; what it raises stops the work, and nothing stays.
    limits : Limits
        What the archive may hold at most.

    Raises
    ------
    RecordError
        When there are records already, or the archive is not whole, not ours, or too large.
    """
    csv.field_size_limit(LARGEST_CELL)
    with unpacking(source, limits) as reading:
        _check_kind(reading)
        reading.check(_first_half(progress))
        with papers_or_none() as came, transaction.atomic():
            if not is_empty():
                raise RecordError("There are records already; an archive is brought into an empty workshop only.")
            Preference.objects.all().delete()
            counted = _read_all(reading, came, Steps(progress, 2 * reading.size, reading.size))
    return counted


def _check_kind(reading: Unpacking) -> None:
    if reading.kind != KIND:
        raise RecordError("The file is a backup, not an archive: `levigate restore` takes it.")
    if reading.format != FORMAT:
        raise RecordError(
            f"The archive is of format {reading.format}, written by version {reading.program}; this program reads "
            f"format {FORMAT}."
        )


def _first_half(progress: Progress | None) -> Progress | None:
    return None if progress is None else lambda done, total: progress(done, 2 * total)


@contextmanager
def papers_or_none() -> Iterator[list[Path]]:
    """Take papers away again that came with an archive which could not be brought in."""
    came: list[Path] = []
    try:
        yield came
    except BaseException:
        _delete(came)
        raise


def _read_all(reading: Unpacking, came: list[Path], steps: Steps) -> Counted:
    counted = Counted()
    used = {"README.txt"}
    for table in TABLES:
        counted.rows[table.name] = _read_table(reading, table, used, steps)
    _check_texts(steps)
    for sha256, size in Attachment.objects.order_by("sha256").values_list("sha256", "size"):
        name = paper_name(sha256)
        if name not in reading.names:
            counted.missing += (sha256,)
            continue
        used.add(name)
        put_paper(reading, sha256, size, came)
        counted.papers += 1
        steps.on(size)
    if odd := sorted(set(reading.names) - used):
        raise RecordError(f"{odd[0]} is in the archive, but no table speaks of it.")
    _finish()
    steps.finish()
    return counted


def _read_table(reading: Unpacking, table: Table, used: set[str], steps: Steps) -> int:
    name = f"tables/{table.name}.csv"
    used.add(name)

    def text(file: str) -> str:
        if file in used:
            raise RecordError(f"{name}: {file} is named twice.")
        used.add(file)
        steps.on(reading.size_of(file))
        return reading.read(file, LARGEST_TEXT).decode("utf-8")

    quote = connection.ops.quote_name
    columns = ", ".join(quote(str(column.column)) for column in table.fields)
    places = ", ".join(["%s"] * len(table.fields))
    statement = f"INSERT INTO {quote(table.model._meta.db_table)} ({columns}) VALUES ({places})"
    count = 0
    with reading.open(name) as raw, io.TextIOWrapper(raw, encoding="utf-8", newline="") as lines:
        rows = _rows(name, table, lines, text)
        with connection.cursor() as cursor:
            while some := list(islice(rows, _AT_ONCE)):
                with _sayable(name):
                    cursor.executemany(statement, some)
                count += len(some)
                steps.on(0)
    steps.on(reading.size_of(name))
    return count


def _rows(name: str, table: Table, lines: io.TextIOWrapper, text: Callable[[str], str]) -> Iterator[list[Any]]:
    sheet = csv.reader(lines, strict=True)
    try:
        head = next(sheet, [])
        if head != table.columns:
            raise RecordError(f"{name} has not the columns {', '.join(table.columns)}.")
        for cells in sheet:
            if len(cells) != len(head):
                raise RecordError(f"{name}, line {sheet.line_num}: {len(cells)} cells instead of {len(head)}.")
            try:
                yield table.values(cells, text)
            except RecordError as trouble:
                raise RecordError(f"{name}, line {sheet.line_num}: {trouble}") from trouble
    except (csv.Error, UnicodeDecodeError) as trouble:
        raise RecordError(f"{name} cannot be read as a table, near line {sheet.line_num}.") from trouble


@contextmanager
def _sayable(name: str) -> Iterator[None]:
    try:
        yield
    except (IntegrityError, DataError, OverflowError, ValueError) as trouble:
        raise RecordError(f"{name} holds what the records cannot: {str(trouble).splitlines()[0]}.") from trouble


def _check_texts(steps: Steps) -> None:
    """Refuse a text of a material that would keep the whole shelf from being read."""
    latest: dict[str, str] = {}
    for key, text in MaterialText.objects.order_by("material", "number").values_list("material__key", "text"):
        latest[key] = text
    for key, text in latest.items():
        steps.on(0)
        try:
            check_material(key, text)
        except LevigateError as trouble:
            raise RecordError(f'The own material "{key}" cannot be read: {trouble}') from trouble


def put_paper(reading: Unpacking, sha256: str, size: int, came: list[Path]) -> None:
    """Put a paper out of an archive or a backup where it belongs; what was not there before is added to ``came``."""
    name = paper_name(sha256)
    if reading.sha256(name) != sha256 or reading.size_of(name) != size:
        raise RecordError(f"{name} is not what the table of attachments says it is.")
    with reading.open(name) as file:
        _, _, path = papers.put(iter(lambda: file.read(CHUNK), b""), size)
    if path is not None:
        came.append(path)


def _finish() -> None:
    """Let what refers to what be checked now, and let the next number of each table follow the highest."""
    with _sayable("The archive"):
        connection.check_constraints()
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), [table.model for table in TABLES]):
            cursor.execute(statement)


def wipe() -> None:
    """Delete everything on record: the one way past what is kept, taken only when a person asks for it."""
    with transaction.atomic():
        sheets = list(Attachment.objects.values_list("sha256", flat=True))
        with connection.cursor() as cursor:
            for statement in triggers.undoing(connection.vendor):
                cursor.execute(statement)
            for model in [*LEFT_OUT, *(table.model for table in reversed(TABLES))]:
                cursor.execute(f"DELETE FROM {connection.ops.quote_name(model._meta.db_table)}")
            if connection.vendor == "postgresql":
                # A table with checks still to come cannot be given its triggers back.
                cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            for statement in triggers.statements(connection.vendor):
                cursor.execute(statement)
        transaction.on_commit(partial(_forget, sheets))


def _forget(sheets: list[str]) -> None:
    """Delete papers that nothing on record names any more."""
    still = set(Attachment.objects.filter(sha256__in=sheets).values_list("sha256", flat=True))
    _delete([papers.path_of(sha256) for sha256 in sheets if sha256 not in still])


def _delete(paths: list[Path]) -> None:
    for path in paths:
        path.unlink(missing_ok=True)
