"""Quantities of emulsions: HLB asked for and met, emulsifier for the oil, which type results, how fast drops cream."""

from __future__ import annotations

import numpy as np

from levigate.quantities.graph import Floats, quantity
from levigate.quantities.holding import speed_alone
from levigate.science import suspension
from levigate.science.hlb import hlb_blend
from levigate.science.hlb import hlb_required as required_of

#: Oil without a required HLB, as a share of the oil, up to which it is left out. [1]
_MAY_BE_UNRATED = 0.1
#: Emulsifier that goes by other rules, as a share of all, up to which the HLB of the rest decides. [1]
_MAY_BE_OWN = 0.1
#: HLB up to which a blend makes water in oil, and from which oil in water: the scale of Griffin (1954). [1]
WATER_IN_OIL_TO, OIL_IN_WATER_FROM = 6.0, 8.0
#: Drops by volume from which they touch and stay where they are. [1]
TOUCHING = 0.64
#: How many times the emulsifier of one type must outweigh that of the other for the type to be told. [1]
_OUTWEIGHS = 2.0

_TRIALS = (
    "More than a tenth of the oil has no required HLB on record, or is a material that is not described. Make six "
    "trials of 20 g with a fifth as much emulsifier as oil, polysorbate 80 with sorbitan oleate blended to HLB 8, 9, "
    '10, 11, 12 and 13; the one that stays whole longest tells it: [materials."..."] required_hlb = 11'
)
_OTHER_RULES = (
    "An emulsifier that has a charge, is a polymer or builds liquid crystals does more than a tenth of the work; HLB "
    "is not made for it: go by its own usual dose and a trial of 50 g"
)
_NO_TYPE = (
    "Whether oil or water is outermost cannot be told from these emulsifiers: put a drop into water; it spreads if "
    "water is outermost, and stays whole if oil is"
)
_NO_FLOW = (
    "How fast the drops move rests on the flow of the liquid around them, which is not known, and on the type: measure "
    'the flow with `levigate reckon slump` and write [measured] yield_stress = "... Pa"'
)


@quantity(
    unit="1",
    title="Oil to emulsify",
    equation="w(oils) = Σ wᵢ of oils, waxes and what dissolves in them",
    source="definition",
    holds="emulsifiers and thickeners are not counted",
)
def emulsified_oil(mass_fraction: Floats, oil_rated: Floats, oil_unrated: Floats) -> Floats:
    """Return the mass fraction of oil that an emulsifier has to hold. [1]"""
    return np.asarray((mass_fraction * (oil_rated + oil_unrated)).sum(-1))


@quantity(
    unit="-",
    title="HLB that the oil asks for",
    equation="rHLB = Σ wᵢ rHLBᵢ / Σ wᵢ over the oils",
    source="Griffin-1954",
    holds="for oil in water; oils of unknown required HLB up to a tenth of the oil are left out",
    seen_off="tables differ by 1 to 3 for one oil; from memory for most vegetable oils",
    beyond=_TRIALS,
)
def required_hlb(mass_fraction: Floats, oil_rated: Floats, oil_unrated: Floats, oil_asks: Floats) -> Floats:
    """Return the HLB that the oil phase asks of its emulsifier. [-]"""
    unrated = (mass_fraction * oil_unrated).sum(-1)
    whole = unrated + (mass_fraction * oil_rated).sum(-1)
    return np.where(unrated <= _MAY_BE_UNRATED * whole, required_of(mass_fraction * oil_rated, oil_asks), np.nan)


@quantity(
    unit="1",
    title="Emulsifier",
    equation="w(emulsifiers) = Σ wᵢ",
    source="definition",
    holds="fatty alcohols that help it are not counted, but for those sold in one with it as a wax",
)
def emulsifier_share(mass_fraction: Floats, emulsifier_rated: Floats, emulsifier_own: Floats) -> Floats:
    """Return the mass fraction of all emulsifiers. [1]"""
    return np.asarray((mass_fraction * (emulsifier_rated + emulsifier_own)).sum(-1))


