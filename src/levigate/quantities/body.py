"""Quantities of the product as a body: density, volumes, how much a container takes."""

from __future__ import annotations

import numpy as np

from levigate.quantities.graph import Floats, quantity
from levigate.science.density import density_mixture_ideal


@quantity(
    unit="kg/m³",
    title="Density",
    equation="1/ρ = Σ wᵢ/ρᵢ",
    source="volumes-added",
    holds="no volume change on mixing, no air whipped in",
    seen_off="ideal mixing has been seen too low by up to 3.6 % (ethanol and water), 2.0 % (propylene glycol and "
    "water), 1.1 % (glycerol and water); whipped-in air lowers the true value, often by several percent",
)
def density(mass_fraction: Floats, material_density: Floats) -> Floats:
    """Return the density of the mixture, volumes added. [kg/m³]"""
    return density_mixture_ideal(mass_fraction, material_density)


@quantity(
    unit="1",
    title="Volume fractions",
    equation="φᵢ = wᵢ ρ/ρᵢ",
    source="volumes-added",
    holds="no volume change on mixing",
    each="lines",
)
def volume_fraction(mass_fraction: Floats, material_density: Floats, density: Floats) -> Floats:
    """Return the share of the volume that each line takes. [1]"""
    return np.asarray(mass_fraction * density[..., None] / material_density)


@quantity(unit="kg", title="Mass of the batch", equation="m = ρ V", source="definition", holds="volumes added")
def batch_mass(filled_volume: Floats, density: Floats) -> Floats:
    """Return the mass of a batch that fills a volume. [kg]"""
    return np.asarray(filled_volume * density)


@quantity(unit="m³", title="Volume of the batch", equation="V = m/ρ", source="definition", holds="no air whipped in")
def volume(batch_mass: Floats, density: Floats) -> Floats:
    """Return the volume of the batch. [m³]"""
    return np.asarray(batch_mass / density)


@quantity(
    unit="kg",
    title="Mass in a container",
    equation="m = ρ V",
    source="definition",
    holds="filled at the temperature at which the volume is stated",
)
def mass_per_container(container_volume: Floats, density: Floats) -> Floats:
    """Return the mass of the product in one container. [kg]"""
    return np.asarray(container_volume * density)


@quantity(
    unit="m³",
    title="Volume in a container",
    equation="V = m/ρ",
    source="definition",
    holds="no air whipped in",
)
def volume_per_container(mass_per_container: Floats, density: Floats) -> Floats:
    """Return the volume of the product in one container. [m³]"""
    return np.asarray(mass_per_container / density)


@quantity(
    unit="1",
    title="Air whipped in",
    equation="1 - ρ(measured)/ρ(computed)",
    source="definition",
    holds="as good as the computed density: ideal mixing alone is 1 % off in a cream with a tenth of glycerin at worst",
)
def air_share(mass_fraction: Floats, material_density: Floats, density: Floats) -> Floats:
    """Return the volume share of air, from the density that was measured. [1]"""
    return np.asarray(1 - density / density_mixture_ideal(mass_fraction, material_density))
