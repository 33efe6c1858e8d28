"""The smallest change of one line that brings a quantity to a bound.

Candidate percents of the line are evaluated at once, as rows of one evaluation of the graph: the same path as a review.
All of them are steps that a person would write, so that the answer is one and needs no rounding.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import ROUND_FLOOR, Decimal

import numpy as np
from numpy.typing import NDArray

from levigate.formula.model import Formula
from levigate.quantities.graph import Floats, evaluate
from levigate.quantities.inputs import Inputs

#: Candidates in one evaluation.
_GRID = 512
#: Steps of a percent: fine below `_FINE_BELOW`, where gums and polymers are dosed. [%]
COARSE, FINE, _FINE_BELOW = Decimal("0.1"), Decimal("0.01"), Decimal(2)

Holds = Callable[[dict[str, Floats]], NDArray[np.bool_]]


def least_change(
    formula: Formula,
    inputs: Inputs,
    line: int,
    quantities: tuple[str, ...],
    holds: Holds,
    *,
    step: Decimal | None = None,
    most: Decimal | None = None,
) -> Decimal | None:
    """Return the percent of a line, nearest to what it is, at which a condition holds; None where there is none.

    Where the condition holds on one side of a bound only, the answer is exactly the first step on that side. Where it
    holds here and there, it is the nearest that was seen: a window narrower than the grid can be missed.

    Parameters
    ----------
    formula : Formula
        A formula that adds up.
    inputs : Inputs
        Its inputs; their central values are used.
    line : int
        Position of the line to change. A line of 0 % has no inputs, so it cannot be changed, nor can the others make
        way for it by a q.s. line of 0 %: None.
    quantities : tuple of str
        What the condition looks at.
    holds : callable
        From the quantities, with one row a candidate, to a boolean a row. Not known counts as not holding.
    step : Decimal, optional
        The answer is a multiple of it; a hundredth of a percent for a line of less than 2 %, else a tenth. [%]
    most : Decimal, optional
        More than this is not looked at, for it would not be taken. [%]
    """
    percents = formula.percents
    if step is None:
        step = FINE if percents[line] < _FINE_BELOW else COARSE
    room = _room(formula, line)
    if room is None:
        return None
    room = room if most is None else min(room, most)
    now, last = float(percents[line] / step), int((room / step).to_integral_value(ROUND_FLOOR))
    judge = _Judge(formula, inputs, line, quantities, holds)
    seen = _spaced(now, last)
    good = judge(step, seen)
    while good.any():
        best = int(seen[good][np.abs(seen[good] - now).argmin()])
        nearer = _between(best, now, seen)
        if not nearer.size:
            return best * step
        seen, good = np.append(seen, nearer), np.append(good, judge(step, nearer))
    return None


def _giver(formula: Formula, line: int) -> int | None:
    """Return the line that gives way: the q.s. line; None where all others do."""
    return formula.qs if formula.qs != line else None


def _room(formula: Formula, line: int) -> Decimal | None:
    """Return the most that a line can be set to; None where it cannot be changed. [%]"""
    percents, giver = formula.percents, _giver(formula, line)
    others = percents[giver] if giver is not None else sum(percents, Decimal(0)) - percents[line]
    return percents[line] + others if formula.adds_up and percents[line] and others else None


def _spaced(now: float, last: int) -> NDArray[np.int64]:
    """Return steps from 0 to the last, dense about what is now and spread over the rest."""
    if last <= _GRID:
        return np.arange(last + 1)
    away = np.geomspace(1, last, _GRID // 4)
    found = np.concatenate([np.linspace(0, last, _GRID // 2), now - away, now + away])
    return np.unique(np.clip(np.round(found), 0, last)).astype(np.int64)


def _between(best: int, now: float, seen: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return steps not yet seen that lie nearer to what is now than the best, down to the next one that was seen."""
    side = 1 if best > now else -1
    nearer = seen[((seen - best) * side < 0) & ((seen - now) * side >= 0)]
    first = int(np.ceil(now)) if side > 0 else int(np.floor(now))
    stop = int((nearer * side).max()) * side if nearer.size else first - side
    between = np.arange(stop + side, best, side)
    return between[:: max(1, -(-between.size // _GRID))]


def candidates(formula: Formula, line: int, percents: Sequence[Decimal]) -> Floats:
    """Return mass fractions of all lines, one row a percent of one, q.s. (else all others in proportion) giving way.

    Parameters
    ----------
    formula : Formula
        A formula that adds up.
    line : int
        Position of the line to change.
    percents : sequence of Decimal
        What it is set to. [%]
    """
    before, giver = formula.percents, _giver(formula, line)
    share = np.array([float(percent) for percent in percents]) / 100
    rows = np.repeat(np.array([[float(percent) / 100 for percent in before]]), len(percents), axis=0)
    if giver is not None:
        both = before[line] + before[giver]  # exact, so that all it has to give leaves nought and not less
        rows[:, giver] = [float(both - percent) / 100 for percent in percents]
    else:
        rows *= ((1 - share) / (1 - float(before[line]) / 100))[:, None]
    rows[:, line] = share
    return rows


class _Judge:
    """Says of steps whether the condition holds there."""

    def __init__(self, formula: Formula, inputs: Inputs, line: int, quantities: tuple[str, ...], holds: Holds) -> None:
        self._inputs = inputs
        self._formula, self._line, self._positions = formula, line, list(inputs.positions)
        self._quantities, self._holds = quantities, holds

    def __call__(self, step: Decimal, steps: NDArray[np.int64]) -> NDArray[np.bool_]:
        # Two conditions on the same line look at the same rows: what is at hand is not worked out again.
        asked = (self._line, step, steps.tobytes())
        at_hand = self._inputs.along.setdefault(asked, {}) if self._formula is self._inputs.formula else {}
        given = at_hand
        if not at_hand:
            rows = candidates(self._formula, self._line, [step * int(n) for n in steps])[:, self._positions]
            given = {**self._inputs.centre, "mass_fraction": rows}
        return np.asarray(self._holds(evaluate(self._quantities, given, at_hand)))
