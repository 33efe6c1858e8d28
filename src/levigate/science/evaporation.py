"""Evaporation: water that leaves a hot vessel, and what is to be put back."""

from __future__ import annotations

import numpy as np

from levigate.science.constants import GAS_CONSTANT, ArrayLike, Floats

__all__ = [
    "evaporation_flux",
    "mass_fraction_after_loss",
    "vapour_pressure_water",
    "water_lost",
    "water_to_add",
]

# Masses read in decimals: 1 - (0.9 + 0.1) must not be less than nothing by its last bit.
_EDGE = 1e-9

# Critical point of water, in K and Pa.
_CRITICAL_TEMPERATURE, _CRITICAL_PRESSURE = 647.096, 22.064e6
_SATURATION = ((-7.85951783, 1.0), (1.84408259, 1.5), (-11.7866497, 3.0), (22.6807411, 3.5), (-15.9618719, 4.0),
               (1.80122502, 7.5))  # fmt: skip
_TRIPLE_POINT = 273.16
# Molar masses of water and of dry air in kg/mol, pressure of the air in Pa.
_WATER, _AIR, _ATMOSPHERE = 0.018015, 0.028966, 101325.0
# Coefficient of the flux for still air; in print it is per hour.
_STILL = 35.0 / 3600.0


def vapour_pressure_water(temperature: ArrayLike) -> Floats:
    r"""Return the pressure of the vapour over water.

    .. math:: \ln\frac{p}{p_c} = \frac{T_c}{T} \sum_i a_i \left(1 - \frac{T}{T_c}\right)^{n_i}

    Parameters
    ----------
    temperature : array_like
        Temperature of the water, from its triple point to its critical point. [K]

    Returns
    -------
    numpy.ndarray
        Vapour pressure. [Pa]

    Notes
    -----
    Within 0.1 % of the measured ones. Outside its range nan.

    Source: IAPWS-SR1-86.
    """
    t = np.asarray(temperature, float)
    inside = (t >= _TRIPLE_POINT) & (t <= _CRITICAL_TEMPERATURE)
    kelvin = np.where(inside, t, np.nan)
    below = 1 - kelvin / _CRITICAL_TEMPERATURE
    series = sum(a * below**n for a, n in _SATURATION)
    return np.asarray(_CRITICAL_PRESSURE * np.exp(_CRITICAL_TEMPERATURE / kelvin * series))


def evaporation_flux(temperature: ArrayLike, temperature_ambient: ArrayLike, relative_humidity: ArrayLike) -> Floats:
    r"""Return the water that evaporates from still water into still air, by area and time.

    The moist air on the water is lighter than that of the room and rises:

    .. math:: j = C \rho_w (\rho_a - \rho_w)^{1/3} (W_w - W_a)

    with the dry air in a volume of air :math:`\rho` and the water by mass of dry air :math:`W`, on the water, where
    it is saturated, and in the room.

    Parameters
    ----------
    temperature : array_like
        Temperature of the water. [K]
    temperature_ambient : array_like
        Temperature of the air. [K]
    relative_humidity : array_like
        Vapour pressure in the air over that of water at its temperature. [1]

    Returns
    -------
    numpy.ndarray
        Mass of water that leaves an area in a time. [kg/(m² s)]

    Notes
    -----
    At the pressure of the sea level, from open, undisturbed, pure water without walls above it. It gives the printed
    table of its author for 28 to 30 °C within 0.2 %; an older equation for pools (ASHRAE, from memory) gives a quarter
    less at 75 °C. A draught or a stirrer makes more, the wall of a half-full beaker or a film of oil less. Water that
    boils, or that is so cold that the air on it does not rise, gives nan.

    Source: Shah-2014.
    """
    water, air, humidity = (np.asarray(x, float) for x in (temperature, temperature_ambient, relative_humidity))
    possible = (humidity >= 0) & (humidity <= 1)
    with np.errstate(over="ignore", invalid="ignore"):
        dry_on_water, moist_on_water = _moist_air(water, np.ones_like(water))
        dry, moist = _moist_air(air, humidity)
        rises = dry - dry_on_water
        possible = possible & (rises > 0) & (dry_on_water > 0) & (moist_on_water >= moist)
        rises = np.where(possible, rises, np.nan)
        return np.asarray(_STILL * dry_on_water * np.cbrt(rises) * (moist_on_water - moist))


