"""Flow of liquids, mixtures and suspensions: viscosity, its change with temperature, curves of flow."""

from __future__ import annotations

import numpy as np

from levigate.science.constants import GAS_CONSTANT, ZERO_CELSIUS, ArrayLike, Floats

__all__ = [
    "activation_energy_of_flow",
    "stress_herschel_bulkley",
    "viscosity_apparent",
    "viscosity_arrhenius",
    "viscosity_blend",
    "viscosity_blending_number",
    "viscosity_carreau",
    "viscosity_glycerol_water",
    "viscosity_krieger_dougherty",
    "viscosity_maron_pierce",
    "viscosity_walther",
    "viscosity_walther_slope",
    "viscosity_water",
    "walther_slope",
]

# IAPWS SR6-08(2011), table 5: microPa s, temperature over 300 K.
_WATER = ((280.68, -1.9), (511.45, -7.7), (61.131, -19.6), (0.45903, -40.0))

#: What the kinematic viscosity is counted in inside the logarithms of Refutas and Walther. [m²/s]
_MM2_PER_S = 1e-6
#: What the shear rate is counted in, so that the consistency is a stress. [1/s]
_ONE_PER_SECOND = 1.0

# Below 2 mm²/s the standard adds terms of its own to the 0.7.
_WALTHER_CONSTANT = 0.7
_WALTHER_LEAST = 2.0
_REFUTAS_CONSTANT = 0.8

# A temperature turned from Fahrenheit must not fall off the edge by its last bit.
_EDGE = 1e-9


# Impossible elements come out as nan or infinite by what is asked of them below; numpy need not warn as well.
@np.errstate(all="ignore")
def viscosity_water(temperature: ArrayLike) -> Floats:
    r"""Return the viscosity of pure water at atmospheric pressure.

    .. math:: \mu = 10^{-6} \sum_{i=1}^{4} a_i (T / 300)^{b_i}

    Parameters
    ----------
    temperature : array_like
        Temperature of the water. [K]

    Returns
    -------
    numpy.ndarray
        Viscosity of the water. [Pa s]

    Notes
    -----
    Holds from 253.15 to 383.15 K at 0.1 MPa, supercooled and superheated water included; nan outside.
    Within 0.003 % of the full formulation of 2008 from 10 to 90 °C. The International Critical Tables of
    1928 are 0.7 % higher (1.0087 mPa s at 20 °C): do not mix the two.

    Source: IAPWS-SR6-08.
    """
    t = np.asarray(temperature, float)
    inside = (t >= 253.15 - _EDGE) & (t <= 383.15 + _EDGE)
    ratio = np.where(inside, t, np.nan) / 300
    return np.asarray(sum(a * ratio**b for a, b in _WATER) * 1e-6)


@np.errstate(all="ignore")
def viscosity_glycerol_water(mass_fraction: ArrayLike, temperature: ArrayLike) -> Floats:
    r"""Return the viscosity of a mixture of glycerol and water.

    .. math:: \mu = \mu_w^{\alpha} \mu_g^{1-\alpha}, \quad
              \alpha = 1 - w + \frac{a b w (1-w)}{a w + b (1-w)}

    Parameters
    ----------
    mass_fraction : array_like
        Mass fraction of glycerol in the mixture. [1]
    temperature : array_like
        Temperature of the mixture. [K]

    Returns
    -------
    numpy.ndarray
        Viscosity of the mixture. [Pa s]

    Notes
    -----
    Holds from 0 to 100 °C for any share of glycerol; nan outside. Seen up to 2.8 % from the measurements of
    Segur and Oberstar at 20, 30 and 40 °C. It leans on an old figure for water (1.005 mPa s at 20 °C). A
    mean of logarithms by mass fraction gives 37.6 mPa s instead of 6.0 at one half and 20 °C.

    Source: Cheng-2008.
    """
    w, t = np.broadcast_arrays(np.asarray(mass_fraction, float), np.asarray(temperature, float) - ZERO_CELSIUS)
    inside = (w >= 0) & (w <= 1) & (t >= -_EDGE) & (t <= 100 + _EDGE)
    t, w = np.where(inside, t, np.nan), np.where(inside, w, np.nan)
    water = 1.790 * np.exp((-1230 - t) * t / (36100 + 360 * t))
    glycerol = 12100 * np.exp((-1233 + t) * t / (9900 + 70 * t))
    a = 0.705 - 0.0017 * t
    b = (4.9 + 0.036 * t) * a**2.5
    alpha = 1 - w + a * b * w * (1 - w) / (a * w + b * (1 - w))
    return np.asarray(water**alpha * glycerol ** (1 - alpha) * 1e-3)


