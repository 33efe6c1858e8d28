"""How much of a material a liquid takes up: from the shelf, with its spread and how that changes with temperature."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from levigate import units
from levigate.errors import UnitError
from levigate.formula.premix import WATER
from levigate.quantities.graph import Floats
from levigate.quantities.sourced import ROOM, si_of
from levigate.science.constants import GAS_CONSTANT
from levigate.science.solubility import (
    COSOLVENTS,
    cosolvency_power,
    mass_fraction_from_mole_fraction,
    solubility_ideal,
)
from levigate.shelf.record import Material, Solubility, Value

OIL = "oil"
#: Half-width of the 95 % interval of the logarithm of a solubility, by grade; judged from how far print differs.
SOLUBILITY_SPREAD = {"measured": 0.05, "supplier": 0.1, "handbook": 0.15, "typical": 0.4, "memory": 0.5}
#: Half-width of that logarithm for the rule of cosolvents, and for a liquid taken for its like: a factor of 3 and 2.
_RULE_SPREAD, _LIKE_SPREAD = math.log(3), math.log(2)
#: Heat of solution where nothing on record tells it, and its half-width. [J/mol]
USUAL_HEAT, _USUAL_HEAT_SPREAD = 20e3, 20e3
#: Half-width of a heat taken from the heat of melting, or from readings warmer than where it is used, as a share.
_ROUGH_HEAT = 0.5
#: Readings nearer than this to one another do not tell a heat. [K]
_APART = 4.9
#: The coldest that readings are chosen for. [K]
_COLD = 278.15
#: Triglyceride oil. [kg/mol]
_OIL_MOLAR_MASS = 0.88
#: An oil holds from a tenth of the ideal solubility to all of it: middle and half-width of the logarithm.
_BELOW_IDEAL, _IDEAL_SPREAD = math.sqrt(0.1), math.log(10) / 2
#: What "miscible" and "insoluble" stand for beside a number: as much as its own weight, and the pharmacopoeia's
#: 1 part in more than 10 000. [kg/m³]
_MISCIBLE, _INSOLUBLE = 1000.0, 0.1
_GLYCOL, _GLYCEROL, _SPIRIT = "propane-1,2-diol", "glycerol", "ethanol"
#: INCI name -> what solubilities on record call it, the like liquid whose solubilities stand in where there are none,
#: and the liquid of the rule of cosolvents.
_KIN = {
    "alcohol": ("ethanol", "", _SPIRIT),
    "alcohol denat.": ("ethanol", "", _SPIRIT),
    "isopropyl alcohol": ("isopropanol", "ethanol", _SPIRIT),
    "glycerin": ("glycerin", "", _GLYCEROL),
    "diglycerin": ("diglycerin", "glycerin", _GLYCEROL),
    "peg-8": ("peg-400", "", "macrogol 400"),
    "propylene glycol": ("propylene glycol", "", _GLYCOL),
    **{
        inci: (inci, "propylene glycol", _GLYCOL)
        for inci in ("propanediol", "butylene glycol", "dipropylene glycol", "pentylene glycol", "methylpropanediol",
                     "hexylene glycol", "1,2-hexanediol")
    },
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Liquid:
    """A liquid of the formula that solids can dissolve in: one that mixes with water, or all oils together."""

    name: str
    #: Its share of the whole. [1]
    share: float
    #: [kg/m³]
    density: float
    #: Places of its substances.
    places: tuple[int, ...]
    #: What solubilities on record call it, and the like liquid whose solubilities stand in where there are none.
    called: str
    like: str = ""
    #: Its name in the rule of cosolvents; empty where that has no numbers for it.
    rule: str = ""


@dataclass(frozen=True, slots=True)
class Capacity:
    """How much of a solute a volume of a liquid takes up at 25 °C."""

    #: Mass over the volume of the liquid alone. [kg/m³]
    value: float
    #: Half-width of the 95 % interval of its logarithm. [1]
    spread: float
    #: Where it is from: "" for a reading in that liquid, else in words.
    rough: str = ""
    basis: Value | None = None
    bound: str = ""


@dataclass(frozen=True, slots=True)
class Heat:
    """Heat that a solute takes up in dissolving, by amount."""

    #: [J/mol]
    value: float
    #: Half-width of the 95 % interval. [J/mol]
    spread: float
    #: Where it is from, in words.
    how: str


def liquids(substances: Sequence[str], records: Mapping[str, Material | None], whole: Floats) -> tuple[Liquid, ...]:
    """Return the liquids of a formula, water first and the oils, as one, last.

    Parameters
    ----------
    substances : sequence of str
        Names.
    records : mapping
        Record of each.
    whole : ndarray
        Mass fraction of each in the formula. [1]
    """
    found, oils = [], []
    for place, name in enumerate(substances):
        record, share = records.get(name), float(whole[place])
        if record is None or not share > 0 or record.form != "liquid" or not record.density:
            continue
        density = si_of(record.density[0], "density")
        if name == WATER or (record.kind == "extract" and record.affinity == "water"):
            found.append(Liquid(name, share, density, (place,), "water"))
        elif record.kind in ("solvent", "humectant") and record.affinity != "oil" and not _limited(record):
            kin = _KIN.get(record.inci.casefold(), (name, "", ""))
            found.append(Liquid(name, share, density, (place,), *kin))
        elif record.affinity == "oil":
            oils.append((place, share, density))
    found.sort(key=lambda liquid: liquid.name != WATER)
    if oils:
        share = sum(share for _, share, _ in oils)
        density = share / sum(share / density for _, share, density in oils)
        found.append(Liquid(OIL, share, density, tuple(place for place, _, _ in oils), OIL))
    return tuple(found)


def _limited(record: Material) -> bool:
    """Return whether water takes up only so much of a liquid."""
    return any(entry.liquid == "water" and _number(entry) is not None for entry in record.solubility)


@lru_cache(maxsize=4096)
def _number(entry: Solubility) -> float | None:
    """Return a solubility as it is printed; None where it is in words. [kg/m³]"""
    try:
        return entry.si("concentration")
    except UnitError:
        return None


def of_liquid(entry: Solubility, number: float, density: float | None) -> float:
    """Return a solubility by the volume of the liquid; where the basis is not said, the lower reading. [kg/m³]

    Parameters
    ----------
    entry : Solubility
        What is on record.
    number : float
        Its number. [kg/m³]
    density : float or None
        Density of the solute, where it is known: what dissolves takes room. [kg/m³]
    """
    if entry.per != "solution" or density is None or number >= density:
        return number
    return number / (1 - number / density)


def _spread(entry: Solubility) -> float:
    if entry.low is not None and entry.high is not None:
        low, high = (units.si(end, "concentration") for end in (entry.low, entry.high))
        if low > 0:
            return math.log(high / low) / 2
    if entry.spread is not None:
        return units.si(entry.spread, "concentration") / entry.si("concentration")
    return SOLUBILITY_SPREAD[entry.grade]


def read_at(entry: Solubility) -> float:
    """Return the temperature of a reading; a room's where it is not said. [K]"""
    return units.si(entry.at, "temperature") if entry.at else ROOM


