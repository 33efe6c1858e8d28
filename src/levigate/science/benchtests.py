"""Bench tests that need no laboratory: what a ball, a puddle, a drop or a clear layer says of a product."""

from __future__ import annotations

import numpy as np

from levigate.science.constants import STANDARD_GRAVITY, ArrayLike, Floats
from levigate.science.suspension import (
    YIELD_NUMBER_BERIS,
    hindered_factor_richardson_zaki,
    reynolds_number,
    yield_stress_to_hold,
)

__all__ = [
    "slump_of_cylinder",
    "spread_radius",
    "viscosity_from_clear_layer",
    "viscosity_from_falling_ball",
    "viscosity_from_spread",
    "viscosity_from_squeeze",
    "wall_factor_faxen",
    "yield_stress_from_beads",
    "yield_stress_from_slump",
    "yield_stress_from_spread",
    "yield_stress_from_squeeze",
]

# Inertia adds 3/16 Re to the drag (Oseen): 5 % here, of which the wall leaves less.
_BALL_REYNOLDS = 0.25
# Faxen's series is 0.3 % from the exact solution here, 7 % at one half (Haberman and Sayre, from memory).
_WALL_RATIO = 0.3
# Mean thickness over radius up to which a puddle or a squeezed drop is called thin.
_THIN = 0.1
# Huppert (1982): front of a drop of constant volume, (1024 / 81 pi^3)^(1/8) = 0.8939, to the eighth power.
_FRONT_EIGHTH = 1024 / (81 * np.pi**3)


# Impossible elements come out as nan or infinite by what is asked of them below; numpy need not warn as well.
@np.errstate(all="ignore")
def wall_factor_faxen(diameter: ArrayLike, tube_diameter: ArrayLike) -> Floats:
    r"""Return by how much the wall of a tube slows a ball that sinks along its middle.

    .. math:: f = 1 - 2.104 \lambda + 2.09 \lambda^3 - 0.95 \lambda^5, \qquad \lambda = d/D

    Parameters
    ----------
    diameter : array_like
        Diameter of the ball. [m]
    tube_diameter : array_like
        Inner diameter of the tube; infinite for none. [m]

    Returns
    -------
    numpy.ndarray
        Velocity in the tube over that in a wide vessel. [1]

    Notes
    -----
    Creeping flow, ball on the axis and at least one radius of the tube from the bottom (closer, the end
    adds more than 0.5 %). For a ball up to 0.3 of the tube, where it is 0.3 % from the exact solution
    (remembered, not seen); nan above. Ladenburg's older 1/(1 + 2.1 d/D) gives 0.826 instead of 0.792 at a
    tenth.

    Source: Faxen-1922, Tanner-1963 (ends), Haberman-Sayre-1958 (exact solution).
    """
    d, tube = np.asarray(diameter, float), np.asarray(tube_diameter, float)
    possible = (d > 0) & (tube > 0)
    ratio = d / tube
    factor = 1 - 2.104 * ratio + 2.09 * ratio**3 - 0.95 * ratio**5
    return np.where(possible & (ratio <= _WALL_RATIO), factor, np.nan)


@np.errstate(all="ignore")
def viscosity_from_falling_ball(
    diameter: ArrayLike,
    particle_density: ArrayLike,
    liquid_density: ArrayLike,
    distance: ArrayLike,
    time: ArrayLike,
    tube_diameter: ArrayLike,
) -> Floats:
    r"""Return the viscosity of a liquid from the time a ball takes to sink through it.

    .. math:: \mu = \frac{(\rho_p - \rho) g d^2 t}{18 s}\, f(d/D)

    Parameters
    ----------
    diameter : array_like
        Diameter of the ball. [m]
    particle_density : array_like
        Density of the ball. [kg/m³]
    liquid_density : array_like
        Density of the liquid. [kg/m³]
    distance : array_like
        Way between the two marks, negative for a light ball that rises. [m]
    time : array_like
        Time between the two marks. [s]
    tube_diameter : array_like
        Inner diameter of the tube; infinite for a vessel very wide. [m]

    Returns
    -------
    numpy.ndarray
        Viscosity. [Pa s]

    Notes
    -----
    Stokes' law with the wall after `wall_factor_faxen`: a simple liquid, clear enough to see the ball,
    marks a few ball diameters below the surface. Where the Reynolds number that results is above 0.25,
    inertia adds up to 5 % and more: nan, take a smaller ball. In a liquid that thins, the answer belongs to
    a shear rate of about the velocity over the radius.

    Source: Stokes-1851, Faxen-1922.
    """
    d, heavy, light, way, t = (
        np.asarray(x, float) for x in (diameter, particle_density, liquid_density, distance, time)
    )
    mu = (heavy - light) * STANDARD_GRAVITY * d**2 * t / (18 * way) * wall_factor_faxen(d, tube_diameter)
    possible = (heavy >= 0) & (light > 0) & (t > 0) & (mu > 0) & np.isfinite(mu)
    slow = reynolds_number(way / t, d, light, np.where(possible, mu, np.nan)) <= _BALL_REYNOLDS
    return np.where(possible & slow, mu, np.nan)


