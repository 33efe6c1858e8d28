"""A value that a figure rests on, and on whose word."""

from __future__ import annotations

from dataclasses import dataclass

#: Grade of what is stated in the file or holds by definition, and of what is not known.
EXACT, UNKNOWN = "exact", "unknown"
#: 97.5 % point of the normal distribution: a 95 % half-width is so many standard deviations.
NORMAL_95 = 1.959963984540054


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
