"""Quantities of heat: how warm joined phases are, how long a batch cools, how much water leaves on the way."""

from __future__ import annotations

import numpy as np

from levigate.quantities.graph import Floats, quantity
from levigate.science.evaporation import evaporation_flux
from levigate.science.heat import temperature_joined_melting, time_to_temperature

#: Molar mass of what stands beside the water of a heated phase, taken as glycerol, and that of water. [kg/mol]
_BESIDE, _WATER = 0.0921, 0.018015


@quantity(
    unit="J/(kg K)",
    title="Heat that the phases hold",
    equation="C = Σ wᵢ cᵢ",
    source="heat-balance",
    holds="for a kilogram of the whole formula and a kelvin; specific heats constant",
    seen_off="printed specific heats of vegetable oils lie 20 % to either side of 2.0 kJ/kg/K",
    each="phases",
)
def phase_heat_capacity(mass_fraction: Floats, material_specific_heat: Floats, phase_lines: Floats) -> Floats:
    """Return the heat capacity that each phase brings to a kilogram of the formula. [J/(kg K)]"""
    return np.asarray((mass_fraction * material_specific_heat) @ phase_lines.T)


@quantity(
    unit="K",
    title="Temperature after joining",
    equation="Σ mᵢ hᵢ(T) = Σ mᵢ hᵢ(Tᵢ), h with the melting heat of what melts or sets",
    source="heat-balance",
    holds="phases joined in the order of the file, those not heated at 20 to 25 °C; none of the heat given to vessel "
    "and room: in a cold beaker it comes out some kelvins cooler",
    seen_off="worked examples come out to their printed digits; not held against a batch here: a thermometer tells",
    each="joins",
)
def joined_temperature(
    mass_fraction: Floats,
    material_specific_heat: Floats,
    phase_lines: Floats,
    phase_heat_capacity: Floats,
    phase_temperature: Floats,
    phase_joins_at: Floats,
    melting_line: Floats,
    melting_part: Floats,
    melting_temperature: Floats,
    melting_heat: Floats,
) -> Floats:
    """Return the temperature of the batch after each further phase has joined it. [K]"""
    line = melting_line.astype(int)
    phase = phase_lines[:, line].argmax(axis=0)
    waxes = mass_fraction[..., line] * melting_part
    heat = material_specific_heat[..., line]
    # What is left of each phase beside its waxes; a phase of nothing else may come out below nought by its last bit.
    rest = np.maximum(phase_heat_capacity - (waxes * heat) @ phase_lines[:, line].T, 0.0)
    own, of_waxes = phase_temperature, phase_temperature[..., phase]
    batch = own[..., 0]
    found = []
    for k in range(1, len(phase_lines)):
        cooled = (batch > phase_joins_at[..., k])[..., None]
        own = np.where(cooled & (np.arange(len(phase_lines)) < k), phase_joins_at[..., k, None], own)
        of_waxes = np.where(cooled & (phase < k), phase_joins_at[..., k, None], of_waxes)
        here = phase <= k
        batch = _settled(
            rest[..., : k + 1], own[..., : k + 1], waxes[..., here], heat[..., here], of_waxes[..., here],
            melting_temperature[..., here], melting_heat[..., here],
        )  # fmt: skip
        found.append(batch)
    return np.stack(found, axis=-1) if found else np.zeros((*np.shape(batch), 0))


def _settled(
    rest: Floats, own: Floats, waxes: Floats, heat: Floats, of_waxes: Floats, melting: Floats, fusion: Floats
) -> Floats:
    """Return the temperature of phases joined: the waxes one by one, all else as one body that does not melt."""
    body = rest.sum(axis=-1, keepdims=True)
    mean = (rest * own).sum(axis=-1, keepdims=True) / np.where(body > 0, body, 1.0)
    mean = np.where(body > 0, mean, own[..., :1])  # of a body of nothing any temperature will do

    def beside(of_body: Floats | float, of_wax: Floats) -> Floats:
        shape = np.broadcast_shapes(np.shape(mean)[:-1], np.shape(waxes)[:-1], np.shape(of_wax)[:-1])
        columns = np.broadcast_to(of_body, (*shape, 1)), np.broadcast_to(of_wax, (*shape, of_wax.shape[-1]))
        return np.concatenate(columns, axis=-1)

    each = beside(1.0, heat)
    return temperature_joined_melting(
        beside(body, waxes), beside(mean, of_waxes), each, each, beside(300.0, melting), beside(0.0, fusion)
    )


