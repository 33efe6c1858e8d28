"""Reading what a form of the bench says: grams, a key, a line."""

from __future__ import annotations

import re
from decimal import Decimal, InvalidOperation
from uuid import UUID

from django.http import HttpRequest
from django.shortcuts import get_object_or_404

from levigate.errors import RecordError
from levigate.records.models import Batch, BatchLine, Lot

_GRAMS = re.compile(r"[-+−]?\d{0,9}(?:[.,]\d{0,9})?\s*(?:g|grams?)?", re.IGNORECASE)


def grams_of(text: str) -> Decimal | None:
    """Return grams as a person types them, with a decimal point or a comma; None where nothing is typed."""
    written = text.strip()
    if not written:
        return None
    bare = written.replace(",", ".").replace("−", "-").rstrip("gramsGRAMS ").strip()
    try:
        if _GRAMS.fullmatch(written) is None:
            raise InvalidOperation
        return Decimal(bare)
    except InvalidOperation as trouble:
        raise RecordError(f'"{written[:40]}" is no mass; type grams as the scale shows them, "62.4".') from trouble


def key_of(request: HttpRequest) -> UUID:
    """Return the key that the device made for this reading."""
    try:
        return UUID(request.POST.get("key", ""))
    except ValueError as trouble:
        raise RecordError("The form does not carry the key of a reading; open the page again.") from trouble


def whole(request: HttpRequest, field: str) -> int | None:
    """Return a whole number that a form carries; None where it carries none."""
    written = request.POST.get(field, "")
    return int(written) if written.isdecimal() and len(written) <= 9 else None


def batch_of(code: str) -> Batch:
    """Return a batch by its code."""
    return get_object_or_404(Batch.objects.select_related("version__formula"), code=code)


def line_of(request: HttpRequest, batch: Batch) -> BatchLine:
    """Return the line of a batch that a form means."""
    return get_object_or_404(
        BatchLine.objects.select_related("batch", "lot"), batch=batch, position=whole(request, "line")
    )


def lot_of(request: HttpRequest) -> Lot | None:
    """Return the lot that a form names; None where it names none."""
    number = whole(request, "lot")
    return get_object_or_404(Lot, pk=number) if number is not None else None
