"""Saving versions, and looking at those that are saved."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from levigate.errors import ConflictError, RecordError
from levigate.formula.difference import difference
from levigate.formula.text import own_shelf, read_formula
from levigate.records import formulas as records
from levigate.records.formulas import set_put_away
from levigate.records.models import Formula, Version
from levigate.records.shelf import shelf
from levigate.web.formulas.growing import branches


@require_POST
def save(request: HttpRequest, slug: str) -> HttpResponse:
    """Save the draft as a version; the second saver sees the difference and may save beside."""
    record = get_object_or_404(Formula, slug=slug)
    seen, knew = request.POST.get("seen", ""), request.POST.get("knew", "")
    if not seen.isdigit() or not (knew.isdigit() or not knew):
        raise RecordError("The form does not say which state it was made from; open the page again.")
    try:
        version = records.save(
            record,
            seen=int(seen),
            knew=int(knew) if knew else None,
            note_text=request.POST.get("note", "").strip(),
            branch="beside" in request.POST,
        )
    except ConflictError as trouble:
        return _both(request, record, knew, str(trouble))
    messages.success(request, _("Saved as version %(number)s.") % {"number": version.number})
    return redirect("formula", slug=slug)


def _both(request: HttpRequest, record: Formula, knew: str, says: str) -> HttpResponse:
    """Show what another saved beside one's own; nothing of either is lost."""
    latest, state = record.latest, records.draft_of(record)
    theirs = latest.text if latest is not None else state.text
    context = {"room": "formulas", "record": record, "says": says, "latest": latest, "state": state, "knew": knew}
    context |= {"change": _change(theirs, state.text), "note": request.POST.get("note", "")}
    return render(request, "formulas/conflict.html", context, status=409)


def _change(before: str, after: str) -> object:
    first, second = read_formula(before), read_formula(after)
    return difference(first, second, own_shelf(first, shelf()), own_shelf(second, shelf()))


@require_POST
def let_go(request: HttpRequest, slug: str) -> HttpResponse:
    """Go back to the version saved last; undo brings the draft back."""
    record = get_object_or_404(Formula, slug=slug)
    records.let_go(record)
    return redirect("formula", slug=slug)


@require_POST
def put_away(request: HttpRequest, slug: str) -> HttpResponse:
    """Put a formula away, or bring it back."""
    set_put_away(get_object_or_404(Formula, slug=slug), put_away=request.POST.get("do") != "back")
    return redirect("formulas")


@require_safe
def versions(request: HttpRequest, slug: str) -> HttpResponse:
    """Show the tree of versions."""
    record = get_object_or_404(Formula, slug=slug)
    context = {"room": "formulas", "record": record, "branches": branches(record), "state": records.draft_of(record)}
    return render(request, "formulas/versions.html", context)


@require_safe
def version(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Show one version, with what changed from its parent."""
    one = get_object_or_404(Version.objects.select_related("parent", "formula"), formula__slug=slug, number=number)
    change = _change(one.parent.text, one.text) if one.parent is not None else None
    context = {"room": "formulas", "version": one, "change": change, "formula": read_formula(one.text)}
    return render(request, "formulas/version.html", context)


@require_POST
def take_up(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Go on from an earlier version: the draft becomes it; undo brings the draft back."""
    one = get_object_or_404(Version.objects.select_related("formula"), formula__slug=slug, number=number)
    records.take_up(one)
    return redirect("formula", slug=slug)
