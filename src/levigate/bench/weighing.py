"""Grams a scale can show: rounded so that the total is exact and the rounding falls where it matters least."""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from levigate import units
from levigate.errors import BatchError


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
    return Scale(_grams(text, "resolution"), None if repeatability is None else _grams(repeatability, "repeatability"))


def _grams(text: str, word: str) -> Decimal:
    written = text.strip()
    if written and written[-1].isdigit():
        written += " g"
    grams = Decimal(repr(units.si(written, "mass") * 1000)).quantize(Decimal("1e-9")).normalize()
    if not Decimal("1e-6") <= grams <= 1000:
        raise BatchError(f'"{text}" is no {word} of a scale; write for example "0.1 g".')
    return grams


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
    for _ in range(abs(surplus)):
        if not queue:
            raise BatchError("The scale is too coarse: its steps cannot make up this batch.")
        _, i = heapq.heappop(queue)
        steps[i] += move
        if steps[i] + move >= 0:
            heapq.heappush(queue, (_dearer(exact[i], steps[i], move), i))
    return [count * resolution for count in steps]


def _nearest(value: Fraction) -> int:
    return int(value + Fraction(1, 2))


def _dearer(exact: Fraction, steps: int, move: int) -> Fraction:
    """Return by how much the squared relative change of a line grows when it moves by one step."""
    before = (steps - exact) / exact
    after = (steps + move - exact) / exact
    return after * after - before * before
