"""A formula: phases of lines in percent by mass that sum to 100, exactly.

Percentages are decimals, so that what a person wrote is what is kept: 0.1 stays 0.1. A formula is never changed;
every change gives a new one.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from typing import Any

HUNDRED = Decimal(100)
#: How long a product is watched where its file does not say how long it should keep: a year. [s]
USUAL_LIFE = 31557600.0
#: Coldest that a product is taken to be kept where its file does not say: a refrigerator, a porch in winter. [K]
USUAL_COLD = 278.15
#: What may be measured on the product, with its dimension; it outranks what is computed.
MEASURABLE = {
    "density": "density",
    "viscosity": "viscosity",
    "yield_stress": "pressure",
    "consistency": "pressure",
    "flow_index": "share",
    "pH": "share",
}


@dataclass(frozen=True, slots=True)
class Sieve:
    """A sieve that a powder went through."""

    #: As it was named: 63 um, 200 mesh.
    says: str
    #: Width of its openings. [m]
    opening: float
    #: Share of the powder that passes; None where it is not said. [1]
    passing: float | None = None


@dataclass(frozen=True, slots=True)
class Grain:
    """Size of a powder: median and coarse tenth by mass, sieves that it went through, or how it was ground. [m]"""

    d50: float | None = None
    d90: float | None = None
    sieves: tuple[Sieve, ...] = ()
    ground: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """One material in one phase.

    ``percent`` of the q.s. line is what is left to 100; it is negative when the others take more than 100.
    """

    material: str
    percent: Decimal
    qs: bool = False
    grain: Grain | None = None
    note: str = ""
    role: str = ""
    #: Line of the file it stands on.
    number: int | None = None


@dataclass(frozen=True, slots=True)
class Phase:
    """Lines weighed and treated together."""

    letter: str
    how: str = ""
    lines: tuple[Line, ...] = ()
    #: Highest temperature named in ``how``. [K]
    temperature: float | None = None


@dataclass(frozen=True, slots=True)
class Makes:
    """How much is made: a mass or a volume, or so many containers of a mass or a volume each."""

    text: str
    #: One container, or the whole where there is but one. [kg]
    mass: float | None = None
    #: One container, or the whole where there is but one. [m³]
    volume: float | None = None
    #: How many containers; None where the whole is meant.
    containers: int | None = None


@dataclass(frozen=True, slots=True)
class Container:
    """What it is filled into."""

    name: str = "container"
    #: Volume to the very brim. [m³]
    brimful: float | None = None
    #: Share of the brimful volume to be left empty. [1]
    headspace: float = 0.05
    #: Height of the filling. [m]
    height: float | None = None
    #: Kind of the container, where a generic one was named: jar, pump bottle, tube ...
    kind: str = ""
    #: Share of the content that stays inside, from and to. [1]
    residue: tuple[float, float] | None = None
    #: Thickness that it can give out, from and to. [Pa s]
    pours: tuple[float | None, float | None] = (None, None)
    #: How warm it is filled; None where the file does not say. [K]
    fill_at: float | None = None


@dataclass(frozen=True)
class Formula:
    """A formula as it stands in its file."""

    name: str
    use: str
    phases: tuple[Phase, ...]
    makes: Makes | None = None
    container: Container | None = None
    note: str = ""
    #: Own materials and premixes, as tables of the file.
    materials: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    #: Values measured on this product, as tables of the file; they outrank what is computed.
    measured: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    file: str = ""
    #: How long it should keep; None where the file does not say. [s]
    keeps: float | None = None
    #: How much a person uses in a day; None where the file does not say. [kg]
    daily: float | None = None
    #: Diameter of the drops of an emulsion, half their volume in smaller ones; None where the file does not say. [m]
    droplets: float | None = None
    #: Coldest that it is kept; None where the file does not say. [K]
    coldest: float | None = None

    def lines(self) -> Iterator[tuple[Phase, Line]]:
        """Yield every line with its phase, in order."""
        for phase in self.phases:
            for line in phase.lines:
                yield phase, line

    @cached_property
    def percents(self) -> tuple[Decimal, ...]:
        """Percent of every line, in order."""
        return tuple(line.percent for _, line in self.lines())

    @cached_property
    def total(self) -> Decimal:
        """Sum of all lines, the q.s. line counted with what it takes."""
        return sum(self.percents, Decimal(0))

    @cached_property
    def qs(self) -> int | None:
        """Position of the q.s. line, None where there is none."""
        return next((i for i, (_, line) in enumerate(self.lines()) if line.qs), None)

    @cached_property
    def adds_up(self) -> bool:
        """Whether the lines sum to exactly 100 and none is below nought."""
        return self.total == HUNDRED and min(self.percents, default=HUNDRED) >= 0

    def with_percents(self, percents: tuple[Decimal, ...]) -> Formula:
        """Return the same formula with other percentages, in the order of `lines`."""
        values = iter(percents)
        phases = tuple(
            replace(phase, lines=tuple(replace(line, percent=next(values)) for line in phase.lines))
            for phase in self.phases
        )
        return replace(self, phases=phases)


def plain(percent: Decimal | Fraction) -> str:
    """Return a percent as a person writes it: no exponent, no idle noughts."""
    if isinstance(percent, Fraction):
        percent = Decimal(percent.numerator) / Decimal(percent.denominator)
    text = f"{percent.normalize():f}"
    return "0" if text in ("-0", "") else text
