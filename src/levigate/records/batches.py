"""Batches: planned from a saved version, and taken from step to step, each step with its event."""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.db import IntegrityError, transaction
from django.utils import timezone

from levigate.bench.batch import Batch as Plan
from levigate.bench.batch import Weigh, plan
from levigate.bench.weighing import read_scale
from levigate.errors import BatchError, RecordError, UnitError
from levigate.formula.model import plain
from levigate.formula.percent import read_percent
from levigate.formula.text import own_shelf, read_formula, read_makes
from levigate.records.at_hand import AtHand, at_hand, first_to_use
from levigate.records.journal import note
from levigate.records.models import Batch, BatchEvent, BatchLine, Lot, Version
from levigate.records.shelf import shelf
from levigate.records.weighing import locked, standing

#: State of a batch -> those it may go to. One that is held also goes back to where it was.
NEXT: dict[str, tuple[str, ...]] = {
    "planned": ("weighing", "discarded"),
    "weighing": ("made", "held", "discarded"),
    "made": ("weighing", "filled", "held", "discarded"),
    "filled": ("made", "released", "held", "discarded"),
    "released": ("held", "discarded"),
    "held": ("discarded",),
    "discarded": (),
}
#: Order of making; a step back in it, and any of the last three, asks for a reason.
_ORDER = ("planned", "weighing", "made", "filled", "released", "held", "discarded")
_REASONED = ("released", "held", "discarded")
#: How often another who takes the same number is stepped past.
_TRIES = 50
_MONTH = 2629800.0  # s, a twelfth of a Julian year


@dataclass(frozen=True, slots=True)
class PlannedLine:
    """One line to weigh, with the lots at hand."""

    weigh: Weigh
    lots: tuple[AtHand, ...]
    #: The lot to take.
    chosen: AtHand | None
    #: What the lots that are not past their date lack. [g]
    short: Decimal

    @property
    def splits(self) -> bool:
        """Whether the chosen lot alone does not do, though all of them together do."""
        return not self.short and self.chosen is not None and self.chosen.left < self.weigh.grams


@dataclass(frozen=True, slots=True)
class Planned:
    """A batch as it would be made."""

    version: Version
    plan: Plan
    lines: tuple[PlannedLine, ...]

    @property
    def short(self) -> tuple[PlannedLine, ...]:
        """Lines of which there is not enough at hand."""
        return tuple(line for line in self.lines if line.short > 0)


def planned(version: Version, *, makes: str = "", scale: str = "0.1", loss: str = "") -> Planned:
    """Return a batch as it would be made; nothing is written.

    Raises
    ------
    BatchError
        When the formula does not add up, or what is asked for cannot be read.
    """
    formula = read_formula(version.text)
    try:
        wanted = read_makes(makes) if makes.strip() else formula.makes
    except UnitError as trouble:
        raise BatchError(str(trouble)) from trouble
    if wanted is None:
        raise BatchError('Say how much to make, for example "500 g" or "12 x 50 mL".')
    below = shelf()
    share = float(read_percent(loss.replace(",", ".").replace("%", "").strip() or "0")) / 100
    made = plan(formula, own_shelf(formula, below), wanted, read_scale(scale), loss=share)
    lots = at_hand({line.material for line in made.lines}, own_shelf(formula, below))
    return Planned(version, made, tuple(_line(line, lots[line.material]) for line in made.lines))


def _line(weigh: Weigh, lots: tuple[AtHand, ...]) -> PlannedLine:
    good = sum((entry.left for entry in lots if not entry.expired and entry.left > 0), Decimal(0))
    return PlannedLine(weigh, lots, first_to_use(lots, weigh.grams), max(Decimal(0), weigh.grams - good))


def begin(
    version: Version,
    *,
    makes: str = "",
    scale: str = "0.1",
    loss: str = "",
    container: str = "",
    tare: str = "each",
    lots: Mapping[int, int | None] | None = None,
    note_text: str = "",
) -> Batch:
    """Plan a batch and write it down.

    Parameters
    ----------
    version : Version
        The saved version that it is made from.
    makes, scale, loss : str
        As a person writes them.
    container : str
        What it will be filled into.
    tare : str
        ``each`` where each line is tared, ``running`` where the readings of a phase run on.
    lots : mapping, optional
        Position of a line -> number (pk) of the lot to take; None takes none. Else the first to expire.
    note_text : str
        A word on it.
    """
    if tare not in ("each", "running"):
        raise RecordError(f'"{tare}" is no way to tare; it is "each" or "running".')
    found, chosen = planned(version, makes=makes, scale=scale, loss=loss), lots or {}
    with transaction.atomic():
        batch = _with_a_code(
            version=version,
            makes=found.plan.makes.text,
            scale=found.plan.scale.resolution,
            loss=Decimal(repr(found.plan.loss)),
            container=" ".join(container.split())[:200],
            tare=tare,
            note=note_text.strip(),
        )
        for line in found.lines:
            first = line.chosen.lot if line.chosen is not None else None
            BatchLine.objects.create(
                batch=batch,
                position=line.weigh.position + 1,
                phase=line.weigh.phase,
                material=line.weigh.material,
                percent=line.weigh.percent,
                planned=line.weigh.grams,
                target=line.weigh.grams,
                lot=_lot(chosen[line.weigh.position], line) if line.weigh.position in chosen else first,
            )
        _event(batch, f"{found.plan.makes.text} of {version} planned")
    return batch


