"""Grains and drops in a liquid: how fast they sink or rise, what holds them, when heat stirs them."""

from __future__ import annotations

import numpy as np

from levigate.science.constants import BOLTZMANN, STANDARD_GRAVITY, ArrayLike, Floats

__all__ = [
    "diameter_held",
    "diffusion_coefficient",
    "drag_coefficient",
    "equivalent_standing_time",
    "hindered_exponent",
    "hindered_factor_richardson_zaki",
    "peclet_number",
    "relative_centrifugal_force",
    "reynolds_number",
    "sedimentation_length",
    "settling_velocity",
    "settling_velocity_inertial",
    "settling_velocity_polydisperse",
    "yield_stress_to_hold",
]

#: Dimensionless yield stress 3 tau/(2 R drho g) above which a sphere does not move (Beris-1985). [1]
YIELD_NUMBER_BERIS = 0.143
#: The same for the cautious: tau/(d drho g) of 0.2, the upper of two groups of measurements (memory). [1]
YIELD_NUMBER_CAUTIOUS = 0.6

# Where inertia makes Stokes' law a tenth too fast.
_STOKES_REYNOLDS = 1.0
# Where the drag law ends: past it the boundary layer turns turbulent.
_DRAG_REYNOLDS = 2e5
# Newton's method on logarithms: 5 steps reach the last digit anywhere in the range, the rest are in hand.
_NEWTON_STEPS = 8

# Brzinski and Durian (2018): exponents below and above the crossover.
_EXPONENT_BROWNIAN, _EXPONENT_COARSE, _PECLET_CROSSOVER = 5.6, 4.48, 1e8
# Equal spheres poured together fill no more than this.
_CLOSE_PACKING = 0.64


# Impossible elements come out as nan or infinite by what is asked of them below; numpy need not warn as well.
@np.errstate(all="ignore")
def reynolds_number(
    velocity: ArrayLike, diameter: ArrayLike, liquid_density: ArrayLike, viscosity: ArrayLike
) -> Floats:
    r"""Return the Reynolds number of a grain: inertia over viscosity.

    .. math:: Re = \rho |v| d / \mu

    Parameters
    ----------
    velocity : array_like
        Velocity of the grain in the liquid; its sign does not matter. [m/s]
    diameter : array_like
        Diameter of the grain. [m]
    liquid_density : array_like
        Density of the liquid. [kg/m³]
    viscosity : array_like
        Viscosity of the liquid. [Pa s]

    Returns
    -------
    numpy.ndarray
        Reynolds number. [1]

    Notes
    -----
    A definition, with the diameter (some books take the radius). A length, density or viscosity that is not
    above zero gives nan.

    Source: definition.
    """
    v, d, rho, mu = (np.asarray(x, float) for x in (velocity, diameter, liquid_density, viscosity))
    return np.where((d > 0) & (rho > 0) & (mu > 0), rho * np.abs(v) * d / mu, np.nan)


@np.errstate(all="ignore")
def settling_velocity(
    diameter: ArrayLike,
    particle_density: ArrayLike,
    liquid_density: ArrayLike,
    viscosity: ArrayLike,
    *,
    gravity: ArrayLike = STANDARD_GRAVITY,
) -> Floats:
    r"""Return the steady velocity of one sphere in a still liquid; positive sinks.

    Stokes' law:

    .. math:: v = \frac{(\rho_p - \rho) g d^2}{18 \mu}

    Parameters
    ----------
    diameter : array_like
        Diameter of the grain. [m]
    particle_density : array_like
        Density of the grain. [kg/m³]
    liquid_density : array_like
        Density of the liquid. [kg/m³]
    viscosity : array_like
        Viscosity of the liquid. [Pa s]
    gravity : array_like
        Acceleration; on a centrifuge that of the rotor. [m/s²]

    Returns
    -------
    numpy.ndarray
        Velocity downward. [m/s]

    Notes
    -----
    One rigid sphere far from walls and neighbours in a liquid without yield stress. Exact as the Reynolds
    number goes to zero; 1 to 2 % fast at 0.1 and a tenth at 1, past which the answer is nan
    (`settling_velocity_inertial` goes on). A viscosity in mPa s is not one in g/(cm s): a printed answer is
    100 times too slow for that.

    Source: Stokes-1851.
    """
    d, heavy, light, mu, g = (
        np.asarray(x, float) for x in (diameter, particle_density, liquid_density, viscosity, gravity)
    )
    possible = (d > 0) & (heavy >= 0) & (light > 0) & (mu > 0)
    v = (heavy - light) * g * d**2 / (18 * mu)
    slow = light * np.abs(v) * d / mu <= _STOKES_REYNOLDS
    return np.where(possible & slow, v, np.nan)