@np.errstate(all="ignore")
def viscosity_from_clear_layer(
    layer_height: ArrayLike,
    time: ArrayLike,
    diameter: ArrayLike,
    particle_density: ArrayLike,
    liquid_density: ArrayLike,
    solid_fraction: ArrayLike,
    exponent: ArrayLike,
) -> Floats:
    r"""Return the viscosity of the liquid of a suspension from the clear layer on a jar that has stood.

    .. math:: \mu = \frac{|\rho_p - \rho| g d^2 (1 - \phi)^n t}{18 h}

    Parameters
    ----------
    layer_height : array_like
        Height of the clear layer. [m]
    time : array_like
        Time the jar has stood. [s]
    diameter : array_like
        Diameter of the grain. [m]
    particle_density : array_like
        Density of the grain. [kg/m³]
    liquid_density : array_like
        Density of the liquid. [kg/m³]
    solid_fraction : array_like
        Volume of the grains over the volume of the suspension. [1]
    exponent : array_like
        Exponent of Richardson and Zaki; see `levigate.science.suspension.hindered_exponent`. [1]

    Returns
    -------
    numpy.ndarray
        Viscosity of the liquid between the grains, at the smallest of shear rates. [Pa s]

    Notes
    -----
    Equal grains that do not cling and are still sinking, a sharp edge, no yield stress. The edge follows
    the finest grains that are many; with the median diameter the viscosity comes out too high. Where no
    layer is seen, put the least height one would see: the viscosity is at least that. Grains that make
    flocs sink far faster than this says.

    Source: Stokes-1851, Richardson-Zaki-1954.
    """
    h, t, d, heavy, light = (
        np.asarray(x, float) for x in (layer_height, time, diameter, particle_density, liquid_density)
    )
    possible = (h > 0) & (t > 0) & (d > 0) & (heavy >= 0) & (light > 0) & (heavy != light)
    factor = hindered_factor_richardson_zaki(solid_fraction, exponent)
    mu = np.abs(heavy - light) * STANDARD_GRAVITY * d**2 * factor * t / (18 * h)
    return np.where(possible, mu, np.nan)


@np.errstate(all="ignore")
def yield_stress_from_beads(
    diameter_held: ArrayLike,
    diameter_sunk: ArrayLike,
    particle_density: ArrayLike,
    liquid_density: ArrayLike,
    criterion: ArrayLike = YIELD_NUMBER_BERIS,
) -> Floats:
    r"""Return the yield stress of a gel from the largest bead that stays and the smallest that sinks.

    .. math:: \tau_y = \frac{Y |\rho_p - \rho| g}{3}\, \frac{d_\mathrm{held} + d_\mathrm{sunk}}{2}

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
        Dimensionless yield stress at which a bead stops, as `yield_stress_to_hold` defines it. [1]

    Returns
    -------
    numpy.ndarray
        Yield stress, in the middle between what held the one and let the other go. [Pa]

    Notes
    -----
    Beads pushed under, left for a day at least, wetted without air. As good as the criterion: measured ones
    reach from 0.14 to 0.6 (from memory). A smaller bead sunk than held is a mistake: nan.

    Source: Beris-1985.
    """
    held, sunk = np.asarray(diameter_held, float), np.asarray(diameter_sunk, float)
    possible = (held > 0) & (sunk > held)
    middle = np.where(possible, (held + sunk) / 2, np.nan)
    stress = yield_stress_to_hold(middle, particle_density, liquid_density, criterion, gravity=STANDARD_GRAVITY)
    return np.where(stress > 0, stress, np.nan)


