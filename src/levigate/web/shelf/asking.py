"""Reading what a form of the shelf says: a material, a day, so many grams."""

from __future__ import annotations

from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any

from django.http import Http404, HttpRequest
from django.utils import timezone

from levigate import units
from levigate.errors import RecordError, came
from levigate.records.models import Lot
from levigate.records.shelf import shelf

#: A table of materials is text. [bytes]
LARGEST_TABLE = 2_000_000


def key_of(name: str) -> str:
    """Return the key of the material that an address names; 404 where there is none."""
    key = shelf().key(name)
    if key is None:
        raise Http404(name)
    return key


def day_of(text: str, what: str) -> date | None:
    """Return a day that a form gives; None where it is left empty."""
    written = text.strip()
    if not written:
        return None
    try:
        return date.fromisoformat(written)
    except ValueError:
        raise RecordError(f'{came(written)} is no day for "{what}"; write it as 2026-03-31.') from None


def past_day(text: str, what: str) -> date:
    """Return a day that has been; today where none is given."""
    day = day_of(text, what) or timezone.localdate()
    if day > timezone.localdate():
        raise RecordError(f'"{what}" is {day.isoformat()}, which is still to come; look at the year.')
    return day


def grams_of(text: str, what: str) -> Decimal:
    """Return a mass in grams: a bare number is grams, else with its unit, as "1 kg" or "4 oz"."""
    written = text.strip().replace(",", ".").replace("−", "-")
    if not written:
        raise RecordError(f'Write how much for "{what}", as "500 g" or "1 kg".')
    try:
        found = Decimal(written)
    except InvalidOperation:
        found = Decimal(str(units.si(written, "mass"))) * 1000
    if not found.is_finite() or abs(found) >= Decimal("1e9"):
        raise RecordError(f'{came(text)} is no mass for "{what}".')
    return found.quantize(Decimal("0.0001"))


def said_of_a_lot(request: HttpRequest) -> dict[str, Any]:
    """Return what a form says of a lot: the fields it has, and no others."""
    said: dict[str, Any] = {
        name: request.POST[name].strip()
        for name in ("number", "supplier", "pack", "price", "note")
        if name in request.POST
    }
    if "received" in request.POST:
        said["received"] = past_day(request.POST["received"], "received")
    for name in ("opened", "best_before"):
        if name in request.POST:
            said[name] = day_of(request.POST[name], name.replace("_", " "))
    if "grams" in request.POST:
        said["grams"] = grams_of(request.POST["grams"], "how much came")
    return said


def lot_of(text: str, material: str) -> Lot | None:
    """Return the lot of a material that a form names; None where it names none."""
    if not text:
        return None
    found = Lot.objects.filter(material=material, pk=int(text)).first() if text.isdecimal() and len(text) < 12 else None
    if found is None:
        raise RecordError("The form names a lot that is not on record; open the page again.")
    return found
