"""Weighing a batch: what each line holds by its readings, and what to do about a line that was over-poured."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from uuid import UUID

from django.db import transaction

from levigate.errors import ConflictError, RecordError
from levigate.formula.model import plain
from levigate.records.journal import note
from levigate.records.models import Batch, BatchEvent, BatchLine, Lot, Weighing

#: Finest that is kept. [g]
FINEST = Decimal("0.0001")
_MOST = Decimal(1_000_000)  # g
#: States of a batch in which a reading that was typed wrongly can still be put right.
_OPEN_TO_CORRECTION = ("weighing", "made", "filled", "held", "released")


@dataclass(frozen=True, slots=True)
class LineStanding:
    """What one line holds so far."""

    line: BatchLine
    #: Readings that stand: those a correction took the place of are left out.
    weighings: tuple[Weighing, ...]
    #: Rows ever written for it: tells whether somebody wrote another since.
    count: int
    #: Sum of the readings that stand. [g]
    grams: Decimal
    #: Half a step of the scale: what lies within it is right. [g]
    half: Decimal
    #: Whether nothing more is weighed into the batch.
    closed: bool

    @property
    def needed(self) -> Decimal:
        """What is still to go in; negative where too much is in. [g]"""
        return self.line.target - self.grams

    @property
    def over(self) -> bool:
        """Whether more is in than is asked for, and nobody said to leave it."""
        return -self.needed > self.half and not self.left

    @property
    def left(self) -> bool:
        """Whether somebody said to leave it as it stands now."""
        return self.line.left_at is not None and self.line.left_at == self.grams

    @property
    def done(self) -> bool:
        """Whether nothing is to be done about it any more."""
        return abs(self.needed) <= self.half or self.left

    @property
    def foreseen(self) -> Decimal:
        """What it will hold in the end, as far as one can tell now. [g]"""
        return self.grams if self.done or self.closed else max(self.grams, self.line.target)


@dataclass(frozen=True, slots=True)
class Standing:
    """How far the weighing of a batch has come."""

    batch: Batch
    lines: tuple[LineStanding, ...]

    @property
    def done(self) -> bool:
        """Whether every line is."""
        return all(one.done for one in self.lines)

    @property
    def target(self) -> Decimal:
        """What is asked for in all. [g]"""
        return sum((one.line.target for one in self.lines), Decimal(0))

    @property
    def grams(self) -> Decimal:
        """What is weighed in all. [g]"""
        return sum((one.grams for one in self.lines), Decimal(0))

    @property
    def foreseen(self) -> Decimal:
        """What the batch will hold in the end. [g]"""
        return sum((one.foreseen for one in self.lines), Decimal(0))

    @property
    def next_open(self) -> LineStanding | None:
        """The first line that is not done."""
        return next((one for one in self.lines if not one.done), None)

    @property
    def mark(self) -> str:
        """A word that is another one as soon as anything about the weighing is: the newest reading comes last."""
        rows = [row for one in self.lines for row in one.weighings]
        left = sum(1 for one in self.lines if one.left)
        count = sum(one.count for one in self.lines)
        newest = max((row.pk for row in rows), default=0)
        return f"{self.batch.state}.{self.batch.tare}.{plain(self.target)}.{left}.{count}.{newest}"

    def of(self, position: int) -> LineStanding:
        """Return one line.

        Raises
        ------
        RecordError
            When the batch has no such line.
        """
        found = next((one for one in self.lines if one.line.position == position), None)
        if found is None:
            raise RecordError(f"Batch {self.batch.code} has no line {position}.")
        return found

    def vessel(self, one: LineStanding) -> tuple[LineStanding, ...]:
        """Return the lines weighed into the same vessel: those of the phase."""
        return tuple(other for other in self.lines if other.line.phase == one.line.phase)

    def in_vessel(self, one: LineStanding) -> Decimal:
        """Return what the vessel of a line holds already. [g]"""
        return sum((other.grams for other in self.vessel(one)), Decimal(0))

    def seen(self, one: LineStanding) -> int:
        """Return what a device sends back with a reading: how many were written when it was shown.

        A running total rests on all that is in the vessel, a tared reading on the line alone.
        """
        if self.batch.tare == "running":
            return sum(other.count for other in self.vessel(one))
        return one.count

    def percent(self, one: LineStanding) -> Decimal:
        """Return the true percent of a line: of what is weighed, and asked for where it is not weighed yet. [%]"""
        return 100 * one.foreseen / self.foreseen if self.foreseen else Decimal(0)


def standing(batch: Batch) -> Standing:
    """Return how far the weighing of a batch has come."""
    lines = batch.lines.order_by("position").prefetch_related("weighings__lot")
    return Standing(batch, tuple(_line(line, batch) for line in lines))


def _line(line: BatchLine, batch: Batch) -> LineStanding:
    rows = list(line.weighings.all())
    replaced = {row.corrects_id for row in rows}
    stand = tuple(row for row in rows if row.pk not in replaced)
    closed = batch.state not in ("planned", "weighing", "held")
    return LineStanding(line, stand, len(rows), sum((row.grams for row in stand), Decimal(0)), batch.scale / 2, closed)


def locked(batch: Batch) -> Batch:
    """Return the batch, no one else writing to it until the transaction ends."""
    return Batch.objects.select_for_update().get(pk=batch.pk)


def keep(
    line: BatchLine,
    *,
    key: UUID,
    grams: Decimal | None = None,
    reading: Decimal | None = None,
    lot: Lot | None = None,
    seen: int | None = None,
    who: str = "",
) -> Weighing:
    """Keep a reading of the scale; the same one sent twice is kept once.

    Parameters
    ----------
    line : BatchLine
        What was weighed.
    key : UUID
        Made by the device, a new one for each reading.
    grams : Decimal, optional
        What went in; negative where some was taken out. [g]
    reading : Decimal, optional
        Instead: what the scale shows of all that is in the vessel. [g]
    lot : Lot, optional
        Where it was taken from.
    seen : int, optional
        `Standing.seen` as it was when the line was shown; None does not ask.
    who : str
        Who weighed it.

    Raises
    ------
    ConflictError
        When another device kept something meanwhile, or the key was used for another reading.
    RecordError
        When the batch is not being weighed, or the reading is none.
    """
    with transaction.atomic():
        batch = locked(line.batch)
        before = _kept_before(line, key)
        now = standing(batch)
        one = now.of(line.position)
        if before is not None:
            sent = grams if reading is None else reading - _earlier(now.vessel(one), before)
            if sent != before.grams:
                raise ConflictError(f"This reading was kept already, as {plain(before.grams)} g; correct that one.")
            return before
        if batch.state != "weighing":
            raise RecordError(f"Batch {batch.code} is not being weighed: it is {batch.state}. Nothing was kept.")
        if seen is not None and seen != now.seen(one):
            raise ConflictError(_meanwhile(now, one))
        went_in = _read(grams if reading is None else reading - now.in_vessel(one))
        if went_in == 0:
            raise RecordError("That is nought: nothing went in.")
        if one.grams + went_in < 0:
            raise RecordError(f"Only {plain(one.grams)} g is in; {plain(-went_in)} g cannot be taken out.")
        kept = Weighing.objects.create(line=one.line, lot=lot, grams=went_in, key=key, who=who)
        note("batch", batch.code, f"{batch.code}: {plain(went_in)} g of {line.material} weighed", lot=_number(lot))
    return kept


def _number(lot: Lot | None) -> str:
    return lot.number if lot is not None else ""


def _kept_before(line: BatchLine, key: UUID) -> Weighing | None:
    before = Weighing.objects.filter(key=key).first()
    if before is not None and before.line_id != line.pk:
        raise ConflictError("This key belongs to the reading of another line; open the page again.")
    return before


def _earlier(vessel: tuple[LineStanding, ...], row: Weighing) -> Decimal:
    """Return what the vessel held before a reading. [g]"""
    return sum((other.grams for one in vessel for other in one.weighings if other.pk < row.pk), Decimal(0))


def _meanwhile(now: Standing, one: LineStanding) -> str:
    rows = one.weighings if now.batch.tare == "each" else [row for other in now.vessel(one) for row in other.weighings]
    last = max(rows, key=lambda row: row.pk, default=None)
    what = f"{plain(last.grams)} g of {last.line.material}" if last is not None else "something"
    return (
        f"Another device kept {what} meanwhile. Your reading is not kept; look at what is in, then keep it too or not."
    )


def _read(grams: Decimal | None) -> Decimal:
    if grams is None or not grams.is_finite():
        raise RecordError('Type what the scale shows, for example "62.4".')
    if abs(grams) >= _MOST or grams != grams.quantize(FINEST):
        raise RecordError("That is no reading of a bench scale: at most 1 t, at the finest 0.1 mg.")
    return grams.quantize(FINEST)


def correct(weighing: Weighing, grams: Decimal, why: str, *, key: UUID, lot: Lot | None = None) -> Weighing:
    """Put a reading right that was typed wrongly: a new row that names the old one, and says why.

    Raises
    ------
    ConflictError
        When it was corrected meanwhile.
    RecordError
        When no reason is given, or the batch was discarded.
    """
    why = " ".join(why.split())
    if not why:
        raise RecordError("Say why the reading is put right: both stay on record.")
    with transaction.atomic():
        batch = locked(weighing.line.batch)
        before = _kept_before(weighing.line, key)
        if before is not None:
            return before
        if batch.state not in _OPEN_TO_CORRECTION:
            raise RecordError(f"Batch {batch.code} is {batch.state}: its record is closed.")
        if Weighing.objects.filter(corrects=weighing).exists():
            raise ConflictError("This reading was put right meanwhile; look at the one that took its place.")
        one = standing(batch).of(weighing.line.position)
        grams = _read(grams)
        if one.grams - weighing.grams + grams < 0:
            raise RecordError("More was taken out of this line than would be in it then.")
        kept = Weighing.objects.create(
            line=one.line, lot=lot or weighing.lot, grams=grams, key=key, corrects=weighing, why=why[:500]
        )
        says = (
            f"{batch.code}: {plain(weighing.grams)} g of {weighing.line.material} put right to {plain(grams)} g: {why}"
        )
        note("batch", batch.code, says, before=plain(weighing.grams), after=plain(grams))
    return kept


def leave(line: BatchLine, *, seen: int | None = None) -> LineStanding:
    """Leave a line as it stands, short or over; the record says so."""
    with transaction.atomic():
        now, one = _to_act_on(line, seen)
        BatchLine.objects.filter(pk=line.pk).update(left_at=one.grams)
        much = "over" if one.needed < 0 else "short"
        says = f"{line.material} left at {plain(one.grams)} g, {plain(abs(one.needed))} g {much}"
        _say(now.batch, says)
        return standing(now.batch).of(line.position)


def _to_act_on(line: BatchLine, seen: int | None) -> tuple[Standing, LineStanding]:
    batch = locked(line.batch)
    now = standing(batch)
    one = now.of(line.position)
    if batch.state != "weighing":
        raise RecordError(f"Batch {batch.code} is not being weighed: it is {batch.state}.")
    if seen is not None and seen != now.seen(one):
        raise ConflictError(_meanwhile(now, one).replace("Your reading is not kept yet", "Nothing was changed"))
    return now, one


def _say(batch: Batch, says: str, **details: object) -> None:
    BatchEvent.objects.create(batch=batch, state=batch.state, note=says)
    note("batch", batch.code, f"{batch.code}: {says}", **details)


def remark(batch: Batch, text: str, who: str = "") -> BatchEvent:
    """Put a word into the record of a batch: a temperature reached, a time held, whatever was not as planned."""
    text = " ".join(text.split())
    if not text:
        raise RecordError("Write what was seen or done.")
    with transaction.atomic():
        event = BatchEvent.objects.create(batch=locked(batch), state=batch.state, note=text[:1000], who=who)
        note("batch", batch.code, f"{batch.code}: {text}")
    return event


@dataclass(frozen=True, slots=True)
class Raised:
    """A batch scaled up until what is over-poured is right."""

    #: What it becomes. [g]
    total: Decimal
    #: Position -> what is asked for then. [g]
    targets: dict[int, Decimal]
    #: Lines weighed already that take some more.
    topped_up: tuple[LineStanding, ...]


def raised(now: Standing) -> Raised | None:
    """Return what the batch becomes when the rest is scaled up; None where nothing is over-poured.

    The line that is over by the largest share sets the size, at its true weight. Each other line is asked for to the
    nearest step of the scale; one that is weighed and then short by no more than one step is left alone.
    """
    over = [one for one in now.lines if one.over and one.line.percent > 0]
    if not over:
        return None
    total = max(Fraction(one.grams) * 100 / Fraction(one.line.percent) for one in over)
    step, targets = now.batch.scale, {}
    for one in now.lines:
        exact = total * Fraction(one.line.percent) / 100
        target = _to_step(exact, step)
        if one.grams and abs(Fraction(one.grams) - exact) <= Fraction(step):
            target = one.grams
        targets[one.line.position] = max(target, one.line.target) if one.line.percent else one.line.target
    full = [one for one in now.lines if one.grams and one.needed <= one.half]
    topped = tuple(one for one in full if targets[one.line.position] > one.grams)
    return Raised(sum(targets.values(), Decimal(0)), targets, topped)


def _to_step(exact: Fraction, step: Decimal) -> Decimal:
    steps = exact / Fraction(step)
    return (Decimal(steps.numerator) / steps.denominator).to_integral_value(ROUND_HALF_UP) * step


def raise_rest(line: BatchLine, *, seen: int | None = None) -> Standing:
    """Scale the rest of a batch up to a line that was over-poured."""
    with transaction.atomic():
        now, one = _to_act_on(line, seen)
        up = raised(now)
        if up is None:
            raise RecordError(f"{line.material} is no longer over; there is nothing to match.")
        moved = {}
        for other in now.lines:
            target = up.targets[other.line.position]
            if target == other.line.target:
                continue
            moved[other.line.material] = [plain(other.line.target), plain(target)]
            kept_left = other.line.left_at if other.left and target <= other.grams else None
            BatchLine.objects.filter(pk=other.line.pk).update(target=target, left_at=kept_left)
        says = f"the rest raised to match {plain(one.grams)} g of {line.material}: batch {plain(now.target)} g -> "
        _say(now.batch, f"{says}{plain(up.total)} g", targets=moved)
        return standing(now.batch)
