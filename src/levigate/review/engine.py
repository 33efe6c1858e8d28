"""Review a formula: its figures, its findings with remedies, and the cautions that go with it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import date

from levigate.bench.weighing import Scale, read_scale
from levigate.formula.model import Formula
from levigate.formula.text import own_shelf
from levigate.formula.uses import Use, use_of
from levigate.quantities.figure import Figure, figures
from levigate.quantities.inputs import DRAWS, Inputs, gather
from levigate.quantities.sourced import ROOM
from levigate.review.cautions import cautions_of
from levigate.review.findings import LEVELS, Finding, Remedy, Situation, rules
from levigate.shelf.catalogue import Shelf
from levigate.shelf.record import Caution


@dataclass(frozen=True, slots=True)
class Review:
    """What is to be said of a formula."""

    formula: Formula
    use: Use | None
    figures: dict[str, Figure]
    findings: tuple[Finding, ...]
    #: Always printed with a review.
    standing: tuple[str, ...]
    #: Of the materials in it: the material and the caution.
    cautions: tuple[tuple[str, Caution], ...]
    #: What the figures were computed from.
    inputs: Inputs = field(repr=False, compare=False)

    @property
    def stopped(self) -> bool:
        """Whether a finding says stop."""
        return any(finding.level == "stop" for finding in self.findings)

    def remedy(self, remedy_id: str) -> Remedy | None:
        """Return the remedy of this id, None if there is none."""
        return next((r for f in self.findings for r in f.remedies if r.id == remedy_id), None)


def review(
    formula: Formula,
    shelf: Shelf | None = None,
    *,
    scale: Scale | None = None,
    today: date | None = None,
    draws: int = DRAWS,
    temperature: float = ROOM,
) -> Review:
    """Return the review of a formula.

    Parameters
    ----------
    formula : Formula
        The formula.
    shelf : Shelf, optional
        One's own shelf over the catalogue; the catalogue if not given. The file's own materials go on top.
    scale : Scale, optional
        The scale at hand; one that shows 0.1 g if not given.
    today : date, optional
        The day on which the law is asked.
    draws : int
        Random draws behind the spread of the figures. [1]
    temperature : float
        Temperature of all figures; a warm room if not given. [K]
    """
    shelf = own_shelf(formula, shelf)
    inputs = gather(formula, shelf, draws=draws, temperature=temperature)
    shown = figures(inputs)
    use = use_of(formula.use)
    situation = Situation(formula, shelf, use, inputs, shown, scale or read_scale("0.1 g"), today)
    found = [finding for rule in rules().values() for finding in rule.check(situation)]
    found.sort(key=lambda finding: LEVELS.index(finding.level))
    standing, cautions = cautions_of(situation)
    return Review(formula, use, shown, tuple(_numbered(found)), standing, cautions, inputs)


def _letters(number: int) -> str:
    """Return a, b ... z, za, zb ... for 0, 1, ..."""
    return "z" * (number // 26) + chr(ord("a") + number % 26)


def _numbered(found: Iterable[Finding]) -> Iterable[Finding]:
    """Give each remedy an id: the rule, the number of its finding among that rule's, and a letter."""
    counts: dict[str, int] = {}
    for finding in found:
        number = counts[finding.rule] = counts.get(finding.rule, 0) + 1
        remedies = tuple(
            replace(remedy, id=f"{finding.rule}-{number}{_letters(i)}") for i, remedy in enumerate(finding.remedies)
        )
        yield replace(finding, remedies=remedies)
