"""A batch as it was weighed: its true composition, and what that changes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from levigate.bench.weighing import Scale
from levigate.formula.model import Formula
from levigate.formula.percent import deal_out
from levigate.formula.text import own_shelf, read_formula
from levigate.quantities.figure import Figure
from levigate.records.models import Batch
from levigate.records.shelf import shelf
from levigate.records.weighing import Standing
from levigate.review.engine import Review, review

#: Decimals of a true percent.
_PLACES = 6
#: A figure that moves by less than this share of itself is not told.
_TOLD = 0.005
_MOST_TOLD = 4
#: Rule that asks whether the scale is fine enough: it speaks of the plan, not of what came of it.
_OF_THE_PLAN = "small-line"


@dataclass(frozen=True, slots=True)
class Moved:
    """One figure, as planned and as weighed."""

    title: str
    before: str
    after: str
    #: Relative change; None where one of the two is not known. [%]
    by: float | None


@dataclass(frozen=True, slots=True)
class Shift:
    """What weighing otherwise than planned changes."""

    moved: tuple[Moved, ...]
    #: Titles of findings that come, and that go.
    new: tuple[str, ...]
    gone: tuple[str, ...]


def planned_formula(batch: Batch) -> Formula:
    """Return the formula that the batch is made from."""
    return read_formula(batch.version.text)


def as_weighed(now: Standing) -> Formula:
    """Return the formula as it was weighed; what is not weighed yet counts as it is asked for.

    What was measured on the product as planned is left out: it says nothing of this one.
    """
    formula = planned_formula(now.batch)
    total = Fraction(now.foreseen)
    if not total:
        return formula
    exact = [100 * Fraction(one.foreseen) / total for one in now.lines]
    percents = tuple(Decimal(value) for value in deal_out(exact, _PLACES))
    return replace(formula, measured={}).with_percents(percents)


def reviewed_as_weighed(now: Standing) -> Review:
    """Return the review of what was weighed."""
    return _review(as_weighed(now), now.batch)


def shift(now: Standing) -> Shift:
    """Return what moves from the composition planned to the one weighed, the most first."""
    before = _review(replace(planned_formula(now.batch), measured={}), now.batch)
    after = reviewed_as_weighed(now)
    moved = [one for name, figure in after.figures.items() if (one := _moved(before.figures.get(name), figure))]
    moved.sort(key=lambda one: -abs(one.by) if one.by is not None else 0.0)
    old, new = (
        {finding.title for finding in found.findings if finding.rule != _OF_THE_PLAN} for found in (before, after)
    )
    return Shift(tuple(moved[:_MOST_TOLD]), tuple(sorted(new - old)), tuple(sorted(old - new)))


def _review(formula: Formula, batch: Batch) -> Review:
    return review(formula, own_shelf(formula, shelf()), scale=Scale(batch.scale))


def _moved(before: Figure | None, after: Figure) -> Moved | None:
    if before is None or before.rows or after.rows or not (before.known or after.known):
        return None
    if before.known != after.known:
        return Moved(after.title, before.say(), after.say(), None)
    by = (after.value - before.value) / abs(before.value) if before.value else 0.0
    return Moved(after.title, before.say(), after.say(), 100 * by) if abs(by) >= _TOLD else None
