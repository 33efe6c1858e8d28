"""Quick sums as small forms with their working."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from levigate.reckon.sums import quick_sums
from levigate.web.sums.asking import page_of
from levigate.web.sums.listing import grouped


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """Show all sums by what they are for."""
    return render(request, "sums/index.html", {"room": "sums", "groups": grouped()})


@require_safe
def one(request: HttpRequest, name: str) -> HttpResponse:
    """Show one sum: its form, and the answer to what the address tells it."""
    found = quick_sums().get(name)
    if found is None:
        raise Http404(name)
    comma = request.preferences["decimal"] == "comma"  # type: ignore[attr-defined]
    page = page_of(found, request.GET.dict(), comma=comma)
    template = f"sums/{'_sum' if request.htmx else 'sum'}.html"  # type: ignore[attr-defined]
    return render(request, template, {"room": "sums", "page": page}, status=422 if page.trouble else 200)
