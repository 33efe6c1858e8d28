"""Quick sum of a drop that spreads: by its own weight or under a loaded plate, still moving or come to rest."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from levigate.errors import SumError
from levigate.reckon.readings import UNUSED, Method, Reading, answer, doubts, error_key, shown, take
from levigate.reckon.sizes import said
from levigate.reckon.sums import Key, Reckoned, Told, need, quick_sum
from levigate.science.benchtests import (
    viscosity_from_spread,
    viscosity_from_squeeze,
    yield_stress_from_spread,
    yield_stress_from_squeeze,
)
from levigate.science.constants import STANDARD_GRAVITY, Floats

#: Radius below which surface tension, which none of the laws knows, holds a free drop together. [m]
_FREE_RADIUS = 0.01


@dataclass(frozen=True, slots=True)
class _Law:
    """What one way of spreading says: a function of volume, density, load, radius and time, and how it is written."""

    name: str
    title: str
    dimension: str
    function: Callable[[Floats, Floats, Floats, Floats, Floats], Floats]
    method: str
    #: The method with the numbers put in.
    working: str
    source: str
    holds: str
    seen_off: str
    note: str


_THIN = "mean thickness up to a tenth of the radius"
_MOVING = "A liquid with a yield stress looks thicker the longer one waits; let it come to rest and leave out the time."
_RESTING = "Wait until nothing moves any more; read too early, the yield stress comes out too high."
#: (is a plate laid on, is a time told) -> law.
_LAWS = {
    (False, True): _Law(
        "viscosity",
        "Viscosity",
        "viscosity",
        lambda volume, density, load, radius, time: viscosity_from_spread(volume, density, radius, time),
        "µ = 1024/(243 π³) ρ g V³ t/r⁸",
        "µ = 0.1359 × {density} × 9.80665 m/s² × ({volume})³ × {time} / ({radius})⁸ = {found}",
        "Huppert-1982",
        f"simple liquid on a level plate, well after release, radius above 10 mm, {_THIN}",
        "very good agreement with silicone oils is all the abstract of the work says of measurements",
        _MOVING,
    ),
    (False, False): _Law(
        "yield_stress",
        "Yield stress",
        "pressure",
        lambda volume, density, load, radius, time: yield_stress_from_spread(volume, density, radius),
        "τ = 225 ρ g V²/(128 π² R⁵)",
        "τ = 0.1781 × {density} × 9.80665 m/s² × ({volume})² / ({radius})⁵ = {found}",
        "Roussel-Coussot-2005",
        f"round puddle at rest on a level plate that it sticks to, radius above 10 mm, {_THIN}",
        "not held against measurements here; too high where surface tension holds an edge of a few millimetres",
        _RESTING,
    ),
    (True, True): _Law(
        "viscosity",
        "Viscosity",
        "viscosity",
        lambda volume, density, load, radius, time: viscosity_from_squeeze(
            volume, load * STANDARD_GRAVITY, radius, time
        ),
        "µ = 8 F V² t/(3 π³ R⁸)",
        "µ = 0.08600 × {load} × 9.80665 m/s² × ({volume})² × {time} / ({radius})⁸ = {found}",
        "Dienes-Klemm-1946",
        f"simple liquid between parallel plates wider than it, radius at least doubled under the load, {_THIN}",
        "held against an integration of Stefan's law only, not against measurements",
        _MOVING,
    ),
    (True, False): _Law(
        "yield_stress",
        "Yield stress",
        "pressure",
        lambda volume, density, load, radius, time: yield_stress_from_squeeze(volume, load * STANDARD_GRAVITY, radius),
        "τ = 3 F V/(2 π² R⁵)",
        "τ = 0.1520 × {load} × 9.80665 m/s² × {volume} / ({radius})⁵ = {found}",
        "Covey-Stanmore-1981",
        f"at rest between rough parallel plates wider than it, {_THIN}",
        "held against an integration of the pressure only; on smooth plates it slips and the answer is far too low",
        _RESTING,
    ),
}


@quick_sum(
    "spread",
    "Viscosity (with a time) or yield stress (at rest) from the circle to which a drop spreads, free or under a plate.",
    "volume=1mL density=1g/mL diameter=46mm time=60s",
    volume=Key("volume", "volume of the drop"),
    mass=Key("mass", "its mass, in place of the volume"),
    density=Key("density", "its density; between plates only needed with a mass"),
    diameter=Key("length", "diameter of the circle"),
    time=Key("time", "time since it was let go or loaded; left out, the drop has come to rest"),
    load=Key("mass", "upper plate and what lies on it; left out, the drop lies free"),
    reading_error=error_key("the diameter", "1 mm"),
    volume_error=error_key("the volume", "3 %"),
    mass_error=error_key("the mass", "0.02 g"),
    density_error=error_key("the density", "1 %"),
    time_error=error_key("the time", "0.5 s"),
)
def spread(told: Told) -> Reckoned:
    """Return the viscosity or the yield stress from a drop that has spread."""
    law = _LAWS["load" in told, "time" in told]
    readings = _readings(told)
    amount, rho, load, across, time = readings
    volume = amount.value / rho.value if amount.key == "mass" else amount.value
    radius = across.value / 2
    thick = volume / (math.pi * radius**2)
    if "load" not in told and radius < _FREE_RADIUS:
        raise SumError(f"Surface tension shapes a free drop of {across}; take more, so that it spreads past 20 mm.")

    def of_readings(amount_: Floats, rho_: Floats, load_: Floats, across_: Floats, time_: Floats) -> Floats:
        volume_ = amount_ / rho_ if amount.key == "mass" else amount_
        return law.function(volume_, rho_, load_, across_ / 2, time_)

    found = answer(
        of_readings,
        readings,
        law.dimension,
        outside=f"A drop {across} wide and {said(thick, 'length')} thick is thicker than a tenth of its radius, which "
        "these laws cannot take; use less of it, or let it spread further.",
    )
    working = [] if amount.key == "volume" else [f"V = m/ρ = {amount} / {rho} = {said(volume, 'volume')}"]
    working.append(
        f"h = V/(π R²) = {said(volume, 'volume')} / (π ({said(radius, 'length')})²) = {said(thick, 'length')}"
    )
    working.append(
        law.working.format(
            density=rho, volume=said(volume, "volume"), time=time, radius=said(radius, "length"), load=load, found=found
        )
    )
    told_figure = shown(
        law.name,
        law.title,
        found,
        Method(law.method, source=law.source, holds=law.holds, seen_off=law.seen_off),
    )
    return Reckoned({law.name: told_figure}, tuple(working), (law.note, *doubts(found)))


def _readings(told: Told) -> tuple[Reading, ...]:
    """Return amount, density, load, diameter and time; one that the law does without has no key."""
    if ("volume" in told) == ("mass" in told):
        raise SumError("spread needs either the volume of the drop or its mass, for example volume=1mL.")
    amount = "volume" if "volume" in told else "mass"
    needed = [amount, "diameter"] + ["density"] * ("load" not in told or amount == "mass")
    need(told, "spread", *needed)

    def one(key: str, error: str) -> Reading:
        return take(told, "spread", **{key: error})[0] if key in told else UNUSED

    return (
        one(amount, f"{amount}_error"),
        one("density", "density_error"),
        one("load", ""),
        one("diameter", "reading_error"),
        one("time", "time_error"),
    )
