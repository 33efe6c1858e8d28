"""A quick sum as a form: its fields, what was typed, and the answer or what stands in its way."""

from __future__ import annotations

import re
import shlex
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from urllib.parse import urlencode

from levigate.errors import LevigateError, SumError
from levigate.quantities.figure import Figure
from levigate.reckon.sums import QuickSum, Reckoned, quick_sums, reckon
from levigate.shelf.catalogue import sources


@dataclass(frozen=True, slots=True)
class Field:
    """One thing that the sum can be told."""

    key: str
    says: str
    #: What is taken where it stays empty; nothing where the sum then does without, or asks.
    default: str
    #: As the example of the sum has it.
    example: str
    value: str
    wrong: bool

    @property
    def label(self) -> str:
        """Its key as words."""
        return "pH" if self.key == "ph" else self.key.replace("_", " ").capitalize()


@dataclass(frozen=True, slots=True)
class Page:
    """All that the page of a quick sum shows."""

    sum: QuickSum
    #: What the example tells, and what else one can tell.
    first: tuple[Field, ...]
    more: tuple[Field, ...]
    answer: Reckoned | None
    trouble: str
    #: Labels of what is still to be told.
    missing: tuple[str, ...]

    @property
    def label(self) -> str:
        """Its name as words."""
        return label(self.sum)

    @property
    def opens_more(self) -> bool:
        """Whether something further was told."""
        return any(field.value or field.wrong for field in self.more)

    @property
    def example(self) -> str:
        """The query of the address that tries the example."""
        return urlencode(example(self.sum.name))

    @property
    def command(self) -> str:
        """The example as it is typed at a terminal."""
        return f"levigate reckon {self.sum.name} {self.sum.example}"

    @property
    def figures(self) -> tuple[Figure, ...]:
        """The figures of the answer."""
        return tuple(self.answer.figures.values()) if self.answer is not None else ()

    @property
    def spread(self) -> bool:
        """Whether a figure says how far it may be off."""
        return any(one.low is not None for one in self.figures)

    @property
    def methods(self) -> list[str]:
        """How it is worked out."""
        return self._each("method")

    @property
    def holds(self) -> list[str]:
        """Where the methods hold."""
        return self._each("holds")

    @property
    def seen_off(self) -> list[str]:
        """How far off the methods have been seen."""
        return self._each("seen_off")

    @property
    def cited(self) -> list[str]:
        """The works that the methods stand in."""
        return [sources()[key].cite for key in self._each("source")]

    def _each(self, name: str) -> list[str]:
        return list(dict.fromkeys(getattr(one, name) for one in self.figures if getattr(one, name)))


def label(one: QuickSum) -> str:
    """Return the name of a sum as words."""
    words = {"hlb": "HLB", "ph": "pH"}
    first, *rest = (words.get(word, word) for word in one.name.split("-"))
    return " ".join([first if first in words.values() else first.capitalize(), *rest])


@lru_cache(maxsize=256)
def example(name: str) -> dict[str, str]:
    """Return the example of a sum, key -> value."""
    pairs = (word.partition("=") for word in shlex.split(quick_sums()[name].example))
    return {key: value for key, _, value in pairs}


def page_of(one: QuickSum, told: Mapping[str, str], *, comma: bool = False) -> Page:
    """Return the page of a sum as its form was filled in; no answer where nothing was typed.

    With a decimal comma, one between two digits is read as the mark; a list then needs a blank after its commas.
    """
    said = {key: value.strip() for key, value in told.items() if value.strip()}
    if comma:
        said = {key: re.sub(r"(?<=\d),(?=\d)", ".", value) for key, value in said.items()}
    answer, trouble = None, ""
    about: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    if said:
        try:
            answer = reckon(one.name, said)
        except LevigateError as what:
            about = what.about if isinstance(what, SumError) else ()
            missing = about if isinstance(what, SumError) and what.missing else ()
            trouble = str(what)
    shown = example(one.name)
    fields = [
        Field(key, key_says.says, key_says.default or "", shown.get(key, ""), told.get(key, ""), key in about)
        for key, key_says in one.keys.items()
    ]
    return Page(
        one,
        tuple(field for field in fields if field.key in shown),
        tuple(field for field in fields if field.key not in shown),
        answer,
        trouble,
        tuple(field.label for field in fields if field.key in missing),
    )
