"""Strength: percent as supplied and percent active; one material in place of another; a stock in place of the neat."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from levigate.errors import PercentError
from levigate.formula.model import Formula, Line
from levigate.formula.percent import PLACES, deal_out, decimals, find_line, set_percents
from levigate.formula.premix import WATER, substances, use_stock
from levigate.shelf.catalogue import Shelf
from levigate.shelf.find import closest


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


def as_supplied(shelf: Shelf, material: str, active: Decimal | Fraction) -> Decimal:
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
            f"{float(active):.4g} % active would take {float(percent):.4g} % of {material}, which is "
            f"{float(100 * share):.4g} % active."
        )
    return deal_out([percent], PLACES)[0]


def active_percent(shelf: Shelf, line: Line) -> Fraction:
    """Return the percent of active matter that a line brings. [%]"""
    return Fraction(line.percent) * active_share(shelf, line.material)


def swap(formula: Formula, shelf: Shelf, old: str, new: str) -> Formula:
    """Return the formula with one material in place of another, active matter for active matter.

    Where both are 100 % active this is gram for gram; else the difference in carrier goes to or comes from the
    q.s. line, else from all other lines in proportion.
    """
    if new not in shelf:
        close = closest(shelf, new, most=1)
        hint = f' Did you mean "{close[0]}"?' if close else ""
        raise PercentError(f'No material is called "{new}", so it cannot take the place of {old}.{hint}')
    position = find_line(formula, old, shelf)
    line = [line for _, line in formula.lines()][position]
    percent = as_supplied(shelf, new, active_percent(shelf, line)) if line.material in shelf else line.percent
    renamed = _renamed(formula, position, new, shelf)
    if percent == line.percent or line.qs:
        return renamed
    givers = {formula.qs} if formula.qs is not None else set(range(len(formula.percents)))
    return renamed.with_percents(set_percents(renamed.percents, {position: percent}, givers))


def _renamed(formula: Formula, position: int, material: str, shelf: Shelf) -> Formula:
    """Return the formula with another material in a line; it must not stand in the phase already. The grain goes."""
    letters = [phase.letter for phase, _ in formula.lines()]
    for i, (phase, line) in enumerate(formula.lines()):
        if i != position and phase.letter == letters[position] and shelf.key(line.material) == shelf.key(material):
            raise PercentError(
                f'"{line.material}" stands in phase {phase.letter} already; set that line instead and take the other '
                "to 0 %."
            )
    return with_material(formula, position, material, grain=False)


def with_material(formula: Formula, position: int, material: str, *, grain: bool = True) -> Formula:
    """Return the formula with one line naming another material, its grain kept where it is the same powder."""
    at = iter(range(len(formula.percents)))

    def named(line: Line) -> Line:
        if next(at) != position:
            return line
        return replace(line, material=material, grain=line.grain if grain else None)

    phases = tuple(replace(phase, lines=tuple(map(named, phase.lines))) for phase in formula.phases)
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
    changed = use_stock(formula, shelf, position, stock)
    renamed = _renamed(formula, position, stock, shelf)
    places = max([PLACES, *(decimals(formula.percents[i]) for i in changed)])
    dealt = dict(zip(changed, deal_out(list(changed.values()), places), strict=True))
    return renamed.with_percents(tuple(dealt.get(i, percent) for i, percent in enumerate(renamed.percents)))
