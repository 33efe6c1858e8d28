"""Quick sums of settling: how fast a grain sinks or rises, what holds it, what a centrifuge proves."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np

from levigate.errors import SumError
from levigate.quantities.figure import Figure
from levigate.quantities.saying import digits
from levigate.reckon.grains import (
    GRAIN_ERRORS,
    GRAIN_KEYS,
    SOLIDS_KEYS,
    both_branches,
    peclet_and_exponent,
    take_grain,
    take_solids,
)
from levigate.reckon.readings import Answer, Method, Reading, answer, counted, doubts, error_key, shown, take
from levigate.reckon.sizes import said
from levigate.reckon.sums import Key, Reckoned, Told, need, quick_sum
from levigate.science.constants import Floats
from levigate.science.suspension import (
    equivalent_standing_time,
    hindered_factor_richardson_zaki,
    relative_centrifugal_force,
    reynolds_number,
    sedimentation_length,
    settling_velocity,
    settling_velocity_inertial,
)

#: Péclet number below which heat lifts grains as much as their weight brings them down.
_STIRRED = 1.0
#: Clear layer that a person notices. [m]
_SEEN = 1e-3
#: More than any centrifuge of a bench gives, in times gravity.
_STRONGEST = 1e5
_STOKES = Method(
    "v = (ρₚ - ρ) g d²/(18 µ)",
    "Stokes-1851",
    holds="one rigid ball far from walls and neighbours, no yield stress, Reynolds number up to 1",
    seen_off="1 to 2 % too fast at a Reynolds number of 0.1, a tenth at 1",
)
_INERTIA = Method(
    "C(Re) Re² = 4/3 ρ Δρ g d³/µ², C after Cheng",
    "Cheng-2009",
    holds="one smooth rigid ball far from walls and neighbours, no yield stress, Reynolds number up to 200 000",
    seen_off="3 % from the drag law of Clift, Grace and Weber up to a Reynolds number of 1000; sharp grains are slower",
)
_AMONG = Method(
    "v = v₀ (1 - φ)ⁿ, v₀ by Stokes' law",
    "Brzinski-Durian-2018",
    holds="equal balls that do not cling, Reynolds number up to 1; flocs sink far faster",
    seen_off="n known within 0.1 (5.6) and 0.04 (4.48); at 20 % solids the two branches are 28 % apart",
    place="abstract",
)
_STANDING = Method(
    "t₁ = t RCF",
    "Stokes-1851",
    holds="by Stokes' law alone: no yield stress, no flocs, no coalescence",
    seen_off="not for gels and creams with a yield stress: the shelf and the spin ask them different questions",
)


@dataclass(frozen=True, slots=True)
class _Motion:
    """A velocity with the law and the readings that it follows from."""

    law: Callable[..., Floats]
    readings: tuple[Reading, ...]
    velocity: Answer


@dataclass(slots=True)
class _Account:
    """What has been reckoned so far."""

    figures: dict[str, Figure] = field(default_factory=dict)
    working: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


@quick_sum(
    "settling",
    "How fast a grain or drop sinks or rises, alone and among its like, and the time to fall a height.",
    "diameter=70um particle_density=2.6g/mL liquid_density=1g/mL viscosity=1mPa.s",
    **GRAIN_KEYS,
    viscosity=Key("viscosity", "viscosity of the liquid at rest"),
    height=Key("length", "height to fall or rise"),
    **SOLIDS_KEYS,
    **GRAIN_ERRORS,
    viscosity_error=error_key("the viscosity", "5 %"),
    reading_error=error_key("the height", "1 mm"),
)
def settling(told: Told) -> Reckoned:
    """Return the velocity of a grain."""
    need(told, "settling", "diameter", "particle_density", "liquid_density", "viscosity")
    grain, heavy, light = take_grain(told, "settling")
    (mu,) = take(told, "settling", viscosity="viscosity_error")
    account = _Account()
    motion = _alone(account, (grain, heavy, light, mu))
    peclet, exponent = peclet_and_exponent(told, grain, heavy, light)
    account.working.append(f"Pe = 4/3 π a⁴ Δρ g/(k T) = {peclet:.2g}, weight over stirring by heat")
    if "solids" in told or "solids_by_mass" in told:
        solids = take_solids(told, "settling", heavy, light)
        motion = _among(account, motion, solids, exponent)
        account.notes += both_branches(peclet, solids, exponent)
        shows = said(_SEEN / abs(motion.velocity.value), "time", 2)
        account.notes.append(f"Equal grains leave a clear layer of 1 mm, which one sees, after about {shows}.")
    if "height" in told:
        _fall(account, motion, take(told, "settling", height="reading_error")[0])
    length = float(sedimentation_length(grain.value, heavy.value, light.value, told["temperature"]))
    if peclet < _STIRRED or ("height" in told and length > told["height"]):
        account.notes.append(
            f"Heat stirs grains this fine: in the end they stay lifted over about {said(length, 'length', 2)} "
            "(height at which their number has fallen to 1/e)."
        )
    account.notes.append("No yield stress was counted; `suspend` says which one would hold this grain for good.")
    return Reckoned(account.figures, tuple(account.working), (*account.notes, *doubts(motion.velocity)))


def _alone(account: _Account, readings: tuple[Reading, ...]) -> _Motion:
    """Reckon the velocity of one grain, by Stokes' law where that holds and with inertia in any case."""
    grain, heavy, light, mu = readings
    velocity = answer(
        settling_velocity_inertial,
        readings,
        "speed",
        outside="A grain this large moves so fast (Reynolds number above 200 000) that no drag law here holds.",
        signed=True,
    )
    number = float(reynolds_number(velocity.value, grain.value, light.value, mu.value))
    if math.isnan(float(settling_velocity(*(reading.value for reading in readings)))):
        account.notes.append("Stokes' law ends at a Reynolds number of 1; only the velocity with inertia is given.")
    else:
        stokes = answer(settling_velocity, readings, "speed", outside="", signed=True)
        gap = said(heavy.value - light.value, "density")
        account.working.append(
            f"v = (ρₚ - ρ) g d²/(18 µ) = {gap} × 9.80665 m/s² × ({grain})² / (18 × {mu}) = {stokes} (Stokes)"
        )
        account.figures["velocity_stokes"] = shown(
            "velocity_stokes", "Velocity downward by Stokes' law", stokes, _STOKES
        )
    account.working.append(
        f"C(Re) Re² = 4/3 ρ (ρₚ - ρ) g d³/µ² gives v = {velocity}, Re = ρ v d/µ = {digits(number, 3)}"
    )
    account.figures["velocity"] = shown("velocity", "Velocity downward, inertia counted", velocity, _INERTIA)
    account.figures["reynolds"] = counted(
        "reynolds", "Reynolds number", number, "", Method("Re = ρ v d/µ", "definition")
    )
    if velocity.low < 0 < velocity.high:
        account.notes.append("Within their errors these densities do not say which way it moves.")
    return _Motion(settling_velocity_inertial, readings, velocity)


