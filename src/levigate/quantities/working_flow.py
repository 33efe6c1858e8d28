"""The workings of flow and of powders."""

from __future__ import annotations

import numpy as np

from levigate.quantities.flow import SQUEEZE, from_table
from levigate.quantities.inputs import Inputs
from levigate.quantities.saying import digits
from levigate.quantities.thickening import BODY
from levigate.quantities.working import central, number, works
from levigate.science.grain import grain_diameter
from levigate.science.rheology import viscosity_blending_number


@works("clear_viscosity")
def _clear(inputs: Inputs) -> list[str]:
    share, water = central(inputs, "substance_fraction"), central(inputs, "substance_water")
    result = f"η₀ = {digits(number(inputs, 'clear_viscosity'), 3)} Pa.s"
    if number(inputs, "outer_phase") == 0:
        polyol = float(share @ central(inputs, "substance_polyol"))
        return [f"polyols in water: {digits(100 * polyol / (polyol + float(share @ water)), 3)} % by mass", result]
    thin, oil = central(inputs, "substance_kinematic"), central(inputs, "substance_oil")
    picked = [i for i in np.flatnonzero(share * oil > 0) if np.isfinite(thin[i])]
    whole = float(sum(share[i] for i in picked))
    terms = [f"{digits(share[i] / whole, 3)} × {digits(float(viscosity_blending_number(thin[i])))}" for i in picked]
    return [f"VBN = Σ wᵢ VBN(νᵢ) = {' + '.join(terms)}", result]


@works("outer_phase")
def _outer(inputs: Inputs) -> list[str]:
    share = central(inputs, "substance_fraction")
    parts = [
        f"w({word}) = {digits(100 * float(share @ central(inputs, leaf)), 3)} %"
        for word, leaf in (
            ("water", "substance_water"),
            ("watery liquids", "substance_wet"),
            ("oil phase", "substance_oil"),
            ("of that silicone", "substance_silicone"),
        )
    ]
    return [f"{', '.join(parts)}: {digits(number(inputs, 'outer_phase'), 2)}"]


@works("unforeseen_body")
def _unforeseen(inputs: Inputs) -> list[str]:
    share, table = central(inputs, "mass_fraction"), central(inputs, "line_body")
    rows = [
        f"{word}: {' + '.join(f'{digits(share[i] * row[i])} ({inputs.materials[i]})' for i in np.flatnonzero(row))}"
        for word, row in zip(BODY, table, strict=True)
        if row.any()
    ]
    return [*rows, f"w = {digits(number(inputs, 'unforeseen_body'))}"]


@works("thickener_dose")
def _dose(inputs: Inputs) -> list[str]:
    doses = np.atleast_1d(central(inputs, "thickener_dose"))
    return [
        f"c({name}) = {digits(100 * dose, 3)} % of its phase"
        for name, dose in zip(inputs.thickeners, doses, strict=True)
    ]


def _from_tables(inputs: Inputs, leaf: str, symbol: str, unit: str) -> list[str]:
    dose, knots, table = (central(inputs, name) for name in ("thickener_dose", "flow_dose", leaf))
    each = from_table(dose, knots, table)
    return [
        f"{symbol}({name}, {digits(100 * c, 3)} %) = {digits(value, 3)} {unit}".strip()
        for name, c, value in zip(inputs.thickeners, dose, each, strict=True)
    ]


@works("yield_stress")
def _yield(inputs: Inputs) -> list[str]:
    rows = _from_tables(inputs, "flow_yield", "τ_y", "Pa")
    return [*rows, f"τ_y = Σ τ_y,i = {digits(number(inputs, 'yield_stress'), 3)} Pa"]


@works("consistency")
def _consistency(inputs: Inputs) -> list[str]:
    rows = _from_tables(inputs, "flow_consistency", "K", "Pa")
    clear, result = number(inputs, "clear_viscosity"), number(inputs, "consistency")
    return [*rows, f"K = η₀ · 1/s + Σ Kᵢ = {digits(clear, 3)} + {digits(result - clear, 3)} = {digits(result, 3)} Pa"]


@works("flow_index")
def _index(inputs: Inputs) -> list[str]:
    return [*_from_tables(inputs, "flow_exponent", "n", ""), f"n = {digits(number(inputs, 'flow_index'), 3)}"]


@works("thickness")
def _thickness(inputs: Inputs) -> list[str]:
    stress, k, n = (number(inputs, name) for name in ("yield_stress", "consistency", "flow_index"))
    phi, most = number(inputs, "solid_fraction"), number(inputs, "packing")
    return [
        f"(τ_y + K γ̇ⁿ)/γ̇ = ({digits(stress, 3)} + {digits(k, 3)} × {SQUEEZE:g}^{digits(n, 3)})/{SQUEEZE:g} Pa.s",
        f"× (1 - {digits(phi, 3)}/{digits(most, 3)})^(-2.5 × {digits(most, 3)}) "
        f"= {digits(number(inputs, 'thickness'), 3)} Pa.s",
    ]


@works("solid_fraction")
def _solid(inputs: Inputs) -> list[str]:
    each = np.atleast_1d(central(inputs, "volume_fraction"))[central(inputs, "powder_pick").astype(int)]
    terms = [f"{digits(phi)} ({name})" for name, phi in zip(inputs.powders, each, strict=True)]
    return [f"φ = {' + '.join(terms) or 'none'} = {digits(number(inputs, 'solid_fraction'))}"]


