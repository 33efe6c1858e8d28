"""Preservation: what of a preservative is left in the water in its working form, and what a challenge test says."""

from __future__ import annotations

from enum import IntEnum

import numpy as np

from levigate.science.acidity import free_acid_share
from levigate.science.constants import ArrayLike, Floats

__all__ = [
    "CHALLENGE_DAYS",
    "ISO_11930_A",
    "ISO_11930_B",
    "Grade",
    "OrganismKind",
    "active_concentration",
    "challenge_grade",
    "challenge_margin",
    "decimal_reduction_time",
    "log_count_surviving",
    "share_active",
]


class OrganismKind(IntEnum):
    """What is asked for differs by the kind of organism; the numbers are the rows of the criteria."""

    BACTERIUM = 0
    YEAST = 1
    MOULD = 2


class Grade(IntEnum):
    """What a challenge test says of one organism; of the product, the least of all its organisms."""

    FAIL = 0
    B = 1
    A = 2


#: Days of the counts of a challenge test.
CHALLENGE_DAYS = (0, 7, 14, 28)
_NOT_ASKED = -np.inf

#: Criteria of ISO 11930: powers of ten by which the count must have fallen on days 7, 14 and 28; -inf where the
#: standard asks for nothing. Rows as `OrganismKind`.
ISO_11930_A = np.array([[3, 3, 3], [1, 1, 1], [_NOT_ASKED, 0, 1]])
ISO_11930_B = np.array([[_NOT_ASKED, 3, 3], [_NOT_ASKED, 1, 1], [_NOT_ASKED, 0, 0]])
ISO_11930_A.flags.writeable = ISO_11930_B.flags.writeable = False

# 6.1 - 3.1 is a little below 3 in binary; counts are never told to more than two decimals.
_NOISE = 1e-9


def share_active(
    oil_fraction: ArrayLike,
    partition_coefficient: ArrayLike,
    ph: ArrayLike,
    pka: ArrayLike,
    surfactant_concentration: ArrayLike = 0.0,
    binding_constant: ArrayLike = 0.0,
) -> Floats:
    r"""Return the share of a preservative that is free and uncharged in the water of an emulsion.

    All of it is somewhere, in the oil, in micelles, charged in the water, or free and uncharged there:

    .. math:: f = \frac{1}{1 + 10^{pH - pK_a} + k S + K \frac{q}{1 - q}}

    Parameters
    ----------
    oil_fraction : array_like
        Volume of oil over the volume of oil and water. [1]
    partition_coefficient : array_like
        Concentration in the oil over that of the free, uncharged form in the water. [1]
    ph : array_like
        pH of the water phase. [1]
    pka : array_like
        Acid exponent of the preservative in that water; infinite for one that is no acid. [1]
    surfactant_concentration : array_like
        Mass of nonionic surfactant in a volume of the water phase; 1 % w/v is 10. [kg/m³]
    binding_constant : array_like
        Ratio of bound to free, uncharged preservative that a unit of this concentration makes. [m³/kg]

    Returns
    -------
    numpy.ndarray
        Share of the whole preservative, 0 to 1. [1]

    Notes
    -----
    Equilibrium, oil and micelles that take up the uncharged form in proportion: thin, and no pairs in the oil. Benzoic
    acid does pair up in liquid paraffin, so that there a measured ratio belongs to its concentration
    (Anderson-Chow-1967). Micelles fill up: a constant measured at low concentration says too much at high. The degree
    of dissociation alone overstates what works. The pKa of thin solutions falls by 0.1 at an ionic strength of
    0.1 mol/kg. Glycols in the water change all the constants. An oil fraction of 1, or anything below 0, gives nan.

    Source: Garrett-1966, Bean-1972.
    """
    q, partition, acidity, exponent, surfactant, binding = (
        np.asarray(x, float)
        for x in (oil_fraction, partition_coefficient, ph, pka, surfactant_concentration, binding_constant)
    )
    possible = (q >= 0) & (q < 1) & (partition >= 0) & (surfactant >= 0) & (binding >= 0)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        charged = 1 / free_acid_share(acidity, exponent) - 1
        return np.where(possible, 1 / (1 + charged + binding * surfactant + partition * q / (1 - q)), np.nan)


