"""Quick sums of heat: what temperature joined phases take, and when a batch has cooled."""

from __future__ import annotations

import numpy as np

from levigate.errors import SumError
from levigate.quantities.figure import Figure
from levigate.quantities.saying import digits
from levigate.reckon.phases import EXAMPLE, Phase, read_phases
from levigate.reckon.readings import Answer, Method, Reading, answer, doubts, error_key, shown, take
from levigate.reckon.sizes import said
from levigate.reckon.sums import Key, Reckoned, Told, need, quick_sum
from levigate.science.constants import Floats
from levigate.science.heat import (
    cooling_constant,
    share_melted_joined,
    temperature_cooling,
    temperature_joined_melting,
    time_to_temperature,
)
from levigate.shelf.record import GRADES


@quick_sum(
    "mix-temperature",
    "Temperature that phases take when they are joined, with the heat of what melts or sets.",
    f'parts="{EXAMPLE}"',
    parts=Key(
        None,
        "mass, name, temperature and specific heat (unless on the shelf) of each, and melts 63 C 180 kJ/kg if it does",
    ),
    mass_error=error_key("each mass", "0.2 g"),
    temperature_error=error_key("each temperature", "1 C"),
    heat_error=error_key("each specific heat and melting heat", "10 %"),
)
def mix_temperature(told: Told) -> Reckoned:
    """Return the temperature of joined phases."""
    need(told, "mix-temperature", "parts")
    phases = read_phases(told, told.texts["parts"])
    readings = [reading for phase in phases for reading in phase.readings]
    found = answer(
        lambda *of: temperature_joined_melting(*_columns(phases, of)),
        readings,
        "temperature",
        outside="These phases have no balance of heat.",
        signed=True,
    )
    melting = any(phase.melting for phase in phases)
    working = _melting_words(phases, readings, found) if melting else _balance_words(phases, found)
    temperature = shown(
        "temperature",
        "Temperature after joining",
        found,
        Method(
            "Σ mᵢ hᵢ(T) = Σ mᵢ hᵢ(Tᵢ)" if melting else "T = Σ m c T / Σ m c",
            source="heat-balance",
            grade=max((phase.heat.grade for phase in phases), key=GRADES.index),
            holds="no heat of mixing, none to vessel or room; what melts does so at one temperature",
            seen_off="printed specific heats of oils lie 20 % to either side of 2.0 kJ/kg/K",
        ),
    )
    errors = ", ".join(f"{key.replace('_error', '')} {told.texts[key]}" for key in _HEAT_ERRORS)
    notes = (
        "A cold vessel takes heat too: warm it, or count it as one more phase.",
        f"Taken as right within (95 %): {errors}; say {', '.join(_HEAT_ERRORS)} to change that.",
    )
    return Reckoned({"temperature": temperature}, working, (*notes, *doubts(found)))


def _balance_words(phases: list[Phase], found: Answer) -> tuple[str, ...]:
    below = " + ".join(f"{p.mass} × {p.heat}" for p in phases)
    above = " + ".join(f"{p.mass} × {p.heat} × {p.temperature}" for p in phases)
    return (f"T = Σ m c T / Σ m c = ({above}) / ({below}) = {found}",)


def _melting_words(phases: list[Phase], readings: list[Reading], found: Answer) -> tuple[str, ...]:
    """Return what each phase takes up on its way to the common temperature: together nothing."""
    shares = share_melted_joined(*_columns(phases, [np.asarray(reading.value) for reading in readings]))
    lines = []
    for phase, share in zip(phases, shares, strict=True):
        taken = phase.mass.value * phase.heat.value * (found.value - phase.temperature.value)
        words = f"{phase.mass} × {phase.heat} × ({found} - {phase.temperature})"
        if phase.melting:
            point, fusion = phase.melting
            before = float(phase.temperature.value >= point.value)
            taken += phase.mass.value * fusion.value * (float(share) - before)
            words += f" + {phase.mass} × {fusion} × ({digits(float(share), 3)} - {before:g} melted at {point})"
        lines.append(f"{phase.name} takes {words} = {digits(taken / 1000)} kJ")
    return (*lines, f"together nothing, at T = {found}")


_HEAT_ERRORS = ("mass_error", "temperature_error", "heat_error")


def _columns(phases: list[Phase], of: list[Floats] | tuple[Floats, ...]) -> tuple[Floats, ...]:
    """Return mass, temperature, specific heats, melting point and melting heat with the phases along the last axis."""
    rows, place = [], 0
    for phase in phases:
        mass, temperature, heat, *melting = of[place : place + len(phase.readings)]
        place += len(phase.readings)
        # Without a melting heat the melting point changes nothing; any temperature will do.
        point, fusion = melting if melting else (temperature, np.zeros_like(temperature))
        rows.append((mass, temperature, heat, heat, point, fusion))
    return tuple(np.stack(column, axis=-1) for column in zip(*rows, strict=True))


