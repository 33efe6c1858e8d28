"""Sentences in the language of the reader: English as it stands in the code, else out of a catalogue.

English is the message itself: no file is read and nothing is looked up. Command, files and API are always English;
the pages set the language for the length of a request. Names of materials and notes of the catalogue are data and
stay as they are.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from gettext import NullTranslations

ENGLISH = "en"
CATALOGUES = Path(__file__).parent / "locale"
_language: ContextVar[str] = ContextVar("language", default=ENGLISH)


def language() -> str:
    """Return the language of the reader, which belongs into the key of whatever remembers sentences."""
    return _language.get()


@contextmanager
def speaking(reads: str) -> Iterator[None]:
    """Speak a language, such as "de", in this thread until left; without a catalogue it stays English."""
    before = _language.set(reads)
    try:
        yield
    finally:
        _language.reset(before)


def tr(message: str) -> str:
    """Return a sentence in the language of the reader; what is put in comes after: ``tr("{n} %").format(n=...)``."""
    reads = _language.get()
    return message if reads == ENGLISH else _catalogue(reads).gettext(message)


def trn(one: str, many: str, number: int) -> str:
    """Return the sentence for one or for many in the language of the reader."""
    reads = _language.get()
    if reads == ENGLISH:
        return one if number == 1 else many
    return _catalogue(reads).ngettext(one, many, number)


def marked(message: str) -> str:
    """Return a sentence of a module as it is; the catalogue learns of it, and ``tr`` is asked where it is said."""
    return message


def listed(words: Iterable[str]) -> str:
    """Return words as a list in a sentence; empty for none."""
    *first, last = [*words] or [""]
    return tr("{first} and {last}").format(first=", ".join(first), last=last) if first else last


def joined(words: Iterable[str]) -> str:
    """Return words with "and" between each two."""
    first, *others = words
    for word in others:
        first = tr("{first} and {last}").format(first=first, last=word)
    return first


@lru_cache(maxsize=8)
def _catalogue(reads: str) -> NullTranslations:
    """Return what is translated into a language, one file a room."""
    from gettext import GNUTranslations, NullTranslations

    found = NullTranslations()
    for path in sorted((CATALOGUES / reads / "LC_MESSAGES").glob("*.mo")):
        with path.open("rb") as file:
            found.add_fallback(GNUTranslations(file))
    return found
