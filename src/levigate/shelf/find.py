"""Find a material by whatever a person types: an everyday name, an INCI name, a CAS number, or any of them misspelt."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from levigate.shelf.catalogue import Shelf, plain

#: Likeness, of 100, of the ways in which a name can match: the nearer in length, the nearer to the upper end.
_SAME, _BEGINS, _HAS_WORDS, _HOLDS = (100.0, 100.0), (90.0, 98.0), (82.0, 89.0), (70.0, 80.0)
#: A misspelt name, or each of its words, shares so much of its letters, of 1: one slip in four letters, two in eight.
_LIKE_ENOUGH = 0.74
#: What is so much less alike than the best is noise.
_NOISE = 12.0
#: Letters of a word below which it must be typed whole.
_SHORT = 3


@dataclass(frozen=True, slots=True)
class Hit:
    """One material found, the name that matched and how alike it is (100 is the same)."""

    key: str
    name: str
    likeness: float


def find(shelf: Shelf, text: str, *, most: int = 12, misspelt: bool = True) -> list[Hit]:
    """Return materials that go by a name like this, best first.

    The whole name first, then names that begin with it, then names whose words begin as its words do. Only where
    there are none of these: names that hold it or that it holds, and, where one may be misspelt, names that are spelt
    like it.
    """
    first = shelf.key(text)
    hits = among(shelf.spoken(), text, misspelt=misspelt)
    return sorted(hits, key=lambda hit: (hit.key != first, -hit.likeness, len(hit.key), hit.key))[:most]


def among(spoken: Sequence[tuple[str, str, str]], text: str, *, misspelt: bool = True) -> list[Hit]:
    """Return which of some things go by a name like this, as `find` does, in no order.

    Parameters
    ----------
    spoken : sequence
        Every name that can be said: as written, as `plain` gives it, and the key it stands for.
    text : str
        What was typed.
    misspelt : bool
        Whether names that are only spelt like it are looked for where there is nothing better.
    """
    wanted = plain(text)
    if not wanted:
        return []
    hits = _best(_said(wanted, spoken))
    if misspelt and not any(hit.likeness >= _HAS_WORDS[0] for hit in hits):
        hits = _best([*hits, *_misspelt(wanted, spoken)])
        alike = max((hit.likeness for hit in hits), default=0.0)
        hits = [hit for hit in hits if hit.likeness >= alike - _NOISE]
    return hits


def _best(hits: Iterable[Hit]) -> list[Hit]:
    """Return the best hit of each material."""
    best: dict[str, Hit] = {}
    for hit in hits:
        if hit.key not in best or best[hit.key].likeness < hit.likeness:
            best[hit.key] = hit
    return list(best.values())


def _said(wanted: str, spoken: Sequence[tuple[str, str, str]]) -> Iterator[Hit]:
    # A word of few letters, or a number, is closed by a blank, so that it is not taken for the beginning of another.
    words = [f" {word} " if len(word) < _SHORT or word.isdigit() else f" {word}" for word in wanted.split()]
    begin, whole = words[0].strip(), f" {wanted} "
    # Whatever matches has the first word in it, or stands in what was typed; this alone is looked at more closely.
    for name, said, key in [one for one in spoken if begin in one[1] or f" {one[1]} " in whole]:
        if said == wanted:
            way = _SAME
        elif said.startswith(wanted):
            way = _BEGINS
        elif all(word in f" {said} " for word in words):
            way = _HAS_WORDS
        elif (len(wanted) > _SHORT and wanted in said) or (len(said) > _SHORT and f" {said} " in whole):
            way = _HOLDS
        else:
            continue
        low, high = way
        near = min(len(wanted), len(said)) / max(len(wanted), len(said))
        yield Hit(key, name, low + (high - low) * near)


def _misspelt(wanted: str, spoken: Sequence[tuple[str, str, str]]) -> Iterator[Hit]:
    """Yield names spelt like it, and names that have a word spelt like each of its words."""
    whole = dict(_spelt_like(wanted, [said for _, said, _ in spoken]))
    vocabulary = list({word for _, said, _ in spoken for word in said.split()})
    alike = [(len(word) / len(wanted.replace(" ", "")), dict(_spelt_like(word, vocabulary))) for word in wanted.split()]
    first = set(alike[0][1]) if all(known for _, known in alike) else set()
    for name, said, key in spoken:
        likeness, words = whole.get(said, 0.0), said.split()
        if not first.isdisjoint(words):
            each = [weight * max(map(known.get, words, [0.0] * len(words))) for weight, known in alike]
            if all(each):
                likeness = max(likeness, sum(each) * (0.75 + 0.25 * min(1.0, len(wanted) / len(said))))
        if likeness:
            yield Hit(key, name, min(100.0 * likeness, _HAS_WORDS[1]))


def _spelt_like(wanted: str, names: Sequence[str]) -> Iterator[tuple[str, float]]:
    """Yield the names spelt like it, and how alike they are, of 1: a letter missing, put in, wrong, or two swapped."""
    from rapidfuzz.distance import OSA
    from rapidfuzz.process import extract

    found = extract(wanted, names, scorer=OSA.normalized_similarity, score_cutoff=_LIKE_ENOUGH, limit=None)
    return ((name, float(likeness)) for name, likeness, _ in found)


def closest(shelf: Shelf, text: str, *, most: int = 3) -> list[str]:
    """Return keys to offer as "did you mean" for a name that the shelf lacks."""
    return [hit.key for hit in find(shelf, text, most=most)]
