"""Quantities of flow: how thick the product is, at rest and when it is squeezed."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from levigate.quantities.graph import Floats, quantity
from levigate.science import rheology
from levigate.science.density import density_mixture_ideal

#: Temperature at which flow is foreseen: a warm room. [K]
ROOM = 298.15
#: Water, as a share of the whole, from which it is taken for the outer phase. [1]
OUTER_WATER = 0.2
#: Share of the oil phase that may be of unknown viscosity before the blend is not known. [1]
_MAY_BE_UNKNOWN = 0.02
#: Shear rate of a slow squeeze from a tube, at which thickness is compared. [1/s]
SQUEEZE = 10.0


#: Why flow may not be known, and the test that would tell.
_SLUMP = (
    "What gives this product its body has no flow curve on the shelf, or not at this dose: measure it with "
    '`levigate reckon slump height=50mm slump=... density=...` and write [measured] yield_stress = "... Pa"'
)
_CUP = (
    "Oils of unknown viscosity are more than a fiftieth of the oil phase: time it with `levigate reckon flow-cup "
    'cup="Ford 4" time=...` and write [measured] viscosity = "... mPa.s"'
)
#: Share of substances that may give body without a flow curve before flow is not known. [1]
_BODY = 0.0005


@quantity(
    unit="Pa s",
    title="Viscosity of the clear liquid",
    equation="in water: Cheng (2008), polyols counted as glycerol; in oil: VBN(ν) = Σ wᵢ VBN(νᵢ), η = ν ρ",
    source="Cheng-2008",
    holds="25 °C; the liquid between grains and drops, without thickeners; water is the outer phase from a fifth of "
    "the whole, oil below; oils of unknown viscosity up to a fiftieth of the oil phase are left out",
    seen_off="glycerol in water within 3 %; propylene glycol counted as glycerol within a quarter; blends of oils by "
    "mass or by volume differ by a tenth",
    beyond=_CUP,
)
def clear_viscosity(
    substance_fraction: Floats,
    substance_water: Floats,
    substance_polyol: Floats,
    substance_oil: Floats,
    substance_kinematic: Floats,
    substance_density: Floats,
) -> Floats:
    """Return the viscosity of the outer liquid at 25 °C. [Pa s]"""
    water = (substance_fraction * substance_water).sum(-1)
    polyol = (substance_fraction * substance_polyol).sum(-1)
    oil = substance_fraction * substance_oil
    known = np.isfinite(substance_kinematic) & np.isfinite(substance_density)
    whole, counted = oil.sum(-1), oil[..., known].sum(-1)
    blend = rheology.viscosity_blend(oil[..., known], substance_kinematic[known])
    blend = blend * density_mixture_ideal(oil[..., known], substance_density[known])
    oily = np.where(counted >= (1 - _MAY_BE_UNKNOWN) * whole, blend, np.nan)
    return np.asarray(
        np.where(water >= OUTER_WATER, rheology.viscosity_glycerol_water(polyol / (polyol + water), ROOM), oily)
    )


@quantity(
    unit="1",
    title="What gives body without a flow curve",
    equation="w = Σ wₛ",
    source="definition",
    holds="thickeners, surfactants, conditioners, waxes in oil, emulsifiers in water without a flow curve on the shelf",
)
def unforeseen_body(substance_fraction: Floats, substance_unforeseen: Floats) -> Floats:
    """Return the mass fraction of what gives the product body in a way that is not foreseen. [1]"""
    return np.asarray((substance_fraction * substance_unforeseen).sum(-1))


@quantity(
    unit="1",
    title="Dose of each thickener in its phase",
    equation="c = w/(w + Σ w of the phase)",
    source="definition",
    each="thickeners",
)
def thickener_dose(
    substance_fraction: Floats,
    substance_water: Floats,
    substance_aqueous: Floats,
    substance_oil: Floats,
    thickener_pick: Floats,
    thickener_in_water: Floats,
) -> Floats:
    """Return the share of each thickener in the phase it thickens; 0 where that is not the outer phase. [1]"""
    pick = thickener_pick.astype(int)
    own = substance_fraction[..., pick]
    aqueous = (substance_fraction * substance_aqueous).sum(-1)[..., None] - own * substance_aqueous[pick]
    oily = (substance_fraction * substance_oil).sum(-1)[..., None] - own * substance_oil[pick]
    watery = ((substance_fraction * substance_water).sum(-1) >= OUTER_WATER)[..., None]
    phase = np.where(thickener_in_water > 0, aqueous, oily)
    return np.asarray(np.where(watery == (thickener_in_water > 0), own / (own + phase), 0.0))


def from_table(dose: Floats, knots: Floats, values: Floats) -> Floats:
    """Return values between the doses of a table, straight on log-log paper; nan outside it, 0 for no dose.

    Parameters
    ----------
    dose : ndarray
        Dose of each thickener, last axis thickeners. [1]
    knots : ndarray
        Doses of the table, thickeners by entries, rising, padded with nan. [1]
    values : ndarray
        Values at those doses, on the same last two axes; leading axes are draws.

    Returns
    -------
    ndarray
        Value of each thickener.
    """
    count = np.isfinite(knots).sum(-1)
    last = count - 1
    below = (dose[..., None] >= knots).sum(-1) - 1
    inside = (below >= 0) & (dose <= np.take_along_axis(knots, last[:, None], -1)[:, 0])
    left = np.where(inside, np.minimum(below, np.maximum(last - 1, 0)), 0)
    right = np.minimum(left + 1, last)
    shape = np.broadcast_shapes(left.shape, values.shape[:-1])
    left, right = np.broadcast_to(left, shape), np.broadcast_to(right, shape)
    table = np.broadcast_to(values, (*shape, values.shape[-1]))
    grid = np.broadcast_to(knots, (*shape, knots.shape[-1]))

    def at(array: Floats, index: NDArray[np.intp]) -> Floats:
        return np.take_along_axis(array, index[..., None], -1)[..., 0]

    x0, x1, y0, y1 = at(grid, left), at(grid, right), at(table, left), at(table, right)
    with np.errstate(divide="ignore", invalid="ignore"):
        part = np.where(right > left, np.log(dose / x0) / np.log(x1 / x0), 0.0)
        curved = y0 * (y1 / y0) ** part
    straight = y0 + (y1 - y0) * part
    found = np.where((y0 > 0) & (y1 > 0), curved, straight)
    return np.asarray(np.where(dose == 0, 0.0, np.where(inside, found, np.nan)))


@quantity(
    unit="Pa",
    title="Yield stress",
    equation="τ_y = Σ τ_y,i(cᵢ)",
    source="networks-added",
    holds="25 °C; each thickener as in the source of its flow curve (pH, salt and hydration as usual for it), within "
    "the doses of its table; networks of several are taken to add",
    seen_off="one set of readings has been fitted with yield stresses of 387, 456, 0 and 5.7 Pa by four models: a slump "
    "or bead test on the product outranks it",
    beyond=_SLUMP,
)
def yield_stress(thickener_dose: Floats, flow_dose: Floats, flow_yield: Floats, unforeseen_body: Floats) -> Floats:
    """Return the yield stress of the product without its grains. [Pa]"""
    return _foreseen(from_table(thickener_dose, flow_dose, flow_yield).sum(-1), unforeseen_body)


def _foreseen(value: Floats, unforeseen_body: Floats) -> Floats:
    return np.where(unforeseen_body <= _BODY, value, np.nan)


@quantity(
    unit="Pa",
    title="Consistency",
    equation="K = η₀ · 1/s + Σ Kᵢ(cᵢ)",
    source="networks-added",
    holds="as the yield stress; stress above the yield at 1/s",
    beyond=_SLUMP,
)
def consistency(
    thickener_dose: Floats,
    flow_dose: Floats,
    flow_consistency: Floats,
    clear_viscosity: Floats,
    unforeseen_body: Floats,
) -> Floats:
    """Return the consistency of Herschel and Bulkley, without grains: the stress above the yield at 1/s. [Pa]"""
    return _foreseen(from_table(thickener_dose, flow_dose, flow_consistency).sum(-1) + clear_viscosity, unforeseen_body)


@quantity(
    unit="-",
    title="Flow index",
    equation="n = (η₀ + Σ Kᵢ nᵢ)/(η₀ + Σ Kᵢ)",
    source="networks-added",
    holds="as the yield stress; 1 for a plain liquid, less for what thins when sheared",
    beyond=_SLUMP,
)
def flow_index(
    thickener_dose: Floats,
    flow_dose: Floats,
    flow_consistency: Floats,
    flow_exponent: Floats,
    clear_viscosity: Floats,
) -> Floats:
    """Return the flow index of Herschel and Bulkley. [-]"""
    share = from_table(thickener_dose, flow_dose, flow_consistency)
    each = np.where(share > 0, from_table(thickener_dose, flow_dose, flow_exponent), 1.0)
    return np.asarray((clear_viscosity + (share * each).sum(-1)) / (clear_viscosity + share.sum(-1)))


@quantity(
    unit="Pa s",
    title="Thickness when squeezed slowly",
    equation="η = (τ_y + K γ̇ⁿ)/γ̇ · (1 - φ/φ_m)^(-2.5 φ_m) at γ̇ = 10/s",
    source="Krieger-Dougherty-1959",
    holds="25 °C; grains that do not cling; 10/s is a slow squeeze from a tube",
    seen_off="as the yield stress and the consistency it rests on",
    beyond=_SLUMP,
)
def thickness(
    yield_stress: Floats, consistency: Floats, flow_index: Floats, solid_fraction: Floats, packing: Floats
) -> Floats:
    """Return the apparent viscosity of the product at a shear rate of 10/s. [Pa s]"""
    stress = rheology.stress_herschel_bulkley(SQUEEZE, yield_stress, consistency, flow_index)
    return rheology.viscosity_krieger_dougherty(stress / SQUEEZE, solid_fraction, packing)