def active_concentration(
    concentration: ArrayLike,
    oil_fraction: ArrayLike,
    partition_coefficient: ArrayLike,
    ph: ArrayLike,
    pka: ArrayLike,
    surfactant_concentration: ArrayLike = 0.0,
    binding_constant: ArrayLike = 0.0,
) -> Floats:
    r"""Return the concentration of the free, uncharged preservative in the water, the one that microbes meet.

    .. math:: c_w = \frac{c f}{1 - q}

    Parameters
    ----------
    concentration : array_like
        Mass of preservative, as the uncharged form, in a volume of the emulsion. [kg/m³]
    oil_fraction : array_like
        Volume of oil over the volume of oil and water. [1]
    partition_coefficient : array_like
        Concentration in the oil over that of the free, uncharged form in the water. [1]
    ph : array_like
        pH of the water phase. [1]
    pka : array_like
        Acid exponent of the preservative in that water; infinite for one that is no acid. [1]
    surfactant_concentration : array_like
        Mass of nonionic surfactant in a volume of the water phase; 1 % w/v is 10. [kg/m³]
    binding_constant : array_like
        Ratio of bound to free, uncharged preservative that a unit of this concentration makes. [m³/kg]

    Returns
    -------
    numpy.ndarray
        Mass of the free, uncharged form in a volume of the water phase. [kg/m³]

    Notes
    -----
    As `share_active`. With an oil that dissolves none, it is above the concentration of the whole; it cannot pass the
    solubility in water, which this does not know of. Proportional to the concentration, so that the dose for a wanted
    one is found by dividing.

    Source: Garrett-1966, Bean-1972.
    """
    c, q = np.asarray(concentration, float), np.asarray(oil_fraction, float)
    share = share_active(q, partition_coefficient, ph, pka, surfactant_concentration, binding_constant)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return np.where(c >= 0, c * share / (1 - q), np.nan)


def challenge_margin(log_count: ArrayLike, required_reduction: ArrayLike, deviation: ArrayLike = 0.5) -> Floats:
    r"""Return by how many powers of ten a challenge test of one organism meets a criterion.

    The least of what is left over on any day: of the reductions asked for, :math:`N_0 - N_t - R_t`, and of the rises
    that count as none, :math:`N_s - N_t + \delta`, from each day that is asked about to the next. Where only no
    increase since the start is asked for (:math:`R_t = 0`), the deviation counts there too.

    Parameters
    ----------
    log_count : array_like
        Decimal logarithm of the count on days 0, 7, 14 and 28, along the last axis; a day that the criterion does not
        ask about may be missing (nan). [1]
    required_reduction : array_like
        Powers of ten by which the count must have fallen on days 7, 14 and 28, along the last axis; -inf where nothing
        is asked. A row of `ISO_11930_A` or `ISO_11930_B`. [1]
    deviation : array_like
        Rise that still counts as no increase. [1]

    Returns
    -------
    numpy.ndarray
        Margin in powers of ten, 0 or more if the criterion is met; the last axis is gone. [1]

    Notes
    -----
    Counts by the standard's own method, each at least as good as its detection limit: below the limit, put the limit,
    and the reduction is at least what is told. The half power of ten that counts as no increase is from memory; ask the
    laboratory for the one its edition allows. With 0 the rule is strict.

    Source: ISO-11930.
    """
    n, asked = np.asarray(log_count, float), np.asarray(required_reduction, float)
    slack = np.asarray(deviation, float)
    n, asked = np.broadcast_arrays(n, np.concatenate([np.full((*asked.shape[:-1], 1), _NOT_ASKED), asked], axis=-1))
    least = np.full(np.broadcast_shapes(n.shape[:-1], slack.shape), np.inf)
    # Before the first day that is asked about there is nothing to have risen from.
    before = np.full(n.shape[:-1], np.inf)
    with np.errstate(invalid="ignore", over="ignore"):
        for day in range(1, len(CHALLENGE_DAYS)):
            wanted, count = asked[..., day], n[..., day]
            spare = n[..., 0] - count - wanted + np.where(wanted == 0, slack, 0.0)
            held = before - count + slack
            least = np.where(np.isneginf(wanted), least, np.minimum(least, np.minimum(spare, held)))
            before = np.where(np.isneginf(wanted), before, count)
    return np.where(slack >= 0, least, np.nan)


