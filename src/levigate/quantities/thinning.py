"""From the shelf to the viscosity of a liquid, the temperature at which it was read, and how it thins with warmth."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from levigate import units
from levigate.quantities.graph import Floats
from levigate.quantities.sourced import NORMAL_95, ROOM, UNKNOWN, Input, si_of, temperature_of
from levigate.science.rheology import viscosity_arrhenius, viscosity_walther_slope, walther_slope
from levigate.shelf.record import Material, Value

#: Half-width of the 95 % interval of a viscosity whose source gives none, as a share of the value, by grade; judged
#: from how far readings of one oil differ in print.
VISCOSITY_SPREAD = {"measured": 0.03, "handbook": 0.05, "supplier": 0.1, "typical": 0.2, "memory": 0.3}
#: Slope on the chart of Walther by kind, and the half-width of its 95 % interval. Printed pairs of readings of liquid
#: vegetable oils give 2.8 to 3.2, castor 3.5; a mineral oil 3.7; the others are from memory. [1]
SLOPES = {"oil": (2.9, 0.4), "ester": (3.1, 0.6), "hydrocarbon": (3.6, 0.6)}
_OTHER_SLOPE = (3.2, 0.9)
#: That of an oil so thick, as castor oil is: its hydroxyl groups cling. From memory.
_THICK, _THICK_SLOPE = 2e-4, (3.5, 0.4)
#: Activation energy of flow of silicone fluids, and of other liquids below `_THIN`, with half-widths; from memory, held
#: against correlations in the tests. [J/mol]
SILICONE_ACTIVATION, THIN_ACTIVATION = (15.0e3, 3e3), (13.0e3, 3e3)
#: Kinematic viscosity below which the chart of Walther ends too soon. [m²/s]
_THIN = 4e-6
#: A reading so far from where it is used is moved so much that its slope is named among the inputs. [K]
_NEAR = 5.5


@dataclass(frozen=True, slots=True)
class Reading:
    """One kinematic viscosity, its temperature, the half-width of its 95 % interval as a share. [m²/s], [K], [1]"""

    number: float
    at: float
    share: float
    value: Value


@dataclass(frozen=True, slots=True)
class Thinning:
    """How thick a liquid is and how it thins; all nan for one of which no reading is known."""

    kinematic: Input
    read_at: float = ROOM
    slope: float = math.nan
    slope_spread: float = 0.0
    activation: float = math.nan
    activation_spread: float = 0.0
    #: On whose word it thins so.
    said: Input | None = None


def thinning_of(name: str, record: Material | None, density: float, expansion: float) -> Thinning:
    """Return how a liquid thins, from the reading that leaves the least doubt in a warm room.

    Parameters
    ----------
    name : str
        What it is called.
    record : Material or None
        Its record; None where no shelf knows it.
    density : float
        Its density in a warm room. [kg/m³]
    expansion : float
        Growth of its volume with each kelvin. [1/K]
    """
    label = f"viscosity of {name}"
    readings = []
    if record is not None and record.form in ("liquid", "gel", "paste"):
        readings = _readings(record, density, expansion)
    if record is None or not readings:
        return Thinning(Input(label, None, math.nan, "m²/s", UNKNOWN, ""))
    nearest = min(readings, key=lambda one: abs(one.at - ROOM))
    if record.affinity == "silicone" or nearest.number < _THIN:
        return _by_activation(label, nearest, silicone=record.affinity == "silicone")
    slope, spread, said = _slope(f"thinning of {name}", record, readings)

    def doubt(one: Reading) -> float:
        return math.hypot(one.share, _steepness(one.number) * spread * abs(math.log(ROOM / one.at)))

    best = min(readings, key=doubt)
    return Thinning(_entry(label, best), best.at, slope, spread, said=said)


def kinematic_at_room(record: Material) -> float:
    """Return the kinematic viscosity of a liquid in a warm room; nan where it is not known. [m²/s]"""
    density = si_of(record.density[0], "density") if record.density else math.nan
    one = thinning_of("", record, density, 0.0)
    moved = (
        viscosity_arrhenius(ROOM, one.read_at, one.kinematic.value, one.activation)
        if math.isnan(one.slope)
        else viscosity_walther_slope(ROOM, one.read_at, one.kinematic.value, one.slope)
    )
    return float(moved)


def _by_activation(label: str, reading: Reading, *, silicone: bool) -> Thinning:
    energy, spread = SILICONE_ACTIVATION if silicone else THIN_ACTIVATION
    name = label.replace("viscosity", "thinning", 1)
    place = f"usual for {'silicone fluids' if silicone else 'thin liquids'}: activation energy"
    said = Input(name, None, energy, "J/mol", "memory", "memory", place, spread)
    return Thinning(
        _entry(label, reading), reading.at, activation=energy, activation_spread=spread, said=said
    )  # fmt: skip


def _entry(label: str, one: Reading) -> Input:
    value = one.value
    return Input(label, None, one.number, "m²/s", value.grade, value.source, value.place, one.number * one.share)


def _steepness(number: float) -> float:
    """Return by what share a viscosity changes for each unit of the ordinate of Walther's chart. [1]"""
    z = number * 1e6 + 0.7
    return z * math.log(z) / (z - 0.7)