@lru_cache(maxsize=4096)
def _readings(entries: tuple[Solubility, ...], called: str) -> tuple[tuple[float, float, Solubility], ...]:
    """Return temperature, number and entry of each reading in one liquid that is more than a bound."""
    found = [(read_at(entry), _number(entry), entry) for entry in entries if entry.liquid == called]
    return tuple((kelvin, number, entry) for kelvin, number, entry in found if number)


def heat_of(record: Material, called: str) -> Heat:
    """Return the heat of solution of a solute in a liquid: from two readings, else from its melting, else the usual."""
    return _heat(record.solubility, called, _molar_heat(record), _density(record))


def _density(record: Material) -> float | None:
    return si_of(record.density[0], "density") if record.density else None


def _molar_heat(record: Material) -> float | None:
    if not (record.melting_heat and record.molar_mass):
        return None
    return si_of(record.melting_heat[0], "specific energy") * si_of(record.molar_mass[0], "molar mass")


@lru_cache(maxsize=4096)
def _heat(entries: tuple[Solubility, ...], called: str, melting: float | None, density: float | None) -> Heat:
    readings = [one for one in _readings(entries, called) if not one[2].bound]
    if readings:
        base = min(readings, key=lambda one: abs(one[0] - ROOM))
        others = [one for one in readings if abs(one[0] - base[0]) > _APART]
        if others:
            other = min(others, key=lambda one: abs(one[0] - _COLD))
            per = GAS_CONSTANT / (1 / base[0] - 1 / other[0])
            warm, cold = (of_liquid(entry, number, density) for _, number, entry in (base, other))
            value = per * math.log(cold / warm)
            spread = abs(per) * math.hypot(_spread(base[2]), _spread(other[2]))
            rough = _ROUGH_HEAT * abs(value) if other[0] > base[0] else 0.0
            at = " and ".join(f"{kelvin - 273.15:.0f}" for kelvin in sorted((base[0], other[0])))
            return Heat(value, max(spread, rough), f"readings at {at} °C")
    if melting is not None:
        return Heat(melting, _ROUGH_HEAT * melting, "its heat of melting, as in an ideal solution")
    return Heat(USUAL_HEAT, _USUAL_HEAT_SPREAD, "0 to 40 kJ/mol, as usual, from memory")


