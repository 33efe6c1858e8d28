"""Small formulas for the tests, written as text so that they go the way a person's do."""

from __future__ import annotations

from levigate.formula.model import Formula
from levigate.formula.text import own_shelf, read_formula
from levigate.quantities.figure import Figure, figures
from levigate.quantities.inputs import DRAWS, Inputs, gather
from levigate.review.engine import Review, review

HEAD = 'levigate = 1\n[formula]\nname = "Test"\n'


def formula(lines: str, *, head: str = "", rest: str = "", how: str = "") -> Formula:
    """Return a formula of one phase: ``"aqua 70, glycerin 5"`` (or TOML tables), with more head and more tables."""
    if "{" not in lines:
        pairs = [part.strip().rpartition(" ") for part in lines.split(";" if ";" in lines else ",")]
        lines = ", ".join(f'{{ material = "{name}", percent = "{percent}" }}' for name, _, percent in pairs)
    phase = f'[[phase]]\nletter = "A"\nhow = "{how}"\nlines = [ {lines} ]\n'
    return read_formula(f"{HEAD}{head}\n{phase}{rest}\n")


def gathered(one: Formula, draws: int = DRAWS) -> Inputs:
    """Return the inputs of a formula over the catalogue."""
    return gather(one, own_shelf(one), draws=draws)


def shown(one: Formula, *names: str, draws: int = DRAWS) -> dict[str, Figure]:
    """Return figures of a formula over the catalogue."""
    return figures(gathered(one, draws), names or None)


def reviewed(one: Formula) -> Review:
    """Return the review of a formula with few draws."""
    return review(one, draws=8)