def _among(account: _Account, alone: _Motion, solids: Reading, exponent: float) -> _Motion:
    """Reckon the velocity of a grain among its like."""
    if "velocity_stokes" not in account.figures:
        raise SumError("How neighbours slow a grain is known here up to a Reynolds number of 1 only; leave out solids.")

    def law(d: Floats, heavy: Floats, light: Floats, mu: Floats, share: Floats) -> Floats:
        return settling_velocity(d, heavy, light, mu) * hindered_factor_richardson_zaki(share, exponent)

    readings = (*alone.readings, solids)
    slowed = answer(law, readings, "speed", outside="", signed=True)
    factor = float(hindered_factor_richardson_zaki(solids.value, exponent))
    account.working.append(
        f"v/v₀ = (1 - φ)ⁿ = (1 - {digits(solids.value)})^{exponent:g} = {digits(factor)}; v = {slowed} among its like"
    )
    account.figures["velocity_hindered"] = shown(
        "velocity_hindered", "Velocity downward among its like", slowed, _AMONG
    )
    return _Motion(law, readings, slowed)


def _fall(account: _Account, motion: _Motion, height: Reading) -> None:
    """Reckon the time to fall or rise a height."""
    if motion.velocity.low < 0 < motion.velocity.high:
        account.notes.append("No time to fall the height is given, since it may move either way.")
        return
    found = answer(lambda *of: of[-1] / np.abs(motion.law(*of[:-1])), (*motion.readings, height), "time")
    account.working.append(f"t = h/v = {height} / {said(abs(motion.velocity.value), 'speed')} = {found}")
    account.figures["time"] = shown(
        "time",
        f"Time to move {height}",
        found,
        Method("t = h/v", source="definition", holds="as the velocity; the liquid at rest all that time"),
    )


@quick_sum(
    "centrifuge",
    "How much harder than gravity a centrifuge pulls, how long a jar would stand for the same, and what that proves.",
    "radius=10cm rotation=3000rpm time=30min",
    radius=Key("length", "distance of the sample from the axle"),
    rotation=Key("rotation", "how fast it turns"),
    time=Key("time", "how long it turns, for the time a jar would stand"),
    reading_error=error_key("the distance from the axle", "5 mm"),
    rotation_error=error_key("the rotation", "2 %"),
    time_error=error_key("the time", "10 s"),
)
def centrifuge(told: Told) -> Reckoned:
    """Return the relative centrifugal force and the time of standing that it makes up for."""
    arm, turns = take(told, "centrifuge", radius="reading_error", rotation="rotation_error")
    force = answer(relative_centrifugal_force, (arm, turns), "share")
    if force.value > _STRONGEST:
        raise SumError(
            f"No centrifuge of a bench pulls {digits(force.value, 2)} times as hard as gravity; look at the units."
        )
    times = digits(force.value)
    working = [f"RCF = (2π f)² r/g = (2π × {turns})² × {arm} / 9.80665 m/s² = {times}"]
    how = Method(
        "RCF = (2π f)² r/g", "definition", holds="at the distance told; it grows towards the bottom of the tube"
    )
    pull = counted("force", "Pull over gravity", force.value, "× g", how, (arm, turns))
    figures = {"force": replace(pull, low=force.low, high=force.high)}
    notes = [
        "What it proves: drops or grains that part here would part on the shelf too, sooner or later, if nothing but a "
        "thick liquid slows them; and a gel that holds them here has yield stress to spare.",
        f"What it does not prove: that a gel which fails here fails on the shelf (the spin asks for {times} times the "
        "yield stress of rest), or that what holds here keeps (flocs, coalescence and ageing are not hastened).",
    ]
    if "time" in told:
        (time,) = take(told, "centrifuge", time="time_error")
        standing = answer(
            lambda r, f, t: equivalent_standing_time(t, relative_centrifugal_force(r, f)),
            (arm, turns, time),
            "time",
        )
        working.append(f"t₁ = t × RCF = {time} × {times} = {standing}")
        figures["standing_time"] = shown("standing_time", "Standing that settles as far", standing, _STANDING)
        return Reckoned(figures, tuple(working), (*notes, *doubts(standing)))
    return Reckoned(figures, tuple(working), (*notes, *doubts(force)))
