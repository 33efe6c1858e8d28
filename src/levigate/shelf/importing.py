"""Bring own materials from a CSV file onto one's own shelf, a TOML file."""

from __future__ import annotations

import csv
import difflib
from pathlib import Path
from typing import Any

import tomlkit
from pydantic import ValidationError

from levigate.errors import FileError, ShelfError, UnitError
from levigate.shelf.catalogue import catalogue, explain, fill_in, load, with_defaults
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
_RANGES = ("usual", "ph", "melting_point", "density")


def import_csv(file: Path, shelf: Path, *, replace: bool = False) -> list[str]:
    """Return the keys brought from a CSV file onto a shelf file; all rows or none.

    Parameters
    ----------
    file : Path
        CSV, UTF-8, comma or semicolon; the first row names columns of `COLUMNS`, of which ``name`` is needed.
        ``names`` are parted by ``|``; ``made_of`` reads ``aqua 40 | sodium lactate 60``; a range reads ``1 to 5 %``.
    shelf : Path
        The shelf file; made if it is missing.
    replace : bool
        Whether a material that is there already is replaced; else it is an error.

    Raises
    ------
    FileError
        When a file cannot be read or written.
    ShelfError
        When a column or a value is not right; says the row.
    """
    rows = _rows(file)
    document = tomlkit.parse(shelf.read_text(encoding="utf-8")) if shelf.exists() else tomlkit.document()
    present = load(shelf) if shelf.exists() else {}
    brought: list[str] = []
    for number, row in rows:
        key = " ".join(row["name"].lower().split())
        if not key:
            raise ShelfError(f"{file}, row {number}: a material needs a name.")
        if key in brought:
            raise ShelfError(f'{file}, row {number}: "{key}" stands twice in the file.')
        if key in present and not replace:
            raise ShelfError(
                f'{file}, row {number}: "{key}" is on the shelf already; --replace lets the file take its place.'
            )
        table = _table(file, number, row)
        _check(file, number, key, table)
        document[key] = tomlkit.item(table)
        brought.append(key)
    shelf.parent.mkdir(parents=True, exist_ok=True)
    save(shelf, tomlkit.dumps(document))
    return brought


def _rows(file: Path) -> list[tuple[int, dict[str, str]]]:
    try:
        text = file.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as trouble:
        raise FileError(f"{file} is not UTF-8 text; save it as CSV UTF-8.") from trouble
    except OSError as trouble:
        raise FileError(f"{file} cannot be read: {(trouble.strerror or str(trouble)).lower()}.") from trouble
    first = text.split("\n", 1)[0]
    reader = csv.DictReader(
        text.splitlines(), delimiter=";" if first.count(";") > first.count(",") else ",", strict=True
    )
    columns = [name.strip().lower() for name in reader.fieldnames or []]
    if "name" not in columns:
        raise ShelfError(
            f'{file} has no column "name"; its first row must name the columns: {", ".join(COLUMNS[:8])} ...'
        )
    for column in columns:
        if column not in COLUMNS:
            close = difflib.get_close_matches(column, COLUMNS, n=1)
            hint = f'did you mean "{close[0]}"?' if close else f"known are {', '.join(COLUMNS)}."
            raise ShelfError(f'{file}: the column "{column}" is not known; {hint}')
    try:
        return [
            (
                reader.line_num,
                {c: (value or "").strip() for c, value in zip(columns, row.values(), strict=False)},
            )
            for row in reader
            if any((value or "").strip() for value in row.values() if isinstance(value, str))
        ]
    except csv.Error as trouble:
        raise ShelfError(f"{file}, row {reader.line_num}: this is not CSV: {trouble}.") from trouble


def _table(file: Path, number: int, row: dict[str, str]) -> dict[str, Any]:
    table: dict[str, Any] = {}
    for column, value in row.items():
        if not value or column == "name":
            continue
        if column == "names":
            table[column] = [name.strip() for name in value.split("|")]
        elif column == "made_of":
            table[column] = dict(_part(file, number, part) for part in value.split("|"))
        elif column in _RANGES and " to " in value:
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
            f'{file}, row {number}: "{part.strip()}" is no part; write "aqua 40 | sodium lactate 60".'
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
