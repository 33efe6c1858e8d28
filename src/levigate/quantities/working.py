"""The working of a figure: its equation with the numbers put in, in units of the bench."""

from __future__ import annotations

import importlib
import math
from collections.abc import Callable
from functools import lru_cache

import numpy as np

from levigate.quantities.graph import Floats, quantities
from levigate.quantities.inputs import Inputs
from levigate.quantities.saying import bench_unit, digits, to_bench

#: Modules that hold workings beside this one.
_MODULES = (
    "working_flow",
    "working_emulsion",
    "working_heat",
    "working_keeping",
    "working_acids",
    "working_washing",
    "working_solubility",
    "working_warmth",
)
_WORKINGS: dict[str, Callable[[Inputs], list[str]]] = {}


def works(name: str) -> Callable[[Callable[[Inputs], list[str]]], Callable[[Inputs], list[str]]]:
    """Register the working of a quantity."""

    def register(function: Callable[[Inputs], list[str]]) -> Callable[[Inputs], list[str]]:
        _WORKINGS[name] = function
        return function

    return register


@lru_cache(maxsize=1)
def workings() -> dict[str, Callable[[Inputs], list[str]]]:
    """Return the working of each quantity."""
    for module in _MODULES:  # they register themselves
        importlib.import_module(f"levigate.quantities.{module}")
    return _WORKINGS


def as_given(name: str, inputs: Inputs) -> str:
    """Return on whose word a quantity stands that is given, not computed; empty for one that is computed."""
    if name not in inputs.given:
        return ""
    if not inputs.measured(name):
        return "as stated in the formula file"
    read = inputs.behind[name][0]
    moved = name in ("density", "stated_density") and not math.isclose(number(inputs, name), read.value, rel_tol=1e-12)
    return f"as measured on this product{', moved to another temperature' if moved else ''}"


def working(name: str, inputs: Inputs) -> tuple[str, ...]:
    """Return the equation with the numbers put in, line by line; one line for a value that was given."""
    if stated := as_given(name, inputs):
        what = quantities()[name]
        unit = bench_unit(what.shown)
        said = f"{digits(to_bench(number(inputs, name), what.shown))}{'' if unit == '-' else f' {unit}'}"
        return (f"{said}, {stated}",)
    return tuple(workings()[name](inputs))


def central(inputs: Inputs, name: str) -> Floats:
    """Return the central row of an input or a quantity."""
    return inputs.central(name)[name]


def number(inputs: Inputs, name: str) -> float:
    """Return the central value of a quantity, SI."""
    return float(central(inputs, name))


@works("shrinkage")
def _shrinkage(inputs: Inputs) -> list[str]:
    share, kinds = central(inputs, "substance_fraction"), central(inputs, "substance_shrinks")
    named = [f"{inputs.substances[i]} {digits(share[i])}" for i in np.flatnonzero((kinds > 0) & (share > 0))]
    return [f"{', '.join(named) or 'nothing here'} with water: Δv = {digits(number(inputs, 'shrinkage') * 1000)} mL/g"]


@works("density")
@works("computed_density")
def _density(inputs: Inputs) -> list[str]:
    share, density = central(inputs, "mass_fraction"), central(inputs, "material_density") / 1000
    terms = [f"{digits(w)}/{digits(r)}" for w, r in zip(share, density, strict=True)]
    shrinks, result = number(inputs, "shrinkage") * 1000, number(inputs, "computed_density") / 1000
    last = f" - {digits(-shrinks)}" if shrinks else ""
    return [
        f"1/ρ = Σ wᵢ/ρᵢ + Δv = {' + '.join(terms)}{last} = {digits(1 / result, 5)} mL/g",
        f"ρ = {digits(result, 5)} g/mL",
    ]


@works("volume_fraction")
def _volume_fraction(inputs: Inputs) -> list[str]:
    share, density = central(inputs, "mass_fraction"), central(inputs, "material_density") / 1000
    own = share / density
    whole = float(own.sum())
    return [
        f"Σ w/ρ = {digits(whole, 5)} mL/g",
        *(
            f"φ({name}) = (w/ρᵢ)/Σ(w/ρ) = {digits(w)}/{digits(r)}/{digits(whole, 5)} = {digits(w / r / whole)}"
            for name, w, r in zip(inputs.materials, share, density, strict=True)
        ),
    ]


