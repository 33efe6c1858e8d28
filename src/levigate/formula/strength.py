"""Strength: percent as supplied and percent active; one material in place of another; a stock in place of the neat."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from levigate.errors import PercentError
from levigate.formula.model import Formula, Line
from levigate.formula.percent import deal_out, find_line, set_percents
from levigate.formula.premix import WATER, substances, use_stock
from levigate.shelf.catalogue import Shelf


def active_share(shelf: Shelf, material: str) -> Fraction:
    """Return the share of a material as supplied that is active matter. [1]

    What its ``solids`` say; else what its composition holds beside water; else all of it.
    """
    record = shelf[material]
    if record.solids:
        return Fraction(str(record.solids[0].si("share"))).limit_denominator(10**6)
    if record.made_of is None:
        return Fraction(1)
    return 1 - substances(shelf, material).get(WATER, Fraction(0))


def as_supplied(shelf: Shelf, material: str, active: Decimal) -> Decimal:
    """Return the percent as supplied that brings so many percent of active matter. [%]

    Raises
    ------
    PercentError
        When the material is nothing but water, or more than 100 % of it would be needed.
    """
    share = active_share(shelf, material)
    if share == 0:
        raise PercentError(f'"{material}" has no active matter.')
    percent = Fraction(active) / share
    if percent > 100:
        raise PercentError(
            f"{active} % active would take {float(percent):.4g} % of {material}, which is "
            f"{float(100 * share):.4g} % active."
        )
    return deal_out([percent], 6)[0]


def active_percent(shelf: Shelf, line: Line) -> Fraction:
    """Return the percent of active matter that a line brings. [%]"""
    return Fraction(line.percent) * active_share(shelf, line.material)


def swap(formula: Formula, shelf: Shelf, old: str, new: str) -> Formula:
    """Return the formula with one material in place of another, active matter for active matter.

    Where both are 100 % active this is gram for gram; else the difference in carrier goes to or comes from the
    q.s. line, else from all other lines in proportion.
    """
    if new not in shelf:
        raise PercentError(f'No material is called "{new}", so it cannot take the place of {old}.')
    position = find_line(formula, old, shelf)
    line = [line for _, line in formula.lines()][position]
    percent = (
        as_supplied(shelf, new, deal_out([active_percent(shelf, line)], 6)[0])
        if line.material in shelf
        else line.percent
    )
    renamed = with_material(formula, position, new)
    if percent == line.percent or line.qs:
        return renamed
    givers = {formula.qs} if formula.qs is not None else set(range(len(formula.percents)))
    return renamed.with_percents(set_percents(renamed.percents, {position: percent}, givers))


def with_material(formula: Formula, position: int, material: str) -> Formula:
    """Return the formula with one line naming another material."""
    at = iter(range(len(formula.percents)))
    phases = tuple(
        replace(
            phase,
            lines=tuple(replace(line, material=material) if next(at) == position else line for line in phase.lines),
        )
        for phase in formula.phases
    )
    return replace(formula, phases=phases)


def with_stock(formula: Formula, shelf: Shelf, neat: str, stock: str) -> Formula:
    """Return the formula with a stock solution in place of the neat material, its carrier taken off the formula.

    Raises
    ------
    PercentError
        When the stock holds none of it, or brings along more of something than the formula has.
    """
    if stock not in shelf:
        raise PercentError(
            f'No material is called "{stock}"; describe it in the file: [materials."{stock}"] with made_of.'
        )
    position = find_line(formula, neat, shelf)
    lines = [line for _, line in formula.lines()]
    carriers = {line.material: Fraction(line.percent) for i, line in enumerate(lines) if i != position}
    changed = use_stock(formula, shelf, lines[position].material, stock, carriers)
    renamed = with_material(formula, position, stock)
    positions = {
        i: changed[line.material] for i, line in enumerate(lines) if i != position and line.material in changed
    }
    positions[position] = changed[stock]
    order = list(positions)
    dealt = dict(zip(order, deal_out([positions[i] for i in order], 6), strict=True))
    percents = tuple(dealt.get(i, percent) for i, percent in enumerate(renamed.percents))
    return renamed.with_percents(percents)
