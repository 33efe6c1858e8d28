"""Quantities of a powder before it is wetted: how much air is in it as poured, how much room it takes."""

from __future__ import annotations

import numpy as np

from levigate.quantities.graph import Floats, quantity


@quantity(
    unit="kg/m³",
    title="Powders as poured",
    equation="ρ_b = m/V",
    source="definition",
    holds="poured loosely, air between and within the grains; a tapped or pressed powder is denser, often by a third",
    seen_off="grades of one powder differ by half and more: what is fine or fumed holds most air",
    each="powders",
)
def bulk_density(powder_bulk: Floats) -> Floats:
    """Return the density of each powder as it lies in its bag. [kg/m³]"""
    return np.asarray(powder_bulk)


@quantity(
    unit="1",
    title="Air in the powders as poured",
    equation="ε = 1 - ρ_b/ρ",
    source="definition",
    holds="air that must be wetted out, or it is whipped in",
    seen_off="as the bulk density",
    each="powders",
    beyond="A bulk density above the density of the grains themselves cannot be: look at both",
)
def poured_air(bulk_density: Floats, material_density: Floats, powder_pick: Floats) -> Floats:
    """Return the volume share of air in each powder as poured. [1]"""
    air = 1 - bulk_density / material_density[..., powder_pick.astype(int)]
    return np.asarray(np.where(air >= 0, air, np.nan))


@quantity(
    unit="m³",
    title="Room the powders take before mixing",
    equation="V = w m/ρ_b",
    source="definition",
    holds="poured loosely into the beaker; weigh powders, for a spoonful of one is not twice alike",
    seen_off="as the bulk density",
    each="powders",
)
def poured_volume(mass_fraction: Floats, batch_mass: Floats, bulk_density: Floats, powder_pick: Floats) -> Floats:
    """Return the volume that each powder of the batch takes as poured. [m³]"""
    return np.asarray(mass_fraction[..., powder_pick.astype(int)] * batch_mass[..., None] / bulk_density)
