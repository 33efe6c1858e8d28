"""Lots: all of them, one of them with what became of it, and what is done to it."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from levigate.errors import RecordError
from levigate.records import lots as records
from levigate.records import papers
from levigate.records.models import Attached, Lot
from levigate.records.search import said
from levigate.web.going import go
from levigate.web.shelf.asking import grams_of, key_of, said_of_a_lot
from levigate.web.shelf.lot_reading import lot_page, lots_page


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """Show all lots, what expires first in front."""
    page = lots_page(request.GET.get("show", "open"), said(request.GET.get("q", "")))
    part = request.htmx and not request.htmx.history_restore_request  # type: ignore[attr-defined]
    return render(request, f"shelf/{'_lots' if part else 'lots'}.html", {"room": "shelf", "page": page})


@require_http_methods(["GET", "HEAD", "POST"])
def receive(request: HttpRequest, key: str) -> HttpResponse:
    """Take a delivery of a material in."""
    key = key_of(key)
    if request.method == "POST":
        lot = records.receive(key, **said_of_a_lot(request))
        messages.success(request, _("The lot is on the shelf."))
        return go(request, "lot", number=lot.pk)
    return render(request, "shelf/receive.html", {"room": "shelf", "key": key})


@require_safe
def lot(request: HttpRequest, number: int) -> HttpResponse:
    """Show a lot and all that became of it."""
    page = lot_page(get_object_or_404(Lot, pk=number))
    return render(request, "shelf/lot.html", {"room": "shelf", "page": page})


def _answer(request: HttpRequest, lot: Lot, says: str) -> HttpResponse:
    """Return the lot as it is now, or go to its page."""
    messages.success(request, says)
    if not request.htmx:  # type: ignore[attr-defined]
        return redirect("lot", number=lot.pk)
    return render(request, "shelf/_lot.html", {"room": "shelf", "page": lot_page(lot), "part": True})


@require_POST
def amend(request: HttpRequest, number: int) -> HttpResponse:
    """Set right what is said of a lot."""
    lot = get_object_or_404(Lot, pk=number)
    said = said_of_a_lot(request)
    return _answer(request, records.amend(lot, request.POST.get("why", "").strip(), **said), _("Set right."))


@require_POST
def stock(request: HttpRequest, number: int) -> HttpResponse:
    """Correct the stock of a lot: by what was found there, or by so much more or less."""
    lot = get_object_or_404(Lot, pk=number)
    grams, why = grams_of(request.POST.get("grams", ""), "the stock"), request.POST.get("why", "").strip()
    what = request.POST.get("do", "")
    if what == "count":
        records.count(lot, grams, why or "counted")
    elif what in ("add", "take"):
        records.correct(lot, abs(grams) if what == "add" else -abs(grams), why)
    else:
        raise RecordError("The form does not say what is done to the stock; open the page again.")
    return _answer(request, lot, _("The stock is corrected."))


@require_POST
def close(request: HttpRequest, number: int) -> HttpResponse:
    """Close a lot, or open it again."""
    closed = request.POST.get("do") != "open"
    lot = get_object_or_404(Lot, pk=number)
    lot = records.set_closed(lot, closed=closed, why=request.POST.get("why", "").strip()[:500])
    says = _("Closed: it is no longer offered at the bench.") if closed else _("Open again.")
    return _answer(request, lot, says)


@require_POST
def paper(request: HttpRequest, number: int) -> HttpResponse:
    """Put a paper to a lot, or take one away."""
    lot = get_object_or_404(Lot, pk=number)
    if "away" in request.POST:
        word = request.POST["away"]
        found = get_object_or_404(Attached, pk=word if word.isdecimal() else 0, kind="lot", subject=str(lot.pk))
        papers.detach(found)
        return _answer(request, lot, _("Taken away; the file itself stays kept."))
    sent = request.FILES.get("file")
    if sent is None:
        raise RecordError("Choose a file to keep.")
    papers.attach("lot", lot.pk, papers.store(sent.chunks()), sent.name or "")
    return _answer(request, lot, _("The paper is kept."))
