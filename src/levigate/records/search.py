"""Search across everything on record: materials, formulas, batches, lots, jars and quick sums, as one types."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import islice
from typing import Literal

from django.db.models import Q

from levigate.reckon.sums import quick_sums
from levigate.records.models import Batch, Formula, Jar, Lot
from levigate.records.shelf import shelf
from levigate.shelf.catalogue import plain
from levigate.shelf.find import among, find

Kind = Literal["material", "formula", "batch", "lot", "jar", "sum"]
#: In the order in which they are shown.
KINDS: tuple[Kind, ...] = ("material", "formula", "batch", "lot", "jar", "sum")
#: Letters that are looked at; more is not what a person types to find something.
LONGEST = 100


@dataclass(frozen=True, slots=True)
class Found:
    """One thing found."""

    kind: Kind
    #: Word or number of it in its address.
    key: str
    name: str
    #: What it is, in a few words.
    says: str = ""


def said(text: str) -> str:
    """Return what a person typed to find something: on one line, not too long, without what no one can type."""
    return " ".join("".join(one if one.isprintable() else " " for one in text).split())[:LONGEST]


def search(text: str, *, most: int = 5) -> list[Found]:
    """Return what goes by a name or a code like this, no more than so many of each kind.

    A code, a lot number or a name typed whole stands in front of all that is only like it.
    """
    wanted = said(text)
    if not wanted:
        return []
    named = [_named(wanted, most, misspelt=False), *(group(wanted, most) for group in (_batches, _lots, _jars))]
    found = [one for group in named for one in group] or _named(wanted, most, misspelt=True)
    same = plain(wanted)
    return sorted(found, key=lambda one: (plain(one.name) != same, KINDS.index(one.kind)))


def _named(wanted: str, most: int, *, misspelt: bool) -> list[Found]:
    """Return what has a name rather than a code."""
    groups = (_materials, _formulas, _sums)
    return [one for group in groups for one in islice(group(wanted, most, misspelt), most)]


def _materials(wanted: str, most: int, misspelt: bool) -> Iterator[Found]:
    known = shelf()
    for hit in find(known, wanted, most=most, misspelt=misspelt):
        called = known.names(hit.key).inci
        other = hit.name if plain(hit.name) not in (plain(hit.key), plain(called)) else ""
        yield Found("material", hit.key, hit.key, " · ".join(word for word in (called, other) if word))


def _formulas(wanted: str, most: int, misspelt: bool) -> Iterator[Found]:
    names = dict(Formula.objects.values_list("slug", "name"))
    spoken = [(name, plain(name), slug) for slug, name in names.items()]
    return (Found("formula", key, names[key]) for key in _best(spoken, wanted, misspelt))


def _best(spoken: Sequence[tuple[str, str, str]], wanted: str, misspelt: bool) -> Iterable[str]:
    hits = among(spoken, wanted, misspelt=misspelt)
    return (hit.key for hit in sorted(hits, key=lambda hit: (-hit.likeness, len(hit.name), hit.key)))


def _batches(wanted: str, most: int) -> Iterator[Found]:
    like = Q(code__icontains=wanted) | Q(version__formula__name__icontains=wanted)
    rows = Batch.objects.filter(like).select_related("version__formula").order_by("-created", "-pk")
    for batch in rows[:most]:
        yield Found("batch", batch.code, batch.code, batch.version.formula.name)


def _lots(wanted: str, most: int) -> Iterator[Found]:
    like = Q(number__icontains=wanted) | Q(material__icontains=wanted) | Q(supplier__icontains=wanted)
    for lot in Lot.objects.filter(like).order_by("closed", "best_before", "-received", "-pk")[:most]:
        yield Found("lot", str(lot.pk), lot.number, lot.material)


def _jars(wanted: str, most: int) -> Iterator[Found]:
    rows = Jar.objects.filter(code__icontains=wanted).select_related("fill__batch__version__formula")
    for jar in rows.order_by("-pk")[:most]:
        yield Found("jar", jar.code, jar.code, jar.fill.batch.version.formula.name)


def _sums(wanted: str, most: int, misspelt: bool) -> Iterator[Found]:
    sums = quick_sums()
    for key in _best(_spoken_sums(), wanted, misspelt):
        yield Found("sum", key, key.replace("-", " "), sums[key].title)


@lru_cache(maxsize=1)
def _spoken_sums() -> tuple[tuple[str, str, str], ...]:
    named = ((name, words) for name, one in quick_sums().items() for words in (name.replace("-", " "), one.title))
    return tuple((words, plain(words), name) for name, words in named)