@np.errstate(all="ignore")
def slump_of_cylinder(yield_stress: ArrayLike, height: ArrayLike, density: ArrayLike) -> Floats:
    r"""Return how far a cylinder of paste slumps when its mould is lifted off.

    .. math:: \frac{s}{H} = 1 - 2\tau' \left[1 - \ln(2\tau')\right], \qquad \tau' = \frac{\tau_y}{\rho g H}

    Parameters
    ----------
    yield_stress : array_like
        Yield stress of the paste. [Pa]
    height : array_like
        Inner height of the mould. [m]
    density : array_like
        Density of the paste. [kg/m³]

    Returns
    -------
    numpy.ndarray
        Fall of the top. [m]

    Notes
    -----
    As `yield_stress_from_slump`. A paste whose yield stress is half the pressure at its foot or more
    stands: 0.

    Source: Pashias-1996.
    """
    tau, tall, rho = (np.asarray(x, float) for x in (yield_stress, height, density))
    possible = (tau > 0) & (tall > 0) & (rho > 0)
    x = 2 * tau / (rho * STANDARD_GRAVITY * tall)
    slump = np.where(x < 1, tall * (1 - x * (1 - np.log(x))), 0.0)
    return np.where(possible, slump, np.nan)


@np.errstate(all="ignore")
def yield_stress_from_slump(slump: ArrayLike, height: ArrayLike, density: ArrayLike) -> Floats:
    r"""Return the yield stress of a paste from the slump of a cylinder of it.

    The x between 0 and 1 that solves

    .. math:: \frac{s}{H} = 1 - x (1 - \ln x), \qquad \tau_y = \frac{x}{2} \rho g H

    Parameters
    ----------
    slump : array_like
        Fall of the top when the mould was lifted off. [m]
    height : array_like
        Inner height of the mould. [m]
    density : array_like
        Density of the paste. [kg/m³]

    Returns
    -------
    numpy.ndarray
        Yield stress. [Pa]

    Notes
    -----
    A mould about as wide as high (0.83 to 1.15), open at both ends, wetted, lifted slowly; the top must
    stay flat. Solved exactly with Lambert's W; the short form 0.5 - 0.5 sqrt(s/H) would give 70 % more for
    a slump of 0.6 and is not offered. No slump says only that the yield stress is at least half the
    pressure at the foot: nan, and so is a slump of the whole height. A flat puddle is a case for
    `yield_stress_from_spread`.

    Source: Pashias-1996, Slump-cylinder-2015 (width of the mould).
    """
    from scipy.special import lambertw

    s, tall, rho = (np.asarray(x, float) for x in (slump, height, density))
    possible = (s > 0) & (tall > 0) & (s < tall) & (rho > 0)
    drop = np.where(possible, s / tall, np.nan)
    x = np.exp(1 + lambertw((drop - 1) / np.e, k=-1).real)
    return np.asarray(x / 2 * rho * STANDARD_GRAVITY * tall, float)


def _thin(volume: Floats, radius: Floats) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    return np.asarray((volume > 0) & (radius > 0) & (volume / (np.pi * radius**3) <= _THIN))


@np.errstate(all="ignore")
def yield_stress_from_spread(volume: ArrayLike, density: ArrayLike, radius: ArrayLike) -> Floats:
    r"""Return the yield stress of a soft paste from the puddle in which it comes to rest.

    .. math:: \tau_y = \frac{225\, \rho g V^2}{128\, \pi^2 R^5}

    Parameters
    ----------
    volume : array_like
        Volume of the paste. [m³]
    density : array_like
        Density of the paste. [kg/m³]
    radius : array_like
        Radius of the puddle at rest. [m]

    Returns
    -------
    numpy.ndarray
        Yield stress. [Pa]

    Notes
    -----
    A flat round puddle on a level plate that it sticks to: mean thickness up to a tenth of the radius, nan
    for thicker. Slow release, no inertia. Surface tension is left out; where the edge is a few millimetres
    high it holds the puddle back and the yield stress comes out too high.

    Source: Roussel-Coussot-2005.
    """
    v, rho, r = (np.asarray(x, float) for x in (volume, density, radius))
    possible = _thin(v, r) & (rho > 0)
    return np.where(possible, 225 * rho * STANDARD_GRAVITY * v**2 / (128 * np.pi**2 * r**5), np.nan)


@np.errstate(all="ignore")
def spread_radius(volume: ArrayLike, density: ArrayLike, viscosity: ArrayLike, time: ArrayLike) -> Floats:
    r"""Return how far a drop of a simple liquid has spread on a level plate.

    .. math:: r = 0.8939 \left(\frac{\rho g V^3 t}{3 \mu}\right)^{1/8}

    Parameters
    ----------
    volume : array_like
        Volume of the drop. [m³]
    density : array_like
        Density of the liquid. [kg/m³]
    viscosity : array_like
        Viscosity of the liquid. [Pa s]
    time : array_like
        Time since it was let go. [s]

    Returns
    -------
    numpy.ndarray
        Radius of the drop. [m]

    Notes
    -----
    As `viscosity_from_spread`; nan as long as the drop is not thin.

    Source: Huppert-1982.
    """
    v, rho, mu, t = (np.asarray(x, float) for x in (volume, density, viscosity, time))
    possible = (v > 0) & (rho > 0) & (mu > 0) & (t > 0)
    r = (_FRONT_EIGHTH * rho * STANDARD_GRAVITY * v**3 * t / (3 * mu)) ** 0.125
    return np.where(possible & _thin(v, r), r, np.nan)


