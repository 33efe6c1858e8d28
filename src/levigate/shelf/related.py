"""What is like a material: what can stand in for it, and what comes nearest by purpose.

The measure is plain: how many of the purposes of either the two share. It says what to look at, not that one
does the work of the other at the same percent.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from levigate.errors import ShelfError, UnitError
from levigate.shelf.catalogue import Shelf
from levigate.shelf.record import PROPERTIES, Material

#: What must be the same for one material to stand in for another.
_SAME = ("kind", "affinity", "form", "charge")
#: A stand-in shares so many of the purposes that either has. [1]
_ENOUGH = 0.5
#: Properties that say which of several alike is nearest.
_NEAREST = ("required_hlb", "hlb", "viscosity", "melting_point", "density")


@dataclass(frozen=True, slots=True)
class Related:
    """A material that is like another."""

    key: str
    record: Material
    #: Purposes of both.
    shared: tuple[str, ...]
    #: What of kind, affinity, form and charge is not the same.
    differs: tuple[str, ...]
    #: How alike: purposes shared, of those that either has. [1]
    alike: float


@dataclass(frozen=True, slots=True)
class Relatives:
    """What is like a material."""

    #: Same kind, affinity, form and charge, and at least half of the purposes in common.
    stand_ins: tuple[Related, ...]
    #: A purpose in common, but not all of that.
    nearest: tuple[Related, ...]


def related(shelf: Shelf, key: str, *, most: int = 6) -> Relatives:
    """Return what is like a material, the most alike first."""
    mine = shelf[key]
    purposes = {word.casefold() for word in mine.does}
    found: list[tuple[tuple[float, float, str], Related]] = []
    for other in shelf:
        if other == key:
            continue
        theirs = _record(shelf, other)
        if theirs is None:
            continue
        shared = tuple(word for word in theirs.does if word.casefold() in purposes)
        if not shared:
            continue
        alike = len(shared) / len(purposes | {word.casefold() for word in theirs.does})
        differs = tuple(name for name in _SAME if getattr(mine, name) != getattr(theirs, name))
        one = Related(other, theirs, shared, differs, alike)
        found.append(((len(differs) - 8 * alike, _gap(mine, theirs), other), one))
    found.sort(key=lambda entry: entry[0])
    stand_ins = tuple(one for _, one in found if not one.differs and one.alike >= _ENOUGH)
    nearest = tuple(one for _, one in found if one.differs or one.alike < _ENOUGH)
    return Relatives(stand_ins[:most], nearest[:most])


def _record(shelf: Shelf, key: str) -> Material | None:
    """Return a record; None where one's own text no longer fits what stands underneath."""
    try:
        return shelf[key]
    except ShelfError:
        return None


def _gap(mine: Material, theirs: Material) -> float:
    """Return how far two materials are apart: in their fatty acids, else on average in what is known of both. [1]"""
    if mine.fatty_acids is not None and theirs.fatty_acids is not None:
        a, b = mine.fatty_acids.parts, theirs.fatty_acids.parts
        return float(sum(abs(a.get(acid, Decimal(0)) - b.get(acid, Decimal(0))) for acid in {*a, *b})) / 200
    gaps = []
    for name in _NEAREST:
        try:
            one, other = (getattr(record, name)[0].si(PROPERTIES[name]) for record in (mine, theirs))
        except (IndexError, UnitError):
            continue
        gaps.append(abs(one - other) / (abs(one) + abs(other)) if one or other else 0.0)
    # What cannot be compared by its fatty acids comes after what can.
    after = 1.0 if mine.fatty_acids is not None else 0.0
    return after + (sum(gaps) / len(gaps) if gaps else 1.0)
