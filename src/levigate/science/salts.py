"""Salts in water: how far they lower its activity, and saturated ones to check a hygrometer by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from levigate.errors import SumError
from levigate.science.constants import ZERO_CELSIUS, ArrayLike, Floats
from levigate.science.water_activity import MOLAR_MASS_WATER

__all__ = [
    "SALTS",
    "SATURATED_SALTS",
    "Salt",
    "SaturatedSalt",
    "humidity_saturated_salt",
    "osmotic_coefficient",
    "water_activity_salts",
]

# Pitzer's equation at 25 °C: slope of Debye and Hückel for the osmotic coefficient, and the b of its square root,
# both in (kg/mol)^½.
_SLOPE = 0.3915
_B = 1.2


@dataclass(frozen=True, slots=True)
class Salt:
    """One salt that is wholly split in water: its ions and Pitzer's parameters at 25 °C, in powers of kg/mol."""

    molar_mass: float
    cations: int
    cation_charge: int
    anions: int
    anion_charge: int
    beta_0: float
    beta_1: float
    beta_2: float
    c_phi: float
    #: Molality up to which the parameters were fitted, in mol/kg.
    highest_molality: float
    source: str = "May-2011"


#: Salts by chemical name, without water of crystallisation.
SALTS = {
    "sodium chloride": Salt(0.05844, 1, 1, 1, 1, 0.07831, 0.2677, 0, 0.000864, 6.148),
    "potassium chloride": Salt(0.074548, 1, 1, 1, 1, 0.04874, 0.2215, 0, -0.00098, 5.0),
    "ammonium chloride": Salt(0.053489, 1, 1, 1, 1, 0.05094, 0.2068, 0, -0.00285, 7.405),
    "magnesium chloride": Salt(0.095205, 1, 2, 2, 1, 0.3553, 1.644, 0, 0.005098, 5.925),
    "calcium chloride": Salt(0.110978, 1, 2, 2, 1, 0.31, 1.618, 0, -0.00125, 5.0),
    "sodium sulfate": Salt(0.142036, 2, 1, 1, 2, 0.01959, 1.049, 0, 0.005416, 5.0),
    "magnesium sulfate": Salt(0.120361, 1, 2, 1, 2, 0.2153, 3.29, -40.15, 0.02794, 3.618),
    "sodium formate": Salt(0.068007, 1, 1, 1, 1, 0.07486, 0.3067, 0, -0.00327, 3.5),
    "sodium acetate": Salt(0.082034, 1, 1, 1, 1, 0.1382, 0.3317, 0, -0.00496, 4.5),
    "sodium propionate": Salt(0.096061, 1, 1, 1, 1, 0.1799, 0.3169, 0, -0.01051, 3.0),
    "potassium acetate": Salt(0.098142, 1, 1, 1, 1, 0.1556, 0.3328, 0, -0.00533, 3.5),
    "sodium hydrogencarbonate": Salt(0.084006, 1, 1, 1, 1, -0.05876, 0.5535, 0, 0.008285, 1.3),
    "sodium dihydrogenphosphate": Salt(0.119976, 1, 1, 1, 1, -0.05135, 0.05496, 0, 0.007441, 6.5),
    "disodium hydrogenphosphate": Salt(0.141957, 2, 1, 1, 2, -0.02266, 1.249, 0, 0.00752, 2.0),
}


@dataclass(frozen=True, slots=True)
class SaturatedSalt:
    """Relative humidity in % over a saturated solution: powers of the temperature in °C, and between which."""

    coefficients: tuple[float, ...]
    lowest: float
    highest: float
    source: str = "Greenspan-1977"


