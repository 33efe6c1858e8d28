"""The workings of emulsions."""

from __future__ import annotations

import numpy as np

from levigate.quantities.emulsified import SIDES
from levigate.quantities.graph import Floats
from levigate.quantities.inputs import Inputs
from levigate.quantities.saying import digits
from levigate.quantities.working import central, number, summed, works


def _mean(inputs: Inputs, weight: Floats, value: Floats, symbol: str, name: str) -> list[str]:
    part = central(inputs, "mass_fraction") * weight
    picked = np.flatnonzero(part)
    terms = [f"{digits(part[i] / part.sum())} × {digits(value[i])} ({inputs.materials[i]})" for i in picked]
    return [f"{symbol} = Σ xᵢ {symbol}ᵢ = {' + '.join(terms)} = {digits(number(inputs, name))}"]


@works("emulsified_oil")
def _oil(inputs: Inputs) -> list[str]:
    parts = central(inputs, "oil_rated") + central(inputs, "oil_unrated")
    return summed(inputs, parts, "w(oils)", "emulsified_oil")


@works("emulsifier_share")
def _share(inputs: Inputs) -> list[str]:
    parts = central(inputs, "emulsifier_rated") + central(inputs, "emulsifier_own")
    return summed(inputs, parts, "w(emulsifiers)", "emulsifier_share")


@works("required_hlb")
def _required(inputs: Inputs) -> list[str]:
    return _mean(inputs, central(inputs, "oil_rated"), central(inputs, "oil_asks"), "rHLB", "required_hlb")


@works("emulsifier_hlb")
def _hlb(inputs: Inputs) -> list[str]:
    return _mean(inputs, central(inputs, "emulsifier_rated"), central(inputs, "line_hlb"), "HLB", "emulsifier_hlb")


@works("hlb_gap")
def _gap(inputs: Inputs) -> list[str]:
    met, asked = number(inputs, "emulsifier_hlb"), number(inputs, "required_hlb")
    return [f"Δ = {digits(met)} - {digits(asked)} = {digits(met - asked)}"]


@works("emulsifier_per_oil")
def _per_oil(inputs: Inputs) -> list[str]:
    emulsifier, oil = number(inputs, "emulsifier_share"), number(inputs, "emulsified_oil")
    return [f"e = {digits(emulsifier)} / {digits(oil)} = {digits(emulsifier / oil)}"]


@works("emulsifier_sides")
def _sides(inputs: Inputs) -> list[str]:
    return [
        f"w({side}) = {digits(100 * share, 3)} %"
        for side, share in zip(SIDES, central(inputs, "emulsifier_sides"), strict=True)
    ]


@works("emulsion_type")
def _type(inputs: Inputs) -> list[str]:
    water, oil = central(inputs, "emulsifier_sides")
    kind = number(inputs, "emulsion_type")
    return [
        f"{digits(100 * water, 3)} % for oil in water, {digits(100 * oil, 3)} % for water in oil: {digits(kind, 1)}"
    ]


@works("phase_densities")
def _densities(inputs: Inputs) -> list[str]:
    oil, water = central(inputs, "phase_densities") / 1000
    return [f"oil phase {digits(oil)} g/mL, water phase {digits(water)} g/mL"]


@works("drops_share")
def _drops(inputs: Inputs) -> list[str]:
    liquid = central(inputs, "mass_fraction") * central(inputs, "line_liquid")
    volume = liquid / (central(inputs, "material_density") / 1000)
    oil, whole = float(volume @ central(inputs, "material_oil")), float(volume.sum())
    inner = oil if number(inputs, "emulsion_type") == 0 else whole - oil
    return [f"φ = {digits(inner)} mL / {digits(whole)} mL a gram = {digits(inner / whole)}"]


def _speed(inputs: Inputs, name: str) -> list[str]:
    size = float(central(inputs, "drop_diameter")) * 1e6
    speed = number(inputs, name) * 1e6
    (densities,) = _densities(inputs)
    share = digits(100 * number(inputs, "drops_share"), 3)
    return [f"{digits(size, 3)} µm drops, {share} % of the liquids; {densities}", f"v = {digits(speed)} um/s"]


@works("creaming_speed")
def _creaming(inputs: Inputs) -> list[str]:
    held = ["held by the yield stress"] if number(inputs, "creaming_speed") == 0 else []
    return [*_speed(inputs, "creaming_speed"), *held]


@works("creaming_bound")
def _bound(inputs: Inputs) -> list[str]:
    return _speed(inputs, "creaming_bound")
