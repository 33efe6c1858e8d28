"""Trouble that is told as a sentence: the part of the page says it, nothing that was typed is lost."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from levigate.errors import ConflictError, LevigateError


class TroubleMiddleware:
    """Turn trouble that a view did not answer for into a page, or a part of one, that says it."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer."""
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, trouble: Exception) -> HttpResponse | None:
        """Return what is said of it; None for a fault of the program."""
        if not isinstance(trouble, LevigateError):
            return None
        status = 409 if isinstance(trouble, ConflictError) else 422
        part = bool(getattr(request, "htmx", False))
        answer = render(request, f"web/{'_trouble' if part else 'trouble'}.html", {"says": str(trouble)}, status=status)
        if part:
            answer.headers["HX-Retarget"] = "#trouble"
            answer.headers["HX-Reswap"] = "innerHTML"
        return answer
