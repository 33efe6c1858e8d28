"""What a formula holds, premixes taken apart, by the groups that rules of compatibility speak of."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from levigate.errors import PercentError
from levigate.formula.model import Formula
from levigate.formula.percent import adjust
from levigate.formula.premix import WATER, substances
from levigate.quantities.saying import digits
from levigate.review.changes import renamed
from levigate.shelf.catalogue import Shelf
from levigate.shelf.groups import Instead, groups, groups_of, instead, members
from levigate.shelf.record import Material
from levigate.words import joined, listed, tr

#: Share of the formula below which a substance is a trace that a premix brings along. [%]
TRACE = 0.05
#: Share below which it is not spoken of. [%]
_NOTHING = 0.001


@dataclass(frozen=True, slots=True)
class Part:
    """What one line brings of one substance."""

    position: int
    #: Place of its phase.
    phase: int
    #: As the line names its material.
    line: str
    #: The substance.
    key: str
    percent: float
    record: Material | None
    groups: frozenset[str] = frozenset()
    #: Whether the line brings nothing else but water.
    alone: bool = True


@dataclass(frozen=True, slots=True)
class Held:
    """All parts of a formula."""

    parts: tuple[Part, ...]

    def of(self, group: str) -> tuple[Part, ...]:
        """Return what it holds of a group."""
        return tuple(part for part in self.parts if group in part.groups)

    def where(self, holds: Callable[[Part], bool]) -> tuple[Part, ...]:
        """Return the parts of which something holds."""
        return tuple(part for part in self.parts if holds(part))

    @property
    def water(self) -> float:
        """Return the share of water that is known to be in it. [%]"""
        return total(self.where(lambda part: part.key == WATER))

    def amount(self, group: str) -> float:
        """Return the sum over a group of what each holds by its amounts, per mass of the formula."""
        one = groups()[group]
        return sum(part.percent / 100 * one.amount(part.key, part.record) for part in self.of(group))


def held(formula: Formula, shelf: Shelf) -> Held:
    """Return what a formula holds."""
    lines = [(phase, line) for phase, one in enumerate(formula.phases) for line in one.lines]
    parts = []
    for position, (phase, line) in enumerate(lines):
        shares = substances(shelf, line.material, kept=members())
        alone = len(shares.keys() - {WATER}) < 2
        for key, share in shares.items():
            percent = float(line.percent) * float(share)
            if percent >= _NOTHING:
                record = shelf.get(key)
                belongs = groups_of(key, record.inci if record is not None else "")
                parts.append(Part(position, phase, line.material, key, percent, record, belongs, alone))
    return Held(tuple(parts))


def total(parts: Iterable[Part]) -> float:
    """Return the sum of some parts. [%]"""
    return sum(part.percent for part in parts)


def positions(*several: Iterable[Part]) -> tuple[int, ...]:
    """Return the lines that some parts stand on, each once."""
    return tuple(dict.fromkeys(part.position for parts in several for part in parts))


def names(parts: Iterable[Part]) -> str:
    """Return the substances of some parts in words."""
    return listed(dict.fromkeys(_short(part.key) for part in parts))


def percents(parts: Iterable[Part]) -> str:
    """Return the substances of some parts with their percents, and the premix that brings them, in words."""
    found: dict[tuple[str, str], float] = {}
    for part in parts:
        brought = "" if part.alone and (part.percent >= TRACE or part.line == part.key) else part.line
        found[part.key, brought] = found.get((part.key, brought), 0.0) + part.percent
    return ", ".join(_brings(_short(key), digits(n, 2), premix) for (key, premix), n in found.items())


def _brings(name: str, percent: str, premix: str) -> str:
    if not premix:
        return f"{name} {percent} %"
    return tr("{name} {percent} % (in {premix})").format(name=name, percent=percent, premix=premix)


def headed(text: str) -> str:
    """Return a text with a capital letter."""
    return f"{text[:1].upper()}{text[1:]}"


def _short(key: str) -> str:
    return key.removesuffix(" (active matter)").removesuffix(" (dry)")


def without(formula: Formula, lines: Iterable[int]) -> Formula | None:
    """Return the formula without some lines, q.s. (else all others) taking up their share; None if that cannot be."""
    gone = set(lines)
    if not formula.adds_up or formula.qs in gone or len(gone) >= len(formula.percents):
        return None
    try:
        left = adjust(formula, dict.fromkeys(gone, Decimal(0)))
    except PercentError:
        return None
    at = iter(range(len(left.percents)))
    phases = [
        replace(phase, lines=tuple(line for line in phase.lines if next(at) not in gone)) for phase in left.phases
    ]
    return replace(left, phases=tuple(phase for phase in phases if phase.lines))


def stands_in(shelf: Shelf, parts: Iterable[Part]) -> list[Instead]:
    """Return what may stand in for all of some parts at once, as far as the shelf has it."""
    several = list(parts)
    found: dict[str, Instead] = {}
    for one in instead():
        if one.use in shelf and all(_is(one.of, part, shelf) for part in several):
            found.setdefault(one.use, one)
    return list(found.values())


def _is(of: str, part: Part, shelf: Shelf) -> bool:
    return of in part.groups or of in (part.key, shelf.key(part.line))


def swapped(formula: Formula, shelf: Shelf, parts: Iterable[Part], other: Instead) -> Formula | None:
    """Return the formula with one material in place of the lines that bring some parts; None if that cannot be."""
    several = list(parts)
    first, *others = positions(several)
    if not formula.adds_up or formula.qs in (first, *others):
        return None
    percent = other.percent if other.percent is not None else total(several) * other.factor
    try:
        changed = adjust(formula, {first: max(Decimal(f"{percent:.2f}"), Decimal("0.01"))})
    except PercentError:
        return None
    named = renamed(changed, shelf, first, other.use)
    if others:
        # Renaming may have joined two lines, which moves all behind them.
        if len(named.percents) != len(changed.percents):
            return None
        return without(named, others)
    return named


def swap_says(parts: Iterable[Part], other: Instead) -> str:
    """Return a swap in words."""
    several = list(parts)
    percent = other.percent if other.percent is not None else total(several) * other.factor
    return tr("Put {other} {percent} % in place of {lines}: {note}.").format(
        other=other.use,
        percent=digits(max(percent, 0.01), 2),
        lines=joined(dict.fromkeys(part.line for part in several)),
        note=tr(other.note),
    )