#: Saturated solutions by chemical name. The signs are those that give the printed table (see tests).
SATURATED_SALTS = {
    "lithium chloride": SaturatedSalt((11.2323, 0.00824245, -2.1489e-4), 5, 80),
    "potassium acetate": SaturatedSalt((22.4388, 0.156288, -6.12268e-3), 10, 30),
    "magnesium chloride": SaturatedSalt((33.6686, -0.00797397, -1.08988e-3), 0, 80),
    "potassium carbonate": SaturatedSalt((43.1315, 0.00147523), 0, 30),
    "sodium chloride": SaturatedSalt((75.5164, 0.0398321, -2.65459e-3, 2.848e-5), 5, 80),
    "potassium chloride": SaturatedSalt((88.6190, -0.193340, 8.99706e-4), 5, 80),
    "potassium nitrate": SaturatedSalt((96.3361, 0.0112371, -4.84514e-3), 0, 50),
    "potassium sulfate": SaturatedSalt((98.7792, -0.0590502), 0, 50),
}


def osmotic_coefficient(salt: str, molality: ArrayLike) -> Floats:
    r"""Return the osmotic coefficient of one salt in water at 25 °C.

    Pitzer's equation, with :math:`I = \tfrac12 m \sum \nu z^2`:

    .. math:: \phi = 1 - |z_+ z_-| \frac{A \sqrt I}{1 + b \sqrt I}
                     + m \frac{2 \nu_+ \nu_-}{\nu} \left( \beta_0 + \beta_1 e^{-\alpha_1 \sqrt I}
                     + \beta_2 e^{-\alpha_2 \sqrt I} \right)
                     + m^2 \frac{2 (\nu_+ \nu_-)^{3/2}}{\nu} C

    Parameters
    ----------
    salt : str
        Name of the salt, a key of `SALTS` such as "sodium chloride". [-]
    molality : array_like
        Amount of the salt in one kilogram of water. [mol/kg]

    Returns
    -------
    numpy.ndarray
        Osmotic coefficient, 1 where the salt is infinitely thin. [1]

    Notes
    -----
    25 °C, from none up to the molality the parameters were fitted to; nan above. Sodium chloride is within 0.003 of
    the printed coefficients to 6 mol/kg, which is 0.0003 in water activity. Sodium lactate and sodium pyrrolidone
    carboxylate have no published parameters here, so they are not in the table.

    Source: May-2011.
    """
    known = _salts([salt])
    m = np.asarray(molality, float)
    with np.errstate(invalid="ignore", over="ignore"):
        strength = _strength_per_molality(known)[0] * m
        phi = _pitzer(known, np.where(m >= 0, strength, np.nan)[..., np.newaxis])[..., 0]
    return np.asarray(phi)


def water_activity_salts(salts: Sequence[str], mass_fraction: ArrayLike, water_fraction: ArrayLike) -> Floats:
    r"""Return the water activity that one or several salts leave together at 25 °C.

    Each salt's osmotic coefficient is taken at the ionic strength of all of them:

    .. math:: \ln a_w = -M_w \sum_i \nu_i m_i \phi_i(I)

    Parameters
    ----------
    salts : sequence of str
        Names of the salts, keys of `SALTS`, in the order of the last axis of the mass fractions. [-]
    mass_fraction : array_like
        Mass fraction of each salt without its water of crystallisation, along the last axis. [1]
    water_fraction : array_like
        Mass fraction of all the water, that of crystallisation included, without an axis for the salts. [1]

    Returns
    -------
    numpy.ndarray
        Water activity; the last axis is gone. [1]

    Notes
    -----
    As `osmotic_coefficient` for one salt. For two of them within 0.0015 of the full model of Pitzer (sodium with
    potassium chloride, sodium with magnesium chloride, up to 3 mol/kg), where the product of the two single values is
    0.004 too high. At 5 or 35 °C up to 0.006 off. Any salt outside its range at that ionic strength gives nan. Sugars
    and polyols in the same water: multiply by theirs (`water_activity_ross`).

    Source: May-2011, Kusik-Meissner-1973.
    """
    known = _salts(salts)
    w = np.asarray(mass_fraction, float)
    if w.shape[-1:] != (len(known),):
        raise SumError(f"{len(known)} salts were named but the last axis of their fractions has shape {w.shape}.")
    water = np.asarray(water_fraction, float)[..., np.newaxis]
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        molality = w / np.array([salt.molar_mass for salt in known]) / water
        molality = np.where((w >= 0) & (water > 0), molality, np.nan)
        strength = (molality * _strength_per_molality(known)).sum(axis=-1, keepdims=True)
        # A salt that is named but absent must not shut the others out by its narrower range.
        phi = np.where(molality == 0, 1.0, _pitzer(known, strength))
        ions = np.array([salt.cations + salt.anions for salt in known])
        return np.asarray(np.exp(-MOLAR_MASS_WATER * (ions * molality * phi).sum(axis=-1)))


