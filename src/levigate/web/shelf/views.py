"""Pages of the shelf: the list, a material, a new one, a table of many."""

from __future__ import annotations

from typing import get_args

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_safe

from levigate.errors import RecordError
from levigate.records import shelf as records
from levigate.records.search import said
from levigate.shelf.find import find
from levigate.shelf.importing import COLUMNS
from levigate.shelf.record import PROPERTIES, Affinity, Form, Kind
from levigate.web.going import go
from levigate.web.shelf.asking import LARGEST_TABLE, key_of
from levigate.web.shelf.listing import listing
from levigate.web.shelf.reading import material_page
from levigate.web.shelf.words import BELONGS, TABLE

#: Words of the small form of a new material.
_WORDS = ("inci", "names", "about", "kind", "form", "affinity", "density", "usual", "price")


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """Show the shelf, or what a name, a kind or a purpose picks from it."""
    named = said(request.GET.get("name", ""))
    if named:
        key = records.shelf().key(named)
        if key is not None:
            return redirect("material", key=key)
    asked = {word: said(request.GET.get(word, "")) for word in ("q", "kind", "does")}
    page = listing(asked["q"] or named, asked["kind"], asked["does"])
    part = request.htmx and not request.htmx.history_restore_request  # type: ignore[attr-defined]
    return render(request, f"shelf/{'_list' if part else 'index'}.html", {"room": "shelf", "page": page})


@require_safe
def names(request: HttpRequest) -> HttpResponse:
    """Offer the names of materials that are like what was typed, as options of a list."""
    typed = request.GET.get("material", "").strip()
    found = [material.key for material in find(records.shelf(), typed)] if typed else []
    return render(request, "shelf/_names.html", {"names": found})


@require_safe
def material(request: HttpRequest, key: str) -> HttpResponse:
    """Show a material."""
    known = key_of(key)
    if known != key:
        return redirect("material", key=known)
    return render(request, "shelf/material.html", {"room": "shelf", "page": material_page(key)})


@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Put a material of one's own on the shelf, by a small form or by its text."""
    if request.method == "POST":
        text = request.POST.get("text")
        if text is None:
            text = records.written({word: request.POST.get(word, "") for word in _WORDS})
        saved = records.begin_material(request.POST.get("name", ""), text.replace("\r\n", "\n"))
        return go(request, "material", key=saved.material.key)
    context = {"room": "shelf", "kinds": get_args(Kind), "forms": get_args(Form), "name": request.GET.get("name", "")}
    context["affinities"] = [(word, BELONGS[word]) for word in get_args(Affinity)]
    return render(request, "shelf/new.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def bring(request: HttpRequest) -> HttpResponse:
    """Bring many materials in from a table: all of its rows or none."""
    if request.method == "POST":
        sent = request.FILES.get("file")
        if sent is None:
            raise RecordError("Choose a file to bring in.")
        if (sent.size or 0) > LARGEST_TABLE:
            raise RecordError("The file is too large: a table of materials is text, of two megabytes at most.")
        brought = records.bring_csv(sent.read(), sent.name or "the file", replace="replace" in request.POST)
        says = ngettext("%(n)s material brought in.", "%(n)s materials brought in.", len(brought)) % {"n": len(brought)}
        messages.success(request, says)
        return go(request, "shelf")
    context = {"room": "shelf", "columns": [name for name in COLUMNS if name not in PROPERTIES]}
    return render(request, "shelf/bring.html", {**context, "properties": list(PROPERTIES), "how": TABLE})
