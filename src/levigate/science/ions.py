"""Water as the solvent of ions: its permittivity, its own ions, and how ions shield one another."""

from __future__ import annotations

import numpy as np

from levigate.science.constants import BOLTZMANN, ZERO_CELSIUS, ArrayLike, Floats
from levigate.science.density import density_water

__all__ = ["activity_coefficient_davies", "permittivity_water", "pkw_water"]

# Powers of the Celsius temperature, from Malmberg and Maryott.
_PERMITTIVITY = (87.740, -0.40008, 9.398e-4, -1.410e-6)

# IAPWS R11-07: densities in g/cm³, temperatures in K.
_COORDINATION = 6
_ALPHA = (-0.864671, 8659.19, -22786.2)
_BETA = (0.642044, -56.8534, -0.375754)
_GAMMA = (0.61415, 48251.33, -67707.93, 1.01021e7)
_WATER_MOLAR_MASS = 0.018015268

# In C, F/m and 1/mol; the first and the last are exact in the SI of 2019, the permittivity is CODATA's of 2018.
_ELEMENTARY_CHARGE = 1.602176634e-19
_VACUUM_PERMITTIVITY = 8.8541878128e-12
_AVOGADRO = 6.02214076e23
# Beyond this no ion is charged; it only keeps the squares of nonsense finite.
_MOST_CHARGED = 100.0


def permittivity_water(temperature: ArrayLike) -> Floats:
    r"""Return the relative permittivity (dielectric constant) of pure water.

    .. math:: \varepsilon = 87.740 - 0.40008\,t + 9.398\times10^{-4}\,t^2 - 1.410\times10^{-6}\,t^3

    Parameters
    ----------
    temperature : array_like
        Temperature of the water. [K]

    Returns
    -------
    numpy.ndarray
        Relative permittivity. [1]

    Notes
    -----
    Holds from 0 to 100 °C at atmospheric pressure; nan outside. Seen from 0.19 % below the international
    formulation of 1997 at 0 °C to 0.17 % above it at 75 °C, which moves a pH by 0.001 or less.

    Source: Malmberg-Maryott-1956.
    """
    kelvin = np.asarray(temperature, float)
    # The density knows the range, and its edge; adding a number of finite size keeps nan where it was.
    t = np.where(np.isfinite(density_water(kelvin)), kelvin, np.nan) - ZERO_CELSIUS
    return np.asarray(np.polynomial.polynomial.polyval(t, np.asarray(_PERMITTIVITY)))


def pkw_water(temperature: ArrayLike) -> Floats:
    r"""Return the negative logarithm of the ion product of water, on the scale of molalities.

    .. math:: pK_w = -2n\left[\log(1+Q) - \frac{Q}{1+Q}\rho(\beta_0 + \beta_1/T + \beta_2\rho)\right]
              + pK_w^G + 2\log M_w, \quad Q = \rho \exp(\alpha_0 + \alpha_1/T + \alpha_2 \rho^{2/3}/T^2)

    Parameters
    ----------
    temperature : array_like
        Temperature of the water. [K]

    Returns
    -------
    numpy.ndarray
        pKw. [1]

    Notes
    -----
    Holds from 0 to 100 °C at atmospheric pressure; nan outside. The formulation of 1980 (Marshall and Franck) is
    0.008 lower at 0 °C and 0.011 higher at 50 °C. Neutral water has half of it as its pH: 7.50 at 0 °C, 7.00 at
    25 °C, 6.63 at 50 °C.

    Source: IAPWS-R11-07.
    """
    kelvin = np.asarray(temperature, float)
    rho = density_water(kelvin) / 1000
    kelvin = np.where(np.isfinite(rho), kelvin, np.nan)
    q = rho * np.exp(_ALPHA[0] + _ALPHA[1] / kelvin + _ALPHA[2] / kelvin**2 * rho ** (2 / 3))
    bracket = np.log10(1 + q) - q / (1 + q) * rho * (_BETA[0] + _BETA[1] / kelvin + _BETA[2] * rho)
    gas = np.polynomial.polynomial.polyval(1 / kelvin, np.asarray(_GAMMA))
    return np.asarray(-2 * _COORDINATION * bracket + gas + 2 * np.log10(_WATER_MOLAR_MASS))


def _debye_hueckel_slope(temperature: Floats) -> Floats:
    """Return the slope A of the limiting law for common logarithms, in (kg/mol)^(1/2); 0.511 at 25 °C."""
    reach = _ELEMENTARY_CHARGE**2 / (4 * np.pi * _VACUUM_PERMITTIVITY * BOLTZMANN)
    cloud = np.sqrt(2 * np.pi * _AVOGADRO * density_water(temperature))
    return np.asarray((reach / (permittivity_water(temperature) * temperature)) ** 1.5 * cloud / np.log(10))


def activity_coefficient_davies(
    charge: ArrayLike, ionic_strength: ArrayLike, temperature: ArrayLike, davies_constant: ArrayLike = 0.3
) -> Floats:
    r"""Return the activity coefficient of an ion, on the scale of molalities.

    .. math:: \log\gamma = -A z^2\left(\frac{\sqrt{I}}{1+\sqrt{I}} - b I\right)

    Parameters
    ----------
    charge : array_like
        Charge of the ion, in elementary charges. [1]
    ionic_strength : array_like
        Ionic strength, half the sum of molality times square of the charge. [mol/kg]
    temperature : array_like
        Temperature of the water. [K]
    davies_constant : array_like
        The constant b: 0.3 (Davies, 1962; PHREEQC) or 0.2 (Davies, 1938). [kg/mol]

    Returns
    -------
    numpy.ndarray
        Activity coefficient; 1 for a molecule without charge. [1]

    Notes
    -----
    One constant for every ion, good to about 2 % of the coefficient at 0.1 mol/kg for charges of one, less good for
    more; not meant for more than 0.5 mol/kg, where the term b I has taken over. The slope A is computed from the
    permittivity and density of water: 0.4918 at 0 °C, 0.5108 at 25 °C, 0.5342 at 50 °C. A negative ionic strength
    gives nan. Print that gives 0.15 for b has the factor A = 0.5 multiplied in.

    Source: Davies-1962.
    """
    z, strength, kelvin, b = (np.asarray(x, float) for x in (charge, ionic_strength, temperature, davies_constant))
    z = np.where(np.abs(z) <= _MOST_CHARGED, z, np.nan)
    root = np.sqrt(np.where((strength >= 0) & (strength < np.inf), strength, np.nan))
    with np.errstate(over="ignore", under="ignore", invalid="ignore"):
        shielding = root / (1 + root) - b * root**2
        return np.asarray(10.0 ** (-_debye_hueckel_slope(kelvin) * z**2 * shielding))
