"""Phases as a person writes them down to join them: "80 g aqua 25 C 4.18 kJ/kg/K, 20 g oil 75 C 2.0 kJ/kg/K"."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from levigate import units
from levigate.errors import SumError, UnitError, came
from levigate.reckon.readings import Reading, half_width
from levigate.reckon.sizes import said
from levigate.reckon.sums import Told
from levigate.shelf.catalogue import catalogue
from levigate.shelf.record import Value

EXAMPLE = "80 g aqua 25 C 4.18 kJ/kg/K, 20 g oil 75 C 2.0 kJ/kg/K"
_VALUE = re.compile(r"(?<![\w.-])([-+−]?\d+(?:\.\d+)?)\s*([A-Za-zµ°][\w/.°]*)")
#: Dimension -> what it is called, the key of its error, and the least and most that a phase can have (SI).
_KINDS = {
    "mass": ("mass", "mass_error", 1e-6, 1000.0),
    "temperature": ("temperature", "temperature_error", 173.15, 573.15),
    "heat capacity": ("specific heat", "heat_error", 100.0, 10000.0),
    "specific energy": ("melting heat", "heat_error", 1000.0, 1e6),
}
_MOST = 20


@dataclass(frozen=True, slots=True)
class Phase:
    """One of the phases that are joined, with its melting point and melting heat where it may melt or set."""

    name: str
    mass: Reading
    temperature: Reading
    heat: Reading
    melting: tuple[Reading, Reading] | None

    @property
    def readings(self) -> tuple[Reading, ...]:
        """All that was read of it."""
        return (self.mass, self.temperature, self.heat, *(self.melting or ()))


def read_phases(told: Told, text: str) -> list[Phase]:
    """Return the phases written in a text, separated by commas."""
    texts = [part.strip() for part in re.split(r"[,;]", text) if part.strip()]
    if not 2 <= len(texts) <= _MOST:
        raise SumError(f'Joining takes two phases at least and {_MOST} at most, for example parts="{EXAMPLE}".')
    return [_phase(told, part) for part in texts]


def _phase(told: Told, text: str) -> Phase:
    before, melts, after = text.partition(" melts ")
    name = " ".join(_VALUE.sub(" ", before).split())
    of = f" of {name}" if name else ""
    found = _values(told, before, of)
    mass, temperature = found.get("mass"), found.get("temperature")
    if mass is None or temperature is None or "specific energy" in found:
        raise SumError(f'{came(text)} does not say one mass and one temperature; write for example "20 g oil 75 C".')
    heat = found.get("heat capacity") or _on_shelf(told, name, "specific_heat", "heat capacity")
    if heat is None:
        raise SumError(
            f"The specific heat of {came(name)} is not on the shelf; write it behind the temperature "
            "(water 4.18, glycerin 2.4, oils 1.7 to 2.2 kJ/kg/K)."
        )
    melting = None
    if melts:
        then = _values(told, after, of)
        if set(then) != {"temperature", "specific energy"}:
            raise SumError(f'{came(text)} does not say how it melts; write for example "... melts 63 C 180 kJ/kg".')
        melting = (replace(then["temperature"], key=f"melting point{of}"), then["specific energy"])
    return Phase(name or said(mass.value, "mass"), mass, temperature, heat, melting)


def _values(told: Told, text: str, of: str) -> dict[str, Reading]:
    found: dict[str, Reading] = {}
    for number, unit in _VALUE.findall(text):
        try:
            reading = units.read(f"{number} {unit}")
        except UnitError as trouble:
            raise SumError(str(trouble)) from trouble
        if reading.dimension not in _KINDS or reading.dimension in found:
            raise SumError(
                f"{came(text.strip())} says {number} {unit} where a mass, a temperature or a specific heat belongs."
            )
        word, error, least, most = _KINDS[reading.dimension]
        if not least <= reading.si <= most:
            raise SumError(
                f"A {word} of {said(reading.si, reading.dimension)} is not one of the bench; look at the unit."
            )
        half = half_width(error, told.texts[error], reading.si, reading.dimension)
        found[reading.dimension] = Reading(f"{word}{of}", reading.si, half, reading.dimension)
    return found


def _on_shelf(told: Told, name: str, property_name: str, dimension: str) -> Reading | None:
    """Return a property of a material from the shelf; None where it has none."""
    record = catalogue().get(name) if name else None
    values: tuple[Value, ...] = getattr(record, property_name, ())
    if not values:
        return None
    first = values[0]
    number = first.si(dimension)
    if first.low is not None and first.high is not None:
        half = abs(units.si(first.high, dimension) - units.si(first.low, dimension)) / 2
    else:
        half = half_width("heat_error", first.spread or told.texts["heat_error"], number, dimension)
    return Reading(
        f"specific heat of {name}", number, half, dimension, grade=first.grade, source=first.source, place=first.place
    )
