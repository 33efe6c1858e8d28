"""Quick sums of what holds grains: the yield stress they need, a tube that stood, a centrifuge."""

from __future__ import annotations

import math
from dataclasses import replace

from levigate.errors import SumError
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
from levigate.reckon.readings import Reading, answer, doubts, error_key, exact, said, shown, take, unequal
from levigate.reckon.sums import Key, Reckoned, Told, figure, need, quick_sum
from levigate.science.benchtests import viscosity_from_clear_layer, yield_stress_from_beads
from levigate.science.constants import Floats
from levigate.science.grain import grain_diameter, grain_sigma
from levigate.science.suspension import (
    YIELD_NUMBER_CAUTIOUS,
    diameter_held,
    equivalent_standing_time,
    relative_centrifugal_force,
    settling_velocity,
    yield_stress_to_hold,
)

_DEFINITION = "Y = 3 τ/(2 R Δρ g), held from Y = 0.143 up (Beris): τ = Y d Δρ g/3 = 0.0477 d Δρ g"
_HOLDS = "one rigid ball alone in a Bingham body at rest, at its warmest, without vibration"
#: How measurements lie about the computed limit; from memory.
_SEEN = "measured limits gather near Y = 0.14 and near 0.6 (0.2 d Δρ g), four times the computed one (from memory)"
_TRAP = (
    "0.143 belongs to Y = 3 τ/(2 R Δρ g); set before d Δρ g as it stands it would ask for three times too much. "
    "Drops and bubbles stretch and escape more easily than balls."
)
#: Share of the mass of a powder that is to be held where its sizes are told by d50 and d90.
_MOST = 0.99
#: More than any centrifuge of a bench gives, in times gravity.
_STRONGEST = 1e5


@quick_sum(
    "suspend",
    "Yield stress that a gel needs to hold a grain, drop or bubble for good.",
    "diameter=10um particle_density=5.6g/mL liquid_density=1g/mL",
    **GRAIN_KEYS,
    d50=Key("length", "size below which half of the mass lies; with d90 in place of the diameter"),
    d90=Key("length", "size below which nine tenths of the mass lie"),
    yield_stress=Key("pressure", "yield stress that the gel has, to be told what it holds"),
    **GRAIN_ERRORS,
    yield_stress_error=error_key("the yield stress", "20 %"),
)
def suspend(told: Told) -> Reckoned:
    """Return the yield stress needed."""
    need(told, "suspend", "particle_density", "liquid_density")
    grain, working = _grain(told)
    heavy, light = take(told, "suspend", particle_density="density_error", liquid_density="density_error")
    unequal(heavy, light)
    readings = (grain, heavy, light)
    least = answer(yield_stress_to_hold, readings, "pressure", outside="")
    most = answer(
        lambda d, p, rho: yield_stress_to_hold(d, p, rho, YIELD_NUMBER_CAUTIOUS), readings, "pressure", outside=""
    )
    gap = said(abs(heavy.value - light.value), "density")
    working += [
        _DEFINITION,
        f"τ = 0.143/3 × {grain} × {gap} × 9.80665 m/s² = {least}",
        f"τ = 0.2 × {grain} × {gap} × 9.80665 m/s² = {most}, to be cautious",
    ]
    figures = {
        "yield_stress": shown(
            "yield_stress",
            "Yield stress needed",
            least,
            method="τ = 0.143 d Δρ g/3",
            source="Beris-1985",
            holds=_HOLDS,
            seen_off=_SEEN,
        ),
        "yield_stress_cautious": shown(
            "yield_stress_cautious",
            "Yield stress needed, to be cautious",
            most,
            method="τ = 0.2 d Δρ g",
            source="memory",
            grade="memory",
            holds=_HOLDS,
            seen_off="the upper of two groups of measurements (from memory)",
        ),
    }
    notes = [_TRAP, *doubts(least)]
    if "yield_stress" in told:
        (has,) = take(told, "suspend", yield_stress="yield_stress_error")
        held = answer(diameter_held, (has, heavy, light), "length", outside="")
        working.append(f"d = 3 τ/(0.143 Δρ g) = 3 × {has} / (0.143 × {gap} × 9.80665 m/s²) = {held}")
        figures["diameter_held"] = shown(
            "diameter_held",
            f"Largest grain that {has} holds",
            held,
            method="d = 3 τ/(0.143 Δρ g)",
            source="Beris-1985",
            holds=_HOLDS,
            seen_off=_SEEN,
        )
        notes.insert(0, _verdict(has, least.value, most.value))
    return Reckoned(figures, tuple(working), tuple(notes))


