"""Options that several commands share, and how their words are read."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

import typer

from levigate import units
from levigate.errors import ShelfError
from levigate.shelf.catalogue import Shelf, catalogue, load, with_defaults

Json = Annotated[bool, typer.Option("--json", help="Print JSON for a program instead of text for a person.")]
ShelfFile = Annotated[
    Path | None,
    typer.Option("--shelf", help="Your own shelf (TOML); else LEVIGATE_SHELF, else shelf.toml in your data folder."),
]
ScaleStep = Annotated[str, typer.Option("--scale", help="One step of your scale, in grams.")]


def own_shelf_path(given: Path | None) -> Path:
    """Return where one's own shelf lies."""
    if given is not None:
        return given
    if named := os.environ.get("LEVIGATE_SHELF"):
        return Path(named)
    from platformdirs import user_data_path

    return user_data_path("levigate") / "shelf.toml"


def open_shelf(given: Path | None) -> Shelf:
    """Return one's own shelf over the catalogue; the catalogue alone where there is no own shelf.

    Raises
    ------
    ShelfError
        When the shelf file that was named is missing, or is not TOML.
    """
    path = own_shelf_path(given)
    built_in = catalogue()
    if not path.exists():
        if given is not None:
            raise ShelfError(f"{path} does not exist; `levigate shelf import` makes one from a CSV file.")
        return built_in
    try:
        tables = load(path)
    except (ValueError, OSError) as trouble:
        raise ShelfError(f"{path} cannot be read as a shelf: {trouble}.") from trouble
    if not all(isinstance(table, dict) for table in tables.values()):
        raise ShelfError(f'{path} is no shelf: each material is a table, as ["my oil"].')
    raw = {key: table if built_in.key(key) is not None else with_defaults(key, table) for key, table in tables.items()}
    return Shelf(raw, origin="own-word", below=built_in)


def share(text: str) -> float:
    """Return a share written as ``3%`` or ``0.03``. [1]"""
    return units.si(text, "share")
