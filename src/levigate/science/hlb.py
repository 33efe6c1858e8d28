"""HLB: how much water an emulsifier likes, what an oil phase asks for, and the blend that meets it.

Only for emulsifiers that Griffin's numbers were made for: uncharged, not polymers, not those that build liquid
crystals.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from levigate.science.constants import ArrayLike, Floats

__all__ = [
    "DAVIES_GROUPS",
    "DaviesGroup",
    "emulsifier_fraction",
    "emulsifier_fractions",
    "hlb_blend",
    "hlb_davies",
    "hlb_griffin_ester",
    "hlb_griffin_ethoxylate",
    "hlb_griffin_mass",
    "hlb_required",
]

# The scale of Griffin runs from all oil to all water.
_SCALE = 20.0
# What Davies adds to the sum of the groups.
_DAVIES_OFFSET = 7.0


@dataclass(frozen=True, slots=True)
class DaviesGroup:
    """What one group of atoms adds to the HLB of Davies."""

    number: float
    #: Key in sources.toml.
    source: str


#: Group numbers. Newer texts print 38.6 for the sulfate; the well-known 40 of sodium dodecyl sulfate needs 38.7.
DAVIES_GROUPS = {
    "SO4Na": DaviesGroup(38.7, "Davies-1957"),
    "COOK": DaviesGroup(21.1, "Davies-1957"),
    "COONa": DaviesGroup(19.1, "Davies-1957"),
    "tertiary amine": DaviesGroup(9.4, "Davies-1957"),
    "ester of the sorbitan ring": DaviesGroup(6.8, "Davies-1957"),
    "ester": DaviesGroup(2.4, "Davies-1957"),
    "COOH": DaviesGroup(2.1, "Davies-1957"),
    "OH": DaviesGroup(1.9, "Davies-1957"),
    "ether": DaviesGroup(1.3, "Davies-1957"),
    "OH of the sorbitan ring": DaviesGroup(0.5, "Davies-1957"),
    "oxyethylene": DaviesGroup(0.33, "memory"),
    "CH, CH2, CH3": DaviesGroup(-0.475, "Davies-1957"),
}


def hlb_griffin_mass(hydrophile_mass: ArrayLike, molar_mass: ArrayLike) -> Floats:
    r"""Return the HLB of an uncharged emulsifier from the part of its molecule that likes water.

    .. math:: HLB = 20 \frac{M_h}{M}

    Parameters
    ----------
    hydrophile_mass : array_like
        Molar mass of the part that likes water. [kg/mol]
    molar_mass : array_like
        Molar mass of the whole molecule. [kg/mol]

    Returns
    -------
    numpy.ndarray
        HLB, 0 to 20. [1]

    Notes
    -----
    Uncharged emulsifiers of known structure. Which atoms count as liking water is a choice: glyceryl monostearate is
    4.1 or 5.1 by it, and 3.8 by analysis (`hlb_griffin_ester`). A part larger than the whole gives nan.

    Source: Griffin-1954.
    """
    part, whole = np.asarray(hydrophile_mass, float), np.asarray(molar_mass, float)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return np.where((part >= 0) & (whole > 0) & (part <= whole), _SCALE * (part / whole), np.nan)


def hlb_griffin_ethoxylate(oxyethylene_fraction: ArrayLike, polyol_fraction: ArrayLike = 0.0) -> Floats:
    r"""Return the HLB of an emulsifier from its content of oxyethylene and polyol.

    .. math:: HLB = 20 (w_E + w_P), \quad \text{in percent} \; (E + P) / 5

    Parameters
    ----------
    oxyethylene_fraction : array_like
        Mass fraction of oxyethylene units in the emulsifier. [1]
    polyol_fraction : array_like
        Mass fraction of polyol, such as glycerol or sorbitan, bound in it. [1]

    Returns
    -------
    numpy.ndarray
        HLB, 0 to 20. [1]

    Notes
    -----
    Ethoxylated fatty alcohols and acids, and derivatives of wool fat and beeswax that do not saponify cleanly. Not
    where propylene oxide, nitrogen or sulfur stand in the molecule. Fractions below 0 or together above 1 give nan.

    Source: Griffin-1954.
    """
    e, p = np.asarray(oxyethylene_fraction, float), np.asarray(polyol_fraction, float)
    return np.where((e >= 0) & (p >= 0) & (e + p <= 1), _SCALE * (e + p), np.nan)


def hlb_griffin_ester(saponification_number: ArrayLike, acid_number: ArrayLike) -> Floats:
    r"""Return the HLB of an ester of a polyol with a fatty acid from two titrations.

    .. math:: HLB = 20 \left( 1 - \frac{S}{A} \right)

    Parameters
    ----------
    saponification_number : array_like
        Saponification number of the ester, in milligrams of KOH per gram or any unit that it shares with the other. [1]
    acid_number : array_like
        Acid number of the fatty acid that was split off, in the same unit. [1]

    Returns
    -------
    numpy.ndarray
        HLB, 0 to 20. [1]

    Notes
    -----
    Fatty acid esters of glycerol, sorbitan and their ethoxylates. It is the acid number of the fatty acid, about 200
    for stearic acid, not the small one of the emulsifier. S above A gives nan.

    Source: Griffin-1954.
    """
    s, a = np.asarray(saponification_number, float), np.asarray(acid_number, float)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return np.where((s >= 0) & (a > 0) & (s <= a), _SCALE * (1 - s / a), np.nan)


def hlb_davies(group_count: ArrayLike, group_number: ArrayLike) -> Floats:
    r"""Return the HLB of an emulsifier from the groups of atoms that it is made of.

    .. math:: HLB = 7 + \sum_i n_i H_i

    Parameters
    ----------
    group_count : array_like
        How often each group stands in the molecule, along the last axis. [1]
    group_number : array_like
        Number of each group, one of `DAVIES_GROUPS`: above 0 if it likes water, below 0 if it likes oil. [1]

    Returns
    -------
    numpy.ndarray
        HLB on the scale of Davies, which goes past 20 for charged emulsifiers; the last axis is gone. [1]

    Notes
    -----
    A scale of its own; for ethoxylates it is far from that of Griffin (20 units on lauryl alcohol give 7 + 1.9 + 6.6 -
    5.7 = 9.8, not 16.5). Count every carbon that is not in a listed group, those of glycerol too. A text that takes the
    water-loving groups from the others prints the signs exchanged.

    Source: Davies-1957.
    """
    count, number = np.broadcast_arrays(np.asarray(group_count, float), np.asarray(group_number, float))
    possible = (count >= 0).all(axis=-1) & np.isfinite(number).all(axis=-1)
    with np.errstate(invalid="ignore", over="ignore"):
        return np.where(possible, _DAVIES_OFFSET + (count * number).sum(axis=-1), np.nan)


def hlb_blend(mass_fraction: ArrayLike, hlb: ArrayLike) -> Floats:
    r"""Return the HLB of a blend of emulsifiers.

    .. math:: HLB = \frac{\sum_i w_i HLB_i}{\sum_i w_i}

    Parameters
    ----------
    mass_fraction : array_like
        Mass fraction of each emulsifier, of the formula or of the blend, along the last axis. [1]
    hlb : array_like
        HLB of each emulsifier. [1]

    Returns
    -------
    numpy.ndarray
        HLB of the blend; the last axis is gone. [1]

    Notes
    -----
    Uncharged emulsifiers; a rule of thumb, since oil-soluble and water-soluble ones do not reach the drops to the same
    share. No emulsifier gives nan.

    Source: Griffin-1954.
    """
    return _mean(mass_fraction, hlb)


def hlb_required(mass_fraction: ArrayLike, required_hlb: ArrayLike) -> Floats:
    r"""Return the HLB that an oil phase asks of its emulsifier.

    .. math:: rHLB = \frac{\sum_i w_i rHLB_i}{\sum_i w_i}

    Parameters
    ----------
    mass_fraction : array_like
        Mass fraction of each oil, wax and fatty alcohol, of the formula or of the oil phase, along the last axis. [1]
    required_hlb : array_like
        HLB that each asks for, all for the same type of emulsion. [1]

    Returns
    -------
    numpy.ndarray
        HLB that the oil phase asks for; the last axis is gone. [1]

    Notes
    -----
    The emulsifiers are no part of the oil phase, nor is water: the sum is over the oils alone. Tables disagree by 1 to
    3 for one oil (liquid paraffin 10.5 or 12, lanolin 10 or 12, beeswax 9 or 12), so a result is good to 1 at best and
    its decimals only show the sum. Rounding each term first is off by 0.1.

    Source: Griffin-1954.
    """
    return _mean(mass_fraction, required_hlb)


def _mean(weight: ArrayLike, value: ArrayLike) -> Floats:
    w, x = np.broadcast_arrays(np.asarray(weight, float), np.asarray(value, float))
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return np.where((w >= 0).all(axis=-1), (w * x).sum(axis=-1) / w.sum(axis=-1), np.nan)


def emulsifier_fraction(required_hlb: ArrayLike, first_hlb: ArrayLike, second_hlb: ArrayLike) -> Floats:
    r"""Return the share of the first of two emulsifiers in the blend that meets a required HLB.

    .. math:: w = \frac{rHLB - HLB_2}{HLB_1 - HLB_2}

    Parameters
    ----------
    required_hlb : array_like
        HLB that the oil phase asks for. [1]
    first_hlb : array_like
        HLB of the first emulsifier. [1]
    second_hlb : array_like
        HLB of the second emulsifier. [1]

    Returns
    -------
    numpy.ndarray
        Mass of the first over the mass of both. [1]

    Notes
    -----
    As `hlb_blend`. An HLB that does not lie between those of the two cannot be met and gives nan, as do two that are
    alike. A published answer with a mass below zero for one emulsifier divides by the difference the wrong way round.

    Source: Griffin-1954.
    """
    required, first, second = (np.asarray(x, float) for x in (required_hlb, first_hlb, second_hlb))
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        share = (required - second) / (first - second)
    return np.where((share >= 0) & (share <= 1), share, np.nan)


def emulsifier_fractions(required_hlb: ArrayLike, hlb: ArrayLike) -> Floats:
    r"""Return the shares of several emulsifiers that meet a required HLB and are as near to equal as can be.

    .. math:: \min_w \sum_i (w_i - 1/n)^2 \quad \text{with} \quad \sum_i w_i = 1, \;
              \sum_i w_i HLB_i = rHLB, \; w_i \ge 0

    Parameters
    ----------
    required_hlb : array_like
        HLB that the oil phase asks for, without an axis for the emulsifiers. [1]
    hlb : array_like
        HLB of each emulsifier, along the last axis. [1]

    Returns
    -------
    numpy.ndarray
        Mass of each over the mass of all, along the last axis. [1]

    Notes
    -----
    As `hlb_blend`; of the many blends that meet the HLB, the one that leans least on any single emulsifier. The shares
    rise (or fall) straight with the HLB until one would be below zero, which is then left out. An HLB outside those of
    the emulsifiers cannot be met: nan.

    Source: Griffin-1954.
    """
    h, r = np.broadcast_arrays(np.asarray(hlb, float), np.asarray(required_hlb, float)[..., np.newaxis])
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        # Mirrored where the required HLB is below the mean, so that only low ones ever have to be left out.
        sign = np.where(r >= h.mean(axis=-1, keepdims=True), 1.0, -1.0)
        order = np.argsort(-sign * h, axis=-1, kind="stable")
        falling, wanted = np.take_along_axis(sign * h, order, axis=-1), (sign * r)[..., :1]
        possible = np.isfinite(falling).all(axis=-1, keepdims=True) & (wanted <= falling[..., :1])
        share = _shares_of_the_first(falling, wanted)
        in_order = np.take_along_axis(share, np.argsort(order, axis=-1), axis=-1)
        return np.where(possible, in_order, np.nan)


def _shares_of_the_first(falling: Floats, wanted: Floats) -> Floats:
    """Return the shares for values that fall along the last axis, as many of the first ones used as can be."""
    size = falling.shape[-1]
    used = np.tri(size, dtype=bool)
    count = np.arange(1.0, size + 1)[:, np.newaxis]
    # Counted from the first, so that equal values stay equal whatever their mean is rounded to.
    below = falling - falling[..., :1]
    # A row for each number of emulsifiers used: the values about their mean, and the rise of share with value.
    mean = np.where(used, below[..., np.newaxis, :], 0.0).sum(axis=-1, keepdims=True) / count
    about = np.where(used, below[..., np.newaxis, :] - mean, 0.0)
    spread = (about**2).sum(axis=-1, keepdims=True)
    gap = (wanted - falling[..., :1])[..., np.newaxis] - mean
    slope = np.where(spread > 0, gap / spread, np.where(gap == 0, 0.0, np.nan))
    share = np.where(used, 1 / count + slope * about, 0.0)
    last = np.diagonal(share, axis1=-2, axis2=-1)
    most = size - 1 - np.argmax((last >= 0)[..., ::-1], axis=-1)
    return np.take_along_axis(share, most[..., np.newaxis, np.newaxis], axis=-2)[..., 0, :]
