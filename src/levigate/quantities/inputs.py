"""From a formula and a shelf to the arrays that the graph takes, with random draws and where each value came from."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

import numpy as np

from levigate import units
from levigate.errors import UnitError
from levigate.formula.model import Formula
from levigate.formula.premix import WATER, substances
from levigate.quantities.graph import Floats
from levigate.shelf.catalogue import Shelf
from levigate.shelf.record import GRADES, Material, Value

#: Grade of what is stated in the file or holds by definition.
EXACT = "exact"
#: Draws behind the spread of a figure.
DRAWS = 1000
#: 97.5 % point of the normal distribution: a 95 % half-width is so many standard deviations.
_NORMAL_95 = 1.959963984540054

#: Half-width of the 95 % interval of a density whose source gives none, as a share of the value, by grade. How these
#: were judged: docs/why/spreads.md.
DENSITY_SPREAD = {"measured": 0.005, "handbook": 0.003, "supplier": 0.01, "typical": 0.03, "memory": 0.05}

#: What would supply a missing input.
SUPPLY = {
    "material_density": (
        "weigh a syringe filled to a mark with {names}, work it out with `levigate reckon density "
        "mass=... volume=...` and "
        'write it into the formula file: [materials."{first}"] density = "... g/mL"'
    ),
    "material_price": 'write what you pay into the formula file: [materials."{first}"] price = "12 EUR/kg"',
    "batch_mass": 'write how much you make: makes = "500 g" under [formula]',
    "filled_volume": 'write how much you make: makes = "500 g" under [formula]',
    "container_volume": 'write what you fill: makes = "12 x 50 mL" under [formula]',
    "mass_per_container": 'write what you fill: makes = "12 x 50 g" under [formula]',
    "material_composition": "ask the supplier what it is made of and write it down: made_of = {{ ... }}",
    "mass_fraction": "make the lines sum to 100 %",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Input:
    """One value that a figure rests on, and on whose word."""

    name: str
    #: Position of the line it belongs to; None where it belongs to the whole formula.
    line: int | None
    #: SI.
    value: float
    unit: str
    grade: str
    source: str
    place: str = ""
    #: Half-width of the 95 % interval, SI; None where the value is exact.
    spread: float | None = None


@dataclass(frozen=True, slots=True)
class Inputs:
    """Arrays for the graph: row 0 holds the values as they stand, the other rows random draws."""

    formula: Formula
    materials: tuple[str, ...]
    substances: tuple[str, ...]
    given: dict[str, Floats]
    #: Leaf of the graph -> the values behind it.
    behind: dict[str, tuple[Input, ...]]
    #: Which of the arrays have a leading axis of draws.
    drawn: frozenset[str] = frozenset()
    currency: str = ""


def gather(formula: Formula, shelf: Shelf, *, draws: int = DRAWS, seed: int = 1) -> Inputs:
    """Return all inputs of a formula.

    Parameters
    ----------
    formula : Formula
        The formula.
    shelf : Shelf
        Its shelf, own materials included. A material that the shelf lacks has unknown properties: nan.
    draws : int
        Random draws beside the central row; 0 for none. [1]
    seed : int
        Seed of the draws, fixed so that the same file gives the same figures. [1]
    """
    lines = [line for _, line in formula.lines()]
    names = tuple(line.material for line in lines)
    fractions = np.array([float(line.percent) / 100 for line in lines])
    if not formula.adds_up:
        fractions = np.full(len(lines), np.nan)
    rng = np.random.default_rng(seed)
    records = [shelf.get(name) for name in names]
    densities = tuple(
        density_of(shelf, name) if record else _unknown(f"density of {name}", "kg/m³")
        for name, record in zip(names, records, strict=True)
    )
    densities = tuple(_placed(entry, i) for i, entry in enumerate(densities))
    prices, currency = _prices(names, records)
    known, shares = _composition(shelf, names)
    water = shares[:, known.index(WATER)] if WATER in known else np.zeros(len(names))
    oily = np.array([_oily(shelf, name) for name in known])
    given = {
        "mass_fraction": fractions,
        "material_density": _drawn(densities, rng, draws),
        "material_price": np.array([entry.value for entry in prices]),
        "material_composition": shares,
        "material_water": water,
        "material_oil": shares @ oily,
    }
    compositions = tuple(_composition_input(shelf, name, i) for i, name in enumerate(names))
    exact = tuple(
        Input(f"share of {name}", i, float(fractions[i]), "1", EXACT, "own-word") for i, name in enumerate(names)
    )
    behind = {
        "mass_fraction": exact,
        "material_density": densities,
        "material_price": prices,
        "material_composition": compositions,
        "material_water": compositions,
        "material_oil": compositions,
    }
    _add_makes(formula, given, behind)
    drawn = frozenset({"material_density", *_add_measured(formula, given, behind, rng, draws)})
    return Inputs(formula, names, known, given, behind, drawn, currency)


def density_of(shelf: Shelf, name: str) -> Input:
    """Return the density of a material: its own, else from its parts with volumes added, else not known. [kg/m³]"""
    record = shelf[name]
    label = f"density of {name}"
    if record.density:
        value = record.density[0]
        number = value.si("density")
        spread = _half_width(value, number)
        return Input(label, None, number, "kg/m³", value.grade, value.source, value.place, spread)
    if record.made_of is None:
        return _unknown(label, "kg/m³")
    specific, variance, worst = 0.0, 0.0, str(record.made_of.grade)
    for part, share in substances(shelf, name).items():
        entry = density_of(shelf, part) if part in shelf and shelf[part].made_of is None else _unknown(label, "kg/m³")
        if math.isnan(entry.value):
            return _unknown(label, "kg/m³")
        term = float(share) / entry.value
        specific += term
        variance += (term * (entry.spread or 0.0) / entry.value) ** 2
        worst = max(worst, entry.grade, key=GRADES.index)
    spread = math.sqrt(variance) / specific**2
    return Input(label, None, 1 / specific, "kg/m³", worst, "computed-from-parts", "", spread)


def _half_width(value: Value, number: float) -> float:
    if value.spread is not None:
        return units.si(value.spread, "density")
    if value.low is not None and value.high is not None:
        return (units.si(value.high, "density") - units.si(value.low, "density")) / 2
    return number * DENSITY_SPREAD[value.grade]


def _unknown(name: str, unit: str) -> Input:
    return Input(name, None, math.nan, unit, "memory", "memory")


def _placed(entry: Input, line: int) -> Input:
    return Input(entry.name, line, entry.value, entry.unit, entry.grade, entry.source, entry.place, entry.spread)


def _drawn(entries: tuple[Input, ...], rng: np.random.Generator, draws: int) -> Floats:
    """Return the values in row 0 and lognormal draws below: a density is positive, and its spread is a share of it."""
    centre = np.array([entry.value for entry in entries])
    relative = np.array([(entry.spread or 0.0) / entry.value / _NORMAL_95 for entry in entries])
    scatter = np.zeros((draws + 1, len(entries)))
    scatter[1:] = rng.standard_normal((draws, len(entries))) * relative
    return np.asarray(centre * np.exp(scatter))


def _composition(shelf: Shelf, names: tuple[str, ...]) -> tuple[tuple[str, ...], Floats]:
    parts: list[dict[str, Fraction]] = [substances(shelf, name) for name in names]
    known = tuple(dict.fromkeys(part for part_of in parts for part in part_of))
    shares = np.zeros((len(names), len(known)))
    for i, part_of in enumerate(parts):
        for part, share in part_of.items():
            shares[i, known.index(part)] = float(share)
    return known, shares


def _composition_input(shelf: Shelf, name: str, line: int) -> Input:
    made_of = shelf[name].made_of if name in shelf else None
    if made_of is None:
        return Input(f"composition of {name}", line, 1.0, "1", EXACT, "definition")
    return Input(f"composition of {name}", line, 1.0, "1", made_of.grade, made_of.source, made_of.place)


def _oily(shelf: Shelf, name: str) -> float:
    """Return 1 for a substance that belongs in the oil phase, 0 for one that does not, nan for one not on the shelf."""
    if name not in shelf:
        return math.nan
    record = shelf[name]
    return float(record.affinity in ("oil", "silicone"))


def _prices(names: tuple[str, ...], records: list[Material | None]) -> tuple[tuple[Input, ...], str]:
    found: list[Input] = []
    currencies: set[str] = set()
    for i, (name, record) in enumerate(zip(names, records, strict=True)):
        price = math.nan
        if record is not None and record.price is not None:
            price, currency = read_price(record.price)
            currencies.add(currency)
        elif record is not None and record.inci.casefold() == "aqua" and record.cas:
            price = 0.0  # water from the tap or the still; a price on one's own shelf outranks it
        found.append(Input(f"price of {name}", i, price, "money/kg", "supplier", "own-word"))
    if len(currencies) > 1:
        raise UnitError(f"Prices stand in {' and '.join(sorted(currencies))}; write them in one currency.")
    return tuple(found), next(iter(currencies), "")


@cache
def read_price(text: str) -> tuple[float, str]:
    """Return a price per kilogram and its currency, from ``"12 EUR/kg"`` or ``"4.50 GBP/100 g"``."""
    amount, slash, per = text.partition("/")
    parts = amount.split()
    try:
        if not slash or len(parts) != 2:
            raise ValueError
        number = float(parts[0])
        mass = units.si(per if per.strip()[:1].isdigit() else f"1 {per}", "mass")
        if not (0 <= number < 1e9 and mass > 0):
            raise ValueError
    except ValueError:
        raise UnitError(f'"{text}" is no price; write for example "12 EUR/kg" or "4.50 GBP/100 g".') from None
    return number / mass, parts[1]


def _add_makes(formula: Formula, given: dict[str, Floats], behind: dict[str, tuple[Input, ...]]) -> None:
    makes = formula.makes
    if makes is None:
        return

    def put(name: str, title: str, value: float, unit: str) -> None:
        given[name] = np.asarray(value)
        behind[name] = (Input(title, None, value, unit, EXACT, "own-word"),)

    count = makes.containers or 1
    if makes.mass is not None:
        put("batch_mass", "mass to make", makes.mass * count, "kg")
        if makes.containers:
            put("mass_per_container", "mass in a container", makes.mass, "kg")
    elif makes.volume is not None:
        put("filled_volume", "volume to make", makes.volume * count, "m³")
        if makes.containers:
            put("container_volume", "volume in a container", makes.volume, "m³")


def _add_measured(
    formula: Formula,
    given: dict[str, Floats],
    behind: dict[str, tuple[Input, ...]],
    rng: np.random.Generator,
    draws: int,
) -> list[str]:
    """Put what was measured on the product in place of what would be computed; return the names."""
    found = [name for name in formula.measured if name == "density"]
    for name in found:
        entry = formula.measured[name]
        number = units.si(str(entry["value"]), "density")
        spread = units.si(str(entry["spread"]), "density") if "spread" in entry else number * DENSITY_SPREAD["measured"]
        how = ", ".join(str(entry[word]) for word in ("how", "date") if word in entry)
        behind[name] = (Input(f"measured {name}", None, number, "kg/m³", "measured", "own-word", how, spread),)
        given[name] = _drawn(behind[name], rng, draws)[:, 0]
    return found
