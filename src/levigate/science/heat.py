"""Heat: phases that meet, wax that melts and sets on meeting, a batch that cools."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from levigate.science.constants import ArrayLike, Floats

__all__ = [
    "cooling_constant",
    "share_melted_joined",
    "temperature_cooling",
    "temperature_joined",
    "temperature_joined_melting",
    "time_to_temperature",
]

Flags = NDArray[np.bool_]


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