@np.errstate(all="ignore")
def drag_coefficient(reynolds: ArrayLike) -> Floats:
    r"""Return the drag coefficient of a smooth sphere.

    .. math:: C_D = \frac{24}{Re}(1 + 0.27 Re)^{0.43} + 0.47 \left[1 - \exp(-0.04 Re^{0.38})\right]

    Parameters
    ----------
    reynolds : array_like
        Reynolds number with the diameter. [1]

    Returns
    -------
    numpy.ndarray
        Drag coefficient. [1]

    Notes
    -----
    Holds to a Reynolds number of 200 000; nan above, and at rest. Seen within 3 % of the drag law of Clift,
    Grace and Weber to a Reynolds number of 1000, within 7 % above.

    Source: Cheng-2009.
    """
    re = np.asarray(reynolds, float)
    return _drag(np.where((re > 0) & (re <= _DRAG_REYNOLDS), re, np.nan))[0]


def _drag(re: Floats) -> tuple[Floats, Floats]:
    """Return the drag coefficient and its slope over the Reynolds number."""
    friction = 24 / re * (1 + 0.27 * re) ** 0.43
    calm = np.exp(-0.04 * re**0.38)
    slope = friction * (0.43 * 0.27 / (1 + 0.27 * re) - 1 / re) + 0.47 * 0.04 * 0.38 * re**-0.62 * calm
    return np.asarray(friction + 0.47 * (1 - calm)), np.asarray(slope)


@np.errstate(all="ignore")
def settling_velocity_inertial(
    diameter: ArrayLike,
    particle_density: ArrayLike,
    liquid_density: ArrayLike,
    viscosity: ArrayLike,
    *,
    gravity: ArrayLike = STANDARD_GRAVITY,
) -> Floats:
    r"""Return the steady velocity of one sphere, inertia of the liquid included; positive sinks.

    .. math:: C_D(Re)\, Re^2 = \frac43 \frac{\rho |\rho_p - \rho| g d^3}{\mu^2}

    Parameters
    ----------
    diameter : array_like
        Diameter of the grain. [m]
    particle_density : array_like
        Density of the grain. [kg/m³]
    liquid_density : array_like
        Density of the liquid. [kg/m³]
    viscosity : array_like
        Viscosity of the liquid. [Pa s]
    gravity : array_like
        Acceleration; on a centrifuge that of the rotor. [m/s²]

    Returns
    -------
    numpy.ndarray
        Velocity downward. [m/s]

    Notes
    -----
    Drag after Cheng (`drag_coefficient`), the equation solved by Newton's method to the last digits. One
    smooth rigid sphere far from walls and neighbours, Reynolds number to 200 000 (nan above); natural
    grains are slower (1.79 instead of 2.42 mm/s in one worked case). For fine grains the same as Stokes'
    law.

    Source: Cheng-2009.
    """
    d, heavy, light, mu, g = (
        np.asarray(x, float) for x in (diameter, particle_density, liquid_density, viscosity, gravity)
    )
    possible = (d > 0) & (heavy >= 0) & (light > 0) & (mu > 0)
    pull = np.where(possible, 4 / 3 * light * (heavy - light) * g * d**3 / mu**2, np.nan)
    target = np.log(np.abs(pull))
    # Start from Stokes' law where it holds and from a constant drag of 0.44 where that is slower.
    x = np.minimum(target - np.log(24), (target - np.log(0.44)) / 2)
    for _ in range(_NEWTON_STEPS):
        re = np.exp(x)
        drag, slope = _drag(re)
        x = x - (np.log(drag) + 2 * x - target) / (2 + re * slope / drag)
    re = np.where(x <= np.log(_DRAG_REYNOLDS), np.exp(x), np.nan)
    v = np.sign(pull) * re * mu / (light * d)
    return np.where(possible & (pull == 0), 0.0, v)


