"""Quantities of the water: how free it is, and which germs that leaves room for."""

from __future__ import annotations

import numpy as np

from levigate.quantities.graph import Floats, quantity
from levigate.science.salts import SALTS, water_activity_salts
from levigate.science.water_activity import (
    GROWTH_MINIMA,
    MOLAR_MASS_WATER,
    water_activity_norrish,
    water_activity_ross,
)

#: Names of the salts of known parameters, in the order in which ``substance_salt`` counts them, from 1.
SALT_NAMES = tuple(SALTS)
#: Organisms of the figure, those that need most water first.
ORGANISMS = tuple(one.organism for one in GROWTH_MINIMA)
#: Particles of solutes over molecules of water from which the method says nothing: 92 % of glycerol.
_MOST = 2.0
#: Half-width (95 %) of the logarithm of a water activity, as a share of it, in thin solutions, and what each particle
#: beside a molecule of water adds: glycerol is met so up to 90 % (Zhang 2022).
OFF_THIN, OFF_THICK = 0.13, 0.15


@quantity(
    unit="-",
    title="Water activity",
    equation="a = Π (1 - xᵢ) exp(-Kᵢ xᵢ²), salts by Pitzer",
    source="Norrish-1966",
    holds="25 °C; each solute alone in all the water, then multiplied (Ross); what a solute binds is a range where it "
    "is not known, gums and micelles bind next to nothing",
    seen_off="glycerol is met within 12 % of how far it lies below 1 (log) up to 70 % by mass, within 21 % at 90 %",
    beyond="So much is dissolved in so little water that the equations say nothing: read it with a water-activity "
    "meter, or put a hygrometer into a closed jar half full of it for a day",
)
def water_activity(
    substance_fraction: Floats,
    water_content: Floats,
    substance_particles: Floats,
    substance_norrish: Floats,
    substance_salt: Floats,
    water_activity_off: Floats,
) -> Floats:
    """Return the water activity; ``substance_particles`` counts against those of an equal mass of water. [-]"""
    several = tuple(range(substance_particles.ndim - 1))
    pick = (substance_particles > 0).any(axis=several)
    share, particles = substance_fraction[..., pick], substance_particles[..., pick]
    water = water_content[..., None]
    alone = water_activity_norrish(share, water, MOLAR_MASS_WATER / particles, substance_norrish[..., pick])
    ratio = (share * particles).sum(-1) / water_content
    product = water_activity_ross(alone)
    off = 1 + water_activity_off * (OFF_THIN + OFF_THICK * ratio)
    # Exactly 1 with nothing dissolved, not known without water.
    found = np.where(ratio <= _MOST, product, np.nan) ** off * np.where(water_content > 0, 1.0, np.nan)
    salty = np.flatnonzero(substance_salt)
    if salty.size:
        names = [SALT_NAMES[int(substance_salt[i]) - 1] for i in salty]
        found = found * water_activity_salts(names, substance_fraction[..., salty], water_content)
    return np.asarray(found)


@quantity(
    unit="-",
    title="Water activity above the least for growth",
    equation="r = a - a_min",
    source="Banwart-1989",
    holds="below 0 it does not grow; not growing is not dying, and what a wet finger thins grows there",
    seen_off="least values in print differ by 0.01 to 0.09 for one organism: the lowest is taken",
    each="organisms",
)
def growth_room(water_activity: Floats) -> Floats:
    """Return by how much the water is freer than each organism needs. [-]"""
    return np.asarray(water_activity[..., None] - np.array([one.lowest for one in GROWTH_MINIMA]))
