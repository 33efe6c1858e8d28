"""Pages of the bench: plan a batch, weigh it, fill it."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """Show the first page of the room."""
    return render(request, "bench/index.html", {"room": "bench"})
