"""Decay: loss of an active with time, and what warmth does to it."""

from __future__ import annotations

import numpy as np

from levigate.science.constants import GAS_CONSTANT, ArrayLike, Floats

__all__ = ["activation_energy_from_two", "first_order_share", "rate_arrhenius", "time_equivalent_q10"]

#: Step of temperature that the factor Q10 belongs to. [K]
_TEN_KELVIN = 10.0


def first_order_share(time: ArrayLike, rate_constant: ArrayLike) -> Floats:
    r"""Return the share of an active that is left after a time.

    .. math:: C / C_0 = e^{-k t}

    Parameters
    ----------
    time : array_like
        Time since the start. [s]
    rate_constant : array_like
        Rate constant of first order at the temperature of storage. [1/s]

    Returns
    -------
    numpy.ndarray
        Share left, 0 to 1. [1]

    Notes
    -----
    First order: each day takes the same share of what is left. So does much that goes on in water; an active that is
    eaten by the oxygen of the headspace stops when that is used up, and one that is only partly dissolved goes at a
    steady amount. Nine tenths are left after 0.105/k, half after 0.693/k.

    Source: definition.
    """
    t, k = np.asarray(time, float), np.asarray(rate_constant, float)
    with np.errstate(invalid="ignore", over="ignore", under="ignore"):
        return np.where((t >= 0) & (k >= 0), np.exp(-k * t), np.nan)


def rate_arrhenius(
    temperature: ArrayLike,
    reference_rate: ArrayLike,
    reference_temperature: ArrayLike,
    activation_energy: ArrayLike,
) -> Floats:
    r"""Return a rate constant at a temperature from the one at another.

    .. math:: k = k_0 \exp\left( -\frac{E}{R} \left( \frac1T - \frac1{T_0} \right) \right)

    Parameters
    ----------
    temperature : array_like
        Temperature asked about. [K]
    reference_rate : array_like
        Rate constant known. [1/s]
    reference_temperature : array_like
        Temperature at which it is known. [K]
    activation_energy : array_like
        Activation energy of the loss. [J/mol]

    Returns
    -------
    numpy.ndarray
        Rate constant at the temperature. [1/s]

    Notes
    -----
    One reaction by one path, nothing melting or parting between the two temperatures, oxygen never short. From 40 °C to
    25 °C an error of 10 kJ/mol is one of 21 %. Losses by light, and microbes, do not follow it.

    Source: Arrhenius-1889.
    """
    t, k, t_0, energy = (
        np.asarray(x, float) for x in (temperature, reference_rate, reference_temperature, activation_energy)
    )
    possible = (t > 0) & (t_0 > 0) & (k >= 0) & np.isfinite(energy)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore", under="ignore"):
        return np.where(possible, k * np.exp(-energy / GAS_CONSTANT * (1 / t - 1 / t_0)), np.nan)


def activation_energy_from_two(
    first_rate: ArrayLike,
    first_temperature: ArrayLike,
    second_rate: ArrayLike,
    second_temperature: ArrayLike,
) -> Floats:
    r"""Return the activation energy of a loss from its rate at two temperatures.

    .. math:: E = R \frac{\ln (k_2 / k_1)}{1/T_1 - 1/T_2}

    Parameters
    ----------
    first_rate : array_like
        Rate constant at the first temperature. [1/s]
    first_temperature : array_like
        First temperature. [K]
    second_rate : array_like
        Rate constant at the second temperature. [1/s]
    second_temperature : array_like
        Second temperature. [K]

    Returns
    -------
    numpy.ndarray
        Activation energy. [J/mol]

    Notes
    -----
    As `rate_arrhenius`. Two points always make a line: a third temperature tells whether it is one. Rates 10 %
    uncertain at 25 and 35 °C leave the energy 11 kJ/mol uncertain. Equal temperatures give nan.

    Source: Arrhenius-1889.
    """
    k_1, t_1, k_2, t_2 = (
        np.asarray(x, float) for x in (first_rate, first_temperature, second_rate, second_temperature)
    )
    possible = (k_1 > 0) & (k_2 > 0) & (t_1 > 0) & (t_2 > 0) & (t_1 != t_2)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return np.where(possible, GAS_CONSTANT * np.log(k_2 / k_1) / (1 / t_1 - 1 / t_2), np.nan)


def time_equivalent_q10(
    time: ArrayLike, temperature: ArrayLike, storage_temperature: ArrayLike, q10: ArrayLike
) -> Floats:
    r"""Return how long a product is stored to age as much as it did in a test at another temperature.

    .. math:: t_s = t \, Q_{10}^{(T - T_s) / 10}

    Parameters
    ----------
    time : array_like
        Time of the test. [s]
    temperature : array_like
        Temperature of the test. [K]
    storage_temperature : array_like
        Temperature of storage. [K]
    q10 : array_like
        Factor by which 10 K more quicken the loss. [1]

    Returns
    -------
    numpy.ndarray
        Time at the temperature of storage. [s]

    Notes
    -----
    A rule of thumb; no guideline on cosmetics gives it. The answer is as uncertain as the factor: 8 weeks at 45 °C
    stand for 32 weeks at 25 °C with a factor of 2 and 72 weeks with 3; say both. A factor of 2 between 25 and 35 °C
    is an activation energy of 53 kJ/mol (83 kJ/mol, printed for it, is a factor of 3). Not for what melts, parts, is
    short of oxygen, or grows.

    Source: common-practice.
    """
    t, test, storage, factor = (np.asarray(x, float) for x in (time, temperature, storage_temperature, q10))
    possible = (t >= 0) & (test > 0) & (storage > 0) & (factor > 0)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore", under="ignore"):
        return np.where(possible, t * factor ** ((test - storage) / _TEN_KELVIN), np.nan)
