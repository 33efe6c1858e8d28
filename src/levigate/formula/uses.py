"""Use families: where a product goes, whether it is left on, and how much of it is used in a day."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import tomli

from levigate.shelf.catalogue import plain

_FILE = Path(__file__).parent / "uses.toml"


@dataclass(frozen=True, slots=True)
class Use:
    """One use family."""

    name: str
    leave_on: bool
    where: str
    source: str
    grade: str
    place: str = ""
    names: tuple[str, ...] = ()
    #: Grams used in a day; None where no figure was found in print. [g/day]
    amount: float | None = None
    #: Share that stays on the skin. [1]
    retention: float | None = None


@lru_cache(maxsize=1)
def uses() -> dict[str, Use]:
    """Return all use families by name."""
    table = tomli.loads(_FILE.read_text(encoding="utf-8"))
    return {name: Use(name, **{**entry, "names": tuple(entry["names"])}) for name, entry in table.items()}


def use_of(text: str) -> Use | None:
    """Return the use family that goes by this name, None if there is none."""
    wanted = plain(text)
    return next((use for use in uses().values() if wanted in map(plain, (use.name, *use.names))), None)
