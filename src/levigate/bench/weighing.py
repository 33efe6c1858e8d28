"""Grams a scale can show: rounded so that the total is exact and the rounding falls where it matters least."""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from fractions import Fraction

from levigate import units
from levigate.errors import BatchError
from levigate.science.metrology import smallest_mass, weighing_error
from levigate.words import marked, tr


@dataclass(frozen=True, slots=True)
class Scale:
    """A scale: its resolution and, where it is stated, its repeatability. [g]"""

    resolution: Decimal
    repeatability: Decimal | None = None

    @property
    def places(self) -> int:
        """Decimals of a gram that it shows."""
        exponent = self.resolution.normalize().as_tuple().exponent
        return max(0, -exponent) if isinstance(exponent, int) else 0


def read_scale(text: str, repeatability: str | None = None) -> Scale:
    """Return a scale from its resolution as written, ``"0.1"`` (grams) or ``"0.01 g"``.

    Raises
    ------
    BatchError
        When it is not a mass between a microgram and a kilogram.
    """
    resolution = _grams(text, marked('"{text}" is no resolution of a scale; write for example "0.1 g".'))
    if repeatability is None:
        return Scale(resolution)
    no_repeatability = marked('"{text}" is no repeatability of a scale; write for example "0.1 g".')
    return Scale(resolution, _grams(repeatability, no_repeatability))


def _grams(text: str, else_says: str) -> Decimal:
    written = text.strip()
    if written and written[-1].isdigit():
        written += " g"
    grams = units.si(written, "mass") * 1000
    if not 1e-6 <= grams <= 1000:
        raise BatchError(tr(else_says).format(text=text))
    return Decimal(repr(grams)).quantize(Decimal("1e-9")).normalize()


def in_steps(grams: float, scale: Scale, rounding: str = ROUND_HALF_UP) -> Decimal:
    """Return a mass in whole steps of the scale; what is a whole number but for the last bits counts as one. [g]"""
    steps = (Decimal(repr(grams)) / scale.resolution).quantize(Decimal("1e-9"))
    return steps.to_integral_value(rounding) * scale.resolution


def expanded_error(grams: float, scale: Scale) -> float:
    """Return the expanded error (k = 2) of weighing a mass once, as a share of it. [1]"""
    repeatability = None if scale.repeatability is None else float(scale.repeatability)
    return float(weighing_error(grams, float(scale.resolution), repeatability))


def line_error(exact_grams: float, scale: Scale) -> float | None:
    """Return the expanded error of a line as the scale shows it, as a share; None where it rounds to nothing. [1]"""
    shown = in_steps(exact_grams, scale)
    return expanded_error(float(shown), scale) if shown > 0 else None


def least_grams(scale: Scale, within: float) -> float:
    """Return the least mass that the scale weighs within an expanded error. [g]"""
    repeatability = None if scale.repeatability is None else float(scale.repeatability)
    return float(smallest_mass(float(scale.resolution), within, repeatability))


def least_shown(scale: Scale, within: float) -> Decimal:
    """Return the least mass in whole steps of the scale that it weighs within an expanded error. [g]"""
    return in_steps(least_grams(scale, within), scale, ROUND_CEILING)


def round_to_scale(grams: Sequence[Fraction], resolution: Decimal) -> list[Decimal]:
    """Return each mass as a whole number of scale steps, the total kept.

    The total is the sum of the masses rounded to the nearest step. Among all ways to share it out, this one makes
    the sum of squared *relative* changes least, so the rounding falls on the large lines. The cost of each line is
    convex in its steps, therefore moving one step at a time where it costs least reaches the least of all.

    Parameters
    ----------
    grams : sequence of Fraction
        Exact masses, none below nought. [g]
    resolution : Decimal
        One step of the scale. [g]

    Returns
    -------
    list of Decimal
        Masses to weigh. [g]
    """
    step = Fraction(resolution)
    exact = [mass / step for mass in grams]
    steps = [_nearest(mass) for mass in exact]
    surplus = sum(steps) - _nearest(sum(exact, Fraction(0)))
    move = -1 if surplus > 0 else 1
    queue = [(_dearer(exact[i], steps[i], move), i) for i in range(len(exact)) if exact[i] > 0]
    heapq.heapify(queue)
    # A step is only ever taken from a line that was rounded up: from one of no steps it would cost eight times as much.
    for _ in range(abs(surplus)):
        _, i = heapq.heappop(queue)
        steps[i] += move
        heapq.heappush(queue, (_dearer(exact[i], steps[i], move), i))
    return [count * resolution for count in steps]


def _nearest(value: Fraction) -> int:
    return int(value + Fraction(1, 2))


def _dearer(exact: Fraction, steps: int, move: int) -> Fraction:
    """Return by how much the squared relative change of a line grows when it moves by one step."""
    before = (steps - exact) / exact
    after = (steps + move - exact) / exact
    return after * after - before * before