@np.errstate(all="ignore")
def viscosity_blending_number(kinematic_viscosity: ArrayLike) -> Floats:
    r"""Return the viscosity blending number of an oil (Refutas).

    .. math:: VBN = 14.534 \ln\ln(\nu + 0.8) + 10.975 \qquad (\nu \text{ in mm}^2/\text{s})

    Parameters
    ----------
    kinematic_viscosity : array_like
        Kinematic viscosity of the oil. [m²/s]

    Returns
    -------
    numpy.ndarray
        Blending number. [1]

    Notes
    -----
    Both logarithms are natural; print has confused them with decimal ones. Below 0.2 mm²/s there is no such
    number: nan.

    Source: Maples-2000.
    """
    z = np.asarray(kinematic_viscosity, float) / _MM2_PER_S + _REFUTAS_CONSTANT
    z = np.where(z > 1, z, np.nan)
    return np.asarray(14.534 * np.log(np.log(z)) + 10.975)


@np.errstate(all="ignore")
def viscosity_blend(mass_fraction: ArrayLike, kinematic_viscosity: ArrayLike) -> Floats:
    r"""Return the kinematic viscosity of a blend of oils from the blending numbers of its parts.

    .. math:: \nu = \exp\exp\frac{\overline{VBN} - 10.975}{14.534} - 0.8, \quad
              \overline{VBN} = \frac{\sum_i w_i VBN_i}{\sum_i w_i}

    Parameters
    ----------
    mass_fraction : array_like
        Mass fraction of each oil, along the last axis. [1]
    kinematic_viscosity : array_like
        Kinematic viscosity of each oil, all at one temperature, along the last axis. [m²/s]

    Returns
    -------
    numpy.ndarray
        Kinematic viscosity of the blend; the last axis is gone. [m²/s]

    Notes
    -----
    For oils and esters that dissolve in each other; never for water, polyols, gels or emulsions. Sources
    disagree: Maples weighs by mass, others by volume. Half and half by mass of 10 and 1000 mm²/s with
    densities of 850 and 950 kg/m³ gives 56.9 by mass, 50.4 by volume. The mean of logarithms gives 100. The
    fractions count in relation to their sum. A negative fraction gives nan.

    Source: Maples-2000.
    """
    w, number = np.broadcast_arrays(np.asarray(mass_fraction, float), viscosity_blending_number(kinematic_viscosity))
    possible = (w >= 0).all(axis=-1)
    mean = (w * number).sum(axis=-1) / w.sum(axis=-1)
    blend = np.exp(np.exp((mean - 10.975) / 14.534)) - _REFUTAS_CONSTANT
    return np.where(possible, blend * _MM2_PER_S, np.nan)


