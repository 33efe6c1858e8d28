"""Changes of a material: each is a form that works without JavaScript, and gives back the entry where htmx asks."""

from __future__ import annotations

from decimal import Decimal

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from levigate.errors import RecordError
from levigate.formula import edit
from levigate.formula.text import read_formula
from levigate.records import formulas, papers
from levigate.records import shelf as records
from levigate.records.models import Formula, Measured
from levigate.web.formulas.asking import percent_of
from levigate.web.going import go
from levigate.web.shelf.asking import key_of, lot_of, past_day
from levigate.web.shelf.reading import material_page
from levigate.web.shelf.words import EXAMPLE


def _answer(request: HttpRequest, key: str, says: str) -> HttpResponse:
    """Return the entry as it is now, or go to its page."""
    messages.success(request, says)
    if not request.htmx:  # type: ignore[attr-defined]
        return redirect("material", key=key)
    return render(request, "shelf/_material.html", {"room": "shelf", "page": material_page(key), "part": True})


@require_POST
def measure(request: HttpRequest, key: str) -> HttpResponse:
    """Keep a value measured at this bench."""
    key = key_of(key)
    words = {word: request.POST.get(word, "").strip() for word in ("value", "spread", "at_temperature", "how")}
    if not words["value"]:
        raise RecordError('Write what was measured, with its unit, for example "0.92 g/mL".')
    value = words.pop("value")
    day, lot = past_day(request.POST.get("on", ""), "measured on"), lot_of(request.POST.get("lot", ""), key)
    records.measure(key, request.POST.get("property", ""), value, on=day, lot=lot, **words)
    return _answer(request, key, _("Kept. What was measured here outranks every other value."))


@require_POST
def correct(request: HttpRequest, key: str, number: int) -> HttpResponse:
    """Keep a value that takes the place of one measured before."""
    key = key_of(key)
    wrong = get_object_or_404(Measured, pk=number, material=key)
    value = request.POST.get("value", "").strip()
    if not value:
        raise RecordError("Write the right value, with its unit.")
    records.correct(wrong, value, request.POST.get("why", ""))
    return _answer(request, key, _("Corrected. The value of before stays on record."))


@require_http_methods(["GET", "HEAD", "POST"])
def text(request: HttpRequest, key: str) -> HttpResponse:
    """Save a text of one's own: of a material of one's own, or over one of the catalogue."""
    key = key_of(key)
    if request.method == "POST":
        new = request.POST.get("text", "").replace("\r\n", "\n")
        saved = records.save_material(key, new, request.POST.get("why", "").strip()[:500])
        return go(request, "material", key=saved.material.key)
    return render(request, "shelf/text.html", {"room": "shelf", "page": material_page(key), "example": EXAMPLE})


@require_POST
def note(request: HttpRequest, key: str) -> HttpResponse:
    """Keep one's own words about it."""
    key = key_of(key)
    records.set_note(key, request.POST.get("note", "").replace("\r\n", "\n")[:20_000])
    return _answer(request, key, _("Your note is kept."))


@require_POST
def put_away(request: HttpRequest, key: str) -> HttpResponse:
    """Put an own material away, or bring it back."""
    key = key_of(key)
    away = request.POST.get("do") != "back"
    records.set_put_away(key, away=away)
    says = _("Put away: formulas that name it find it all the same.") if away else _("Back on the shelf.")
    return _answer(request, key, says)


@require_POST
def paper(request: HttpRequest, key: str) -> HttpResponse:
    """Put a paper to a material."""
    key = key_of(key)
    sent = request.FILES.get("file")
    if sent is None:
        raise RecordError("Choose a file to keep.")
    papers.attach("material", key, papers.store(sent.chunks()), sent.name or "")
    return _answer(request, key, _("The paper is kept."))


@require_POST
def use(request: HttpRequest, key: str) -> HttpResponse:
    """Put it into a formula, as a line at the end of a phase."""
    key = key_of(key)
    formula = get_object_or_404(Formula, slug=request.POST.get("formula", ""))
    percent: Decimal = percent_of(request.POST.get("percent", ""))
    state = formulas.draft_of(formula)
    phases = read_formula(state.text).phases
    if phases:
        changed = edit.add_line(state.text, phases[-1].letter, key, percent)
    else:
        changed = edit.add_phase(state.text, key, percent)
    formulas.edit(formula, changed, f"{key} put in", seen=state.number)
    return go(request, "formula", slug=formula.slug)
