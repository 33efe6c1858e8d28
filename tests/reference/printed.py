"""Read the printed cases: ``tests/reference/<science module>.toml``, one table array per public function.

A case gives ``inputs`` (SI), the ``expected`` number (SI) with how it was printed: ``digits`` (the printed value, in
``unit`` of the print, stands for half a unit of its last digit) or a ``tolerance`` with the reason in ``why``.
"""

from __future__ import annotations

import importlib
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import tomli

HERE = Path(__file__).parent
#: Fields a case may have beside those of `Case`.
SEEN = ("page", "second hand", "memory")


@dataclass(frozen=True)
class Case:
    """One printed number and how to get ours."""

    topic: str
    function: str
    inputs: dict[str, Any]
    #: As printed, a string such as "4.27e-3", so that its last digit is known.
    expected: str
    #: SI value of one unit of the print.
    unit: float
    #: Half-width allowed, in units of the print.
    tolerance: float
    why: str
    source: str
    place: str
    seen: str
    #: Which element or field of the result is meant, where it is not a single number.
    pick: str

    @property
    def name(self) -> str:
        """Return a short name for reports."""
        return f"{self.topic}.{self.function}"

    def ours(self) -> float:
        """Return our number in units of the print."""
        function = getattr(importlib.import_module(f"levigate.science.{self.topic}"), self.function)
        result = function(**self.inputs)
        if self.pick:
            result = getattr(result, self.pick) if not self.pick.isdigit() else result[int(self.pick)]
        return float(np.asarray(result).item()) / self.unit

    def difference(self) -> float:
        """Return ours minus printed, in units of the print."""
        return self.ours() - float(self.expected)


def half_last_digit(printed: str) -> float:
    """Return half a unit of the last digit of a number as printed."""
    exponent = Decimal(printed).as_tuple().exponent
    if not isinstance(exponent, int):
        raise ValueError(f"{printed} is not a finite number")
    return 0.5 * 10.0**exponent


def cases() -> Iterator[Case]:
    """Yield every printed case of every topic."""
    for path in sorted(HERE.glob("*.toml")):
        for function, entries in tomli.loads(path.read_text(encoding="utf-8")).items():
            for entry in entries:
                expected = str(entry["expected"])
                tolerance = entry.get("tolerance")
                yield Case(
                    topic=entry.get("module", path.stem),
                    function=function,
                    inputs=entry["inputs"],
                    expected=expected,
                    unit=float(entry.get("unit", 1.0)),
                    tolerance=half_last_digit(expected) * 1.0000001 if tolerance is None else float(tolerance),
                    why=entry.get("why", ""),
                    source=entry["source"],
                    place=entry.get("place", ""),
                    seen=entry["seen"],
                    pick=str(entry.get("pick", "")),
                )