@np.errstate(all="ignore")
def viscosity_walther(
    temperature: ArrayLike,
    first_temperature: ArrayLike,
    first_kinematic_viscosity: ArrayLike,
    second_temperature: ArrayLike,
    second_kinematic_viscosity: ArrayLike,
) -> Floats:
    r"""Return the kinematic viscosity of an oil at a temperature, from its values at two others (Walther).

    .. math:: \log\log(\nu + 0.7) = A - B \log T \qquad (\nu \text{ in mm}^2/\text{s})

    Parameters
    ----------
    temperature : array_like
        Temperature asked about. [K]
    first_temperature : array_like
        Temperature of one measurement. [K]
    first_kinematic_viscosity : array_like
        Kinematic viscosity measured there. [m²/s]
    second_temperature : array_like
        Temperature of the other measurement. [K]
    second_kinematic_viscosity : array_like
        Kinematic viscosity measured there. [m²/s]

    Returns
    -------
    numpy.ndarray
        Kinematic viscosity at the temperature asked about. [m²/s]

    Notes
    -----
    The constant is 0.7, as the standard has it from 2 mm²/s up; a measurement or a result below that gives
    nan, and so do two measurements at one temperature. Older texts have 0.8 and 0.6, which shift an oil of
    30 mm²/s at 40 °C and 5.23 at 100 °C by half a percent at 60 °C: 14.45 with 0.7, 14.51 with 0.8. It
    knows no melting point: nothing for waxes and butters near theirs.

    Source: ASTM-D341.
    """
    slope = walther_slope(first_temperature, first_kinematic_viscosity, second_temperature, second_kinematic_viscosity)
    return viscosity_walther_slope(temperature, first_temperature, first_kinematic_viscosity, slope)


@np.errstate(all="ignore")
def walther_slope(
    first_temperature: ArrayLike,
    first_kinematic_viscosity: ArrayLike,
    second_temperature: ArrayLike,
    second_kinematic_viscosity: ArrayLike,
) -> Floats:
    r"""Return how steeply an oil thins on the chart of Walther, from its viscosities at two temperatures.

    .. math:: B = \frac{\log\log(\nu_1 + 0.7) - \log\log(\nu_2 + 0.7)}{\log T_2 - \log T_1}

    Parameters
    ----------
    first_temperature : array_like
        Temperature of one measurement. [K]
    first_kinematic_viscosity : array_like
        Kinematic viscosity measured there. [m²/s]
    second_temperature : array_like
        Temperature of the other measurement. [K]
    second_kinematic_viscosity : array_like
        Kinematic viscosity measured there. [m²/s]

    Returns
    -------
    numpy.ndarray
        Slope; the same whatever the base of the logarithms. [1]

    Notes
    -----
    As `viscosity_walther`. Liquid vegetable oils have 2.8 to 3.2 (soya, maize, crambe, sunflower, cottonseed,
    peanut), castor oil 3.5, a mineral oil of 30 mm²/s at 40 °C and 5.23 at 100 °C 3.73.

    Source: ASTM-D341.
    """
    t1, t2 = (np.asarray(x, float) for x in (first_temperature, second_temperature))
    n1, n2 = (np.asarray(x, float) / _MM2_PER_S for x in (first_kinematic_viscosity, second_kinematic_viscosity))
    possible = (t1 > 0) & (t2 > 0) & (t1 != t2) & (n1 >= _WALTHER_LEAST) & (n2 >= _WALTHER_LEAST)
    w1, w2 = (np.log(np.log(n + _WALTHER_CONSTANT)) for n in (n1, n2))
    return np.where(possible, (w1 - w2) / np.log(t2 / t1), np.nan)


