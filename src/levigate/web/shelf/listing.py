"""The list of the shelf: what is in stock first, by name, by kind or by purpose."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import lru_cache
from typing import get_args

from django.utils import timezone

from levigate.errors import ShelfError
from levigate.publish.entry import printed
from levigate.publish.materials import words_of
from levigate.records.models import Measured, OwnMaterial
from levigate.records.shelf import shelf
from levigate.records.stock import Left, left
from levigate.shelf.catalogue import Shelf, catalogue, plain
from levigate.shelf.find import find
from levigate.shelf.record import Kind, Material

#: Rows of a search as one types.
_MOST = 40
KINDS: tuple[str, ...] = get_args(Kind)


@dataclass(frozen=True, slots=True)
class Row:
    """One material in the list."""

    key: str
    record: Material | None
    #: In open lots that are not past their date. [g]
    grams: Decimal
    #: In open lots that are. [g]
    past: Decimal
    #: The earliest date of what is left.
    best_before: date | None
    own: bool
    measured: bool

    @property
    def usual(self) -> str:
        """Usual share of a product."""
        return printed(words_of(self.record.usual[0])) if self.record is not None and self.record.usual else ""


@dataclass(frozen=True, slots=True)
class Listing:
    """What the first page of the shelf shows."""

    typed: str
    kind: str
    does: str
    rows: tuple[Row, ...]
    #: Kind -> how many there are of it.
    kinds: tuple[tuple[str, int], ...]
    #: Purposes that begin like what was typed, and how many serve them.
    purposes: tuple[tuple[str, int], ...]
    known: int

    @property
    def asked(self) -> bool:
        """Whether the list was asked for something."""
        return bool(self.typed or self.kind or self.does)


def listing(typed: str = "", kind: str = "", does: str = "") -> Listing:
    """Return the materials that a name, a kind or a purpose picks; what is in stock or one's own where nothing does."""
    known = shelf()
    stock = _stock()
    own = dict(OwnMaterial.objects.filter(texts__number=1).values_list("key", "put_away"))
    measured = set(Measured.objects.values_list("material", flat=True).distinct())
    sorts = _sorts(known)
    if typed:
        keys = [hit.key for hit in find(known, typed, most=_MOST)]
    elif kind or does:
        keys = sorted(sorts)
    else:
        keys = sorted({*stock, *(key for key, away in own.items() if not away), *measured})
    picked = [key for key in keys if _fits(sorts.get(key), kind, does)]
    rows = [
        _row(known, key, stock.get(key, _Stock()), key in own and catalogue().key(key) != key, key in measured)
        for key in picked
    ]
    return Listing(
        typed,
        kind,
        does,
        tuple(sorted(rows, key=lambda row: row.grams <= 0)),
        tuple(sorted(Counter(entry[0] for entry in sorts.values()).items(), key=lambda one: KINDS.index(one[0]))),
        tuple(_purposes(sorts, typed)),
        len(known),
    )


def _fits(sort: tuple[str, tuple[str, ...]] | None, kind: str, does: str) -> bool:
    if sort is None:
        return not (kind or does)
    return (not kind or sort[0] == kind) and (not does or does in sort[1])


@lru_cache(maxsize=2)
def _sorts(known: Shelf) -> dict[str, tuple[str, tuple[str, ...]]]:
    """Return kind and purposes of each material."""
    found: dict[str, tuple[str, tuple[str, ...]]] = {}
    for key in known:
        record = _record(known, key)
        if record is not None:
            found[key] = (record.kind, record.does)
    return found


def _record(known: Shelf, key: str) -> Material | None:
    """Return a record; None where the text of an own material does not fit any more, which its page says."""
    try:
        return known.get(key)
    except ShelfError:
        return None


def _purposes(sorts: dict[str, tuple[str, tuple[str, ...]]], typed: str) -> list[tuple[str, int]]:
    wanted = plain(typed)
    if len(wanted) < 3:
        return []
    counted = Counter(word for _, does in sorts.values() for word in does)
    return [(word, count) for word, count in counted.most_common() if f" {wanted}" in f" {plain(word)}"][:4]


@dataclass(frozen=True, slots=True)
class _Stock:
    """What is left of a material. [g]"""

    grams: Decimal = Decimal(0)
    past: Decimal = Decimal(0)
    best_before: date | None = None

    def plus(self, one: Left, today: date) -> _Stock:
        day = one.lot.best_before
        if day is not None and day < today:
            return _Stock(self.grams, self.past + one.grams, self.best_before)
        days = [each for each in (self.best_before, day if one.grams > 0 else None) if each is not None]
        return _Stock(self.grams + one.grams, self.past, min(days, default=None))


def _stock() -> dict[str, _Stock]:
    """Return what is left of each material in open lots, and the earliest date of what may still be used."""
    found: dict[str, _Stock] = {}
    today = timezone.localdate()
    for one in left():
        found[one.lot.material] = found.get(one.lot.material, _Stock()).plus(one, today)
    return found


def _row(known: Shelf, key: str, stock: _Stock, own: bool, measured: bool) -> Row:
    return Row(key, _record(known, key), stock.grams, stock.past, stock.best_before, own, measured)
