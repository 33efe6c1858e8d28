"""What an emulsifier goes by, Griffin's HLB or its own usual dose, and which liquid it puts outermost."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import Literal

import tomli

from levigate.shelf.record import Material

_FILE = Path(__file__).parent / "emulsifying.toml"
#: ``hlb``: uncharged, with an HLB on record, and none of the others; it alone is judged by HLB.
System = Literal["hlb", "ionic", "lamellar", "polymer", "unrated"]
#: What records say of an emulsifier that decides the type.
OIL_IN_WATER = ("oil-in-water emulsifier", "solubiliser", "makes oils rinse off")
WATER_IN_OIL = ("water-in-oil emulsifier", "water-in-silicone emulsifier")
HELPER = "co-emulsifier"
_KINDS = ("emulsifier", "solubiliser")


@lru_cache(maxsize=1)
def _listed() -> dict[str, System]:
    table = tomli.loads(_FILE.read_text(encoding="utf-8"))
    listed: dict[str, System] = {}
    for system in ("lamellar", "polymer"):
        listed |= dict.fromkeys(table[system]["materials"], system)
    return listed


def emulsifies(record: Material) -> bool:
    """Return whether a material is an emulsifier; one with a required HLB counts as oil, and a wash as surfactant."""
    if record.required_hlb or record.kind == "surfactant":
        return False
    return record.kind in _KINDS or any(word in record.does for word in (*OIL_IN_WATER[:1], *WATER_IN_OIL))


def system_of(key: str, record: Material) -> System:
    """Return what an emulsifier goes by."""
    if key in _listed():
        return _listed()[key]
    if record.charge != "none":
        return "ionic"
    return "hlb" if record.hlb else "unrated"


def sides_of(record: Material) -> tuple[float, float]:
    """Return whether an emulsifier puts water outermost, and whether oil; one that only helps does neither. [1]"""
    does = record.does
    oil_in_water = any(word in does for word in OIL_IN_WATER)
    water_in_oil = any(word in does for word in WATER_IN_OIL) and HELPER not in does
    return float(oil_in_water and not water_in_oil), float(water_in_oil and not oil_in_water)