@np.errstate(all="ignore")
def viscosity_walther_slope(
    temperature: ArrayLike,
    reference_temperature: ArrayLike,
    reference_kinematic_viscosity: ArrayLike,
    slope: ArrayLike,
) -> Floats:
    r"""Return the kinematic viscosity of an oil at a temperature, from one measurement and its slope (Walther).

    .. math:: \log\log(\nu + 0.7) = \log\log(\nu_0 + 0.7) - B \log(T / T_0)

    Parameters
    ----------
    temperature : array_like
        Temperature asked about. [K]
    reference_temperature : array_like
        Temperature of the measurement. [K]
    reference_kinematic_viscosity : array_like
        Kinematic viscosity measured there. [m²/s]
    slope : array_like
        Slope on the chart of Walther. [1]

    Returns
    -------
    numpy.ndarray
        Kinematic viscosity at the temperature asked about. [m²/s]

    Notes
    -----
    As `viscosity_walther`, with a slope that is known for the kind of oil (`walther_slope`) where there is but
    one measurement. Seen: with 2.9 for all liquid vegetable oils but castor, within 5 % over 15 K and within
    12 % from 20 to 37 °C.

    Source: ASTM-D341.
    """
    t, t0, n0, b = (
        np.asarray(x, float) for x in (temperature, reference_temperature, reference_kinematic_viscosity, slope)
    )
    n0 = n0 / _MM2_PER_S
    w = np.log(np.log(n0 + _WALTHER_CONSTANT)) - b * np.log(t / t0)
    result = np.exp(np.exp(w)) - _WALTHER_CONSTANT
    # Half a last bit: a point given as 2 mm²/s must come back.
    least = _WALTHER_LEAST * (1 - 1e-12)
    within = (t > 0) & (t0 > 0) & (n0 >= least) & (result >= least) & np.isfinite(result)
    return np.where(within, result * _MM2_PER_S, np.nan)


@np.errstate(all="ignore")
def activation_energy_of_flow(
    first_temperature: ArrayLike,
    first_viscosity: ArrayLike,
    second_temperature: ArrayLike,
    second_viscosity: ArrayLike,
) -> Floats:
    r"""Return the activation energy of flow from the viscosities at two temperatures.

    .. math:: E = R \frac{\ln(\eta_1/\eta_2)}{1/T_1 - 1/T_2}

    Parameters
    ----------
    first_temperature : array_like
        Temperature of one measurement. [K]
    first_viscosity : array_like
        Viscosity measured there. [Pa s]
    second_temperature : array_like
        Temperature of the other measurement. [K]
    second_viscosity : array_like
        Viscosity measured there. [Pa s]

    Returns
    -------
    numpy.ndarray
        Apparent activation energy of flow. [J/mol]

    Notes
    -----
    Apparent: it falls as a liquid warms, fast where the liquid is thick. Two measurements at one
    temperature give nan.

    Source: Andrade-1930.
    """
    t1, n1, t2, n2 = (
        np.asarray(x, float) for x in (first_temperature, first_viscosity, second_temperature, second_viscosity)
    )
    possible = (t1 > 0) & (t2 > 0) & (t1 != t2) & (n1 > 0) & (n2 > 0)
    energy = GAS_CONSTANT * np.log(n1 / n2) / (1 / t1 - 1 / t2)
    return np.where(possible, energy, np.nan)


@np.errstate(all="ignore")
def viscosity_arrhenius(
    temperature: ArrayLike,
    reference_temperature: ArrayLike,
    reference_viscosity: ArrayLike,
    activation_energy: ArrayLike,
) -> Floats:
    r"""Return the viscosity at a temperature near one at which it is known.

    .. math:: \eta = \eta_0 \exp\left[\frac{E}{R}\left(\frac1T - \frac1{T_0}\right)\right]

    Parameters
    ----------
    temperature : array_like
        Temperature asked about. [K]
    reference_temperature : array_like
        Temperature of the measurement. [K]
    reference_viscosity : array_like
        Viscosity measured there. [Pa s]
    activation_energy : array_like
        Apparent activation energy of flow. [J/mol]

    Returns
    -------
    numpy.ndarray
        Viscosity at the temperature asked about. [Pa s]

    Notes
    -----
    Good between the two measurements that gave the activation energy (`activation_energy_of_flow`) and a
    few kelvin past them: halfway from 20 to 40 °C it is 0.7 % high for water and for glycerol. It knows no
    melting, no gelling and no phase change.

    Source: Andrade-1930.
    """
    t, t0, n0, energy = (
        np.asarray(x, float) for x in (temperature, reference_temperature, reference_viscosity, activation_energy)
    )
    viscosity = n0 * np.exp(energy / GAS_CONSTANT * (1 / t - 1 / t0))
    return np.where((t > 0) & (t0 > 0) & (n0 > 0), viscosity, np.nan)


