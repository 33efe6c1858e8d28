"""Bring own materials from a CSV file onto one's own shelf, a TOML file."""

from __future__ import annotations

import csv
import difflib
import io
from pathlib import Path
from typing import Any

import tomlkit
from pydantic import ValidationError

from levigate.errors import FileError, ShelfError, UnitError, came
from levigate.shelf.catalogue import catalogue, explain, fill_in, plain, with_defaults
from levigate.shelf.record import PROPERTIES, Material
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
    rows = _rows(file)
    document = _opened(shelf)
    present = {_key(str(name)): str(name) for name in document}
    brought: list[str] = []
    for number, row in rows:
        key = _key(row["name"])
        if not plain(key):
            raise ShelfError(f"{file}, row {number}: a material needs a name.")
        if key in brought:
            raise ShelfError(f'{file}, row {number}: "{key}" stands twice in the file.')
        if key in present and not replace:
            raise ShelfError(
                f'{file}, row {number}: "{key}" is on the shelf already; --replace lets the file take its place.'
            )
        table = _table(file, number, row)
        _check(file, number, key, table)
        document[present.get(key, key)] = tomlkit.item(table)
        brought.append(key)
    if not brought:
        raise ShelfError(f"{file} has a first row with columns, but no material below it.")
    try:
        shelf.parent.mkdir(parents=True, exist_ok=True)
    except OSError as trouble:
        raise FileError(f"{shelf} cannot be written: {(trouble.strerror or str(trouble)).lower()}.") from trouble
    save(shelf, tomlkit.dumps(document))
    return brought


def _key(name: str) -> str:
    """Return the key of a material: that of the catalogue where it knows the name, else the name in lower case."""
    return catalogue().key(name) or " ".join(name.lower().split())


def _opened(shelf: Path) -> tomlkit.TOMLDocument:
    try:
        return tomlkit.parse(shelf.read_bytes().decode("utf-8-sig"))
    except FileNotFoundError:
        return tomlkit.document()
    except (OSError, ValueError, RecursionError) as trouble:
        said = getattr(trouble, "strerror", None) or str(trouble)
        raise FileError(f"{shelf} cannot be read as a shelf: {said.rstrip('.')}.") from trouble


def _rows(file: Path) -> list[tuple[int, dict[str, str]]]:
    try:
        text = file.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as trouble:
        raise FileError(f"{file} is not UTF-8 text; save it as CSV UTF-8.") from trouble
    except OSError as trouble:
        raise FileError(f"{file} cannot be read: {(trouble.strerror or str(trouble)).lower()}.") from trouble
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


def _columns(file: Path, first: list[str]) -> list[str]:
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


def _table(file: Path, number: int, row: dict[str, str]) -> dict[str, Any]:
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


def _part(file: Path, number: int, part: str) -> tuple[str, float]:
    name, _, percent = part.strip().rstrip("%").strip().rpartition(" ")
    try:
        return name.strip(), float(percent)
    except ValueError:
        raise ShelfError(
            f'{file}, row {number}: {came(part.strip())} is no part; write "aqua 40 | sodium lactate 60".'
        ) from None


def _check(file: Path, number: int, key: str, table: dict[str, Any]) -> None:
    full = fill_in(table if key in catalogue() else with_defaults(key, table), "own-word")
    if key in catalogue():
        full = {**catalogue().table(catalogue().key(key) or key), **full}
    try:
        Material.model_validate(full).check_units()
    except ValidationError as trouble:
        raise ShelfError(f'{file}, row {number}, "{key}": {explain(trouble)}.') from trouble
    except UnitError as trouble:
        raise ShelfError(f'{file}, row {number}, "{key}": {trouble}') from trouble