@np.errstate(all="ignore")
def hindered_exponent(peclet: ArrayLike) -> Floats:
    """Return the exponent by which neighbours slow a settling grain, from its Péclet number.

    Parameters
    ----------
    peclet : array_like
        Péclet number of the grain. [1]

    Returns
    -------
    numpy.ndarray
        Exponent of Richardson and Zaki. [1]

    Notes
    -----
    Equal spheres at low Reynolds number. The data of 15 published studies and of 12 suspensions of the
    authors fall on two branches: 5.6 (± 0.1) for grains that heat still stirs, 4.48 (± 0.04) for coarse
    ones, with the step at a Péclet number near 1e8; within a power of ten of that, try both. At a share of
    0.2 the branches are 28 % apart. That pigments and drops are on the first, whatever the 4.65 of
    textbooks, is inferred here, with the Péclet number of `peclet_number`: how the paper itself defines it
    was not seen.

    Source: Brzinski-Durian-2018.
    """
    pe = np.asarray(peclet, float)
    branch = np.where(pe < _PECLET_CROSSOVER, _EXPONENT_BROWNIAN, _EXPONENT_COARSE)
    return np.where(pe >= 0, branch, np.nan)


@np.errstate(all="ignore")
def hindered_factor_richardson_zaki(solid_fraction: ArrayLike, exponent: ArrayLike) -> Floats:
    r"""Return what is left of a grain's settling velocity among its like.

    .. math:: v / v_0 = (1 - \phi)^n

    Parameters
    ----------
    solid_fraction : array_like
        Volume of the grains over the volume of the suspension. [1]
    exponent : array_like
        Exponent of Richardson and Zaki; see `hindered_exponent`. [1]

    Returns
    -------
    numpy.ndarray
        Factor on the velocity of a grain alone, at most 1. [1]

    Notes
    -----
    Equal spheres that do not cling; neighbours always slow, they never hasten, though a lecture says so.
    From no grains to a share of 0.64, where equal spheres touch; nan outside.

    Source: Richardson-Zaki-1954.
    """
    phi, n = np.asarray(solid_fraction, float), np.asarray(exponent, float)
    possible = (phi >= 0) & (phi < _CLOSE_PACKING) & (n >= 0)
    return np.where(possible, np.abs(1 - phi) ** np.where(possible, n, np.nan), np.nan)


