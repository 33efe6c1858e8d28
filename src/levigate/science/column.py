"""Particles that settle, cream and pack in a closed container of one width, height by height through time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from levigate.science.column_flux import Particles, step
from levigate.science.constants import ArrayLike, Floats

__all__ = ["Column", "settle"]

# Nothing is left to happen when the fastest change, kept up to the end, would move less than this share of the first
# volume fraction.
_STILL = 1e-7
_FRAMES = 61


@dataclass(frozen=True, slots=True, eq=False)
class Column:
    """A standing column through time; `settle` says what each entry is."""

    heights: Floats
    times: Floats
    concentration: Floats
    clear_layer: Floats
    sediment: Floats
    cream: Floats
    clear_time: float
    mass_error: Floats
    steps: int


def settle(  # noqa: PLR0913 - a column has that many properties, and all but four are given by name
    height: float,
    duration: float,
    volume_fraction: ArrayLike,
    velocity: ArrayLike,
    *,
    hindrance_exponent: float,
    packing_fraction: float,
    packing_exponent: float = 0.0,
    diffusivity: ArrayLike = 0.0,
    cells: int = 200,
    times: ArrayLike | None = None,
    visible_layer: float = 1e-3,
) -> Column:
    r"""Return how particles of several classes settle and cream in a closed column, mixed at first.

    Each class slips through the mixture by the law of Masliyah, Lockett and Bassoon for particles that differ in size,
    hindered by the volume fraction :math:`\phi` of all of them; what they displace flows back:

    .. math::

        \frac{\partial \phi_i}{\partial t} = \frac{\partial}{\partial z}\left(\phi_i v_i
        + D_i \frac{\partial \phi_i}{\partial z}\right), \qquad v_i = u_i - \sum_j \phi_j u_j, \qquad
        u_i = v_{0i} (1 - \phi)^{n-1} \left(1 - \frac{\phi}{\phi_m}\right)^p

    and nothing moves where :math:`\phi = \phi_m`.

    Parameters
    ----------
    height : float
        Height of what stands in the container. [m]
    duration : float
        How long it stands. [s]
    volume_fraction : array_like
        Volume fraction of each class in the mixture. [1]
    velocity : array_like
        Velocity of one particle of each class alone; positive sinks. [m/s]
    hindrance_exponent : float
        Exponent n of Richardson and Zaki. [1]
    packing_fraction : float
        Volume fraction of all particles at which they touch and stay. [1]
    packing_exponent : float
        Exponent p by which the slip fades towards packing; 0 lets it end all at once, else at least 1. [1]
    diffusivity : array_like
        Diffusivity of each class by thermal motion. [m²/s]
    cells : int
        Number of cells that the height is divided into. [1]
    times : array_like, optional
        Moments to keep, rising, from 0 to the duration; 61 evenly spread ones if not given. [s]
    visible_layer : float
        Height from which on a clear layer is seen. [m]

    Returns
    -------
    heights : numpy.ndarray
        Middle of each cell above the floor. [m]
    times : numpy.ndarray
        Moments kept. [s]
    concentration : numpy.ndarray
        Volume fraction by moment, class and cell. [1]
    clear_layer : numpy.ndarray
        Height, at each moment, of what holds less than half of the first volume fraction. [m]
    sediment : numpy.ndarray
        Height, at each moment, of what is more than half way to packing and mostly sinks. [m]
    cream : numpy.ndarray
        The same of what mostly rises. [m]
    clear_time : float
        When the clear layer is first as high as the visible one; nan if not in time. [s]
    mass_error : numpy.ndarray
        Largest relative change of the volume of each class, which ought to be none. [1]
    steps : int
        Time steps taken. [1]

    Raises
    ------
    ValueError
        If an input is impossible; the sentence says which, and what would be right.

    Notes
    -----
    Holds for particles that do not stick to each other, in a liquid without yield stress that behaves as a Newtonian
    one at these speeds, away from walls; classes may differ in size, less well in density. A bed is rigid. A bed
    thinner than a cell is seen only as a cell part full. With n = 0, p = 1 one class follows Kynch's case
    :math:`v_0 \phi (1 - \phi/\phi_m)`. Thermal motion of particles whose haze above a bed is thicker than a tenth of
    a cell needs many steps, :math:`2 D t` in square cells; take fewer cells there.

    Source: Masliyah-1979, Lockett-Bassoon-1979, Kynch-1952, Richardson-Zaki-1954.
    """
    first, speed, spread = _by_class(volume_fraction, velocity, diffusivity)
    moments = np.linspace(0, duration, _FRAMES) if times is None else np.array(times, float, ndmin=1)
    for name, value in (("height", height), ("duration", duration), ("visible layer", visible_layer)):
        _require(0 < value < np.inf, f"The {name} must be above 0 and finite, not {value}.")
    _require(cells >= 3 and cells == int(cells), f"The cells must be a whole number from 3 up, not {cells}.")
    _check_crowd(float(first.sum()), hindrance_exponent, packing_fraction, packing_exponent)
    _require(
        bool(np.all(np.diff(moments, prepend=0, append=duration) >= 0)),
        f"The times must rise and lie between 0 and the duration of {duration} s.",
    )

    cell = height / cells
    particles = Particles(
        first, speed / cell, spread / cell**2, hindrance_exponent, packing_fraction, packing_exponent
    )
    frames, clear_time, steps = _march(particles, cells, [*moments, duration], visible_layer / cell)
    kept = frames[: len(moments)]
    total, sinking = kept.sum(1), kept[:, speed[:, 0] > 0].sum(1)
    room = packing_fraction - first.sum()
    packed = (total - first.sum()) / room if room > 0 else np.zeros_like(total)
    volumes = frames.mean(2) / np.where(first > 0, first, 1)[:, 0]
    return Column(
        heights=(np.arange(cells) + 0.5) * cell,
        times=moments,
        concentration=kept,
        clear_layer=cell * _extent(1 - total / first.sum()),
        sediment=cell * _extent(np.where(2 * sinking > total, packed, 0)),
        cream=cell * _extent(np.where(2 * sinking > total, 0, packed)),
        clear_time=clear_time,
        mass_error=np.abs(volumes - (first[:, 0] > 0)).max(0),
        steps=steps,
    )


def _march(
    particles: Particles, cells: int, moments: list[float], visible: float
) -> tuple[Floats, float, int]:
    """Return the volume fractions at each moment, when a visible layer is first clear, and the steps taken."""
    fraction = np.repeat(particles.first, cells, axis=1)
    whole = float(particles.first.sum())
    frames = np.empty((len(moments), *fraction.shape))
    now, cleared, clear_time, steps, moving = 0.0, 0.0, np.nan, 0, True
    for frame, moment in zip(frames, moments, strict=True):
        while moving and now < moment:
            last = fraction
            fraction, length = step(particles, last, moment - now)
            before, now = now, moment if length == moment - now else now + length
            steps += 1
            if np.isnan(clear_time):
                less, cleared = cleared, float(_extent(1 - fraction.sum(0) / whole))
                if cleared >= visible:
                    clear_time = before + (now - before) * (visible - less) / (cleared - less)
            moving = np.abs(fraction - last).max() * (moments[-1] - now) > _STILL * whole * length
        frame[:] = fraction
    return frames, clear_time, steps


def _extent(change: Floats) -> Floats:
    """Return how many cells have changed by more than half, with straight lines from cell to cell."""
    change = np.clip(change, 0, 1)
    low, high = np.minimum(change[..., 1:], change[..., :-1]), np.maximum(change[..., 1:], change[..., :-1])
    between = np.clip((high - 0.5) / np.maximum(high - low, np.abs(high - 0.5) + 1e-300), 0, 1)
    return between.sum(-1) + np.minimum(change[..., [0, -1]], 0.5).sum(-1)


def _by_class(*inputs: ArrayLike) -> list[Floats]:
    try:
        columns = np.broadcast_arrays(*(np.array(values, float, ndmin=1) for values in inputs))
    except ValueError:
        columns = []
    _require(
        len(columns) > 0 and columns[0].ndim == 1,
        "Volume fraction, velocity and diffusivity must each be a list with one number per class.",
    )
    first, velocity, diffusivity = columns
    _require(bool(np.all(np.isfinite(columns))), "Every volume fraction, velocity and diffusivity must be a number.")
    _require(bool(np.all(first >= 0) and np.any(first > 0)), "Volume fractions must be 0 or more, one of them above.")
    _require(bool(np.all(diffusivity >= 0)), "Diffusivities must be 0 or more.")
    return [np.array(column)[:, np.newaxis] for column in columns]


def _check_crowd(total: float, hindrance: float, packing: float, closing: float) -> None:
    _require(0 < packing <= 1, f"The packing fraction must be above 0 and at most 1, not {packing}.")
    _require(
        total <= packing,
        f"The particles fill {total:.3g} of the mixture; packed they could fill {packing:.3g} at most.",
    )
    _require(closing == 0 or 1 <= closing < np.inf, f"The packing exponent must be 0 or at least 1, not {closing}.")
    _require(
        (0 if closing else 1) <= hindrance < np.inf,
        f"The hindrance exponent must be at least 1, or at least 0 with a packing exponent, not {hindrance}.",
    )


def _require(holds: bool, sentence: str) -> None:
    if not holds:
        raise ValueError(sentence)