@works("batch_mass")
def _batch_mass(inputs: Inputs) -> list[str]:
    volume, density = number(inputs, "filled_volume") * 1e6, number(inputs, "stated_density") / 1000
    return [f"m = ρ(20 °C) V = {digits(density)} g/mL × {digits(volume)} mL = {digits(volume * density)} g"]


@works("volume")
def _volume(inputs: Inputs) -> list[str]:
    mass, density = number(inputs, "batch_mass") * 1e3, number(inputs, "density") / 1000
    return [f"V = m/ρ = {digits(mass)} g / {digits(density)} g/mL = {digits(mass / density)} mL"]


@works("mass_per_container")
def _mass_per_container(inputs: Inputs) -> list[str]:
    volume, density = number(inputs, "container_volume") * 1e6, number(inputs, "stated_density") / 1000
    return [f"m = ρ(20 °C) V = {digits(density)} g/mL × {digits(volume)} mL = {digits(volume * density)} g"]


@works("volume_per_container")
def _volume_per_container(inputs: Inputs) -> list[str]:
    mass, density = number(inputs, "mass_per_container") * 1e3, number(inputs, "density") / 1000
    return [f"V = m/ρ = {digits(mass)} g / {digits(density)} g/mL = {digits(mass / density)} mL"]


def summed(inputs: Inputs, part: Floats, symbol: str, quantity: str) -> list[str]:
    """Return the working of a sum over lines of share times part."""
    share = central(inputs, "mass_fraction")
    terms = [
        f"{digits(w)} × {digits(c)} ({name})"
        for name, w, c in zip(inputs.materials, share, part, strict=True)
        if c
    ]  # fmt: skip
    if not terms:
        return [f"{symbol} = 0: no line holds any"]
    return [f"{symbol} = Σ wᵢ cᵢ = {' + '.join(terms)} = {digits(number(inputs, quantity))}"]


@works("water_content")
def _water(inputs: Inputs) -> list[str]:
    return summed(inputs, central(inputs, "material_water"), "w(water)", "water_content")


@works("oil_phase_share")
def _oil(inputs: Inputs) -> list[str]:
    return summed(inputs, central(inputs, "material_oil"), "w(oil)", "oil_phase_share")


@works("substance_fraction")
def _substances(inputs: Inputs) -> list[str]:
    share, part = central(inputs, "mass_fraction"), central(inputs, "material_composition")
    found, alone = [], 0
    for s, substance in enumerate(inputs.substances):
        lines = np.flatnonzero(part[:, s])
        if len(lines) == 1 and part[lines[0], s] == 1:
            alone += 1
            continue
        terms = [f"{digits(share[i])} × {digits(part[i, s])} ({inputs.materials[i]})" for i in lines]
        found.append(f"w({substance}) = {' + '.join(terms)} = {digits(float(share @ part[:, s]))}")
    if alone:
        found.append(f"{alone} {'others are' if found else 'substances are'} a line each, with that line's percent")
    return found


@works("cost")
def _cost(inputs: Inputs) -> list[str]:
    share, price = central(inputs, "mass_fraction"), central(inputs, "material_price")
    terms = [f"{digits(w)} × {digits(p)}" for w, p in zip(share, price, strict=True) if p]
    total = f"{digits(number(inputs, 'cost'))} {inputs.currency}/kg"
    return [f"k = Σ wᵢ kᵢ = {' + '.join(terms)} = {total}"] if terms else [f"k = {total}: no line costs anything"]


@works("cost_per_container")
def _cost_per_container(inputs: Inputs) -> list[str]:
    cost, mass = number(inputs, "cost"), number(inputs, "mass_per_container")
    return [
        f"K = k m = {digits(cost)} {inputs.currency}/kg × {digits(mass * 1e3)} g = {digits(cost * mass)} "
        f"{inputs.currency}"
    ]