@np.errstate(all="ignore")
def settling_velocity_polydisperse(
    diameter: ArrayLike,
    particle_density: ArrayLike,
    solid_fraction: ArrayLike,
    liquid_density: ArrayLike,
    viscosity: ArrayLike,
    exponent: ArrayLike,
    *,
    gravity: ArrayLike = STANDARD_GRAVITY,
) -> Floats:
    r"""Return the velocity of each kind of grain in a suspension of several; positive sinks.

    Masliyah, Lockett and Bassoon:

    .. math:: u_i = \frac{d_i^2 (\rho_i - \rho_s) g}{18 \mu} (1 - \phi)^{n-2}, \qquad
              v_i = u_i - \sum_j \phi_j u_j

    Parameters
    ----------
    diameter : array_like
        Diameter of each kind of grain, along the last axis. [m]
    particle_density : array_like
        Density of each kind of grain, along the last axis. [kg/m³]
    solid_fraction : array_like
        Volume of each kind of grain over the volume of the suspension, along the last axis. [1]
    liquid_density : array_like
        Density of the liquid. [kg/m³]
    viscosity : array_like
        Viscosity of the liquid. [Pa s]
    exponent : array_like
        Exponent of Richardson and Zaki; see `hindered_exponent`. [1]
    gravity : array_like
        Acceleration; on a centrifuge that of the rotor. [m/s²]

    Returns
    -------
    numpy.ndarray
        Velocity downward of each kind, along the last axis. [m/s]

    Notes
    -----
    Spheres in the Stokes range that do not cling. Each kind pushes liquid up and makes the suspension
    heavier for all others, so that fine grains may rise; the volumes moved down and up cancel. One kind
    alone gives Stokes' law times the factor of Richardson and Zaki. A total share of 0.64 or more gives
    nan.

    Source: Masliyah-1979, Lockett-Bassoon-1979.
    """
    d, rho, phi = np.broadcast_arrays(*(np.asarray(x, float) for x in (diameter, particle_density, solid_fraction)))
    light, mu, n, g = (np.asarray(x, float)[..., np.newaxis] for x in (liquid_density, viscosity, exponent, gravity))
    total = phi.sum(axis=-1, keepdims=True)
    each = ((d > 0) & (rho >= 0) & (phi >= 0)).all(axis=-1, keepdims=True)
    possible = each & (total < _CLOSE_PACKING) & (light > 0) & (mu > 0) & (n >= 0)
    # rho_i - rho_s, written so that grains as dense as the liquid are at rest to the last digit.
    excess = rho - light - (phi * (rho - light)).sum(axis=-1, keepdims=True)
    slip = d**2 * excess * g / (18 * mu) * np.abs(1 - total) ** (n - 2)
    v = slip - (phi * slip).sum(axis=-1, keepdims=True)
    return np.where(possible, v, np.nan)


@np.errstate(all="ignore")
def yield_stress_to_hold(
    diameter: ArrayLike,
    particle_density: ArrayLike,
    liquid_density: ArrayLike,
    criterion: ArrayLike = YIELD_NUMBER_BERIS,
    *,
    gravity: ArrayLike = STANDARD_GRAVITY,
) -> Floats:
    r"""Return the yield stress that keeps a grain, drop or bubble from moving.

    .. math:: \tau_y = Y \frac{d |\rho_p - \rho| g}{3}, \qquad Y = \frac{3 \tau_y}{2 R |\rho_p - \rho| g}

    Parameters
    ----------
    diameter : array_like
        Diameter of the grain. [m]
    particle_density : array_like
        Density of the grain. [kg/m³]
    liquid_density : array_like
        Density of the liquid. [kg/m³]
    criterion : array_like
        Dimensionless yield stress Y, as defined above, at which the grain stops. [1]
    gravity : array_like
        Acceleration; on a centrifuge that of the rotor. [m/s²]

    Returns
    -------
    numpy.ndarray
        Least yield stress that holds. [Pa]

    Notes
    -----
    The 0.143 of Beris is computed for a rigid sphere alone in a Bingham body and belongs to this definition
    of Y; put before d Δρ g as it stands it asks for three times too much. With d Δρ g the same limit is
    0.0477 (1/21). Measurements fall near it and near 0.2 as well, which is a Y of 0.6
    (`YIELD_NUMBER_CAUTIOUS`, from memory). Bubbles and drops that stretch escape more easily. The yield
    stress meant is that of the product at rest, at its warmest, and without vibration.

    Source: Beris-1985.
    """
    d, heavy, light, y, g = (
        np.asarray(x, float) for x in (diameter, particle_density, liquid_density, criterion, gravity)
    )
    possible = (d > 0) & (heavy >= 0) & (light > 0) & (y > 0)
    return np.where(possible, y * d * np.abs(heavy - light) * g / 3, np.nan)


