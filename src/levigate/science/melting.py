"""Melting: how much of a blend of waxes and oils is solid at a temperature."""

from __future__ import annotations

import numpy as np

from levigate.science.constants import GAS_CONSTANT, ZERO_CELSIUS, ArrayLike, Floats

__all__ = [
    "FOUR_CLIMATES",
    "share_solid_blend",
    "share_solid_ideal",
]

#: Refrigerator, room, skin and summer car: the temperatures at which a balm is asked how hard it is. [K]
FOUR_CLIMATES = np.array([5, 20, 32, 45]) + ZERO_CELSIUS
FOUR_CLIMATES.flags.writeable = False


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
