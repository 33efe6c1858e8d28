"""Do a quick sum from one line, the way a person types it."""

from __future__ import annotations

import shlex

import pytest

from levigate import units
from levigate.errors import LevigateError
from levigate.quantities.figure import Figure
from levigate.reckon.sums import Reckoned, reckon


def told(line: str) -> dict[str, str]:
    """Return the keys and values of ``"mass=5g scale=0.1g"``."""
    return dict(word.split("=", 1) for word in shlex.split(line))


def sum_of(line: str) -> Reckoned:
    """Return the answer of ``"weighing mass=5g scale=0.1g"``."""
    name, _, rest = line.partition(" ")
    return reckon(name, told(rest))


def figure_of(line: str, name: str) -> Figure:
    """Return one figure of a quick sum."""
    return sum_of(line).figures[name]


def value_of(line: str, name: str, unit: str, dimension: str) -> float:
    """Return one figure of a quick sum, turned from the unit that it is shown in into another."""
    figure = figure_of(line, name)
    return units.convert(units.si(f"{figure.value!r} {figure.unit}", dimension), unit, dimension)


def refusal_of(line: str) -> str:
    """Return the sentence with which a quick sum is refused."""
    with pytest.raises(LevigateError) as trouble:
        sum_of(line)
    return str(trouble.value)
