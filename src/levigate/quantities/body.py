"""Quantities of the product as a body: density, volumes, how much a container takes."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from levigate.quantities.graph import Floats, quantity
from levigate.science.constants import ArrayLike
from levigate.science.density import (
    density_ethanol_water,
    density_glycerol_water,
    density_mixture_ideal,
    density_propylene_glycol_water,
)
from levigate.science.filling import time_container_lasts


@quantity(
    unit="m³/kg",
    title="Shrinking on mixing with water",
    equation="Δv = Σ mₖ (1/ρ(pₖ) - pₖ/ρ(1) - (1 - pₖ)/ρ(0))",
    source="OIML-R22-1975",
    place="ethanol; glycerol after Volk and Kähler (2018), propylene glycol after Nakanishi (1967)",
    holds="ethanol, glycerol and propylene glycol with water; where there are several, each takes its part of the "
    "water by mass; no other pair is known to shrink here; taken at the nearest temperature of its table: ethanol up "
    "to 40 °C, glycerol 15 to 30 °C, propylene glycol 25 °C",
    seen_off="glycerol within 0.05 %, propylene glycol within 0.2 %, of the volume; several at once not checked; a "
    "glycerol table carried on past its ends would be 0.15 % off at 5 °C and 0.1 % at 45 °C",
)
def shrinkage(
    mass_fraction: Floats,
    material_composition: Floats,
    substance_water: Floats,
    substance_shrinks: Floats,
    temperature: Floats,
) -> Floats:
    """Return by how much a kilogram takes up less room than its parts did; negative. [m³/kg]"""
    kinds = np.stack([substance_water, *(substance_shrinks == kind for kind in (1, 2, 3))], axis=-1)
    water, *solutes = np.moveaxis(mass_fraction @ (material_composition @ kinds), -1, 0)
    whole = solutes[0] + solutes[1] + solutes[2]
    change = np.zeros(np.shape(water))
    for solute, (table, coldest, warmest) in zip(solutes, _TABLES, strict=True):
        if not np.any(solute != 0):  # one that is not known counts
            continue
        part = np.where(solute > 0, water * solute / np.where(whole > 0, whole, 1.0), 0.0)
        pair = solute + part
        share = np.where(pair > 0, solute / np.where(pair > 0, pair, 1.0), 0.0)
        # The shrinking hardly depends on temperature, so that of the nearest end stands where the table ends.
        warm = np.clip(temperature, coldest, warmest)
        change = change + pair * (1 / table(share, warm) - share / table(1.0, warm) - (1 - share) / table(0.0, warm))
    return np.asarray(change)


#: Ethanol, glycerol and propylene glycol: the table, and from which temperature to which it is read. [K]
_TABLES: tuple[tuple[Callable[[ArrayLike, ArrayLike], Floats], float, float], ...] = (
    (density_ethanol_water, 273.15, 313.15),
    (density_glycerol_water, 288.15, 303.15),
    (lambda share, _: density_propylene_glycol_water(share), 298.15, 298.15),
)


@quantity(
    unit="kg/m³",
    title="Density",
    equation="1/ρ = Σ wᵢ/ρᵢ + Δv",
    source="volumes-added",
    holds="at the temperature of the figures; no air whipped in; volumes added, but for the shrinking of ethanol, "
    "glycerol and propylene glycol in water",
    seen_off="whipped-in air lowers the true value, often by several percent; salts and sugars that dissolve shrink "
    "too, which is not counted",
)
def density(computed_density: Floats) -> Floats:
    """Return the density of the mixture. [kg/m³]"""
    return computed_density


@quantity(
    unit="kg/m³",
    title="Density as its parts have it",
    equation="1/ρ = Σ wᵢ/ρᵢ + Δv",
    source="volumes-added",
    holds="as the density, whatever was measured",
)
def computed_density(mass_fraction: Floats, material_density: Floats, shrinkage: Floats) -> Floats:
    """Return the density of the mixture that its parts make, without air. [kg/m³]"""
    return np.asarray(1 / (1 / density_mixture_ideal(mass_fraction, material_density) + shrinkage))


@quantity(
    unit="1",
    title="Volume fractions",
    equation="φᵢ = (wᵢ/ρᵢ)/Σ(w/ρ)",
    source="volumes-added",
    holds="each part by its own volume before mixing, without air, so that all add up to 100 %; where ethanol, "
    "glycerol or propylene glycol shrinks with water, the rest takes up to 3.6 % more of the volume than this",
    each="lines",
)
def volume_fraction(mass_fraction: Floats, material_density: Floats) -> Floats:
    """Return the share of the volume that each line takes. [1]"""
    own = mass_fraction / material_density
    return np.asarray(own / own.sum(-1, keepdims=True))


@quantity(
    unit="kg",
    title="Mass of the batch",
    equation="m = ρ(20 °C) V",
    source="EU-76-211",
    place="annex I, 3.1",
    holds="a volume is stated at 20 °C; volumes added",
)
def batch_mass(filled_volume: Floats, stated_density: Floats) -> Floats:
    """Return the mass of a batch that fills a volume, as volumes are stated: at 20 °C. [kg]"""
    return np.asarray(filled_volume * stated_density)


@quantity(unit="m³", title="Volume of the batch", equation="V = m/ρ", source="definition", holds="no air whipped in")
def volume(batch_mass: Floats, density: Floats) -> Floats:
    """Return the volume of the batch. [m³]"""
    return np.asarray(batch_mass / density)


@quantity(
    unit="kg",
    title="Mass in a container",
    equation="m = ρ(20 °C) V",
    source="EU-76-211",
    place="annex I, 3.1",
    holds="the mass that is the stated volume at 20 °C, at whatever temperature it is filled",
)
def mass_per_container(container_volume: Floats, stated_density: Floats) -> Floats:
    """Return the mass of the product in one container. [kg]"""
    return np.asarray(container_volume * stated_density)


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
    equation="a = 1 - ρ(measured)/ρ(computed)",
    source="definition",
    holds="as good as the computed density",
)
def air_share(density: Floats, computed_density: Floats) -> Floats:
    """Return the volume share of air, from the density that was measured. [1]"""
    return np.asarray(1 - density / computed_density)


@quantity(
    unit="s",
    title="How long a container lasts",
    equation="t = (1 - r) m/ṁ",
    source="SCCS-2023",
    place="table 3A, daily amounts",
    holds="the amount of a day stated in the file (daily), else the high-end amount of the use family, which is made "
    "for safety sums: most people use less, and it lasts them longer",
    seen_off="people differ by more than the spread shown, which is that of one amount: within a fifth of one stated, "
    "within a third of a high-end one (judged)",
)
def lasts(mass_per_container: Floats, residue_share: Floats, daily_mass: Floats) -> Floats:
    """Return how long one container lasts. [s]"""
    return time_container_lasts(mass_per_container, residue_share, daily_mass / 86400.0)