def _lot(number: int | None, line: PlannedLine) -> Lot | None:
    if number is None:
        return None
    found = next((entry.lot for entry in line.lots if entry.lot.pk == number), None)
    if found is None:
        raise RecordError(f"That lot of {line.weigh.material} is no longer at hand; choose another.")
    return found


def _with_a_code(**words: object) -> Batch:
    """Make a batch with the next code of the year; two who plan at once get two."""
    for _ in range(_TRIES):
        try:
            with transaction.atomic():
                return Batch.objects.create(code=_next_code(timezone.localdate()), **words)
        except IntegrityError:
            continue
    raise RecordError("No code for the batch was free; try again.")


def _next_code(today: date) -> str:
    year = f"{today:%y}-"
    used = Batch.objects.filter(code__startswith=year).values_list("code", flat=True)
    return f"{year}{max((int(code[3:]) for code in used if code[3:].isdecimal()), default=0) + 1:04d}"


def _event(batch: Batch, text: str, who: str = "") -> None:
    BatchEvent.objects.create(batch=batch, state=batch.state, note=text[:1000], who=who)
    note("batch", batch.code, f"{batch.code}: {text}", state=batch.state)


def may_go_to(batch: Batch) -> tuple[str, ...]:
    """Return the states that a batch may go to."""
    if batch.state != "held":
        return NEXT[batch.state]
    before = _before_it_was_held(batch)
    return (before, *(("released",) if before == "filled" else ()), *NEXT["held"])


def _before_it_was_held(batch: Batch) -> str:
    states = batch.events.exclude(state="held").order_by("-pk").values_list("state", flat=True)
    return states.first() or "planned"


def asks_why(batch: Batch, to: str) -> bool:
    """Return whether a step asks for a reason."""
    back = batch.state != "held" and _ORDER.index(to) < _ORDER.index(batch.state)
    return to in _REASONED or back or batch.state == "held"


def step(batch: Batch, to: str, why: str = "", who: str = "") -> Batch:
    """Take a batch a step further, or back where that is allowed.

    Raises
    ------
    RecordError
        When the step is not allowed from where it is, something is missing for it, or no reason is given.
    """
    why = " ".join(why.split())
    with transaction.atomic():
        held = locked(batch)
        if to == held.state:
            return held
        allowed = may_go_to(held)
        if to not in allowed:
            ways = f"it can become {' or '.join(allowed)}" if allowed else "nothing more is done to it"
            raise RecordError(f"Batch {held.code} is {held.state}; {ways}.")
        if asks_why(held, to) and not why:
            raise RecordError(f"Say why batch {held.code} is to be {to}: the reason stays on its record.")
        _missing(held, to)
        if to == "made" and held.best_before is None:
            held.best_before = best_before(held, timezone.localdate())
        held.state = to
        held.save(update_fields=["state", "best_before"])
        _event(held, why or _SAID[to], who)
    return held


_SAID = {
    "weighing": "weighing begun",
    "made": "all weighed and made",
    "filled": "all filled",
}


def _missing(batch: Batch, to: str) -> None:
    if to == "made" and batch.state == "weighing":
        open_line = standing(batch).next_open
        if open_line is not None:
            raise RecordError(
                f"{open_line.line.material} is not done: {plain(abs(open_line.needed))} g "
                f"{'over' if open_line.needed < 0 else 'short'}. Weigh it, or say to leave it."
            )
    if to == "filled" and not batch.fills.exists():
        raise RecordError("Nothing is filled yet; write down what it was filled into first.")


def best_before(batch: Batch, made: date) -> date | None:
    """Return the day up to which a batch keeps, as its file says; None where it does not say."""
    keeps = read_formula(batch.version.text).keeps
    if keeps is None:
        return None
    months = keeps / _MONTH
    if abs(months - round(months)) < 1e-6 and round(months) > 0:
        return _months_on(made, round(months))
    return made + timedelta(days=int(keeps // 86400))


def _months_on(day: date, months: int) -> date:
    year, month = divmod(day.month - 1 + months, 12)
    year, month = day.year + year, month + 1
    return date(year, month, min(day.day, monthrange(year, month)[1]))


def set_tare(batch: Batch, tare: str) -> None:
    """Say whether each line is tared or the readings of a phase run on."""
    if tare not in ("each", "running"):
        raise RecordError(f'"{tare}" is no way to tare; it is "each" or "running".')
    with transaction.atomic():
        held = locked(batch)
        if held.tare != tare:
            held.tare = tare
            held.save(update_fields=["tare"])
            note("batch", held.code, f"{held.code}: {'each line tared' if tare == 'each' else 'running total'}")
