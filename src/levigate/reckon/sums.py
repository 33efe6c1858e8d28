"""How a quick sum is declared, called and shown."""

from __future__ import annotations

import difflib
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from levigate import units
from levigate.errors import SumError, UnitError
from levigate.quantities.figure import Figure
from levigate.quantities.sourced import Input


@dataclass(frozen=True, slots=True)
class Key:
    """One thing that a sum can be told: its dimension (None for plain text), and what it is."""

    dimension: str | None
    says: str
    #: Used where nothing is said; None means it must be said, or that the sum does without.
    default: str | None = None


@dataclass(frozen=True, slots=True)
class Told:
    """What a sum was told, read into SI; a key that was not told is absent."""

    numbers: Mapping[str, float]
    texts: Mapping[str, str]

    def __contains__(self, key: str) -> bool:
        """Return whether a key was told."""
        return key in self.numbers or key in self.texts

    def __getitem__(self, key: str) -> float:
        """Return a number, SI."""
        return self.numbers[key]


@dataclass(frozen=True, slots=True)
class Reckoned:
    """The answer of a quick sum."""

    figures: dict[str, Figure]
    working: tuple[str, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class QuickSum:
    """One quick sum."""

    name: str
    title: str
    example: str
    keys: Mapping[str, Key]
    function: Callable[[Told], Reckoned]


_SUMS: dict[str, QuickSum] = {}


def quick_sum(
    name: str, title: str, example: str, **keys: Key
) -> Callable[[Callable[[Told], Reckoned]], Callable[[Told], Reckoned]]:
    """Register a quick sum with the keys it takes."""

    def register(function: Callable[[Told], Reckoned]) -> Callable[[Told], Reckoned]:
        _SUMS[name] = QuickSum(name, title, example, keys, function)
        return function

    return register


@lru_cache(maxsize=1)
def quick_sums() -> dict[str, QuickSum]:
    """Return all quick sums by name."""
    from levigate.reckon import (  # noqa: F401  (they register themselves)
        acids,
        contents,
        dissolving,
        emulsifying,
        filling,
        flowing,
        holding,
        keeping,
        making,
        measures,
        mixtures,
        neutralising,
        settling,
        sieving,
        spreading,
        stocks,
        syringe,
    )

    return dict(sorted(_SUMS.items()))


def reckon(name: str, told: Mapping[str, str]) -> Reckoned:
    """Return the answer of a quick sum.

    Parameters
    ----------
    name : str
        One of `quick_sums`.
    told : mapping
        Key -> value with its unit, as a person writes it.

    Raises
    ------
    SumError
        When there is no such sum, a key is unknown or missing, or a value is outside what the sum can take.
    """
    known = quick_sums()
    if name not in known:
        raise SumError(f'There is no quick sum "{name}".{_close(name, list(known))} `levigate reckon` lists them.')
    this = known[name]
    numbers: dict[str, float] = {}
    texts: dict[str, str] = {}
    for key, value in told.items():
        if key not in this.keys:
            raise SumError(f'"{name}" takes no "{key}".{_close(key, list(this.keys))} It takes {", ".join(this.keys)}.')
        _read(this.keys[key], key, value, numbers, texts)
    for key, about in this.keys.items():
        if key not in told and about.default is not None:
            _read(about, key, about.default, numbers, texts)
    with np.errstate(all="ignore"):  # what is beyond all measure becomes inf or nan, which `figure` refuses
        return this.function(Told(numbers, texts))


def _read(about: Key, key: str, value: str, numbers: dict[str, float], texts: dict[str, str]) -> None:
    if about.dimension is None:
        texts[key] = value
        return
    try:
        numbers[key] = units.si(value, about.dimension)
    except UnitError as trouble:
        raise SumError(f"{key}: {trouble}", about=(key,)) from trouble


def _close(word: str, known: list[str]) -> str:
    close = difflib.get_close_matches(word, known, n=1, cutoff=0.4)
    return f' Did you mean "{close[0]}"?' if close else ""


def need(told: Told, name: str, *keys: str) -> None:
    """Raise SumError unless all keys were told."""
    missing = [key for key in keys if key not in told]
    if missing:
        this = quick_sums()[name]
        raise SumError(
            f"{name} needs {' and '.join(missing)}, for example: levigate reckon {name} {this.example}",
            about=tuple(missing),
            missing=True,
        )


def above_nought(told: Told, *keys: str) -> None:
    """Raise SumError when one of the keys was told a value that is not above nought."""
    for key in keys:
        if key in told.numbers and not told.numbers[key] > 0:
            raise SumError(f"{key} must be above nought.", about=(key,))


def figure(  # noqa: PLR0913  (a figure has that many parts; all but four have a default)
    name: str,
    title: str,
    value: float,
    unit: str,
    *,
    method: str,
    source: str,
    inputs: tuple[Input, ...] = (),
    half: float | None = None,
    grade: str = "measured",
    place: str = "",
    holds: str = "",
    seen_off: str = "",
) -> Figure:
    """Return a figure of a quick sum, in the unit it is shown in; ``half`` is the half-width of its 95 % interval."""
    if not math.isfinite(value):
        raise SumError(f"{title} cannot be worked out from this: it lies outside the range of the method.")
    low, high = (None, None) if half is None else (value - half, value + half)
    return Figure(name, title, value, low, high, unit, grade, method, holds, seen_off, source, place, inputs)


def told_input(name: str, value: float, unit: str, spread: float | None = None) -> Input:
    """Return an input that the person told."""
    return Input(name, None, value, unit, "measured", "own-word", "", spread)
