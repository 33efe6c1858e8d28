"""The demo workshop: invented formulas of care for people who swim in cold sea water, and what is on record there."""

from __future__ import annotations

from pathlib import Path

#: In an installed package the examples lie beside this file; in a checkout, at its top.
_PLACES = (Path(__file__).parent / "examples", Path(__file__).parents[3] / "examples")


def examples() -> dict[str, Path]:
    """Return the files of the demo formulas by the name of each file."""
    folder = next(place for place in _PLACES if place.is_dir())
    return {path.stem: path for path in sorted(folder.glob("*.toml"))}


def lots_file() -> Path:
    """Return the file of the lots that are on record in the demo workshop."""
    return Path(__file__).parent / "workshop.toml"
