"""Water activity: what solutes leave of the humidity over water, and what still grows in it; salts are in `salts`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from levigate.science.constants import ArrayLike, Floats

__all__ = [
    "GROWTH_MINIMA",
    "MOLAR_MASS_WATER",
    "NORRISH_CONSTANTS",
    "GrowthMinimum",
    "NorrishConstant",
    "WaterActivityBounds",
    "water_activity_bounds",
    "water_activity_norrish",
    "water_activity_raoult",
    "water_activity_ross",
]

#: Molar mass of water. [kg/mol]
MOLAR_MASS_WATER = 0.018015


@dataclass(frozen=True, slots=True)
class NorrishConstant:
    """How far one solute pulls the water activity below the mole fraction of water."""

    value: float
    #: Key in sources.toml.
    source: str


_ALDITOLS = "Makinen-2010"
#: Constants K of Norrish by chemical name, near 25 °C. Negative: the solute lowers less than its molecules alone.
NORRISH_CONSTANTS = {
    "glycerol": NorrishConstant(1.16, _ALDITOLS),
    "erythritol": NorrishConstant(1.34, _ALDITOLS),
    "xylitol": NorrishConstant(1.66, _ALDITOLS),
    "ribitol": NorrishConstant(1.49, _ALDITOLS),
    "arabitol": NorrishConstant(1.41, _ALDITOLS),
    "sorbitol": NorrishConstant(1.65, _ALDITOLS),
    "mannitol": NorrishConstant(0.906, _ALDITOLS),
    "glucose": NorrishConstant(2.25, "memory"),
    "fructose": NorrishConstant(2.25, "memory"),
    "sucrose": NorrishConstant(6.47, "memory"),
    "propane-1,2-diol": NorrishConstant(1.0, "memory"),
    "urea": NorrishConstant(-2.02, "memory"),
}


@dataclass(frozen=True, slots=True)
class GrowthMinimum:
    """Water activity below which an organism stops growing, from the lowest to the highest minimum reported."""

    organism: str
    lowest: float
    highest: float
    source: str


#: From those that need most water to those that need least. Staying alive needs far less than growing.
GROWTH_MINIMA = (
    GrowthMinimum("Pseudomonas aeruginosa", 0.96, 0.98, "Banwart-1989"),
    GrowthMinimum("Escherichia coli", 0.94, 0.97, "Banwart-1989"),
    GrowthMinimum("Pseudomonas fluorescens", 0.94, 0.97, "Banwart-1989"),
    GrowthMinimum("Salmonella", 0.93, 0.96, "Banwart-1989"),
    GrowthMinimum("Bacillus cereus", 0.92, 0.95, "Banwart-1989"),
    GrowthMinimum("most bacteria", 0.90, 0.91, "Banwart-1989"),
    GrowthMinimum("most yeasts, Candida among them", 0.87, 0.94, "Banwart-1989"),
    GrowthMinimum("Staphylococcus aureus", 0.83, 0.92, "Banwart-1989"),
    GrowthMinimum("Aspergillus niger", 0.80, 0.84, "Banwart-1989"),
    GrowthMinimum("salt-loving bacteria", 0.75, 0.75, "Banwart-1989"),
    GrowthMinimum("most moulds", 0.70, 0.80, "Banwart-1989"),
    GrowthMinimum("moulds of dry places", 0.60, 0.70, "Banwart-1989"),
    GrowthMinimum("yeasts of sugar", 0.60, 0.78, "Banwart-1989"),
)


class WaterActivityBounds(NamedTuple):
    """Between what two values a water activity lies."""

    low: Floats
    high: Floats


def water_activity_raoult(
    mass_fraction: ArrayLike, water_fraction: ArrayLike, molar_mass: ArrayLike, particle_count: ArrayLike = 1.0
) -> Floats:
    r"""Return the water activity that one solute leaves if each of its particles counts as one of water.

    .. math:: a_w = x_w = \frac{w_w / M_w}{w_w / M_w + \nu w / M}

    Parameters
    ----------
    mass_fraction : array_like
        Mass fraction of the solute. [1]
    water_fraction : array_like
        Mass fraction of the water that it is dissolved in. [1]
    molar_mass : array_like
        Molar mass of the solute. [kg/mol]
    particle_count : array_like
        Particles that one formula unit gives: 1 for glycerol, 2 for sodium chloride. [1]

    Returns
    -------
    numpy.ndarray
        Water activity. [1]

    Notes
    -----
    Raoult's law: small molecules that mix with water without warmth, and any solute while it is thin. 30 % of
    glycerol are 0.01 lower than this, 50 % 0.03. A salt counted as one particle is wrong from the start: 1 mol/kg of
    sodium chloride would leave 0.982 instead of 0.967. Polymers and micelles count by their own huge molar mass, that
    is not at all. No water gives nan.

    Source: Raoult-1887.
    """
    return 1 - _solute_share(mass_fraction, water_fraction, molar_mass, particle_count)


def water_activity_norrish(
    mass_fraction: ArrayLike, water_fraction: ArrayLike, molar_mass: ArrayLike, norrish_constant: ArrayLike
) -> Floats:
    r"""Return the water activity that one uncharged solute leaves, with its own constant.

    .. math:: a_w = x_w \exp(-K x_s^2)

    Parameters
    ----------
    mass_fraction : array_like
        Mass fraction of the solute. [1]
    water_fraction : array_like
        Mass fraction of the water that it is dissolved in. [1]
    molar_mass : array_like
        Molar mass of the solute. [kg/mol]
    norrish_constant : array_like
        Constant K of the solute, such as one of `NORRISH_CONSTANTS`; 0 is Raoult's law. [1]

    Returns
    -------
    numpy.ndarray
        Water activity. [1]

    Notes
    -----
    Fitted where water is plenty: glycerol is within 0.005 up to 50 % by mass (0.81), and 0.05 too low at 80 % (0.50
    measured). K below -2 would part the solute from the water, so that such a K holds for thin solutions only. The
    constant of propane-1,2-diol is from memory, and one of 4 is remembered as well: take both as bounds.

    Source: Norrish-1966, constants Makinen-2010.
    """
    k = np.asarray(norrish_constant, float)
    x = _solute_share(mass_fraction, water_fraction, molar_mass, 1.0)
    with np.errstate(over="ignore", invalid="ignore"):
        return np.asarray((1 - x) * np.exp(-k * x**2))


def _solute_share(
    mass_fraction: ArrayLike, water_fraction: ArrayLike, molar_mass: ArrayLike, particle_count: ArrayLike
) -> Floats:
    """Return the mole fraction of a solute in water; nan where it cannot be."""
    w, water, molar, count = (np.asarray(x, float) for x in (mass_fraction, water_fraction, molar_mass, particle_count))
    possible = (w >= 0) & (water > 0) & (molar > 0) & (count > 0)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        ratio = count * w / molar * MOLAR_MASS_WATER / water
        return np.where(possible, ratio / (1 + ratio), np.nan)


def water_activity_ross(solute_activity: ArrayLike) -> Floats:
    r"""Return the water activity of a mixture from that of each solute alone in all the water.

    .. math:: a_w = \prod_i a_{w,i}

    Parameters
    ----------
    solute_activity : array_like
        Water activity that each solute, or all salts together, would leave alone in all the water of the mixture,
        along the last axis. [1]

    Returns
    -------
    numpy.ndarray
        Water activity; the last axis is gone. [1]

    Notes
    -----
    Solutes that do not act on each other. Small polyols and sugars are met within about 0.01 while the result is
    above 0.8 (from memory); below, the product is too low, as two ideal solutes show: a tenth of a mole of each per
    mole of water leave 0.833, the product says 0.826. Water bound in crystals or shut up in drops does not count.

    Source: Ross-1975.
    """
    a = np.asarray(solute_activity, float)
    return np.where(((a >= 0) & (a <= 1)).all(axis=-1), a.prod(axis=-1), np.nan)


def water_activity_bounds(
    water_fraction: ArrayLike,
    mass_fraction: ArrayLike,
    osmole_mass_low: ArrayLike,
    osmole_mass_high: ArrayLike,
    norrish_low: ArrayLike,
    norrish_high: ArrayLike,
) -> WaterActivityBounds:
    r"""Return between what two values the water activity of a mixture lies, solutes being known only roughly.

    Lowest and highest of the water activity over the corners of what is known of each solute, and over two ways to
    put solutes together: the product of Ross, and all particles counted as those of one solute with their mean K,

    .. math:: a_w = x_w \exp\left(-\sum_i x_i \sum_i K_i x_i\right)

    Parameters
    ----------
    water_fraction : array_like
        Mass fraction of the water, without an axis for the solutes. [1]
    mass_fraction : array_like
        Mass fraction of each solute, along the last axis. [1]
    osmole_mass_low : array_like
        Least mass that one mole of a solute's particles may have: the molar mass, half of it for a salt of two
        ions. [kg/mol]
    osmole_mass_high : array_like
        Greatest mass that one mole of its particles may have; infinite where it may do nothing at all. [kg/mol]
    norrish_low : array_like
        Least constant K that a solute may have; see `water_activity_norrish`. [1]
    norrish_high : array_like
        Greatest constant K that a solute may have. [1]

    Returns
    -------
    low : numpy.ndarray
        Lowest water activity; the last axis is gone. [1]
    high : numpy.ndarray
        Highest water activity; the last axis is gone. [1]

    Notes
    -----
    As good as what is said of the solutes: a K from -2 (urea) to 7 (sucrose) holds every small uncharged solute of
    `NORRISH_CONSTANTS`, -1.5 to 2.5 sodium chloride up to 6 mol/kg. Both rules stay between the bounds whatever each
    solute is within its own; a solute that binds another is outside. Where solute particles may outnumber the water,
    where a K would part a solute from it, where bounds are the wrong way round, and without water: nan.

    Source: Norrish-1966, Ross-1975.
    """
    w, light, heavy, k_low, k_high = np.broadcast_arrays(
        *(np.asarray(x, float) for x in (mass_fraction, osmole_mass_low, osmole_mass_high, norrish_low, norrish_high))
    )
    water = np.asarray(water_fraction, float)[..., np.newaxis]
    possible = ((w >= 0) & (light > 0) & (heavy >= light) & (k_high >= k_low)).all(axis=-1) & (water[..., 0] > 0)
    with np.errstate(all="ignore"):
        many, few = (w / molar * MOLAR_MASS_WATER / water for molar in (light, heavy))
        # Water activity falls with each number of particles and each K as long as solutes are no more than half of all
        # particles and d(ln a)/dn keeps its sign: two corners are the extremes.
        total = many.sum(axis=-1)
        possible &= (total <= 1) & (1 + 2 * total / (1 + total) ** 2 * k_low.min(axis=-1) >= 0)
        low = np.minimum(_product(many, k_high), _together(many, k_high))
        high = np.maximum(_product(few, k_low), _together(few, k_low))
    return WaterActivityBounds(np.where(possible, low, np.nan), np.where(possible, high, np.nan))


def _product(ratio: Floats, k: Floats) -> Floats:
    """Return Ross' product of Norrish's values, from moles of particles over moles of water."""
    x = ratio / (1 + ratio)
    return np.asarray(((1 - x) * np.exp(-k * x**2)).prod(axis=-1))


def _together(ratio: Floats, k: Floats) -> Floats:
    """Return Norrish's value with all particles counted as those of one solute of mean K."""
    x = ratio / (1 + ratio.sum(axis=-1, keepdims=True))
    total = x.sum(axis=-1)
    return np.asarray((1 - total) * np.exp(-total * (k * x).sum(axis=-1)))
