"""Usual active matter of washes, by use family."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import tomli

_FILE = Path(__file__).parent / "washing.toml"


@dataclass(frozen=True, slots=True)
class Wash:
    """What is usual in one use family."""

    #: Active matter. [%]
    low: float
    high: float
    source: str
    grade: str


@lru_cache(maxsize=1)
def washes() -> dict[str, Wash]:
    """Return what is usual, by use family."""
    return {name: Wash(**entry) for name, entry in tomli.loads(_FILE.read_text(encoding="utf-8")).items()}
