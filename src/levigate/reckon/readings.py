"""Readings: what was read, how far it may be off, and what that leaves of the answer."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from levigate import units
from levigate.errors import SumError, UnitError, came
from levigate.quantities.figure import Figure
from levigate.quantities.sourced import Input
from levigate.reckon.sizes import in_bench_unit, said, within_reason
from levigate.reckon.sums import Key, Told, above_nought, figure, need, quick_sums
from levigate.science.constants import Floats
from levigate.science.uncertainty import propagate

_OUTSIDE = "These readings lie outside the range of the method; look at each of them again."
#: Keys that are not what one would call the thing in a sentence.
_NAMES = {
    "held": "size held",
    "sunk": "size sunk",
    "seen": "least layer seen",
    "start": "first temperature",
    "later": "second temperature",
    "ambient": "temperature of the surroundings",
    "water": "mass of water",
}


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading, and half the width of the interval that holds it with 95 %; both SI."""

    key: str
    value: float
    half: float
    dimension: str
    #: The key that says the error and what was assumed where it did not; empty where the person told it.
    assumed: tuple[str, str] | None = None
    grade: str = "measured"
    source: str = "own-word"
    place: str = ""

    @property
    def name(self) -> str:
        """What it is called in a sentence."""
        return _NAMES.get(self.key, self.key.replace("_", " "))

    def __str__(self) -> str:
        """Return it as a working line shows it."""
        return said(self.value, self.dimension)

    def input(self) -> Input:
        """Return it as an input of a figure, in the unit of the bench."""
        value, unit = in_bench_unit(self.value, self.dimension)
        half = units.convert(self.half, unit, self.dimension) if self.dimension != "temperature" else self.half
        return Input(self.name, None, value, unit, self.grade, self.source, self.place, half or None)


#: Stands in for a reading that the case at hand does without.
UNUSED = Reading("", 1.0, 0.0, "share")


@dataclass(frozen=True, slots=True)
class Answer:
    """What follows from readings, SI, with the interval that their errors leave (95 %) and the reading that counts."""

    value: float
    low: float
    high: float
    dimension: str
    readings: tuple[Reading, ...]
    worst: str

    def __str__(self) -> str:
        """Return it as a working line shows it."""
        return said(self.value, self.dimension)


@dataclass(frozen=True, slots=True)
class Method:
    """How an answer was found: the equation, on whose word, when it holds and how far off it has been seen."""

    equation: str
    source: str
    holds: str = ""
    seen_off: str = ""
    place: str = ""
    grade: str = "measured"


def error_key(of: str, default: str) -> Key:
    """Return the key by which a person says how far a reading may be off."""
    return Key(None, f"how far {of} may be off (95 %), in its unit or in %", default)


def take(told: Told, name: str, **errors: str) -> tuple[Reading, ...]:
    """Return readings in the order asked for, each with its error.

    Parameters
    ----------
    told : Told
        What the sum was told.
    name : str
        Name of the sum.
    **errors : str
        Key of a reading -> key that says how far it may be off; empty for one that is taken as exact.

    Raises
    ------
    SumError
        When one is missing, not above nought, or of a size that no bench has.
    """
    need(told, name, *errors)
    keys = quick_sums()[name].keys
    found = []
    for key, error in errors.items():
        above_nought(told, key)
        value, dimension = told[key], keys[key].dimension or ""
        within_reason(key, value, dimension)
        half, text = 0.0, told.texts.get(error, "")
        if error:
            half = half_width(error, text, value, dimension)
        if half >= value:
            name = key.replace("_", " ")
            raise SumError(
                f"An error of {said(half, dimension)} leaves nothing of a {name} of {said(value, dimension)}."
            )
        assumed = (error, text) if error and text == keys[error].default else None
        found.append(Reading(key, value, half, dimension, assumed))
    return tuple(found)


def exact(key: str, value: float, dimension: str) -> Reading:
    """Return a reading that is taken as exact."""
    return Reading(key, value, 0.0, dimension)


def half_width(key: str, text: str, value: float, dimension: str) -> float:
    """Return an error as it was told, ``"1 mm"`` or ``"5 %"``, in SI."""
    try:
        if text.strip().endswith("%"):
            half = units.si(text, "share") * abs(value)
        elif dimension == "temperature":
            reading = units.read(text, dimension)
            half = reading.si - units.si(f"0 {reading.unit}", dimension)  # a difference has no zero of its own
        else:
            half = units.si(text, dimension)
    except UnitError as trouble:
        raise SumError(f"{key}: {trouble}") from trouble
    if half < 0:
        raise SumError(f"{key} says how far a reading may be off to either side; write it without a sign.")
    return half


