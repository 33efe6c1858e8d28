"""Where one goes after a form: a redirect, told to htmx in its own way."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django_htmx.http import HttpResponseClientRedirect


def go(request: HttpRequest, name: str, **words: Any) -> HttpResponse:
    """Go to a page."""
    address = reverse(name, kwargs=words)
    if request.htmx:  # type: ignore[attr-defined]
        return HttpResponseClientRedirect(address)
    return HttpResponseRedirect(address)
