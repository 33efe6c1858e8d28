"""How well a scale weighs, and how much a pack may fall short."""

from __future__ import annotations

import numpy as np

from levigate.science.constants import ArrayLike, Floats

__all__ = [
    "smallest_mass",
    "tolerable_negative_error",
    "tolerable_negative_error_volume",
    "weighing_error",
    "weighing_uncertainty",
]

# Two readings, tare and gross, are each rounded: d sqrt(2/12) = 0.408 d, which USP <41> rounds to 0.41 d.
_TWO_ROUNDINGS = float(np.sqrt(2 / 12))

# 76/211/EEC, annex I, 2.4: upper end of each step in g or mL, the share or the fixed error allowed there.
_STEP_END = np.array([50, 100, 200, 300, 500, 1000, 10000])
_STEP_SHARE = np.array([0.09, 0, 0.045, 0, 0.03, 0, 0.015])
_STEP_FIXED = np.array([0, 4.5, 0, 9, 0, 15, 0])
_SMALLEST_PACK = 5


def weighing_uncertainty(resolution: ArrayLike, repeatability: ArrayLike | None = None) -> Floats:
    r"""Return the standard uncertainty of one net weighing.

    Two roundings of the display, each :math:`d/\sqrt{12}`, make :math:`0.408\,d`; a scale that repeats itself
    less well than that is as uncertain as it repeats.

    Parameters
    ----------
    resolution : array_like
        Smallest step of the display. [kg]
    repeatability : array_like, optional
        Standard deviation of ten or more weighings of one thing, as measured or as stated for the scale. [kg]

    Returns
    -------
    numpy.ndarray
        Standard uncertainty of the mass weighed in. [kg]

    Notes
    -----
    Counts rounding and repeatability only, not a scale out of adjustment, draught, or what clings to the
    spoon. The chapter replaces a standard deviation below 0.41 d by 0.41 d, the same floor rounded. A step not
    above zero, or a negative repeatability, gives nan.

    Source: USP-41.
    """
    d = np.asarray(resolution, float)
    s = np.asarray(0.0 if repeatability is None else repeatability, float)
    return np.where((d > 0) & (s >= 0), np.maximum(_TWO_ROUNDINGS * d, s), np.nan)


def weighing_error(
    mass: ArrayLike,
    resolution: ArrayLike,
    repeatability: ArrayLike | None = None,
    coverage: ArrayLike = 2.0,
) -> Floats:
    """Return by what share of itself a mass may be weighed wrong.

    Parameters
    ----------
    mass : array_like
        Mass weighed in. [kg]
    resolution : array_like
        Smallest step of the display. [kg]
    repeatability : array_like, optional
        Standard deviation of ten or more weighings of one thing. [kg]
    coverage : array_like
        Factor that widens the standard uncertainty; 2 covers about 95 %. [1]

    Returns
    -------
    numpy.ndarray
        Expanded uncertainty as a share of the mass. [1]

    Notes
    -----
    As `weighing_uncertainty`. 0.3 g on a scale that shows 0.1 g may be 27 % wrong.

    Source: USP-41.
    """
    m, k = np.asarray(mass, float), np.asarray(coverage, float)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = k * weighing_uncertainty(resolution, repeatability) / m
    return np.where((m > 0) & (k > 0), share, np.nan)


def smallest_mass(
    resolution: ArrayLike,
    error: ArrayLike,
    repeatability: ArrayLike | None = None,
    coverage: ArrayLike = 2.0,
) -> Floats:
    """Return the least mass that a scale weighs within a given error.

    Parameters
    ----------
    resolution : array_like
        Smallest step of the display. [kg]
    error : array_like
        Error allowed, as a share of the mass. [1]
    repeatability : array_like, optional
        Standard deviation of ten or more weighings of one thing. [kg]
    coverage : array_like
        Factor that widens the standard uncertainty; 2 covers about 95 %. [1]

    Returns
    -------
    numpy.ndarray
        Least mass. [kg]

    Notes
    -----
    As `weighing_uncertainty`. An error of 0.10 % asks for 816 steps of the display (820 with the rounded floor of the
    chapter), 1 % for 82, 5 % for 16.

    Source: USP-41.
    """
    share, k = np.asarray(error, float), np.asarray(coverage, float)
    with np.errstate(divide="ignore", invalid="ignore"):
        mass = k * weighing_uncertainty(resolution, repeatability) / share
    return np.where((share > 0) & (k > 0), mass, np.nan)


def _ladder(nominal: Floats) -> Floats:
    """Return the tolerable negative error in g or mL for a nominal quantity in g or mL."""
    # np.round only undoes binary noise: 0.005 kg must be 5 g, and 9 % of 10 g must not become 1.0 g.
    with np.errstate(over="ignore", invalid="ignore"):
        quantity = np.round(nominal, 6)
    step = np.minimum(np.searchsorted(_STEP_END, quantity), len(_STEP_END) - 1)
    quantity = np.where((quantity >= _SMALLEST_PACK) & (quantity <= _STEP_END[-1]), quantity, np.nan)
    return np.asarray(np.ceil(np.round(10 * (_STEP_SHARE[step] * quantity + _STEP_FIXED[step]), 6)) / 10)


def tolerable_negative_error(nominal_mass: ArrayLike) -> Floats:
    """Return how far one pack may fall short of the mass printed on it (the e mark of the EU).

    Parameters
    ----------
    nominal_mass : array_like
        Mass printed on the pack. [kg]

    Returns
    -------
    numpy.ndarray
        Tolerable negative error. [kg]

    Notes
    -----
    From 5 g to 10 kg; nan outside. Few packs of a batch may fall short by more, none by more than twice as
    much, and the average must not be below the nominal quantity. A percentage is rounded up to the next
    0.1 g: 9 % of 15 g is 1.4 g, not 1.35 g.

    Source: EU-76-211.
    """
    with np.errstate(over="ignore"):
        return np.asarray(_ladder(np.asarray(nominal_mass, float) * 1e3) / 1e3)


def tolerable_negative_error_volume(nominal_volume: ArrayLike) -> Floats:
    """Return how far one pack may fall short of the volume printed on it (the e mark of the EU).

    Parameters
    ----------
    nominal_volume : array_like
        Volume printed on the pack, meant at 20 °C. [m³]

    Returns
    -------
    numpy.ndarray
        Tolerable negative error. [m³]

    Notes
    -----
    As `tolerable_negative_error`, from 5 mL to 10 L, rounded up to the next 0.1 mL.

    Source: EU-76-211.
    """
    with np.errstate(over="ignore"):
        return np.asarray(_ladder(np.asarray(nominal_volume, float) * 1e6) / 1e6)
