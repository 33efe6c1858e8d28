"""Quantities of flow: how thick the product is, at rest and when it is squeezed."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from levigate.quantities.graph import Floats, quantity
from levigate.quantities.sourced import ROOM
from levigate.quantities.thickening import BODY_AT_MOST, OUTER_WATER
from levigate.science import rheology
from levigate.science.density import density_mixture_ideal

#: Share of the oil phase that may be of unknown viscosity before the blend is not known. [1]
_MAY_BE_UNKNOWN = 0.02
#: One liquid to the other, by mass, up to which it is the inner phase whatever emulsifies. [1]
_DROPS = 0.02
#: Silicone in the oil phase up to which it is oil, and oil up to which it is silicone. [1]
_MIXED = 0.2
#: What is dissolved in the water phase and neither water nor polyol, up to which it is left out. [1]
_DISSOLVED = 0.1
#: Polyols other than glycerol in the water phase up to which they count as glycerol. [1]
_LIKE_GLYCEROL = 0.5
#: Emulsifier to gel alcohol from which the two make a gel of lamellae. [1]
_LAMELLAR = 0.25
#: Salt, as a share of the whole, from which a gel that salt spoils is not foreseen. [1]
_SALTED = 0.005
#: Temperatures from and to which a flow curve of a thickener is taken to hold. [K]
CURVES_HOLD = (288.15, 303.15)
#: Shear rate of a slow squeeze from a tube, at which thickness is compared. [1/s]
SQUEEZE = 10.0


#: Why flow may not be known, and the test that would tell.
_SLUMP = (
    "What gives this product its body has no flow curve on the shelf for this phase, or not at this dose, or not at "
    "this temperature (curves hold from 15 to 30 °C): measure it with `levigate reckon slump height=50mm slump=... "
    'density=...` and write [measured] yield_stress = "... Pa", elsewhere than in a warm room '
    '{ value = "... Pa", at = "5 C" }'
)
_EITHER = (
    "Whether water or oil is the outer phase cannot be told from the lines: measure it with "
    '`levigate reckon slump height=50mm slump=... density=...` and write [measured] yield_stress = "... Pa"'
)
_CUP = (
    "Oils that have set or whose viscosity is not known are more than a fiftieth of the oil phase, or much else than "
    'polyol is dissolved in the water: time it with `levigate reckon flow-cup cup="Ford 4" time=...` and write '
    '[measured] viscosity = "... mPa.s"'
)
_FULL = "The powders take all the room in which they would touch, so that it does not flow; with more liquid it would"


def _amounts(fraction: Floats, *flags: Floats) -> Floats:
    return np.moveaxis(fraction @ np.stack(flags, axis=-1), -1, 0)


@quantity(
    unit="-",
    title="Outer phase",
    equation="0 = water, from a fifth of the whole or where oil is a fiftieth of the watery liquids at most; 1 = oil, "
    "2 = silicone, where it is the other way round or below a fifth of water the emulsifiers make water in oil",
    source="common-practice",
    holds="told from the lines: 1.5 where oil and silicone are both more than a fifth of the oil phase; not known "
    "where neither water nor oil is the lesser part",
    seen_off="with enough of the right emulsifier oil stays outermost up to four fifths of water; drops of water, up "
    "to a fifth, thicken oil by up to three quarters, which flow does not count",
    beyond=_EITHER,
)
def outer_phase(
    substance_fraction: Floats,
    substance_water: Floats,
    substance_wet: Floats,
    substance_oil: Floats,
    substance_silicone: Floats,
    emulsion_type: Floats,
) -> Floats:
    """Return 0 where water is outermost, 1 for oil, 2 for silicone, 1.5 for a mixture of these two. [-]"""
    water, wet, oil, silicone = _amounts(
        substance_fraction, substance_water, substance_wet, substance_oil, substance_silicone
    )
    part = silicone / np.where(oil > 0, oil, np.nan)
    kind = np.where(part <= _MIXED, 1.0, np.where(part >= 1 - _MIXED, 2.0, np.where(part > 0, 1.5, np.nan)))
    watery = (water >= OUTER_WATER) | ((wet > 0) & (oil <= _DROPS * wet))
    return np.asarray(np.where(watery, 0.0, np.where((wet <= _DROPS * oil) | (emulsion_type == 1), kind, np.nan)))


@quantity(
    unit="Pa s",
    title="Viscosity of the clear liquid",
    equation="in water: Cheng (2008), polyols counted as glycerol; in oil: VBN(ν) = Σ wᵢ VBN(νᵢ), η = ν ρ",
    source="Cheng-2008",
    holds="at the temperature of the figures; the liquid between grains and drops, without thickeners; oils that "
    "dissolve in each other; oils of unknown viscosity up to a fiftieth of the oil phase, and what else is dissolved "
    "up to a tenth of the water phase, are left out",
    seen_off="glycerol in water within 3 %; propylene glycol counted as glycerol within a quarter; a tenth of ethanol "
    "or sugar makes water thicker by a third to a half; blends of oils by mass or by volume differ by a tenth; an oil "
    "read 15 to 20 K away within an eighth",
    beyond=_CUP,
)
def clear_viscosity(
    substance_fraction: Floats,
    substance_water: Floats,
    substance_aqueous: Floats,
    substance_polyol: Floats,
    substance_glycerol: Floats,
    substance_oil: Floats,
    substance_kinematic: Floats,
    substance_density: Floats,
    substance_expansion: Floats,
    outer_phase: Floats,
    temperature: Floats,
) -> Floats:
    """Return the viscosity of the outer liquid at the temperature asked about. [Pa s]"""
    water, aqueous, polyol, glycerol = _amounts(
        substance_fraction, substance_water, substance_aqueous, substance_polyol, substance_glycerol
    )
    both = polyol + water
    plain = (aqueous - both <= _DISSOLVED * aqueous) & (polyol - glycerol <= _LIKE_GLYCEROL * both)
    watery = rheology.viscosity_glycerol_water(polyol / np.where(both > 0, both, np.nan), temperature)
    watery = np.where(plain, watery, np.nan)
    if not (outer_phase > 0).any():
        return np.asarray(np.where(outer_phase == 0, watery, np.nan))
    oils = substance_oil > 0
    oil, thin = (substance_fraction * substance_oil)[..., oils], substance_kinematic[..., oils]
    density = substance_density[oils] * np.exp(-substance_expansion[oils] * (temperature[..., None] - ROOM))
    known = np.isfinite(thin) & np.isfinite(density)
    whole, counted = oil.sum(-1), np.where(known, oil, 0.0).sum(-1)
    # What is not known has no share in the blend, so that any number serves in its place.
    counts, thin, density = np.where(known, oil, 0.0), np.where(known, thin, 1e-5), np.where(known, density, 1000.0)
    blend = rheology.viscosity_blend(counts, thin) * density_mixture_ideal(counts, density)
    oily = np.where((counted >= (1 - _MAY_BE_UNKNOWN) * whole) & (outer_phase > 0), blend, np.nan)
    return np.asarray(np.where(outer_phase == 0, watery, oily))


@quantity(
    unit="1",
    title="What gives body without a flow curve",
    equation="w = Σ wᵢ bᵢ(outer phase)",
    source="definition",
    holds="thickeners without a curve for the outer phase; in water also surfactants, cationics, swelling clays, "
    "emulsifier without a fatty alcohol or a fatty alcohol without a quarter of emulsifier, water-in-oil emulsifier "
    "where it is the greater part, and thickeners that salt spoils from 0.5 % of salt or without a base; in oil waxes, "
    "butters and what else is not liquid; drops of oil do not count",
)
def unforeseen_body(mass_fraction: Floats, line_body: Floats, outer_phase: Floats) -> Floats:
    """Return the mass fraction of what gives the product body in a way that is not foreseen. [1]"""
    amounts = mass_fraction @ line_body.T
    water, oil, silicone, alcohol, emulsifier, inverse, salt, spoilt = np.moveaxis(amounts, -1, 0)
    loose = np.where(alcohol > 0, np.where(emulsifier >= _LAMELLAR * alcohol, 0.0, alcohol), emulsifier)
    turned = np.where(inverse > emulsifier / 2, emulsifier, 0.0)
    in_water = water + np.maximum(loose, turned) + np.where(salt >= _SALTED, spoilt, 0.0)
    return np.asarray(
        np.select(
            [outer_phase == 0, outer_phase == 1, outer_phase == 2, outer_phase == 1.5],
            [in_water, oil, silicone, np.maximum(oil, silicone)],
            np.nan,
        )
    )


@quantity(
    unit="1",
    title="Dose of each thickener in its phase",
    equation="c = w/(w + Σ w of the phase)",
    source="definition",
    holds="0 where its phase is not the outer one; not known for a thickener of oil or silicone where both are there",
    each="thickeners",
)
def thickener_dose(
    mass_fraction: Floats,
    thickener_share: Floats,
    thickener_phase: Floats,
    thickener_medium: Floats,
    outer_phase: Floats,
) -> Floats:
    """Return the share of each thickener in the phase it thickens; 0 where that is not the outer phase. [1]"""
    own, rest = mass_fraction @ thickener_share, mass_fraction @ thickener_phase
    outer = outer_phase[..., None]
    dose = own / np.where(own + rest > 0, own + rest, 1.0)
    unsettled = (own > 0) & (np.isnan(outer) | ((outer == 1.5) & (thickener_medium > 0)))
    return np.asarray(np.where(outer == thickener_medium, dose, np.where(unsettled, np.nan, 0.0 * own)))


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
    x0, x1, y0, y1 = _entry(knots, left), _entry(knots, right), _entry(values, left), _entry(values, right)
    # Far outside the table the power has no bound; what is outside is left out below.
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        part = np.where(right > left, np.log(dose / x0) / np.log(x1 / x0), 0.0)
        curved = y0 * (y1 / y0) ** part
    straight = y0 + (y1 - y0) * part
    found = np.where((y0 > 0) & (y1 > 0), curved, straight)
    return np.asarray(np.where(dose == 0, 0.0, np.where(inside, found, np.nan)))


def _entry(table: Floats, index: NDArray[np.intp]) -> Floats:
    """Return an entry of each thickener's row of a table; both may have leading axes that broadcast."""
    row = np.arange(table.shape[-2])
    if index.ndim == 1:
        return table[..., row, index]
    if table.ndim == 2:
        return table[row, index]
    shape = np.broadcast_shapes(index.shape, table.shape[:-1])
    index, table = np.broadcast_to(index, shape), np.broadcast_to(table, (*shape, table.shape[-1]))
    return np.take_along_axis(table, index[..., None], -1)[..., 0]