@np.errstate(all="ignore")
def diameter_held(
    yield_stress: ArrayLike,
    particle_density: ArrayLike,
    liquid_density: ArrayLike,
    criterion: ArrayLike = YIELD_NUMBER_BERIS,
    *,
    gravity: ArrayLike = STANDARD_GRAVITY,
) -> Floats:
    r"""Return the diameter of the largest grain, drop or bubble that a yield stress holds.

    .. math:: d = \frac{3 \tau_y}{Y |\rho_p - \rho| g}

    Parameters
    ----------
    yield_stress : array_like
        Yield stress of the product at rest. [Pa]
    particle_density : array_like
        Density of the grain. [kg/m³]
    liquid_density : array_like
        Density of the liquid. [kg/m³]
    criterion : array_like
        Dimensionless yield stress at which the grain stops; see `yield_stress_to_hold`. [1]
    gravity : array_like
        Acceleration; on a centrifuge that of the rotor. [m/s²]

    Returns
    -------
    numpy.ndarray
        Largest diameter held. [m]

    Notes
    -----
    The inverse of `yield_stress_to_hold`; as good as that is. A grain as dense as the liquid is held at any
    size: infinite.

    Source: Beris-1985.
    """
    tau, heavy, light, y, g = (
        np.asarray(x, float) for x in (yield_stress, particle_density, liquid_density, criterion, gravity)
    )
    possible = (tau > 0) & (heavy >= 0) & (light > 0) & (y > 0)
    return np.where(possible, 3 * tau / (y * np.abs(heavy - light) * g), np.nan)


@np.errstate(all="ignore")
def peclet_number(
    diameter: ArrayLike,
    particle_density: ArrayLike,
    liquid_density: ArrayLike,
    temperature: ArrayLike,
    *,
    gravity: ArrayLike = STANDARD_GRAVITY,
) -> Floats:
    r"""Return the Péclet number of a grain: how far gravity outweighs the stirring by heat.

    .. math:: Pe = \frac{v a}{D} = \frac{\frac43 \pi a^4 |\rho_p - \rho| g}{k_B T}, \qquad a = d/2

    Parameters
    ----------
    diameter : array_like
        Diameter of the grain. [m]
    particle_density : array_like
        Density of the grain. [kg/m³]
    liquid_density : array_like
        Density of the liquid. [kg/m³]
    temperature : array_like
        Temperature. [K]
    gravity : array_like
        Acceleration; on a centrifuge that of the rotor. [m/s²]

    Returns
    -------
    numpy.ndarray
        Péclet number. [1]

    Notes
    -----
    With the radius as the length; with the diameter it is twice as much. One sphere; the viscosity cancels.
    The definition is from memory.

    Source: memory.
    """
    d, heavy, light, t, g = (
        np.asarray(x, float) for x in (diameter, particle_density, liquid_density, temperature, gravity)
    )
    possible = (d > 0) & (heavy >= 0) & (light > 0) & (t > 0)
    pe = np.pi / 12 * d**4 * np.abs(heavy - light) * g / (BOLTZMANN * t)
    return np.where(possible, pe, np.nan)