@quick_sum(
    "cooling",
    "When a batch has cooled, or warmed, to a temperature, from two readings of the thermometer.",
    "start=75C later=60C time=10min ambient=20C to=40C",
    start=Key("temperature", "first reading"),
    later=Key("temperature", "second reading"),
    time=Key("time", "time between the two"),
    ambient=Key("temperature", "temperature of the room or the bath"),
    to=Key("temperature", "temperature waited for"),
    at=Key("time", "time after the first reading, for the temperature then"),
    temperature_error=error_key("each temperature", "0.5 C"),
    time_error=error_key("the time between the readings", "10 s"),
)
def cooling(told: Told) -> Reckoned:
    """Return when a batch reaches a temperature, or what temperature it has."""
    if "to" not in told and "at" not in told:
        need(told, "cooling", "start", "later", "time", "ambient", "to")
    readings = take(
        told,
        "cooling",
        start="temperature_error",
        later="temperature_error",
        time="time_error",
        ambient="temperature_error",
    )
    start, later, time, ambient = readings
    if not _between(later, ambient, start):
        raise SumError(
            f"The second reading must lie between the first and the surroundings; {later} does not lie between "
            f"{start} and {ambient}."
        )
    rate = float(cooling_constant(start.value, later.value, time.value, ambient.value))
    working = [
        f"k = ln(({start} - {ambient})/({later} - {ambient})) / {time} = {digits(60 * rate)} 1/min",
    ]
    figures, notes = {}, list(_COOLING_NOTES)
    if "to" in told:
        figures["time"], more = _until(told, readings, working)
        notes += more
    if "at" in told:
        figures["temperature"], more = _then(told, readings, working)
        notes += [note for note in more if note not in notes]
    return Reckoned(figures, tuple(working), tuple(notes))


def _until(told: Told, readings: tuple[Reading, ...], working: list[str]) -> tuple[Figure, list[str]]:
    """Return when it reaches the temperature waited for, and what is to be said of it."""
    (aim,) = take(told, "cooling", to="")
    start, _, time, ambient = readings
    if not _between(aim, ambient, start):
        raise SumError(f"It never gets to {aim} on its way from {start} to the surroundings at {ambient}.")
    found = answer(
        lambda t0, t1, t, room, x: time_to_temperature(x, t0, room, cooling_constant(t0, t1, t, room)),
        (*readings, aim),
        "time",
    )
    working.append(f"t = ln(({start} - {ambient})/({aim} - {ambient}))/k = {found} after the first reading")
    left = found.value - time.value
    notes = [f"From the second reading it is {said(left, 'time')}."] if left > 0 else []
    title = f"Time to {aim}, from the first reading"
    return _cooled("time", title, found, "t = ln((T₀ - Tₐ)/(T - Tₐ))/k"), [*notes, *doubts(found)]


def _then(told: Told, readings: tuple[Reading, ...], working: list[str]) -> tuple[Figure, list[str]]:
    """Return its temperature at a time, and what is to be said of it."""
    (when,) = take(told, "cooling", at="")
    start, _, _, ambient = readings
    found = answer(
        lambda t0, t1, t, room, x: temperature_cooling(x, t0, room, cooling_constant(t0, t1, t, room)),
        (*readings, when),
        "temperature",
        signed=True,
    )
    working.append(f"T = {ambient} + ({start} - {ambient}) exp(-k × {when}) = {found}")
    title = f"Temperature {when} after the first reading"
    return _cooled("temperature", title, found, "T = Tₐ + (T₀ - Tₐ) e^(-k t)"), list(doubts(found))


_COOLING_NOTES = (
    "A wax that sets holds the temperature up on the way, evaporation hastens the first minutes, and a thick cream "
    "left alone is warmer inside than at the wall.",
    "A rate found on one size of batch in one vessel is not that of another.",
)


def _between(reading: Reading, ambient: Reading, start: Reading) -> bool:
    low, high = sorted((ambient.value, start.value))
    return low < reading.value < high


def _cooled(name: str, title: str, found: Answer, method: str) -> Figure:
    return shown(
        name,
        title,
        found,
        Method(
            method,
            source="OpenStax-Algebra",
            holds="Newton's law: one vessel, one way of stirring, nothing that sets, surroundings that do not warm up",
            seen_off="reproduces a worked example to its printed digits; not held against a batch of cream here",
        ),
    )