def _slope(label: str, record: Material, readings: Sequence[Reading]) -> tuple[float, float, Input]:
    """Return the slope of a liquid with its half-width: from two of its readings where they tell more than its kind."""
    thick = record.kind == "oil" and min(readings, key=lambda one: abs(one.at - ROOM)).number > _THICK
    usual, spread = _THICK_SLOPE if thick else SLOPES.get(record.kind, _OTHER_SLOPE)
    said = Input(
        label, None, usual, "1", "memory", "memory", f"slope usual for {'thick ' if thick else ''}{record.kind}", spread
    )
    for one, other in combinations(readings, 2):
        if one.at == other.at:
            continue
        apart = abs(math.log(one.at / other.at))
        half = math.hypot(*(end.share / _steepness(end.number) for end in (one, other))) / apart
        found = float(walther_slope(one.at, one.number, other.at, other.number))
        if half < spread and math.isfinite(found):
            usual, spread = found, half
            value = max(one.value, other.value, key=lambda value: VISCOSITY_SPREAD[value.grade])
            place = f"slope from readings at {one.at - 273.15:.4g} and {other.at - 273.15:.4g} °C"
            said = Input(label, None, found, "1", value.grade, value.source, place, half)
    return usual, spread, said


def _readings(record: Material, density: float, expansion: float) -> list[Reading]:
    found = []
    for values, dimension in ((record.kinematic_viscosity, "kinematic viscosity"), (record.viscosity, "viscosity")):
        for value in values:
            at = temperature_of(value.at)
            over = density * math.exp(-expansion * (at - ROOM)) if dimension == "viscosity" else 1.0
            number = si_of(value, dimension) / over
            if not math.isnan(number):
                found.append(Reading(number, at, _share_off(value, dimension), value))
    return found


def _share_off(value: Value, dimension: str) -> float:
    """Return the half-width of the 95 % interval of a viscosity, as a share of it. [1]"""
    if value.spread is not None:
        return units.si(value.spread, dimension) / si_of(value, dimension)
    if value.low is not None and value.high is not None:
        return (units.si(value.high, dimension) - units.si(value.low, dimension)) / 2 / si_of(value, dimension)
    return VISCOSITY_SPREAD[value.grade]


def thinning_arrays(thin: Sequence[Thinning], rng: np.random.Generator, draws: int) -> dict[str, Floats]:
    """Return the leaves of the graph on the viscosity of each substance."""
    entries = [one.kinematic for one in thin]
    share = np.array([entry.spread / entry.value if entry.spread else 0.0 for entry in entries])
    scatter = np.zeros((2, draws + 1, len(thin)))
    known = [i for i, entry in enumerate(entries) if not math.isnan(entry.value)]
    scatter[:, 1:, known] = rng.standard_normal((2, draws, len(known))) / NORMAL_95
    slope, slope_spread, energy, energy_spread = (
        np.array([getattr(one, word) for one in thin])
        for word in ("slope", "slope_spread", "activation", "activation_spread")
    )
    return {
        "kinematic_reading": np.array([entry.value for entry in entries]) * np.exp(scatter[0] * share),
        "kinematic_reading_temperature": np.array([one.read_at for one in thin]),
        "walther_slope": slope + scatter[1] * slope_spread,
        "flow_activation": energy + scatter[1] * energy_spread,
    }


def said_of(thin: Sequence[Thinning], oily: Floats, temperature: float | None) -> tuple[Input, ...]:
    """Return on whose word the oils thin: all of them, or those that are read far from a temperature."""
    return tuple(
        one.said
        for one, oil in zip(thin, oily, strict=True)
        if oil and one.said is not None and (temperature is None or abs(one.read_at - temperature) > _NEAR)
    )