def _salts(names: Sequence[str]) -> list[Salt]:
    for name in names:
        if name not in SALTS:
            raise SumError(f'There are no parameters for the salt "{name}"; known are {", ".join(SALTS)}.')
    return [SALTS[name] for name in names]


def _strength_per_molality(salts: Sequence[Salt]) -> Floats:
    return np.array([(s.cations * s.cation_charge**2 + s.anions * s.anion_charge**2) / 2 for s in salts])


def _pitzer(salts: Sequence[Salt], ionic_strength: Floats) -> Floats:
    """Return osmotic coefficients of each salt alone at an ionic strength; the last axis is that of the salts."""
    plus, minus, charges, b0, b1, b2, c, highest = np.array(
        [
            (s.cations, s.anions, s.cation_charge * s.anion_charge, s.beta_0, s.beta_1, s.beta_2, s.c_phi,
             s.highest_molality)
            for s in salts
        ]
    ).T  # fmt: skip
    both_divalent = charges == 4
    alpha_1 = np.where(both_divalent, 1.4, 2.0)
    alpha_2 = np.where(both_divalent, 12.0, 0.0)
    molality = ionic_strength / _strength_per_molality(salts)
    root = np.sqrt(ionic_strength)
    long_range = -charges * _SLOPE * root / (1 + _B * root)
    second = b0 + b1 * np.exp(-alpha_1 * root) + b2 * np.exp(-alpha_2 * root)
    phi = 1 + long_range + molality * 2 * plus * minus / (plus + minus) * second
    phi += molality**2 * 2 * (plus * minus) ** 1.5 / (plus + minus) * c
    return np.where(molality <= highest, phi, np.nan)


def humidity_saturated_salt(salt: str, temperature: ArrayLike) -> Floats:
    r"""Return the relative humidity over a saturated salt solution with crystals left, to check a hygrometer by.

    .. math:: h = \sum_i A_i t^i / 100

    Parameters
    ----------
    salt : str
        Name of the salt, a key of `SATURATED_SALTS` such as "sodium chloride". [-]
    temperature : array_like
        Temperature of solution and air alike. [K]

    Returns
    -------
    numpy.ndarray
        Relative humidity over the solution, which is its water activity. [1]

    Notes
    -----
    Within the temperatures of each salt; nan outside. A closed vessel at one temperature, wet crystals to be seen, a
    day of patience; good to about 0.005 then. Public copies carry wrong signs: a minus before the linear term of
    lithium chloride (10.9 % at 25 °C instead of 11.3 %) and of potassium carbonate, a plus before the quadratic term
    of potassium acetate (30 % instead of 22.5 %). Potassium nitrate is disputed: 93.6 % here, 91.9 % by another fit.

    Source: Greenspan-1977.
    """
    if salt not in SATURATED_SALTS:
        raise SumError(f'There is no saturated salt called "{salt}"; known are {", ".join(SATURATED_SALTS)}.')
    known = SATURATED_SALTS[salt]
    t = np.asarray(temperature, float) - ZERO_CELSIUS
    # Binary noise: 5 °C told in kelvin must stay within a range that begins at 5 °C.
    noise = 1e-9
    t = np.where((t >= known.lowest - noise) & (t <= known.highest + noise), t, np.nan)
    return np.asarray(np.polynomial.polynomial.polyval(t, known.coefficients) / 100)