@quantity(
    unit="Pa",
    title="Yield stress",
    equation="τ_y = Σ τ_y,i(cᵢ)",
    source="networks-added",
    holds="15 to 30 °C where something thickens it; each thickener as in the source of its flow curve, read at 20 to "
    "25 °C (pH, salt and hydration as usual for it), within the doses of its table; networks of several are taken to "
    "add",
    seen_off="one set of readings has been fitted with yield stresses of 387, 456, 0 and 5.7 Pa by four models: a "
    "slump or bead test on the product outranks it",
    beyond=_SLUMP,
)
def yield_stress(
    thickener_dose: Floats, flow_dose: Floats, flow_yield: Floats, unforeseen_body: Floats, temperature: Floats
) -> Floats:
    """Return the yield stress of the product without its grains. [Pa]"""
    found = from_table(thickener_dose, flow_dose, flow_yield).sum(-1)
    return _foreseen(found, unforeseen_body, thickener_dose, temperature)


def _foreseen(value: Floats, unforeseen_body: Floats, thickener_dose: Floats, temperature: Floats) -> Floats:
    coldest, warmest = CURVES_HOLD
    holds = ((temperature >= coldest) & (temperature <= warmest)) | ~(thickener_dose != 0).any(-1)
    return np.where((unforeseen_body <= BODY_AT_MOST) & holds, value, np.nan)


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
    temperature: Floats,
) -> Floats:
    """Return the consistency of Herschel and Bulkley, without grains: the stress above the yield at 1/s. [Pa]"""
    found = from_table(thickener_dose, flow_dose, flow_consistency).sum(-1) + clear_viscosity
    return _foreseen(found, unforeseen_body, thickener_dose, temperature)


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
    holds="as the yield stress; grains that do not cling; 10/s is a slow squeeze from a tube; drops of oil are not "
    "counted",
    seen_off="as the yield stress and the consistency it rests on; a third of oil drops makes a cream about three "
    "times thicker than its water; grains raise a yield stress less than this factor, near its root",
    beyond=_FULL,
)
def thickness(
    yield_stress: Floats, consistency: Floats, flow_index: Floats, solid_fraction: Floats, packing: Floats
) -> Floats:
    """Return the apparent viscosity of the product at a shear rate of 10/s. [Pa s]"""
    stress = rheology.stress_herschel_bulkley(SQUEEZE, yield_stress, consistency, flow_index)
    return rheology.viscosity_krieger_dougherty(stress / SQUEEZE, solid_fraction, packing)
