"""Getting to a pH: what an added acid or base does, how much of it is needed, and buffers made to measure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from levigate.science.acidity import REFERENCE_TEMPERATURE, Acidity, acidity
from levigate.science.acidity_rows import Chunk, Given
from levigate.science.charge_balance import LN10, Sums
from levigate.science.constants import ArrayLike, Floats

__all__ = ["BufferRecipe", "buffer_recipe", "reagent_to_reach", "titrate"]

_MOST_STEPS = 50
# Roots of the ionic strength to begin from where the first beginning leads nowhere, and what keeps that off zero.
_STARTS, _LEAST = (0.1, 0.3, 0.6, 1.0), 1e-7
# Minus the logarithm of the activity coefficient of a charge of one in about 0.1 mol/kg of salt.
_SHIELDING = 0.25
# A search ends with a step in the root of the ionic strength below this share of it.
_SMALL = 1e-11
# A pH that is already there needs no reagent, and rounding must not call that impossible. [mol/kg]
_NONE = 1e-12
# More than this is no answer: four kilograms of lye on each of water. [mol/kg]
_MOST = 100.0


@dataclass(frozen=True, slots=True)
class BufferRecipe:
    """What to dissolve for a buffer."""

    #: Molality of the partner with more protons. [mol/kg]
    acid_molality: Floats
    #: Molality of the partner with fewer. [mol/kg]
    base_molality: Floats
    #: Ionic strength of the buffer. [mol/kg]
    ionic_strength: Floats
    #: Strong base that one pH unit takes, as a slope. [mol/kg]
    buffer_value: Floats


def titrate(
    added: ArrayLike,
    molality: ArrayLike,
    pka: ArrayLike,
    charge: ArrayLike,
    reagent: ArrayLike,
    reagent_water: ArrayLike = 0.0,
    temperature: ArrayLike = REFERENCE_TEMPERATURE,
    davies_constant: ArrayLike = 0.3,
) -> Acidity:
    r"""Return the acidity of a solution after an acid, a base or a salt has been added.

    .. math:: m_i' = \frac{m_i + x r_i}{1 + x w}

    Parameters
    ----------
    added : array_like
        Moles of reagent per mass of water that was there before; an array of points gives a titration curve. [mol/kg]
    molality : array_like
        Molality of each solute before, along the last axis. [mol/kg]
    pka : array_like
        pKa of each step of each solute, as in `acidity`. [1]
    charge : array_like
        Charge of each solute's form with all protons, along the last axis. [1]
    reagent : array_like
        Moles of each solute that a mole of reagent brings, along the last axis: 1 sodium for sodium hydroxide, 1
        citrate for citric acid, 1 citrate and 3 sodium for trisodium citrate; below zero where it takes away. [1]
    reagent_water : array_like
        Mass of water that comes with a mole of reagent: 0.36 for lye of 10 %. [kg/mol]
    temperature : array_like
        Temperature of the solution. [K]
    davies_constant : array_like
        The constant b of the activity coefficients, see `activity_coefficient_davies`. [kg/mol]

    Returns
    -------
    ph : numpy.ndarray
        pH. [1]
    ionic_strength : numpy.ndarray
        Ionic strength. [mol/kg]
    buffer_value : numpy.ndarray
        Strong base that one pH unit takes, as a slope. [mol/kg]
    activity_coefficient : numpy.ndarray
        Activity coefficient of an ion of one charge. [1]

    Notes
    -----
    As `acidity`, and to the same 0.5 mol/kg. More taken away than there was gives nan.

    Source: mass-action.
    """
    x, w, m, r = (np.asarray(a, float) for a in (added, reagent_water, molality, reagent))
    with np.errstate(all="ignore"):
        thinner = (1 + x * w)[..., np.newaxis]
        mixed = (m + x[..., np.newaxis] * r) / np.where((w[..., np.newaxis] >= 0) & (thinner > 0), thinner, np.nan)
    return acidity(mixed, pka, charge, temperature, davies_constant)


def reagent_to_reach(
    ph: ArrayLike,
    molality: ArrayLike,
    pka: ArrayLike,
    charge: ArrayLike,
    reagent: ArrayLike,
    reagent_water: ArrayLike = 0.0,
    temperature: ArrayLike = REFERENCE_TEMPERATURE,
    davies_constant: ArrayLike = 0.3,
) -> Floats:
    r"""Return how much of an acid, a base or a salt brings a solution to a pH.

    At a given pH the charge that a mole of each solute bears is known, so that the balance is linear in the reagent:

    .. math:: x = -\frac{\sum_i m_i \bar z_i + [H] - [OH]}{\sum_i r_i \bar z_i + w([H] - [OH])}

    Parameters
    ----------
    ph : array_like
        pH to reach. [1]
    molality : array_like
        Molality of each solute before, along the last axis. [mol/kg]
    pka : array_like
        pKa of each step of each solute, as in `acidity`. [1]
    charge : array_like
        Charge of each solute's form with all protons, along the last axis. [1]
    reagent : array_like
        Moles of each solute that a mole of reagent brings, along the last axis, as in `titrate`. [1]
    reagent_water : array_like
        Mass of water that comes with a mole of reagent. [kg/mol]
    temperature : array_like
        Temperature of the solution. [K]
    davies_constant : array_like
        The constant b of the activity coefficients, see `activity_coefficient_davies`. [kg/mol]

    Returns
    -------
    numpy.ndarray
        Moles of reagent per mass of water that was there before. [mol/kg]

    Notes
    -----
    As `acidity`; `titrate` with the result gives the pH back, and says whether the ionic strength is still in range.
    nan where this reagent cannot do it with less than 100 mol/kg: a base for a lower pH, an acid too weak for the pH.

    Source: mass-action.
    """
    given = Given((molality, pka, charge), temperature, davies_constant, ph, reagent_water, reagent=reagent)
    found = given.empty()
    with np.errstate(all="ignore"):
        for chunk in given.chunks():
            found[chunk.place] = _reagent(chunk)
    return found.reshape(given.shape)


def _reagent(chunk: Chunk) -> Floats:
    """Return the amount found from the first beginning that leads to one not below zero."""
    u = LN10 * chunk.beside[0] + np.zeros_like(chunk.solutes.ion_charge)
    before = Sums.of(chunk.solutes, u, np.full_like(u, _SHIELDING)).square
    found = np.full_like(u, np.nan)
    for start in (np.sqrt(0.5 * before + _LEAST), *_STARTS):
        amount = _reagent_from(chunk, u, start + np.zeros_like(u))
        found = np.where(np.isnan(found), amount, found)
        if np.isfinite(found).all():
            break
    return found


def _reagent_from(chunk: Chunk, u: Floats, s: Floats) -> Floats:
    """Return the amount by Newton's method in the root of the ionic strength, nan where that leads nowhere."""
    w = np.where(chunk.beside[1] >= 0, chunk.beside[1], np.nan)
    amount, done = np.full_like(s, np.nan), np.zeros(s.shape, bool)
    for _ in range(_MOST_STEPS):
        g, g_s = chunk.water.shielding(s), chunk.water.shielding_slope(s)
        hydrogen, hydroxide = chunk.water.own_ions(u, g)
        own, net = hydrogen + hydroxide, hydrogen - hydroxide
        here, there = Sums.of(chunk.solutes, u, g), Sums.of(chunk.reagent, u, g)
        gives = there.charge + w * net
        x = -(here.charge + net) / gives
        x_g = -(here.square_u + net + x * (there.square_u + w * net)) / gives
        thinner = 1 + x * w
        forms = (here.square + x * there.square) / thinner
        forms_g = (here.square_g + x * there.square_g + x_g * (there.square - forms * w)) / thinner
        strength, strength_g = 0.5 * (forms + own), 0.5 * (forms_g + own)
        by_s = -(s * s - strength) / (2 * s - g_s * strength_g)
        # Where that would leave the ground, the ionic strength as it follows.
        plain = np.clip(np.sqrt(np.maximum(strength, 0)), 0.5 * s, 2 * s) - s
        by_s = np.where(np.abs(by_s) < 0.5 * s, by_s, plain)
        amount = np.where(done, amount, x)
        s = np.where(done, s, s + by_s)
        done = done | (np.abs(by_s) < _SMALL * s)
        if done.all():
            break
    return np.where(done & (amount > -_NONE) & (amount < _MOST), np.maximum(amount, 0.0), np.nan)


