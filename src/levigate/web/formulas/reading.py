"""What the page of a formula shows, put together from its draft and its review."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

import tomli
from django.utils import timezone

from levigate.bench.weighing import Scale, read_scale
from levigate.formula.model import MEASURABLE, Line, Phase
from levigate.formula.model import Formula as Composition
from levigate.formula.percent import ways_to_mend
from levigate.formula.text import BOM, own_shelf, read_formula
from levigate.quantities.figure import Figure
from levigate.records.formulas import draft_of
from levigate.records.models import DraftState, Formula
from levigate.records.shelf import shelf
from levigate.review.engine import Review, review
from levigate.review.findings import Finding
from levigate.shelf.catalogue import Shelf
from levigate.shelf.record import Material
from levigate.words import language

#: Width of the bar of the greatest line, in the units of its drawing.
_BAR = 100.0


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the ledger."""

    position: int
    #: Place within its phase, and whether it is the last there.
    place: int
    last: bool
    line: Line
    record: Material | None
    key: str
    #: For the amount that the formula makes; None where it makes none or the mass is not known. [g]
    grams: float | None
    #: Share of the greatest line, for the bar. [%]
    bar: float
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Part:
    """One phase of the ledger."""

    phase: Phase
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Page:
    """All that the page of a formula shows."""

    record: Formula
    state: DraftState
    composition: Composition
    review: Review
    parts: tuple[Part, ...]
    figures: tuple[Figure, ...]
    total: Decimal
    #: Mass made; None where it is not known. [g]
    makes: float | None
    #: Ways to make the lines sum to 100, where they do not: what each does.
    mends: tuple[str, ...]
    can_undo: bool
    can_redo: bool

    @property
    def saved(self) -> bool:
        """Whether what is shown is saved as the version it grew from."""
        base = self.state.draft.base
        return base is not None and base.text == self.state.text

    @property
    def shape(self) -> str:
        """The container as the file names it."""
        return self._head("container", "shape") or self._head("container", "name")

    @property
    def keeps(self) -> str:
        """How long it should keep, as the file says."""
        return self._head("formula", "keeps")

    @property
    def daily(self) -> str:
        """How much is used in a day, as the file says."""
        return self._head("formula", "daily")

    def _head(self, table: str, word: str) -> str:
        return str(tomli.loads(self.state.text.removeprefix(BOM)).get(table, {}).get(word, ""))

    @property
    def measurable(self) -> tuple[str, ...]:
        """What may be measured on the product."""
        return tuple(MEASURABLE)

    @property
    def rows(self) -> list[Row]:
        """All lines."""
        return [row for part in self.parts for row in part.rows]


def page_of(record: Formula, scale: str, state: DraftState | None = None) -> Page:
    """Return the page of a formula as its draft stands."""
    state = state or draft_of(record)
    found = reviewed(state.text, scale)
    composition = found.formula
    makes = _makes(found)
    numbers = set(
        state.draft.states.filter(number__in=(state.number - 1, state.number + 1)).values_list("number", flat=True)
    )
    return Page(
        record=record,
        state=state,
        composition=composition,
        review=found,
        parts=tuple(_parts(found, makes)),
        figures=tuple(found.figures.values()),
        total=composition.total,
        makes=makes,
        mends=tuple(says for says, _ in ways_to_mend(composition)) if not composition.adds_up else (),
        can_undo=state.number - 1 in numbers,
        can_redo=state.number + 1 in numbers,
    )


def reviewed(text: str, scale: str) -> Review:
    """Return the review of a text on the shelf of the workshop; the same again is not reckoned again."""
    return _reviewed(text, scale, shelf(), timezone.localdate(), language())


@lru_cache(maxsize=64)
def _reviewed(text: str, scale: str, stock: Shelf, today: object, reads: str) -> Review:
    # The sentences of a review are those of whom it was worked out for, so that the language is part of the key.
    from datetime import date

    day = today if isinstance(today, date) else None
    return review(read_formula(text), stock, scale=read_scale(scale), today=day)


def scale_of(scale: str) -> Scale:
    """Return the scale of the preferences."""
    return read_scale(scale)


def _makes(found: Review) -> float | None:
    figure = found.figures.get("batch_mass")
    return figure.value if figure is not None and figure.known else None


def _parts(found: Review, makes: float | None) -> list[Part]:
    composition = found.formula
    stock = own_shelf(composition, shelf())
    most = max((float(percent) for percent in composition.percents), default=1.0) or 1.0
    by_line: dict[int, list[Finding]] = {}
    for finding in found.findings:
        for position in finding.lines:
            by_line.setdefault(position, []).append(finding)
    parts, position = [], 0
    for phase in composition.phases:
        rows = []
        for place, line in enumerate(phase.lines):
            share = float(line.percent)
            rows.append(
                Row(
                    position,
                    place,
                    place == len(phase.lines) - 1,
                    line,
                    stock.get(line.material),
                    stock.key(line.material) or "",
                    None if makes is None else makes * share / 100,
                    max(0.0, _BAR * share / most),
                    tuple(by_line.get(position, ())),
                )
            )
            position += 1
        parts.append(Part(phase, tuple(rows)))
    return parts
