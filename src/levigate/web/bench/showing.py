"""What the pages of a batch show, put together from its records."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import Any
from uuid import UUID, uuid4

from django.db.models import Count, Q, QuerySet
from django.utils.translation import gettext_lazy

from levigate.formula.model import Formula, Phase, plain
from levigate.formula.text import own_shelf, read_formula
from levigate.formula.treatment import Prompt, prompts
from levigate.records.at_hand import AtHand, at_hand, first_to_use
from levigate.records.batches import asks_why, may_go_to
from levigate.records.models import Batch, Weighing
from levigate.records.shelf import shelf
from levigate.records.weighed import Shift, shift
from levigate.records.weighing import LineStanding, Raised, Standing, raised, standing
from levigate.review.cautions import cautions_at_line
from levigate.shelf.record import Material

#: A phase warmer than this burns. [K]
_HOT = 333.15
#: Batches that are done with, on the first page and on that of all of them.
_FEW, _MANY = 12, 500
#: States of a batch that waits for somebody, the most urgent first.
OPEN = ("weighing", "made", "filled", "held", "planned")


def open_batches() -> list[tuple[str, list[Batch]]]:
    """Return the batches that wait for somebody, by what they wait for."""
    found: dict[str, list[Batch]] = {}
    for batch in _listed().filter(state__in=OPEN):
        found.setdefault(batch.state, []).append(batch)
    return [(state, found[state]) for state in OPEN if state in found]


def closed_batches(*, every: bool = False) -> list[Batch]:
    """Return the batches that are done with, the newest first."""
    return list(_listed().exclude(state__in=OPEN)[: _MANY if every else _FEW])


def _listed() -> QuerySet[Batch, Any]:
    weighed = Count("lines", filter=Q(lines__weighings__isnull=False), distinct=True)
    return Batch.objects.select_related("version__formula").annotate(
        lines_weighed=weighed, lines_all=Count("lines", distinct=True)
    )


#: State -> what one presses to get there.
PRESS = {
    "weighing": gettext_lazy("Weigh it"),
    "made": gettext_lazy("It is made"),
    "filled": gettext_lazy("All is filled"),
    "released": gettext_lazy("Release it"),
    "held": gettext_lazy("Hold it"),
    "discarded": gettext_lazy("Discard it"),
    "planned": gettext_lazy("Back to the plan"),
}
#: Likewise where that is a step back.
PRESS_BACK = {
    "weighing": gettext_lazy("Back to weighing"),
    "made": gettext_lazy("Back to filling"),
    "filled": gettext_lazy("Hold it no longer"),
}


@dataclass(frozen=True, slots=True)
class Step:
    """A step that a batch may take."""

    to: str
    asks_why: bool

    @property
    def press(self) -> Any:
        """What one presses."""
        return PRESS_BACK.get(self.to, PRESS[self.to]) if self.asks_why else PRESS[self.to]


@dataclass(frozen=True, slots=True)
class Treated:
    """A phase whose treatment asks for a thermometer or a clock."""

    phase: Phase
    prompts: tuple[Prompt, ...]

    @property
    def remark(self) -> str:
        """What one would note of it."""
        return f"Phase {self.phase.letter}: " + ", ".join(prompt.words for prompt in self.prompts)


def _treated(phase: Phase | None) -> Treated | None:
    found = prompts(phase.how) if phase is not None else ()
    return Treated(phase, found) if phase is not None and found else None


@dataclass(frozen=True)
class WeighPage:
    """One line of a batch at the scale."""

    batch: Batch
    now: Standing
    #: The line; None when all is weighed and none was asked for.
    one: LineStanding | None
    key: UUID
    #: What was typed and not kept, and why not.
    typed: str = ""
    says: str = ""
    #: Readings that another device kept since this one looked.
    meanwhile: tuple[Weighing, ...] = ()

    @cached_property
    def formula(self) -> Formula:
        """The formula of the batch."""
        return read_formula(self.batch.version.text)

    @cached_property
    def phase(self) -> Phase | None:
        """The phase of the line."""
        letter = self.one.line.phase if self.one is not None else None
        return next((phase for phase in self.formula.phases if phase.letter == letter), None)

    @cached_property
    def record(self) -> Material | None:
        """What the shelf says of the material."""
        return None if self.one is None else own_shelf(self.formula, shelf()).get(self.one.line.material)

    @cached_property
    def cautions(self) -> tuple[str, ...]:
        """What to mind about it."""
        hot = self.phase is not None and (self.phase.temperature or 0.0) > _HOT
        return cautions_at_line(self.record, hot)

    @cached_property
    def lots(self) -> tuple[AtHand, ...]:
        """Its lots at hand."""
        if self.one is None:
            return ()
        material = self.one.line.material
        return at_hand([material], own_shelf(self.formula, shelf()))[material]

    @property
    def settled(self) -> bool:
        """Whether the line asks for no reading: it is right, left as it is, or over."""
        return self.one is not None and (self.one.done or self.one.over)

    @property
    def lot(self) -> int | None:
        """The lot to take: that of the last reading, of the plan, or the first to expire."""
        if self.one is None:
            return None
        at = {entry.lot.pk for entry in self.lots}
        last = self.one.weighings[-1].lot_id if self.one.weighings else self.one.line.lot_id
        if last in at:
            return last
        first = first_to_use(self.lots, self.one.needed)
        return first.lot.pk if first is not None else None

    @property
    def over_by(self) -> Decimal:
        """What is too much. [g]"""
        return -self.one.needed if self.one is not None else Decimal(0)

    @property
    def needed_plain(self) -> str:
        """What is still to go in, for the comforts of the page. [g]"""
        return plain(self.one.needed) if self.one is not None else ""

    @property
    def vessel_plain(self) -> str:
        """What the vessel holds, likewise. [g]"""
        return plain(self.in_vessel) if self.one is not None else ""

    @property
    def key_out(self) -> UUID:
        """Key for the reading of what is taken out."""
        return uuid4()

    @property
    def place(self) -> int:
        """Which of the lines it is, from 1."""
        return self.now.lines.index(self.one) + 1 if self.one is not None else len(self.now.lines)

    @property
    def before(self) -> LineStanding | None:
        """The line before it."""
        at = self.place - 2 if self.one is not None else len(self.now.lines) - 1
        return self.now.lines[at] if at >= 0 else None

    @property
    def after(self) -> LineStanding | None:
        """The line after it."""
        return self.now.lines[self.place] if self.place < len(self.now.lines) else None

    @cached_property
    def treated(self) -> tuple[Treated, ...]:
        """What is to be done to the phase, and before its first line to the one before it."""
        letters = [phase.letter for phase in self.formula.phases]
        if self.phase is None:
            last = _treated(self.formula.phases[-1])
            return (last,) if last else ()
        at = letters.index(self.phase.letter)
        first = self.before is None or self.before.line.phase != self.phase.letter
        earlier = _treated(self.formula.phases[at - 1]) if first and at else None
        return tuple(found for found in (earlier, _treated(self.phase)) if found)

    @property
    def running(self) -> bool:
        """Whether the readings of the phase run on."""
        return self.batch.tare == "running"

    @property
    def scale_shall_show(self) -> Any:
        """What the scale shows when the line is right, where readings run on. [g]"""
        assert self.one is not None
        return self.now.in_vessel(self.one) + self.one.needed

    @property
    def in_vessel(self) -> Any:
        """What the vessel holds. [g]"""
        return self.now.in_vessel(self.one) if self.one is not None else None

    @property
    def percent(self) -> Any:
        """The true percent of the line. [%]"""
        return self.now.percent(self.one) if self.one is not None else None

    @property
    def seen(self) -> int:
        """What the device saw."""
        return self.now.seen(self.one) if self.one is not None else 0

    @cached_property
    def shift(self) -> Shift | None:
        """What an over-poured line changes; None where none is."""
        return shift(self.now) if self.one is not None and self.one.over else None

    @cached_property
    def raised(self) -> Raised | None:
        """What the batch becomes when the rest is scaled up."""
        return raised(self.now) if self.one is not None and self.one.over else None

    @property
    def next_raised(self) -> tuple[LineStanding, Any] | None:
        """The next line to weigh, with what is asked for then. [g]"""
        if self.raised is None or self.one is None:
            return None
        rest = [other for other in self.now.lines if not other.done and other is not self.one]
        return (rest[0], self.raised.targets[rest[0].line.position]) if rest else None

    @property
    def typed_wrongly(self) -> Weighing | None:
        """The newest reading of the line: the one that a slip of the finger would be in."""
        return self.one.weighings[-1] if self.one is not None and self.one.weighings else None

    @property
    def keys(self) -> str:
        """Keys of the readings that are kept, for the device to forget them."""
        return " ".join(str(row.key) for one in self.now.lines for row in one.weighings)


def weigh_page(batch: Batch, position: int | None = None, **words: Any) -> WeighPage:
    """Return the page of a line, or of the first that is not done."""
    now = standing(batch)
    one = now.of(position) if position is not None else now.next_open
    words.setdefault("key", uuid4())
    return WeighPage(batch, now, one, **words)


def next_position(batch: Batch, position: int) -> int | None:
    """Return the line to go on with: this one while it is not done, else the next open one, else the first."""
    now = standing(batch)
    if not now.of(position).done:
        return position
    still = [one.line.position for one in now.lines if not one.done]
    return next((other for other in still if other > position), still[0] if still else None)


@dataclass(frozen=True)
class BatchPage:
    """A batch as it stands."""

    batch: Batch

    @cached_property
    def now(self) -> Standing:
        """How far its weighing has come."""
        return standing(self.batch)

    @cached_property
    def formula(self) -> Formula:
        """The formula it is made from."""
        return read_formula(self.batch.version.text)

    @cached_property
    def phases(self) -> list[tuple[Phase, list[tuple[LineStanding, Any]]]]:
        """Each phase with its lines and their true percents."""
        rows = [(one, self.now.percent(one)) for one in self.now.lines]
        return [(phase, [row for row in rows if row[0].line.phase == phase.letter]) for phase in self.formula.phases]

    @cached_property
    def steps(self) -> list[Step]:
        """Steps it may take without a word."""
        return [step for step in self._all_steps if not step.asks_why]

    @cached_property
    def steps_with_why(self) -> list[Step]:
        """Steps that ask for a reason."""
        return [step for step in self._all_steps if step.asks_why]

    @cached_property
    def _all_steps(self) -> list[Step]:
        return [Step(to, asks_why(self.batch, to)) for to in may_go_to(self.batch)]

    @cached_property
    def shift(self) -> Shift | None:
        """What weighing otherwise than planned changed; None before anything is weighed."""
        if not any(one.weighings for one in self.now.lines):
            return None
        found = shift(self.now)
        return found if found.moved or found.new or found.gone else None

    @property
    def weighs(self) -> bool:
        """Whether it is being weighed."""
        return self.batch.state == "weighing"

    @property
    def fills(self) -> bool:
        """Whether it is or was filled."""
        return self.batch.state in ("made", "filled", "released") or self.batch.fills.exists()