def challenge_grade(log_count: ArrayLike, organism_kind: ArrayLike, deviation: ArrayLike = 0.5) -> Floats:
    """Return whether an organism meets criterion A of ISO 11930 (2), only B (1), or neither (0).

    Parameters
    ----------
    log_count : array_like
        Decimal logarithm of the count on days 0, 7, 14 and 28, along the last axis; for a mould, and for B, day 7 may
        be missing (nan). [1]
    organism_kind : array_like
        Kind of each organism, a number of `OrganismKind`, without an axis for the days. [1]
    deviation : array_like
        Rise that still counts as no increase. [1]

    Returns
    -------
    numpy.ndarray
        Number of `Grade`; nan where a count is missing without which it cannot be told. The last axis is gone. [1]

    Notes
    -----
    As `challenge_margin`. The least grade of all organisms is that of the product: A protects; B needs a written
    reason, such as a pack that keeps fingers out; one organism at 0 fails the product. A passed test speaks for one
    formula in one pack, not for its variations.

    Source: ISO-11930.
    """
    kind = np.asarray(organism_kind, float)
    known = np.isin(kind, [*OrganismKind])
    row = np.where(known, kind, 0).astype(int)
    meets_a, meets_b = (
        challenge_margin(log_count, criterion[row], deviation) for criterion in (ISO_11930_A, ISO_11930_B)
    )
    # Whatever meets A meets B, so that a missing day 7 does not hide a failure.
    return np.select(
        [~known | np.isnan(meets_b), meets_b < -_NOISE, np.isnan(meets_a), meets_a < -_NOISE],
        [np.nan, float(Grade.FAIL), np.nan, float(Grade.B)],
        default=float(Grade.A),
    )


def log_count_surviving(log_count_start: ArrayLike, time: ArrayLike, decimal_reduction: ArrayLike) -> Floats:
    r"""Return the decimal logarithm of the count that is left of a population which dies at a steady rate.

    .. math:: \log_{10} N = \log_{10} N_0 - t / D

    Parameters
    ----------
    log_count_start : array_like
        Decimal logarithm of the count at the start. [1]
    time : array_like
        Time since then. [s]
    decimal_reduction : array_like
        Time in which nine of ten die; infinite where none do. [s]

    Returns
    -------
    numpy.ndarray
        Decimal logarithm of the count left. [1]

    Notes
    -----
    One population of one sensitivity, while the preservative stays what it is. Real curves have shoulders and tails, so
    that days with few survivors are not to be drawn out from days with many; and what survives may grow again.

    Source: Chick-1908.
    """
    start, t, d = (np.asarray(x, float) for x in (log_count_start, time, decimal_reduction))
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return np.where((t >= 0) & (d > 0), start - t / d, np.nan)


def decimal_reduction_time(log_count_start: ArrayLike, log_count_later: ArrayLike, time: ArrayLike) -> Floats:
    r"""Return the time in which nine of ten die, from two counts.

    .. math:: D = \frac{t}{\log_{10} N_0 - \log_{10} N}

    Parameters
    ----------
    log_count_start : array_like
        Decimal logarithm of the count at the start. [1]
    log_count_later : array_like
        Decimal logarithm of the later count. [1]
    time : array_like
        Time between the two. [s]

    Returns
    -------
    numpy.ndarray
        Decimal reduction time. [s]

    Notes
    -----
    As `log_count_surviving`. A later count at its detection limit gives at most this time. A count that did not fall
    gives nan.

    Source: Chick-1908.
    """
    start, later, t = (np.asarray(x, float) for x in (log_count_start, log_count_later, time))
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return np.where((t > 0) & (later < start), t / (start - later), np.nan)
