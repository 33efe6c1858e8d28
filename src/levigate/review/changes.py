"""Changes that remedies make beside the percent arithmetic: a line added, moved or renamed; like joins like."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from levigate.errors import PercentError
from levigate.formula.model import Formula, Grain, Line
from levigate.formula.percent import set_percents
from levigate.formula.treatment import hottest
from levigate.shelf.catalogue import Shelf


def moved(formula: Formula, shelf: Shelf, position: int, letter: str) -> Formula:
    """Return the formula with one line moved to the end of another phase."""
    line = [line for _, line in formula.lines()][position]
    phases = []
    for phase in formula.phases:
        lines: tuple[Line, ...] = tuple(one for one in phase.lines if one is not line)
        if phase.letter == letter:
            lines = _with(lines, line, shelf)
        phases.append(replace(phase, lines=lines))
    return replace(formula, phases=tuple(phase for phase in phases if phase.lines))


def treated(formula: Formula, letter: str, how: str) -> Formula:
    """Return the formula with one phase treated in another way."""
    return replace(
        formula,
        phases=tuple(
            replace(phase, how=how, temperature=hottest(how)) if phase.letter == letter else phase
            for phase in formula.phases
        ),
    )


def renamed(formula: Formula, shelf: Shelf, position: int, material: str) -> Formula:
    """Return the formula with one line naming another material."""
    before = [line for _, line in formula.lines()][position]
    after = replace(before, material=material)
    phases = []
    for phase in formula.phases:
        lines = tuple(after if line is before else line for line in phase.lines)
        others = tuple(line for line in lines if line is not after)
        if len(others) < len(lines) and any(_like(line, after, shelf) for line in others):
            lines = _with(others, after, shelf)
        phases.append(replace(phase, lines=lines))
    return replace(formula, phases=tuple(phases))


def regrained(formula: Formula, position: int, grain: Grain) -> Formula:
    """Return the formula with another grain on one line."""
    before = [line for _, line in formula.lines()][position]
    phases = (
        replace(phase, lines=tuple(replace(line, grain=grain) if line is before else line for line in phase.lines))
        for phase in formula.phases
    )
    return replace(formula, phases=tuple(phases))


def added(
    formula: Formula, shelf: Shelf, material: str, percent: Decimal, *, letter: str | None = None
) -> Formula | None:
    """Return the formula with so much of a material in a phase (else the last), q.s. (else all) giving way, if it can.

    Where the material stands in that phase already, its line is set to so much.
    """
    place = next((i for i, phase in enumerate(formula.phases) if phase.letter == letter), len(formula.phases) - 1)
    before, phase = formula.phases[:place], formula.phases[place]
    lines = _with(phase.lines, Line(material, Decimal(0)), shelf)
    grown = replace(formula, phases=(*before, replace(phase, lines=lines), *formula.phases[place + 1 :]))
    first = sum(len(one.lines) for one in before)
    position = first + next(i for i, line in enumerate(lines) if _like(line, Line(material, Decimal(0)), shelf))
    givers = {grown.qs} if grown.qs is not None else set(range(len(grown.percents))) - {position}
    try:
        return grown.with_percents(set_percents(grown.percents, {position: percent}, givers))
    except PercentError:
        return None


def _with(lines: tuple[Line, ...], line: Line, shelf: Shelf) -> tuple[Line, ...]:
    """Return lines with one more; where its material stands among them already the two become one line."""
    for i, there in enumerate(lines):
        if _like(there, line, shelf):
            both = replace(there, percent=there.percent + line.percent, qs=there.qs or line.qs)
            return (*lines[:i], both, *lines[i + 1 :])
    return (*lines, line)


def _like(one: Line, other: Line, shelf: Shelf) -> bool:
    return (shelf.key(one.material) or one.material) == (shelf.key(other.material) or other.material)
