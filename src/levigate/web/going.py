"""Where one goes after a form: a redirect, told to htmx in its own way."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django_htmx.http import HttpResponseClientRedirect


def go(request: HttpRequest, name: str, **words: Any) -> HttpResponse:
    """Go to a page."""
    if request.htmx:  # type: ignore[attr-defined]
        return HttpResponseClientRedirect(reverse(name, kwargs=words))
    return redirect(name, **words)
