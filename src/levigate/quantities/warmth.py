"""Quantities of warmth: what swells, what thins, and the same product in other climates, on the same graph."""

from __future__ import annotations

import numpy as np

from levigate.quantities.graph import Floats, evaluate, leaves, quantity
from levigate.science import rheology
from levigate.science.density import density_water
from levigate.science.melting import FOUR_CLIMATES

#: Temperature at which the law means a stated volume, 76/211/EEC, annex I, 3.1. [K]
STATED = 293.15
#: What a density rests on beside itself, so that it can be told at another temperature.
_OF_DENSITY = (
    "mass_fraction", "density_reading", "density_reading_temperature", "material_expansion", "material_melt_swelling",
    "material_as_water", "material_melting_start", "material_melting_end", "material_composition", "substance_water",
    "substance_shrinks", "temperature",
)  # fmt: skip
_OF_CLEAR = (
    "substance_fraction", "substance_water", "substance_aqueous", "substance_polyol", "substance_glycerol",
    "substance_oil", "kinematic_reading", "kinematic_reading_temperature", "walther_slope", "flow_activation",
    "substance_melting_start", "substance_melting_end", "substance_density", "substance_expansion", "outer_phase",
    "temperature",
)  # fmt: skip
#: Of these, tables that have no draws, and what is one number a composition; the others are one a line or substance.
_TABLES, _SINGLE = ("material_composition",), ("outer_phase",)


@quantity(
    unit="kg/m³",
    title="Density of each material",
    equation="ρᵢ(T) = ρᵢ(T₀) exp(-βᵢ (T - T₀) - sᵢ Δmᵢ), water as its own formula",
    source="definition",
    place="water after Bettin and Spieweck (1990)",
    holds="a constant expansion, the record's own or that usual for its kind; what melts swells by a further 5 to 14 % "
    "over its melting range; 0 to 100 °C",
    seen_off="soya oil within 0.3 % from 24 to 60 °C, half alcohol within 0.05 % from 10 to 40 °C, half glycerol "
    "within 0.1 % from 20 to 30 °C; the melt of beeswax within 4 %",
    each="lines",
    beyond="Outside 0 to 100 °C the swelling of water is not known",
)
def material_density(
    density_reading: Floats,
    density_reading_temperature: Floats,
    material_expansion: Floats,
    material_melt_swelling: Floats,
    material_as_water: Floats,
    material_melting_start: Floats,
    material_melting_end: Floats,
    temperature: Floats,
) -> Floats:
    """Return the density of each material at the temperature asked about. [kg/m³]"""
    warm, read = temperature[..., None], density_reading_temperature
    growth = material_expansion * (warm - read)
    if material_melt_swelling.any():
        width = material_melting_end - material_melting_start
        melted, at_reading = (np.clip((t - material_melting_start) / width, 0.0, 1.0) for t in (warm, read))
        growth = growth + material_melt_swelling * (melted - at_reading)
    if material_as_water.any():
        water = np.log(density_water(warm) / density_water(read))
        growth = growth - np.where(material_as_water > 0, material_as_water * water, 0.0)
    return np.asarray(density_reading * np.exp(-growth))


@quantity(
    unit="m²/s",
    title="Kinematic viscosity of each oil",
    equation="log log(ν + 0.7) = log log(ν₀ + 0.7) - B log(T/T₀); below 4 mm²/s and for silicones "
    "ν = ν₀ exp(E/R (1/T - 1/T₀))",
    source="ASTM-D341",
    holds="liquids from the reading that leaves the least doubt; slope from two readings at different temperatures, "
    "else that usual for the kind of oil; not past where it sets",
    seen_off="vegetable oils within 12 % over 20 K; dodecane and silicone fluids by their activation energies within a "
    "fifth of these",
    each="substances",
)
def substance_kinematic(
    kinematic_reading: Floats,
    kinematic_reading_temperature: Floats,
    walther_slope: Floats,
    flow_activation: Floats,
    substance_melting_start: Floats,
    substance_melting_end: Floats,
    temperature: Floats,
) -> Floats:
    """Return the kinematic viscosity of each oil at the temperature asked about; nan where there is none. [m²/s]"""
    known = np.flatnonzero(np.isfinite(kinematic_reading).any(tuple(range(kinematic_reading.ndim - 1))))
    thick, slope, energy = (one[..., known] for one in (kinematic_reading, walther_slope, flow_activation))
    warm, read = temperature[..., None], kinematic_reading_temperature[known]
    by_energy = np.isfinite(energy)
    part = rheology.viscosity_walther_slope(warm, read, thick, slope)
    if by_energy.any():
        part = np.where(by_energy, rheology.viscosity_arrhenius(warm, read, thick, energy), part)
    sets = (substance_melting_start[known] + substance_melting_end[known]) / 2
    found = np.full((*part.shape[:-1], kinematic_reading.shape[-1]), np.nan)
    found[..., known] = np.where((warm < sets) & (read >= sets), np.nan, part)
    return found


