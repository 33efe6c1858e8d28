"""Stock: what is left of each lot, which lots a batch takes, and what is short or past its date.

Left is what was received, and what was corrected, less what was really weighed. A weighing that was corrected does not
count; the weighing that corrects it does, for the lot that it names.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import DecimalField, Exists, F, OuterRef, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from levigate.formula.model import plain
from levigate.records.models import BatchLine, Lot, StockCorrection, Weighing
from levigate.records.shelf import shelf
from levigate.review.findings import Level

#: How long before its date a lot is spoken of: time enough to plan a batch that uses it up.
SOON = timedelta(days=60)
_GRAMS: DecimalField[Any, Any] = DecimalField(max_digits=18, decimal_places=4)
_STEP = Decimal("0.0001")


@dataclass(frozen=True, slots=True)
class Left:
    """What is left of a lot; below nothing where more was weighed than came. [g]"""

    lot: Lot
    grams: Decimal


@dataclass(frozen=True, slots=True)
class StockFinding:
    """One thing the stock says: for the first page, and for the plan of a batch."""

    level: Level
    says: str
    material: str = ""
    lot: Lot | None = None


@dataclass(frozen=True, slots=True)
class Take:
    """So much of a lot. [g]"""

    lot: Lot
    grams: Decimal


@dataclass(frozen=True, slots=True)
class Choice:
    """Lots for the lines of a batch, in the order of the lines, and what is amiss with them."""

    lines: tuple[tuple[Take, ...], ...]
    findings: tuple[StockFinding, ...]


def left(lots: QuerySet[Lot] | None = None) -> list[Left]:
    """Return what is left of lots, of all that are open if not given, those that expire first in front. One query."""
    chosen = Lot.objects.filter(closed=False) if lots is None else lots
    weighed = Weighing.objects.filter(lot=OuterRef("pk"), corrected_by=None)
    corrected = StockCorrection.objects.filter(lot=OuterRef("pk"))
    counted = chosen.annotate(
        left=F("grams") + _sum(corrected) - _sum(weighed),
    ).order_by("material", F("best_before").asc(nulls_last=True), "received", "pk")
    # SQLite adds in binary; the grams on record have four decimals.
    return [Left(lot, lot.left.quantize(_STEP)) for lot in counted]


def _sum(rows: QuerySet[Any]) -> Coalesce:
    total = rows.order_by().values("lot").annotate(total=Sum("grams")).values("total")
    return Coalesce(Subquery(total, output_field=_GRAMS), Decimal(0), output_field=_GRAMS)


def left_of(lot: Lot) -> Decimal:
    """Return what is left of one lot. [g]"""
    return left(Lot.objects.filter(pk=lot.pk))[0].grams


def choose(needs: Sequence[tuple[str, Decimal]], today: date) -> Choice:
    """Return the lots that lines take: what expires first goes first, what has expired is not taken.

    Parameters
    ----------
    needs : sequence of (material, grams)
        One for each line, in the order they are weighed; a material may stand in several.
    today : date
        The day it is made.
    """
    known = shelf()
    keys = [known.key(material) or material for material, _ in needs]
    deliveries = left(Lot.objects.filter(material__in=set(keys)))
    rest = [one for one in deliveries if not one.lot.closed and one.grams > 0 and not _expired(one.lot, today)]
    lines: list[tuple[Take, ...]] = []
    short: dict[str, Decimal] = {}
    for key, (_, grams) in zip(keys, needs, strict=True):
        takes, rest = _draw(rest, key, grams)
        lines.append(takes)
        missing = grams - sum(take.grams for take in takes)
        if missing > 0:
            short[key] = short.get(key, Decimal(0)) + missing
    kept = {one.lot.material for one in deliveries}
    findings = [_shortage(key, missing, deliveries, today) for key, missing in short.items() if key in kept]
    findings += _untraced([key for key in dict.fromkeys(keys) if key not in kept])
    taken = {take.lot.pk: take.lot for line in lines for take in line}
    findings += [_soon(lot) for lot in taken.values() if _near(lot, today)]
    return Choice(tuple(lines), tuple(findings))


def _expired(lot: Lot, today: date) -> bool:
    return lot.best_before is not None and lot.best_before < today


def _near(lot: Lot, today: date) -> bool:
    return lot.best_before is not None and lot.best_before <= today + SOON


def _draw(stock: list[Left], key: str, grams: Decimal) -> tuple[tuple[Take, ...], list[Left]]:
    """Take so much of a material, the first lot of it first; return what was taken, and the stock after it."""
    takes: list[Take] = []
    rest: list[Left] = []
    for one in stock:
        part = min(one.grams, grams) if one.lot.material == key else Decimal(0)
        if part > 0:
            takes.append(Take(one.lot, part))
            grams -= part
        if one.grams > part:
            rest.append(Left(one.lot, one.grams - part))
    return tuple(takes), rest


def _shortage(key: str, missing: Decimal, deliveries: Iterable[Left], today: date) -> StockFinding:
    past = [one for one in deliveries if one.lot.material == key and one.grams > 0 and not one.lot.closed]
    past = [one for one in past if _expired(one.lot, today)]
    says = f"{plain(missing)} g of {key} are missing from stock."
    if past:
        old = ", ".join(f"lot {one.lot.number} (best before {one.lot.best_before})" for one in past)
        says += f" What has expired is not counted: {old}."
    return StockFinding("stop", says, key)


def _untraced(keys: list[str]) -> list[StockFinding]:
    if not keys:
        return []
    return [StockFinding("note", f"No lot is on record of {_list(keys)}: what is weighed of it cannot be traced.")]


def _list(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _soon(lot: Lot) -> StockFinding:
    return StockFinding("care", f"{lot} is best before {lot.best_before}.", lot.material, lot)


def needs_care(today: date) -> list[StockFinding]:
    """Return what the stock says today: what is past its date or soon will be, run out, or short for open batches."""
    stocks = left()
    findings = [finding for one in stocks for finding in _of_lot(one, today)]
    usable: dict[str, Decimal] = {}
    for one in stocks:
        if one.grams > 0 and not _expired(one.lot, today):
            usable[one.lot.material] = usable.get(one.lot.material, Decimal(0)) + one.grams
    kept = set(Lot.objects.values_list("material", flat=True).distinct())
    for key, grams in open_needs().items():
        missing = grams - usable.get(key, Decimal(0))
        if key in kept and missing > 0:
            says = (
                f"{plain(grams)} g of {key} are still to be weighed for open batches; {plain(missing)} g are missing."
            )
            findings.append(StockFinding("care", says, key))
    return findings


def _of_lot(one: Left, today: date) -> list[StockFinding]:
    lot, amount = one.lot, f"{plain(one.grams)} g"
    if one.grams < 0:
        says = f"{plain(-one.grams)} g more of {lot} were weighed than came: count what is there."
        return [StockFinding("care", says, lot.material, lot)]
    if one.grams == 0:
        return [StockFinding("note", f"{lot} is used up: close it.", lot.material, lot)]
    if _expired(lot, today):
        says = f"{amount} of {lot} are past their date ({lot.best_before}): do not use them; close the lot."
        return [StockFinding("stop", says, lot.material, lot)]
    if _near(lot, today):
        return [StockFinding("care", f"{amount} of {lot} are best before {lot.best_before}.", lot.material, lot)]
    return []


def open_needs() -> dict[str, Decimal]:
    """Return what lines of open batches need that nothing was weighed for yet, by material. [g]"""
    weighed = Weighing.objects.filter(line=OuterRef("pk"), corrected_by=None)
    lines = BatchLine.objects.filter(~Exists(weighed), batch__state__in=("planned", "weighing")).order_by()
    known = shelf()
    needs: dict[str, Decimal] = {}
    for material, grams in lines.values("material").annotate(total=Sum("target")).values_list("material", "total"):
        key = known.key(material) or material
        needs[key] = needs.get(key, Decimal(0)) + grams.quantize(_STEP)
    return needs
