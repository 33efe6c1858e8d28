"""What keeps germs down: which substances do, against what, where they go, and which the law calls preservatives."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import tomli

from levigate.shelf.record import Material

PRESERVING = Path(__file__).parent / "preserving.toml"
#: Kinds of germs, as `levigate.science.preservation.OrganismKind`.
GERMS = ("bacteria", "yeast", "mould")


@dataclass(frozen=True, slots=True)
class Preserving:
    """One substance that keeps germs down, or the salt of one."""

    key: str
    #: Key of what works: the substance itself, or the acid of a salt.
    works_as: str
    #: How well it works on each of `GERMS`: 0 hardly, 1 some, 2 well.
    against: tuple[int, int, int]
    source: str
    grade: str
    #: Decimal logarithm of octanol over water, of the uncharged form; None where it is not known, or the form is
    #: charged. [1]
    log_kow: float | None = None
    #: Half-width of its 95 % interval. [1]
    spread: float = 0.3
    kow_source: str = "memory"
    kow_grade: str = "memory"
    note: str = ""


@lru_cache(maxsize=1)
def preserving() -> dict[str, Preserving]:
    """Return all of them by key of the catalogue; a salt has what its acid has."""
    raw = tomli.loads(PRESERVING.read_text(encoding="utf-8"))
    found = {
        key: Preserving(key, key, **{**table, "against": tuple(table["against"])})
        for key, table in raw["substances"].items()
    }
    for salt, acid in raw["salts"].items():
        one = found[acid]
        found[salt] = Preserving(
            salt, acid, one.against, one.source, one.grade, one.log_kow, one.spread, one.kow_source,
            one.kow_grade, one.note,
        )  # fmt: skip
    return found


def in_law(record: Material) -> bool:
    """Return whether Annex V of the EU lists a substance; what it does not list is no preservative in law."""
    return any(limit.place.startswith("Annex V,") for limit in record.limits)