@np.errstate(all="ignore")
def sedimentation_length(
    diameter: ArrayLike,
    particle_density: ArrayLike,
    liquid_density: ArrayLike,
    temperature: ArrayLike,
    *,
    gravity: ArrayLike = STANDARD_GRAVITY,
) -> Floats:
    r"""Return the height over which heat keeps grains lifted above a sediment.

    .. math:: \ell = \frac{k_B T}{\frac{\pi}{6} d^3 |\rho_p - \rho| g}

    Parameters
    ----------
    diameter : array_like
        Diameter of the grain. [m]
    particle_density : array_like
        Density of the grain. [kg/m³]
    liquid_density : array_like
        Density of the liquid. [kg/m³]
    temperature : array_like
        Temperature. [K]
    gravity : array_like
        Acceleration; on a centrifuge that of the rotor. [m/s²]

    Returns
    -------
    numpy.ndarray
        Height at which the number of grains has fallen to 1/e. [m]

    Notes
    -----
    Few grains, no attraction, after the very long time that settling takes. Above the height of the jar
    nothing settles at all. Grains as dense as the liquid stay everywhere: infinite.

    Source: Perrin-1909.
    """
    d, heavy, light, t, g = (
        np.asarray(x, float) for x in (diameter, particle_density, liquid_density, temperature, gravity)
    )
    possible = (d > 0) & (heavy >= 0) & (light > 0) & (t > 0)
    length = BOLTZMANN * t / (np.pi / 6 * d**3 * np.abs(heavy - light) * g)
    return np.where(possible, length, np.nan)


@np.errstate(all="ignore")
def diffusion_coefficient(diameter: ArrayLike, viscosity: ArrayLike, temperature: ArrayLike) -> Floats:
    r"""Return the diffusion coefficient of a sphere that heat alone moves.

    .. math:: D = \frac{k_B T}{3 \pi \mu d}

    Parameters
    ----------
    diameter : array_like
        Diameter of the grain. [m]
    viscosity : array_like
        Viscosity of the liquid. [Pa s]
    temperature : array_like
        Temperature. [K]

    Returns
    -------
    numpy.ndarray
        Diffusion coefficient. [m²/s]

    Notes
    -----
    One sphere much larger than the molecules of the liquid; a polymer network that is finer than the grain
    stops it altogether.

    Source: Einstein-1905.
    """
    d, mu, t = (np.asarray(x, float) for x in (diameter, viscosity, temperature))
    return np.where((d > 0) & (mu > 0) & (t > 0), BOLTZMANN * t / (3 * np.pi * mu * d), np.nan)


@np.errstate(all="ignore")
def relative_centrifugal_force(rotor_radius: ArrayLike, rotation_rate: ArrayLike) -> Floats:
    r"""Return how many times stronger than gravity a centrifuge pulls.

    .. math:: RCF = (2 \pi f)^2 r / g

    Parameters
    ----------
    rotor_radius : array_like
        Distance of the sample from the axle. [m]
    rotation_rate : array_like
        Turns per second; 60 times fewer than turns per minute. [1/s]

    Returns
    -------
    numpy.ndarray
        Acceleration over that of free fall. [1]

    Notes
    -----
    A definition. It differs from the top to the bottom of the tube as the radius does.

    Source: definition.
    """
    r, f = np.asarray(rotor_radius, float), np.asarray(rotation_rate, float)
    return np.where((r > 0) & (f >= 0), (2 * np.pi * f) ** 2 * r / STANDARD_GRAVITY, np.nan)


@np.errstate(all="ignore")
def equivalent_standing_time(spinning_time: ArrayLike, relative_force: ArrayLike) -> Floats:
    r"""Return how long a product would stand to settle as far as it did on a centrifuge.

    .. math:: t_1 = t \cdot RCF

    Parameters
    ----------
    spinning_time : array_like
        Time on the centrifuge. [s]
    relative_force : array_like
        Acceleration over that of free fall; see `relative_centrifugal_force`. [1]

    Returns
    -------
    numpy.ndarray
        Time on the shelf. [s]

    Notes
    -----
    By Stokes' law only: no flocs, no coalescence, no yield stress. A gel that holds its grains for ever on
    the shelf lets them go once the spin passes its yield stress (`yield_stress_to_hold` with the gravity of
    the rotor), so for gels and creams a failed spin proves nothing.

    Source: Stokes-1851.
    """
    t, force = np.asarray(spinning_time, float), np.asarray(relative_force, float)
    return np.where((t >= 0) & (force > 0), t * force, np.nan)
