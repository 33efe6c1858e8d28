"""Ways out where a line is too small for the scale: a bigger batch, a stock, a finer scale, each with its numbers."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from typing import Literal

from levigate import units
from levigate.bench.weighing import Scale, in_steps, least_shown
from levigate.formula.model import Formula, plain
from levigate.formula.premix import WATER
from levigate.quantities.swelling import density_of
from levigate.shelf.catalogue import Shelf
from levigate.shelf.catalogue import plain as plain_name
from levigate.shelf.record import Solubility
from levigate.words import tr

#: A line is taken for too small when its expanded weighing error passes this share of it.
WITHIN = 0.05
#: Stocks offered for a small line: parts of material in so many parts of stock.
_DILUTIONS = (10, 20, 50, 100, 1000)
#: Kinds of material that one dilutes another in.
_CARRIERS = ("solvent", "humectant", "oil", "ester", "hydrocarbon", "silicone")
#: Scales one can buy for a kitchen bench, by resolution. [g]
_SCALES = (Decimal("0.1"), Decimal("0.01"), Decimal("0.001"), Decimal("0.0001"))


@dataclass(frozen=True, slots=True)
class Stock:
    """A pre-dilution of a material in a carrier, of which a part goes into the batch."""

    material: str
    carrier: str
    #: Parts of stock that hold one part of the material.
    parts: int
    #: What is weighed to make the stock. [g]
    neat: Decimal
    carrier_grams: Decimal
    #: What of the stock goes into the batch, and what less of the carrier then. [g]
    takes: Decimal
    less: Decimal

    @property
    def wasted(self) -> float:
        """What is left of the stock. [g]"""
        return float(self.neat * self.parts - self.takes)


@dataclass(frozen=True, slots=True)
class WayOut:
    """One way to weigh a small line well enough."""

    kind: Literal["bigger batch", "stock", "finer scale"]
    says: str
    #: Mass that is made or wasted beyond what is wanted: the smaller, the cheaper. [g]
    extra_grams: float
    #: The batch to make, the scale to use, the stock to mix: the one that the kind asks for.
    batch: Decimal | None = None
    scale: Scale | None = None
    stock: Stock | None = None


def ways_out(
    formula: Formula,
    shelf: Shelf,
    position: int,
    total: float,
    scale: Scale,
    within: float = WITHIN,
    promised: dict[int, float] | None = None,
) -> tuple[WayOut, ...]:
    """Return the ways to weigh a small line within the error, the cheapest in material first.

    A bigger batch costs what it adds; a stock in a carrier of the same phase costs what is left of the stock; a finer
    scale costs no material, but a scale, so it comes last.

    Parameters
    ----------
    formula : Formula
        The formula.
    shelf : Shelf
        Its shelf.
    position : int
        Position of the line.
    total : float
        Mass of the batch. [g]
    scale : Scale
        The scale at hand.
    within : float
        Largest expanded weighing error that is put up with, as a share of the line. [1]
    promised : dict, optional
        Position of a line -> what stocks for other lines take off it already; what this one takes is added. [g]
    """
    line = [line for _, line in formula.lines()][position]
    batch = _two_digits_up(least_shown(scale, within) * 100 / line.percent)
    says = tr("make {grams} g or more").format(grams=plain(batch))
    ways = [WayOut("bigger batch", says, float(batch) - total, batch=batch)]
    promised = {} if promised is None else promised
    at, stock = _stock(formula, shelf, position, total, scale, within, promised)
    if stock is not None and stock.wasted < ways[0].extra_grams:  # else it would waste more than it spares
        ways.append(WayOut("stock", _in_words(stock), stock.wasted, stock=stock))
        promised[at] = promised.get(at, 0.0) + float(stock.less)
    ways.sort(key=lambda way: way.extra_grams)
    needed = float(line.percent) / 100 * total
    for step in _SCALES:
        finer = Scale(step)
        if step < scale.resolution and needed >= least_shown(finer, within):
            says = tr("weigh it on a scale that shows {step} g").format(step=plain(step))
            ways.append(WayOut("finer scale", says, math.inf, scale=finer))
            break
    return tuple(ways)


def _stock(
    formula: Formula,
    shelf: Shelf,
    position: int,
    total: float,
    scale: Scale,
    within: float,
    promised: dict[int, float],
) -> tuple[int, Stock | None]:
    """Return the pre-dilution of a line in the largest line of its phase that dissolves it, and which line that is."""
    lines = [line for _, line in formula.lines()]
    material = lines[position].material
    least = least_shown(scale, within)
    needed = float(lines[position].percent) / 100 * total
    for at, available in _carriers(formula, shelf, position, total, promised):
        carrier = lines[at].material
        for parts in _DILUTIONS:
            takes = in_steps(needed * parts, scale)
            less = takes - in_steps(needed, scale)
            left = available - float(less)
            enough = left >= least or abs(left) < scale.resolution / 2
            if takes < least or not enough or not _dissolves(shelf, material, carrier, parts):
                continue
            return at, Stock(material, carrier, parts, least, least * (parts - 1), takes, less)
    return -1, None


def _in_words(stock: Stock) -> str:
    return tr(
        "mix {neat} g {material} with {carrier_grams} g {carrier}; weigh {takes} g of this 1 in {parts} stock and "
        "{less} g less of the {carrier}"
    ).format(
        neat=plain(stock.neat),
        material=stock.material,
        carrier_grams=plain(stock.carrier_grams),
        carrier=stock.carrier,
        takes=plain(stock.takes),
        parts=stock.parts,
        less=plain(stock.less),
    )


def _carriers(
    formula: Formula, shelf: Shelf, position: int, total: float, promised: dict[int, float]
) -> list[tuple[int, float]]:
    """Return the lines of the phase that one would dilute in and what is not promised of each, most first. [g]"""
    lines = list(formula.lines())
    phase = lines[position][0]
    found = [
        (i, float(other.percent) / 100 * total - promised.get(i, 0.0))
        for i, (other_phase, other) in enumerate(lines)
        if i != position and other_phase is phase and _is_carrier(shelf, other.material)
    ]
    return sorted(found, key=lambda pair: -pair[1])


def _is_carrier(shelf: Shelf, material: str) -> bool:
    """Return whether a material is a plain liquid that one would dilute another in."""
    return material in shelf and shelf[material].form == "liquid" and shelf[material].kind in _CARRIERS


def _dissolves(shelf: Shelf, material: str, carrier: str, parts: int) -> bool:
    """Return whether one part in so many is known to dissolve in a carrier, with a fifth to spare.

    A solubility on record decides, whatever it says. Without one, two liquids that both belong in oil, or both in
    silicone, are taken to mix.
    """
    if material not in shelf:
        return False
    record, holds = shelf[material], shelf[carrier]
    kind = holds.affinity if holds.affinity in ("oil", "silicone") else ""
    said = [plain_name(carrier), plain_name(holds.inci), "water" if shelf.key(carrier) == WATER else kind]
    on_record = [entry for entry in record.solubility if plain_name(entry.liquid) in said]
    if on_record:
        nearest = min(on_record, key=lambda entry: said.index(plain_name(entry.liquid)))
        return _enough(nearest, parts, density_of(shelf, carrier).value)
    return bool(kind) and record.affinity == kind and record.form == "liquid" and record.made_of is None


def _enough(entry: Solubility, parts: int, carrier_density: float) -> bool:
    if entry.value == "miscible":
        return True
    least = str(entry.low if entry.value is None else entry.value)
    if not least[:1].isdigit():  # "insoluble", "<0.1 g/L", or an upper bound alone
        return False
    return 1 / (parts - 1) <= units.si(least, "density") / carrier_density / 1.2  # grams to a gram of carrier


def _two_digits_up(grams: Decimal) -> Decimal:
    size = Decimal(10) ** (grams.adjusted() - 1)
    return (grams / size).to_integral_value(ROUND_CEILING) * size
