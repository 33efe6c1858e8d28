"""Bring own materials from a CSV file onto one's own shelf, a TOML file."""

from __future__ import annotations

import csv
import difflib
import io
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, NamedTuple

import tomlkit
from pydantic import ValidationError

from levigate.errors import FileError, ShelfError, came
from levigate.shelf.catalogue import Shelf, catalogue, explain, plain, same_as
from levigate.shelf.record import PROPERTIES
from levigate.shelf.saving import save

#: Columns that a CSV file may have; those of `PROPERTIES` hold a value with its unit.
COLUMNS = (
    "name",
    "inci",
    "names",
    "about",
    "kind",
    "form",
    "affinity",
    "charge",
    "cas",
    "price",
    "made_of",
    *PROPERTIES,
)


class Row(NamedTuple):
    """One material of a CSV file: the row it ends on, its key, and its table as a shelf file would have it."""

    number: int
    key: str
    table: dict[str, Any]


def import_csv(file: Path, shelf: Path, *, replace: bool = False) -> list[str]:
    """Return the keys brought from a CSV file onto a shelf file; all rows or none.

    Parameters
    ----------
    file : Path
        CSV, UTF-8, comma or semicolon; the first row names columns of `COLUMNS`, of which ``name`` is needed.
        ``names`` are parted by ``|``; ``made_of`` reads ``aqua 40 | sodium lactate 60``; a range reads ``1 to 5 %``.
        A name that the catalogue knows adds to that material, under the key it has there.
    shelf : Path
        The shelf file; made if it is missing.
    replace : bool
        Whether a material that is there already is replaced; else it is an error.

    Raises
    ------
    FileError
        When a file cannot be read or written.
    ShelfError
        When a column or a value is not right; says the row, which is the line of the file it ends on.
    """
    try:
        raw = file.read_bytes()
    except OSError as trouble:
        raise FileError(f"{file} cannot be read: {(trouble.strerror or str(trouble)).lower()}.") from trouble
    rows = read_csv(raw, str(file))
    document = _opened(shelf)
    present = {_key(str(name), item): str(name) for name, item in document.items()}
    for row in rows:
        if row.key in present and not replace:
            raise ShelfError(
                f'{file}, row {row.number}: "{row.key}" is on the shelf already; '
                "--replace lets the file take its place."
            )
        document[present.get(row.key, row.key)] = tomlkit.item(row.table)
    try:
        shelf.parent.mkdir(parents=True, exist_ok=True)
    except OSError as trouble:
        raise FileError(f"{shelf} cannot be written: {(trouble.strerror or str(trouble)).lower()}.") from trouble
    save(shelf, tomlkit.dumps(document))
    return [row.key for row in rows]


def read_csv(raw: bytes, file: str, progress: Callable[[int, int], None] | None = None) -> list[Row]:
    """Return the materials of a CSV file, each checked; `import_csv` says what may stand in it.

    Parameters
    ----------
    raw : bytes
        The file.
    file : str
        What it is called in a sentence about it.
    progress : callable, optional
        Told how many rows are checked, and of how many; what it raises stops the work.

    Raises
    ------
    FileError
        When it is not UTF-8 text.
    ShelfError
        When a column or a value is not right.
    """
    found: dict[str, Row] = {}
    rows = _rows(file, raw)
    for done, (number, cells) in enumerate(rows):
        if progress is not None:
            progress(done, len(rows))
        if not plain(cells["name"]):
            raise ShelfError(f"{file}, row {number}: a material needs a name.")
        table = _table(file, number, cells)
        key = _key(cells["name"], table)
        if key in found:
            raise ShelfError(f'{file}, row {number}: "{key}" stands twice in the file.')
        _check(file, number, key, table)
        found[key] = Row(number, key, table)
    if not found:
        raise ShelfError(f"{file} has a first row with columns, but no material below it.")
    return list(found.values())


def _key(name: str, table: Any) -> str:
    """Return the key of a material: that of the catalogue where it is the same, else the name in lower case."""
    known = same_as(catalogue(), name, table if isinstance(table, Mapping) else {})
    return known or " ".join(name.lower().split())


