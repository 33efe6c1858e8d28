"""A value that a figure rests on, and on whose word."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from levigate import units
from levigate.errors import UnitError
from levigate.shelf.record import Span, Value

#: Grade of what is stated in the file or holds by definition, and of what is not known.
EXACT, UNKNOWN = "exact", "unknown"
#: 97.5 % point of the normal distribution: a 95 % half-width is so many standard deviations.
NORMAL_95 = 1.959963984540054
#: Temperature for which the product is foreseen: a warm room. [K]
ROOM = 298.15


@lru_cache(maxsize=4096)
def si_of(value: Value, dimension: str) -> float:
    """Return a value of the shelf in SI; the same text is not read twice."""
    return value.si(dimension)


@lru_cache(maxsize=1024)
def temperature_of(text: str | None) -> float:
    """Return the temperature of a reading; a warm room where none is stated. [K]"""
    return ROOM if text is None else units.si(text, "temperature")


@lru_cache(maxsize=4096)
def ends_of(span: Span | Value, dimension: str) -> tuple[float, float]:
    """Return both ends of a range of the shelf in SI; the same text is not read twice."""
    if isinstance(span, Span):
        return span.si(dimension)
    if span.low is None or span.high is None:
        raise UnitError('both "low" and "high" are needed here.')
    return units.si(span.low, dimension), units.si(span.high, dimension)


@dataclass(frozen=True, slots=True)
class Input:
    """One value that a figure rests on, and on whose word."""

    name: str
    #: Position of the line it belongs to; None where it belongs to the whole formula.
    line: int | None
    #: SI.
    value: float
    unit: str
    grade: str
    source: str
    place: str = ""
    #: Half-width of the 95 % interval, SI; None where the value is exact.
    spread: float | None = None
