"""Lots at hand for the lines of a batch: the one that expires first comes first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import DecimalField, F, OuterRef, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce
from django.utils import timezone

from levigate.records.models import Lot, StockCorrection, Weighing
from levigate.records.weighing import FINEST
from levigate.shelf.catalogue import Shelf

_GRAMS: DecimalField[Any, Any] = DecimalField(max_digits=18, decimal_places=4)


@dataclass(frozen=True, slots=True)
class AtHand:
    """A lot with what is left of it."""

    lot: Lot
    #: [g]
    left: Decimal
    expired: bool


def at_hand(materials: Iterable[str], shelf: Shelf, today: date | None = None) -> dict[str, tuple[AtHand, ...]]:
    """Return the open lots of each material, by whatever name it goes, the first to expire first."""
    today = today or timezone.localdate()
    keys = {material: shelf.key(material) or material for material in materials}
    found: dict[str, list[AtHand]] = {}
    for lot, grams in _left():
        entry = AtHand(lot, grams, lot.best_before is not None and lot.best_before < today)
        found.setdefault(shelf.key(lot.material) or lot.material, []).append(entry)
    return {material: tuple(found.get(key, ())) for material, key in keys.items()}


def first_to_use(lots: Iterable[AtHand], needed: Decimal) -> AtHand | None:
    """Return the lot to take: the first to expire that is not past its date and holds enough, else holds anything."""
    good = [entry for entry in lots if not entry.expired and entry.left > 0]
    return next((entry for entry in good if entry.left >= needed), good[0] if good else None)


def _left() -> list[tuple[Lot, Decimal]]:
    """Return the open lots with what came less what was weighed, corrections counted in. [g]"""
    weighed = Weighing.objects.filter(lot=OuterRef("pk"), corrected_by=None)
    put_right = StockCorrection.objects.filter(lot=OuterRef("pk"))
    counted = (
        Lot.objects.filter(closed=False)
        .annotate(left=F("grams") - _sum(weighed) + _sum(put_right))
        .order_by(F("best_before").asc(nulls_last=True), "received", "pk")
    )
    # SQLite adds in binary; the grams on record have four decimals.
    return [(lot, lot.left.quantize(FINEST)) for lot in counted]


def _sum(rows: QuerySet[Any]) -> Coalesce:
    total = rows.order_by().values("lot").annotate(total=Sum("grams")).values("total")
    return Coalesce(Subquery(total, output_field=_GRAMS), Decimal(0), output_field=_GRAMS)
