"""Readings: what was read, how far it may be off, and what that leaves of the answer."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from levigate import units
from levigate.errors import SumError, UnitError
from levigate.quantities.figure import Figure
from levigate.quantities.inputs import Input
from levigate.quantities.saying import digits
from levigate.reckon.sums import Key, Told, above_nought, figure, need, quick_sums
from levigate.science.constants import Floats
from levigate.science.uncertainty import propagate

#: Dimension -> units in which it is said, each from this size (SI) upward.
_UNITS: dict[str, tuple[tuple[float, str], ...]] = {
    "mass": ((0, "g"),),
    "volume": ((0, "mL"),),
    "length": ((0, "nm"), (5e-8, "um"), (0.5e-3, "mm"), (2, "m"), (2e3, "km")),
    "time": ((0, "s"), (120, "min"), (7200, "h"), (172800, "days"), (63115200, "years")),
    "temperature": ((0, "C"),),
    "density": ((0, "g/mL"),),
    "viscosity": ((0, "mPa.s"),),
    "kinematic viscosity": ((0, "mm2/s"),),
    "pressure": ((0, "Pa"),),
    "speed": ((0, "mm/day"), (1e-5, "mm/s")),
    "rotation": ((0, "rpm"),),
    "share": ((0, "%"),),
    "heat capacity": ((0, "kJ/kg/K"),),
    "specific energy": ((0, "kJ/kg"),),
}
#: Least and most that the thing by this name is on a bench, SI: beyond lies a slip of the pen or of the unit.
_BENCH: dict[str, tuple[float, float]] = {
    "diameter": (1e-9, 0.5),
    "d50": (1e-9, 0.01),
    "d90": (1e-9, 0.01),
    "held": (1e-9, 0.1),
    "sunk": (1e-9, 0.1),
    "particle_density": (0.1, 25000),
    "liquid_density": (100, 5000),
    "density": (10, 10000),
    "viscosity": (1e-5, 1e8),
    "yield_stress": (1e-6, 1e6),
    "distance": (1e-4, 10),
    "height": (1e-4, 10),
    "slump": (1e-6, 10),
    "layer": (1e-6, 10),
    "seen": (1e-6, 1),
    "radius": (5e-3, 2),
    "tube_diameter": (1e-4, 2),
    "time": (0.01, 3.2e9),
    "volume": (1e-9, 0.1),
    "mass": (1e-8, 1000),
    "load": (1e-3, 1000),
    "water": (1e-8, 1000),
    "rotation": (0.01, 2000),
    "solids": (1e-9, 1),
    "solids_by_mass": (1e-9, 1),
    "temperature": (173.15, 573.15),
    "start": (173.15, 573.15),
    "later": (173.15, 573.15),
    "ambient": (173.15, 573.15),
    "to": (173.15, 573.15),
    "at": (0.01, 3.2e9),
}
#: Keys that are not what one would call the thing in a sentence.
_NAMES = {"held": "size held", "sunk": "size sunk", "seen": "least layer seen"}


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


def error_key(of: str, default: str) -> Key:
    """Return the key by which a person says how far a reading may be off."""
    return Key(None, f"how far {of} may be off (95 %), in its unit or in %", default)


def in_bench_unit(value: float, dimension: str) -> tuple[float, str]:
    """Return an SI number in the unit of the bench that suits its size."""
    unit = [unit for least, unit in _UNITS[dimension] if abs(value) >= least][-1]
    return units.convert(value, unit, dimension), unit


def said(value: float, dimension: str, figures: int = 4) -> str:
    """Return an SI number as it is said at the bench."""
    number, unit = in_bench_unit(value, dimension)
    return f"{digits(number, figures)} {'°C' if unit == 'C' else unit}"


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
        assumed = (error, text) if error and text == keys[error].default else None
        found.append(Reading(key, value, half, dimension, assumed))
    return tuple(found)


def exact(key: str, value: float, dimension: str) -> Reading:
    """Return a reading that is taken as exact."""
    return Reading(key, value, 0.0, dimension)


def within_reason(key: str, value: float, dimension: str) -> None:
    """Raise SumError when a reading is of a size that no bench has."""
    least, most = _BENCH[key]
    if not least <= value <= most:
        raise SumError(
            f"A {key.replace('_', ' ')} of {said(value, dimension)} is not one of the bench, where it lies between "
            f"{said(least, dimension, 2)} and {said(most, dimension, 2)}; look at the unit."
        )


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
    outside: str,
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
    worst = readings[leads].name if each[leads] ** 2 > half**2 / 2 else ""
    if signed:
        return Answer(value, value - half, value + half, dimension, tuple(readings), worst)
    if half > abs(value):
        raise SumError(
            f"The errors of the readings leave nothing of the answer, most of all that of the {readings[leads].name}: "
            "read it more closely, and say its error if it is smaller than was assumed."
        )
    wide = math.exp(half / value)
    return Answer(value, value / wide, value * wide, dimension, tuple(readings), worst)


def shown(
    name: str,
    title: str,
    found: Answer,
    *,
    method: str,
    source: str,
    place: str = "",
    grade: str = "measured",
    holds: str = "",
    seen_off: str = "",
) -> Figure:
    """Return an answer as a figure, in the unit of the bench."""
    value, unit = in_bench_unit(found.value, found.dimension)
    inputs = tuple(reading.input() for reading in found.readings if math.isfinite(reading.value))
    told = figure(
        name,
        title,
        value,
        unit,
        method=method,
        source=source,
        inputs=inputs,
        grade=grade,
        place=place,
        holds=holds,
        seen_off=seen_off,
    )
    if found.low == found.high:
        return told
    low, high = (units.convert(end, unit, found.dimension) for end in (found.low, found.high))
    return replace(told, low=low, high=high)


def doubts(found: Answer) -> tuple[str, ...]:
    """Return what was assumed of the errors, and which reading the answer hangs on most."""
    assumed = [reading for reading in found.readings if reading.assumed]
    notes = []
    if assumed:
        within = ", ".join(f"{reading.name} {reading.assumed[1]}" for reading in assumed if reading.assumed)
        keys = ", ".join(dict.fromkeys(reading.assumed[0] for reading in assumed if reading.assumed))
        notes.append(f"Taken as right within (95 %): {within}. Where you know better, say {keys}.")
    if found.worst:
        notes.append(f"Most of the doubt comes from the {found.worst}.")
    return tuple(notes)


def unequal(particle: Reading, liquid: Reading) -> None:
    """Raise SumError when nothing would move because both are equally dense."""
    if particle.value == liquid.value:
        raise SumError(
            f"Both are equally dense ({particle}), so nothing sinks or rises, at any viscosity and without any gel."
        )