def _grain(told: Told) -> tuple[Reading, list[str]]:
    """Return the grain to be held: as told, or the size below which 99 % of a powder lie."""
    if "diameter" in told or not ("d50" in told or "d90" in told):
        return take(told, "suspend", diameter="diameter_error")[0], []
    middle, high = take(told, "suspend", d50="diameter_error", d90="diameter_error")
    if high.value < middle.value:
        raise SumError(f"d90 ({high}) lies below d50 ({middle}), so that nine tenths would be less than half.")
    sigma = float(grain_sigma(middle.value, high.value))
    coarse = float(grain_diameter(_MOST, middle.value, sigma))
    line = f"σ = (d90/d50)^(1/1.2816) = {digits(sigma)}; d99 = d50 σ^2.326 = {said(coarse, 'length')}"
    return Reading("diameter", coarse, coarse * high.half / high.value, "length", high.assumed), [line]


def _verdict(has: Reading, least: float, most: float) -> str:
    if has.value >= most:
        return f"{has} holds it, by the cautious figure too."
    if has.value >= least:
        return f"{has} holds it by the computed limit, but not by the cautious figure: let a jar stand before you trust it."
    return f"{has} does not hold it: it will sink or rise."


@quick_sum(
    "clear-layer",
    "What a tube that stood says: viscosity from its clear layer, or yield stress from what stayed and what sank.",
    "layer=4mm time=7days diameter=2um particle_density=4.2g/mL liquid_density=1g/mL solids=5%",
    layer=Key("length", "height of the clear layer; 0 mm where none is to be seen"),
    time=Key("time", "how long the tube has stood"),
    **GRAIN_KEYS,
    **SOLIDS_KEYS,
    height=Key("length", "height of what stands in the tube"),
    held=Key("length", "largest grain that stayed; with sunk, for the yield stress"),
    sunk=Key("length", "smallest grain that sank or rose"),
    seen=Key("length", "least layer that one would have seen", "1 mm"),
    **GRAIN_ERRORS,
    reading_error=error_key("the height of the layer", "1 mm"),
    time_error=error_key("the time", "1 h"),
)
def clear_layer(told: Told) -> Reckoned:
    """Return the viscosity or the yield stress that a tube which stood shows."""
    if "held" in told or "sunk" in told:
        return _between(told)
    need(told, "clear-layer", "layer", "time", "diameter", "particle_density", "liquid_density")
    grain, heavy, light = take_grain(told, "clear-layer")
    (time,) = take(told, "clear-layer", time="time_error")
    nothing = told["layer"] == 0
    (layer,) = take(told, "clear-layer", **({"seen": ""} if nothing else {"layer": "reading_error"}))
    few = "solids" not in told and "solids_by_mass" not in told
    solids = exact("solids", 0.0, "share") if few else take_solids(told, "clear-layer", heavy, light)
    _still_sinking(told, layer, solids)
    peclet, exponent = peclet_and_exponent(told, grain, heavy, light)

    def law(h: Floats, t: Floats, d: Floats, p: Floats, rho: Floats, share: Floats) -> Floats:
        return viscosity_from_clear_layer(h, t, d, p, rho, share, exponent)

    found = answer(law, (layer, time, grain, heavy, light, solids), "viscosity", outside="")
    if math.isnan(float(settling_velocity(grain.value, heavy.value, light.value, found.value))):
        raise SumError("Grains that sink this fast are past Stokes' law (Reynolds number above 1); take finer ones.")
    gap = said(abs(heavy.value - light.value), "density")
    working = [
        f"Pe = {peclet:.2g}, so n = {exponent:g}",
        f"µ = Δρ g d² (1 - φ)ⁿ t/(18 h) = {gap} × 9.80665 m/s² × ({grain})² × (1 - {digits(solids.value)})^{exponent:g} "
        f"× {time} / (18 × {layer}) = {found}",
    ]
    viscosity = shown(
        "viscosity",
        "Viscosity at rest, at least" if nothing else "Viscosity at rest",
        found,
        method=f"µ = Δρ g d² (1 - φ)ⁿ t/(18 h), n = {exponent:g}",
        source="Stokes-1851",
        holds="equal balls that do not cling and are still sinking, a sharp edge, no yield stress, Reynolds number up to 1",
        seen_off="the edge follows the finest grains that are many: with the median size the viscosity comes out too high",
    )
    figures = {"viscosity": viscosity}
    notes = ["Grains that make flocs sink far faster than alone: the viscosity then comes out too low."]
    if nothing:
        figures, more = {"viscosity": replace(viscosity, low=None, high=None)}, _held_for_good(working, grain, heavy, light)
        notes = [f"No layer was seen where {layer} would have been, so that the viscosity is at least this.", more, *notes]
    if few:
        notes.append("No solids were told: one grain alone was reckoned; among its like it is slower.")
    return Reckoned(figures, tuple(working), (*notes, *both_branches(peclet, solids, exponent), *doubts(found)))


