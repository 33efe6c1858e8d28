"""The grain of a powder as people state it: by a sieve, or by how it was ground."""

from __future__ import annotations

import difflib
import math
import re
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import tomli

from levigate import units
from levigate.errors import UnitError, came
from levigate.science.grain import sieve_opening
from levigate.shelf.catalogue import plain

_FILE = Path(__file__).parent / "grinds.toml"
_NUMBER = r"(\d{1,4}(?:\.\d+)?)"
_MESH = re.compile(rf"(?:(?:no\.?|mesh|#)\s*{_NUMBER}|{_NUMBER}\s*[- ]?mesh)$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Grind:
    """A way of grinding, or a word for a fineness, with the grain that it usually gives."""

    name: str
    says: str
    #: Median by mass, from and to. [m]
    d50: tuple[float, float]
    #: Geometric standard deviation, from and to. [1]
    sigma: tuple[float, float]
    source: str
    grade: str
    place: str = ""
    names: tuple[str, ...] = ()


@lru_cache(maxsize=1)
def grinds() -> dict[str, Grind]:
    """Return all ways of grinding by name."""
    found = {}
    for name, entry in tomli.loads(_FILE.read_text(encoding="utf-8")).items():
        ends = units.si(entry["d50"]["low"], "length"), units.si(entry["d50"]["high"], "length")
        more = {"d50": ends, "sigma": tuple(entry["sigma"]), "names": tuple(entry["names"])}
        found[name] = Grind(name, **{**entry, **more})
    return found


def grind_of(text: str) -> Grind:
    """Return the way of grinding that goes by this name.

    Raises
    ------
    UnitError
        When there is none.
    """
    known = {plain(word): grind for grind in grinds().values() for word in (grind.name, *grind.names)}
    if found := known.get(plain(text)):
        return found
    close = difflib.get_close_matches(plain(text), known, n=1)
    mend = f'did you mean "{known[close[0]].name}"?' if close else f"known are {', '.join(grinds())}"
    raise UnitError(f"{came(text)} is no way of grinding that is known here; {mend}")


@lru_cache(maxsize=1024)
def read_sieve(text: str) -> float:
    """Return the opening of a sieve, from ``"63 um"``, ``"200 mesh"`` or ``"No. 200"`` of ASTM E11. [m]

    Raises
    ------
    UnitError
        When it is no length and the standard has no sieve of that number.
    """
    mesh = _MESH.match(text.strip())
    if mesh is None:
        return units.si(text, "length")
    number = float(mesh[1] or mesh[2])
    opening = float(sieve_opening(number))
    if math.isnan(opening):
        near = " or ".join(f"{one:g}" for one in _nearest(number))
        raise UnitError(
            f"The standard has no sieve {came(text)}; the nearest are {near}, or name it by its opening, as 63 um."
        )
    return opening


def _nearest(number: float) -> list[float]:
    """Return the sieve numbers of ASTM E11 next to a number."""
    known = [one / 2 for one in range(7, 1271) if not math.isnan(float(sieve_opening(one / 2)))]
    return sorted(sorted(known, key=lambda one: abs(math.log(one / max(number, 0.1))))[:2])
