"""Tracing: from the code on a jar back to the lots that went into it, and from a lot on to all jars."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from levigate.errors import RecordError
from levigate.records.models import Batch, FillWeight, Jar, Lot, Measured, StockCorrection, Weighing
from levigate.records.stock import left


@dataclass(frozen=True, slots=True)
class Used:
    """What went into a batch under one line from one lot; a lot of None was not written down. [g]"""

    position: int
    material: str
    lot: Lot | None
    grams: Decimal


@dataclass(frozen=True, slots=True)
class JarTrace:
    """All that is behind a jar."""

    jar: Jar
    batch: Batch
    #: What went in, in the order of the lines.
    used: tuple[Used, ...]
    #: Every reading of the scale, those that were corrected too.
    weighings: tuple[Weighing, ...]
    #: Net weights of the jar, those that were corrected too.
    weights: tuple[FillWeight, ...]

    @property
    def lots(self) -> tuple[Lot, ...]:
        """Each lot once, in the order of the lines."""
        return tuple({one.lot.pk: one.lot for one in self.used if one.lot is not None}.values())

    @property
    def untraced(self) -> tuple[str, ...]:
        """Materials of which something was weighed without a lot being written down."""
        return tuple(dict.fromkeys(one.material for one in self.used if one.lot is None))


@dataclass(frozen=True, slots=True)
class Went:
    """Where some of a lot went: a batch, how much of it, and the jars. [g]"""

    batch: Batch
    grams: Decimal
    jars: tuple[Jar, ...]


@dataclass(frozen=True, slots=True)
class LotTrace:
    """All that became of a lot."""

    lot: Lot
    left: Decimal
    went: tuple[Went, ...]
    #: Batches whose reading of this lot was corrected, so that none of it is said to be in them.
    taken_back: tuple[Batch, ...]
    corrections: tuple[StockCorrection, ...]
    measured: tuple[Measured, ...]

    @property
    def jars(self) -> tuple[Jar, ...]:
        """Every jar that holds some of it."""
        return tuple(jar for one in self.went for jar in one.jars)


def jar(code: str) -> JarTrace:
    """Trace a jar back by the code that stands on it; upper or lower case is one.

    Raises
    ------
    RecordError
        When no jar has that code.
    """
    jars = Jar.objects.select_related("fill__batch__version__formula")
    word = code.strip()
    found = jars.filter(code=word).first() or jars.filter(code__iexact=word).first()
    if found is None:
        raise RecordError(f'No jar on record has the code "{word}".')
    batch = found.fill.batch
    weighings = _weighings(batch)
    return JarTrace(
        jar=found,
        batch=batch,
        used=_used(weighings),
        weighings=weighings,
        weights=tuple(found.weights.select_related("corrected_by").order_by("at", "pk")),
    )


def used_in(batch: Batch) -> tuple[Used, ...]:
    """Return what went into a batch, by line and lot. One query."""
    return _used(_weighings(batch))


def _weighings(batch: Batch) -> tuple[Weighing, ...]:
    rows = Weighing.objects.filter(line__batch=batch).select_related("line", "lot", "corrected_by")
    return tuple(rows.order_by("line__position", "at", "pk"))


def _used(weighings: Iterable[Weighing]) -> tuple[Used, ...]:
    totals: dict[tuple[int, int | None], Used] = {}
    for one in weighings:
        if _is_corrected(one):
            continue
        key = (one.line.position, one.lot.pk if one.lot else None)
        grams = one.grams + (totals[key].grams if key in totals else 0)
        totals[key] = Used(one.line.position, one.line.material, one.lot, grams)
    return tuple(totals.values())


def _is_corrected(weighing: Weighing) -> bool:
    return getattr(weighing, "corrected_by", None) is not None


def lot(traced: Lot) -> LotTrace:
    """Trace a lot on to every batch and jar that holds some of it."""
    rows = Weighing.objects.filter(lot=traced).select_related("line__batch__version__formula", "corrected_by")
    batches: dict[int, Batch] = {}
    grams: dict[int, Decimal] = {}
    for one in rows.order_by("line__batch__created", "line__batch__pk"):
        batch = one.line.batch
        batches[batch.pk] = batch
        if not _is_corrected(one):
            grams[batch.pk] = grams.get(batch.pk, Decimal(0)) + one.grams
    jars: dict[int, list[Jar]] = {}
    for filled in Jar.objects.filter(fill__batch__in=grams).select_related("fill").order_by("fill", "code"):
        jars.setdefault(filled.fill.batch_id, []).append(filled)
    return LotTrace(
        lot=traced,
        left=left(Lot.objects.filter(pk=traced.pk))[0].grams,
        went=tuple(Went(batches[pk], total, tuple(jars.get(pk, ()))) for pk, total in grams.items()),
        taken_back=tuple(batch for pk, batch in batches.items() if pk not in grams),
        corrections=tuple(traced.corrections.order_by("at", "pk")),
        measured=tuple(traced.measured.order_by("at", "pk")),
    )