@quantity(
    unit="s",
    shown="min",
    title="Time to cool to the cool-down",
    equation="t = C/(h A) ln((T₀ - Tₐ)/(T - Tₐ)) + Σ mⱼ Lⱼ/(h A (Tⱼ - Tₐ)) of what sets on the way",
    source="OpenStax-Algebra",
    place="Newton's law of cooling",
    holds="left in a beaker as high as it is wide, on a table in a room of 20 to 25 °C, stirred now and then; 8 to 30 "
    "W/(m² K) from its whole surface, from memory; a cold water bath is several times as fast",
    seen_off="not held against a batch here: two readings of a thermometer give it for your beaker (`levigate reckon "
    "cooling`)",
    beyond="It does not cool so far by itself in a room of 20 to 25 °C; stand the beaker in cold water",
)
def cooling_time(
    batch_mass: Floats,
    volume: Floats,
    mass_fraction: Floats,
    phase_lines: Floats,
    phase_heat_capacity: Floats,
    phase_temperature: Floats,
    joined_temperature: Floats,
    room_temperature: Floats,
    cooled_phase: Floats,
    cool_down: Floats,
    heat_transfer: Floats,
    melting_line: Floats,
    melting_part: Floats,
    melting_temperature: Floats,
    melting_heat: Floats,
) -> Floats:
    """Return how long the batch takes to the temperature at which the cool-down phase may join it. [s]"""
    joined = int(cooled_phase)
    share = mass_fraction @ phase_lines[:joined].sum(axis=0)
    leaves = heat_transfer * 1.5 * np.pi * _beaker(volume * share) ** 2  # wall, bottom and top
    start = phase_temperature[..., 0] if joined == 1 else joined_temperature[..., joined - 2]
    rate = leaves / (batch_mass * phase_heat_capacity[..., :joined].sum(axis=-1))
    warmer = start > cool_down
    plain = np.where(warmer, time_to_temperature(cool_down, np.maximum(start, cool_down), room_temperature, rate), 0.0)
    line = melting_line.astype(int)
    there = phase_lines[:joined].sum(axis=0)[line] > 0
    sets = there & (melting_temperature < start[..., None]) & (melting_temperature > cool_down[..., None])
    heat = batch_mass[..., None] * mass_fraction[..., line] * melting_part * melting_heat
    above = melting_temperature - room_temperature[..., None]
    setting = np.where(sets, heat / (leaves[..., None] * np.where(sets, above, 1.0)), 0.0).sum(axis=-1)
    unknown = np.isnan(start) | np.isnan(rate)
    return np.where(unknown, np.nan, plain + setting)


def _beaker(volume: Floats) -> Floats:
    """Return the width of a beaker that holds so much as high as it is wide. [m]"""
    return np.cbrt(4 * volume / np.pi)


@quantity(
    unit="kg",
    title="Water that leaves while it is hot",
    equation="m = f x j(T) A t, j = C ρ_w (ρₐ - ρ_w)^⅓ (W_w - Wₐ)",
    source="Shah-2014",
    holds="an open beaker as high as it is wide, held hot as long as the file says, else 20 min; while it warms and "
    "while the joined batch cools more leaves; half and double that, for the wall of the beaker, a lid and stirring",
    seen_off="gives its author's table within 0.2 % at 28 to 30 °C, a third more than an older equation at 75 °C; not "
    "held against a beaker here: weigh it before and after",
    beyond="It boils, or it loses all its water, for all that is foreseen; weigh the beaker before and after",
)
def water_evaporated(
    batch_mass: Floats,
    volume: Floats,
    mass_fraction: Floats,
    phase_lines: Floats,
    heated_water: Floats,
    phase_temperature: Floats,
    phase_held: Floats,
    room_temperature: Floats,
    relative_humidity: Floats,
    evaporation_factor: Floats,
) -> Floats:
    """Return the water that evaporates from the heated phases while they are held. [kg]"""
    share = mass_fraction @ phase_lines.T
    water = (mass_fraction * heated_water) @ phase_lines.T
    moles = water / _WATER
    counts = moles > 0
    beside = np.where(counts, moles / np.where(counts, moles + (share - water) / _BESIDE, 1.0), 0.0)
    flux = evaporation_flux(phase_temperature, room_temperature[..., None], relative_humidity[..., None])
    area = np.pi / 4 * _beaker(volume[..., None] * share) ** 2
    each = np.where(counts & (phase_held > 0), flux * beside * area * phase_held, 0.0) * evaporation_factor[..., None]
    each = np.where(each <= batch_mass[..., None] * water, each, np.nan)
    return np.asarray(each.sum(axis=-1))


@quantity(
    unit="1",
    title="Share of that in the formula",
    equation="x = m(water)/m(batch)",
    source="definition",
    holds="what is lost and not topped up makes all else so much stronger",
)
def water_evaporated_share(water_evaporated: Floats, batch_mass: Floats) -> Floats:
    """Return the water that leaves as a share of the batch. [1]"""
    return np.asarray(water_evaporated / batch_mass)
