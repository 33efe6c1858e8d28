"""Filling: how many containers, how much in each, whether the law is kept, how long one lasts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from levigate.science.constants import ArrayLike, Floats
from levigate.science.metrology import tolerable_negative_error, tolerable_negative_error_volume

__all__ = [
    "FillVerdict",
    "containers_best_mix",
    "containers_filled",
    "density_at_temperature",
    "judge_fill_mass",
    "judge_fill_volume",
    "mass_for_volume",
    "mass_left_over",
    "mass_left_over_mix",
    "mean_criterion_factor",
    "time_container_lasts",
    "volume_at_temperature",
]

# 0.3 kg in tenths must fill three containers, though 0.3 / 0.1 is a last bit below 3.
_EDGE = 1e-9
#: Confidence at which the mean of a sample is held against the nominal quantity, 76/211/EEC, annex II, 2.3.1.
_CONFIDENCE = 0.995
# Beyond this many ways to share out a batch the list would not fit in memory.
_MOST_WAYS = 5_000_000


@dataclass(frozen=True, slots=True)
class FillVerdict:
    """What the weighings of filled packs say; quantities in the unit of the nominal one, verdicts 1 or 0."""

    #: Mean content. [kg or m³]
    mean: Floats
    #: Standard deviation of the contents; nan for one pack. [kg or m³]
    deviation: Floats
    #: Tolerable negative error of one pack. [kg or m³]
    tolerable_error: Floats
    #: Packs short by more than that. [1]
    short: Floats
    #: Packs short by more than twice that. [1]
    far_short: Floats
    #: Mean that a sample must reach for its batch to pass; nan for one pack. [kg or m³]
    mean_limit: Floats
    #: First rule: the mean is not below the nominal quantity. [1]
    average_kept: Floats
    #: Second rule: few packs are short. [1]
    few_short: Floats
    #: Third rule: no pack is far short. [1]
    none_far_short: Floats
    #: Test of a sample: the mean is not below its limit. [1]
    mean_accepted: Floats


def containers_filled(batch_mass: ArrayLike, fill_mass: ArrayLike) -> Floats:
    r"""Return how many containers a batch fills to the full.

    .. math:: n = \lfloor m / m_f \rfloor

    Parameters
    ----------
    batch_mass : array_like
        Mass of the batch that can be filled, what clings to vessel and nozzle taken off. [kg]
    fill_mass : array_like
        Mass that goes into one container. [kg]

    Returns
    -------
    numpy.ndarray
        Number of containers. [1]

    Notes
    -----
    Counting; a batch that falls short of a container by a billionth of itself still fills it. A negative
    batch, or a fill not above zero, gives nan.

    Source: definition.
    """
    batch, fill = np.asarray(batch_mass, float), np.asarray(fill_mass, float)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return np.where((batch >= 0) & (fill > 0), np.floor(batch * (1 + _EDGE) / fill), np.nan)


def mass_left_over(batch_mass: ArrayLike, fill_mass: ArrayLike) -> Floats:
    r"""Return what is left of a batch once its containers are full.

    .. math:: m_r = m - n m_f

    Parameters
    ----------
    batch_mass : array_like
        Mass of the batch that can be filled. [kg]
    fill_mass : array_like
        Mass that goes into one container. [kg]

    Returns
    -------
    numpy.ndarray
        Mass left over. [kg]

    Notes
    -----
    As `containers_filled`; less than a billionth of the batch counts as nothing.

    Source: definition.
    """
    fill = np.asarray(fill_mass, float)
    count = containers_filled(batch_mass, fill)
    return mass_left_over_mix(batch_mass, fill[..., np.newaxis], count[..., np.newaxis])


def mass_left_over_mix(batch_mass: ArrayLike, fill_mass: ArrayLike, container_count: ArrayLike) -> Floats:
    r"""Return what is left of a batch once containers of several sizes are full.

    .. math:: m_r = m - \sum_i n_i m_i

    Parameters
    ----------
    batch_mass : array_like
        Mass of the batch that can be filled, without an axis for the sizes. [kg]
    fill_mass : array_like
        Mass that goes into one container of each size, along the last axis. [kg]
    container_count : array_like
        Number of containers of each size, along the last axis. [1]

    Returns
    -------
    numpy.ndarray
        Mass left over; the axis of the sizes is gone. [kg]

    Notes
    -----
    Counting. Containers that ask for more than the batch, by more than a billionth of it, give nan.

    Source: definition.
    """
    batch, fill, count = (np.asarray(x, float) for x in (batch_mass, fill_mass, container_count))
    with np.errstate(over="ignore", invalid="ignore"):
        left = batch - (fill * count).sum(axis=-1)
    noise = _EDGE * batch
    possible = (batch >= 0) & (fill > 0).all(axis=-1) & (count >= 0).all(axis=-1) & (left >= -noise)
    return np.where(possible, np.where(left > noise, left, 0.0), np.nan)


def containers_best_mix(
    batch_mass: ArrayLike, fill_mass: ArrayLike, container_stock: ArrayLike | None = None
) -> Floats:
    r"""Return how many containers of each size to fill so that the least is left, in the fewest containers.

    .. math:: \min_n \Big(m - \sum_i n_i m_i,\ \sum_i n_i\Big), \quad \sum_i n_i m_i \le m,
              \quad 0 \le n_i \le N_i

    in that order. Of two mixes that are equal in both, the one with fewer sizes.

    Parameters
    ----------
    batch_mass : array_like
        Mass of the batch that can be filled, without an axis for the sizes. [kg]
    fill_mass : array_like
        Mass that goes into one container of each size, along the last axis. [kg]
    container_stock : array_like, optional
        Number of containers of each size at hand, along the last axis; any number if left out. [1]

    Returns
    -------
    numpy.ndarray
        Number of containers of each size, along the last axis. [1]

    Notes
    -----
    Exact: every way to fill all sizes but the smallest is tried, and of the smallest as many as still go.
    Meant for two or three sizes. What is left is compared in billionths of the batch. More than five million
    ways, such as ten kilograms in three sizes of 2 g, gives nan.

    Source: definition.
    """
    fill = np.asarray(fill_mass, float)
    stock = np.asarray(np.inf if container_stock is None else container_stock, float)
    fill, stock, batch = np.broadcast_arrays(fill, stock, np.asarray(batch_mass, float)[..., np.newaxis])
    best = np.full(fill.shape, np.nan)
    for row in np.ndindex(fill.shape[:-1]):
        best[row] = _best_mix(float(batch[row][0]), fill[row], stock[row])
    return best


def _best_mix(batch: float, fill: Floats, stock: Floats) -> Floats:
    """Return the best counts for one batch, sizes in the order given."""
    nothing = np.full(fill.shape, np.nan)
    if not (np.isfinite(batch) and batch >= 0 and np.all(np.isfinite(fill) & (fill > 0)) and np.all(stock >= 0)):
        return nothing
    largest_first = np.argsort(-fill, kind="stable")
    noise = _EDGE * batch
    rest, counts = np.array([batch]), np.zeros((1, 0))
    for place, size in enumerate(largest_first):
        most = np.minimum(np.floor((rest + noise) / fill[size]), np.floor(stock[size]))
        if place == len(largest_first) - 1:
            # Of the last size, fewer than still go would only leave more over.
            taken = most
        else:
            ways = most.astype(np.int64) + 1
            if ways.sum() > _MOST_WAYS:
                return nothing
            first = np.repeat(np.cumsum(ways) - ways, ways)
            taken = np.arange(len(first)) - first.astype(float)
            rest, counts = np.repeat(rest, ways), np.repeat(counts, ways, axis=0)
        rest = rest - taken * fill[size]
        counts = np.column_stack([counts, taken])
    left = np.round(rest / noise) if noise > 0 else rest
    order = np.lexsort(((counts > 0).sum(axis=1), counts.sum(axis=1), np.abs(left)))
    best = nothing
    best[largest_first] = counts[order[0]]
    return best


def density_at_temperature(
    density: ArrayLike, density_temperature: ArrayLike, temperature: ArrayLike, expansion: ArrayLike
) -> Floats:
    r"""Return the density at one temperature from that at another.

    .. math:: \rho(T) = \rho_0\, e^{-\beta (T - T_0)}

    Parameters
    ----------
    density : array_like
        Density as measured. [kg/m³]
    density_temperature : array_like
        Temperature at which it was measured. [K]
    temperature : array_like
        Temperature asked about. [K]
    expansion : array_like
        Relative growth of the volume with temperature, mean over the range. [1/K]

    Returns
    -------
    numpy.ndarray
        Density at that temperature. [kg/m³]

    Notes
    -----
    Exact for a constant coefficient, and there and back gives the same number, which the straight line of
    school books does not: over 50 K at 0.0007 the two differ by 0.06 %. Water's coefficient is anything but
    constant (0.0002 at 20 °C, 0.0006 at 75 °C). What sets in between shrinks by some percent more, and
    trapped air goes its own way.

    Source: definition.
    """
    rho, known, asked, beta = (np.asarray(x, float) for x in (density, density_temperature, temperature, expansion))
    possible = (rho > 0) & (known > 0) & (asked > 0) & np.isfinite(beta)
    with np.errstate(over="ignore", invalid="ignore"):
        return np.where(possible, rho * np.exp(-beta * (asked - known)), np.nan)


def volume_at_temperature(
    volume: ArrayLike, volume_temperature: ArrayLike, temperature: ArrayLike, expansion: ArrayLike
) -> Floats:
    r"""Return the volume at one temperature of what has a given volume at another.

    .. math:: V(T) = V_0\, e^{\beta (T - T_0)}

    Parameters
    ----------
    volume : array_like
        Volume as stated or measured. [m³]
    volume_temperature : array_like
        Temperature at which it is stated; 20 °C for a declared content. [K]
    temperature : array_like
        Temperature asked about, such as that of filling. [K]
    expansion : array_like
        Relative growth of the volume with temperature, mean over the range. [1/K]

    Returns
    -------
    numpy.ndarray
        Volume at that temperature. [m³]

    Notes
    -----
    As `density_at_temperature`. A balm poured hot needs this much room, and sinks back as it cools.

    Source: definition.
    """
    v, known, asked, beta = (np.asarray(x, float) for x in (volume, volume_temperature, temperature, expansion))
    possible = (v >= 0) & (known > 0) & (asked > 0) & np.isfinite(beta)
    with np.errstate(over="ignore", invalid="ignore"):
        return np.where(possible, v * np.exp(beta * (asked - known)), np.nan)


def mass_for_volume(
    nominal_volume: ArrayLike,
    density: ArrayLike,
    density_temperature: ArrayLike,
    expansion: ArrayLike,
    stated_temperature: ArrayLike = 293.15,
) -> Floats:
    r"""Return the mass that is a stated volume, whatever the temperature at which it is filled.

    .. math:: m = V \rho_0\, e^{-\beta (T_s - T_0)}

    Parameters
    ----------
    nominal_volume : array_like
        Volume printed on the pack. [m³]
    density : array_like
        Density as measured, for example of the bulk as it is filled. [kg/m³]
    density_temperature : array_like
        Temperature at which it was measured. [K]
    expansion : array_like
        Relative growth of the volume with temperature, mean over the range. [1/K]
    stated_temperature : array_like
        Temperature at which the volume is meant; 20 °C by law in the EU. [K]

    Returns
    -------
    numpy.ndarray
        Mass to weigh into the pack. [kg]

    Notes
    -----
    As `density_at_temperature`. A mass does not care how hot it is, so that filling by weight needs no more.

    Source: EU-76-211.
    """
    v = np.asarray(nominal_volume, float)
    rho = density_at_temperature(density, density_temperature, stated_temperature, expansion)
    with np.errstate(over="ignore", invalid="ignore"):
        return np.where(v >= 0, v * rho, np.nan)


def mean_criterion_factor(sample_size: ArrayLike) -> Floats:
    r"""Return how many standard deviations the mean of a sample may lie below the nominal quantity.

    .. math:: \frac{t_{0.995}(n - 1)}{\sqrt n}

    Parameters
    ----------
    sample_size : array_like
        Number of packs weighed. [1]

    Returns
    -------
    numpy.ndarray
        Factor of the standard deviation. [1]

    Notes
    -----
    Student's quantile, one-sided. The law tests samples of 20 (packs opened), 30 or 50 out of batches of 100
    or more; of fewer all are weighed, and their mean must reach the nominal quantity itself. Fewer than two,
    or no whole number, gives nan.

    Source: EU-76-211-II.
    """
    from scipy.special import stdtrit

    n = np.asarray(sample_size, float)
    possible = (n >= 2) & (n == np.floor(n)) & np.isfinite(n)
    safe = np.where(possible, n, 2.0)
    return np.where(possible, stdtrit(safe - 1, _CONFIDENCE) / np.sqrt(safe), np.nan)


def judge_fill_mass(
    fill_mass: ArrayLike, nominal_mass: ArrayLike, share_short_allowed: ArrayLike = 0.025
) -> FillVerdict:
    r"""Return what weighed packs say about the rules of the e mark.

    .. math:: \bar m \ge m_n, \quad
              \frac{\#\{m_i < m_n - e\}}{n} \le x, \quad
              m_i \ge m_n - 2 e, \quad
              \bar m \ge m_n - \frac{t_{0.995}(n-1)}{\sqrt n}\, s

    Parameters
    ----------
    fill_mass : array_like
        Mass found in each pack, along the last axis. [kg]
    nominal_mass : array_like
        Mass printed on the pack, without an axis for the packs. [kg]
    share_short_allowed : array_like
        Share of packs that may be short by more than the tolerable error, without an axis for the packs. [1]

    Returns
    -------
    mean : numpy.ndarray
        Mean content. [kg]
    deviation : numpy.ndarray
        Standard deviation of the contents. [kg]
    tolerable_error : numpy.ndarray
        Tolerable negative error of one pack. [kg]
    short : numpy.ndarray
        Number of packs short by more than that. [1]
    far_short : numpy.ndarray
        Number of packs short by more than twice that. [1]
    mean_limit : numpy.ndarray
        Mean that a sample must reach for its batch to pass. [kg]
    average_kept : numpy.ndarray
        1 where the mean is not below the nominal quantity, else 0. [1]
    few_short : numpy.ndarray
        1 where no more packs are short than are allowed, else 0. [1]
    none_far_short : numpy.ndarray
        1 where no pack is short by more than twice the tolerable error, else 0. [1]
    mean_accepted : numpy.ndarray
        1 where the mean reaches its limit, else 0. [1]

    Notes
    -----
    The first three are the packer's own duties for the whole batch; the fourth is the test by which an
    inspector judges a batch from a sample, and is milder. "Few" is 2.5 %, the usual advice to packers, which
    means none of fewer than 40 packs. The British reference test passes a batch of fewer than 100 with 5 %
    short, samples with 3 of 50, 5 of 80 or 7 of 125; opened packs with 1 of 20. Outside 5 g to 10 kg, and
    where a reading is missing, all is nan.

    Source: EU-76-211, EU-76-211-II, UK-SI-2006-659.
    """
    nominal = np.asarray(nominal_mass, float)
    return _judge(np.asarray(fill_mass, float), nominal, tolerable_negative_error(nominal), share_short_allowed)


def judge_fill_volume(
    fill_mass: ArrayLike,
    nominal_volume: ArrayLike,
    density: ArrayLike,
    share_short_allowed: ArrayLike = 0.025,
) -> FillVerdict:
    """Return what weighed packs say about the rules of the e mark where the pack states a volume.

    Parameters
    ----------
    fill_mass : array_like
        Mass found in each pack, along the last axis. [kg]
    nominal_volume : array_like
        Volume printed on the pack, meant at 20 °C, without an axis for the packs. [m³]
    density : array_like
        Density at 20 °C, without an axis for the packs. [kg/m³]
    share_short_allowed : array_like
        Share of packs that may be short by more than the tolerable error, without an axis for the packs. [1]

    Returns
    -------
    mean : numpy.ndarray
        Mean content. [m³]
    deviation : numpy.ndarray
        Standard deviation of the contents. [m³]
    tolerable_error : numpy.ndarray
        Tolerable negative error of one pack. [m³]
    short : numpy.ndarray
        Number of packs short by more than that. [1]
    far_short : numpy.ndarray
        Number of packs short by more than twice that. [1]
    mean_limit : numpy.ndarray
        Mean that a sample must reach for its batch to pass. [m³]
    average_kept : numpy.ndarray
        1 where the mean is not below the nominal quantity, else 0. [1]
    few_short : numpy.ndarray
        1 where no more packs are short than are allowed, else 0. [1]
    none_far_short : numpy.ndarray
        1 where no pack is short by more than twice the tolerable error, else 0. [1]
    mean_accepted : numpy.ndarray
        1 where the mean reaches its limit, else 0. [1]

    Notes
    -----
    As `judge_fill_mass`, from 5 mL to 10 L. As good as the density, which trapped air lowers.

    Source: EU-76-211, EU-76-211-II, UK-SI-2006-659.
    """
    rho = np.asarray(density, float)[..., np.newaxis]
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        volumes = np.where(rho > 0, np.asarray(fill_mass, float) / rho, np.nan)
    nominal = np.asarray(nominal_volume, float)
    return _judge(volumes, nominal, tolerable_negative_error_volume(nominal), share_short_allowed)


def _judge(contents: Floats, nominal: Floats, error: Floats, allowed: ArrayLike) -> FillVerdict:
    few = np.asarray(allowed, float)
    axes = np.broadcast_shapes(contents.shape[:-1], nominal.shape, few.shape)
    count = contents.shape[-1]
    possible = (contents >= 0).all(axis=-1) & np.isfinite(error) & (few >= 0) & (few <= 1) & (count > 0)

    def known(value: ArrayLike) -> Floats:
        return np.where(np.broadcast_to(possible, axes), value, np.nan)

    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        mean = contents.sum(axis=-1) / np.float64(count)
        deviation = np.sqrt(((contents - mean[..., np.newaxis]) ** 2).sum(axis=-1) / np.float64(count - 1))
        lacking = nominal[..., np.newaxis] - contents
        limit = known(nominal - mean_criterion_factor(count) * deviation)
    # A reading just on a limit keeps it, whatever the last bit of the difference.
    short = (lacking > (error * (1 + _EDGE))[..., np.newaxis]).sum(axis=-1)
    far_short = (lacking > (2 * error * (1 + _EDGE))[..., np.newaxis]).sum(axis=-1)
    accepted = np.where(np.isnan(limit), np.nan, mean >= limit - _EDGE * nominal)
    return FillVerdict(
        mean=known(mean),
        deviation=known(deviation),
        tolerable_error=known(error),
        short=known(short),
        far_short=known(far_short),
        mean_limit=limit,
        average_kept=known(mean >= nominal * (1 - _EDGE)),
        few_short=known(short <= few * count * (1 + _EDGE)),
        none_far_short=known(far_short == 0),
        mean_accepted=known(accepted),
    )


def time_container_lasts(fill_mass: ArrayLike, residue_share: ArrayLike, mass_rate: ArrayLike) -> Floats:
    r"""Return how long a container lasts.

    .. math:: t = \frac{(1 - x_r) m}{\dot m}

    Parameters
    ----------
    fill_mass : array_like
        Mass in one container. [kg]
    residue_share : array_like
        Share of it that stays inside. [1]
    mass_rate : array_like
        Mass that a person uses, a day's amount over the seconds of a day. [kg/s]

    Returns
    -------
    numpy.ndarray
        Time until it is empty. [s]

    Notes
    -----
    A definition. The published amounts a day are made for safety sums and high: 1.54 g of face cream a day
    empties 30 g in 19 days. No use, or nothing in it, gives nan.

    Source: SCCS-2023.
    """
    mass, left, rate = (np.asarray(x, float) for x in (fill_mass, residue_share, mass_rate))
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return np.where((mass > 0) & (left >= 0) & (left < 1) & (rate > 0), (1 - left) * mass / rate, np.nan)