@np.errstate(all="ignore")
def viscosity_krieger_dougherty(
    viscosity: ArrayLike,
    solid_fraction: ArrayLike,
    packing_fraction: ArrayLike,
    intrinsic_viscosity: ArrayLike = 2.5,
) -> Floats:
    r"""Return the viscosity of a suspension of hard grains (Krieger and Dougherty).

    .. math:: \eta = \eta_0 \left(1 - \frac{\phi}{\phi_m}\right)^{-[\eta]\phi_m}

    Parameters
    ----------
    viscosity : array_like
        Viscosity of the liquid. [Pa s]
    solid_fraction : array_like
        Volume of the grains over the volume of the suspension. [1]
    packing_fraction : array_like
        Share at which the grains are packed so close that nothing flows. [1]
    intrinsic_viscosity : array_like
        Rise of the relative viscosity with the share of grains in a thin suspension. [1]

    Returns
    -------
    numpy.ndarray
        Viscosity of the suspension. [Pa s]

    Notes
    -----
    Grains that do not stick to each other. Equal spheres: intrinsic viscosity 2.5, packing 0.60 to 0.64 (at
    high shear rate up to 0.71, from memory); plates, needles and flocs pack at less and thicken more. A
    share at or past the packing has no viscosity: nan.

    Source: Krieger-Dougherty-1959.
    """
    n, phi, most, rise = (
        np.asarray(x, float) for x in (viscosity, solid_fraction, packing_fraction, intrinsic_viscosity)
    )
    possible = (n > 0) & (phi >= 0) & (phi < most) & (most <= 1) & (rise > 0)
    return np.where(possible, n * (1 - phi / most) ** (-rise * most), np.nan)


@np.errstate(all="ignore")
def viscosity_maron_pierce(viscosity: ArrayLike, solid_fraction: ArrayLike, packing_fraction: ArrayLike) -> Floats:
    r"""Return the viscosity of a suspension of hard grains (Maron and Pierce).

    .. math:: \eta = \eta_0 \left(1 - \frac{\phi}{\phi_m}\right)^{-2}

    Parameters
    ----------
    viscosity : array_like
        Viscosity of the liquid. [Pa s]
    solid_fraction : array_like
        Volume of the grains over the volume of the suspension. [1]
    packing_fraction : array_like
        Share at which the grains are packed so close that nothing flows. [1]

    Returns
    -------
    numpy.ndarray
        Viscosity of the suspension. [Pa s]

    Notes
    -----
    One number to fit instead of two, so the better choice where one reading must fix it; near the packing
    also the better exponent. In a thin suspension it rises with 2 over the packing, not with 2.5. A share
    at or past the packing gives nan.

    Source: Maron-Pierce-1956.
    """
    n, phi, most = (np.asarray(x, float) for x in (viscosity, solid_fraction, packing_fraction))
    possible = (n > 0) & (phi >= 0) & (phi < most) & (most <= 1)
    return np.where(possible, n * (1 - phi / most) ** -2, np.nan)


