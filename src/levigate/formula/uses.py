"""Use families: where a product goes, whether it is left on, and how much of it is used in a day."""

from __future__ import annotations

from collections.abc import Iterable
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


def speaks_of(applies: Iterable[str], said: str, use: Use | None) -> bool:
    """Return whether a legal limit speaks of a product; where its use is not known, it may.

    Parameters
    ----------
    applies : iterable of str
        Where the limit applies: "all", "leave-on", "rinse-off", a use family, or words such as "spray".
    said : str
        The use as the formula file says it.
    use : Use, optional
        The use family that goes by it.
    """
    spoken = f" {plain(said)} "
    family = [] if use is None else [plain(name) for name in (use.name, use.where, *use.names)]
    for word in applies:
        if word == "all":
            return True
        if word in ("leave-on", "rinse-off"):
            if use is None or use.leave_on == (word == "leave-on"):
                return True
        elif plain(word) in family or f" {plain(word)} " in spoken:
            return True
    return False


def use_of(text: str) -> Use | None:
    """Return the use family that goes by this name, None if there is none."""
    wanted = plain(text)
    return next((use for use in uses().values() if wanted in map(plain, (use.name, *use.names))), None)
