"""Plan a batch: what to weigh, how sure each weighing is, and what to do where the scale is too coarse."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from levigate.bench.ways import WITHIN, WayOut, ways_out
from levigate.bench.weighing import Scale, expanded_error, least_shown, round_to_scale
from levigate.errors import BatchError
from levigate.formula.model import HUNDRED, Formula, Makes, Phase, plain
from levigate.quantities.figure import Figure, figures
from levigate.quantities.inputs import gather
from levigate.quantities.saying import digits
from levigate.shelf.catalogue import Shelf
from levigate.words import tr


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
    #: At 20 °C, where a volume is stated.
    density: Figure
    #: Volume of the batch at 20 °C; nan where the density is not known. [mL]
    volume: float
    #: Smallest batch whose every line is weighed within ``within``, in whole steps of the scale. [g]
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
    _refuse_what_cannot_be_weighed(formula, loss, within)
    density = figures(gather(formula, shelf), ["stated_density"])["stated_density"]
    wanted = Fraction(repr(_grams_to_make(makes, density)))
    total = wanted / (1 - Fraction(repr(loss)))
    if total < Fraction(scale.resolution):
        says = tr("The whole batch is smaller than one step of the scale ({step} g).")
        raise BatchError(says.format(step=plain(scale.resolution)))
    exact = [total * Fraction(percent) / 100 for percent in formula.percents]
    rounded = round_to_scale(exact, scale.resolution)
    lines = tuple(_weighings(formula, shelf, exact, rounded, scale, within))
    whole = sum(rounded, Decimal(0))
    smallest, smallest_for = _smallest(formula, scale, within)
    return Batch(
        formula=formula,
        makes=makes,
        scale=scale,
        loss=loss,
        lines=lines,
        total=whole,
        yield_grams=float(whole) * (1 - loss),
        density=density,
        volume=float(whole) / density.value if density.known else math.nan,
        smallest=smallest,
        smallest_for=smallest_for,
        within=within,
        small=tuple(_small_lines(formula, shelf, lines, float(whole), scale, within)),
    )


def _refuse_what_cannot_be_weighed(formula: Formula, loss: float, within: float) -> None:
    if not formula.adds_up:
        wrong = tr("The lines add up to {total} %, not to 100 %; mend the formula before weighing it.")
        if formula.total == HUNDRED:
            wrong = tr("The other lines leave nothing for the q.s. line; mend the formula before weighing it.")
        raise BatchError(wrong.format(total=plain(formula.total)))
    if not 0 <= loss < 0.9:
        says = tr("A loss of {percent} % leaves nothing sensible; write for example --loss 3%.")
        raise BatchError(says.format(percent=f"{100 * loss:.4g}"))
    if not 0 < within <= 1:
        says = tr("A weighing error of {percent} % is none to keep within; write for example 5%.")
        raise BatchError(says.format(percent=f"{100 * within:.4g}"))


def _small_lines(
    formula: Formula, shelf: Shelf, lines: Iterable[Weigh], total: float, scale: Scale, within: float
) -> Iterator[SmallLine]:
    promised: dict[int, float] = {}
    for line in lines:
        if line.too_small:
            ways = ways_out(formula, shelf, line.position, total, scale, within, promised)
            yield SmallLine(line.position, line.material, _too_small(line, scale), ways)


def _grams_to_make(makes: Makes, density: Figure) -> float:
    count = makes.containers or 1
    if makes.mass is not None:
        return makes.mass * 1000 * count
    if makes.volume is None:
        raise BatchError(tr("Say how much to make, as --makes 500 g."))
    if not density.known:
        says = tr("A volume can be made only when the density is known, and it is not. {why}")
        raise BatchError(says.format(why=density.unknown))
    return makes.volume * 1e6 * count * density.value


def _weighings(
    formula: Formula, shelf: Shelf, exact: list[Fraction], rounded: list[Decimal], scale: Scale, within: float
) -> Iterable[Weigh]:
    running = Decimal(0)
    phase_before: Phase | None = None
    for i, (phase, line) in enumerate(formula.lines()):
        running = rounded[i] if phase is not phase_before else running + rounded[i]
        phase_before = phase
        error = expanded_error(float(rounded[i]), scale) if rounded[i] > 0 else None
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


def _smallest(formula: Formula, scale: Scale, within: float) -> tuple[float, str]:
    lines = [line for _, line in formula.lines() if line.percent > 0]
    least = min(lines, key=lambda line: line.percent)
    return float(least_shown(scale, within) * 100 / least.percent), least.material


def _too_small(line: Weigh, scale: Scale) -> str:
    step = plain(scale.resolution)
    if line.error_percent is None:
        nothing = tr("{grams} g rounds to nothing on a scale that shows {step} g")
        return nothing.format(grams=digits(line.exact_grams, 3), step=step)
    says = tr("{grams} g is ± {error} % on a scale that shows {step} g")
    return says.format(grams=plain(line.grams), error=digits(line.error_percent, 2), step=step)
