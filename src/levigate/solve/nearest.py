"""The smallest change of one line that brings a quantity to a bound.

All candidate percents of the line are evaluated at once, as rows of one evaluation of the graph: the same path as a
review. The change nearest to what the formula has is taken, then narrowed on a finer grid.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

import numpy as np
from numpy.typing import NDArray

from levigate.formula.model import Formula
from levigate.quantities.graph import Floats, evaluate
from levigate.quantities.inputs import Inputs

#: Candidates in one evaluation.
_GRID = 401
#: Step to which the answer is rounded, away from the bound. [%]
STEP = Decimal("0.1")

Holds = Callable[[dict[str, Floats]], NDArray[np.bool_]]


def least_change(
    formula: Formula, inputs: Inputs, line: int, quantities: tuple[str, ...], holds: Holds, *, step: Decimal = STEP
) -> Decimal | None:
    """Return the percent of a line, nearest to what it is, at which a condition holds; None where there is none.

    Parameters
    ----------
    formula : Formula
        A formula that adds up and has no line of 0 %.
    inputs : Inputs
        Its inputs; their central values are used.
    line : int
        Position of the line to change.
    quantities : tuple of str
        What the condition looks at.
    holds : callable
        From the quantities, with one row a candidate, to a boolean a row. Not known counts as not holding.
    step : Decimal
        The answer is rounded to it, on the side where the condition holds. [%]
    """
    now = float(formula.percents[line])
    room = now + _givers_have(formula, line)
    coarse = np.linspace(0.0, room, _GRID)
    good = _judge(formula, inputs, line, coarse, quantities, holds)
    if not good.any():
        return None
    nearest = int(np.abs(np.where(good, coarse, math.inf) - now).argmin())
    width = coarse[1] - coarse[0]
    low, high = max(0.0, coarse[nearest] - width), min(room, coarse[nearest] + width)
    fine = np.linspace(low, high, _GRID)
    good = _judge(formula, inputs, line, fine, quantities, holds)
    if not good.any():
        return None
    best = float(fine[int(np.abs(np.where(good, fine, math.inf) - now).argmin())])
    rounding = ROUND_CEILING if best > now else ROUND_FLOOR
    rounded = (Decimal(repr(best)) / step).to_integral_value(rounding) * step
    sound = (
        0 <= rounded <= Decimal(repr(room))
        and _judge(formula, inputs, line, np.array([float(rounded)]), quantities, holds).all()
    )
    return rounded if sound else None


def _givers_have(formula: Formula, line: int) -> float:
    """Return how much the lines that give way have to give: the q.s. line, else all others. [%]"""
    if formula.qs is not None and formula.qs != line:
        return float(formula.percents[formula.qs])
    return float(sum(formula.percents) - formula.percents[line])


def candidates(formula: Formula, line: int, percents: Floats) -> Floats:
    """Return mass fractions, one row a percent of the line, q.s. (else all others in proportion) giving way."""
    fractions = np.array([float(percent) for percent in formula.percents]) / 100
    rows = np.repeat(fractions[None, :], len(percents), axis=0)
    share = percents / 100
    if formula.qs is not None and formula.qs != line:
        rows[:, formula.qs] += fractions[line] - share
    else:
        rows *= ((1 - share) / (1 - fractions[line]))[:, None]
    rows[:, line] = share
    return rows


def _judge(
    formula: Formula, inputs: Inputs, line: int, percents: Floats, quantities: tuple[str, ...], holds: Holds
) -> NDArray[np.bool_]:
    given = {name: array[0] if name in inputs.drawn else array for name, array in inputs.given.items()}
    given["mass_fraction"] = candidates(formula, line, percents)
    return np.asarray(holds(evaluate(quantities, given)))
