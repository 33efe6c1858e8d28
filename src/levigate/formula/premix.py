"""Premixes taken apart into substances, and stock solutions used up in place of the neat material."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from levigate.errors import FormulaError, PercentError
from levigate.formula.model import Formula
from levigate.shelf.catalogue import Shelf

#: Substances that are water, by key.
WATER = "aqua"


def substances(shelf: Shelf, material: str, _above: tuple[str, ...] = ()) -> dict[str, Fraction]:
    """Return what a material is made of, down to substances, as shares that sum to 1.

    A part that no shelf knows is a substance by its own name. What a composition leaves unsaid is kept as
    ``"rest of <material>"``.

    Raises
    ------
    FormulaError
        When a premix contains itself.
    """
    key = shelf.key(material)
    if key is None:
        return {material: Fraction(1)}
    if key in _above:
        circle = " > ".join([*_above[_above.index(key) :], key])
        raise FormulaError(f'the premix "{key}" contains itself ({circle}); a premix cannot be its own part.')
    made_of = shelf[key].made_of
    if made_of is None:
        return {key: Fraction(1)}
    total = Fraction(sum(made_of.parts.values()))
    whole = total if made_of.complete else max(total, Fraction(100))
    found: dict[str, Fraction] = {}
    for part, percent in made_of.parts.items():
        for substance, share in substances(shelf, part, (*_above, key)).items():
            found[substance] = found.get(substance, Fraction(0)) + share * Fraction(percent) / whole
    if total < whole:
        found[f"rest of {key}"] = 1 - total / whole
    return found


def check_circles(shelf: Shelf, material: str) -> None:
    """Raise FormulaError when a premix contains itself, however deep."""
    substances(shelf, material)


def composition(formula: Formula, shelf: Shelf) -> dict[str, Fraction]:
    """Return the real percent of each substance in the formula, most first."""
    found: dict[str, Fraction] = {}
    for _, line in formula.lines():
        for substance, share in substances(shelf, line.material).items():
            found[substance] = found.get(substance, Fraction(0)) + share * Fraction(line.percent)
    return dict(sorted(found.items(), key=lambda item: -item[1]))


def strength(shelf: Shelf, stock: str, neat: str) -> Fraction:
    """Return the share of a substance in a stock solution or premix. [1]"""
    wanted = shelf.key(neat) or neat
    return substances(shelf, stock).get(wanted, Fraction(0))


def use_stock(
    formula: Formula, shelf: Shelf, neat: str, stock: str, carriers: Mapping[str, Fraction]
) -> dict[str, Fraction]:
    """Return the percents that change when a stock solution takes the place of the neat material.

    Parameters
    ----------
    formula : Formula
        The formula, in which ``neat`` is a line.
    neat, stock : str
        The line that goes and the stock that comes.
    carriers : mapping
        The lines that may give way, with their percent: what the stock brings along is taken off the line of the same
        material.

    Returns
    -------
    dict
        New percent by material, ``stock`` included; ``neat`` becomes 0.

    Raises
    ------
    PercentError
        When the stock holds none of it, or brings along more of something than the formula has.
    """
    share = strength(shelf, stock, neat)
    if share == 0:
        raise PercentError(f'"{stock}" holds no {neat}, so it cannot take its place.')
    percent = next(
        (Fraction(line.percent) for _, line in formula.lines() if shelf.key(line.material) == shelf.key(neat)),
        None,
    )
    if percent is None:
        raise PercentError(f'"{neat}" is not a line of this formula.')
    amount = percent / share
    changed = {neat: Fraction(0), stock: amount}
    key = shelf.key(neat) or neat
    for part, part_share in substances(shelf, stock).items():
        if part == key:
            continue
        brought = amount * part_share
        line = next((name for name in carriers if (shelf.key(name) or name) == part), None)
        if line is None or carriers[line] < brought:
            has = f"{float(carriers[line]):.4g} %" if line is not None else "none"
            raise PercentError(
                f'{float(amount):.4g} % of "{stock}" brings {float(brought):.4g} % of {part} along, '
                f"but the formula has {has} "
                "that could give way; use a stronger stock or leave part of the material neat."
            )
        changed[line] = carriers[line] - brought
    return changed