def buffer_recipe(
    ph: ArrayLike,
    total_molality: ArrayLike,
    pka: ArrayLike,
    charge: ArrayLike,
    acid_ions: ArrayLike,
    base_ions: ArrayLike,
    temperature: ArrayLike = REFERENCE_TEMPERATURE,
    davies_constant: ArrayLike = 0.3,
) -> BufferRecipe:
    r"""Return how much of an acid and of its salt, or of two salts of it, make a buffer of a pH and a strength.

    .. math:: a + b = m, \qquad a n_a + b n_b = -m \bar z(pH, I) - [H] + [OH]

    Parameters
    ----------
    ph : array_like
        pH to reach. [1]
    total_molality : array_like
        Molality of the acid and its salts together. [mol/kg]
    pka : array_like
        pKa of each step of the acid in falling number of protons, along the last axis; infinite where there is none.
        [1]
    charge : array_like
        Charge of the acid's form with all protons: 0 for phosphoric acid, 1 for Tris. [1]
    acid_ions : array_like
        Charge of the ions that the partner with more protons holds: 0 for citric acid, 1 for monosodium phosphate, -1
        for a hydrochloride. [1]
    base_ions : array_like
        Charge of the ions that the partner with fewer protons holds: 3 for trisodium citrate, 2 for disodium
        phosphate, 0 for a free amine. [1]
    temperature : array_like
        Temperature of the solution. [K]
    davies_constant : array_like
        The constant b of the activity coefficients, see `activity_coefficient_davies`. [kg/mol]

    Returns
    -------
    acid_molality : numpy.ndarray
        Molality of the partner with more protons. [mol/kg]
    base_molality : numpy.ndarray
        Molality of the partner with fewer protons. [mol/kg]
    ionic_strength : numpy.ndarray
        Ionic strength of the buffer. [mol/kg]
    buffer_value : numpy.ndarray
        Strong base that one pH unit takes, as a slope. [mol/kg]

    Notes
    -----
    As `acidity`, ions of one charge being meant (sodium, potassium, chloride). nan where these two partners cannot
    make that pH. A buffer holds well within one unit of a pKa.

    Source: mass-action.
    """
    total, acid, base = (np.asarray(x, float) for x in (total_molality, acid_ions, base_ions))
    steps, z = np.asarray(pka, float), np.asarray(charge, float)
    ladders = np.stack([steps, *[np.full_like(steps, np.inf)] * 2], axis=-2)
    charges = np.stack([z, np.ones_like(z), -np.ones_like(z)], axis=-1)
    of_acid, of_base = (_stack(1.0, np.maximum(n, 0), np.maximum(-n, 0)) for n in (acid, base))
    with np.errstate(all="ignore"):
        before, turned = total[..., np.newaxis] * of_acid, of_base - of_acid
        # The partners are apart where one holds more cations, or fewer anions, than the other.
        turned = np.where((acid < base)[..., np.newaxis], turned, np.nan)
    part = reagent_to_reach(ph, before, ladders, charges, turned, 0.0, temperature, davies_constant)
    part = np.where(part <= total, part, np.nan)
    found = acidity(before + part[..., np.newaxis] * turned, ladders, charges, temperature, davies_constant)
    return BufferRecipe(total - part, part, found.ionic_strength, found.buffer_value)


def _stack(*parts: ArrayLike) -> Floats:
    return np.stack(np.broadcast_arrays(*(np.asarray(x, float) for x in parts)), axis=-1)