def capacity(record: Material, liquid: Liquid) -> Capacity | None:
    """Return how much of a solute a liquid takes up at 25 °C; None where neither record nor rule tells it."""
    found = _on_record(record, liquid.called)
    if found is None and liquid.like and (found := _on_record(record, liquid.like)) is not None:
        found = Capacity(found.value, math.hypot(found.spread, _LIKE_SPREAD), f"as in {liquid.like}", found.basis)
    if found is not None:
        return found
    if liquid.name == OIL:
        return _ideal(record, liquid)
    return _by_rule(record, liquid.rule)


def _on_record(record: Material, called: str) -> Capacity | None:
    readings = _readings(record.solubility, called)
    if readings:
        kelvin, number, entry = min(readings, key=lambda one: (one[2].bound != "", abs(one[0] - ROOM)))
        heat = heat_of(record, called)
        moved = math.exp(-heat.value / GAS_CONSTANT * (1 / ROOM - 1 / kelvin))
        return Capacity(of_liquid(entry, number, _density(record)) * moved, _spread(entry), "", entry, entry.bound)
    for entry in record.solubility:
        if entry.liquid == called and entry.value in ("miscible", "insoluble"):
            value = _MISCIBLE if entry.value == "miscible" else _INSOLUBLE
            return Capacity(value, _RULE_SPREAD, str(entry.value), entry, "least" if value == _MISCIBLE else "most")
    return None


def _by_rule(record: Material, rule: str) -> Capacity | None:
    water = _on_record(record, "water")
    if water is None or rule not in COSOLVENTS or not record.log_kow:
        return None
    power = float(cosolvency_power(rule, si_of(record.log_kow[0], "share")))
    return Capacity(water.value * 10**power, math.hypot(water.spread, _RULE_SPREAD), f"by lg Kow, σ = {power:.2f}",
                    record.log_kow[0])  # fmt: skip


def _ideal(record: Material, liquid: Liquid) -> Capacity | None:
    heat = _molar_heat(record)
    if heat is None or not record.melting_point:
        return None
    melting = si_of(record.melting_point[0], "temperature")
    x = solubility_ideal(ROOM, melting, heat)
    w = float(mass_fraction_from_mole_fraction(x, si_of(record.molar_mass[0], "molar mass"), _OIL_MOLAR_MASS))
    if not 0 < w < 1:
        return None
    value = _BELOW_IDEAL * w / (1 - w) * liquid.density
    return Capacity(value, _IDEAL_SPREAD, "a tenth to all of the ideal solubility", record.melting_heat[0])


def capacities(record: Material, among: Sequence[Liquid]) -> list[Capacity] | None:
    """Return how much of a solute each liquid takes up; what is not known of a cosolvent is taken as of water.

    None where it is not known of the first: water, or the oils, or the only liquid there is.
    """
    found = [capacity(record, liquid) for liquid in among]
    first = found[0] if found else None
    if first is None:
        return None
    as_first = Capacity(first.value, first.spread, f"as in {among[0].name}", first.basis, first.bound)
    return [as_first if one is None else one for one in found]


def belongs_in(record: Material, among: Sequence[Liquid], *, takes_up: bool = False) -> tuple[int, ...]:
    """Return the places of the liquids that a solid belongs in: those of its phase, else those known to dissolve it.

    Parameters
    ----------
    record : Material
        The solid.
    among : sequence of Liquid
        The liquids of the formula.
    takes_up : bool
        Whether something in it carries oily things into water, so that its solubility in water does not bind.
    """
    oily = tuple(i for i, liquid in enumerate(among) if liquid.name == OIL)
    watery = tuple(i for i, liquid in enumerate(among) if liquid.name != OIL)
    if record.affinity == OIL:
        return oily or (() if takes_up else watery)
    if record.affinity not in ("water", "ethanol", "insoluble"):
        return ()
    in_oil = any(entry.liquid == OIL and _number(entry) is not None for entry in record.solubility)
    return watery or (oily if in_oil else ())


def held(record: Material, among: Sequence[Liquid]) -> float | None:
    """Return the share of the whole that could dissolve in some liquids at 25 °C; None where it is not known. [1]"""
    found = capacities(record, among)
    if found is None:
        return None
    volumes = np.array([liquid.share / liquid.density for liquid in among])
    middle = float(volumes @ np.log([one.value for one in found]) / volumes.sum())
    return math.exp(middle) * float(volumes.sum())
