"""Quick sums of settling: how fast a grain sinks or rises, what holds it, what a centrifuge proves."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

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
from levigate.reckon.readings import Answer, Reading, answer, doubts, error_key, said, shown, take
from levigate.reckon.sums import Key, Reckoned, Told, figure, need, quick_sum
from levigate.science.constants import Floats
from levigate.science.suspension import (
    hindered_factor_richardson_zaki,
    reynolds_number,
    sedimentation_length,
    settling_velocity,
    settling_velocity_inertial,
)

#: Péclet number below which heat lifts grains as much as their weight brings them down.
_STIRRED = 1.0


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
        outside="A grain this large and heavy moves so fast (Reynolds number above 200 000) that no drag law here holds.",
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
            "velocity_stokes",
            "Velocity downward by Stokes' law",
            stokes,
            method="v = (ρₚ - ρ) g d²/(18 µ)",
            source="Stokes-1851",
            holds="one rigid ball far from walls and neighbours, no yield stress, Reynolds number up to 1",
            seen_off="1 to 2 % too fast at a Reynolds number of 0.1, a tenth at 1",
        )
    account.working.append(f"C(Re) Re² = 4/3 ρ (ρₚ - ρ) g d³/µ² gives v = {velocity}, Re = ρ v d/µ = {digits(number, 3)}")
    account.figures["velocity"] = shown(
        "velocity",
        "Velocity downward, inertia counted",
        velocity,
        method="C(Re) Re² = 4/3 ρ Δρ g d³/µ², C after Cheng",
        source="Cheng-2009",
        holds="one smooth rigid ball far from walls and neighbours, no yield stress, Reynolds number up to 200 000",
        seen_off="3 % from the drag law of Clift, Grace and Weber up to a Reynolds number of 1000; sharp grains are slower",
    )
    account.figures["reynolds"] = figure(
        "reynolds", "Reynolds number", number, "", method="Re = ρ v d/µ", source="definition"
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
        f"v/v₀ = (1 - φ)ⁿ = (1 - {digits(solids.value)})^{exponent:g} = {digits(factor)}, so v = {slowed} among its like"
    )
    account.figures["velocity_hindered"] = shown(
        "velocity_hindered",
        "Velocity downward among its like",
        slowed,
        method=f"v = v₀ (1 - φ)ⁿ, v₀ by Stokes' law, n = {exponent:g}",
        source="Brzinski-Durian-2018",
        place="abstract",
        holds="equal balls that do not cling, Reynolds number up to 1; flocs sink far faster",
        seen_off="n known within 0.1 (5.6) and 0.04 (4.48); at 20 % solids the two branches are 28 % apart",
    )
    return _Motion(law, readings, slowed)


def _fall(account: _Account, motion: _Motion, height: Reading) -> None:
    """Reckon the time to fall or rise a height."""
    if motion.velocity.low < 0 < motion.velocity.high:
        account.notes.append("No time to fall the height is given, since it may move either way.")
        return
    found = answer(
        lambda *of: of[-1] / np.abs(motion.law(*of[:-1])), (*motion.readings, height), "time", outside=""
    )
    account.working.append(f"t = h/v = {height} / {said(abs(motion.velocity.value), 'speed')} = {found}")
    account.figures["time"] = shown(
        "time",
        f"Time to move {height}",
        found,
        method="t = h/v",
        source="definition",
        holds="as the velocity; the liquid at rest all that time",
    )
