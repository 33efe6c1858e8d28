"""The workings of warmth: what swells, what thins, and how full a container is while its content is warm."""

from __future__ import annotations

import math

import numpy as np

from levigate.quantities.inputs import Inputs
from levigate.quantities.melting import CLIMATES
from levigate.quantities.saying import digits
from levigate.quantities.working import central, number, works

_ZERO = 273.15


@works("material_density")
def _material_density(inputs: Inputs) -> list[str]:
    warm = inputs.temperature - _ZERO
    read, at = central(inputs, "density_reading") / 1000, central(inputs, "density_reading_temperature") - _ZERO
    moved = central(inputs, "material_density") / 1000
    return [
        f"ρ({name}, {digits(warm, 3)} °C) = {digits(then)} g/mL at {digits(t, 3)} °C "
        f"× {digits(now / then, 5)} = {digits(now)} g/mL"
        for name, then, t, now in zip(inputs.materials, read, at, moved, strict=True)
    ]


@works("substance_kinematic")
def _kinematic(inputs: Inputs) -> list[str]:
    read, at = central(inputs, "kinematic_reading") * 1e6, central(inputs, "kinematic_reading_temperature") - _ZERO
    slope, energy = central(inputs, "walther_slope"), central(inputs, "flow_activation") / 1000
    found = central(inputs, "substance_kinematic") * 1e6
    rows = []
    for i in np.flatnonzero(np.isfinite(read)):
        how = f"B = {digits(slope[i], 3)}" if math.isnan(energy[i]) else f"E = {digits(energy[i], 3)} kJ/mol"
        rows.append(
            f"ν({inputs.substances[i]}) = {digits(read[i], 3)} mm²/s at {digits(at[i], 3)} °C, {how}: "
            f"{digits(found[i], 3)} mm²/s at {digits(inputs.temperature - _ZERO, 3)} °C"
        )
    return rows or ["no oil here whose viscosity was read"]


def _climates(inputs: Inputs, name: str, symbol: str, scale: float, unit: str) -> list[str]:
    return [
        f"{symbol}({climate}) = {digits(float(value) * scale)}" + ("" if math.isnan(value) else f" {unit}")
        for climate, value in zip(CLIMATES, central(inputs, name), strict=True)
    ]


@works("density_by_climate")
def _density_by_climate(inputs: Inputs) -> list[str]:
    first = f"ρ({digits(inputs.temperature - _ZERO, 3)} °C) = {digits(number(inputs, 'density') / 1000)} g/mL"
    return [first, *_climates(inputs, "density_by_climate", "ρ", 1e-3, "g/mL")]


@works("clear_viscosity_by_climate")
def _clear_by_climate(inputs: Inputs) -> list[str]:
    first = f"η₀({digits(inputs.temperature - _ZERO, 3)} °C) = {digits(number(inputs, 'clear_viscosity'), 3)} Pa.s"
    return [first, *_climates(inputs, "clear_viscosity_by_climate", "η₀", 1.0, "Pa.s")]


@works("stated_density")
def _stated(inputs: Inputs) -> list[str]:
    here, there = number(inputs, "density") / 1000, number(inputs, "stated_density") / 1000
    return [
        f"ρ(20 °C) = {digits(here, 5)} g/mL at {digits(inputs.temperature - _ZERO, 3)} °C × {digits(there / here, 5)} "
        f"= {digits(there, 5)} g/mL"
    ]


@works("warm_volume")
def _warm(inputs: Inputs) -> list[str]:
    mass, volume = number(inputs, "mass_per_container") * 1e3, number(inputs, "warm_volume") * 1e6
    warm = digits(number(inputs, "fill_temperature") - _ZERO, 3)
    return [f"V({warm} °C) = m/ρ = {digits(mass)} g / {digits(mass / volume)} g/mL = {digits(volume)} mL"]


@works("warm_level")
def _level(inputs: Inputs) -> list[str]:
    warm, brimful = number(inputs, "warm_volume") * 1e6, number(inputs, "brimful_volume") * 1e6
    return [f"{digits(warm)} mL / {digits(brimful)} mL = {digits(100 * warm / brimful, 3)} %"]
