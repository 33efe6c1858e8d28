"""Grain of powders: sieves, sizes spread lognormally, the means that settling and surface ask for."""

from __future__ import annotations

import numpy as np

from levigate.science.constants import ArrayLike, Floats

__all__ = [
    "count_median_diameter",
    "grain_diameter",
    "grain_median_by_sieves",
    "grain_share_below",
    "grain_sigma",
    "grain_sigma_by_sieves",
    "mass_mean_diameter",
    "sauter_diameter",
    "sieve_opening",
]

# ASTM E11, table 1.
_SIEVE_NUMBER = np.array(
    [3.5, 4, 5, 6, 7, 8, 10, 12, 14, 16, 18, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 100, 120, 140, 170,
     200, 230, 270, 325, 400, 450, 500, 635]
)  # fmt: skip
#: Nominal opening of each of these sieves. [m]
_SIEVE_OPENING = np.array(
    [5.6e-3, 4.75e-3, 4e-3, 3.35e-3, 2.8e-3, 2.36e-3, 2e-3, 1.7e-3, 1.4e-3, 1.18e-3, 1e-3, 850e-6, 710e-6,
     600e-6, 500e-6, 425e-6, 355e-6, 300e-6, 250e-6, 212e-6, 180e-6, 150e-6, 125e-6, 106e-6, 90e-6, 75e-6,
     63e-6, 53e-6, 45e-6, 38e-6, 32e-6, 25e-6, 20e-6]
)  # fmt: skip

# Standard normal deviate below which nine tenths lie.
_NINE_TENTHS = 1.2815515655446004


def sieve_opening(sieve_number: ArrayLike) -> Floats:
    """Return the nominal opening of a US standard test sieve.

    Parameters
    ----------
    sieve_number : array_like
        Number (mesh) of the sieve in ASTM E11. [1]

    Returns
    -------
    numpy.ndarray
        Width of the square opening. [m]

    Notes
    -----
    Numbers 3.5 to 635; nan for a number that the standard does not have. The average opening of a real sieve
    may lie 3 % (number 20) to 12 % (number 635) to either side. Older charts round the same sieves otherwise:
    149 µm for number 100, 74 µm for 200, 44 µm for 325, 37 µm for 400.

    Source: ASTM-E11.
    """
    number = np.asarray(sieve_number, float)
    place = np.minimum(np.searchsorted(_SIEVE_NUMBER, number), len(_SIEVE_NUMBER) - 1)
    return np.where(_SIEVE_NUMBER[place] == number, _SIEVE_OPENING[place], np.nan)


def grain_sigma(d50: ArrayLike, d90: ArrayLike) -> Floats:
    r"""Return the geometric standard deviation of grain sizes spread lognormally.

    .. math:: \ln\sigma_g = \ln(d_{90}/d_{50}) / 1.28155

    Parameters
    ----------
    d50 : array_like
        Diameter below which half of the mass lies. [m]
    d90 : array_like
        Diameter below which nine tenths of the mass lie. [m]

    Returns
    -------
    numpy.ndarray
        Geometric standard deviation, 1 where all grains are alike. [1]

    Notes
    -----
    That the sizes are lognormal is assumed: a sieved fraction or a mixture of two powders is not. A d90 below
    the d50 gives nan.

    Source: Hatch-Choate-1929.
    """
    middle, high = np.asarray(d50, float), np.asarray(d90, float)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where((middle > 0) & (high >= middle), (high / middle) ** (1 / _NINE_TENTHS), np.nan)


def grain_share_below(diameter: ArrayLike, d50: ArrayLike, sigma: ArrayLike) -> Floats:
    r"""Return the share of the mass of a powder that is finer than a diameter.

    .. math:: F = \Phi\left(\frac{\ln(d/d_{50})}{\ln\sigma_g}\right)

    Parameters
    ----------
    diameter : array_like
        Diameter asked about. [m]
    d50 : array_like
        Diameter below which half of the mass lies. [m]
    sigma : array_like
        Geometric standard deviation of the grain sizes. [1]

    Returns
    -------
    numpy.ndarray
        Share of the mass in finer grains. [1]

    Notes
    -----
    As `grain_sigma`. A lognormal curve never ends; a real powder has a finest and a coarsest grain.

    Source: Hatch-Choate-1929.
    """
    from scipy.special import ndtr

    d, middle, spread = (np.asarray(x, float) for x in (diameter, d50, sigma))
    with np.errstate(divide="ignore", invalid="ignore"):
        # At the median it is a half for any spread, also for grains all alike, where 0/0 would say nothing.
        deviate = np.where(d == middle, 0.0, np.log(d / middle)) / np.where(d == middle, 1.0, np.log(spread))
    possible = (d >= 0) & (middle > 0) & (spread >= 1)
    return np.where(possible, ndtr(deviate), np.nan)


def grain_diameter(share: ArrayLike, d50: ArrayLike, sigma: ArrayLike) -> Floats:
    r"""Return the diameter below which a given share of the mass of a powder lies.

    .. math:: d = d_{50}\,\sigma_g^{\,\Phi^{-1}(F)}

    Parameters
    ----------
    share : array_like
        Share of the mass in finer grains. [1]
    d50 : array_like
        Diameter below which half of the mass lies. [m]
    sigma : array_like
        Geometric standard deviation of the grain sizes. [1]

    Returns
    -------
    numpy.ndarray
        Diameter. [m]

    Notes
    -----
    The inverse of `grain_share_below`; as good as that is. A share of 0 or 1 has no diameter and gives nan.

    Source: Hatch-Choate-1929.
    """
    from scipy.special import ndtri

    part, middle, spread = (np.asarray(x, float) for x in (share, d50, sigma))
    possible = (part > 0) & (part < 1) & (middle > 0) & (spread >= 1)
    with np.errstate(over="ignore", invalid="ignore"):
        return np.where(possible, middle * np.abs(spread) ** ndtri(part), np.nan)


