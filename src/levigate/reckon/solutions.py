"""What is dissolved in water, read as a person writes it, and what follows of it with its doubt."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from levigate import units
from levigate.errors import ShelfError, SumError, UnitError, came
from levigate.quantities.saying import digits
from levigate.quantities.sourced import Input
from levigate.reckon.sums import told_input
from levigate.science.acidity import REFERENCE_TEMPERATURE, pka_at_temperature
from levigate.science.constants import Floats
from levigate.shelf.catalogue import catalogue
from levigate.shelf.find import closest
from levigate.shelf.species import Substance, species

EXAMPLE = "citric acid 0.05 mol/kg, trisodium citrate 0.05 mol/kg"
#: Ionic strength beyond which the activity coefficients are out of their range. [mol/kg]
MOST_STRENGTH = 0.5
#: Half-width within which the balance of charges meets measured buffers (primary standards 0.015, recipes 0.025). [1]
MODEL_HALF = 0.025

_AMOUNT = r"[-+]?[\d.][^\s%a-zA-Z]*(?:[eE][-+]?\d+)?"
_UNIT = r"%|[A-Za-z]+(?:/(?:100 ?)?[A-Za-z]+)?"
_LEADS = re.compile(rf"({_AMOUNT})\s*({_UNIT})\s+(.+)")
_TRAILS = re.compile(rf"(.+?)\s+({_AMOUNT}|nan|inf)\s*({_UNIT})")
_DIMENSIONS = ("share", "molality", "mass")
#: Kinds of material that one does not weigh in without moving the pH.
_ACTS = ("acid", "base", "salt", "chelator")


@dataclass(frozen=True, slots=True)
class Solution:
    """Acids, bases and salts in water."""

    substances: tuple[Substance, ...]
    #: Of each, per mass of water. [mol/kg]
    molality: tuple[float, ...]
    #: Mass of water over that of the whole. [1]
    water: float
    #: What else is in it and taken as without a say in the pH.
    others: tuple[str, ...]
    #: How each molality was found.
    working: tuple[str, ...]

    def notes(self) -> tuple[str, ...]:
        """Return what is to be said of the substances, and of what else is in it."""
        said = [f"{one.key}: {one.note}." for one in self.substances if one.note]
        if self.others:
            said.append(
                f"Taken as without a say in the pH: {', '.join(self.others)}; alcohols and glycols above 10 % move "
                "every pKa, which is left out."
            )
        return tuple(said)


@dataclass(frozen=True, slots=True, eq=False)
class Case:
    """A solution as arrays, one row as told and one for each thing that may be off, shifted by its half-width."""

    keys: tuple[str, ...]
    #: Moles of each solute that a mole of each further substance brings (substance, solute). [1]
    brings: Floats
    charge: Floats
    #: (row, solute) [mol/kg]
    molality: Floats
    #: (row, solute, step)
    pka: Floats
    #: The constant of Davies, of each row. [kg/mol]
    davies: Floats
    #: What each row but the first shifts.
    shifted: tuple[str, ...]
    inputs: tuple[Input, ...]


def read_amounts(text: str) -> tuple[str, list[tuple[str, float]]]:
    """Return the dimension (share, molality or mass) and the names with their amounts of ``"citric acid 2%, ..."``."""
    found: list[tuple[str, float]] = []
    kinds: list[str] = []
    for part in (piece.strip() for piece in re.split(r";|,(?!\d)", text)):
        kind, name, amount = _part(part)
        if amount < 0:
            raise SumError(f'"{part}" is below nought, and nothing can be taken out of a mixture in this way.')
        kinds.append(kind)
        found.append((name, amount))
    if len(set(kinds)) > 1:
        raise SumError(
            f"Say all amounts alike: all in mol/kg of water, all in % of the whole or all in grams ({text})."
        )
    return kinds[0], found


def _part(part: str) -> tuple[str, str, float]:
    match, where = _LEADS.fullmatch(part), (3, 1, 2)
    if match is None:
        match, where = _TRAILS.fullmatch(part), (1, 2, 3)
    if match is None:
        raise SumError(f'{came(part)} is no amount of a substance; write for example "{EXAMPLE}", or "citric acid 2%".')
    name, number, unit = (match[i] for i in where)
    if unit.casefold() in ("m", "mm", "mol/l", "mmol/l", "g/l"):
        raise SumError(
            f'"{part}" counts per litre of solution; a pH is worked out per kilogram of water, so write mol/kg '
            "(in a thin solution the two are within 1 %), or % by mass."
        )
    for dimension in _DIMENSIONS:
        try:
            return dimension, name.strip(), units.si(f"{number} {unit}", dimension)
        except UnitError as trouble:
            said = str(trouble)
    raise SumError(f'"{part}": say the amount in mol/kg of water, in % of the whole or in g. {said}')


def read_solution(text: str) -> Solution:
    """Return the solution of ``"citric acid 2%, sodium hydroxide 0.6%"``, the rest being water.

    Raises
    ------
    SumError
        When an amount or a name cannot be read, or what it does to a pH cannot be told.
    """
    kind, parts = read_amounts(text)
    dissolved: list[tuple[Substance, float]] = []
    others: list[str] = []
    wet = rest = 0.0
    for name, amount in parts:
        for part, each in parts_of(name, amount, whole=True):
            if isinstance(part, Substance):
                dissolved.append((part, each))
            elif is_water(part):
                wet += each
            else:
                others.append(part)
                rest += each
    if not dissolved:
        raise SumError(f'Nothing in {came(text)} is an acid, a base or a salt; write for example "{EXAMPLE}".')
    if kind == "molality":
        return _by_molality(dissolved, [*others, *(["water"] if wet else [])])
    total = wet + rest + sum(amount for _, amount in dissolved)
    if kind == "share":
        wet += _left_for_water(total, told=any(is_water(name) for name, _ in parts))
        total = 1.0
    return _by_mass(dissolved, wet, total, tuple(dict.fromkeys(others)))


def is_water(name: str) -> bool:
    """Return whether a name is that of water."""
    return catalogue().key(name) == "aqua"


def _left_for_water(total: float, *, told: bool) -> float:
    if told and abs(total - 1) > 1e-6:
        raise SumError(
            f"The parts add up to {100 * total:.6g} %, not to 100 %; or leave the water out, it is the rest."
        )
    if total > 1 - 1e-6 and not told:
        raise SumError(f"The parts add up to {100 * total:.6g} % and leave no water for them to dissolve in.")
    return 0.0 if told else 1 - total


def parts_of(name: str, amount: float, *, whole: bool) -> list[tuple[Substance | str, float]]:
    """Return what a material is made of as far as it matters here: substances, water, and others by their names."""
    key = species().key(name)
    if key is not None:
        try:
            return [(species()[name], amount)]
        except ShelfError as trouble:
            raise SumError(str(trouble)) from trouble
    material = catalogue().get(name)
    if material is None:
        raise SumError(_no_such(name))
    if whole and material.made_of is not None and material.made_of.complete:
        shares = {part: float(share) / 100 for part, share in material.made_of.parts.items()}
        if any(species().key(part) for part in shares):
            return [found for part, share in shares.items() for found in parts_of(part, amount * share, whole=False)]
    if material.kind in _ACTS:
        raise SumError(f"What {name} does to the pH is not known here; measure it.")
    return [(catalogue().key(name) or name, amount)]


def _no_such(name: str) -> str:
    known = species()
    plain = name.casefold().strip()
    if plain in known.ions or plain in known.systems:
        return (
            f'"{name}" has a charge and cannot be weighed by itself: name it with its counter-ion, '
            f'as "{_with_counter_ion(plain)}".'
        )
    close = difflib.get_close_matches(plain, list(known.substances), n=1, cutoff=0.6) or closest(catalogue(), name)
    hint = f' Did you mean "{close[0]}"?' if close else ""
    return f"No acid, base or salt is called {came(name)}.{hint}"


def _with_counter_ion(solute: str) -> str:
    holding = [one for one in species().substances.values() if solute in dict(one.holds)]
    return max(holding, key=lambda one: len(one.holds)).key


def _by_molality(dissolved: Sequence[tuple[Substance, float]], beside: Sequence[str]) -> Solution:
    if beside:
        raise SumError(f"Only acids, bases and salts are counted in mol/kg of water, not {beside[0]}; write all in %.")
    molality = tuple(amount for _, amount in dissolved)
    whole = 1 + sum(amount * (one.molar_mass / one.strength - one.brought_water) for one, amount in dissolved)
    working = tuple(f"{one.key}: m = {digits(amount)} mol/kg of water" for one, amount in dissolved)
    return Solution(tuple(one for one, _ in dissolved), molality, 1 / whole, (), working)


def _by_mass(
    dissolved: Sequence[tuple[Substance, float]], wet: float, total: float, others: tuple[str, ...]
) -> Solution:
    amounts = [mass * one.amount_per_mass for one, mass in dissolved]
    wet += sum(moles * one.brought_water for (one, _), moles in zip(dissolved, amounts, strict=True))
    if not wet > 0:
        raise SumError('There is no water for them to dissolve in; say how much, as "water 98 g".')
    molality = tuple(moles / wet for moles in amounts)
    working = tuple(
        f"{one.key}: m = {digits(1000 * mass / total)} g / {digits(1000 * one.molar_mass)} g/mol "
        f"in {digits(1000 * wet / total)} g of water = {digits(amount)} mol/kg"
        for (one, mass), amount in zip(dissolved, molality, strict=True)
    )
    return Solution(tuple(one for one, _ in dissolved), molality, wet / total, others, working)


def case_of(solution: Solution, temperature: float, error: float, *more: Substance) -> Case:
    """Return a solution as arrays, with room for what further substances would bring.

    Parameters
    ----------
    solution : Solution
        What is dissolved.
    temperature : float
        Temperature. [K]
    error : float
        How far each amount may be off (95 %), as a share of it. [1]
    *more : Substance
        What is to be added.
    """
    if not 273.15 - 1e-9 <= temperature <= 373.15 + 1e-9:
        raise SumError(f"Water is liquid from 0 to 100 °C; {temperature - 273.15:.4g} °C is outside.")
    count = len(solution.substances)
    ladders = species().ladders([*solution.substances, *more])
    pka = pka_at_temperature(ladders.pka, ladders.enthalpy, temperature, ladders.heat_capacity)
    if np.isnan(pka).any():
        key = ladders.keys[int(np.argwhere(np.isnan(pka))[0, 0])]
        raise SumError(f"How the pKa of {key} moves with temperature is not known; leave the temperature at 25 °C.")
    if not pka.shape[1]:  # only salts of strong acids and bases, which have no step at all
        pka = np.full((len(ladders.keys), 1), np.inf)
    amounts = np.array(solution.molality)
    if (amounts > 100).any():
        raise SumError("More than 100 mol/kg of water is no solution; look at the unit.")
    base = amounts @ ladders.holds[:count]
    shifts: list[tuple[str, Floats, Floats, float]] = [("", base, pka, 0.3), ("activity coefficients", base, pka, 0.2)]
    inputs: list[Input] = []
    for i, one in enumerate(solution.substances):
        half = error * amounts[i]
        inputs.append(told_input(one.key, float(amounts[i]), "mol/kg", float(half) or None))
        shifts.append((f"amount of {one.key}", base + half * ladders.holds[i], pka, 0.3))
    for row, key in enumerate(ladders.keys):
        for column, step in enumerate(species().systems[key].steps if key in species().systems else ()):
            at = float(pka[row, column])
            name = f"pKa {column + 1} of {key}"
            inputs.append(Input(name, None, at, "1", step.grade, step.source, step.place, step.spread))
            if step.spread:
                moved = pka.copy()
                moved[row, column] += step.spread
                shifts.append((name, base, moved, 0.3))
    names, molality, constants, davies = zip(*shifts, strict=True)
    return Case(
        ladders.keys,
        ladders.holds[count:],
        ladders.charge,
        np.array(molality),
        np.array(constants),
        np.array(davies),
        names[1:],
        tuple(inputs),
    )


def half_of(rows: Floats, *beside: float) -> float:
    """Return half the 95 % interval of a result: what each shift does to it, and what else is told, in quadrature."""
    return math.sqrt(float(((rows[1:] - rows[0]) ** 2).sum()) + sum(each**2 for each in beside))


def beyond(strength: float) -> tuple[str, ...]:
    """Return what is to be said of an ionic strength that is out of the model's range."""
    if strength <= MOST_STRENGTH:
        return ()
    return (
        f"The ionic strength of {digits(strength, 2)} mol/kg is beyond {MOST_STRENGTH} mol/kg, where the activity "
        "coefficients of Davies end: no pH there is good to more than one decimal, and even that is to be measured.",
    )


def celsius(temperature: float) -> str:
    """Return a temperature as a working line shows it."""
    away = "" if abs(temperature - REFERENCE_TEMPERATURE) > 1e-6 else ", where the constants are tabulated"
    return f"{temperature - 273.15:.4g} °C{away}"
