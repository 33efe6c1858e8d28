"""The tree of versions, flat: each with how deep it stands, children after their parent."""

from __future__ import annotations

from dataclasses import dataclass

from levigate.records.models import Formula, Version


@dataclass(frozen=True, slots=True)
class Branch:
    """One version in the tree."""

    version: Version
    #: Columns to the right of the trunk: a first child goes straight on, a later one begins a column.
    depth: int


def branches(formula: Formula) -> list[Branch]:
    """Return the versions of a formula, oldest first within each branch."""
    kept = list(formula.versions.order_by("number"))
    children: dict[int | None, list[Version]] = {}
    for one in kept:
        children.setdefault(one.parent_id, []).append(one)
    found: list[Branch] = []
    waiting = [(one, i) for i, one in reversed(list(enumerate(children.get(None, []))))]
    while waiting:
        one, depth = waiting.pop()
        found.append(Branch(one, depth))
        waiting += [(child, depth + i) for i, child in reversed(list(enumerate(children.get(one.pk, []))))]
    return found