def _probit_line(opening: ArrayLike, share: ArrayLike) -> tuple[Floats, Floats]:
    """Return ln d50 and ln of the geometric standard deviation of the straight line of probits, by least squares."""
    from scipy.special import ndtri

    sizes, finer = np.broadcast_arrays(np.asarray(opening, float), np.asarray(share, float))
    possible = ((finer > 0) & (finer < 1) & (sizes > 0)).all(-1)
    with np.errstate(divide="ignore", invalid="ignore"):
        x, z = np.log(sizes), ndtri(finer)
        x_mean, z_mean = x.mean(axis=-1, keepdims=True), z.mean(axis=-1, keepdims=True)
        slope = ((x - x_mean) * (z - z_mean)).sum(axis=-1) / ((x - x_mean) ** 2).sum(axis=-1)
        slope = np.where(possible & (slope > 0), slope, np.nan)
        return np.asarray(x_mean[..., 0] - z_mean[..., 0] / slope), np.asarray(1 / slope)


def grain_median_by_sieves(opening: ArrayLike, share: ArrayLike) -> Floats:
    r"""Return the median size of the lognormal powder that fits what passes some sieves best.

    .. math:: \ln d_{50} = \overline{\ln d} - \overline{z}\,\ln\sigma_g,\qquad z = \Phi^{-1}(F)

    Parameters
    ----------
    opening : array_like
        Openings of the sieves, on the last axis. [m]
    share : array_like
        Share of the mass of a powder that passes each. [1]

    Returns
    -------
    numpy.ndarray
        Diameter below which half of the mass lies. [m]

    Notes
    -----
    A straight line of the probits *z* over ln *d*, by least squares. Through two sieves it goes exactly, so that two
    cannot show whether the sizes are lognormal. A single sieve, a share of 0 or 1, and shares that do not rise with the
    opening give nan.

    Source: Hatch-Choate-1929.
    """
    return np.exp(_probit_line(opening, share)[0])


def grain_sigma_by_sieves(opening: ArrayLike, share: ArrayLike) -> Floats:
    r"""Return the geometric standard deviation of the lognormal powder that fits what passes some sieves best.

    .. math:: \ln\sigma_g = \frac{\sum(\ln d - \overline{\ln d})^2}
       {\sum(\ln d - \overline{\ln d})(z - \overline{z})},\qquad z = \Phi^{-1}(F)

    Parameters
    ----------
    opening : array_like
        Openings of the sieves, on the last axis. [m]
    share : array_like
        Share of the mass of a powder that passes each. [1]

    Returns
    -------
    numpy.ndarray
        Geometric standard deviation. [1]

    Notes
    -----
    As `grain_median_by_sieves`: two sieves always fit, and what does not fit three is not lognormal.

    Source: Hatch-Choate-1929.
    """
    return np.exp(_probit_line(opening, share)[1])


def _hatch_choate(d50: ArrayLike, sigma: ArrayLike, factor: float) -> Floats:
    middle, spread = np.asarray(d50, float), np.asarray(sigma, float)
    with np.errstate(divide="ignore", over="ignore", invalid="ignore"):
        diameter = middle * np.exp(factor * np.log(spread) ** 2)
    return np.where((middle > 0) & (spread >= 1), diameter, np.nan)


def sauter_diameter(d50: ArrayLike, sigma: ArrayLike) -> Floats:
    r"""Return the diameter of the grain that has as much surface for its volume as the whole powder.

    .. math:: d_{32} = d_{50} \exp(-\tfrac12 \ln^2\sigma_g)

    Parameters
    ----------
    d50 : array_like
        Diameter below which half of the mass lies. [m]
    sigma : array_like
        Geometric standard deviation of the grain sizes. [1]

    Returns
    -------
    numpy.ndarray
        Sauter mean diameter. [m]

    Notes
    -----
    Exact for lognormal sizes. Reckoned from the median by mass; from the median by number the factor is +5/2.

    Source: Hatch-Choate-1929.
    """
    return _hatch_choate(d50, sigma, -0.5)


def mass_mean_diameter(d50: ArrayLike, sigma: ArrayLike) -> Floats:
    r"""Return the mean diameter weighted by mass.

    .. math:: d_{43} = d_{50} \exp(+\tfrac12 \ln^2\sigma_g)

    Parameters
    ----------
    d50 : array_like
        Diameter below which half of the mass lies. [m]
    sigma : array_like
        Geometric standard deviation of the grain sizes. [1]

    Returns
    -------
    numpy.ndarray
        Mass mean diameter, the "D[4,3]" of laser sizing. [m]

    Notes
    -----
    Exact for lognormal sizes. Reckoned from the median by mass; from the median by number the factor is +7/2.

    Source: Hatch-Choate-1929.
    """
    return _hatch_choate(d50, sigma, 0.5)


def count_median_diameter(d50: ArrayLike, sigma: ArrayLike) -> Floats:
    r"""Return the diameter below which half of the grains lie, counted one by one.

    .. math:: d_n = d_{50} \exp(-3 \ln^2\sigma_g)

    Parameters
    ----------
    d50 : array_like
        Diameter below which half of the mass lies. [m]
    sigma : array_like
        Geometric standard deviation of the grain sizes. [1]

    Returns
    -------
    numpy.ndarray
        Median diameter by number. [m]

    Notes
    -----
    Exact for lognormal sizes. What a microscope counts is far finer than what a sieve weighs: with a
    geometric standard deviation of 2, less than a quarter.

    Source: Hatch-Choate-1929.
    """
    return _hatch_choate(d50, sigma, -3.0)
