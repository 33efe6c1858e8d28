"""What is dissolved in water, read as a person writes it, and what follows of it with its doubt."""

from __future__ import annotations

import re
from dataclasses import dataclass

from levigate import units
from levigate.errors import SumError, UnitError, came
from levigate.quantities.sourced import Input
from levigate.science.constants import Floats
from levigate.shelf.species import Substance

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
        raise SumError(f"Say all amounts alike: all in mol/kg of water, all in % of the whole or all in grams ({text}).")
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
    wet, rest = 0.0, 0.0
    for name, amount in parts:
        for substance, each in _made_of(name, amount, kind, others):
            if substance is None:
                wet, rest = (wet + each, rest) if name in _waters() or each < 0 else (wet, rest + each)
            else:
                dissolved.append((substance, each))
    if not dissolved:
        raise SumError(f"Nothing in {came(text)} is an acid, a base or a salt; write for example \"{EXAMPLE}\".")
    if kind == "molality":
        return _by_molality(dissolved)
    return _by_mass(dissolved, wet, rest, kind, tuple(others))