@np.errstate(all="ignore")
def stress_herschel_bulkley(
    shear_rate: ArrayLike, yield_stress: ArrayLike, consistency: ArrayLike, flow_index: ArrayLike
) -> Floats:
    r"""Return the shear stress in a flowing paste (Herschel and Bulkley).

    .. math:: \tau = \tau_y + K \left(\frac{\dot\gamma}{1\,\mathrm{s}^{-1}}\right)^n

    Parameters
    ----------
    shear_rate : array_like
        Shear rate. [1/s]
    yield_stress : array_like
        Stress below which nothing flows. [Pa]
    consistency : array_like
        Stress above the yield stress at a shear rate of 1/s; the same number as the usual K in Pa sⁿ. [Pa]
    flow_index : array_like
        Exponent: 1 for a Bingham body, below 1 where the paste thins as it is sheared. [1]

    Returns
    -------
    numpy.ndarray
        Shear stress. [Pa]

    Notes
    -----
    A fit within the shear rates that were measured. One published set of readings, fitted as Bingham,
    Casson, power law and this, gave yield stresses of 387, 456, 0 and 5.7 Pa: compare yield stresses only
    from one model over one range. At rest the yield stress is returned, though any lower stress is possible
    there.

    Source: Herschel-Bulkley-1926.
    """
    rate, rest, k, n = (np.asarray(x, float) for x in (shear_rate, yield_stress, consistency, flow_index))
    possible = (rate >= 0) & (rest >= 0) & (k >= 0) & (n > 0)
    return np.where(possible, rest + k * (rate / _ONE_PER_SECOND) ** n, np.nan)


@np.errstate(all="ignore")
def viscosity_apparent(stress: ArrayLike, shear_rate: ArrayLike) -> Floats:
    r"""Return the viscosity that a simple liquid would have at this stress and shear rate.

    .. math:: \eta = \tau / \dot\gamma

    Parameters
    ----------
    stress : array_like
        Shear stress. [Pa]
    shear_rate : array_like
        Shear rate. [1/s]

    Returns
    -------
    numpy.ndarray
        Apparent viscosity. [Pa s]

    Notes
    -----
    A definition; of a paste it says nothing without the shear rate. Rest, and a negative stress, give nan.

    Source: definition.
    """
    tau, rate = np.asarray(stress, float), np.asarray(shear_rate, float)
    return np.where((tau >= 0) & (rate > 0), tau / rate, np.nan)


@np.errstate(all="ignore")
def viscosity_carreau(
    shear_rate: ArrayLike,
    zero_viscosity: ArrayLike,
    infinite_viscosity: ArrayLike,
    relaxation_time: ArrayLike,
    flow_index: ArrayLike,
    transition: ArrayLike = 2.0,
) -> Floats:
    r"""Return the viscosity of a shear-thinning liquid (Carreau, with Yasuda's exponent).

    .. math:: \eta = \eta_\infty + (\eta_0 - \eta_\infty)
              \left[1 + (\lambda\dot\gamma)^a\right]^{(n-1)/a}

    Parameters
    ----------
    shear_rate : array_like
        Shear rate. [1/s]
    zero_viscosity : array_like
        Viscosity at rest. [Pa s]
    infinite_viscosity : array_like
        Viscosity at the highest shear rates. [Pa s]
    relaxation_time : array_like
        Time whose inverse is the shear rate at which thinning begins. [s]
    flow_index : array_like
        Exponent, below 1 where the liquid thins as it is sheared. [1]
    transition : array_like
        Sharpness of the bend; 2 is Carreau's own. [1]

    Returns
    -------
    numpy.ndarray
        Viscosity at the shear rate. [Pa s]

    Notes
    -----
    For polymer solutions and shampoos that flow at any stress; a paste with a yield stress needs
    `stress_herschel_bulkley`. A fit within the shear rates that were measured. Printed tables of fits have
    lost the minus sign of an exponent of ten: a viscosity at high shear above that at rest is such a slip.

    Source: Carreau-1972.
    """
    rate, rest, fast, time, n, a = (
        np.asarray(x, float)
        for x in (shear_rate, zero_viscosity, infinite_viscosity, relaxation_time, flow_index, transition)
    )
    possible = (rate >= 0) & (rest > 0) & (fast >= 0) & (time >= 0) & (n > 0) & (a > 0)
    bend = (1 + (time * rate) ** a) ** ((n - 1) / a)
    return np.where(possible, fast + (rest - fast) * bend, np.nan)
