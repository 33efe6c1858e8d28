"""From the shelf to the density of a material, the temperature at which it was read, and how it swells with warmth."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np

from levigate import units
from levigate.formula.premix import WATER, substances
from levigate.quantities.graph import Floats
from levigate.quantities.sourced import NORMAL_95, ROOM, UNKNOWN, Input, ends_of, si_of, temperature_of
from levigate.science.density import density_water
from levigate.shelf.catalogue import Shelf
from levigate.shelf.record import GRADES, Material, Value

#: Half-width of the 95 % interval of a density whose source gives none, as a share of the value, by grade. How these
#: were judged: docs/why/spreads.md.
DENSITY_SPREAD = {"measured": 0.005, "handbook": 0.003, "supplier": 0.01, "typical": 0.03, "memory": 0.05}

#: Growth of the volume with each kelvin where the record has none, from and to; the kinds are told in `_kind`. From
#: memory, held against the materials that have one and against handbook tables in the tests. [1/K]
EXPANSION = {
    "silicone": (8e-4, 12.5e-4),
    "oil": (6.5e-4, 9.5e-4),
    "wax": (3e-4, 9e-4),
    "alcohol": (8e-4, 12e-4),
    "watery": (2e-4, 8e-4),
    "mineral": (1e-5, 1e-4),
    "solid": (1e-4, 4e-4),
}
#: By how much the volume of waxes and butters grows in melting, from and to: 5 to 12 % is known of butters, 10 to 15 %
#: of paraffin and beeswax; from memory. [1]
MELTS_BY = (0.05, 0.14)
#: Melting of a wax whose range is not on record: any time between a warm room and a hot phase. [K]
_SOME_TIME = (303.15, 353.15)
#: Melting of what does not melt here. [K]
_NEVER = (1e4, 1e4 + 1)
#: An expansion is named behind a figure where it adds so much of the spread of the density. [1]
_COUNTS = 1 / 3


@dataclass(frozen=True, slots=True)
class Swelling:
    """How the volume of a material grows with warmth."""

    #: Growth with each kelvin of what is not water, and the half-width of its 95 % interval. [1/K]
    expansion: float
    spread: float
    #: Share of the volume that swells as water does. [1]
    water: float = 0.0
    #: Start and end of melting, and the logarithm of the growth in melting with its half-width. [K], [1]
    melting: tuple[float, float] = _NEVER
    melts_by: float = 0.0
    melts_by_spread: float = 0.0
    grade: str = "memory"
    source: str = "memory"
    place: str = ""

    def ratio(self, read_at: float, temperature: float) -> float:
        """Return the density at a temperature over that at which it was read, by the central values. [1]"""
        growth = self.expansion * (temperature - read_at) + self.melts_by * self.melted(read_at, temperature)
        if self.water:
            growth -= self.water * math.log(_water(temperature) / _water(read_at))
        return math.exp(-growth)

    def melted(self, below: float, above: float) -> float:
        """Return the share of the material that melts between two temperatures; negative where it sets. [1]"""
        start, end = self.melting
        first, second = (min(max((t - start) / (end - start), 0.0), 1.0) for t in (below, above))
        return second - first


@lru_cache(maxsize=256)
def _water(temperature: float) -> float:
    return float(density_water(temperature))


def density_of(shelf: Shelf, name: str) -> Input:
    """Return the density of a material in a warm room: its own, else from its parts with volumes added. [kg/m³]"""
    entry, read_at = density_read(shelf, name)
    if read_at == ROOM or math.isnan(entry.value):
        return entry
    moved = swelling_of(shelf, name).ratio(read_at, ROOM)
    spread = None if entry.spread is None else entry.spread * moved
    return Input(
        entry.name, None, entry.value * moved, entry.unit, entry.grade, entry.source, entry.place, spread
    )  # fmt: skip


def density_read(shelf: Shelf, name: str) -> tuple[Input, float]:
    """Return the density of a material as it was read, and the temperature of the reading; else not known.

    A density without a temperature is taken as one in a warm room; one from its parts is that in a warm room.
    """
    record = shelf.get(name)
    label = f"density of {name}"
    if record is None:
        return unknown(label, "kg/m³"), ROOM
    if record.density:
        value = record.density[0]
        return _density_on_record(label, value), temperature_of(value.at)
    if record.made_of is None:
        return unknown(label, "kg/m³"), ROOM
    specific, variance, worst = 0.0, 0.0, str(record.made_of.grade)
    for part, share in substances(shelf, name).items():
        entry = density_of(shelf, part)
        if math.isnan(entry.value):
            return unknown(label, "kg/m³"), ROOM
        term = float(share) / entry.value
        specific += term
        variance += (term * (entry.spread or 0.0) / entry.value) ** 2
        worst = max(worst, entry.grade, key=GRADES.index)
    spread = math.sqrt(variance) / specific
    found = Input(label, None, 1 / specific, "kg/m³", worst, "computed-from-parts", "", spread / specific)
    return found, ROOM


def _density_on_record(label: str, value: Value) -> Input:
    number = si_of(value, "density")
    return Input(label, None, number, "kg/m³", value.grade, value.source, value.place, _half_width(value, number))


@cache
def _half_width(value: Value, number: float) -> float:
    if value.spread is not None:
        return units.si(value.spread, "density")
    if value.low is not None and value.high is not None:
        return (units.si(value.high, "density") - units.si(value.low, "density")) / 2
    return number * DENSITY_SPREAD[value.grade]


def unknown(name: str, unit: str) -> Input:
    """Return a value of which nothing is known."""
    return Input(name, None, math.nan, unit, UNKNOWN, "")


def swelling_of(shelf: Shelf, name: str) -> Swelling:
    """Return how a material swells: by its own expansion, else by its parts, else as is usual for its kind."""
    if shelf.key(name) == WATER:
        return Swelling(0.0, 0.0, 1.0, grade="handbook", source="Bettin-Spieweck-1990")
    record = shelf.get(name)
    if record is None:  # its density is not known either
        return Swelling(math.nan, math.nan)
    if record.expansion:
        return _swelling(record, record.expansion[0])
    if record.made_of is not None and (parts := _of_parts(shelf, name)) is not None:
        return parts
    return _usual(record)


def _of_parts(shelf: Shelf, name: str) -> Swelling | None:
    """Return the swelling of a mixture, each part counted by its mass; None where a part is not on the shelf."""
    water = expansion = spread = 0.0
    for part, share in substances(shelf, name).items():
        if part not in shelf:
            return None
        one = swelling_of(shelf, part)
        if one.melts_by:  # its own melting is not that of its parts
            return None
        water += float(share) * one.water
        expansion += float(share) * one.expansion
        spread += float(share) * one.spread
    return Swelling(expansion, spread, water, source="computed-from-parts")


def _swelling(record: Material, value: Value) -> Swelling:
    number = si_of(value, "thermal expansion")
    half = 0.1 * abs(number)
    if value.low is not None and value.high is not None:
        low, high = ends_of(value, "thermal expansion")
        half = (high - low) / 2
    melting, by, by_spread = _melting(record)
    return Swelling(number, half, 0.0, melting, by, by_spread, value.grade, value.source, value.place)


def _usual(record: Material) -> Swelling:
    kind = _kind(record)
    low, high = EXPANSION[kind]
    melting, by, by_spread = _melting(record)
    return Swelling((low + high) / 2, (high - low) / 2, 0.0, melting, by, by_spread, place=f"usual for {_SAID[kind]}")


_SAID = {
    "silicone": "silicones",
    "oil": "oils and esters",
    "wax": "waxes and butters",
    "alcohol": "alcohols",
    "watery": "watery liquids and polyols",
    "mineral": "minerals",
    "solid": "crystals and polymers",
}


def _kind(record: Material) -> str:
    fatty = record.affinity in ("oil", "silicone")
    if _melts(record):
        return "wax"
    if record.form in ("liquid", "gel", "paste"):
        if record.affinity == "silicone":
            return "silicone"
        return "oil" if fatty else "alcohol" if record.affinity == "ethanol" else "watery"
    return "mineral" if record.affinity == "insoluble" else "solid"


def _melts(record: Material) -> bool:
    return record.form == "wax" or (record.form == "solid" and record.affinity in ("oil", "silicone"))


def _melting(record: Material) -> tuple[tuple[float, float], float, float]:
    """Return start and end of melting, and the logarithm of the growth in melting with its half-width. [K], [1]"""
    if not _melts(record):
        return _NEVER, 0.0, 0.0
    low, high = (math.log1p(end) for end in MELTS_BY)
    span = melting_range(record.melting_point[0]) if record.melting_point else _SOME_TIME
    return span, (low + high) / 2, (high - low) / 2


@lru_cache(maxsize=4096)
def melting_range(value: Value) -> tuple[float, float]:
    """Return start and end of melting; a single value stands for two kelvins to either side. [K]"""
    if value.low is not None and value.high is not None:
        return ends_of(value, "temperature")
    middle = si_of(value, "temperature")
    return middle - 2.0, middle + 2.0


def swelling_arrays(
    found: Sequence[Swelling], densities: Sequence[Input], read_at: Sequence[float], chance: Floats
) -> dict[str, Floats]:
    """Return the leaves of the graph on how the lines swell; ``chance`` has a row of normal numbers a draw."""
    scatter = np.concatenate([np.zeros((1, len(found))), chance / NORMAL_95])
    words = ("expansion", "spread", "melts_by", "melts_by_spread")
    expansion, spread, by, by_spread = (np.array([getattr(one, word) for one in found]) for word in words)
    swells = by + scatter * by_spread if by.any() else by  # most formulas hold nothing that melts
    expansion = np.where([math.isnan(entry.value) for entry in densities], 0.0, expansion)  # the density says so
    return {
        "density_reading_temperature": np.array(read_at),
        "material_expansion": expansion + scatter * np.where(np.isnan(spread), 0.0, spread),
        "material_melt_swelling": swells,
        "material_as_water": np.array([one.water for one in found]),
        "material_melting_start": np.array([one.melting[0] for one in found]),
        "material_melting_end": np.array([one.melting[1] for one in found]),
    }


def named(
    found: Sequence[Swelling], densities: Sequence[Input], read_at: Sequence[float], temperature: float | None
) -> tuple[Input, ...]:
    """Return the expansions that a figure rests on: all, or those that matter at a temperature."""
    entries = []
    for one, density, at in zip(found, densities, read_at, strict=True):
        if math.isnan(density.value) or one.water == 1:  # water swells as its formula says
            continue
        if temperature is not None:
            adds = one.spread * abs(temperature - at) + one.melts_by_spread * abs(one.melted(at, temperature))
            if adds * density.value <= _COUNTS * (density.spread or 0.0):
                continue
        name = density.name.replace("density", "expansion", 1)
        entries.append(
            Input(name, density.line, one.expansion, "1/K", one.grade, one.source, one.place, one.spread)
        )  # fmt: skip
    return tuple(entries)
