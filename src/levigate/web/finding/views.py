"""Find anything, and a jar by its code."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import NoReverseMatch, reverse
from django.views.decorators.http import require_safe

from levigate.records import tracing
from levigate.records.search import Found, said, search
from levigate.web.finding.words import KINDS, Hit

#: Of each kind, on the page of what was found.
_MANY = 30


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """Show what goes by a name or a code; as one types, a short list."""
    typed = said(request.GET.get("q", ""))
    part = request.htmx and not request.htmx.history_restore_request  # type: ignore[attr-defined]
    found = search(typed, most=5 if part else _MANY)
    hits = [Hit(one, KINDS[one.kind], _address(one)) for one in found]
    context = {"typed": typed, "hits": hits}
    return render(request, f"finding/{'_hits' if part else 'index'}.html", context)


@require_safe
def jar(request: HttpRequest) -> HttpResponse:
    """Show all that is behind a jar."""
    trace = tracing.jar(request.GET.get("code", "")[:100])
    return render(request, "finding/jar.html", {"room": "bench", "trace": trace})


def _address(one: Found) -> str:
    """Return where a thing has its page; where it has none yet, the room it belongs to."""
    if one.kind == "jar":
        return reverse("jar", query={"code": one.key})
    name, word = {
        "material": ("material", "key"),
        "formula": ("formula", "slug"),
        "batch": ("batch", "code"),
        "lot": ("lot", "number"),
        "sum": ("sum", "name"),
    }[one.kind]
    try:
        return reverse(name, kwargs={word: one.key})
    except NoReverseMatch:
        return reverse({"batch": "bench", "sum": "sums"}[one.kind])
