"""What to add to a formula to reach a pH: the line that does it, solved through the same graph as its pH."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

import numpy as np

from levigate.errors import PercentError, SumError, came
from levigate.formula.model import Formula, plain
from levigate.formula.percent import adjust
from levigate.quantities.acids import FAR_BEYOND, MOST_STRENGTH
from levigate.quantities.figure import Figure, figures
from levigate.quantities.graph import Floats, evaluate
from levigate.quantities.inputs import Inputs, gather
from levigate.reckon.neutralising import hazards, read_stock
from levigate.reckon.solutions import is_water
from levigate.review.changes import added
from levigate.shelf.catalogue import Shelf
from levigate.shelf.species import Substance, species
from levigate.solve.nearest import candidates

#: Share of the computed amount that goes in first: lots differ, and what a formula holds unsaid takes up acid and base.
FIRST = Fraction(1, 2)
#: How near the pH of the answer must be, and the steps of a percent that are tried for it. [1], [%]
NEAR = 0.02
_STEPS = tuple(Decimal(step) for step in ("0.1", "0.01", "0.001", "0.0001"))
#: Line with which the search begins, and candidates in one evaluation. [%]
_TRIAL, _GRID = Decimal("0.0001"), 60
#: A pH within this of the target needs nothing.
_THERE = 0.005


@dataclass(frozen=True, slots=True)
class Reached:
    """A formula that reaches a pH, and what was done for it."""

    formula: Formula
    #: The line that was added or changed.
    position: int
    #: How much more of it there is than before; less than nought where it was lowered. [%]
    change: Decimal
    #: nan where the formula held no pH.
    before: float
    after: float
    #: Whether the ionic strength there is out of the range of the model.
    beyond: bool


def to_reach_ph(formula: Formula, shelf: Shelf, target: float, material: str) -> Formula | None:
    """Return the formula with so much of an acid, a base or a salt that it reaches a pH; None where that cannot be."""
    try:
        return reach_ph(formula, shelf, target, material).formula
    except PercentError:
        return None


def reach_ph(formula: Formula, shelf: Shelf, target: float, material: str) -> Reached:
    """Return what to add of a material so that a formula reaches a pH.

    The line of the material is changed where the formula has one, else added to the last phase; the q.s. line gives
    way, without one all others in proportion. A measured pH of the formula before shifts the sum by what the two
    differ.

    Parameters
    ----------
    formula : Formula
        A formula that adds up.
    shelf : Shelf
        Its shelf.
    target : float
        pH to reach. [1]
    material : str
        An acid, a base or a salt, or a stock of one, that the shelf knows.

    Raises
    ------
    PercentError
        When the target is none, the material has no say in it or cannot do it, or what is in the formula already is
        beyond what a sum can tell.
    """
    if not 0 <= target <= 14:
        raise PercentError(f"A pH of {target:.4g} is none that water has; it lies between 0 and 14.")
    if not formula.adds_up:
        raise PercentError(f"The lines add up to {plain(formula.total)} %, not to 100 %; mend that first.")
    _check_material(shelf, material)
    computed = replace(formula, measured={key: entry for key, entry in formula.measured.items() if key != "pH"})
    now = figures(gather(computed, shelf, draws=0), ["ph", "water_content"])
    _check_formula(now)
    trial, line = _with_line(computed, shelf, material)
    inputs = gather(trial, shelf, draws=0)
    blank = np.isnan(inputs.given["substance_acidity"])
    if blank.any():
        raise PercentError(f"What {inputs.unnamed['substance_acidity'][0]} does to the pH cannot be computed; measure.")
    search = _Search(trial, inputs, line)
    aim = target - _misjudged(formula, search, computed.percents[line] if trial is computed else Decimal(0))
    held = computed.percents[line] if trial is computed else Decimal(0)
    percent = search.nearest(aim, held)
    if percent is None:
        raise PercentError(_cannot(search, aim, held, material))
    after, strength = search.at([percent])[0]
    mended = adjust(trial, {line: percent})
    mended = replace(mended, measured=formula.measured)
    if trial is not computed and not percent:  # it is there already
        mended = formula
    shown = now["ph"]
    before = shown.value if shown.known else math.nan
    return Reached(mended, line, percent - held, before, float(after) + target - aim, bool(strength > MOST_STRENGTH))


def _check_material(shelf: Shelf, material: str) -> None:
    from levigate.formula.premix import substances

    if material not in shelf:
        raise PercentError(f"No material is called {came(material)}; `levigate materials` lists what the shelf has.")
    parts = list(substances(shelf, material))
    if not any(species().find(part) for part in parts):
        reasons = [species().unknown[key] for part in parts if (key := species().key(part)) in species().unknown]
        why = f": {reasons[0]}" if reasons else "; take an acid, a base or a salt, such as sodium hydroxide 10 %"
        raise PercentError(f"What {material} does to the pH cannot be computed{why}.")


def _check_formula(now: dict[str, Figure]) -> None:
    shown, water = now["ph"], now["water_content"]
    if not water.known or water.value <= 0:
        raise PercentError(
            "There is no water in it, so it has no pH."
            if water.known
            else f"The pH cannot be computed: {water.unknown}"
        )
    if not shown.known and shown.inputs and "air, gums and traces" not in shown.unknown:
        raise PercentError(
            f"{shown.unknown} By hand: weigh 50 g of it, add the acid or base in drops to the meter, weigh what it "
            "took, and scale that up."
        )


def _with_line(formula: Formula, shelf: Shelf, material: str) -> tuple[Formula, int]:
    """Return the formula with a line of the material of more than nought, and its position."""
    key = shelf.key(material) or material

    def place(one: Formula) -> int | None:
        lines = [line for _, line in one.lines()]
        there = [i for i, line in enumerate(lines) if (shelf.key(line.material) or line.material) == key]
        return next((i for i in there if lines[i].percent > 0), None)

    at = place(formula)
    if at is not None:
        return formula, at
    grown = added(formula, shelf, material, _TRIAL)
    at = None if grown is None else place(grown)
    if grown is None or at is None:
        raise PercentError("Nothing in the formula can give way to it: make a line q.s., or lower one.")
    return grown, at


class _Search:
    """The pH at any percent of one line."""

    def __init__(self, formula: Formula, inputs: Inputs, line: int) -> None:
        self._formula, self._given, self._line, self._positions = formula, inputs.given, line, list(inputs.positions)
        percents = formula.percents
        giver = formula.qs if formula.qs != line else None
        self.room = percents[line] + percents[giver] if giver is not None else sum(percents, Decimal(0))

    def at(self, percents: list[Decimal]) -> Floats:
        """Return the pH and the ionic strength at each percent, one row each; nan where no sum is good for it."""
        rows = candidates(self._formula, self._line, percents)[:, self._positions]
        found = evaluate(["charge_balance"], {**self._given, "mass_fraction": rows})["charge_balance"]
        return np.where(found[:, 1:2] <= FAR_BEYOND, found[:, :2], np.nan)

    def nearest(self, aim: float, held: Decimal) -> Decimal | None:
        """Return the percent, nearest to what it is, at which the pH is the aim; as round as that allows."""
        if abs(float(self.at([held])[0, 0]) - aim) < _THERE:
            return held
        room = float(self.room)
        grid = np.unique([0.0, float(held), *np.geomspace(1e-4, room * 0.999, 4 * _GRID)])
        over = self._over(grid, aim)
        turns = np.flatnonzero(over[:-1] * over[1:] < 0)
        if not turns.size:
            return None
        first = int(turns[np.abs(grid[turns] - float(held)).argmin()])
        low, high = float(grid[first]), float(grid[first + 1])
        for _ in range(3):
            fine = np.linspace(low, high, _GRID)
            over = self._over(fine, aim)
            turn = int(np.flatnonzero(over[:-1] * over[1:] <= 0)[0])
            low, high = float(fine[turn]), float(fine[turn + 1])
        return self._round(Decimal(repr((low + high) / 2)), aim)

    def _over(self, percents: Floats, aim: float) -> Floats:
        return self.at([Decimal(repr(float(percent))) for percent in percents])[:, 0] - aim

    def _round(self, percent: Decimal, aim: float) -> Decimal:
        for step in _STEPS:
            rounded = (percent / step).to_integral_value() * step
            if rounded > 0 and abs(float(self.at([rounded])[0, 0]) - aim) < NEAR / 2:
                return rounded
        return (percent / _STEPS[-1]).to_integral_value() * _STEPS[-1]


def _misjudged(formula: Formula, search: _Search, held: Decimal) -> float:
    """Return by how much a measured pH lies above the computed one; nought where none was measured."""
    if "pH" not in formula.measured:
        return 0.0
    off = float(str(formula.measured["pH"]["value"])) - float(search.at([held])[0, 0])
    return 0.0 if math.isnan(off) else off


def _cannot(search: _Search, aim: float, held: Decimal, material: str) -> str:
    now, more = search.at([held, held + _TRIAL * 10])[:, 0]
    start = f"{material} cannot bring this from pH {now:.2f} to {aim:.4g}"
    if (more - now) * (aim - now) <= 0:
        way, other = ("lowers", "a base") if aim > now else ("raises", "an acid")
        return f"{start}, for it {way} the pH or leaves it where it is; take {other}."
    strong = "sodium hydroxide" if aim > now else "citric acid"
    return (
        f"{start}: it is too weak for that, or it would take more salt than any sum is good for, or than the line that "
        f"gives way leaves room for; take a stronger one, such as {strong}."
    )


@dataclass(frozen=True, slots=True)
class Reagent:
    """What one adds as it stands on the shelf: a material, or a stock of one by its percent."""

    text: str
    #: What stands in the formula.
    material: str
    #: Share of the material in what is weighed. [1]
    strength: Fraction


def read_reagent(text: str, shelf: Shelf) -> Reagent:
    """Return what ``"sodium hydroxide 10 %"`` is: a material of the shelf, else a stock of one in water.

    Raises
    ------
    PercentError
        When it is neither.
    """
    words = " ".join(text.split())
    if words in shelf:
        return Reagent(words, words, Fraction(1))
    try:
        stock = read_stock(words)
    except SumError as trouble:
        raise PercentError(str(trouble)) from trouble
    return Reagent(
        words, stock.substance.key, Fraction(stock.strength / stock.substance.strength).limit_denominator(10**6)
    )


def minded(material: str, shelf: Shelf) -> tuple[str, ...]:
    """Return what is to be minded when an acid or a base is poured."""
    from levigate.formula.premix import substances

    acting = [part for part in substances(shelf, material) if not is_water(part) and species().find(part)]
    found: Substance | None = species().find(acting[0]) if acting else None
    if found is None:
        return ()
    share = float(substances(shelf, material)[acting[0]])
    return hazards([replace(read_stock(found.key), strength=share)])