def _still_sinking(told: Told, layer: Reading, solids: Reading) -> None:
    """Raise SumError when the grains cannot have sunk that far, or have all arrived."""
    if "height" not in told:
        return
    (height,) = take(told, "clear-layer", height="")
    if layer.value >= height.value:
        raise SumError(f"A clear layer of {layer} in a column of {height} leaves no room for the grains.")
    if layer.value >= height.value * (1 - solids.value / told["packing"]) - layer.half:
        raise SumError("The grains have all arrived at the bottom, so the layer no longer tells how fast: read it earlier.")


def _held_for_good(working: list[str], grain: Reading, heavy: Reading, light: Reading) -> str:
    stress = answer(yield_stress_to_hold, (grain, heavy, light), "pressure", outside="")
    working.append(f"held for good, it would have a yield stress of at least 0.0477 d Δρ g = {stress}")
    return f"If they never move, the yield stress is at least {stress}; a tube that stood so long cannot tell which of the two."


def _between(told: Told) -> Reckoned:
    """Return the yield stress between what held one grain and let the other go."""
    need(told, "clear-layer", "held", "sunk", "particle_density", "liquid_density")
    held, sunk, heavy, light = take(
        told,
        "clear-layer",
        held="diameter_error",
        sunk="diameter_error",
        particle_density="density_error",
        liquid_density="density_error",
    )
    unequal(heavy, light)
    if sunk.value <= held.value:
        raise SumError(f"The grain that sank ({sunk}) must be larger than the one that stayed ({held}).")
    ends = [answer(yield_stress_to_hold, (grain, heavy, light), "pressure", outside="") for grain in (held, sunk)]
    middle = answer(yield_stress_from_beads, (held, sunk, heavy, light), "pressure", outside="")
    found = replace(middle, low=ends[0].low, high=ends[1].high)
    gap = said(abs(heavy.value - light.value), "density")
    working = (
        _DEFINITION,
        f"held: τ at least 0.0477 × {held} × {gap} × 9.80665 m/s² = {ends[0]}",
        f"sunk: τ less than 0.0477 × {sunk} × {gap} × 9.80665 m/s² = {ends[1]}",
        f"in the middle: {found}",
    )
    stress = shown(
        "yield_stress",
        "Yield stress",
        found,
        method="between 0.0477 Δρ g times the size held and times the size sunk, widened by the errors of the readings",
        source="Beris-1985",
        holds=_HOLDS + "; grains wetted without air, left for a day at least",
        seen_off=_SEEN,
    )
    return Reckoned({"yield_stress": stress}, working, (_TRAP, *doubts(found)))


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
    force = answer(relative_centrifugal_force, (arm, turns), "share", outside="")
    if force.value > _STRONGEST:
        raise SumError(f"No centrifuge of a bench pulls {digits(force.value, 2)} times as hard as gravity; look at the units.")
    times = digits(force.value)
    working = [f"RCF = (2π f)² r/g = (2π × {turns})² × {arm} / 9.80665 m/s² = {times}"]
    pull = figure(
        "force", "Pull over gravity", force.value, "× g", method="RCF = (2π f)² r/g", source="definition",
        inputs=(arm.input(), turns.input()), holds="at the distance told; it grows from the top of the tube to its bottom",
    )  # fmt: skip
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
            outside="",
        )
        working.append(f"t₁ = t × RCF = {time} × {times} = {standing}")
        figures["standing_time"] = shown(
            "standing_time",
            "Standing that settles as far",
            standing,
            method="t₁ = t RCF",
            source="Stokes-1851",
            holds="by Stokes' law alone: no yield stress, no flocs, no coalescence",
            seen_off="not at all for gels and creams with a yield stress, where the two tests ask different questions",
        )
        return Reckoned(figures, tuple(working), (*notes, *doubts(standing)))
    return Reckoned(figures, tuple(working), (*notes, *doubts(force)))