@quantity(
    unit="-",
    title="HLB of the emulsifiers",
    equation="HLB = Σ wᵢ HLBᵢ / Σ wᵢ over the emulsifiers",
    source="Griffin-1954",
    holds="uncharged emulsifiers that are no polymers and build no liquid crystals, with others up to a tenth of all",
    seen_off="one emulsifier differs by 0.5 to 2 between tables, more between makers",
    beyond=_OTHER_RULES,
)
def emulsifier_hlb(
    mass_fraction: Floats, emulsifier_rated: Floats, line_hlb: Floats, hlb_doubt: Floats, emulsifier_share: Floats
) -> Floats:
    """Return the HLB of the blend of emulsifiers. [-]"""
    rated = mass_fraction * emulsifier_rated
    ruled = rated.sum(-1) >= (1 - _MAY_BE_OWN) * emulsifier_share
    return np.where(ruled, hlb_blend(rated, line_hlb + hlb_doubt), np.nan)


@quantity(
    unit="-",
    title="HLB too high (or, below nought, too low)",
    equation="Δ = HLB - rHLB",
    source="Griffin-1954",
    holds="for oil in water; within 1 is as good as met",
    seen_off="as the two HLBs",
)
def hlb_gap(emulsifier_hlb: Floats, required_hlb: Floats) -> Floats:
    """Return by how much the HLB of the emulsifiers is above that which the oil asks for. [-]"""
    return np.asarray(emulsifier_hlb - required_hlb)


@quantity(
    unit="1",
    title="Emulsifier to oil",
    equation="e = w(emulsifiers)/w(oils)",
    source="common-practice",
    holds="published blends by HLB take 9 to 20 % of the oil",
)
def emulsifier_per_oil(emulsifier_share: Floats, emulsified_oil: Floats) -> Floats:
    """Return the mass of emulsifier per mass of oil. [1]"""
    return np.asarray(emulsifier_share / emulsified_oil)


@quantity(
    unit="1",
    title="Emulsifier that makes",
    equation="w(type) = Σ wᵢ that puts its liquid outermost",
    source="Griffin-1954",
    holds="a blend by HLB counts whole: water in oil up to 6, oil in water from 8, neither between; others by what "
    "they are known to make; those that only help count for neither",
    seen_off="cooling, salt and the order of addition can turn what is near the middle",
    each="sides",
)
def emulsifier_sides(
    mass_fraction: Floats,
    emulsifier_rated: Floats,
    line_hlb: Floats,
    rated_sides: Floats,
    own_sides: Floats,
    emulsifier_share: Floats,
) -> Floats:
    """Return the mass fraction of emulsifier that makes oil in water, and that makes water in oil. [1]"""
    weight = mass_fraction * emulsifier_rated
    rated, hlb = weight.sum(-1), hlb_blend(weight, line_hlb)
    by_hlb = rated[..., None] * np.stack([hlb >= OIL_IN_WATER_FROM, hlb <= WATER_IN_OIL_TO], axis=-1)
    ruled = (rated >= (1 - _MAY_BE_OWN) * emulsifier_share)[..., None]
    return np.asarray(mass_fraction @ own_sides + np.where(ruled, by_hlb, mass_fraction @ rated_sides))


@quantity(
    unit="-",
    title="Type that results",
    equation="0 = oil in water, 1 = water in oil: the side with twice the emulsifier of the other",
    source="common-practice",
    holds="Bancroft's rule: the liquid in which the emulsifier is at home is outermost",
    seen_off="as the sides it rests on",
)
def emulsion_type(emulsifier_sides: Floats) -> Floats:
    """Return 0 for oil in water, 1 for water in oil, nan where it cannot be told. [-]"""
    water, oil = emulsifier_sides[..., 0], emulsifier_sides[..., 1]
    toward = [(water > 0) & (water >= _OUTWEIGHS * oil), (oil > 0) & (oil >= _OUTWEIGHS * water)]
    return np.select(toward, [0.0, 1.0], np.nan)


@quantity(
    unit="1",
    title="Drops, by volume",
    equation="φ = V(inner)/(V(oil) + V(water))",
    source="volumes-added",
    holds="of the liquids, powders left out, the oil phase with what dissolves in it; one size packs to 74 %",
    seen_off="drops of many sizes pack to 80 % and more before they turn or press flat",
    beyond=_NO_TYPE,
)
def drops_share(
    mass_fraction: Floats, material_density: Floats, material_oil: Floats, line_liquid: Floats, emulsion_type: Floats
) -> Floats:
    """Return the volume fraction of the inner liquid. [1]"""
    volume = mass_fraction * line_liquid / material_density
    oil = (volume * material_oil).sum(-1) / volume.sum(-1)
    return np.asarray(np.where(emulsion_type == 0, oil, np.where(emulsion_type == 1, 1 - oil, np.nan)))


