"""What the preferences ask, and the words of each answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from django.conf import settings
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from levigate.web.preferences import CHOICES


@dataclass(frozen=True, slots=True)
class Answer:
    """One way to like it."""

    value: str
    says: str | Promise
    chosen: bool


@dataclass(frozen=True, slots=True)
class Question:
    """One thing that may be liked in several ways."""

    name: str
    says: Promise
    answers: tuple[Answer, ...]


_QUESTIONS: dict[str, Promise] = {
    "language": _("Language of the pages"),
    "units": _("Masses are said in"),
    "decimal": _("Decimals are written with"),
    "light": _("The pages are"),
    "scale": _("The scale shows steps of"),
}
_ANSWERS: dict[str, str | Promise] = {
    **dict(settings.LANGUAGES),
    "metric": _("grams"),
    "us": _("ounces"),
    "point": _("a point, as in 2.5"),
    "comma": _("a comma, as in 2,5"),
    "system": _("as the machine is set"),
    "light": _("light"),
    "dark": _("dark"),
}


def questions(chosen: Mapping[str, str]) -> tuple[Question, ...]:
    """Return what is asked, with what was chosen."""
    return tuple(
        Question(name, says, tuple(Answer(one, _word(one), chosen[name] == one) for one in CHOICES[name]))
        for name, says in _QUESTIONS.items()
    )


def _word(value: str) -> str | Promise:
    return _ANSWERS.get(value, f"{value} g")
