"""The record of a batch, in words as they are shown and printed."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal

from django.utils import timezone
from django.utils.translation import gettext as _

from levigate import __version__
from levigate.formula.model import plain
from levigate.formula.text import own_shelf, read_formula
from levigate.publish.batch_record import BatchRecord, RecordEvent, RecordFill, RecordLine, RecordPhase
from levigate.quantities.saying import digits
from levigate.records.filling import Filled, filled
from levigate.records.models import Batch, FillWeight, Weighing
from levigate.records.shelf import shelf
from levigate.records.weighing import LineStanding, Standing, standing
from levigate.review.cautions import STANDING
from levigate.shelf.catalogue import Shelf
from levigate.words import tr


def record_of(batch: Batch) -> BatchRecord:
    """Return the record of a batch."""
    now, formula = standing(batch), read_formula(batch.version.text)
    stock = own_shelf(formula, shelf())
    phases = tuple(
        RecordPhase(
            phase.letter,
            phase.how,
            tuple(_line(one, now, stock) for one in now.lines if one.line.phase == phase.letter),
        )
        for phase in formula.phases
    )
    events = tuple(
        RecordEvent(_moment(event.at), _(event.state), f"{event.note}{f' ({event.who})' if event.who else ''}")
        for event in batch.events.order_by("pk")
    )
    fills = filled(batch)
    return BatchRecord(
        name=formula.name,
        code=batch.code,
        version=_("version %(number)s") % {"number": batch.version.number},
        state=_(batch.state),
        facts=tuple(_facts(batch, now, fills)),
        phases=phases,
        total=(_grams(now.target, batch.scale), _grams(now.grams, batch.scale)),
        fills=tuple(_fill(one, batch.scale) for one in fills),
        corrections=tuple(_corrections(batch)),
        events=events,
        standing=tr(STANDING[0]),
        program=__version__,
    )


def _line(one: LineStanding, now: Standing, stock: Shelf) -> RecordLine:
    line, found, step = one.line, stock.get(one.line.material), now.batch.scale
    lots = dict.fromkeys(row.lot.number for row in one.weighings if row.lot is not None)
    return RecordLine(
        line.material,
        found.inci if found is not None else "",
        plain(line.percent),
        _grams(line.target, step) + (f" ({_grams(line.planned, step)})" if line.planned != line.target else ""),
        _grams(one.grams, step) if one.weighings else "–",
        digits(float(now.percent(one)), 3) if one.weighings else "–",
        ", ".join(lots),
        bool(one.weighings) and abs(one.needed) > step,
    )


def _facts(batch: Batch, now: Standing, fills: tuple[Filled, ...]) -> list[tuple[str, str]]:
    weighed = [row.at for one in now.lines for row in one.weighings]
    facts = [
        (_("Makes"), batch.makes),
        (_("Scale"), f"{plain(batch.scale)} g"),
        (_("Loss reckoned with"), f"{plain(100 * batch.loss)} %"),
        (_("Weighed"), _days(weighed)),
        (_("Into"), batch.container or "–"),
        (_("Best before"), _day(batch.best_before)),
    ]
    if batch.bulk_grams is not None:
        share = f" ({digits(float(100 * batch.bulk_grams / now.grams), 3)} %)" if now.grams else ""
        facts.append((_("Bulk"), f"{plain(batch.bulk_grams)} g{share}"))
    if batch.retained_grams is not None:
        facts.append((_("Kept back"), f"{plain(batch.retained_grams)} g"))
    if fills:
        facts.append((_("Filled"), _("%(count)s jars") % {"count": sum(len(one.jars) for one in fills)}))
    if batch.note:
        facts.append((_("Note"), batch.note))
    return facts


def _fill(one: Filled, step: Decimal) -> RecordFill:
    title = f"{len(one.jars)} x {one.fill.nominal}, {one.fill.container}"
    jars = tuple((jar.jar.code, _grams(jar.weight.grams, step) + " g" if jar.weight else "–") for jar in one.jars)
    notes = one.verdict.notes if one.verdict is not None else ((one.unsaid,) if one.unsaid else ())
    return RecordFill(title, jars, notes)


def _corrections(batch: Batch) -> list[RecordEvent]:
    found: list[Weighing | FillWeight] = [
        *Weighing.objects.filter(line__batch=batch).exclude(corrects=None).select_related("corrects", "line"),
        *FillWeight.objects.filter(jar__fill__batch=batch).exclude(corrects=None).select_related("corrects", "jar"),
    ]
    found.sort(key=lambda row: row.at)
    return [_correction(row) for row in found]


def _correction(row: Weighing | FillWeight) -> RecordEvent:
    what = row.line.material if isinstance(row, Weighing) else row.jar.code
    before = plain(row.corrects.grams) if row.corrects is not None else "–"
    return RecordEvent(_moment(row.at), what, f"{before} g → {plain(row.grams)} g, {row.why}")


def _grams(grams: Decimal, step: Decimal) -> str:
    """Return a mass to the step of the scale, or finer where it was weighed finer."""
    rounded = grams.quantize(step.normalize()) if step < 1 else grams.quantize(Decimal(1))
    return f"{rounded:f}" if rounded == grams else plain(grams)


def _moment(at: datetime) -> str:
    return f"{timezone.localtime(at):%Y-%m-%d %H:%M}"


def _day(day: date | None) -> str:
    return "–" if day is None else day.isoformat()


def _days(moments: list[datetime]) -> str:
    days = sorted({timezone.localtime(at).date() for at in moments})
    return "–" if not days else " – ".join(dict.fromkeys(day.isoformat() for day in (days[0], days[-1])))
