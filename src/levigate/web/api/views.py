"""The page that tells of the API."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from levigate.web.api.telling import told


@require_safe
def docs(request: HttpRequest) -> HttpResponse:
    """Show routes and shapes as tables."""
    routes, shapes = told()
    return render(request, "api/docs.html", {"room": "preferences", "routes": routes, "shapes": shapes})
