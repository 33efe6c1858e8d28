"""Particles that settle, cream and pack in a closed container of one width, height by height through time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from levigate.science.column_flux import Particles
from levigate.science.constants import ArrayLike, Floats

__all__ = ["Column"]

# Nothing is left to happen when the fastest change, kept up to the end, would move less than this share of
# what was there at first.
_STILL = 1e-7
_FRAMES = 61


@dataclass(frozen=True, slots=True, eq=False)
class Column:
    """A standing column through time, one frame per moment kept."""

    #: Middle of each cell above the floor. [m]
    heights: Floats
    #: Moments kept. [s]
    times: Floats
    #: Volume of each class over the volume of the mixture, by moment, class and cell. [1]
    concentration: Floats
    #: Height of what holds less than half of the solids that it held at first. [m]
    clear_layer: Floats
    #: Height of what is more than half way from the first solids to packing, and mostly sinks. [m]
    sediment: Floats
    #: The same of what mostly rises. [m]
    cream: Floats
    #: When the clear layer is first high enough to be seen; nan if it never is. [s]
    clear_time: float
    #: Largest change of the volume of each class, as a share of it; it ought to be none. [1]
    mass_error: Floats
    #: Steps taken. [1]
    steps: int

    @classmethod
    def settle(  # noqa: PLR0913 - a column has that many properties; half of them can be left out
        cls,
        column_height: float,
        duration: float,
        solid_fraction: ArrayLike,
        velocity: ArrayLike,
        *,
        exponent: float,
        packing_fraction: float,
        packing_exponent: float = 0.0,
        diffusion_coefficient: ArrayLike = 0.0,
        cells: int = 200,
        times: ArrayLike | None = None,
        visible_height: float = 1e-3,
    ) -> Column:
        r"""Return how particles of several classes, mixed at first, settle and cream in a closed column.

        Each class slips through the mixture, hindered by the volume fraction :math:`\phi` of all of them, and
        what they displace flows back (Masliyah, Lockett and Bassoon):

        .. math::

            \frac{\partial \phi_i}{\partial t} = \frac{\partial}{\partial z}\left(\phi_i v_i
            + D_i \frac{\partial \phi_i}{\partial z}\right), \quad v_i = u_i - \sum_j \phi_j u_j, \quad
            u_i = v_{0i} (1 - \phi)^{n-1} \left(1 - \frac{\phi}{\phi_m}\right)^p

        and nothing slips into what is packed, :math:`\phi = \phi_m`.

        Parameters
        ----------
        column_height : float
            Height of what stands in the container. [m]
        duration : float
            How long it stands. [s]
        solid_fraction : array_like
            Volume of each class of particles over the volume of the mixture. [1]
        velocity : array_like
            Velocity of one particle of each class alone; positive sinks. [m/s]
        exponent : float
            Exponent n of Richardson and Zaki. [1]
        packing_fraction : float
            Share of particles at which they touch and stay. [1]
        packing_exponent : float
            Exponent p by which the slip fades towards packing; 0 where it ends at once, else from 1 up. [1]
        diffusion_coefficient : array_like
            Diffusion coefficient of each class by thermal motion. [m²/s]
        cells : int
            Number of cells that the height is divided into. [1]
        times : array_like, optional
            Moments to keep, rising, from 0 to the duration; 61 evenly spread ones if not given. [s]
        visible_height : float
            Height from which on a clear layer is seen. [m]

        Returns
        -------
        Column
            The column at each moment. [-]

        Raises
        ------
        ValueError
            If an input is impossible; the sentence says which, and what would be right.

        Notes
        -----
        Holds for particles that do not cling, in a liquid without yield stress that flows as a Newtonian one
        at these speeds. Classes may differ in size; in density only while the mixture is thin, for what they
        add to its density is left out. A bed is rigid, and one thinner than a cell shows as a cell part full.
        Thermal motion is Fick's; a haze thinner than a cell is not lifted off its bed. With n = 0 and p = 1
        one class follows the law :math:`v_0 \phi (1 - \phi/\phi_m)`.

        Source: Masliyah-1979, Lockett-Bassoon-1979, Richardson-Zaki-1954.
        """
        first, speed, spread = _by_class(solid_fraction, velocity, diffusion_coefficient)
        _check_crowd(float(first.sum()), exponent, packing_fraction, packing_exponent)
        _require(0 < column_height < np.inf, f"The column height must be above 0, not {column_height}.")
        _require(0 < duration < np.inf, f"The duration must be above 0, not {duration}.")
        _require(0 < visible_height < np.inf, f"The visible height must be above 0, not {visible_height}.")
        _require(cells >= 3 and cells % 1 == 0, f"The cells must be a whole number from 3 up, not {cells}.")
        kept = np.linspace(0, duration, _FRAMES) if times is None else np.array(times, float).ravel()
        in_order = np.all(np.diff(kept, prepend=0, append=duration) >= 0)
        _require(bool(in_order), f"The times must rise and lie between 0 and the duration of {duration:g} s.")

        cell = column_height / cells
        law = (float(exponent), float(packing_fraction), float(packing_exponent))
        particles = Particles(first, speed / cell, spread / cell**2, *law)
        frames, clear_time, steps = _stand(particles, int(cells), [*kept, duration], visible_height / cell)
        return cls(
            heights=np.asarray((np.arange(cells) + 0.5) * cell),
            times=kept,
            concentration=frames[:-1],
            **{name: cell * extent for name, extent in _layers(particles, frames[:-1]).items()},
            clear_time=clear_time,
            mass_error=_mass_error(particles, frames),
            steps=steps,
        )


def _stand(
    particles: Particles,
    cells: int,
    moments: list[float],
    visible: float,
) -> tuple[Floats, float, int]:
    """Return the volume fractions at each moment, when a layer is first seen clear, and the steps taken."""
    fraction = np.repeat(particles.first, cells, axis=1)
    whole = float(particles.first.sum())
    # While no cell has cleared by this much, no layer can be seen, and there is no need to measure it.
    hidden = whole * (1 - min(visible / 2, 0.5))
    frames = np.empty((len(moments), *fraction.shape))
    now, clear_time, steps, moving = 0.0, np.nan, 0, True
    for frame, moment in zip(frames, moments, strict=True):
        while moving and now < moment:
            before, then = fraction, now
            fraction, length = particles.step(before, moment - now)
            now = moment if length == moment - now else now + length
            steps += 1
            if np.isnan(clear_time) and fraction.sum(0).min() <= hidden:
                less, cleared = (float(_extent(1 - part.sum(0) / whole)) for part in (before, fraction))
                if cleared >= visible:
                    clear_time = then + (now - then) * (visible - less) / (cleared - less)
            moving = bool(np.abs(fraction - before).max() * (moments[-1] - now) > _STILL * whole * length)
        frame[:] = fraction
    return frames, clear_time, steps


def _layers(particles: Particles, frames: Floats) -> dict[str, Floats]:
    """Return the height of each layer in cells."""
    first = particles.first.sum()
    total, sinking = frames.sum(1), frames[:, particles.speed[:, 0] > 0].sum(1)
    room = particles.packing_fraction - first
    packed = (total - first) / room if room > 0 else np.zeros_like(total)
    mostly_sinks = 2 * sinking > total
    return {
        "clear_layer": _extent(1 - total / first),
        "sediment": _extent(np.where(mostly_sinks, packed, 0)),
        "cream": _extent(np.where(mostly_sinks, 0, packed)),
    }


def _extent(change: Floats) -> Floats:
    """Return how many cells have changed by more than half, with straight lines from cell to cell."""
    change = np.clip(change, 0, 1)
    low, high = np.minimum(change[..., 1:], change[..., :-1]), np.maximum(change[..., 1:], change[..., :-1])
    changed = np.clip((high - 0.5) / np.maximum(high - low, np.abs(high - 0.5) + 1e-300), 0, 1)
    # A wall has no neighbour to draw a line to: there the cell is taken as cut in two.
    return np.asarray(changed.sum(-1) + np.minimum(change[..., [0, -1]], 0.5).sum(-1))


def _mass_error(particles: Particles, frames: Floats) -> Floats:
    first = particles.first[:, 0]
    lost = np.abs(frames.mean(2) - first).max(0)
    return np.asarray(lost / np.where(first > 0, first, 1))


def _by_class(*inputs: ArrayLike) -> list[Floats]:
    """Return fractions, velocities and diffusion coefficients as columns with one row per class."""
    given = [np.array(values, float, ndmin=1) for values in inputs]
    _require(
        all(values.ndim == 1 and len(values) in (1, len(given[0])) for values in given),
        "The velocity and the diffusion coefficient must have as many numbers as the solid fraction, or one.",
    )
    _require(
        all(bool(np.all(np.isfinite(values))) for values in given),
        "The solid fraction, velocity and diffusion coefficient must be finite numbers.",
    )
    first, velocity, diffusion = (np.broadcast_to(values, given[0].shape)[:, np.newaxis] for values in given)
    _require(
        bool(np.all(first >= 0) and np.any(first > 0)),
        "The solid fractions must be 0 or more, and one of them above 0.",
    )
    _require(bool(np.all(diffusion >= 0)), "The diffusion coefficients must be 0 or more.")
    return [first, velocity, diffusion]


def _check_crowd(total: float, exponent: float, packing: float, packing_exponent: float) -> None:
    _require(0 < packing <= 1, f"The packing fraction must be above 0 and at most 1, not {packing}.")
    _require(
        total <= packing * (1 + 1e-12),
        f"The solids fill {total:.3g} of the mixture, more than the {packing:.3g} at which they are packed.",
    )
    _require(
        packing_exponent == 0 or 1 <= packing_exponent < np.inf,
        f"The packing exponent must be 0 or at least 1, not {packing_exponent}.",
    )
    least = 0 if packing_exponent else 1
    _require(least <= exponent < np.inf, f"The exponent must be at least {least} and finite, not {exponent}.")


def _require(holds: bool, sentence: str) -> None:
    if not holds:
        raise ValueError(sentence)