def _moist_air(temperature: Floats, humidity: Floats) -> tuple[Floats, Floats]:
    """Return the dry air in a volume of moist air, and the water in it by mass of dry air. [kg/m³], [1]"""
    vapour = humidity * vapour_pressure_water(temperature)
    with np.errstate(divide="ignore", invalid="ignore"):
        dry = (_ATMOSPHERE - vapour) * _AIR / (GAS_CONSTANT * temperature)
        return dry, _WATER / _AIR * vapour / (_ATMOSPHERE - vapour)


def water_lost(mass_before: ArrayLike, mass_after: ArrayLike) -> Floats:
    """Return the water that evaporated, from weighing before and after heating.

    Parameters
    ----------
    mass_before : array_like
        Mass before heating, all that goes back on the scale with it counted. [kg]
    mass_after : array_like
        Mass after heating, of the same things. [kg]

    Returns
    -------
    numpy.ndarray
        Mass of water lost. [kg]

    Notes
    -----
    All that is missing is taken for water, which it is not where ethanol, a light silicone or perfume was
    warm. Vessel, thermometer and spatula count on both sides, or on neither. A mass that has grown gives nan.

    Source: definition.
    """
    before, after = np.asarray(mass_before, float), np.asarray(mass_after, float)
    with np.errstate(invalid="ignore"):
        return np.where((after >= 0) & (before >= after), before - after, np.nan)


def water_to_add(mass_before: ArrayLike, mass_after: ArrayLike, mass_taken: ArrayLike = 0.0) -> Floats:
    r"""Return the water that brings a batch back to its composition after heating.

    What was taken out after heating took some of the concentrated batch with it, so less is to be replaced:

    .. math:: m_w = m_1 \left(\frac{m_0}{m_1 + m_s} - 1\right)

    Parameters
    ----------
    mass_before : array_like
        Mass of the batch before heating, without its vessel. [kg]
    mass_after : array_like
        Mass of the batch that is there now, without its vessel. [kg]
    mass_taken : array_like
        Mass of samples taken out since it was hot. [kg]

    Returns
    -------
    numpy.ndarray
        Mass of water to add. [kg]

    Notes
    -----
    As `water_lost`. Samples are taken to be of the whole, well-mixed batch, after it lost its water.

    Source: definition.
    """
    before, after, taken = (np.asarray(x, float) for x in (mass_before, mass_after, mass_taken))
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        missing = before - (after + taken)
        missing = np.where(np.abs(missing) <= _EDGE * before, 0.0, missing)
        water = after * missing / (after + taken)
        return np.where((after >= 0) & (taken >= 0) & (missing >= 0), water, np.nan)


def mass_fraction_after_loss(mass_fraction: ArrayLike, share_lost: ArrayLike) -> Floats:
    r"""Return the mass fraction to which a material rises when water is lost and not replaced.

    .. math:: w' = \frac{w}{1 - x}

    Parameters
    ----------
    mass_fraction : array_like
        Mass fraction of the material, not itself lost, in the batch as weighed. [1]
    share_lost : array_like
        Water lost, as a share of the mass of the whole batch. [1]

    Returns
    -------
    numpy.ndarray
        Mass fraction of the material in what is left. [1]

    Notes
    -----
    A mass balance. More lost than there was beside the material gives nan.

    Source: definition.
    """
    w, lost = np.asarray(mass_fraction, float), np.asarray(share_lost, float)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return np.where((w >= 0) & (lost >= 0) & (lost < 1) & (w + lost <= 1 + _EDGE), w / (1 - lost), np.nan)
