"""The generic containers that are known, read from shelf/containers.toml."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import tomli

from levigate import units
from levigate.science.constants import Floats
from levigate.science.containers import (
    section_bowl,
    section_frustum,
    section_punt,
    section_rounded_box,
    section_tube,
)

_FILE = Path(__file__).parent / "containers.toml"
#: Shape of a section -> the measures of it, in the order in which its function takes them.
_SHAPES: dict[str, tuple[Callable[..., Floats], tuple[str, ...]]] = {
    "frustum": (section_frustum, ("bottom_diameter", "top_diameter")),
    "bowl": (section_bowl, ("diameter", "height")),
    "punt": (section_punt, ("diameter", "height")),
    "rounded box": (section_rounded_box, ("length", "width", "corner_radius")),
    "tube": (section_tube, ("diameter",)),
}


@dataclass(frozen=True, slots=True)
class Span:
    """A range of a share that is usual for a kind of container."""

    low: float
    high: float
    source: str
    grade: str
    place: str
    note: str


@dataclass(frozen=True, slots=True)
class Container:
    """One container: its volumes with half the width of their 95 % intervals, and its room from the bottom up; SI."""

    name: str
    kind: str
    about: str
    nominal: float
    brimful: float
    brimful_half: float
    dips_in: float
    dips_in_half: float
    source: str
    grade: str
    residue: Span
    headspace: Span
    #: Heights and three areas of each section; None for one whose room is stated, not worked out.
    sections: tuple[Floats, Floats] | None
    #: Sections, counted from the bottom, in which a raised bottom stands.
    raised: tuple[int, ...]
    #: Thickness at its opening that it can give out: from, to; None for no end. [Pa s]
    pours: tuple[float | None, float | None]


@lru_cache(maxsize=1)
def containers() -> dict[str, Container]:
    """Return all containers by name."""
    raw = tomli.loads(_FILE.read_text(encoding="utf-8"))
    return {name: _container(name, entry, raw["kinds"][entry["kind"]]) for name, entry in raw["containers"].items()}


def _container(name: str, entry: Mapping[str, Any], kind: Mapping[str, Any]) -> Container:
    brimful, dips_in = entry["brimful"], entry.get("dips_in", {"value": "0 mL", "spread": "0 mL"})
    return Container(
        name=name,
        kind=entry["kind"],
        about=entry.get("about", kind["about"]),
        nominal=units.si(entry["nominal"]["value"], "volume"),
        brimful=units.si(brimful["value"], "volume"),
        brimful_half=units.si(brimful["spread"], "volume"),
        dips_in=units.si(dips_in["value"], "volume"),
        dips_in_half=units.si(dips_in["spread"], "volume"),
        source=brimful["source"],
        grade=brimful["grade"],
        residue=_span(kind["residue"]),
        headspace=_span(kind["headspace"]),
        sections=_sections(entry["sections"]["parts"]) if "sections" in entry else None,
        raised=tuple(i for i, part in enumerate(entry.get("sections", {}).get("parts", ())) if part["shape"] == "punt"),
        pours=_pours(kind["viscosity"]),
    )


def _pours(entry: Mapping[str, Any]) -> tuple[float | None, float | None]:
    low, high = (units.si(entry[end], "viscosity") if end in entry else None for end in ("low", "high"))
    return low, high


def _span(entry: Mapping[str, Any]) -> Span:
    low, high = (units.si(entry[end], "share") for end in ("low", "high"))
    return Span(low, high, entry["source"], entry["grade"], entry.get("place", ""), entry.get("note", ""))


def _sections(parts: list[Mapping[str, Any]]) -> tuple[Floats, Floats]:
    areas = []
    for part in parts:
        function, measures = _SHAPES[part["shape"]]
        areas.append(function(*(units.si(part[measure], "length") for measure in measures)))
    return np.array([units.si(part["height"], "length") for part in parts]), np.stack(areas)
