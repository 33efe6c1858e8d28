"""Solubility: crystals that come out in the cold, cosolvents, and how alike two liquids or a liquid and a resin are."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from levigate.errors import SumError
from levigate.science.constants import GAS_CONSTANT, ArrayLike, Floats

__all__ = [
    "COSOLVENTS",
    "Cosolvent",
    "cosolvency_power",
    "crystallisation_temperature",
    "distance_hansen",
    "hansen_blend",
    "mass_fraction_from_mole_fraction",
    "mole_fraction_from_mass_fraction",
    "relative_energy_difference",
    "saturation_ratio",
    "solubility_cosolvent",
    "solubility_ideal",
]

# In Hansen's distance the term of dispersion counts four times.
_WEIGHT = np.array([4.0, 1.0, 1.0])


@dataclass(frozen=True, slots=True)
class Cosolvent:
    """How the cosolvency power of one liquid rises with the log Kow of what it dissolves."""

    slope: float
    offset: float
    #: Key in sources.toml. The form is that of Li and Yalkowsky (1998); the numbers are not yet seen in print.
    source: str = "memory"


#: Liquids that mix with water in all shares, by chemical name.
COSOLVENTS = {
    "ethanol": Cosolvent(0.93, 0.40),
    "propane-1,2-diol": Cosolvent(0.77, 0.58),
    "macrogol 400": Cosolvent(0.74, 1.26),
    "glycerol": Cosolvent(0.35, 0.28),
}


def solubility_ideal(temperature: ArrayLike, melting_temperature: ArrayLike, molar_heat_of_fusion: ArrayLike) -> Floats:
    r"""Return the mole fraction of a solid that an ideal solution holds.

    .. math:: \ln x = -\frac{\Delta H}{R} \left( \frac1T - \frac1{T_m} \right)

    Parameters
    ----------
    temperature : array_like
        Temperature of the solution. [K]
    melting_temperature : array_like
        Melting point of the solid. [K]
    molar_heat_of_fusion : array_like
        Heat that the solid takes up in melting. [J/mol]

    Returns
    -------
    numpy.ndarray
        Mole fraction at saturation; 1 from the melting point on, where any share dissolves. [1]

    Notes
    -----
    Like in like: naphthalene in benzene to 3 %; fatty acids, alcohols and waxes in oils. In ethanol naphthalene is ten
    times less soluble than this, in water tens of thousands of times: the answer of a well-known exercise for
    paracetamol in water is near a measurement by chance. Crystals of one form, no water of crystallisation; the heat of
    fusion must be measured, not estimated from groups.

    Source: Schroeder-1893.
    """
    t, melting, heat = (np.asarray(x, float) for x in (temperature, melting_temperature, molar_heat_of_fusion))
    possible = (t > 0) & (melting > 0) & (heat > 0)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        share = np.exp(-heat / GAS_CONSTANT * (1 / t - 1 / melting))
    return np.where(possible, np.where(t < melting, share, 1.0), np.nan)


def crystallisation_temperature(
    mole_fraction: ArrayLike, melting_temperature: ArrayLike, molar_heat_of_fusion: ArrayLike
) -> Floats:
    r"""Return the temperature below which an ideal solution lets a solid crystallise.

    .. math:: \frac1T = \frac1{T_m} - \frac{R \ln x}{\Delta H}

    Parameters
    ----------
    mole_fraction : array_like
        Mole fraction of the solid in the solution; see `mole_fraction_from_mass_fraction`. [1]
    melting_temperature : array_like
        Melting point of the solid. [K]
    molar_heat_of_fusion : array_like
        Heat that the solid takes up in melting. [J/mol]

    Returns
    -------
    numpy.ndarray
        Temperature at which the solution is just saturated. [K]

    Notes
    -----
    The inverse of `solubility_ideal`; as good as that is. Real solutions cool some degrees further before the first
    crystal shows, and a sample that stayed clear for a week may still be above its limit.

    Source: Schroeder-1893.
    """
    x, melting, heat = (np.asarray(a, float) for a in (mole_fraction, melting_temperature, molar_heat_of_fusion))
    possible = (x > 0) & (x <= 1) & (melting > 0) & (heat > 0)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(possible, 1 / (1 / melting - GAS_CONSTANT * np.log(x) / heat), np.nan)


def mole_fraction_from_mass_fraction(
    mass_fraction: ArrayLike, molar_mass: ArrayLike, solvent_molar_mass: ArrayLike
) -> Floats:
    r"""Return the mole fraction of a solute from its mass fraction.

    .. math:: x = \frac{w / M}{w / M + (1 - w) / M_s}

    Parameters
    ----------
    mass_fraction : array_like
        Mass fraction of the solute in the solution. [1]
    molar_mass : array_like
        Molar mass of the solute. [kg/mol]
    solvent_molar_mass : array_like
        Molar mass of the solvent; of a mixed one, its mass over its moles. [kg/mol]

    Returns
    -------
    numpy.ndarray
        Mole fraction of the solute. [1]

    Notes
    -----
    A definition. For a triglyceride oil count about 0.88 kg/mol: small molecules then have a mole fraction far above
    their mass fraction.

    Source: definition.
    """
    return _exchange(mass_fraction, solvent_molar_mass, molar_mass)


def mass_fraction_from_mole_fraction(
    mole_fraction: ArrayLike, molar_mass: ArrayLike, solvent_molar_mass: ArrayLike
) -> Floats:
    r"""Return the mass fraction of a solute from its mole fraction.

    .. math:: w = \frac{x M}{x M + (1 - x) M_s}

    Parameters
    ----------
    mole_fraction : array_like
        Mole fraction of the solute in the solution. [1]
    molar_mass : array_like
        Molar mass of the solute. [kg/mol]
    solvent_molar_mass : array_like
        Molar mass of the solvent; of a mixed one, its mass over its moles. [kg/mol]

    Returns
    -------
    numpy.ndarray
        Mass fraction of the solute. [1]

    Notes
    -----
    A definition, for one solute in one solvent; the inverse of `mole_fraction_from_mass_fraction`.

    Source: definition.
    """
    return _exchange(mole_fraction, molar_mass, solvent_molar_mass)


def _exchange(fraction: ArrayLike, weight: ArrayLike, other_weight: ArrayLike) -> Floats:
    """Return the share that a part has once it and the rest are given these weights."""
    x, one, other = (np.asarray(a, float) for a in (fraction, weight, other_weight))
    possible = (x >= 0) & (x <= 1) & (one > 0) & (other > 0)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return np.where(possible, x * one / (x * one + (1 - x) * other), np.nan)


def cosolvency_power(cosolvent: str, log_partition: ArrayLike) -> Floats:
    r"""Return how many powers of ten a pure cosolvent dissolves more of a solute than water does.

    .. math:: \sigma = M \log_{10} K_{ow} + N

    Parameters
    ----------
    cosolvent : str
        Name of the cosolvent, a key of `COSOLVENTS` such as "ethanol". [-]
    log_partition : array_like
        Decimal logarithm of the solute's partition coefficient between octanol and water. [1]

    Returns
    -------
    numpy.ndarray
        Cosolvency power of the liquid for the solute. [1]

    Notes
    -----
    Rough: a regression over 607 sets of data for 15 cosolvents, uncharged solutes, near 25 °C; a factor of three to
    either side is common. The form is in print, M and N are from memory.

    Source: Li-Yalkowsky-1998.
    """
    if cosolvent not in COSOLVENTS:
        raise SumError(f'There are no numbers for the cosolvent "{cosolvent}"; known are {", ".join(COSOLVENTS)}.')
    known = COSOLVENTS[cosolvent]
    return np.asarray(known.slope * np.asarray(log_partition, float) + known.offset)


def solubility_cosolvent(solubility_water: ArrayLike, cosolvency: ArrayLike, volume_fraction: ArrayLike) -> Floats:
    r"""Return a rough solubility in a mixture of water with cosolvents.

    .. math:: \log_{10} S = \log_{10} S_w + \sum_i \sigma_i f_i

    Parameters
    ----------
    solubility_water : array_like
        Solubility in water, without an axis for the cosolvents. [kg/m³]
    cosolvency : array_like
        Cosolvency power of each cosolvent for the solute, along the last axis; see `cosolvency_power`. [1]
    volume_fraction : array_like
        Volume of each cosolvent before mixing over the volume of the mixture, along the last axis. [1]

    Returns
    -------
    numpy.ndarray
        Solubility in the mixture; the last axis is gone. [kg/m³]

    Notes
    -----
    Rough, as `cosolvency_power`: for uncharged solutes that water dissolves little of, and more wrong with much
    cosolvent, where real curves bend and often have a top. Not for salts, which cosolvents throw out, nor for the
    charged part of an acid. It answers whether a share is hopeless, never whether it is safe: that, a jar in the cold
    answers.

    Source: Yalkowsky-Rubino-1985.
    """
    water = np.asarray(solubility_water, float)
    power, f = np.broadcast_arrays(np.asarray(cosolvency, float), np.asarray(volume_fraction, float))
    # Binary noise: shares of the whole may add up to one and a little.
    possible = (f >= 0).all(axis=-1) & (f.sum(axis=-1) <= 1 + 1e-9) & (water >= 0)
    with np.errstate(invalid="ignore", over="ignore"):
        return np.where(possible, water * 10 ** (power * f).sum(axis=-1), np.nan)


def distance_hansen(hansen: ArrayLike, other_hansen: ArrayLike) -> Floats:
    r"""Return how far two substances are apart in Hansen's space.

    .. math:: R_a^2 = 4 (\delta_D - \delta_D')^2 + (\delta_P - \delta_P')^2 + (\delta_H - \delta_H')^2

    Parameters
    ----------
    hansen : array_like
        Solubility parameters of dispersion, polarity and hydrogen bonds, in this order along the last axis, all in one
        unit, as MPa½ in the tables. [-]
    other_hansen : array_like
        The three of the other substance, in the same unit. [-]

    Returns
    -------
    numpy.ndarray
        Distance in that unit; the last axis is gone. [-]

    Notes
    -----
    The four stands before the term of dispersion; a trade article has it before the polar one. Tables differ by 1 to 2
    MPa½ for one liquid (glycerol 17.4, 12.1, 29.3 or 17.4, 11.3, 27.2), so distances below that mean nothing.

    Source: Hansen-1967.
    """
    one, other = np.broadcast_arrays(np.asarray(hansen, float), np.asarray(other_hansen, float))
    with np.errstate(invalid="ignore", over="ignore"):
        return np.asarray(np.sqrt((_WEIGHT * (one - other) ** 2).sum(axis=-1)))


def relative_energy_difference(separation: ArrayLike, interaction_radius: ArrayLike) -> Floats:
    r"""Return how far a liquid is from dissolving a substance, 1 at the limit (RED).

    .. math:: RED = R_a / R_0

    Parameters
    ----------
    separation : array_like
        Distance of liquid and substance; see `distance_hansen`. [-]
    interaction_radius : array_like
        Radius of the sphere within which liquids dissolve or swell the substance, in the same unit. [-]

    Returns
    -------
    numpy.ndarray
        Below 1 for liquids that are likely to dissolve or swell it, above 1 for those that are not. [1]

    Notes
    -----
    The radius comes from trials with many liquids; there is none to be had from a formula. It holds for the test it was
    found with: dissolved, or swollen, after how long. Temperature and the size of the molecules are not in it.

    Source: Hansen-1967.
    """
    distance, radius = np.asarray(separation, float), np.asarray(interaction_radius, float)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return np.where((distance >= 0) & (radius > 0), distance / radius, np.nan)


def hansen_blend(volume_fraction: ArrayLike, hansen: ArrayLike) -> Floats:
    r"""Return the Hansen parameters of a blend of liquids.

    .. math:: \delta = \frac{\sum_i f_i \delta_i}{\sum_i f_i}

    Parameters
    ----------
    volume_fraction : array_like
        Volume of each liquid before mixing over the volume of the blend, along the last axis. [1]
    hansen : array_like
        The three parameters along the last axis, the liquids along the one before, all in one unit. [-]

    Returns
    -------
    numpy.ndarray
        The three parameters of the blend, along the last axis. [-]

    Notes
    -----
    By volume, not by mass, and of the parameters themselves, not of their squares. Two liquids that do not dissolve a
    resin may do so together, since the blend lies on the line between them.

    Source: Hansen-1967.
    """
    f, parameters = np.asarray(volume_fraction, float)[..., np.newaxis], np.asarray(hansen, float)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        blend = (f * parameters).sum(axis=-2) / f.sum(axis=-2)
    return np.where((f >= 0).all(axis=-2), blend, np.nan)


def saturation_ratio(mass_fraction: ArrayLike, solubility: ArrayLike) -> Floats:
    """Return how many times over a phase is saturated with a solute.

    Parameters
    ----------
    mass_fraction : array_like
        Mass fraction of the solute in the phase that it is dissolved in, not in the whole formula. [1]
    solubility : array_like
        Mass fraction in that phase at saturation, at the coldest temperature that it will see. [1]

    Returns
    -------
    numpy.ndarray
        Above 1 crystals can form, below 1 they dissolve. [1]

    Notes
    -----
    A definition. Tables give grams per 100 mL of water, per litre of solution or per 100 g of solution: 50 g in 100 mL
    of water is a mass fraction of 0.33. A ratio little above 1 may stay clear for months.

    Source: definition.
    """
    w, limit = np.asarray(mass_fraction, float), np.asarray(solubility, float)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return np.where((w >= 0) & (limit > 0), w / limit, np.nan)
