"""How one likes the pages: language, units, decimal mark, light or dark, the scale."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.utils import translation

from levigate.errors import RecordError
from levigate.records.models import Preference
from levigate.words import ENGLISH, speaking

_LONGEST_NAME = 80

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


def like(wanted: Mapping[str, str]) -> None:
    """Take down how one likes the pages; what is not said stays.

    Raises
    ------
    RecordError
        When something cannot be chosen.
    """
    known = {name: value for name, value in wanted.items() if name in CHOICES or name == "name"}
    for name, value in known.items():
        if name in CHOICES and value not in CHOICES[name]:
            raise RecordError(f'"{value}" cannot be chosen for {name}; choose one of {", ".join(CHOICES[name])}.')
    if len(" ".join(known.get("name", "").split())) > _LONGEST_NAME:
        raise RecordError(f"A name of up to {_LONGEST_NAME} letters fits beside a weighing.")
    with transaction.atomic():
        for name, value in known.items():
            Preference.objects.update_or_create(name=name, defaults={"value": " ".join(value.split())})


class PreferencesMiddleware:
    """Read the preferences once a request, and speak the language."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer in the language chosen."""
        request.preferences = chosen()  # type: ignore[attr-defined]
        language = request.preferences["language"]  # type: ignore[attr-defined]
        with translation.override(language), speaking(ENGLISH if _for_programs(request.path) else language):
            request.LANGUAGE_CODE = language
            answer = self.get_response(request)
        answer.headers.setdefault("Content-Language", language)
        answer.headers.setdefault("Cache-Control", "no-store")
        return answer


def _for_programs(path: str) -> bool:
    """Return whether it is the API that answers, whose words are English for everyone; its docs are a page."""
    return path.startswith("/api/") and path != "/api/docs"


def preferences(request: HttpRequest) -> dict[str, Any]:
    """Give the templates the preferences."""
    return {"preferences": getattr(request, "preferences", {})}
