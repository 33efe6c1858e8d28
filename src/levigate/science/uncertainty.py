"""How sure the answer of a bench test is, from how sure each of its readings was."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import numpy as np

from levigate.science.benchtests import (
    viscosity_from_clear_layer,
    viscosity_from_falling_ball,
    viscosity_from_spread,
    viscosity_from_squeeze,
    yield_stress_from_beads,
    yield_stress_from_slump,
    yield_stress_from_spread,
    yield_stress_from_squeeze,
)
from levigate.science.constants import ArrayLike, Floats
from levigate.science.flowcups import kinematic_viscosity_from_flow_cup
from levigate.science.suspension import YIELD_NUMBER_BERIS

__all__ = [
    "kinematic_viscosity_from_flow_cup_uncertainty",
    "propagate",
    "viscosity_from_clear_layer_uncertainty",
    "viscosity_from_falling_ball_uncertainty",
    "viscosity_from_spread_uncertainty",
    "viscosity_from_squeeze_uncertainty",
    "yield_stress_from_beads_uncertainty",
    "yield_stress_from_slump_uncertainty",
    "yield_stress_from_spread_uncertainty",
    "yield_stress_from_squeeze_uncertainty",
]

# Slopes are taken over this share of the standard uncertainty: small enough for a straight curve, large
# enough not to be noise.
_STEP = 0.01


# Impossible elements come out as nan or infinite by what is asked of them below; numpy need not warn as well.
@np.errstate(all="ignore")
def propagate(function: Callable[..., Floats], values: ArrayLike, uncertainties: ArrayLike) -> Floats:
    r"""Return the standard uncertainty of a result from those of the readings it was computed from.

    .. math:: u(y)^2 = \sum_i \left(\frac{\partial f}{\partial x_i}\right)^2 u(x_i)^2

    Parameters
    ----------
    function : callable
        Function of as many arrays as there are readings. [-]
    values : array_like
        Readings in the order of the function's arguments, along the last axis; each in its own unit. [-]
    uncertainties : array_like
        Standard uncertainty of each reading, along the last axis. [-]

    Returns
    -------
    numpy.ndarray
        Standard uncertainty of the result, in the result's unit; the last axis is gone. [-]

    Notes
    -----
    First order, readings independent of each other, slopes by central differences. Good where the function
    is nearly straight over each uncertainty: a reading with the eighth power should be known to 3 %. It
    knows nothing of what the formula itself leaves out. A negative uncertainty gives nan, and so does a
    reading so near the edge of the formula's range that a hundredth of its uncertainty leads outside.

    Source: JCGM-100-2008.
    """
    x, u = np.broadcast_arrays(np.asarray(values, float), np.asarray(uncertainties, float))
    readings, doubts = list(np.moveaxis(x, -1, 0)), list(np.moveaxis(u, -1, 0))
    variance = np.zeros(x.shape[:-1])
    for place, (reading, doubt) in enumerate(zip(readings, doubts, strict=True)):
        above, below = list(readings), list(readings)
        above[place], below[place] = reading + _STEP * doubt, reading - _STEP * doubt
        variance = variance + ((function(*above) - function(*below)) / (2 * _STEP)) ** 2
    return np.where((u >= 0).all(axis=-1), np.sqrt(variance), np.nan)


def _combine(function: Callable[..., Floats], values: tuple[ArrayLike, ...], doubts: tuple[ArrayLike, ...]) -> Floats:
    """Propagate readings given one by one."""
    every = np.broadcast_arrays(*(np.asarray(x, float) for x in (*values, *doubts)))
    half = len(values)
    return propagate(function, np.stack(every[:half], axis=-1), np.stack(every[half:], axis=-1))


@np.errstate(all="ignore")
def viscosity_from_falling_ball_uncertainty(  # noqa: PLR0913 - each reading stands beside its uncertainty
    diameter: ArrayLike,
    particle_density: ArrayLike,
    liquid_density: ArrayLike,
    distance: ArrayLike,
    time: ArrayLike,
    tube_diameter: ArrayLike,
    *,
    diameter_uncertainty: ArrayLike,
    particle_density_uncertainty: ArrayLike,
    liquid_density_uncertainty: ArrayLike,
    distance_uncertainty: ArrayLike,
    time_uncertainty: ArrayLike,
    tube_diameter_uncertainty: ArrayLike,
) -> Floats:
    """Return the standard uncertainty of the viscosity by a falling ball.

    Parameters
    ----------
    diameter : array_like
        Diameter of the ball. [m]
    particle_density : array_like
        Density of the ball. [kg/m³]
    liquid_density : array_like
        Density of the liquid. [kg/m³]
    distance : array_like
        Way between the two marks. [m]
    time : array_like
        Time read. [s]
    tube_diameter : array_like
        Inner diameter of the tube. [m]
    diameter_uncertainty : array_like
        Standard uncertainty of the diameter. [m]
    particle_density_uncertainty : array_like
        Standard uncertainty of the particle density. [kg/m³]
    liquid_density_uncertainty : array_like
        Standard uncertainty of the liquid density. [kg/m³]
    distance_uncertainty : array_like
        Standard uncertainty of the distance. [m]
    time_uncertainty : array_like
        Standard uncertainty of the time. [s]
    tube_diameter_uncertainty : array_like
        Standard uncertainty of the tube diameter. [m]

    Returns
    -------
    numpy.ndarray
        Standard uncertainty of the viscosity. [Pa s]

    Notes
    -----
    First order (`propagate`). The diameter of the ball counts twice, and the density of a light ball more
    than any other reading. Ball and tube out of round, a way off the axis and a temperature that drifts are
    not in it.

    Source: JCGM-100-2008.
    """
    return _combine(
        viscosity_from_falling_ball,
        (diameter, particle_density, liquid_density, distance, time, tube_diameter),
        (
            diameter_uncertainty,
            particle_density_uncertainty,
            liquid_density_uncertainty,
            distance_uncertainty,
            time_uncertainty,
            tube_diameter_uncertainty,
        ),
    )


@np.errstate(all="ignore")
def viscosity_from_clear_layer_uncertainty(  # noqa: PLR0913 - each reading stands beside its uncertainty
    layer_height: ArrayLike,
    time: ArrayLike,
    diameter: ArrayLike,
    particle_density: ArrayLike,
    liquid_density: ArrayLike,
    solid_fraction: ArrayLike,
    exponent: ArrayLike,
    *,
    layer_height_uncertainty: ArrayLike,
    time_uncertainty: ArrayLike,
    diameter_uncertainty: ArrayLike,
    particle_density_uncertainty: ArrayLike,
    liquid_density_uncertainty: ArrayLike,
    solid_fraction_uncertainty: ArrayLike,
) -> Floats:
    """Return the standard uncertainty of the viscosity by a clear layer.

    Parameters
    ----------
    layer_height : array_like
        Height of the clear layer. [m]
    time : array_like
        Time read. [s]
    diameter : array_like
        Diameter of the ball. [m]
    particle_density : array_like
        Density of the ball. [kg/m³]
    liquid_density : array_like
        Density of the liquid. [kg/m³]
    solid_fraction : array_like
        Volume of the grains over the volume of the suspension. [1]
    exponent : array_like
        Exponent of Richardson and Zaki, taken as exact. [1]
    layer_height_uncertainty : array_like
        Standard uncertainty of the layer height. [m]
    time_uncertainty : array_like
        Standard uncertainty of the time. [s]
    diameter_uncertainty : array_like
        Standard uncertainty of the diameter. [m]
    particle_density_uncertainty : array_like
        Standard uncertainty of the particle density. [kg/m³]
    liquid_density_uncertainty : array_like
        Standard uncertainty of the liquid density. [kg/m³]
    solid_fraction_uncertainty : array_like
        Standard uncertainty of the solid fraction. [1]

    Returns
    -------
    numpy.ndarray
        Standard uncertainty of the viscosity. [Pa s]

    Notes
    -----
    First order (`propagate`). The diameter counts twice and is nearly always the worst of the readings: the
    edge follows grains that nobody has measured.

    Source: JCGM-100-2008.
    """
    return _combine(
        partial(viscosity_from_clear_layer, exponent=exponent),
        (layer_height, time, diameter, particle_density, liquid_density, solid_fraction),
        (
            layer_height_uncertainty,
            time_uncertainty,
            diameter_uncertainty,
            particle_density_uncertainty,
            liquid_density_uncertainty,
            solid_fraction_uncertainty,
        ),
    )


@np.errstate(all="ignore")
def yield_stress_from_slump_uncertainty(
    slump: ArrayLike,
    height: ArrayLike,
    density: ArrayLike,
    *,
    slump_uncertainty: ArrayLike,
    height_uncertainty: ArrayLike,
    density_uncertainty: ArrayLike,
) -> Floats:
    """Return the standard uncertainty of the yield stress by the slump of a cylinder.

    Parameters
    ----------
    slump : array_like
        Fall of the top. [m]
    height : array_like
        Inner height of the mould. [m]
    density : array_like
        Density of the product. [kg/m³]
    slump_uncertainty : array_like
        Standard uncertainty of the slump. [m]
    height_uncertainty : array_like
        Standard uncertainty of the height. [m]
    density_uncertainty : array_like
        Standard uncertainty of the density. [kg/m³]

    Returns
    -------
    numpy.ndarray
        Standard uncertainty of the yield stress. [Pa]

    Notes
    -----
    First order (`propagate`). A top that is not flat and a mould lifted fast are not in it.

    Source: JCGM-100-2008.
    """
    return _combine(
        yield_stress_from_slump,
        (slump, height, density),
        (slump_uncertainty, height_uncertainty, density_uncertainty),
    )


@np.errstate(all="ignore")
def yield_stress_from_spread_uncertainty(
    volume: ArrayLike,
    density: ArrayLike,
    radius: ArrayLike,
    *,
    volume_uncertainty: ArrayLike,
    density_uncertainty: ArrayLike,
    radius_uncertainty: ArrayLike,
) -> Floats:
    """Return the standard uncertainty of the yield stress by the spread of a puddle.

    Parameters
    ----------
    volume : array_like
        Volume of the drop. [m³]
    density : array_like
        Density of the product. [kg/m³]
    radius : array_like
        Radius read. [m]
    volume_uncertainty : array_like
        Standard uncertainty of the volume. [m³]
    density_uncertainty : array_like
        Standard uncertainty of the density. [kg/m³]
    radius_uncertainty : array_like
        Standard uncertainty of the radius. [m]

    Returns
    -------
    numpy.ndarray
        Standard uncertainty of the yield stress. [Pa]

    Notes
    -----
    First order (`propagate`). The radius counts five times: read the puddle along several diameters.

    Source: JCGM-100-2008.
    """
    return _combine(
        yield_stress_from_spread,
        (volume, density, radius),
        (volume_uncertainty, density_uncertainty, radius_uncertainty),
    )


@np.errstate(all="ignore")
def viscosity_from_spread_uncertainty(
    volume: ArrayLike,
    density: ArrayLike,
    radius: ArrayLike,
    time: ArrayLike,
    *,
    volume_uncertainty: ArrayLike,
    density_uncertainty: ArrayLike,
    radius_uncertainty: ArrayLike,
    time_uncertainty: ArrayLike,
) -> Floats:
    """Return the standard uncertainty of the viscosity by the spread of a drop.

    Parameters
    ----------
    volume : array_like
        Volume of the drop. [m³]
    density : array_like
        Density of the product. [kg/m³]
    radius : array_like
        Radius read. [m]
    time : array_like
        Time read. [s]
    volume_uncertainty : array_like
        Standard uncertainty of the volume. [m³]
    density_uncertainty : array_like
        Standard uncertainty of the density. [kg/m³]
    radius_uncertainty : array_like
        Standard uncertainty of the radius. [m]
    time_uncertainty : array_like
        Standard uncertainty of the time. [s]

    Returns
    -------
    numpy.ndarray
        Standard uncertainty of the viscosity. [Pa s]

    Notes
    -----
    First order (`propagate`). The radius counts eight times: 3 % in it make 24 % in the viscosity, and past
    that the first order no longer holds.

    Source: JCGM-100-2008.
    """
    return _combine(
        viscosity_from_spread,
        (volume, density, radius, time),
        (volume_uncertainty, density_uncertainty, radius_uncertainty, time_uncertainty),
    )


@np.errstate(all="ignore")
def viscosity_from_squeeze_uncertainty(  # noqa: PLR0913 - each reading stands beside its uncertainty
    volume: ArrayLike,
    force: ArrayLike,
    radius: ArrayLike,
    time: ArrayLike,
    start_radius: ArrayLike = 0.0,
    *,
    volume_uncertainty: ArrayLike,
    force_uncertainty: ArrayLike,
    radius_uncertainty: ArrayLike,
    time_uncertainty: ArrayLike,
) -> Floats:
    """Return the standard uncertainty of the viscosity by a squeezed drop.

    Parameters
    ----------
    volume : array_like
        Volume of the drop. [m³]
    force : array_like
        Weight of the upper plate and what lies on it. [N]
    radius : array_like
        Radius read. [m]
    time : array_like
        Time read. [s]
    start_radius : array_like
        Radius of the drop when the load came on, taken as exact. [m]
    volume_uncertainty : array_like
        Standard uncertainty of the volume. [m³]
    force_uncertainty : array_like
        Standard uncertainty of the force. [N]
    radius_uncertainty : array_like
        Standard uncertainty of the radius. [m]
    time_uncertainty : array_like
        Standard uncertainty of the time. [s]

    Returns
    -------
    numpy.ndarray
        Standard uncertainty of the viscosity. [Pa s]

    Notes
    -----
    First order (`propagate`). The radius counts eight times: 3 % in it make 24 % in the viscosity, and past
    that the first order no longer holds.

    Source: JCGM-100-2008.
    """
    return _combine(
        partial(viscosity_from_squeeze, start_radius=start_radius),
        (volume, force, radius, time),
        (volume_uncertainty, force_uncertainty, radius_uncertainty, time_uncertainty),
    )


@np.errstate(all="ignore")
def yield_stress_from_squeeze_uncertainty(
    volume: ArrayLike,
    force: ArrayLike,
    radius: ArrayLike,
    *,
    volume_uncertainty: ArrayLike,
    force_uncertainty: ArrayLike,
    radius_uncertainty: ArrayLike,
) -> Floats:
    """Return the standard uncertainty of the yield stress by a squeezed cream.

    Parameters
    ----------
    volume : array_like
        Volume of the drop. [m³]
    force : array_like
        Weight of the upper plate and what lies on it. [N]
    radius : array_like
        Radius read. [m]
    volume_uncertainty : array_like
        Standard uncertainty of the volume. [m³]
    force_uncertainty : array_like
        Standard uncertainty of the force. [N]
    radius_uncertainty : array_like
        Standard uncertainty of the radius. [m]

    Returns
    -------
    numpy.ndarray
        Standard uncertainty of the yield stress. [Pa]

    Notes
    -----
    First order (`propagate`). The radius counts five times. Slip at the plates is not in it.

    Source: JCGM-100-2008.
    """
    return _combine(
        yield_stress_from_squeeze,
        (volume, force, radius),
        (volume_uncertainty, force_uncertainty, radius_uncertainty),
    )


@np.errstate(all="ignore")
def yield_stress_from_beads_uncertainty(  # noqa: PLR0913 - each reading stands beside its uncertainty
    diameter_held: ArrayLike,
    diameter_sunk: ArrayLike,
    particle_density: ArrayLike,
    liquid_density: ArrayLike,
    criterion: ArrayLike = YIELD_NUMBER_BERIS,
    *,
    diameter_held_uncertainty: ArrayLike,
    diameter_sunk_uncertainty: ArrayLike,
    particle_density_uncertainty: ArrayLike,
    liquid_density_uncertainty: ArrayLike,
) -> Floats:
    r"""Return the standard uncertainty of the yield stress by beads that stay and beads that sink.

    The yield stress lies anywhere between the two that the beads mark, which alone makes

    .. math:: u = \frac{\tau_\mathrm{sunk} - \tau_\mathrm{held}}{\sqrt{12}}

    Parameters
    ----------
    diameter_held : array_like
        Diameter of the largest bead that stayed. [m]
    diameter_sunk : array_like
        Diameter of the smallest bead that sank or rose. [m]
    particle_density : array_like
        Density of the bead. [kg/m³]
    liquid_density : array_like
        Density of the liquid. [kg/m³]
    criterion : array_like
        Dimensionless yield stress at which a bead stops, taken as exact. [1]
    diameter_held_uncertainty : array_like
        Standard uncertainty of the diameter held. [m]
    diameter_sunk_uncertainty : array_like
        Standard uncertainty of the diameter sunk. [m]
    particle_density_uncertainty : array_like
        Standard uncertainty of the particle density. [kg/m³]
    liquid_density_uncertainty : array_like
        Standard uncertainty of the liquid density. [kg/m³]

    Returns
    -------
    numpy.ndarray
        Standard uncertainty of the yield stress. [Pa]

    Notes
    -----
    The interval, taken as equally likely throughout, and to first order the readings (`propagate`). The
    criterion may be off by far more than all of these.

    Source: JCGM-100-2008.
    """
    held, sunk = np.asarray(diameter_held, float), np.asarray(diameter_sunk, float)

    from_readings = _combine(
        partial(yield_stress_from_beads, criterion=criterion),
        (held, sunk, particle_density, liquid_density),
        (
            diameter_held_uncertainty,
            diameter_sunk_uncertainty,
            particle_density_uncertainty,
            liquid_density_uncertainty,
        ),
    )
    middle = yield_stress_from_beads(held, sunk, particle_density, liquid_density, criterion)
    from_interval = middle * (sunk - held) / ((sunk + held) / 2) / np.sqrt(12)
    return np.asarray(np.hypot(from_readings, from_interval))


@np.errstate(all="ignore")
def kinematic_viscosity_from_flow_cup_uncertainty(cup: str, time: ArrayLike, *, time_uncertainty: ArrayLike) -> Floats:
    """Return the standard uncertainty of the kinematic viscosity by a flow cup.

    Parameters
    ----------
    cup : str
        Name of the cup, a key of `levigate.science.flowcups.FLOW_CUPS`. [-]
    time : array_like
        Time read. [s]
    time_uncertainty : array_like
        Standard uncertainty of the time. [s]

    Returns
    -------
    numpy.ndarray
        Standard uncertainty of the kinematic viscosity. [m²/s]

    Notes
    -----
    First order (`propagate`), from the stopwatch alone. How far the cup itself is off is not in it, least
    of all for a Zahn cup that was not checked with an oil.

    Source: JCGM-100-2008.
    """
    return _combine(partial(kinematic_viscosity_from_flow_cup, cup), (time,), (time_uncertainty,))
