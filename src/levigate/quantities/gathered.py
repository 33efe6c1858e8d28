"""What one subject brings to the inputs of a formula, and what it is given to do so."""

from __future__ import annotations

import zlib
from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property, lru_cache
from typing import Any, TypeVar

import numpy as np

from levigate.formula.model import Formula, Line
from levigate.formula.premix import substances
from levigate.quantities.graph import Floats
from levigate.quantities.sourced import Input
from levigate.shelf.catalogue import Shelf
from levigate.shelf.record import Material

T = TypeVar("T")
#: Answers that are kept with the materials of one formula.
_ANSWERS = 200


@dataclass(frozen=True, slots=True, eq=False)
class Materials:
    """What the lines of a formula are of, and what the shelf says of that, however much of each there is.

    What is worked out of this alone is kept, so that after a change of percents it is not worked out again.
    """

    shelf: Shelf
    #: Material of each line, as the formula calls it, and the position of the line.
    names: tuple[str, ...]
    positions: tuple[int, ...]
    #: Key of each line's material on the shelf, its name where no shelf knows it.
    keys: tuple[str, ...]
    #: Names, in the order of the last axis of ``substance_fraction``.
    substances: tuple[str, ...]
    #: Share of each substance in each line, lines by substances. [1]
    composition: Floats
    #: Record of each key and substance; None where no shelf knows it.
    records: Mapping[str, Material | None]
    #: Random draws beside the central row, and the seed of all of them.
    draws: int
    seed: int
    #: Temperature of the figures. [K]
    temperature: float
    _kept: dict[Hashable, Any] = field(default_factory=dict, init=False, repr=False)

    def random(self, subject: str) -> np.random.Generator:
        """Return the random numbers of one subject: another subject that draws more or fewer does not change them."""
        return np.random.default_rng((self.seed, zlib.crc32(subject.encode())))

    def once(self, work: Callable[..., T], *further: Hashable) -> T:
        """Return what a function makes of the materials and of what else it is told; asked again, it is not run again.

        The arrays in it cannot be written to.
        """
        asked = (work, *further)
        found: T | None = self._kept.get(asked)
        if found is None:  # two threads may both work it out, to the same end
            found = _locked(work(self, *further))
            if len(self._kept) >= _ANSWERS:
                self._kept.clear()
            self._kept[asked] = found
        return found


@lru_cache(maxsize=32)
def materials_of(
    shelf: Shelf, names: tuple[str, ...], positions: tuple[int, ...], draws: int, seed: int, temperature: float
) -> Materials:
    """Return what lines are of; the same lines are not read twice."""
    keys = tuple(shelf.key(name) or name for name in names)
    parts: list[dict[str, Fraction]] = [substances(shelf, name) for name in names]
    known = tuple(dict.fromkeys(part for part_of in parts for part in part_of))
    shares = np.zeros((len(names), len(known)))
    for i, part_of in enumerate(parts):
        for part, share in part_of.items():
            shares[i, known.index(part)] = float(share)
    records = {name: shelf.get(name) for name in {*keys, *known}}
    return Materials(shelf, names, positions, keys, known, _locked(shares), records, draws, seed, temperature)


def _locked(value: T) -> T:
    """Return what is kept, its arrays closed to writing."""
    if isinstance(value, np.ndarray):
        value.setflags(write=False)
    elif isinstance(value, Gathered):
        _locked(value.given)
    elif isinstance(value, dict | tuple | list):
        for each in value.values() if isinstance(value, dict) else value:
            _locked(each)
    return value


@dataclass(frozen=True)
class Contents:
    """A formula taken apart: its lines of more than 0 % and the substances that they bring."""

    formula: Formula
    of: Materials
    #: Position and line, in the order of the last axis of ``mass_fraction``.
    lines: tuple[tuple[int, Line], ...]
    #: Mass fraction of each line; nan where the lines do not add up. [1]
    fractions: Floats
    _kept: dict[Callable[..., Any], Any] = field(default_factory=dict, init=False, repr=False, compare=False)

    def once(self, work: Callable[[Contents], T]) -> T:
        """Return what a function makes of the contents; asked again, it is not run again."""
        found: T | None = self._kept.get(work)
        if found is None:
            found = self._kept[work] = work(self)
        return found

    @property
    def shelf(self) -> Shelf:
        """The shelf of the formula."""
        return self.of.shelf

    @property
    def keys(self) -> tuple[str, ...]:
        """Key of each line's material on the shelf, its name where no shelf knows it."""
        return self.of.keys

    @property
    def substances(self) -> tuple[str, ...]:
        """Names, in the order of the last axis of ``substance_fraction``."""
        return self.of.substances

    @property
    def composition(self) -> Floats:
        """Share of each substance in each line, lines by substances. [1]"""
        return self.of.composition

    @property
    def records(self) -> Mapping[str, Material | None]:
        """Record of each key and substance; None where no shelf knows it."""
        return self.of.records

    @property
    def draws(self) -> int:
        """Random draws beside the central row."""
        return self.of.draws

    def random(self, subject: str) -> np.random.Generator:
        """Return the random numbers of one subject."""
        return self.of.random(subject)

    @cached_property
    def phases(self) -> tuple[int, ...]:
        """Number of the phase of each line, in the order of `lines`."""
        numbers = [number for number, phase in enumerate(self.formula.phases) for _ in phase.lines]
        return tuple(numbers[position] for position, _ in self.lines)

    def whole(self) -> Floats:
        """Return the mass fraction of each substance in the formula. [1]"""
        return self._whole

    @cached_property
    def _whole(self) -> Floats:
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
