"""Quantities of acids and bases in the water: pH, what holds it there, and which part of each acid is free."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from levigate.quantities.graph import Floats, quantity
from levigate.science.acidity import (
    REFERENCE_TEMPERATURE,
    acidity,
    buffer_value_at_ph,
    ionic_strength_at_ph,
    species_share,
)

#: Ionic strength beyond which the activity coefficients are out of their range. [mol/kg]
MOST_STRENGTH = 0.5
#: Ionic strength beyond which no pH is told at all, judged. [mol/kg]
FAR_BEYOND = 2.0
#: By how much a pH is less sure beyond it; judged.
_LESS_SURE = 4.0
#: How far what comes along unsaid may shift a pH before it is not known.
MOST_SHIFT = 0.5
#: How far a pH may drift, and the drift of one that stays.
DRIFT = 0.5
_NONE = np.zeros(1)
#: Digits after the point that a computed pH deserves, and beyond the range of its method.
DECIMALS = 2

_METER = 'measure it with a meter and write [measured] pH = { value = 5.4, how = "meter" }'
_HOLDS = (
    "everything dissolved in all the water, at 25 °C; no pairs of ions; ionic strength to 0.5 mol/kg, beyond it one "
    "decimal only; what sits in oil is not counted; glycols and alcohols above 10 % move every pKa, which is left out"
)
_SEEN_OFF = (
    "0.015 on the primary pH standards, 0.025 on measured buffers, up to 0.07 on citrates with much sodium; a meter "
    "outranks it"
)


def _once(function: Callable[..., Floats], marker: Floats, *arrays: Floats) -> Floats:
    """Return a function of rows, worked out once for rows that are alike, as most draws are.

    Parameters
    ----------
    function : callable
        From arrays with rows along the first axis to an array with rows along the first axis.
    marker : ndarray
        One number per row, different where draws are.
    *arrays : ndarray
        What it is called with; those with no axis of rows are passed as they stand.
    """
    marked = np.asarray(marker)
    if marked.ndim != 1 or marked.size < 2:
        return function(*arrays)
    _, first, again = np.unique(marked, return_index=True, return_inverse=True)
    if first.size == marked.size:
        return function(*arrays)
    few = [array[first] if array.shape[:1] == marked.shape else array for array in arrays]
    for small, array in zip(few, arrays, strict=True):
        if array.shape[:1] == marked.shape and not np.array_equal(small[again], array, equal_nan=True):
            return function(*arrays)
    return np.asarray(function(*few)[again])


@quantity(
    unit="1",
    title="Water for solutes",
    equation="w = w(water) + Σ wᵢ c(crystal water in i)",
    source="definition",
    holds="all water of the product, that of premixes, stocks and crystals included",
)
def dissolving_water(
    water_content: Floats, mass_fraction: Floats, material_composition: Floats, acid_pick: Floats, acid_water: Floats
) -> Floats:
    """Return the mass fraction of water in which acids, bases and salts dissolve. [1]"""
    return np.asarray(water_content + (_picked(mass_fraction, material_composition, acid_pick) * acid_water).sum(-1))


def _picked(mass_fraction: Floats, material_composition: Floats, pick: Floats) -> Floats:
    """Return the mass fraction of each substance that dissolves as acid, base or salt. [1]"""
    return np.asarray(mass_fraction @ material_composition[..., pick.astype(int)])


@quantity(
    unit="mol/kg",
    title="Moles in the water",
    equation="m = w·c/(M w(water))",
    source="definition",
    holds="acids, bases and their ions, each with all its forms, per kilogram of water",
    each="ladders",
)
def solute_molality(
    mass_fraction: Floats,
    material_composition: Floats,
    acid_pick: Floats,
    acid_purity: Floats,
    acid_solutes: Floats,
    dissolving_water: Floats,
    substance_trace: Floats,
) -> Floats:
    """Return the molality of each solute, all its forms together. [mol/kg]"""
    water = dissolving_water[..., None]
    amount = (_picked(mass_fraction, material_composition, acid_pick) * acid_purity) @ acid_solutes / water
    trace = ((mass_fraction @ material_composition) * substance_trace).sum(-1, keepdims=True) / water
    trace = np.concatenate([np.maximum(trace, 0), np.maximum(-trace, 0)], axis=-1)
    lead = np.broadcast_shapes(amount.shape[:-1], trace.shape[:-1])
    return np.concatenate([np.broadcast_to(x, (*lead, x.shape[-1])) for x in (amount, trace)], axis=-1)


@quantity(
    unit="-",
    title="Balance of charges",
    equation="Σ mᵢ z̄ᵢ + 10^-pH/γ₁ - Kw 10^pH/γ₁ = 0, log γ = -A z² (√I/(1+√I) - 0.3 I)",
    source="Davies-1962",
    holds=_HOLDS,
    seen_off=_SEEN_OFF,
    each="acidity",
)
def charge_balance(
    solute_molality: Floats, solute_pka: Floats, solute_charge: Floats, davies_constant: Floats, measured_ph: Floats
) -> Floats:
    """Return the pH at which all charges cancel, or the measured one; ionic strength and buffer value there. [-]"""
    if solute_charge.shape[-1] <= 2:  # traces alone
        return np.full((*solute_molality.shape[:-1], 3), np.nan)

    def solve(m: Floats, k: Floats, b: Floats) -> Floats:
        found = acidity(m, k, solute_charge, REFERENCE_TEMPERATURE, b)
        return np.stack([found.ph, found.ionic_strength, found.buffer_value], axis=-1)

    if np.isnan(measured_ph).all():
        return _once(solve, davies_constant, solute_molality, solute_pka, davies_constant)

    def at(m: Floats, k: Floats, b: Floats) -> Floats:
        strength = ionic_strength_at_ph(measured_ph, m, k, solute_charge, REFERENCE_TEMPERATURE, b)
        slope = buffer_value_at_ph(measured_ph, strength, m, k, solute_charge, REFERENCE_TEMPERATURE, b)
        return np.stack([measured_ph + np.zeros_like(slope), strength, slope], axis=-1)

    return at(solute_molality, solute_pka, davies_constant)


@quantity(
    unit="-",
    title="pH",
    equation="Σ mᵢ z̄ᵢ + 10^-pH/γ₁ - Kw 10^pH/γ₁ = 0, log γ = -A z² (√I/(1+√I) - 0.3 I)",
    source="Davies-1962",
    holds=_HOLDS,
    seen_off=_SEEN_OFF,
    beyond="Too little in its water holds a pH against what air, gums and traces bring along, or it holds more salt "
    f"(above 2 mol/kg) than any sum is good for: {_METER}",
    decimals=DECIMALS,
    coarse="model_range_used",
)
def ph(
    charge_balance: Floats,
    ph_error: Floats,
    mass_fraction: Floats,
    material_composition: Floats,
    substance_acidity: Floats,
    substance_trace_half: Floats,
    dissolving_water: Floats,
) -> Floats:
    """Return the pH of the water; nan where hardly anything holds it, and where the model is lost. [-]"""
    at, strength, slope = np.moveaxis(charge_balance, -1, 0)
    share = mass_fraction @ material_composition
    unsure = share[..., np.isnan(substance_acidity)].any(-1)
    shift = share @ substance_trace_half / dissolving_water / slope
    off = ph_error * np.where(strength > MOST_STRENGTH, _LESS_SURE, 1.0)
    return np.where((shift <= MOST_SHIFT) & (strength <= FAR_BEYOND) & ~unsure, at + off, np.nan)


@quantity(
    unit="mol/kg",
    title="Ionic strength of the water",
    equation="I = ½ Σ m z²",
    source="definition",
    holds="of the forms that are there at its pH",
)
def ionic_strength(charge_balance: Floats) -> Floats:
    """Return the ionic strength of the water. [mol/kg]"""
    return np.asarray(charge_balance[..., 1])


@quantity(
    unit="1",
    title="Range of the activity model that is used",
    equation="I/I_max, I_max = 0.5 mol/kg",
    source="Davies-1962",
    holds="above 100 % a pH is good to one decimal at best",
)
def model_range_used(ionic_strength: Floats) -> Floats:
    """Return the ionic strength as a share of that to which the activity coefficients hold. [1]"""
    return np.asarray(ionic_strength / MOST_STRENGTH)


@quantity(
    unit="mol/kg",
    title="Buffer value, per pH unit",
    equation="β = dC/dpH",
    source="mass-action",
    holds="strong base that a kilogram of water takes for one pH unit, as a slope at its pH",
)
def buffer_value(charge_balance: Floats) -> Floats:
    """Return the strong base that one pH unit takes, as a slope. [mol/kg]"""
    return np.asarray(charge_balance[..., 2])


def _free(
    at: Floats, strength: Floats, pick: Floats, pka: Floats, charge: Floats, davies: Floats, drifts: Floats = _NONE
) -> Floats:
    """Return the share of each acid that has all its protons, at a pH moved by each of some drifts."""
    chosen = pick.astype(int)

    def share(x: Floats, i: Floats, k: Floats, b: Floats) -> Floats:
        moved = x[..., None, None] + drifts[:, None]
        strength, davies = i[..., None, None], b[..., None, None]
        shares = species_share(moved, k[..., None, :, :], charge[..., chosen], strength, REFERENCE_TEMPERATURE, davies)[
            ..., 0
        ]
        return shares.reshape(*shares.shape[:-2], drifts.size * chosen.size)

    return _once(share, davies, np.asarray(at), np.asarray(strength), pka[..., chosen, :], davies)


@quantity(
    unit="1",
    title="Free acid, of all of it",
    equation="x = 1/(1 + Σ 10^(j pH - pK₁ - ... - pKⱼ)/γ)",
    source="mass-action",
    holds="in the water; what has gone into oil or micelles is not counted",
    seen_off="as the pH it rests on",
    each="acids",
)
def free_acid(
    ph: Floats,
    ionic_strength: Floats,
    free_pick: Floats,
    solute_pka: Floats,
    solute_charge: Floats,
    davies_constant: Floats,
) -> Floats:
    """Return the share of each acid that has all its protons. [1]"""
    return _free(ph, ionic_strength, free_pick, solute_pka, solute_charge, davies_constant)


@quantity(
    unit="1",
    title="Free acid if the pH drifts",
    equation="x = x(pH ± 0.5)",
    source="mass-action",
    holds="as the free acid; nothing else changes",
    seen_off="as the pH it rests on",
    each="drifts",
)
def free_acid_drift(
    ph: Floats,
    ionic_strength: Floats,
    free_pick: Floats,
    solute_pka: Floats,
    solute_charge: Floats,
    davies_constant: Floats,
) -> Floats:
    """Return the share of each acid that would have all its protons half a unit lower, and half a unit higher. [1]"""
    both = np.array([-DRIFT, DRIFT])
    return _free(ph, ionic_strength, free_pick, solute_pka, solute_charge, davies_constant, both)


@quantity(
    unit="1",
    title="Free acid in the product",
    equation="w(free) = x m M w(water)",
    source="mass-action",
    holds="percent of the whole formula, as the acid itself",
    seen_off="as the pH it rests on",
    each="acids",
)
def free_acid_content(
    free_acid: Floats, solute_molality: Floats, free_pick: Floats, free_molar_mass: Floats, dissolving_water: Floats
) -> Floats:
    """Return the mass fraction of each free acid in the product. [1]"""
    moles = solute_molality[..., free_pick.astype(int)]
    return np.asarray(free_acid * moles * free_molar_mass * dissolving_water[..., None])
