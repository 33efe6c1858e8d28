"""The page of a lot, and the list of all."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from levigate.records.models import Attached, Journal, Lot
from levigate.records.papers import attached_to
from levigate.records.stock import Left, left
from levigate.records.tracing import LotTrace
from levigate.records.tracing import lot as trace
from levigate.web.shelf.reading import Stocked, stocked
from levigate.web.shelf.words import LOT_WORDS

#: What the list of lots may show.
SHOWS: dict[str, Promise] = {
    "open": _("on the shelf"),
    "due": _("past their date or soon"),
    "empty": _("used up, not closed"),
    "closed": _("closed"),
    "all": _("all"),
}


@dataclass(frozen=True, slots=True)
class Change:
    """What an amendment changed: one field."""

    word: str | Promise
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Said:
    """One line of the journal, with what it changed."""

    line: Journal
    changes: tuple[Change, ...]


@dataclass(frozen=True, slots=True)
class LotPage:
    """All that the page of a lot shows."""

    trace: LotTrace
    stocked: Stocked
    history: tuple[Said, ...]
    papers: tuple[Attached, ...]

    @property
    def lot(self) -> Lot:
        """The lot."""
        return self.trace.lot

    @property
    def share(self) -> float:
        """What is left of what came, for the bar. [%]"""
        return float(min(max(100 * self.trace.left / self.lot.grams, Decimal(0)), Decimal(100)))


@dataclass(frozen=True, slots=True)
class LotsPage:
    """The list of lots."""

    show: str
    typed: str
    lots: tuple[Stocked, ...]
    any: bool

    @property
    def shows(self) -> Mapping[str, Promise]:
        """What may be shown."""
        return SHOWS


def lot_page(lot: Lot) -> LotPage:
    """Return the page of a lot."""
    found = trace(Lot.objects.get(pk=lot.pk))
    journal = Journal.objects.filter(kind="lot", subject=str(lot.pk)).order_by("-at", "-pk")
    return LotPage(
        found,
        stocked([Left(found.lot, found.left)], timezone.localdate())[0],
        tuple(Said(line, _changes(line)) for line in journal),
        tuple(attached_to("lot", lot.pk)),
    )


def _changes(line: Journal) -> tuple[Change, ...]:
    before, after = line.details.get("before"), line.details.get("after")
    if not isinstance(before, dict) or not isinstance(after, dict):
        return ()
    return tuple(
        Change(LOT_WORDS.get(name, name), str(before[name]), str(after.get(name, ""))) for name in map(str, before)
    )


def lots_page(show: str, typed: str) -> LotsPage:
    """Return the list of lots."""
    show = show if show in SHOWS else "open"
    chosen = Lot.objects.all() if show == "all" else Lot.objects.filter(closed=show == "closed")
    if typed:
        chosen = chosen.filter(Q(material__icontains=typed) | Q(number__icontains=typed) | Q(supplier__icontains=typed))
    found = stocked(left(chosen), timezone.localdate())
    if show == "due":
        found = [one for one in found if one.due]
    elif show == "empty":
        found = [one for one in found if one.grams <= 0]
    return LotsPage(show, typed, tuple(found), Lot.objects.exists())