def answer(
    function: Callable[..., Floats],
    readings: Sequence[Reading],
    dimension: str,
    *,
    outside: str = _OUTSIDE,
    signed: bool = False,
) -> Answer:
    """Return what follows from readings, with the interval that their errors leave.

    The errors are propagated to first order (JCGM 100:2008). What is above nought by its nature gets an interval on a
    scale of ratios, which is exact for products of powers and never reaches below nought.

    Parameters
    ----------
    function : callable
        Function of as many arrays as there are readings, SI.
    readings : sequence of Reading
        In the order of its arguments.
    dimension : str
        Dimension of the answer.
    outside : str
        What to say where the function has no number.
    signed : bool
        Whether the answer may be below nought, as a velocity or a temperature in degrees may.

    Raises
    ------
    SumError
        Where there is no number, or the errors of the readings leave nothing of it.
    """
    values = np.array([reading.value for reading in readings])
    value = float(function(*values))
    if not math.isfinite(value):
        raise SumError(outside)
    # One row for each reading, with the error of that one alone.
    each = propagate(function, np.tile(values, (len(values), 1)), np.diag([reading.half for reading in readings]))
    half = float(np.sqrt((each**2).sum()))
    if not math.isfinite(half):
        raise SumError("The errors of the readings reach out of the range of the method; read more closely.")
    leads = int(np.argmax(each))
    several = sum(reading.half > 0 for reading in readings) > 1
    worst = readings[leads].name if several and each[leads] ** 2 > half**2 / 2 else ""
    if signed:
        return Answer(value, value - half, value + half, dimension, tuple(readings), worst)
    if half > abs(value):
        raise SumError(
            f"The errors of the readings leave nothing of the answer, most of all that of the {readings[leads].name}: "
            "read it more closely, and say its error if it is smaller than was assumed."
        )
    wide = math.exp(half / value)
    return Answer(value, value / wide, value * wide, dimension, tuple(readings), worst)


def shown(name: str, title: str, found: Answer, how: Method) -> Figure:
    """Return an answer as a figure with its interval, in the unit of the bench."""
    value, unit = in_bench_unit(found.value, found.dimension)
    inputs = [reading for reading in found.readings if reading.key and math.isfinite(reading.value)]
    told = counted(name, title, value, unit, how, inputs)
    if found.low == found.high:
        return told
    low, high = (units.convert(end, unit, found.dimension) for end in (found.low, found.high))
    return replace(told, low=low, high=high)


def counted(name: str, title: str, value: float, unit: str, how: Method, readings: Sequence[Reading] = ()) -> Figure:
    """Return a number without an interval as a figure, in the unit in which it is shown."""
    return figure(
        name,
        title,
        value,
        unit,
        method=how.equation,
        source=how.source,
        inputs=tuple(reading.input() for reading in readings),
        grade=how.grade,
        place=how.place,
        holds=how.holds,
        seen_off=how.seen_off,
    )


def doubts(found: Answer) -> tuple[str, ...]:
    """Return what was assumed of the errors, and which reading the answer hangs on most."""
    worst = (f"Most of the doubt comes from the {found.worst}.",) if found.worst else ()
    return (*assumptions(found.readings), *worst)


def assumptions(readings: Iterable[Reading]) -> tuple[str, ...]:
    """Return what was assumed of the errors of readings, and which keys would say better."""
    assumed = [(reading.name, *reading.assumed) for reading in readings if reading.assumed]
    if not assumed:
        return ()
    within = ", ".join(f"{name} {error}" for name, _, error in assumed)
    keys = ", ".join(dict.fromkeys(key for _, key, _ in assumed))
    return (f"Taken as right within (95 %): {within}. Where you know better, say {keys}.",)


def unequal(particle: Reading, liquid: Reading) -> None:
    """Raise SumError when nothing would move because both are equally dense."""
    if particle.value == liquid.value:
        raise SumError(
            f"Both are equally dense ({particle}), so nothing sinks or rises, at any viscosity and without any gel."
        )


def mass_or_volume(key: str, text: str) -> tuple[float, str]:
    """Return a mass or a volume, SI, and which of the two it is."""
    try:
        reading = units.read(text)
    except UnitError as trouble:
        raise SumError(f"{key}: {trouble}") from trouble
    if reading.dimension not in ("mass", "volume"):
        raise SumError(f"{key} is a mass or a volume, such as 30g or 30mL; {came(text)} is neither.")
    if not reading.si > 0:
        raise SumError(f"{key} must be above nought.")
    return reading.si, reading.dimension
