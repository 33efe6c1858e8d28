"""The workings of solubility."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from levigate.quantities.graph import Floats
from levigate.quantities.inputs import Inputs
from levigate.quantities.saying import digits
from levigate.quantities.solubility import blended, liquids
from levigate.quantities.solutes import Dissolving, Solute, dissolving
from levigate.quantities.working import central, number, works
from levigate.science.solubility import hansen_blend


def _each(inputs: Inputs, kind: str) -> Iterator[tuple[int, Solute, Dissolving]]:
    if inputs.contents is None:
        return
    here = inputs.contents.once(dissolving)
    for j, one in enumerate(here.solutes if kind == "solute" else here.acids):
        yield j, one, here


def _percent(value: float) -> str:
    return f"{digits(100 * value)} %"


def _share(inputs: Inputs, kind: str) -> list[str]:
    mass = central(inputs, "substance_fraction") @ central(inputs, f"{kind}_of")
    result = central(inputs, f"{kind}_share")
    around = mass * (1 - result) / result
    return [
        f"c({one.name}) = {digits(mass[j])} / ({digits(mass[j])} + {digits(around[j])}) = {_percent(result[j])}"
        for j, one, _ in _each(inputs, kind)
    ]


def _blend(one: Solute, here: Dissolving, volume: Floats) -> str:
    whole = sum(volume[i] for i in one.liquids)
    terms = []
    for i, held in zip(one.liquids, one.capacities, strict=True):
        how = f", {held.rough}" if held.rough else ""
        terms.append(f"{digits(volume[i] / whole, 3)} ln({digits(held.value)}) ({here.liquids[i].name}{how})")
    return " + ".join(terms)


def _limit(inputs: Inputs, kind: str, result: str) -> list[str]:
    fraction, solvent_of, density, picked, capacity = (
        central(inputs, name)
        for name in ("substance_fraction", "solvent_of", "solvent_density", f"{kind}_in", f"{kind}_capacity")
    )
    volume = (fraction @ solvent_of) / density
    free = np.atleast_1d(blended(volume, picked, capacity))
    mass, room = liquids(fraction, solvent_of, density, picked)
    rows = []
    for j, one, here in _each(inputs, kind):
        row, total = f"S({one.name}) = exp({_blend(one, here, volume)}) = {digits(free[j])} g/L", free[j]
        if one.pka is not None:
            charged = capacity[0, j] * 10 ** (number(inputs, "ph") - one.pka)
            total += charged
            row += f"; + {digits(capacity[0, j])} × 10^({digits(number(inputs, 'ph'))} - {digits(one.pka)})"
            row += f" = {digits(total)} g/L"
        row += f"; c_max = S/(S + {digits(mass[j] / room[j])})"
        rows.append(f"{row} = {_percent(central(inputs, result)[j])}")
    return rows


def _cold(inputs: Inputs, kind: str, warm: str, result: str) -> list[str]:
    limit, heat, after = (central(inputs, name) for name in (warm, f"{kind}_heat", result))
    cold = number(inputs, "coldest")
    ratio = limit / (1 - limit)
    return [
        f"r({one.name}) = {digits(ratio[j])} exp(-{digits(heat[j] / 1000)} kJ/mol/R × (1/{digits(cold, 5)} K - "
        f"1/298.15 K)) = {digits(after[j] / (1 - after[j]))}, heat from {one.heat.how}; "
        f"c_max = r/(1 + r) = {_percent(after[j])}"
        for j, one, _ in _each(inputs, kind)
    ]


def _ratio(inputs: Inputs, kind: str, limit: str, result: str) -> list[str]:
    share, most, ratio = (central(inputs, name) for name in (f"{kind}_share", limit, result))
    return [
        f"s({one.name}) = {_percent(share[j])} / {_percent(most[j])} = {_percent(ratio[j])}"
        for j, one, _ in _each(inputs, kind)
    ]


@works("solute_share")
def _solute_share(inputs: Inputs) -> list[str]:
    return _share(inputs, "solute")


@works("solubility")
def _solubility(inputs: Inputs) -> list[str]:
    return _limit(inputs, "solute", "solubility")


@works("solubility_cold")
def _solubility_cold(inputs: Inputs) -> list[str]:
    return _cold(inputs, "solute", "solubility", "solubility_cold")


@works("saturation")
def _saturation(inputs: Inputs) -> list[str]:
    return _ratio(inputs, "solute", "solubility", "saturation")


@works("saturation_cold")
def _saturation_cold(inputs: Inputs) -> list[str]:
    return _ratio(inputs, "solute", "solubility_cold", "saturation_cold")


@works("acid_share")
def _acid_share(inputs: Inputs) -> list[str]:
    return _share(inputs, "acid")


@works("acid_solubility")
def _acid_solubility(inputs: Inputs) -> list[str]:
    return _limit(inputs, "acid", "acid_solubility")


@works("acid_solubility_cold")
def _acid_solubility_cold(inputs: Inputs) -> list[str]:
    return _cold(inputs, "acid", "acid_solubility", "acid_solubility_cold")


@works("acid_saturation")
def _acid_saturation(inputs: Inputs) -> list[str]:
    return _ratio(inputs, "acid", "acid_solubility", "acid_saturation")


@works("acid_saturation_cold")
def _acid_saturation_cold(inputs: Inputs) -> list[str]:
    return _ratio(inputs, "acid", "acid_solubility_cold", "acid_saturation_cold")


@works("oil_distance")
def _oil_distance(inputs: Inputs) -> list[str]:
    fraction, volume, table = (central(inputs, name) for name in ("substance_fraction", "blend_volume", "blend_hansen"))
    blend = hansen_blend(fraction * volume, table)
    solids, apart = central(inputs, "oily_hansen"), central(inputs, "oil_distance")
    rows = []
    for name, place, distance in zip(inputs.names["oily solids"], solids, apart, strict=True):
        d, p, h = (digits(abs(x)) for x in place - blend)
        rows.append(f"Ra({name}) = √(4 × {d}² + {p}² + {h}²) = {digits(distance)} MPa½")
    return rows
