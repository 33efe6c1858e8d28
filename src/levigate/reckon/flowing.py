"""Quick sums of flow: a ball that sinks, a paste that slumps, a cup that runs empty."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np

from levigate.errors import SumError
from levigate.quantities.saying import digits
from levigate.reckon.readings import (
    Method,
    Reading,
    answer,
    counted,
    doubts,
    error_key,
    exact,
    shown,
    take,
    unequal,
)
from levigate.reckon.sizes import said
from levigate.reckon.sums import Key, Reckoned, Told, need, quick_sum
from levigate.science.benchtests import viscosity_from_falling_ball, wall_factor_faxen, yield_stress_from_slump
from levigate.science.constants import STANDARD_GRAVITY, Floats
from levigate.science.flowcups import FLOW_CUPS, kinematic_viscosity_from_flow_cup
from levigate.science.suspension import reynolds_number

#: Height over width of a slump mould for which the test was found reliable.
_MOULD = (0.83, 1.15)
#: How far a cup and its table may be off where nobody has checked it with an oil (95 %), by family.
_CUP_ERROR = {
    "zahn": (0.23, "1.96 times the 11.5 % by which laboratories differ, ASTM D4212, 13.1.1"),
    "": (0.05, "judged from tables that differ by 4 %"),
}
_IN_TUBE = Method(
    "µ = |ρₚ - ρ| g d² f(d/D)/(18 v), f after Faxén",
    "Faxen-1922",
    holds="simple liquid, ball on the axis, d/D up to 0.3, Reynolds number up to 0.25",
    seen_off="wall series 0.3 % from the exact solution at d/D 0.3 (from memory); inertia up to 5 %",
)
_IN_WIDE = Method(
    "µ = |ρₚ - ρ| g d²/(18 v)",
    "Stokes-1851",
    holds="simple liquid, vessel more than a hundred times as wide as the ball, Reynolds number up to 0.25",
    seen_off="a wall ten times as far apart as the ball is wide makes it 20 % too high; inertia up to 5 %",
)
_SLUMPED = Method(
    "s/H = 1 - x (1 - ln x), x = 2 τ/(ρ g H), solved exactly",
    "Pashias-1996",
    holds="mould 0.83 to 1.15 times as high as wide, wetted, lifted slowly; the top stays flat",
    seen_off="not held against another method here; the short form ½ - ½ √(s/H) is 70 % higher at s/H 0.6",
)


@quick_sum(
    "falling-ball",
    "Viscosity from a ball that sinks, or rises, along the middle of a tube.",
    "diameter=2mm particle_density=7.8g/mL liquid_density=1.261g/mL distance=100mm time=11.5s tube_diameter=30mm",
    diameter=Key("length", "diameter of the ball"),
    particle_density=Key("density", "density of the ball"),
    liquid_density=Key("density", "density of the liquid"),
    distance=Key("length", "way between the two marks"),
    time=Key("time", "time from one mark to the other"),
    tube_diameter=Key("length", "inner diameter of the tube; without it the vessel counts as very wide"),
    diameter_error=error_key("the diameter of the ball", "0.05 mm"),
    density_error=error_key("each density", "0.5 %"),
    reading_error=error_key("what was read on a ruler", "1 mm"),
    time_error=error_key("the time", "0.5 s"),
)
def falling_ball(told: Told) -> Reckoned:
    """Return the viscosity from the time a ball takes."""
    ball, heavy, light, way, time = take(
        told,
        "falling-ball",
        diameter="diameter_error",
        particle_density="density_error",
        liquid_density="density_error",
        distance="reading_error",
        time="time_error",
    )
    unequal(heavy, light)
    tube, factor = _wall(told, ball)
    found = answer(
        _viscosity_of_ball,
        (ball, heavy, light, way, time, tube),
        "viscosity",
        outside="The ball is too fast for Stokes' law (Reynolds number above 0.25); take a smaller or lighter one.",
    )
    speed = way.value / time.value
    wall = f" × {digits(factor)}" if math.isfinite(tube.value) else ""
    number = float(reynolds_number(speed, ball.value, light.value, found.value))
    gap = said(abs(heavy.value - light.value), "density")
    working = [
        f"v = s/t = {way} / {time} = {said(speed, 'speed')}",
        f"µ = |ρₚ - ρ| g d² f/(18 v) = {gap} × 9.80665 m/s² × ({ball})²{wall} "
        f"/ (18 × {said(speed, 'speed')}) = {found}",
        f"Re = ρ v d/µ = {digits(number, 3)}",
    ]
    if wall:
        ratio = f"λ = d/D = {ball} / {tube} = {digits(ball.value / tube.value)}"
        working.insert(1, f"{ratio}; f = 1 - 2.104 λ + 2.09 λ³ - 0.95 λ⁵ = {digits(factor)}")
    viscosity = shown("viscosity", "Viscosity", found, _IN_TUBE if wall else _IN_WIDE)
    reynolds = counted("reynolds", "Reynolds number", number, "", Method("Re = ρ v d/µ", "definition"))
    rate = digits(2 * speed / ball.value, 2)
    notes = [
        "Upper mark a few ball diameters under the surface, lower mark at least half a tube width above the bottom.",
        f"In a liquid that thins as it flows this is the viscosity at a shear rate of about {rate} 1/s.",
    ]
    if not wall:
        notes.insert(0, "No wall was counted; in a tube ten times as wide as the ball it slows the ball by a fifth.")
    return Reckoned({"viscosity": viscosity, "reynolds": reynolds}, tuple(working), (*notes, *doubts(found)))


def _viscosity_of_ball(d: Floats, heavy: Floats, light: Floats, way: Floats, time: Floats, tube: Floats) -> Floats:
    return viscosity_from_falling_ball(d, heavy, light, np.copysign(way, heavy - light), time, tube)


def _wall(told: Told, ball: Reading) -> tuple[Reading, float]:
    """Return the tube, without end where none was told, and the factor by which its wall slows the ball."""
    if "tube_diameter" not in told:
        return exact("tube_diameter", math.inf, "length"), 1.0
    if 0 < told["tube_diameter"] <= ball.value:
        raise SumError(f"A ball of {ball} does not go through a tube of {said(told['tube_diameter'], 'length')}.")
    (tube,) = take(told, "falling-ball", tube_diameter="reading_error")
    factor = float(wall_factor_faxen(ball.value, tube.value))
    if math.isnan(factor):
        raise SumError(
            f"A ball of {ball} in a tube of {tube} is held too much by the wall for a correction; "
            "take one of at most 0.3 of the width."
        )
    return tube, factor


@quick_sum(
    "slump",
    "Yield stress of a paste from how far a cylinder of it sinks when its mould is lifted.",
    "height=50mm slump=30mm density=1g/mL",
    height=Key("length", "inner height of the mould"),
    slump=Key("length", "fall of the top"),
    density=Key("density", "density of the paste"),
    diameter=Key("length", "inner diameter of the mould; about the height"),
    reading_error=error_key("what was read on a ruler", "1 mm"),
    density_error=error_key("the density", "1 %"),
)
def slump(told: Told) -> Reckoned:
    """Return the yield stress from a slump."""
    need(told, "slump", "height", "slump", "density")
    if told["slump"] == 0:
        raise SumError(
            "A paste that does not slump says only that it holds its own weight; take a taller mould, or thin it."
        )
    fall, tall, rho = take(told, "slump", slump="reading_error", height="reading_error", density="density_error")
    if fall.value >= tall.value:
        raise SumError(
            f"A slump of {fall} from a mould of {tall} leaves nothing standing: measure the puddle with `spread`."
        )
    if "diameter" in told:
        _mould(tall, take(told, "slump", diameter="")[0])
    found = answer(
        yield_stress_from_slump, (fall, tall, rho), "pressure", outside="This slump has no answer in the formula."
    )
    foot = rho.value * STANDARD_GRAVITY * tall.value
    share = 2 * found.value / foot
    working = (
        f"s/H = {fall} / {tall} = {digits(fall.value / tall.value)}",
        f"s/H = 1 - x (1 - ln x) is solved by x = 2 τ/(ρ g H) = {digits(share)}",
        f"τ = x/2 × ρ g H = {digits(share / 2)} × {rho} × 9.80665 m/s² × {tall} = {found}",
    )
    stress = shown("yield_stress", "Yield stress", found, _SLUMPED)
    notes = () if "diameter" in told else ("The mould should be about as wide as it is high (0.83 to 1.15).",)
    return Reckoned({"yield_stress": stress}, working, (*notes, *doubts(found)))


def _mould(tall: Reading, wide: Reading) -> None:
    ratio = tall.value / wide.value
    if not _MOULD[0] <= ratio <= _MOULD[1]:
        raise SumError(
            f"A mould {digits(ratio, 2)} times as high as wide is outside the range of the test, "
            f"{_MOULD[0]} to {_MOULD[1]}."
        )


@quick_sum(
    "flow-cup",
    "Kinematic viscosity from the seconds a named flow cup takes to run empty.",
    'cup="Ford 4" time=80s',
    cup=Key(None, 'name and number of the cup: "Ford 4", "Zahn 2", "Shell 3", "DIN 4", "ISO 5"'),
    time=Key("time", "time until the stream breaks"),
    density=Key("density", "density of the liquid, for the viscosity in mPa.s"),
    time_error=error_key("the time", "0.5 s"),
    density_error=error_key("the density", "0.5 %"),
    cup_error=Key("share", "how far the cup is off (95 %), as found with an oil of known viscosity"),
)
def flow_cup(told: Told) -> Reckoned:
    """Return the kinematic viscosity from a flow cup."""
    need(told, "flow-cup", "cup", "time")
    (time,) = take(told, "flow-cup", time="time_error")
    name = " ".join(re.sub(r"\b(no\.?|number|cup)(?=\W|$)|#", " ", told.texts["cup"].casefold()).split())
    outside = float(kinematic_viscosity_from_flow_cup(name, time.value))
    cup = FLOW_CUPS[name]
    if math.isnan(outside):
        hint = "a smaller hole" if time.value < cup.shortest else "a larger hole"
        raise SumError(
            f"The formula of this cup holds from {cup.shortest} to {cup.longest} s, and {time} is outside; "
            f"take a cup with {hint}."
        )
    factor, known = _cup_factor(told, name)
    found = answer(
        lambda f, t: f * kinematic_viscosity_from_flow_cup(name, t), (factor, time), "kinematic viscosity", outside=""
    )
    inverse = f" - {cup.inverse:g}/t" if cup.inverse else ""
    formula = f"ν = {cup.slope:g} (t - {cup.offset:g}){inverse}" if cup.offset else f"ν = {cup.slope:g} t{inverse}"
    working = [f"{formula}, t = {time}: ν = {found}"]
    how = Method(
        formula,
        cup.source,
        holds=f"simple liquid at 25 °C, {cup.shortest} to {cup.longest} s",
        seen_off="1 % for oils of 120 mm²/s; another table gives 4 % less for Ford 4 and twice as much for Zahn 1",
    )
    figures = {"kinematic_viscosity": shown("kinematic_viscosity", "Kinematic viscosity", found, how)}
    if "density" in told:
        (rho,) = take(told, "flow-cup", density="density_error")
        working.append(f"µ = ρ ν = {rho} × {found}")
        found = answer(
            lambda f, t, r: r * f * kinematic_viscosity_from_flow_cup(name, t), (factor, time, rho), "viscosity"
        )
        working[-1] += f" = {found}"
        figures["viscosity"] = shown("viscosity", "Viscosity", found, replace(how, equation="µ = ρ ν"))
    notes = ["The cup and the formula meant are those of the standard named; a cream or a gel has no number here."]
    return Reckoned(figures, tuple(working), (*notes, *known, *doubts(found)))


def _cup_factor(told: Told, name: str) -> tuple[Reading, tuple[str, ...]]:
    """Return the cup as a factor of one that may be off, and what was assumed of it."""
    if "cup_error" in told:
        if not 0 <= told["cup_error"] < 1:
            raise SumError("cup_error is a share of the viscosity, such as 3%.")
        return Reading("cup", 1.0, told["cup_error"], "share"), ()
    half, why = next(entry for family, entry in _CUP_ERROR.items() if name.startswith(family))
    note = f"The cup itself was taken as right within {100 * half:g} % ({why}); check it with an oil and say cup_error."
    return Reading("cup", 1.0, half, "share"), (note,)
