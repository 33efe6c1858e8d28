"""What the materials cost."""

from __future__ import annotations

import numpy as np

from levigate.quantities.graph import Floats, quantity


@quantity(
    unit="money/kg",
    title="Cost of materials",
    equation="k = Σ wᵢ kᵢ",
    source="definition",
    holds="materials only, at the prices given; no loss, pack, work or shipping",
)
def cost(mass_fraction: Floats, material_price: Floats) -> Floats:
    """Return the cost of the materials per kilogram of product. [money/kg]"""
    return np.asarray((mass_fraction * material_price).sum(-1))


@quantity(
    unit="money",
    title="Cost of materials in a container",
    equation="K = k m",
    source="definition",
    holds="as the cost of materials",
)
def cost_per_container(cost: Floats, mass_per_container: Floats) -> Floats:
    """Return the cost of the materials in one container. [money]"""
    return np.asarray(cost * mass_per_container)
