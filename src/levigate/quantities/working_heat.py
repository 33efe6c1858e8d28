"""The workings of heat."""

from __future__ import annotations

import numpy as np

from levigate.quantities.inputs import Inputs
from levigate.quantities.saying import digits
from levigate.quantities.working import central, number, works
from levigate.science.constants import ZERO_CELSIUS


def _celsius(kelvin: float) -> str:
    return f"{kelvin - ZERO_CELSIUS:.1f} °C"


@works("phase_heat_capacity")
def _capacity(inputs: Inputs) -> list[str]:
    share, heat = central(inputs, "mass_fraction"), central(inputs, "material_specific_heat") / 1000
    rows = zip(inputs.names["phases"], central(inputs, "phase_lines"), central(inputs, "phase_heat_capacity"),
               strict=True)  # fmt: skip
    return [
        f"C({name}) = {' + '.join(f'{digits(share[i])} × {digits(heat[i], 3)}' for i in np.flatnonzero(member))} "
        f"= {digits(held / 1000)} kJ/kg/K"
        for name, member, held in rows
    ]


@works("joined_temperature")
def _joined(inputs: Inputs) -> list[str]:
    held, own = central(inputs, "phase_heat_capacity") / 1000, central(inputs, "phase_temperature")
    joins_at, phase = central(inputs, "phase_joins_at"), inputs.names["phases"]
    batch, rows, waxes = float(own[0]), [], _waxes(inputs)
    for k, after in enumerate(central(inputs, "joined_temperature"), start=1):
        cooled = min(batch, float(joins_at[k]))
        what = phase[0] if k == 1 else "the batch"
        first = f"{what} {digits(float(held[:k].sum()), 3)} kJ/K at {_celsius(cooled)}"
        if cooled < batch:
            first += f", cooled from {_celsius(batch)}"
        rows.append(
            f"a kilogram of it: {first}; {phase[k]} {digits(float(held[k]), 3)} kJ/K at {_celsius(float(own[k]))}: "
            f"T = {_celsius(float(after))}"
        )
        batch = float(after)
    return [*rows, *waxes]


def _waxes(inputs: Inputs) -> list[str]:
    share = central(inputs, "mass_fraction")[central(inputs, "melting_line").astype(int)]
    return [
        f"{inputs.materials[int(line)]}: {digits(100 * float(w * part), 3)} % melts at {_celsius(float(point))} with "
        f"{digits(float(heat) / 1000, 3)} kJ/kg"
        for line, w, part, point, heat in zip(
            central(inputs, "melting_line"),
            share,
            central(inputs, "melting_part"),
            central(inputs, "melting_temperature"),
            central(inputs, "melting_heat"),
            strict=True,
        )
    ]


@works("cooling_time")
def _cooling(inputs: Inputs) -> list[str]:
    joined = int(number(inputs, "cooled_phase"))
    start = (
        central(inputs, "phase_temperature")[0] if joined == 1 else central(inputs, "joined_temperature")[joined - 2]
    )
    share = float(central(inputs, "mass_fraction") @ central(inputs, "phase_lines")[:joined].sum(axis=0))
    held = number(inputs, "batch_mass") * float(central(inputs, "phase_heat_capacity")[:joined].sum())
    litres = number(inputs, "volume") * share
    area = 1.5 * np.pi * np.cbrt(4 * litres / np.pi) ** 2
    return [
        f"{digits(litres * 1e6, 3)} mL in a beaker as high as it is wide: A = {digits(area * 1e4, 3)} cm²",
        f"h A/C = {digits(number(inputs, 'heat_transfer'), 3)} W/(m² K) × {digits(area * 1e4, 3)} cm² / "
        f"{digits(held / 1000, 3)} kJ/K",
        f"from {_celsius(float(start))} to {_celsius(number(inputs, 'cool_down'))} in a room of "
        f"{_celsius(number(inputs, 'room_temperature'))}: t = {digits(number(inputs, 'cooling_time') / 60, 3)} min",
    ]


@works("water_evaporated")
def _evaporated(inputs: Inputs) -> list[str]:
    share, member = central(inputs, "mass_fraction"), central(inputs, "phase_lines")
    water, held = (share * central(inputs, "heated_water")) @ member.T, central(inputs, "phase_held")
    own, volume = central(inputs, "phase_temperature"), number(inputs, "volume")
    rows = [
        f"{name}: {digits(volume * float(share @ lines) * 1e6, 3)} mL, held at {_celsius(float(t))} for "
        f"{digits(float(time) / 60, 3)} min"
        for name, lines, w, t, time in zip(inputs.names["phases"], member, water, own, held, strict=True)
        if w > 0 and time > 0
    ]
    return [
        *rows,
        f"f = {digits(number(inputs, 'evaporation_factor'), 2)}, humidity "
        f"{digits(100 * number(inputs, 'relative_humidity'), 2)} %: m = "
        f"{digits(number(inputs, 'water_evaporated') * 1000, 3)} g",
    ]


@works("water_evaporated_share")
def _share(inputs: Inputs) -> list[str]:
    water, batch = number(inputs, "water_evaporated") * 1000, number(inputs, "batch_mass") * 1000
    return [f"x = {digits(water, 3)} g / {digits(batch)} g = {digits(100 * water / batch, 3)} %"]
