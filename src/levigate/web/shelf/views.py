"""Pages of the shelf: materials, lots, measured values."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from levigate.records.shelf import shelf
from levigate.shelf.find import find


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """Show the first page of the room."""
    return render(request, "shelf/index.html", {"room": "shelf"})


@require_safe
def names(request: HttpRequest) -> HttpResponse:
    """Offer the names of materials that are like what was typed, as options of a list."""
    typed = request.GET.get("material", "").strip()
    found = [material.key for material in find(shelf(), typed)] if typed else []
    return render(request, "shelf/_names.html", {"names": found})