@np.errstate(all="ignore")
def viscosity_from_spread(volume: ArrayLike, density: ArrayLike, radius: ArrayLike, time: ArrayLike) -> Floats:
    r"""Return the viscosity of a simple liquid from how far a drop has spread on a level plate.

    .. math:: \mu = \frac{1024}{243 \pi^3} \frac{\rho g V^3 t}{r^8}

    Parameters
    ----------
    volume : array_like
        Volume of the drop. [m³]
    density : array_like
        Density of the liquid. [kg/m³]
    radius : array_like
        Radius of the drop. [m]
    time : array_like
        Time since it was let go. [s]

    Returns
    -------
    numpy.ndarray
        Viscosity. [Pa s]

    Notes
    -----
    Thick simple liquids, well after release: mean thickness up to a tenth of the radius, nan for thicker.
    No yield stress, no surface tension (radius well above 1 cm) and no inertia. The radius enters with the
    eighth power: 1 % in it is 8 % in the viscosity.

    Source: Huppert-1982.
    """
    v, rho, r, t = (np.asarray(x, float) for x in (volume, density, radius, time))
    possible = _thin(v, r) & (rho > 0) & (t > 0)
    return np.where(possible, _FRONT_EIGHTH * rho * STANDARD_GRAVITY * v**3 * t / (3 * r**8), np.nan)


@np.errstate(all="ignore")
def viscosity_from_squeeze(
    volume: ArrayLike, force: ArrayLike, radius: ArrayLike, time: ArrayLike, start_radius: ArrayLike = 0.0
) -> Floats:
    r"""Return the viscosity of a simple liquid from a drop squeezed between two plates.

    .. math:: \mu = \frac{8 F V^2 t}{3 \pi^3 (R^8 - R_0^8)}

    Parameters
    ----------
    volume : array_like
        Volume of the drop, all of it between the plates. [m³]
    force : array_like
        Weight of the upper plate and what lies on it. [N]
    radius : array_like
        Radius of the drop at the end. [m]
    time : array_like
        Time under the load. [s]
    start_radius : array_like
        Radius of the drop when the load came on; below half of the last one it hardly counts. [m]

    Returns
    -------
    numpy.ndarray
        Viscosity. [Pa s]

    Notes
    -----
    Stefan's law for plates wider than the drop, as Dienes and Klemm integrate it: parallel plates, no slip,
    no surface tension, mean thickness up to a tenth of the radius at the end, nan for thicker. The drop
    should at least double its radius. From memory, checked against an integration of Stefan's law.

    Source: Dienes-Klemm-1946.
    """
    v, f, r, t, r0 = (np.asarray(x, float) for x in (volume, force, radius, time, start_radius))
    possible = _thin(v, r) & (f > 0) & (t > 0) & (r0 >= 0) & (r0 < r)
    return np.where(possible, 8 * f * v**2 * t / (3 * np.pi**3 * (r**8 - r0**8)), np.nan)


@np.errstate(all="ignore")
def yield_stress_from_squeeze(volume: ArrayLike, force: ArrayLike, radius: ArrayLike) -> Floats:
    r"""Return the yield stress of a cream from the circle at which it stops under a loaded plate.

    .. math:: \tau_y = \frac{3 F h}{2 \pi R^3} = \frac{3 F V}{2 \pi^2 R^5}

    Parameters
    ----------
    volume : array_like
        Volume of the cream, all of it between the plates. [m³]
    force : array_like
        Weight of the upper plate and what lies on it. [N]
    radius : array_like
        Radius of the circle at rest. [m]

    Returns
    -------
    numpy.ndarray
        Yield stress. [Pa]

    Notes
    -----
    Plates wider than the circle, parallel, rough enough that the cream does not slip (on smooth glass the
    answer may be far too low), mean thickness up to a tenth of the radius, nan for thicker. It must have
    come to rest. From memory, checked against an integration of the pressure.

    Source: Covey-Stanmore-1981.
    """
    v, f, r = (np.asarray(x, float) for x in (volume, force, radius))
    return np.where(_thin(v, r) & (f > 0), 3 * f * v / (2 * np.pi**2 * r**5), np.nan)
