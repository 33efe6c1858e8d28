"""Find a material by whatever a person types: an everyday name, an INCI name, a CAS number, or any of them misspelt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from levigate.shelf.catalogue import Shelf, plain

#: Likeness, of 100, from which a misspelt name is offered.
_LIKE_ENOUGH = 72.0


@dataclass(frozen=True, slots=True)
class Hit:
    """One material found, the name that matched and how alike it is (100 is the same)."""

    key: str
    name: str
    likeness: float


def find(shelf: Shelf, text: str, *, most: int = 12) -> list[Hit]:
    """Return materials that go by a name like this, best first.

    The whole name first, then names that begin with it or have it as a word, then names that sound like it.
    """
    wanted = plain(text)
    if not wanted:
        return []
    best: dict[str, Hit] = {}
    spoken = shelf.spoken()
    for name, said, key in spoken:
        likeness = _likeness(wanted, said)
        if likeness and (key not in best or best[key].likeness < likeness):
            best[key] = Hit(key, name, likeness)
    if not any(hit.likeness >= 90 for hit in best.values()):
        for hit in _misspelt(wanted, spoken):
            if hit.key not in best or best[hit.key].likeness < hit.likeness:
                best[hit.key] = hit
    return sorted(best.values(), key=lambda hit: (-hit.likeness, len(hit.key), hit.key))[:most]


def _likeness(wanted: str, said: str) -> float:
    if said == wanted:
        return 100.0
    if said.startswith(wanted):
        return 95.0
    if f" {wanted}" in f" {said}":
        return 90.0
    words = wanted.split()
    if len(words) > 1 and all(word in said for word in words):
        return 85.0
    return 80.0 if len(wanted) > 3 and wanted in said else 0.0


def _misspelt(wanted: str, spoken: Sequence[tuple[str, str, str]]) -> list[Hit]:
    from rapidfuzz import fuzz, process

    found = process.extract(
        wanted,
        [said for _, said, _ in spoken],
        scorer=fuzz.WRatio if len(wanted) > 5 else fuzz.ratio,
        score_cutoff=_LIKE_ENOUGH,
        limit=30,
    )
    return [Hit(spoken[i][2], spoken[i][0], min(float(score), 89.0)) for _, score, i in found]


def closest(shelf: Shelf, text: str, *, most: int = 3) -> list[str]:
    """Return keys to offer as "did you mean" for a name that the shelf lacks."""
    return [hit.key for hit in find(shelf, text, most=most)]