def _opened(shelf: Path) -> tomlkit.TOMLDocument:
    try:
        return tomlkit.parse(shelf.read_bytes().decode("utf-8-sig"))
    except FileNotFoundError:
        return tomlkit.document()
    except (OSError, ValueError, RecursionError) as trouble:
        said = (trouble.strerror or "").lower() if isinstance(trouble, OSError) else str(trouble)
        raise FileError(f"{shelf} cannot be read as a shelf: {said.rstrip('.')}.") from trouble


def _rows(file: str, raw: bytes) -> list[tuple[int, dict[str, str]]]:
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as trouble:
        raise FileError(f"{file} is not UTF-8 text; save it as CSV UTF-8.") from trouble
    first = text.split("\n", 1)[0]
    reader = csv.reader(
        io.StringIO(text, newline=""), delimiter=";" if first.count(";") > first.count(",") else ",", strict=True
    )
    try:
        columns = _columns(file, next(reader, []))
        rows = [(reader.line_num, [cell.strip() for cell in row]) for row in reader]
    except csv.Error as trouble:
        raise ShelfError(f"{file}, row {max(1, reader.line_num)}: this is not CSV: {trouble}.") from trouble
    for number, row in rows:
        if len(row) > len(columns):
            raise ShelfError(
                f"{file}, row {number}: {len(row)} cells stand under {len(columns)} columns; write the decimal point, "
                "not a comma, and put text that holds a comma in quotes."
            )
    return [
        (number, dict(zip(columns, [*row, *[""] * (len(columns) - len(row))], strict=True)))
        for number, row in rows
        if any(row)
    ]


def _columns(file: str, first: list[str]) -> list[str]:
    columns = [name.strip().lower() for name in first]
    if "name" not in columns:
        raise ShelfError(
            f'{file} has no column "name"; its first row must name the columns: {", ".join(COLUMNS[:8])} ...'
        )
    for position, column in enumerate(columns):
        if column not in COLUMNS:
            close = difflib.get_close_matches(column, COLUMNS, n=1)
            hint = f'did you mean "{close[0]}"?' if close else f"known are {', '.join(COLUMNS)}."
            raise ShelfError(f"{file}: the column {came(column)} is not known; {hint}")
        if column in columns[:position]:
            raise ShelfError(f'{file}: the column "{column}" stands twice.')
    return columns


def _table(file: str, number: int, row: dict[str, str]) -> dict[str, Any]:
    table: dict[str, Any] = {}
    for column, value in row.items():
        if not value or column == "name":
            continue
        if column == "names":
            table[column] = [name.strip() for name in value.split("|") if name.strip()]
        elif column == "made_of":
            parts = [_part(file, number, part) for part in value.split("|")]
            table[column] = dict(parts)
            if len(table[column]) < len(parts):
                raise ShelfError(f"{file}, row {number}: a part stands twice in {came(value)}.")
        elif column in PROPERTIES and " to " in value:
            table[column] = _range(value)
        else:
            table[column] = value
    return table


def _range(text: str) -> dict[str, str]:
    """Return the ends of ``1 to 5 %``; a unit that is written once holds for both."""
    low, high = (end.strip() for end in text.split(" to ", 1))
    unit = high.lstrip("0123456789.-").strip()
    bare = not low.lstrip("0123456789.-").strip()
    return {"low": f"{low} {unit}" if bare and unit else low, "high": high}


def _part(file: str, number: int, part: str) -> tuple[str, float]:
    name, _, percent = part.strip().rstrip("%").strip().rpartition(" ")
    try:
        return name.strip(), float(percent)
    except ValueError:
        raise ShelfError(
            f'{file}, row {number}: {came(part.strip())} is no part; write "aqua 40 | sodium lactate 60".'
        ) from None


def _check(file: str, number: int, key: str, table: dict[str, Any]) -> None:
    try:
        _ = Shelf({key: table}, origin="own-word", below=catalogue())[key]
    except ShelfError as trouble:
        said = f"{explain(trouble.__cause__)}." if isinstance(trouble.__cause__, ValidationError) else trouble.__cause__
        raise ShelfError(f'{file}, row {number}, "{key}": {said}') from trouble
