"""How things are timed here."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Row:
    """One line of the table: what was measured, what came, what is allowed, and whether it holds."""

    what: str
    measured: str
    goal: str
    holds: bool | None


def best(function: Callable[[], object], *, repeats: int = 7) -> float:
    """Return the least wall time of several runs: the others measure the neighbours on the machine. [s]"""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        function()
        times.append(time.perf_counter() - start)
    return min(times)
