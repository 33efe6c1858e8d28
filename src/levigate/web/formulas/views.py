"""Pages of formulas: the ledger, versions, comparisons."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """Show the first page of the room."""
    return render(request, "formulas/index.html", {"room": "formulas"})
