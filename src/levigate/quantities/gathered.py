"""What one subject brings to the inputs of a formula, and what it is given to do so."""

from __future__ import annotations

import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from levigate.formula.model import Formula, Line
from levigate.quantities.graph import Floats
from levigate.quantities.sourced import Input
from levigate.shelf.catalogue import Shelf
from levigate.shelf.record import Material


@dataclass(frozen=True, slots=True)
class Contents:
    """A formula taken apart: its lines of more than 0 % and the substances that they bring."""

    formula: Formula
    shelf: Shelf
    #: Position and line, in the order of the last axis of ``mass_fraction``.
    lines: tuple[tuple[int, Line], ...]
    #: Key of each line's material on the shelf, its name where no shelf knows it.
    keys: tuple[str, ...]
    #: Names, in the order of the last axis of ``substance_fraction``.
    substances: tuple[str, ...]
    #: Share of each substance in each line, lines by substances. [1]
    composition: Floats
    #: Mass fraction of each line; nan where the lines do not add up. [1]
    fractions: Floats
    #: Record of each key and substance; None where no shelf knows it.
    records: Mapping[str, Material | None]
    #: Random draws beside the central row, and the seed of all of them.
    draws: int
    seed: int

    def random(self, subject: str) -> np.random.Generator:
        """Return the random numbers of one subject: another subject that draws more or fewer does not change them."""
        return np.random.default_rng((self.seed, zlib.crc32(subject.encode())))

    def whole(self) -> Floats:
        """Return the mass fraction of each substance in the formula. [1]"""
        return np.asarray(self.fractions @ self.composition)


@dataclass
class Gathered:
    """Inputs of one subject, to be put beside the others."""

    #: Leaf of the graph -> array.
    given: dict[str, Floats] = field(default_factory=dict)
    #: Leaf of the graph -> the values behind it.
    behind: dict[str, tuple[Input, ...]] = field(default_factory=dict)
    #: Which of the arrays have a leading axis of draws.
    drawn: set[str] = field(default_factory=set)
    #: What there is one of for each row -> their names, where a quantity's ``each`` is of this subject.
    names: dict[str, Sequence[str]] = field(default_factory=dict)
    #: Leaf -> the parts of which it is not known, as a figure that rests on it names them.
    unnamed: dict[str, tuple[str, ...]] = field(default_factory=dict)
    #: Figure -> whether this formula asks for it; a figure that is not named is always shown.
    asked: dict[str, bool] = field(default_factory=dict)
