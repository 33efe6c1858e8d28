"""The first page: what needs one today."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from levigate.records import demo as demo_records
from levigate.records.today import is_empty, today
from levigate.web.formulas.beginning import outlines


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """Show what needs one today; in an empty workshop, how to begin."""
    if is_empty():
        return render(request, "start/empty.html", {"room": "start", "outlines": outlines()})
    day = timezone.localdate()
    return render(request, "start/index.html", {"room": "start", "day": day, "today": today(day)})


@require_POST
def demo(request: HttpRequest) -> HttpResponse:
    """Put the demo workshop on record."""
    demo_records.load()
    messages.success(request, _("The demo workshop is loaded. Everything in it is invented."))
    return redirect("start")
