"""Acids and bases in water: the pH of a mixture, what holds it there, and which part of an acid is free."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from levigate.science.acidity_rows import Given
from levigate.science.charge_balance import LN10, Balance, Search, _strength_at
from levigate.science.constants import GAS_CONSTANT, ArrayLike, Floats
from levigate.science.ions import activity_coefficient_davies

__all__ = [
    "REFERENCE_TEMPERATURE",
    "Acidity",
    "acidity",
    "buffer_value_at_ph",
    "free_acid_share",
    "ionic_strength_at_ph",
    "pka_apparent_davies",
    "pka_at_temperature",
    "species_share",
]

#: Temperature at which acid constants are tabulated, 25 °C. [K]
REFERENCE_TEMPERATURE = 298.15


@dataclass(frozen=True, slots=True)
class Acidity:
    """The acidity of a solution in water."""

    #: Minus the common logarithm of the activity of the hydrogen ions. [1]
    ph: Floats
    #: Ionic strength. [mol/kg]
    ionic_strength: Floats
    #: Strong base that one pH unit takes, as a slope. [mol/kg]
    buffer_value: Floats
    #: Activity coefficient of an ion of one charge. [1]
    activity_coefficient: Floats


def pka_at_temperature(
    pka: ArrayLike, enthalpy: ArrayLike, temperature: ArrayLike, heat_capacity: ArrayLike = 0.0
) -> Floats:
    r"""Return the pKa at a temperature from the one at 25 °C.

    .. math:: pK_a(T) = pK_a(T_0) + \frac{1}{R \ln 10}\left[\Delta H \left(\frac1T - \frac1{T_0}\right)
              - \Delta C \left(\frac{T_0}{T} - 1 + \ln\frac{T}{T_0}\right)\right]

    Parameters
    ----------
    pka : array_like
        Minus the common logarithm of the acid constant at 25 °C. [1]
    enthalpy : array_like
        Heat taken up when the proton leaves, at 25 °C: large for ammonium ions, small for carboxylic acids. [J/mol]
    temperature : array_like
        Temperature. [K]
    heat_capacity : array_like
        How that heat grows with the temperature; mostly negative. [J/(mol K)]

    Returns
    -------
    numpy.ndarray
        pKa at that temperature. [1]

    Notes
    -----
    Meant for 0 to 75 °C. Without the heat capacity, that of an acid without charge comes out 0.01 to 0.02 too
    low at 10 and 40 °C, and 0.04 to 0.06 at 0 °C. Tris loses 0.028 per kelvin, triethanolamine 0.020, acetic acid
    nothing to speak of. An infinite pKa, a step that is not there, stays infinite. A temperature not above zero gives
    nan.

    Source: Goldberg-2002.
    """
    at_25, heat, kelvin, capacity = (np.asarray(x, float) for x in (pka, enthalpy, temperature, heat_capacity))
    with np.errstate(all="ignore"):
        ratio = REFERENCE_TEMPERATURE / kelvin
        by_heat = heat * (1 / kelvin - 1 / REFERENCE_TEMPERATURE) - capacity * (ratio - 1 - np.log(ratio))
        # At the temperature of the tables a heat matters not, known or unknown.
        by_heat = np.where(ratio == 1, 0.0, by_heat)
        return np.where((kelvin > 0) & (kelvin < np.inf), at_25 + by_heat / (GAS_CONSTANT * LN10), np.nan)


def pka_apparent_davies(
    pka: ArrayLike,
    charge: ArrayLike,
    ionic_strength: ArrayLike,
    temperature: ArrayLike,
    davies_constant: ArrayLike = 0.3,
) -> Floats:
    r"""Return the pH at which half of an acid is free in a solution that holds salt.

    .. math:: pK_a' = pK_a + \log\frac{\gamma_{z-1}}{\gamma_z}

    Parameters
    ----------
    pka : array_like
        Minus the common logarithm of the acid constant without salt. [1]
    charge : array_like
        Charge of the form that holds the proton: 0 for acetic acid, 1 for ammonium. [1]
    ionic_strength : array_like
        Ionic strength of the solution. [mol/kg]
    temperature : array_like
        Temperature of the solution. [K]
    davies_constant : array_like
        The constant b of the activity coefficients, see `activity_coefficient_davies`. [kg/mol]

    Returns
    -------
    numpy.ndarray
        Apparent pKa. [1]

    Notes
    -----
    As good as `activity_coefficient_davies`: to 0.5 mol/kg. At 0.1 mol/kg an acid without charge has lost 0.11, the
    third step of citric acid 0.54, and an ammonium ion has gained 0.11.

    Source: Davies-1962.
    """
    z = np.asarray(charge, float)
    acid, base = (
        activity_coefficient_davies(form, ionic_strength, temperature, davies_constant) for form in (z, z - 1)
    )
    with np.errstate(all="ignore"):
        return np.asarray(np.asarray(pka, float) + np.log10(base / acid))


def free_acid_share(ph: ArrayLike, pka: ArrayLike) -> Floats:
    r"""Return which share of an acid still has its proton.

    .. math:: x = \frac{1}{1 + 10^{pH - pK_a}}

    Parameters
    ----------
    ph : array_like
        pH of the water. [1]
    pka : array_like
        pKa of the acid, the apparent one where there is salt. [1]

    Returns
    -------
    numpy.ndarray
        Share of the acid that is free. [1]

    Notes
    -----
    The law of mass action for an acid of one step (Henderson, Hasselbalch); of several steps see `species_share`. It
    counts what is in the water: of a preservative acid in an emulsion a part has gone into the oil. A printed table
    for benzoic acid says pKa 4.19 and gives the shares of 4.165.

    Source: mass-action.
    """
    difference = np.asarray(ph, float) - np.asarray(pka, float)
    with np.errstate(over="ignore"):
        return np.asarray(1 / (1 + 10.0**difference))


def species_share(
    ph: ArrayLike,
    pka: ArrayLike,
    charge: ArrayLike,
    ionic_strength: ArrayLike,
    temperature: ArrayLike,
    davies_constant: ArrayLike = 0.3,
) -> Floats:
    r"""Return the shares of all forms of an acid or base that has lost none, one, two ... of its protons.

    .. math:: x_j \propto \frac{1}{\gamma_{z-j}} 10^{\,j\,pH - pK_1 - \dots - pK_j}

    Parameters
    ----------
    ph : array_like
        pH of the solution. [1]
    pka : array_like
        pKa of each step in falling number of protons, along the last axis; infinite where there is no such step. [1]
    charge : array_like
        Charge of the form with all protons. [1]
    ionic_strength : array_like
        Ionic strength of the solution. [mol/kg]
    temperature : array_like
        Temperature of the solution. [K]
    davies_constant : array_like
        The constant b of the activity coefficients, see `activity_coefficient_davies`. [kg/mol]

    Returns
    -------
    numpy.ndarray
        Share of each form along the last axis, which is one longer than that of the pKa; they sum to 1. [1]

    Notes
    -----
    The law of mass action with `activity_coefficient_davies`, so to 0.5 mol/kg. With an ionic strength of 0 the
    textbook's curves.

    Source: mass-action.
    """
    acid, steps = np.asarray(ph, float), np.asarray(pka, float)
    lost = np.arange(steps.shape[-1] + 1)
    z, strength, kelvin, b = (
        np.asarray(x, float)[..., np.newaxis] for x in (charge, ionic_strength, temperature, davies_constant)
    )
    with np.errstate(all="ignore"):
        shielded = np.log10(activity_coefficient_davies(z - lost, strength, kelvin, b))
        ladder = np.concatenate([np.zeros((*steps.shape[:-1], 1)), np.cumsum(steps, axis=-1)], axis=-1)
        power = lost * acid[..., np.newaxis] - ladder - shielded
        share = 10.0 ** (power - power.max(axis=-1, keepdims=True))
        return np.asarray(share / share.sum(axis=-1, keepdims=True))


def acidity(
    molality: ArrayLike,
    pka: ArrayLike,
    charge: ArrayLike,
    temperature: ArrayLike = REFERENCE_TEMPERATURE,
    davies_constant: ArrayLike = 0.3,
) -> Acidity:
    r"""Return the pH of a mixture of acids, bases and salts in water, with its ionic strength and buffer value.

    Every solute is taken as a ladder of forms, from the one with all its protons down; an ion that neither gives nor
    takes protons (sodium, chloride) is a ladder without steps. The pH is where all charges cancel:

    .. math:: \frac{10^{-pH}}{\gamma_1} - \frac{K_w 10^{pH}}{\gamma_1} + \sum_i m_i \bar z_i(pH, I) = 0, \qquad
              I = \tfrac12 \sum m z^2

    Parameters
    ----------
    molality : array_like
        Moles of each solute, all its forms together, per mass of water, along the last axis. [mol/kg]
    pka : array_like
        pKa of each step of each solute at the temperature, in falling number of protons, along the last two axes;
        infinite where there is no such step. [1]
    charge : array_like
        Charge of each solute's form with all protons, along the last axis: 0 for citric acid and for citrates, 1 for
        Tris, 2 for arginine, 1 for sodium, -1 for chloride. [1]
    temperature : array_like
        Temperature of the solution. [K]
    davies_constant : array_like
        The constant b of the activity coefficients, see `activity_coefficient_davies`. [kg/mol]

    Returns
    -------
    ph : numpy.ndarray
        pH, on the scale of activities. [1]
    ionic_strength : numpy.ndarray
        Ionic strength, of the forms that are there. [mol/kg]
    buffer_value : numpy.ndarray
        Strong base that one pH unit takes, as the slope dC/dpH of the same balance, the base's own ions shielding too
        (Van Slyke's beta). [mol/kg]
    activity_coefficient : numpy.ndarray
        Activity coefficient of an ion of one charge, the mean one of a salt such as sodium chloride. [1]

    Notes
    -----
    Meets the seven primary pH standards at 25 °C within 0.015, from 0 to 50 °C within 0.02, and recipes of buffers
    measured to 0.01 within 0.025. **Beyond an ionic strength of 0.5 mol/kg the activity coefficients are out of their
    range: the numbers still come, and the caller is to say that they do not hold**; far beyond, some are nan.

    Pairs of ions are left out: a phosphate or carbonate of 0.05 mol/kg comes out about 0.01 off for its sodium, a
    citrate up to 0.07 too high, and magnesium or calcium beside phosphate or citrate shifts a pH by tenths. Carbon
    dioxide neither leaves nor enters. Everything is taken as dissolved in water; what glycols and ethanol do to a pKa
    is left out. Polymers (carbomer, proteins, phytic acid) have no such ladder.

    A charge left over is made good by hydrogen or hydroxide ions: sodium alone is sodium hydroxide, chloride alone
    hydrochloric acid. The balance closes within 1e-12 mol/kg, by Newton's method in both unknowns. A negative
    molality, an unknown pKa (nan) or a temperature outside 0 to 100 °C gives nan.

    Source: Davies-1962, mass-action.
    """
    given = Given((molality, pka, charge), temperature, davies_constant)
    parts = [given.empty() for _ in range(4)]
    with np.errstate(all="ignore"):
        for chunk in given.chunks():
            u, s = Search.run(chunk.solutes, chunk.water)
            buffer_value = LN10 / Balance.of(chunk.solutes, chunk.water, u, s).u_by_base()
            values = u / LN10, s * s, buffer_value, np.exp(-chunk.water.shielding(s))
            for part, value in zip(parts, values, strict=True):
                part[chunk.place] = value
    return Acidity(*(part.reshape(given.shape) for part in parts))


def ionic_strength_at_ph(
    ph: ArrayLike,
    molality: ArrayLike,
    pka: ArrayLike,
    charge: ArrayLike,
    temperature: ArrayLike = REFERENCE_TEMPERATURE,
    davies_constant: ArrayLike = 0.3,
) -> Floats:
    r"""Return the ionic strength of a solution whose pH is known: measured, or set by what is not counted here.

    .. math:: I = \tfrac12\left(\frac{10^{-pH} + K_w 10^{pH}}{\gamma_1}
              + \sum_i m_i \overline{z_i^2}(pH, I)\right)

    Parameters
    ----------
    ph : array_like
        pH. [1]
    molality : array_like
        Molality of each solute, along the last axis. [mol/kg]
    pka : array_like
        pKa of each step of each solute, as in `acidity`. [1]
    charge : array_like
        Charge of each solute's form with all protons, along the last axis. [1]
    temperature : array_like
        Temperature of the solution. [K]
    davies_constant : array_like
        The constant b of the activity coefficients, see `activity_coefficient_davies`. [kg/mol]

    Returns
    -------
    numpy.ndarray
        Ionic strength, of the forms that are there. [mol/kg]

    Notes
    -----
    At the pH that `acidity` finds it is the one that `acidity` finds. At any other the charges do not cancel: what
    makes up for them is not counted. As good as `activity_coefficient_davies`; nan where no ionic strength fits.

    Source: Davies-1962.
    """
    given = Given((molality, pka, charge), temperature, davies_constant, ph)
    found = given.empty()
    with np.errstate(all="ignore"):
        for chunk in given.chunks():
            found[chunk.place] = _strength_at(chunk.solutes, chunk.water, LN10 * chunk.beside[0])
    return found.reshape(given.shape)


def buffer_value_at_ph(
    ph: ArrayLike,
    ionic_strength: ArrayLike,
    molality: ArrayLike,
    pka: ArrayLike,
    charge: ArrayLike,
    temperature: ArrayLike = REFERENCE_TEMPERATURE,
    davies_constant: ArrayLike = 0.3,
) -> Floats:
    r"""Return the buffer value of a solution whose pH and ionic strength are known.

    .. math:: \beta = \frac{dC}{dpH}

    Parameters
    ----------
    ph : array_like
        pH. [1]
    ionic_strength : array_like
        Ionic strength. [mol/kg]
    molality : array_like
        Molality of each solute, along the last axis. [mol/kg]
    pka : array_like
        pKa of each step of each solute, as in `acidity`. [1]
    charge : array_like
        Charge of each solute's form with all protons, along the last axis. [1]
    temperature : array_like
        Temperature of the solution. [K]
    davies_constant : array_like
        The constant b of the activity coefficients, see `activity_coefficient_davies`. [kg/mol]

    Returns
    -------
    numpy.ndarray
        Strong base that one pH unit takes, as a slope. [mol/kg]

    Notes
    -----
    At the pH that `acidity` finds it is the one that `acidity` finds; at any other it is the slope of what is counted.

    Source: mass-action.
    """
    given = Given((molality, pka, charge), temperature, davies_constant, ph, ionic_strength)
    found = given.empty()
    with np.errstate(all="ignore"):
        for chunk in given.chunks():
            u, s = LN10 * chunk.beside[0], np.sqrt(chunk.beside[1])
            u, s = (x + np.zeros_like(chunk.solutes.ion_charge) for x in (u, s))
            found[chunk.place] = LN10 / Balance.of(chunk.solutes, chunk.water, u, s).u_by_base()
    return found.reshape(given.shape)
