"""Premixes taken apart into substances, and stock solutions used up in place of the neat material."""

from __future__ import annotations

from collections.abc import Collection
from fractions import Fraction

from levigate.errors import FormulaError, PercentError
from levigate.formula.model import Formula
from levigate.shelf.catalogue import Shelf

#: Substances that are water, by key.
WATER = "aqua"
#: Premixes within premixes.
DEEPEST = 30


def substances(shelf: Shelf, material: str, *, kept: Collection[str] = ()) -> dict[str, Fraction]:
    """Return what a material is made of, down to substances, as shares that sum to 1.

    A part that no shelf knows is a substance by its own name. What a composition leaves unsaid is kept as
    ``"rest of <material>"``.

    Parameters
    ----------
    shelf : Shelf
        Where compositions stand.
    material : str
        What is taken apart.
    kept : collection of str
        Keys of premixes that are not taken apart themselves.

    Raises
    ------
    FormulaError
        When a premix contains itself, or premixes are nested beyond sense.
    """
    return dict(_taken_apart(shelf, material, kept, (), {} if kept else shelf.apart))


def _taken_apart(
    shelf: Shelf, material: str, kept: Collection[str], above: tuple[str, ...], known: dict[str, dict[str, Fraction]]
) -> dict[str, Fraction]:
    key = shelf.key(material)
    if key is None:
        return {material: Fraction(1)}
    if key in known:
        return known[key]
    if key in above:
        circle = " > ".join([*above[above.index(key) :], key])
        raise FormulaError(f'the premix "{key}" contains itself ({circle}); a premix cannot be its own part.')
    if len(above) > DEEPEST:
        raise FormulaError(
            f'the premix "{above[0]}" holds premixes nested more than {DEEPEST} deep; write what it is made of itself.'
        )
    made_of = shelf[key].made_of
    if made_of is None or key in kept:
        return known.setdefault(key, {key: Fraction(1)})
    percents = {part: Fraction(percent) for part, percent in made_of.parts.items()}
    total = sum(percents.values(), Fraction(0))
    whole = total if made_of.complete else max(total, Fraction(100))
    found: dict[str, Fraction] = {}
    for part, percent in percents.items():
        for substance, share in _taken_apart(shelf, part, kept, (*above, key), known).items():
            found[substance] = found.get(substance, Fraction(0)) + share * percent / whole
    if total < whole:
        found[f"rest of {key}"] = 1 - total / whole
    return known.setdefault(key, found)


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
    """Return the share of a material in a stock solution or premix. [1]"""
    key = shelf.key(neat) or neat
    return substances(shelf, stock, kept=(key,)).get(key, Fraction(0))


def use_stock(formula: Formula, shelf: Shelf, position: int, stock: str) -> dict[int, Fraction]:
    """Return the percents that change when a stock solution takes the place of a neat material.

    What the stock brings along is taken off the lines of the same material: the q.s. line first, then the largest.

    Parameters
    ----------
    formula : Formula
        The formula.
    shelf : Shelf
        Its shelf.
    position : int
        The line of the neat material, which the stock takes over.
    stock : str
        The stock.

    Returns
    -------
    dict
        Position -> new percent, that of the stock included. [%]

    Raises
    ------
    PercentError
        When the stock holds none of it, or brings along more of something than the formula has.
    """
    lines = [line for _, line in formula.lines()]
    neat = lines[position].material
    key = shelf.key(neat) or neat
    share = strength(shelf, stock, neat)
    if share == 0:
        raise PercentError(f'"{stock}" holds no {neat}, so it cannot take its place.')
    amount = Fraction(lines[position].percent) / share
    changed = {position: amount}
    for part, part_share in substances(shelf, stock, kept=(key,)).items():
        if part == key:
            continue
        brought = amount * part_share
        there = [
            i for i, line in enumerate(lines) if i != position and (shelf.key(line.material) or line.material) == part
        ]
        there.sort(key=lambda i: (not lines[i].qs, -lines[i].percent))
        has = sum((Fraction(lines[i].percent) for i in there), Fraction(0))
        if has < brought:
            raise PercentError(
                f'{float(amount):.4g} % of "{stock}" brings {float(brought):.4g} % of {part} along, but the formula '
                f"has {f'{float(has):.4g} %' if there else 'none'} that could give way; use a stronger stock or leave "
                "part of the material neat."
            )
        for i in there:
            given = min(brought, Fraction(lines[i].percent))
            changed[i] = Fraction(lines[i].percent) - given
            brought -= given
    return changed
