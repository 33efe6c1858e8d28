"""Groups of substances that rules speak of, and what may stand in for them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

import tomli

from levigate.shelf.catalogue import catalogue, plain
from levigate.shelf.record import Material

GROUPS = Path(__file__).parent / "groups.toml"


@dataclass(frozen=True, slots=True)
class Group:
    """Substances that a rule treats alike."""

    name: str
    says: str
    members: frozenset[str]
    source: str
    grade: str
    place: str = ""
    #: What the amounts are, with their unit.
    counts: str = ""
    amounts: Mapping[str, float] = field(default_factory=dict)
    #: INCI names of the members, by which materials of one's own belong.
    inci: frozenset[str] = frozenset()

    def amount(self, key: str, record: Material | None) -> float:
        """Return the number that the group has for a substance; that of its namesake for a material of one's own."""
        if key in self.amounts or record is None:
            return self.amounts.get(key, 0.0)
        inci = plain(record.inci)
        return next((n for one, n in self.amounts.items() if plain(catalogue().names(one).inci) == inci), 0.0)


@dataclass(frozen=True, slots=True)
class Instead:
    """What may stand in for a group of substances, or for a material."""

    of: str
    use: str
    source: str
    grade: str
    note: str
    place: str = ""
    #: Share of the whole formula to take; None where it goes mass for mass. [%]
    percent: float | None = None
    #: Mass of it for a mass of what it replaces. [1]
    factor: float = 1.0


@lru_cache(maxsize=1)
def groups() -> dict[str, Group]:
    """Return all groups by name."""
    table = tomli.loads(GROUPS.read_text(encoding="utf-8"))["groups"]
    return {name: _group(name, entry) for name, entry in table.items()}


def _group(name: str, entry: dict[str, object]) -> Group:
    members = frozenset(map(str, entry["members"]))  # type: ignore[call-overload]
    inci = frozenset(plain(catalogue().names(key).inci) for key in members)
    return Group(**{**entry, "name": name, "members": members, "inci": inci})  # type: ignore[arg-type]


@lru_cache(maxsize=4096)
def groups_of(key: str, inci: str) -> frozenset[str]:
    """Return the groups to which a substance belongs, by its key or its INCI name."""
    said = plain(inci)
    return frozenset(name for name, group in groups().items() if key in group.members or said in group.inci)


@lru_cache(maxsize=1)
def members() -> frozenset[str]:
    """Return the keys that any group has: a rule speaks of these whole, also where they are made of something."""
    return frozenset().union(*(group.members for group in groups().values()))


@lru_cache(maxsize=1)
def instead() -> tuple[Instead, ...]:
    """Return all that may stand in for something."""
    return tuple(Instead(**entry) for entry in tomli.loads(GROUPS.read_text(encoding="utf-8"))["instead"])
