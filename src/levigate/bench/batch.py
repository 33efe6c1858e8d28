"""Plan a batch: what to weigh, how sure each weighing is, and what to do where the scale is too coarse."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from levigate.bench.weighing import Scale, round_to_scale
from levigate.errors import BatchError
from levigate.formula.model import Formula, Makes, Phase, plain
from levigate.quantities.figure import Figure, figures
from levigate.quantities.inputs import gather
from levigate.science.metrology import smallest_mass, weighing_error
from levigate.shelf.catalogue import Shelf
from levigate.shelf.catalogue import plain as plain_name

#: A line is taken for too small when its expanded weighing error passes this share of it.
WITHIN = 0.05
#: Stocks offered for a small line: parts of material in so many parts of stock.
_DILUTIONS = (10, 20, 50, 100, 1000)
#: Kinds of material that one dilutes another in.
_CARRIERS = ("solvent", "humectant", "oil", "ester", "hydrocarbon", "silicone")
#: Scales one can buy for a kitchen bench, by resolution. [g]
_SCALES = (Decimal("0.1"), Decimal("0.01"), Decimal("0.001"), Decimal("0.0001"))


@dataclass(frozen=True, slots=True)
class Weigh:
    """One line of the batch sheet."""

    position: int
    phase: str
    material: str
    inci: str
    percent: Decimal
    #: What to weigh, in steps of the scale. [g]
    grams: Decimal
    #: What the formula asks for before rounding. [g]
    exact_grams: float
    #: Expanded error (k = 2) of weighing it once, in percent of the line; None for a line of nought. [%]
    error_percent: float | None
    #: What rounding to the scale changes, in percent of the line. [%]
    rounding_percent: float
    #: Running total on the scale when the vessel is not tared between lines. [g]
    running: Decimal
    too_small: bool


@dataclass(frozen=True, slots=True)
class WayOut:
    """One way to weigh a small line well enough."""

    kind: str
    says: str
    #: Mass of the batch, or of what is wasted: the smaller, the cheaper. [g]
    extra_grams: float


@dataclass(frozen=True, slots=True)
class SmallLine:
    """A line that the scale weighs too coarsely, with the ways out, the cheapest first."""

    position: int
    material: str
    says: str
    ways: tuple[WayOut, ...]


@dataclass(frozen=True, slots=True)
class Batch:
    """A planned batch."""

    formula: Formula
    makes: Makes
    scale: Scale
    #: Share of the bulk lost in vessel, on spatula and in samples. [1]
    loss: float
    lines: tuple[Weigh, ...]
    total: Decimal
    #: Bulk left to fill after the loss. [g]
    yield_grams: float
    density: Figure
    #: Volume of the batch; nan where the density is not known. [mL]
    volume: float
    #: Smallest batch whose every line is weighed within ``within``. [g]
    smallest: float
    #: The line that sets it.
    smallest_for: str
    within: float
    small: tuple[SmallLine, ...]


def plan(
    formula: Formula, shelf: Shelf, makes: Makes, scale: Scale, *, loss: float = 0.0, within: float = WITHIN
) -> Batch:
    """Return the plan of a batch.

    Parameters
    ----------
    formula : Formula
        A formula that adds up.
    shelf : Shelf
        Its shelf.
    makes : Makes
        What is to be filled in the end: a mass, a volume, or containers.
    scale : Scale
        The scale at hand.
    loss : float
        Share of the bulk that will not reach a container. [1]
    within : float
        Largest expanded weighing error of a line that is put up with, as a share of it. [1]

    Raises
    ------
    BatchError
        When the formula does not add up, the loss is no share, or a volume is asked for and the density is not known.
    """
    if not formula.adds_up:
        raise BatchError(
            f"The lines add up to {plain(formula.total)} %, not to 100 %; mend the formula before weighing it."
        )
    if not 0 <= loss < 0.9:
        raise BatchError(f"A loss of {loss:.0%} leaves nothing sensible; write for example --loss 3%.")
    density = figures(gather(formula, shelf), ["density"])["density"]
    grams = _grams_to_make(makes, density)
    total = Fraction(grams).limit_denominator(10**9) / (1 - Fraction(str(loss)))
    exact = [total * Fraction(percent) / 100 for percent in formula.percents]
    if total < Fraction(scale.resolution):
        raise BatchError(f"The whole batch is smaller than one step of the scale ({plain(scale.resolution)} g).")
    rounded = round_to_scale(exact, scale.resolution)
    lines = tuple(_weighings(formula, shelf, exact, rounded, scale, within))
    whole = sum(rounded, Decimal(0))
    smallest, smallest_for = _smallest(formula, scale, within)
    small = tuple(
        SmallLine(
            line.position,
            line.material,
            _too_small(line, scale),
            ways_out(formula, shelf, line.position, float(whole), scale, within),
        )
        for line in lines
        if line.too_small
    )
    volume = float(whole) / density.value if density.known else math.nan
    return Batch(
        formula,
        makes,
        scale,
        loss,
        lines,
        whole,
        float(whole) * (1 - loss),
        density,
        volume,
        smallest,
        smallest_for,
        within,
        small,
    )


def _grams_to_make(makes: Makes, density: Figure) -> float:
    count = makes.containers or 1
    if makes.mass is not None:
        return makes.mass * 1000 * count
    if makes.volume is None:
        raise BatchError("Say how much to make, as --makes 500 g.")
    if not density.known:
        raise BatchError(f"A volume can be made only when the density is known, and it is not: {density.unknown}")
    return makes.volume * 1e6 * count * density.value


def _weighings(
    formula: Formula, shelf: Shelf, exact: list[Fraction], rounded: list[Decimal], scale: Scale, within: float
) -> Iterable[Weigh]:
    running = Decimal(0)
    phase_before: Phase | None = None
    for i, (phase, line) in enumerate(formula.lines()):
        running = rounded[i] if phase is not phase_before else running + rounded[i]
        phase_before = phase
        mass = float(rounded[i])
        error = expanded_error(mass, scale) if mass > 0 else None
        change = float((Fraction(rounded[i]) - exact[i]) / exact[i]) if exact[i] else 0.0
        small = exact[i] > 0 and (error is None or error > within)
        record = shelf.get(line.material)
        yield Weigh(
            i,
            phase.letter,
            line.material,
            record.inci if record else "",
            line.percent,
            rounded[i],
            float(exact[i]),
            None if error is None else 100 * error,
            100 * change,
            running,
            small,
        )


def expanded_error(grams: float, scale: Scale) -> float:
    """Return the expanded error (k = 2) of weighing a mass once, as a share of it. [1]"""
    repeatability = None if scale.repeatability is None else float(scale.repeatability)
    return float(weighing_error(grams, float(scale.resolution), repeatability))


def least_grams(scale: Scale, within: float) -> float:
    """Return the least mass that the scale weighs within an expanded error. [g]"""
    repeatability = None if scale.repeatability is None else float(scale.repeatability)
    return float(smallest_mass(float(scale.resolution), within, repeatability))


def _smallest(formula: Formula, scale: Scale, within: float) -> tuple[float, str]:
    lines = [line for _, line in formula.lines() if line.percent > 0]
    least = min(lines, key=lambda line: line.percent)
    return least_grams(scale, within) * 100 / float(least.percent), least.material


def _too_small(line: Weigh, scale: Scale) -> str:
    if line.error_percent is None:
        return f"{line.exact_grams:.3g} g rounds to nothing on a scale that shows {plain(scale.resolution)} g"
    return f"{plain(line.grams)} g is ± {line.error_percent:.2g} % on a scale that shows {plain(scale.resolution)} g"


def ways_out(
    formula: Formula, shelf: Shelf, position: int, total: float, scale: Scale, within: float = WITHIN
) -> tuple[WayOut, ...]:
    """Return the ways to weigh a small line within the error, the cheapest in material first.

    A bigger batch costs what it adds; a stock in a carrier of the same phase costs what is left of the stock; a finer
    scale costs no material, but a scale, so it comes last unless nothing else works.
    """
    line = [line for _, line in formula.lines()][position]
    share = float(line.percent) / 100
    least = least_grams(scale, within)
    ways = [WayOut("bigger batch", f"make {_round_up(least / share)} g or more", least / share - total)]
    if (stock := _stock(formula, shelf, position, total, scale, least)) is not None:
        ways.append(stock)
    ways.sort(key=lambda way: way.extra_grams)
    for finer in _SCALES:
        if finer < scale.resolution and float(finer) * least / float(scale.resolution) <= share * total:
            ways.append(WayOut("finer scale", f"weigh it on a scale that shows {plain(finer)} g", math.inf))
            break
    return tuple(ways)


def _stock(formula: Formula, shelf: Shelf, position: int, total: float, scale: Scale, least: float) -> WayOut | None:
    """Return the pre-dilution of a line in the largest line that can carry it, with its numbers."""
    lines = list(formula.lines())
    phase, line = lines[position]
    carriers = [
        (other.material, float(other.percent) / 100 * total)
        for i, (other_phase, other) in enumerate(lines)
        if i != position and other_phase is phase
    ]
    carriers = [pair for pair in carriers if _is_carrier(shelf, pair[0])]
    if not carriers:
        return None
    carrier, available = max(carriers, key=lambda pair: pair[1])
    needed = float(line.percent) / 100 * total
    for parts in _DILUTIONS:
        stock_needed = needed * parts
        made = max(least * parts, stock_needed)  # the neat material in the stock must be weighable too
        if (
            stock_needed >= least
            and stock_needed - needed <= available
            and _dissolves(shelf, line.material, carrier, 1 / parts)
        ):
            neat = _step(made / parts, scale)
            takes = _step(stock_needed, scale)
            brought = _step(stock_needed - needed, scale)
            return WayOut(
                "stock",
                f"mix {plain(neat)} g {line.material} with {plain(neat * (parts - 1))} g {carrier}; weigh "
                f"{plain(takes)} g of this "
                f"1 in {parts} stock and {plain(brought)} g less of the {carrier}",
                made - stock_needed,
            )
    return None


def _is_carrier(shelf: Shelf, material: str) -> bool:
    """Return whether a material is a plain liquid that one would dilute another in."""
    return material in shelf and shelf[material].form == "liquid" and shelf[material].kind in _CARRIERS


def _dissolves(shelf: Shelf, material: str, carrier: str, share: float) -> bool:
    """Return whether it is known that a share of a material dissolves in a carrier, with a fifth to spare."""
    if material not in shelf:
        return False
    record, holds = shelf[material], shelf[carrier]
    for entry in record.solubility:
        if plain_name(entry.liquid) not in (
            plain_name(carrier),
            "water" if holds.inci.casefold() == "aqua" else "",
        ):
            continue
        if entry.value == "miscible":
            return True
        if isinstance(entry.value, str) and not entry.value.startswith("<"):
            return share <= entry.si("density") / 1000 / 1.2
    return record.form == "liquid" and record.made_of is None and record.affinity == holds.affinity


def _step(grams: float, scale: Scale) -> Decimal:
    return (Decimal(repr(grams)) / scale.resolution).to_integral_value() * scale.resolution


def _round_up(grams: float) -> str:
    size = 10 ** max(0, math.floor(math.log10(grams)) - 1)
    return f"{math.ceil(grams / size) * size:d}"
