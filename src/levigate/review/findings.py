"""What the review says: findings with a level, a reason, a source, and remedies that are already computed."""

from __future__ import annotations

import importlib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from functools import cached_property, lru_cache
from typing import Literal

from levigate.bench.weighing import Scale
from levigate.formula.model import Formula, Line, Phase
from levigate.formula.premix import substances
from levigate.formula.uses import Use
from levigate.quantities.figure import Figure
from levigate.quantities.inputs import Inputs, gather
from levigate.review.held import Held, held
from levigate.shelf.catalogue import Shelf
from levigate.shelf.record import Material

Level = Literal["stop", "care", "note"]
LEVELS: tuple[Level, ...] = ("stop", "care", "note")


@dataclass(frozen=True, slots=True)
class Remedy:
    """A change that would mend a finding: in words, and the formula it gives where the change is one of the formula."""

    says: str
    formula: Formula | None = None
    #: Set by the review: "<rule>-<number of the finding>-<letter of the remedy>".
    id: str = ""


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing the review says."""

    rule: str
    level: Level
    title: str
    why: str
    source: str
    place: str = ""
    #: Positions of the lines it speaks of.
    lines: tuple[int, ...] = ()
    remedies: tuple[Remedy, ...] = ()


@dataclass(frozen=True)
class Situation:
    """All that a rule may look at."""

    formula: Formula
    shelf: Shelf
    use: Use | None
    inputs: Inputs
    figures: dict[str, Figure]
    scale: Scale
    #: The day on which the law is asked; None asks all limits, also those to come.
    today: date | None = None

    def lines(self) -> Iterator[tuple[int, Phase, Line, Material | None]]:
        """Yield each line with its position, phase and record; None where the shelf lacks it."""
        for position, (phase, line) in enumerate(self.formula.lines()):
            yield position, phase, line, self.shelf.get(line.material)

    @cached_property
    def held(self) -> Held:
        """What the formula holds, premixes taken apart."""
        return held(self.formula, self.shelf)

    def gathered(self, formula: Formula) -> Inputs:
        """Return the central inputs of another formula at the same temperature."""
        return gather(formula, self.shelf, draws=0, temperature=self.inputs.temperature)

    def water(self) -> float | None:
        """Return the mass fraction of water; None where it is not known. [1]"""
        figure = self.figures["water_content"]
        return figure.value / 100 if figure.known else None

    def share_of(self, substance: str) -> Fraction:
        """Return the mass fraction of a substance that is known to be in it, premixes taken apart. [1]"""
        key = self.shelf.key(substance) or substance
        parts = ((line.percent, substances(self.shelf, line.material)) for _, line in self.formula.lines())
        return sum((Fraction(percent) / 100 * shares.get(key, Fraction(0)) for percent, shares in parts), Fraction(0))


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule: a pure function from a situation to findings."""

    name: str
    #: What it looks for, and why that matters.
    why: str
    sources: tuple[str, ...]
    check: Callable[[Situation], Iterable[Finding]]


def sentence(note: str) -> str:
    """Return a note of the shelf as a sentence; empty for none."""
    return f"{note[:1].upper()}{note[1:].rstrip('.')}." if note else ""


#: Modules that hold rules, in the order in which they are asked.
_MODULES = (
    "sums",
    "materials",
    "water",
    "preservation",
    "acidity",
    "law",
    "physical",
    "pouring",
    "dissolving",
    "making",
    "emulsions",
    "creams",
    "washes",
    "compatibility",
    "gels",
    "windows",
    "order",
    "heating",
)
_RULES: dict[str, Rule] = {}
_Check = Callable[[Situation], Iterable[Finding]]


def rule(name: str, *, sources: tuple[str, ...]) -> Callable[[_Check], _Check]:
    """Register a rule; the first paragraph of its docstring says why it exists."""

    def register(check: _Check) -> _Check:
        if name in _RULES:
            raise ValueError(f"the rule {name} is registered twice")
        why = " ".join((check.__doc__ or "").split("\n\n")[0].split())
        _RULES[name] = Rule(name, why, sources, check)
        return check

    return register


@lru_cache(maxsize=1)
def rules() -> dict[str, Rule]:
    """Return all rules by name, in the order in which they are asked."""
    order = [importlib.import_module(f"levigate.review.rules.{module}").__name__ for module in _MODULES]
    return dict(sorted(_RULES.items(), key=lambda item: order.index(item[1].check.__module__)))
