"""What is written through the API: weighings, each kept once."""

from __future__ import annotations

from django.http import Http404, HttpRequest
from ninja import Status

from levigate.errors import RecordError
from levigate.records.models import BatchLine, Lot, Weighing
from levigate.records.weighing import keep
from levigate.web.api import forms, reading


def weigh(request: HttpRequest, code: str, position: int, sent: forms.WeighingIn) -> Status[forms.WeighingOut]:
    """Keep a reading; returns 201 for one that is new, 200 for one that was kept before."""
    if (sent.grams is None) == (sent.reading is None):
        raise RecordError('Send "grams", what went in, or "reading", what the scale shows of all in the vessel.')
    line = BatchLine.objects.filter(batch__code=code, position=position).first()
    if line is None:
        raise Http404("The batch has no such line.")
    known = Weighing.objects.filter(key=sent.key).exists()
    kept = keep(
        line,
        key=sent.key,
        grams=sent.grams,
        reading=sent.reading,
        lot=_lot(line, sent.lot),
        seen=sent.seen,
        who=sent.who or request.preferences["name"],  # type: ignore[attr-defined]
    )
    return Status(200 if known else 201, reading.weighing(kept))


def _lot(line: BatchLine, number: int | None) -> Lot | None:
    """Return the lot that was named, else the one that the line is planned from."""
    if number is None:
        return line.lot
    found = Lot.objects.filter(pk=number).first()
    if found is None:
        raise RecordError(f"There is no lot {number}.")
    return found
