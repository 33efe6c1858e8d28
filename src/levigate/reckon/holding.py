"""Quick sums of what holds grains: the yield stress that they need, and what a tube that stood says of it."""

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
from levigate.reckon.readings import Method, Reading, answer, doubts, error_key, exact, shown, take, unequal
from levigate.reckon.sizes import said
from levigate.reckon.sums import Key, Reckoned, Told, need, quick_sum
from levigate.science.benchtests import viscosity_from_clear_layer, yield_stress_from_beads
from levigate.science.constants import Floats
from levigate.science.grain import grain_diameter, grain_sigma
from levigate.science.suspension import (
    YIELD_NUMBER_CAUTIOUS,
    diameter_held,
    settling_velocity,
    yield_stress_to_hold,
)

_DEFINITION = "Y = 3 τ/(2 R Δρ g), held from Y = 0.143 up (Beris): τ = Y d Δρ g/3 = 0.0477 d Δρ g"
_HOLDS = "one rigid ball alone in a Bingham body at rest, at its warmest, without vibration"
#: How measurements lie about the computed limit; from memory.
_SEEN = "measured limits gather near Y = 0.14 and near 0.6 (0.2 d Δρ g), four times the computed one (from memory)"
_LIMIT = Method("τ = 0.143 d Δρ g/3", "Beris-1985", holds=_HOLDS, seen_off=_SEEN)
_CAUTIOUS = Method(
    "τ = 0.2 d Δρ g",
    "memory",
    holds=_HOLDS,
    seen_off="the upper of two groups of measurements (from memory)",
    grade="memory",
)
_BETWEEN = Method(
    "between 0.0477 Δρ g times the size held and times the size sunk, widened by the errors of the readings",
    "Beris-1985",
    holds=f"{_HOLDS}; grains wetted without air, left for a day at least",
    seen_off=_SEEN,
)
_STOOD = Method(
    "µ = Δρ g d² (1 - φ)ⁿ t/(18 h)",
    "Stokes-1851",
    holds="equal balls that do not cling and still sink, a sharp edge, no yield stress, Reynolds number up to 1",
    seen_off="the edge follows the finest grains that are many: with the median size the viscosity comes out too high",
)
_TRAP = (
    "0.143 belongs to Y = 3 τ/(2 R Δρ g); set before d Δρ g as it stands it would ask for three times too much. "
    "Drops and bubbles stretch and escape more easily than balls."
)
#: Share of the mass of a powder that is to be held where its sizes are told by d50 and d90.
_MOST = 0.99


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
    least = answer(yield_stress_to_hold, readings, "pressure")
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
        "yield_stress": shown("yield_stress", "Yield stress needed", least, _LIMIT),
        "yield_stress_cautious": shown("yield_stress_cautious", "Yield stress needed, to be cautious", most, _CAUTIOUS),
    }
    notes = [_TRAP, *doubts(least)]
    if "yield_stress" in told:
        (has,) = take(told, "suspend", yield_stress="yield_stress_error")
        held = answer(diameter_held, (has, heavy, light), "length")
        working.append(f"d = 3 τ/(0.143 Δρ g) = 3 × {has} / (0.143 × {gap} × 9.80665 m/s²) = {held}")
        how = replace(_LIMIT, equation="d = 3 τ/(0.143 Δρ g)")
        figures["diameter_held"] = shown("diameter_held", f"Largest grain that {has} holds", held, how)
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
        return f"{has} holds it by the computed limit but not by the cautious figure: let a jar stand to see."
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

    found = answer(law, (layer, time, grain, heavy, light, solids), "viscosity")
    if math.isnan(float(settling_velocity(grain.value, heavy.value, light.value, found.value))):
        raise SumError("Grains that sink this fast are past Stokes' law (Reynolds number above 1); take finer ones.")
    gap = said(abs(heavy.value - light.value), "density")
    working = [
        f"Pe = {peclet:.2g}, so n = {exponent:g}",
        f"µ = Δρ g d² (1 - φ)ⁿ t/(18 h) = {gap} × 9.80665 m/s² × ({grain})² × "
        f"(1 - {digits(solids.value)})^{exponent:g} × {time} / (18 × {layer}) = {found}",
    ]
    viscosity = shown("viscosity", "Viscosity at rest" + ", at least" * nothing, found, _STOOD)
    notes = ["Grains that make flocs sink far faster than alone: the viscosity then comes out too low."]
    if nothing:
        viscosity = replace(viscosity, low=None, high=None)
        held = answer(yield_stress_to_hold, (grain, heavy, light), "pressure")
        working.append(f"held for good, it would have a yield stress of at least 0.0477 d Δρ g = {held}")
        notes[:0] = [
            f"No layer was seen where {layer} would have been, so the viscosity is at least this.",
            f"Or the grains are held for good, by a yield stress of at least {held}: only longer standing can tell.",
        ]
    if few:
        notes.append("No solids were told: one grain alone was reckoned; among its like it is slower.")
    notes += both_branches(peclet, solids, exponent)
    return Reckoned({"viscosity": viscosity}, tuple(working), (*notes, *doubts(found)))


def _still_sinking(told: Told, layer: Reading, solids: Reading) -> None:
    """Raise SumError when the grains cannot have sunk that far, or have all arrived."""
    if "height" not in told:
        return
    (height,) = take(told, "clear-layer", height="")
    if layer.value >= height.value:
        raise SumError(f"A clear layer of {layer} in a column of {height} leaves no room for the grains.")
    if layer.value >= height.value * (1 - solids.value / told["packing"]) - layer.half:
        raise SumError(
            "The grains have all arrived at the bottom, so the layer no longer tells how fast: read it earlier."
        )


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
    ends = [answer(yield_stress_to_hold, (grain, heavy, light), "pressure") for grain in (held, sunk)]
    middle = answer(yield_stress_from_beads, (held, sunk, heavy, light), "pressure")
    found = replace(middle, low=ends[0].low, high=ends[1].high)
    gap = said(abs(heavy.value - light.value), "density")
    working = (
        _DEFINITION,
        f"held: τ at least 0.0477 × {held} × {gap} × 9.80665 m/s² = {ends[0]}",
        f"sunk: τ less than 0.0477 × {sunk} × {gap} × 9.80665 m/s² = {ends[1]}",
        f"in the middle: {found}",
    )
    stress = shown("yield_stress", "Yield stress", found, _BETWEEN)
    return Reckoned({"yield_stress": stress}, working, (_TRAP, *doubts(found)))
