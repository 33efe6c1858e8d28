"""Density of mixtures: volumes added, and the real liquids for which adding volumes goes wrong."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from levigate.science.constants import ZERO_CELSIUS, ArrayLike, Floats

__all__ = [
    "density_ethanol_water",
    "density_glycerol_water",
    "density_mixture_ideal",
    "density_propylene_glycol_water",
    "density_water",
    "mass_fraction_ethanol_water",
    "volume_after_mixing_ethanol_water",
    "volume_change_on_mixing",
    "volume_fraction_ethanol_water",
]

# OIML R 22 (1975), p. 13; the same formula stands in Council Directive 76/766/EEC. Powers of the mass
# fraction run along a row. The C terms vanish in pure water and at 20 °C: check them at a half and 40 °C.
_A = (998.20123, -192.9769495, 389.1238958, -1668.103923, 13522.15441, -88292.78388, 306287.4042,
      -613838.1234, 747017.2998, -547846.1354, 223446.0334, -39032.85426)  # fmt: skip
_B = (-0.20618513, -5.2682542e-3, 3.6130013e-5, -3.8957702e-7, 7.1693540e-9, -9.9739231e-11)
_C = (
    (0.1693443461530087, -10.46914743455169, 71.96353469546523, -704.7478054272792, 3924.090430035045,
     -12101.64659068747, 22486.46550400788, -26055.62982188164, 18523.73922069467, -7420.201433430137,
     1285.617841998974),
    (-0.01193013005057010, 0.2517399633803461, -2.170575700536993, 13.53034988843029, -50.29988758547014,
     109.6355666577570, -142.2753946421155, 108.0435942856230, -44.14153236817392, 7.442971530188783),
    (-6.802995733503803e-4, 1.876837790289664e-2, -0.2002561813734156, 1.022992966719220, -2.895696483903638,
     4.810060584300675, -4.672147440794683, 2.458043105903461, -0.5411227621436812),
    (4.075376675622027e-6, -8.763058573471110e-6, 6.515031360099368e-6, -1.515784836987210e-6),
    (-2.788074354782409e-8, 1.345612883493354e-8),
)  # fmt: skip

# Kell's formula of 1975 as Bettin and Spieweck (1990) put it on the temperature scale of 1990.
_WATER = (999.83952, 16.952577, -7.9905127e-3, -4.6241757e-5, 1.0584601e-7, -2.8103006e-10)
_WATER_BELOW = 1.6887236e-2

#: Mass fraction of propylene glycol in the measurements of Nakanishi, Kato and Maruyama (1967). [1]
_GLYCOL_FRACTION = np.array(
    [0, 0.03617, 0.0803, 0.1439, 0.15949, 0.18081, 0.19846, 0.21782, 0.28554, 0.35798, 0.4026, 0.44649,
     0.47054, 0.54121, 0.56879, 0.60453, 0.64032, 0.69897, 0.80688, 0.82536, 0.9089, 1]
)  # fmt: skip
#: Density they measured at 25 °C. [kg/m³]
_GLYCOL_DENSITY = np.array(
    [997, 999.39, 1002.65, 1007.8, 1009.06, 1010.98, 1012.49, 1014.16, 1019.95, 1025.58, 1028.95, 1031.56,
     1033.24, 1036.61, 1037.55, 1038.81, 1039.54, 1040.18, 1039.83, 1039.46, 1037.06, 1032.41]
)  # fmt: skip

# A temperature turned from Fahrenheit or a sum of fractions must not fall off the edge by its last bit.
_EDGE = 1e-9
_NEWTON_STEPS = 6


def _horner(coefficients: Sequence[Floats | float], x: Floats) -> Floats:
    total = np.zeros_like(x)
    for coefficient in reversed(coefficients):
        total = total * x + coefficient
    return total


def _within(x: ArrayLike, low: float, high: float) -> Floats:
    """Return x where it is within the range of a formula, nan elsewhere."""
    value = np.asarray(x, float)
    return np.where((value >= low - _EDGE) & (value <= high + _EDGE), value, np.nan)


def _celsius(temperature: ArrayLike, low: float, high: float) -> Floats:
    return _within(np.asarray(temperature, float) - ZERO_CELSIUS, low, high)


def density_mixture_ideal(mass_fraction: ArrayLike, material_density: ArrayLike) -> Floats:
    r"""Return the density of a mixture whose volumes simply add.

    .. math:: \rho = \frac{\sum_i w_i}{\sum_i w_i / \rho_i}

    Parameters
    ----------
    mass_fraction : array_like
        Mass fraction of each material, along the last axis. [1]
    material_density : array_like
        Density of each material, along the last axis. [kg/m³]

    Returns
    -------
    numpy.ndarray
        Density of the mixture; the last axis is gone. [kg/m³]

    Notes
    -----
    Exact where mixing changes no volume: oils among themselves, a powder in a liquid. Seen 3.6 % too low for
    ethanol and water at worst (46 % by mass), 2.0 % for propylene glycol and water, 1.1 % for glycerol and
    water. The mean of densities by mass fraction is another, wrong, number. The fractions need not sum to 1,
    since mass and volume are both counted. A negative fraction, or a density not above zero, gives nan.

    Source: volumes-added.
    """
    w, rho = np.asarray(mass_fraction, float), np.asarray(material_density, float)
    # Judging all at once costs a tenth of judging row by row, which is left for arrays that hold something impossible.
    sound = bool(w.min(initial=0.0) >= 0 and rho.min(initial=np.inf) > 0)
    possible = sound or ((w >= 0) & (rho > 0)).all(axis=-1)
    with np.errstate(divide="ignore", invalid="ignore"):
        shares, volumes = np.broadcast_arrays(w, 1 / rho)
        return np.where(possible, shares.sum(axis=-1) / np.vecdot(shares, volumes), np.nan)


def volume_change_on_mixing(density_real: ArrayLike, mass_fraction: ArrayLike, material_density: ArrayLike) -> Floats:
    r"""Return by what share a mixture takes up more room than its parts did; negative where it shrinks.

    .. math:: \frac{V}{\sum_i V_i} - 1 = \frac{\rho_\mathrm{ideal}}{\rho} - 1

    The same number is the relative error of a density got by adding volumes.

    Parameters
    ----------
    density_real : array_like
        Density of the mixture as measured. [kg/m³]
    mass_fraction : array_like
        Mass fraction of each material, along the last axis. [1]
    material_density : array_like
        Density of each material at the same temperature, along the last axis. [kg/m³]

    Returns
    -------
    numpy.ndarray
        Relative change of volume. [1]

    Notes
    -----
    Follows from the definition; as good as the densities put in, all of them at one temperature.

    Source: volumes-added.
    """
    real = np.asarray(density_real, float)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(real > 0, density_mixture_ideal(mass_fraction, material_density) / real - 1, np.nan)


def density_water(temperature: ArrayLike) -> Floats:
    """Return the density of pure, air-free water at atmospheric pressure.

    Parameters
    ----------
    temperature : array_like
        Temperature of the water. [K]

    Returns
    -------
    numpy.ndarray
        Density of the water. [kg/m³]

    Notes
    -----
    Holds from 0 to 100 °C at 101.325 kPa; nan outside. Seen never more than 0.006 kg/m³ (6 in a million)
    below IAPWS-95. A reprint of the formula it comes from has two digits of the divisor exchanged
    (0.016897850 for 0.016879850) and is then 0.27 kg/m³ low at 20 °C.

    Source: Bettin-Spieweck-1990.
    """
    t = _celsius(temperature, 0, 100)
    return np.asarray(_horner(_WATER, t) / (1 + _WATER_BELOW * t))


def density_ethanol_water(mass_fraction: ArrayLike, temperature: ArrayLike) -> Floats:
    r"""Return the density of a mixture of ethanol and water.

    .. math:: \rho = \sum_{k=1}^{12} A_k p^{k-1} + \sum_{k=1}^{6} B_k (t - 20)^k
              + \sum_{i=1}^{5} \sum_k C_{i,k} p^k (t - 20)^i

    Parameters
    ----------
    mass_fraction : array_like
        Mass fraction of ethanol in the mixture. [1]
    temperature : array_like
        Temperature of the mixture. [K]

    Returns
    -------
    numpy.ndarray
        Density of the mixture. [kg/m³]

    Notes
    -----
    Holds from -20 to 40 °C; nan outside. It does not know that a weak mixture freezes below 0 °C. Meets the
    printed table of the recommendation within half its last digit (0.005 kg/m³), and the measurements of
    Osborne, McKelvy and Bearce (1913) within 0.1 kg/m³ from 45 to 80 % by mass and 10 to 40 °C.

    Source: OIML-R22-1975.
    """
    p, x = np.broadcast_arrays(_within(mass_fraction, 0, 1), _celsius(temperature, -20, 40) - 20)
    powers: list[Floats | float] = [_horner(_A, p)]
    powers += [b + p * _horner(c, p) for b, c in zip(_B, (*_C, (0.0,)), strict=True)]
    return np.asarray(_horner(powers, x))


def volume_fraction_ethanol_water(mass_fraction: ArrayLike) -> Floats:
    r"""Return the alcoholic strength by volume at 20 °C of a mixture of ethanol and water.

    .. math:: q = p \, \rho_{20}(p) / \rho_{20}(1)

    Parameters
    ----------
    mass_fraction : array_like
        Mass fraction of ethanol in the mixture. [1]

    Returns
    -------
    numpy.ndarray
        Volume of pure ethanol that is in one volume of the mixture, both at 20 °C. [1]

    Notes
    -----
    A definition, as good as `density_ethanol_water` at 20 °C. The density of pure ethanol is the formula's
    own (789.2387 kg/m³, printed as 789.24), so that pure ethanol is 1 exactly.

    Source: OIML-R22-1975.
    """
    p = _within(mass_fraction, 0, 1)
    return np.asarray(p * _horner(_A, p) / _horner(_A, np.asarray(1.0)))


def mass_fraction_ethanol_water(volume_fraction: ArrayLike) -> Floats:
    """Return the mass fraction of ethanol in a mixture with water whose strength by volume is known.

    Parameters
    ----------
    volume_fraction : array_like
        Volume of pure ethanol that is in one volume of the mixture, both at 20 °C. [1]

    Returns
    -------
    numpy.ndarray
        Mass fraction of ethanol in the mixture. [1]

    Notes
    -----
    Inverts `volume_fraction_ethanol_water` by Newton's method as far as a double can carry the polynomial
    (seen: 2e-13). 40 % by volume is 33.3 % by mass, not 40 % and not 36 %.

    Source: OIML-R22-1975.
    """
    p = q = _within(volume_fraction, 0, 1)
    product = (0.0, *_A)
    slope = tuple(k * a for k, a in enumerate(product))[1:]
    target = q * _horner(product, np.asarray(1.0))
    for _ in range(_NEWTON_STEPS):
        p = p - (_horner(product, p) - target) / _horner(slope, p)
    return np.asarray(p)


def volume_after_mixing_ethanol_water(
    volume_ethanol: ArrayLike, volume_water: ArrayLike, temperature: ArrayLike
) -> Floats:
    """Return the volume that pure ethanol and water fill once they are mixed.

    Parameters
    ----------
    volume_ethanol : array_like
        Volume of pure ethanol before mixing. [m³]
    volume_water : array_like
        Volume of water before mixing. [m³]
    temperature : array_like
        Temperature of both and, once it has cooled again, of the mixture. [K]

    Returns
    -------
    numpy.ndarray
        Volume of the mixture. [m³]

    Notes
    -----
    Holds from -20 to 40 °C; nan outside, and for nothing mixed with nothing. At 20 °C, 50 mL and 50 mL give
    96.46 mL.

    Source: OIML-R22-1975.
    """
    ethanol, water = (np.asarray(volume, float) for volume in (volume_ethanol, volume_water))
    ethanol, water = np.where(ethanol >= 0, ethanol, np.nan), np.where(water >= 0, water, np.nan)
    mass_ethanol = ethanol * density_ethanol_water(1.0, temperature)
    mass = mass_ethanol + water * density_ethanol_water(0.0, temperature)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(mass / density_ethanol_water(mass_ethanol / mass, temperature))


def density_glycerol_water(mass_fraction: ArrayLike, temperature: ArrayLike) -> Floats:
    r"""Return the density of a mixture of glycerol and water.

    .. math:: \rho = \frac{1 + A \sin(\pi w^{1.31})^{0.81}}{w/\rho_g + (1-w)/\rho_w}, \quad
              A = 1.78\times10^{-6} t^2 - 1.82\times10^{-4} t + 0.0141

    Parameters
    ----------
    mass_fraction : array_like
        Mass fraction of glycerol in the mixture. [1]
    temperature : array_like
        Temperature of the mixture. [K]

    Returns
    -------
    numpy.ndarray
        Density of the mixture. [kg/m³]

    Notes
    -----
    Holds from 15 to 30 °C; nan outside. Seen never more than 0.05 % (0.54 kg/m³) from the measurements of
    Bosart and Snoddy (1927) at 20, 25 and 30 °C. Pure glycerol is taken as 1273.3 - 0.6121 t, which meets
    theirs within 0.02 kg/m³; the rounded line 1273 - 0.612 t, also in circulation, is 0.3 kg/m³ low and the
    older 1277 - 0.654 t is 2.8 kg/m³ high at 20 °C.

    Source: Volk-Kaehler-2018.
    """
    w, t = _within(mass_fraction, 0, 1), _celsius(temperature, 15, 30)
    rho_water = 1000 * (1 - (np.abs(t - 3.98) / 615) ** 1.71)
    rho_glycerol = 1273.3 - 0.6121 * t
    # np.abs: at either end the sine may be a rounding error below zero, of which no power can be taken.
    wave = np.abs(np.sin(np.pi * np.abs(w) ** 1.31))
    shrinking = (1.78e-6 * t**2 - 1.82e-4 * t + 1.41e-2) * wave**0.81
    return np.asarray((1 + shrinking) / (w / rho_glycerol + (1 - w) / rho_water))


def density_propylene_glycol_water(mass_fraction: ArrayLike) -> Floats:
    """Return the density at 25 °C of a mixture of propylene glycol and water.

    Parameters
    ----------
    mass_fraction : array_like
        Mass fraction of propylene glycol in the mixture. [1]

    Returns
    -------
    numpy.ndarray
        Density of the mixture at 25 °C. [kg/m³]

    Notes
    -----
    Straight lines between 22 measured points; a smooth curve through them differs by 0.03 % at most. Other
    measurements at 25 °C lie up to 0.19 % to either side of these. The density has its maximum near 70 %,
    which adding volumes cannot show.

    Source: Nakanishi-1967.
    """
    return np.asarray(np.interp(_within(mass_fraction, 0, 1), _GLYCOL_FRACTION, _GLYCOL_DENSITY))