@quantity(
    unit="kg/m³",
    title="Densities of oil and water phase",
    equation="1/ρ = Σ wᵢ/ρᵢ over each phase",
    source="volumes-added",
    holds="no volume change on mixing; a line that is partly oil counts with its own density",
    each="liquids",
)
def phase_densities(
    mass_fraction: Floats, material_density: Floats, material_oil: Floats, line_liquid: Floats
) -> Floats:
    """Return the density of the oil phase and that of the water phase. [kg/m³]"""
    liquid = mass_fraction * line_liquid
    mass = np.stack([(liquid * material_oil).sum(-1), (liquid * (1 - material_oil)).sum(-1)], axis=-1)
    room = liquid / material_density
    volume = np.stack([(room * material_oil).sum(-1), (room * (1 - material_oil)).sum(-1)], axis=-1)
    return np.asarray(mass / volume)


@quantity(
    unit="m/s",
    title="Creaming of the drops, if nothing thickened",
    equation="v = d² Δρ g/(18 η₀) · (1 - φ)^m",
    source="Stokes-1851",
    holds="positive sinks, negative rises; the outer liquid without its thickeners: no drop of this size is faster",
    seen_off="drops that merge, which is not foreseen, grow and go faster",
    beyond=_NO_FLOW,
)
def creaming_bound(
    drop_diameter: Floats,
    phase_densities: Floats,
    clear_viscosity: Floats,
    emulsion_type: Floats,
    outer_phase: Floats,
    drops_share: Floats,
    temperature: Floats,
) -> Floats:
    """Return the velocity of drops in the outer liquid without thickener; positive sinks. [m/s]"""
    still = np.zeros(np.shape(clear_viscosity))
    return _among(
        drop_diameter,
        phase_densities,
        emulsion_type,
        outer_phase,
        drops_share,
        still,
        clear_viscosity,
        still + 1.0,
        temperature,
    )


@quantity(
    unit="m/s",
    title="Creaming of the drops",
    equation="v = (d/3)·(σ/K)^(1/n)·(1 - φ)^m, σ = d Δρ g/6 · (1 - τ_y/τ_hold)",
    source="Stokes-1851",
    holds="positive sinks, negative rises, 0 where the yield stress holds them or they touch (64 %); drops of one "
    "size, sheared 1 to 10 µm or stirred 3 to 50 µm where the file does not say (droplets)",
    seen_off="drops that merge, which is not foreseen, grow and go faster",
    beyond=_NO_FLOW,
)
def creaming_speed(
    drop_diameter: Floats,
    phase_densities: Floats,
    emulsion_type: Floats,
    outer_phase: Floats,
    drops_share: Floats,
    yield_stress: Floats,
    consistency: Floats,
    flow_index: Floats,
    temperature: Floats,
) -> Floats:
    """Return the velocity of the drops among their neighbours; positive sinks. [m/s]"""
    return _among(
        drop_diameter,
        phase_densities,
        emulsion_type,
        outer_phase,
        drops_share,
        yield_stress,
        consistency,
        flow_index,
        temperature,
    )


def _among(
    diameter: Floats,
    densities: Floats,
    kind: Floats,
    outer: Floats,
    share: Floats,
    yield_stress: Floats,
    consistency: Floats,
    flow_index: Floats,
    temperature: Floats,
) -> Floats:
    """Return the velocity of drops among others; nan where the flow is that of the other phase. [m/s]"""
    oil, water = densities[..., 0], densities[..., 1]
    drop, liquid = np.where(kind == 0, oil, water), np.where(kind == 0, water, oil)
    needed = suspension.yield_stress_to_hold(diameter, drop, liquid)
    alone = speed_alone(diameter, drop, liquid, needed, yield_stress, consistency, flow_index)
    exponent = suspension.hindered_exponent(suspension.peclet_number(diameter, drop, liquid, temperature))
    slowed = suspension.hindered_factor_richardson_zaki(share, exponent)
    among = alone * np.where(share >= TOUCHING, 0.0, slowed)
    same = np.where(kind == 0, outer == 0, (kind == 1) & (outer > 0))
    return np.asarray(np.where(same, among, np.nan))