def elsewhere(name: str, temperatures: Floats, given: dict[str, Floats], computed: Floats) -> Floats:
    """Return a quantity at other temperatures, on a last axis, by the graph that computed it at its own.

    What was measured is moved by the ratio of what is computed there and here.
    """
    here = np.shape(given["temperature"])
    wanted = np.broadcast_to(temperatures, np.broadcast_shapes((*here, 1), np.shape(temperatures)))
    spread = {leaf: _with_row(leaf, array) for leaf, array in given.items() if leaf not in (name, "temperature")}
    found = evaluate([name], {**spread, "temperature": wanted})[name]
    return found if given[name] is computed else np.asarray(found * (given[name] / computed)[..., None])


def _density_at(temperatures: Floats, given: dict[str, Floats]) -> Floats:
    computed = given.pop("computed_density")
    return elsewhere("density", temperatures, given, computed)


def _with_row(leaf: str, array: Floats) -> Floats:
    if leaf in _SINGLE:
        return array[..., None]
    return array if leaf in _TABLES or array.ndim < 2 else array[..., None, :]


@quantity(
    unit="kg/m³",
    title="Density in four climates",
    equation="1/ρ(T) = Σ wᵢ/ρᵢ(T) + Δv(T) at 5, 20, 32 and 45 °C",
    source="volumes-added",
    holds="as the density; air whipped in is not moved: it swells by 0.35 % of its own volume a kelvin",
    seen_off="as the density",
    each="climates",
    needs=("density", "computed_density", *_OF_DENSITY),
)
def density_by_climate(**given: Floats) -> Floats:
    """Return the density at 5, 20, 32 and 45 °C. [kg/m³]"""
    return _density_at(FOUR_CLIMATES, given)


@quantity(
    unit="Pa s",
    title="Viscosity of the clear liquid in four climates",
    equation="η₀(T) at T = 5, 20, 32 and 45 °C",
    source="Maples-2000",
    place="oils; glycerol and water after Cheng (2008); oils with temperature after ASTM D341",
    holds="as the viscosity of the clear liquid: without what thickens it",
    seen_off="as the viscosity of the clear liquid; an oil with one reading is moved by a slope usual for its kind",
    each="climates",
    needs=("clear_viscosity", *_OF_CLEAR),
)
def clear_viscosity_by_climate(**given: Floats) -> Floats:
    """Return the viscosity of the outer liquid at 5, 20, 32 and 45 °C. [Pa s]"""
    computed = evaluate(["clear_viscosity"], {leaf: given[leaf] for leaf in _OF_CLEAR})["clear_viscosity"]
    return elsewhere("clear_viscosity", FOUR_CLIMATES, given, computed)


@quantity(
    unit="kg/m³",
    title="Density at which a volume is stated",
    equation="1/ρ = Σ wᵢ/ρᵢ + Δv at 20 °C",
    source="EU-76-211",
    place="annex I, 3.1: the volume of a prepacked product is that at 20 °C",
    holds="as the density",
    seen_off="as the density",
    needs=("density", "computed_density", *_OF_DENSITY),
)
def stated_density(**given: Floats) -> Floats:
    """Return the density at 20 °C, the temperature at which the law means a volume. [kg/m³]"""
    return _density_at(np.array([STATED]), given)[..., 0]


@quantity(
    unit="m³",
    title="Room it takes while warm",
    equation="V = m/ρ(T) at the temperature of filling",
    source="definition",
    holds="filled at the temperature that [container] names as fill_at; no air whipped in",
    seen_off="as the density; what sets in the container draws a dip or a hole that no sum tells",
    needs=("mass_per_container", "density", "computed_density", "fill_temperature", *_OF_DENSITY),
)
def warm_volume(**given: Floats) -> Floats:
    """Return the volume of what goes into one container, as warm as it is filled. [m³]"""
    mass, warm = given.pop("mass_per_container"), given.pop("fill_temperature")
    return np.asarray(mass / _density_at(warm[..., None], given)[..., 0])


@quantity(
    unit="1",
    title="Filled to while warm",
    equation="l = V(warm)/V(brimful)",
    source="definition",
    holds="share of the room to the very brim",
)
def warm_level(warm_volume: Floats, brimful_volume: Floats) -> Floats:
    """Return how full a container is while its content is warm, as a share of its brimful volume. [1]"""
    return np.asarray(warm_volume / brimful_volume)


def stands_for_all() -> bool:
    """Return whether the lists above hold all that the quantities rest on; asked by a test."""
    of_clear = leaves("clear_viscosity", ("substance_fraction", "outer_phase"))
    return set(leaves("density")) == set(_OF_DENSITY) and set(of_clear) == set(_OF_CLEAR)
