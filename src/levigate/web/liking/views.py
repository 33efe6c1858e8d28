"""How one likes the pages, and the keys of scripts and scales."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import translation
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from levigate.records import tokens
from levigate.records.models import Token
from levigate.web.liking.asking import questions
from levigate.web.preferences import chosen, like


@require_http_methods(["GET", "HEAD", "POST"])
def index(request: HttpRequest) -> HttpResponse:
    """Show how the pages are liked, and take it down."""
    if request.method == "POST":
        like(request.POST.dict())
        with translation.override(chosen()["language"]):
            messages.success(request, _("It is as you like it now."))
        return redirect("preferences")
    return _page(request)


@require_POST
def make_key(request: HttpRequest) -> HttpResponse:
    """Make a key for a script or a scale, and show it this once."""
    kept, key = tokens.make(request.POST.get("name", ""), writes="writes" in request.POST)
    return _page(request, made=kept, key=key)


@require_POST
def withdraw_key(request: HttpRequest, number: int) -> HttpResponse:
    """Withdraw a key."""
    tokens.withdraw(number)
    return redirect("preferences")


def _page(request: HttpRequest, **more: object) -> HttpResponse:
    context = {"questions": questions(chosen()), "tokens": Token.objects.filter(withdrawn=False), **more}
    return render(request, "liking/index.html", {"room": "preferences", "name": chosen()["name"], **context})
