"""Heat: phases that meet, wax that melts and sets, a batch that cools, water that leaves."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from levigate.science.constants import GAS_CONSTANT, ZERO_CELSIUS, ArrayLike, Floats

__all__ = [
    "FOUR_CLIMATES",
    "cooling_constant",
    "mass_fraction_after_loss",
    "share_melted_joined",
    "share_solid_blend",
    "share_solid_ideal",
    "temperature_cooling",
    "temperature_joined",
    "temperature_joined_melting",
    "time_to_temperature",
    "water_lost",
    "water_to_add",
]

#: Refrigerator, room, skin and summer car: the temperatures at which a balm is asked how hard it is. [K]
FOUR_CLIMATES = np.array([5, 20, 32, 45]) + ZERO_CELSIUS
FOUR_CLIMATES.flags.writeable = False

Flags = NDArray[np.bool_]


# Masses read in decimals: 1 - (0.9 + 0.1) must not be less than nothing by its last bit.
_EDGE = 1e-9


class _Balance(NamedTuple):
    """Where the heat of the parts settles."""

    temperature: Floats
    share_melted: Floats


def temperature_joined(mass: ArrayLike, specific_heat: ArrayLike, temperature: ArrayLike) -> Floats:
    r"""Return the temperature that phases take when they are joined and nothing melts or sets.

    .. math:: T = \frac{\sum_i m_i c_i T_i}{\sum_i m_i c_i}

    Parameters
    ----------
    mass : array_like
        Mass of each phase, along the last axis. [kg]
    specific_heat : array_like
        Specific heat of each phase, along the last axis. [J/(kg K)]
    temperature : array_like
        Temperature of each phase before it is joined, along the last axis. [K]

    Returns
    -------
    numpy.ndarray
        Temperature after joining; the last axis is gone. [K]

    Notes
    -----
    No heat of mixing, none given to vessel or room, specific heats constant. The specific heat is the least
    known: printed values for vegetable oils lie 20 % to either side of 2.0 kJ/(kg K). A wax that sets gives
    more heat than this knows of, see `temperature_joined_melting`. Nothing joined, or a specific heat not
    above zero, gives nan.

    Source: heat-balance.
    """
    m, c, t = np.broadcast_arrays(*(np.asarray(x, float) for x in (mass, specific_heat, temperature)))
    possible = ((m >= 0) & (c > 0) & (t > 0)).all(axis=-1)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return np.where(possible, (m * c * t).sum(axis=-1) / (m * c).sum(axis=-1), np.nan)


def temperature_joined_melting(
    mass: ArrayLike,
    temperature: ArrayLike,
    specific_heat_solid: ArrayLike,
    specific_heat_liquid: ArrayLike,
    melting_temperature: ArrayLike,
    heat_of_fusion: ArrayLike,
) -> Floats:
    r"""Return the temperature that phases take when they are joined and some parts melt or set.

    The temperature at which the heat content, which jumps by :math:`m_i L_i` at each melting point, is what
    it was before:

    .. math:: \sum_i m_i h_i(T) = \sum_i m_i h_i(T_i), \quad
              h_i(T) = \begin{cases} c_{s,i} (T - T_{m,i}) & T < T_{m,i} \\
                       L_i + c_{l,i} (T - T_{m,i}) & T \ge T_{m,i} \end{cases}

    Parameters
    ----------
    mass : array_like
        Mass of each part, along the last axis. [kg]
    temperature : array_like
        Temperature of each part before it is joined; at its melting point it counts as melted. [K]
    specific_heat_solid : array_like
        Specific heat of each part below its melting point. [J/(kg K)]
    specific_heat_liquid : array_like
        Specific heat of each part above its melting point. [J/(kg K)]
    melting_temperature : array_like
        Melting point of each part. [K]
    heat_of_fusion : array_like
        Heat that each part takes up in melting; 0 for one that does neither melt nor set. [J/kg]

    Returns
    -------
    numpy.ndarray
        Temperature after joining; the last axis is gone. [K]

    Notes
    -----
    As `temperature_joined`; and each part melts at one temperature, unhelped by the others, and sets there
    without supercooling. A wax dissolved in an oil sets lower and over a range, so that a real blend may end
    cooler than this says. The balance is solved exactly, piece by piece, not by iteration.

    Source: heat-balance.
    """
    return _settle(
        mass, temperature, specific_heat_solid, specific_heat_liquid, melting_temperature, heat_of_fusion
    ).temperature


def share_melted_joined(
    mass: ArrayLike,
    temperature: ArrayLike,
    specific_heat_solid: ArrayLike,
    specific_heat_liquid: ArrayLike,
    melting_temperature: ArrayLike,
    heat_of_fusion: ArrayLike,
) -> Floats:
    """Return how much of each part is melted once the phases are joined.

    Parameters
    ----------
    mass : array_like
        Mass of each part, along the last axis. [kg]
    temperature : array_like
        Temperature of each part before it is joined; at its melting point it counts as melted. [K]
    specific_heat_solid : array_like
        Specific heat of each part below its melting point. [J/(kg K)]
    specific_heat_liquid : array_like
        Specific heat of each part above its melting point. [J/(kg K)]
    melting_temperature : array_like
        Melting point of each part. [K]
    heat_of_fusion : array_like
        Heat that each part takes up in melting; 0 for one that does neither melt nor set. [J/kg]

    Returns
    -------
    numpy.ndarray
        Share of each part that is liquid, along the last axis. [1]

    Notes
    -----
    As `temperature_joined_melting`. Where the mixture comes to rest at a melting point, all parts with that
    melting point are taken to be melted to the same share.

    Source: heat-balance.
    """
    return _settle(
        mass, temperature, specific_heat_solid, specific_heat_liquid, melting_temperature, heat_of_fusion
    ).share_melted


def _settle(*inputs: ArrayLike) -> _Balance:
    m, t, solid, liquid, melting, fusion = np.broadcast_arrays(*(np.asarray(x, float) for x in inputs))
    possible = ((m >= 0) & (t > 0) & (solid > 0) & (liquid > 0) & (melting > 0) & (fusion >= 0)).all(axis=-1)
    parts = tuple(x[..., np.newaxis, :] for x in (m, solid, liquid, fusion))
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        possible &= m.sum(axis=-1) > 0
        had = _heat(m, t - melting, t >= melting, solid, liquid, fusion)
        # Heat content at each melting point, before and after what melts there has melted: a row for each.
        above_melting = melting[..., :, np.newaxis] - melting[..., np.newaxis, :]
        before = _heat(parts[0], above_melting, above_melting > 0, *parts[1:])
        after = _heat(parts[0], above_melting, above_melting >= 0, *parts[1:])
        melted = after <= had[..., np.newaxis]
        setting = ~melted & (before < had[..., np.newaxis])
        share = np.where(setting, (had[..., np.newaxis] - before) / (after - before), melted)
        gained = np.where(melted, m * (fusion - liquid * melting), -m * solid * melting).sum(axis=-1)
        between = (had - gained) / np.where(melted, m * liquid, m * solid).sum(axis=-1)
    at_rest = np.where(setting, melting, 0.0).max(axis=-1, initial=0.0)
    settled = np.where(possible, np.where(setting.any(axis=-1), at_rest, between), np.nan)
    return _Balance(settled, np.where(possible[..., np.newaxis], share, np.nan))


def _heat(mass: Floats, above_melting: Floats, melted: Flags, solid: Floats, liquid: Floats, fusion: Floats) -> Floats:
    """Return the heat content of the parts together, each counted from its solid at its own melting point."""
    per_mass = np.where(melted, fusion + liquid * above_melting, solid * above_melting)
    return np.asarray((mass * per_mass).sum(axis=-1))


def cooling_constant(
    temperature_start: ArrayLike,
    temperature_later: ArrayLike,
    time: ArrayLike,
    temperature_ambient: ArrayLike,
) -> Floats:
    r"""Return the rate constant of cooling, or warming, from two readings of the thermometer.

    .. math:: k = \frac1t \ln\frac{T_0 - T_a}{T_1 - T_a}

    Parameters
    ----------
    temperature_start : array_like
        First reading. [K]
    temperature_later : array_like
        Second reading. [K]
    time : array_like
        Time between the two. [s]
    temperature_ambient : array_like
        Temperature of what surrounds the vessel. [K]

    Returns
    -------
    numpy.ndarray
        Rate constant. [1/s]

    Notes
    -----
    Newton's law, as `temperature_cooling`. Readings that part from the surroundings, or cross them, give nan.

    Source: OpenStax-Algebra.
    """
    start, later, ambient = (np.asarray(x, float) for x in (temperature_start, temperature_later, temperature_ambient))
    t = np.asarray(time, float)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        ratio = (start - ambient) / (later - ambient)
        possible = (ratio >= 1) & np.isfinite(ratio) & (t > 0) & (start > 0) & (later > 0) & (ambient > 0)
        return np.where(possible, np.log(ratio) / t, np.nan)


def temperature_cooling(
    time: ArrayLike, temperature_start: ArrayLike, temperature_ambient: ArrayLike, cooling_rate: ArrayLike
) -> Floats:
    r"""Return the temperature of a batch left to cool or to warm.

    .. math:: T = T_a + (T_0 - T_a) e^{-k t}

    Parameters
    ----------
    time : array_like
        Time since the first reading. [s]
    temperature_start : array_like
        First reading. [K]
    temperature_ambient : array_like
        Temperature of what surrounds the vessel. [K]
    cooling_rate : array_like
        Rate constant, from `cooling_constant`. [1/s]

    Returns
    -------
    numpy.ndarray
        Temperature. [K]

    Notes
    -----
    Newton's law: one vessel, one rate of stirring, nothing that sets. A wax halts the fall while it sets,
    evaporation makes the first minutes faster, and a thick cream left alone is warmer inside than at the
    wall. A constant found on 200 g is not that of 2 kg.

    Source: OpenStax-Algebra.
    """
    t, start, ambient, k = (np.asarray(x, float) for x in (time, temperature_start, temperature_ambient, cooling_rate))
    possible = (t >= 0) & (k >= 0) & (start > 0) & (ambient > 0)
    with np.errstate(over="ignore", invalid="ignore"):
        return np.where(possible, ambient + (start - ambient) * np.exp(-k * t), np.nan)


def time_to_temperature(
    temperature: ArrayLike,
    temperature_start: ArrayLike,
    temperature_ambient: ArrayLike,
    cooling_rate: ArrayLike,
) -> Floats:
    r"""Return the time until a batch has cooled, or warmed, to a temperature.

    .. math:: t = \frac1k \ln\frac{T_0 - T_a}{T - T_a}

    Parameters
    ----------
    temperature : array_like
        Temperature waited for. [K]
    temperature_start : array_like
        Temperature now. [K]
    temperature_ambient : array_like
        Temperature of what surrounds the vessel. [K]
    cooling_rate : array_like
        Rate constant, from `cooling_constant`. [1/s]

    Returns
    -------
    numpy.ndarray
        Time from now. [s]

    Notes
    -----
    As `temperature_cooling`. A temperature that is past, or never reached, gives nan; that of the
    surroundings is never reached.

    Source: OpenStax-Algebra.
    """
    aim, start, ambient, k = (
        np.asarray(x, float) for x in (temperature, temperature_start, temperature_ambient, cooling_rate)
    )
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        ratio = (start - ambient) / (aim - ambient)
        possible = (ratio >= 1) & np.isfinite(ratio) & (k > 0) & (aim > 0) & (start > 0) & (ambient > 0)
        return np.where(possible, np.log(ratio) / k, np.nan)


def water_lost(mass_before: ArrayLike, mass_after: ArrayLike) -> Floats:
    """Return the water that evaporated, from weighing before and after heating.

    Parameters
    ----------
    mass_before : array_like
        Mass before heating, all that goes back on the scale with it counted. [kg]
    mass_after : array_like
        Mass after heating, of the same things. [kg]

    Returns
    -------
    numpy.ndarray
        Mass of water lost. [kg]

    Notes
    -----
    All that is missing is taken for water, which it is not where ethanol, a light silicone or perfume was
    warm. Vessel, thermometer and spatula count on both sides, or on neither. A mass that has grown gives nan.

    Source: definition.
    """
    before, after = np.asarray(mass_before, float), np.asarray(mass_after, float)
    with np.errstate(invalid="ignore"):
        return np.where((after >= 0) & (before >= after), before - after, np.nan)


def water_to_add(mass_before: ArrayLike, mass_after: ArrayLike, mass_taken: ArrayLike = 0.0) -> Floats:
    r"""Return the water that brings a batch back to its composition after heating.

    What was taken out after heating took some of the concentrated batch with it, so less is to be replaced:

    .. math:: m_w = m_1 \left(\frac{m_0}{m_1 + m_s} - 1\right)

    Parameters
    ----------
    mass_before : array_like
        Mass of the batch before heating, without its vessel. [kg]
    mass_after : array_like
        Mass of the batch that is there now, without its vessel. [kg]
    mass_taken : array_like
        Mass of samples taken out since it was hot. [kg]

    Returns
    -------
    numpy.ndarray
        Mass of water to add. [kg]

    Notes
    -----
    As `water_lost`. Samples are taken to be of the whole, well-mixed batch, after it lost its water.

    Source: definition.
    """
    before, after, taken = (np.asarray(x, float) for x in (mass_before, mass_after, mass_taken))
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        missing = before - (after + taken)
        missing = np.where(np.abs(missing) <= _EDGE * before, 0.0, missing)
        water = after * missing / (after + taken)
        return np.where((after >= 0) & (taken >= 0) & (missing >= 0), water, np.nan)


def mass_fraction_after_loss(mass_fraction: ArrayLike, share_lost: ArrayLike) -> Floats:
    r"""Return the mass fraction to which a material rises when water is lost and not replaced.

    .. math:: w' = \frac{w}{1 - x}

    Parameters
    ----------
    mass_fraction : array_like
        Mass fraction of the material, not itself lost, in the batch as weighed. [1]
    share_lost : array_like
        Water lost, as a share of the mass of the whole batch. [1]

    Returns
    -------
    numpy.ndarray
        Mass fraction of the material in what is left. [1]

    Notes
    -----
    A mass balance. More lost than there was beside the material gives nan.

    Source: definition.
    """
    w, lost = np.asarray(mass_fraction, float), np.asarray(share_lost, float)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return np.where((w >= 0) & (lost >= 0) & (lost < 1) & (w + lost <= 1 + _EDGE), w / (1 - lost), np.nan)


def share_solid_blend(
    mass_fraction: ArrayLike, melting_start: ArrayLike, melting_end: ArrayLike, temperature: ArrayLike
) -> Floats:
    r"""Return the solid share of a blend of waxes and oils, roughly: each part melts as it would alone.

    .. math:: S = \sum_i w_i s_i, \quad s_i = \frac{T_{e,i} - T}{T_{e,i} - T_{s,i}} \text{ between 1 and 0}

    Parameters
    ----------
    mass_fraction : array_like
        Mass fraction of each part, along the last axis. [1]
    melting_start : array_like
        Temperature at which each part begins to melt; the same as the end for a part that melts at once. [K]
    melting_end : array_like
        Temperature at which the last of each part has melted. [K]
    temperature : array_like
        Temperature asked about, without an axis for the parts. [K]

    Returns
    -------
    numpy.ndarray
        Solid share of the mass of the parts together; the last axis of the parts is gone. [1]

    Notes
    -----
    Rough, a rule of thumb: it puts blends of the same things in order and no more, for waxes dissolve in
    oils. Beeswax in a liquid oil is wholly solid here up to 60 °C, while the real blend softens well below.
    `share_solid_ideal` allows for that. `FOUR_CLIMATES` holds the usual temperatures.

    Source: common-practice.
    """
    w, start, end = np.broadcast_arrays(*(np.asarray(x, float) for x in (mass_fraction, melting_start, melting_end)))
    t = np.asarray(temperature, float)[..., np.newaxis]
    possible = ((w >= 0) & (start > 0) & (start <= end)).all(axis=-1) & (t[..., 0] > 0)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        solid = np.where(t >= end, 0.0, np.where(t <= start, 1.0, (end - t) / (end - start)))
        return np.where(possible, (w * solid).sum(axis=-1) / w.sum(axis=-1), np.nan)


def share_solid_ideal(
    mass_fraction: ArrayLike,
    molar_mass: ArrayLike,
    melting_temperature: ArrayLike,
    heat_of_fusion: ArrayLike,
    temperature: ArrayLike,
) -> Floats:
    r"""Return the solid share of a blend whose melt is an ideal solution and whose crystals are pure.

    Each part dissolves in the melted ones up to a mole fraction that does not depend on what they are:

    .. math:: \ln x_i = -\frac{M_i L_i}{R}\left(\frac1T - \frac1{T_{m,i}}\right)

    and the moles of melt :math:`N` follow from :math:`N = \sum_i \min(n_i, x_i N)`.

    Parameters
    ----------
    mass_fraction : array_like
        Mass fraction of each part, along the last axis. [1]
    molar_mass : array_like
        Molar mass of each part, along the last axis. [kg/mol]
    melting_temperature : array_like
        Melting point of each part; one that is liquid has it below the temperature asked about. [K]
    heat_of_fusion : array_like
        Heat that each part takes up in melting, by mass. [J/kg]
    temperature : array_like
        Temperature asked about, without an axis for the parts. [K]

    Returns
    -------
    numpy.ndarray
        Solid share of the mass of the parts together; the last axis of the parts is gone. [1]

    Notes
    -----
    Holds for like in like: naphthalene in benzene, 3 % from measurement. Better than `share_solid_blend` for
    fatty alcohols, acids and waxes in oils, but not checked against measured blends: real waxes are mixtures
    that crystallise together, so that one melting point and one heat of fusion for them are rough themselves.
    Water, powders and polymers must be left out.

    Source: Schroeder-1893.
    """
    w, molar, melting, fusion = np.broadcast_arrays(
        *(np.asarray(x, float) for x in (mass_fraction, molar_mass, melting_temperature, heat_of_fusion))
    )
    t = np.asarray(temperature, float)[..., np.newaxis]
    possible = ((w >= 0) & (molar > 0) & (melting > 0) & (fusion >= 0)).all(axis=-1) & (t[..., 0] > 0)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore", under="ignore"):
        moles = w / molar
        dissolves = np.exp(-molar * fusion / GAS_CONSTANT * (1 / t - 1 / melting))
        dissolves = np.where(t >= melting, np.inf, dissolves)
        # The melt in which a part would be just dissolved; what the others would then have melted decides.
        needed = np.where(dissolves > 0, moles / dissolves, np.where(moles > 0, np.inf, 0.0))
        needed, moles, dissolves, molar = np.broadcast_arrays(needed, moles, dissolves, molar)
        offered = dissolves[..., np.newaxis, :] * needed[..., :, np.newaxis]
        # 0 times infinity: a part that is liquid offers all it has, one that never dissolves offers nothing.
        limit = np.where(dissolves > 0, np.inf, 0.0)[..., np.newaxis, :]
        offered = np.where(np.isnan(offered), limit, offered)
        melt = np.minimum(moles[..., np.newaxis, :], offered).sum(axis=-1)
        dissolved = melt >= needed
        saturated = np.where(dissolved, 0.0, dissolves).sum(axis=-1)
        melt_moles = np.where(dissolved, moles, 0.0).sum(axis=-1) / (1 - saturated)
        crystals = np.where(dissolved, 0.0, molar * (moles - dissolves * melt_moles[..., np.newaxis]))
        return np.where(possible, crystals.sum(axis=-1) / w.sum(axis=-1), np.nan)