@works("packing")
def _packing(inputs: Inputs) -> list[str]:
    rows = [
        f"φ_m({name}) = {digits(m, 3)}"
        for name, m in zip(inputs.powders, central(inputs, "powder_packing"), strict=True)
    ]
    return [*rows, f"φ_m = {digits(number(inputs, 'packing'), 3)}"]


@works("crowding")
def _crowding(inputs: Inputs) -> list[str]:
    phi, most = number(inputs, "solid_fraction"), number(inputs, "packing")
    return [f"c = φ/φ_m = {digits(phi, 3)}/{digits(most, 3)} = {digits(phi / most, 3)}"]


@works("liquid_density")
def _liquid(inputs: Inputs) -> list[str]:
    return [f"ρ(liquid) = {digits(number(inputs, 'liquid_density') / 1000)} g/mL, the powders left out"]


def _coarse(inputs: Inputs) -> list[tuple[str, float, float]]:
    """Return name, coarse tenth [m] and density difference [kg/m³] of each powder."""
    pick = central(inputs, "powder_pick").astype(int)
    lighter = central(inputs, "material_density")[pick] - number(inputs, "liquid_density")
    d90 = grain_diameter(0.9, central(inputs, "powder_d50"), central(inputs, "powder_sigma"))
    return [(name, float(d), float(r)) for name, d, r in zip(inputs.powders, d90, lighter, strict=True)]


@works("yield_needed")
def _needed(inputs: Inputs) -> list[str]:
    results = central(inputs, "yield_needed")
    return [
        f"τ({name}) = 0.143 × {digits(d * 1e6, 3)} µm × {digits(abs(r), 3)} kg/m³ × 9.807 m/s² / 3 "
        f"= {digits(float(t), 3)} Pa"
        for (name, d, r), t in zip(_coarse(inputs), results, strict=True)
    ]


@works("held_share")
def _held(inputs: Inputs) -> list[str]:
    stress, needed = number(inputs, "yield_stress"), central(inputs, "yield_needed")
    return [
        f"d_held({name}) = {digits(d * 1e6, 3)} µm × {digits(stress, 3)}/{digits(float(t), 3)} "
        f"= {digits(d * 1e6 * stress / float(t), 3)} µm; "
        f"F = {digits(100 * float(share), 3)} %"
        for (name, d, _), t, share in zip(_coarse(inputs), needed, central(inputs, "held_share"), strict=True)
    ]


@works("settling_speed")
def _speed(inputs: Inputs) -> list[str]:
    stress, needed = number(inputs, "yield_stress"), central(inputs, "yield_needed")
    return [
        f"v({name}): τ_y/τ_hold = {digits(stress / float(t), 3)}, d = {digits(d * 1e6, 3)} µm, "
        f"Δρ = {digits(r, 3)} kg/m³: {digits(float(v) * 1e6, 3)} µm/s"
        for (name, d, r), t, v in zip(_coarse(inputs), needed, central(inputs, "settling_speed"), strict=True)
    ]


@works("bulk_density")
def _bulk(inputs: Inputs) -> list[str]:
    bulk = central(inputs, "bulk_density")
    return [f"ρ_b({name}) = {digits(float(b) / 1000, 3)} g/mL" for name, b in zip(inputs.powders, bulk, strict=True)]


@works("poured_air")
def _poured_air(inputs: Inputs) -> list[str]:
    bulk = central(inputs, "bulk_density")
    true = central(inputs, "material_density")[central(inputs, "powder_pick").astype(int)]
    return [
        f"ε({name}) = 1 - {digits(float(b) / 1000, 3)}/{digits(float(t) / 1000)} = {digits(float(1 - b / t), 3)}"
        for name, b, t in zip(inputs.powders, bulk, true, strict=True)
    ]


@works("poured_volume")
def _poured_volume(inputs: Inputs) -> list[str]:
    share = central(inputs, "mass_fraction")[central(inputs, "powder_pick").astype(int)]
    mass, bulk = number(inputs, "batch_mass"), central(inputs, "bulk_density")
    return [
        f"V({name}) = {digits(float(w * mass * 1000))} g / {digits(float(b) / 1000, 3)} g/mL "
        f"= {digits(float(w * mass / b * 1e6), 3)} mL"
        for name, w, b in zip(inputs.powders, share, bulk, strict=True)
    ]


@works("air_share")
def _air(inputs: Inputs) -> list[str]:
    air, measured = number(inputs, "air_share"), number(inputs, "density") / 1000
    return [f"a = 1 - {digits(measured)}/{digits(measured / (1 - air))} = {digits(air, 3)}"]


@works("lasts")
def _lasts(inputs: Inputs) -> list[str]:
    mass, stays, daily = (number(inputs, name) for name in ("mass_per_container", "residue_share", "daily_mass"))
    return [
        f"t = (1 - {digits(stays, 2)}) × {digits(mass * 1000)} g / {digits(daily * 1000, 3)} g a day "
        f"= {digits(number(inputs, 'lasts') / 86400, 3)} days"
    ]


@works("solid_share")
def _solid_share(inputs: Inputs) -> list[str]:
    melts, share = central(inputs, "substance_melts"), central(inputs, "substance_fraction")
    start, end = central(inputs, "substance_melting_start"), central(inputs, "substance_melting_end")
    return [
        f"{inputs.substances[i]}: {digits(100 * share[i])} %, melts from {digits(start[i] - 273.15, 3)} to "
        f"{digits(end[i] - 273.15, 3)} °C"
        for i in np.flatnonzero((melts > 0) & (share > 0))
        if start[i] > 250
    ]
