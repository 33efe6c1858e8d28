"""How one likes the pages: language, units, decimal mark, light or dark, the scale."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import translation

from levigate.records.models import Preference

#: Name -> what may be chosen, the first where nothing was.
CHOICES: dict[str, tuple[str, ...]] = {
    "language": ("en", "de"),
    "units": ("metric", "us"),
    "decimal": ("point", "comma"),
    "light": ("system", "light", "dark"),
    "scale": ("0.1", "0.01", "0.001", "0.5", "1"),
}


def chosen() -> dict[str, str]:
    """Return each preference as it stands."""
    found = {name: choices[0] for name, choices in CHOICES.items()} | {"name": ""}
    found.update(Preference.objects.values_list("name", "value"))
    return found


class PreferencesMiddleware:
    """Read the preferences once a request, and speak the language."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer in the language chosen."""
        request.preferences = chosen()  # type: ignore[attr-defined]
        language = request.preferences["language"]  # type: ignore[attr-defined]
        with translation.override(language):
            request.LANGUAGE_CODE = language
            answer = self.get_response(request)
        answer.headers.setdefault("Content-Language", language)
        answer.headers.setdefault("Cache-Control", "no-store")
        return answer


def preferences(request: HttpRequest) -> dict[str, Any]:
    """Give the templates the preferences."""
    return {"preferences": getattr(request, "preferences", {})}
