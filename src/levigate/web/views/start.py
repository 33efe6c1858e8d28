"""The first page: what needs one today."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe


@require_safe
def start(request: HttpRequest) -> HttpResponse:
    """Show what needs one today."""
    return render(request, "web/start.html")
