"""Quantities of what the product is made of, premixes taken apart."""

from __future__ import annotations

import numpy as np

from levigate.quantities.graph import Floats, quantity


@quantity(
    unit="1",
    title="Composition by substance",
    equation="wₛ = Σ wᵢ cᵢₛ",
    source="definition",
    holds="as added; nothing reacts or evaporates",
    each="substances",
)
def substance_fraction(mass_fraction: Floats, material_composition: Floats) -> Floats:
    """Return the mass fraction of each substance; ``material_composition`` has lines by substances. [1]"""
    return np.asarray(mass_fraction @ material_composition)


@quantity(
    unit="1",
    title="Water",
    equation="w(water) = Σ wᵢ c(water in i)",
    source="definition",
    holds="water of crystals and water taken up from the air are counted only where the composition names them",
)
def water_content(mass_fraction: Floats, material_water: Floats) -> Floats:
    """Return the mass fraction of water, that in premixes and solutions included. [1]"""
    return np.asarray((mass_fraction * material_water).sum(-1))


@quantity(
    unit="1",
    title="Oil phase",
    equation="w(oil) = Σ wᵢ of what belongs in oil or silicone",
    source="definition",
    holds="oils, esters, waxes, silicones and what dissolves in them; powders are not counted",
)
def oil_phase_share(mass_fraction: Floats, material_oil: Floats) -> Floats:
    """Return the mass fraction that belongs in the oil phase. [1]"""
    return np.asarray((mass_fraction * material_oil).sum(-1))
