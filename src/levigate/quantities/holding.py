"""Quantities of powders in a liquid: how much room they take, whether they are held up, how fast they fall."""

from __future__ import annotations

import numpy as np

from levigate.quantities.graph import Floats, quantity
from levigate.science import suspension
from levigate.science.constants import STANDARD_GRAVITY
from levigate.science.density import density_mixture_ideal
from levigate.science.grain import grain_diameter, grain_share_below


@quantity(
    unit="1",
    title="Volume taken by powders",
    equation="φ = Σ φᵢ of what stays solid",
    source="definition",
    holds="powders that do not dissolve, without the air between their grains",
)
def solid_fraction(volume_fraction: Floats, powder_pick: Floats) -> Floats:
    """Return the volume fraction of all powders that stay solid. [1]"""
    return np.asarray(volume_fraction[..., powder_pick.astype(int)].sum(-1))


@quantity(
    unit="1",
    title="Closest packing of the powders",
    equation="1/φ_m = Σ xᵢ/φ_m,i",
    source="common-practice",
    holds="powders side by side, finer grains not filling the gaps of coarser ones; 0.64 where there is no powder",
    seen_off="mixed sizes pack closer than this: it errs on the thick side",
)
def packing(volume_fraction: Floats, powder_pick: Floats, powder_packing: Floats, solid_fraction: Floats) -> Floats:
    """Return the volume fraction at which the powders touch and nothing flows. [1]"""
    share = volume_fraction[..., powder_pick.astype(int)]
    room = (share / powder_packing).sum(-1)
    # Without powder any number would do for the packing; a share that is not known must stay so.
    return np.asarray(np.where(solid_fraction == 0, 0.64, solid_fraction / np.where(room == 0, 1.0, room)))


@quantity(
    unit="1",
    title="How full of powder",
    equation="c = φ/φ_m",
    source="definition",
    holds="a paste from about 0.7, a stiff solid near 1 (rule of thumb)",
)
def crowding(solid_fraction: Floats, packing: Floats) -> Floats:
    """Return the powders' volume as a share of what would touch. [1]"""
    return np.asarray(solid_fraction / packing)


@quantity(
    unit="kg/m³",
    title="Density of the liquid",
    equation="1/ρ = Σ wᵢ/ρᵢ of what is not solid",
    source="volumes-added",
    holds="no volume change on mixing",
)
def liquid_density(mass_fraction: Floats, material_density: Floats, line_liquid: Floats) -> Floats:
    """Return the density of everything between the grains. [kg/m³]"""
    return density_mixture_ideal(mass_fraction * line_liquid, material_density)


@quantity(
    unit="Pa",
    title="Yield stress that holds the coarse tenth",
    equation="τ = Y d₉₀ |Δρ| g / 3, Y = 0.143",
    source="Beris-1985",
    holds="one rigid sphere in a still paste; Y = 3 τ/(2 R Δρ g)",
    seen_off="some measurements ask for four times as much (Y about 0.6, from memory)",
    each="powders",
)
def yield_needed(
    powder_d50: Floats, powder_sigma: Floats, powder_pick: Floats, material_density: Floats, liquid_density: Floats
) -> Floats:
    """Return the yield stress that keeps the coarse tenth of each powder from moving. [Pa]"""
    density = material_density[..., powder_pick.astype(int)]
    coarse = grain_diameter(0.9, powder_d50, powder_sigma)
    return suspension.yield_stress_to_hold(coarse, density, liquid_density[..., None])


@quantity(
    unit="1",
    title="Held up at rest",
    equation="h = F(d_held), d_held = 3 τ_y/(Y |Δρ| g)",
    source="Beris-1985",
    holds="share of the powder's mass in grains that the yield stress holds; sizes lognormal",
    seen_off="as the yield stress it rests on",
    each="powders",
    beyond="It rests on the flow of the product, which is not known: measure it with `levigate reckon slump` and write "
    '[measured] yield_stress = "... Pa"',
)
def held_share(
    yield_stress: Floats,
    powder_d50: Floats,
    powder_sigma: Floats,
    powder_pick: Floats,
    material_density: Floats,
    liquid_density: Floats,
) -> Floats:
    """Return the share of each powder that stays where it is. [1]"""
    density = material_density[..., powder_pick.astype(int)]
    held = suspension.diameter_held(yield_stress[..., None], density, liquid_density[..., None])
    return np.where(yield_stress[..., None] == 0, 0.0, grain_share_below(held, powder_d50, powder_sigma))


@quantity(
    unit="m/s",
    title="Settling of the coarse tenth",
    equation="v = (d/3)·(σ/K)^(1/n)·(1 - φ)^m, σ = d Δρ g/6 · (1 - τ_y/τ_hold)",
    source="Stokes-1851",
    holds="positive sinks; Stokes exactly in a plain liquid, nothing moves where the yield stress holds it; between "
    "the two an interpolation of ours",
    seen_off="not checked against readings between the two ends; neighbours slow as Brzinski and Durian say; coarse "
    "grains in thin water, past a Reynolds number of 1, fall slower than this",
    each="powders",
    beyond="It rests on the flow of the product, which is not known: measure it with `levigate reckon slump` and write "
    '[measured] yield_stress = "... Pa"',
)
def settling_speed(
    yield_needed: Floats,
    yield_stress: Floats,
    consistency: Floats,
    flow_index: Floats,
    powder_d50: Floats,
    powder_sigma: Floats,
    powder_pick: Floats,
    material_density: Floats,
    liquid_density: Floats,
    solid_fraction: Floats,
    temperature: Floats,
) -> Floats:
    """Return the velocity of the coarse tenth of each powder among its neighbours; positive sinks. [m/s]"""
    density, liquid = material_density[..., powder_pick.astype(int)], liquid_density[..., None]
    coarse = grain_diameter(0.9, powder_d50, powder_sigma)
    alone = speed_alone(
        coarse, density, liquid, yield_needed, yield_stress[..., None], consistency[..., None], flow_index[..., None]
    )
    exponent = suspension.hindered_exponent(suspension.peclet_number(coarse, density, liquid, temperature[..., None]))
    among = suspension.hindered_factor_richardson_zaki(solid_fraction[..., None], exponent)
    return np.asarray(alone * among)


@np.errstate(divide="ignore", invalid="ignore")
def speed_alone(
    diameter: Floats,
    particle_density: Floats,
    liquid_density: Floats,
    yield_needed: Floats,
    yield_stress: Floats,
    consistency: Floats,
    flow_index: Floats,
) -> Floats:
    """Return the velocity of one grain in a paste; positive sinks, 0 where the yield stress holds it. [m/s]"""
    lighter = particle_density - liquid_density
    drive = diameter * np.abs(lighter) * STANDARD_GRAVITY / 6 * (1 - yield_stress / yield_needed)
    # What is held has no drive, which makes no number here, and is left out below.
    free = np.sign(lighter) * diameter / 3 * (drive / consistency) ** (1 / flow_index)
    return np.asarray(np.where(yield_stress >= yield_needed, 0.0, free))
