"""Lots at hand for the lines of a batch: the one that expires first comes first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.utils import timezone

from levigate.records.models import Lot
from levigate.records.stock import left
from levigate.shelf.catalogue import Shelf


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
    # One material may have lots under several names, so that all of them are put in order here.
    for one in sorted(left(), key=lambda one: (one.lot.best_before or date.max, one.lot.received, one.lot.pk)):
        lot = one.lot
        entry = AtHand(lot, one.grams, lot.best_before is not None and lot.best_before < today)
        found.setdefault(shelf.key(lot.material) or lot.material, []).append(entry)
    return {material: tuple(found.get(key, ())) for material, key in keys.items()}


def first_to_use(lots: Iterable[AtHand], needed: Decimal) -> AtHand | None:
    """Return the lot to take: the first to expire that is not past its date and holds enough, else holds anything."""
    good = [entry for entry in lots if not entry.expired and entry.left > 0]
    return next((entry for entry in good if entry.left >= needed), good[0] if good else None)
