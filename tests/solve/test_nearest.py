"""The least change of one line: exact on its steps, by the path of a review, agreeing with percent arithmetic."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from levigate.formula.model import Formula
from levigate.formula.percent import adjust
from levigate.quantities.graph import Floats, evaluate
from levigate.solve.nearest import COARSE, FINE, candidates, least_change
from tests.quantities.formulas import formula, gathered

Holds = Callable[[dict[str, Floats]], NDArray[np.bool_]]


def mixture(percents: list[Decimal], qs: int | None, noughts: bool = False) -> Formula:
    """Return a formula of oils and water, with the line of q.s., and with lines of 0 % between the others."""
    names = ["aqua", "glycerin", "squalane", "castor oil"]
    lines = [
        f'{{ material = "{name}", percent = {"q.s." if i == qs else percent!s} }}'.replace("q.s.", '"q.s."')
        for i, (name, percent) in enumerate(zip(names, percents, strict=True))
    ]
    if noughts:
        lines[1:1] = ['{ material = "isododecane", percent = 0 }']
        lines.append('{ material = "kelp jelly", percent = 0 }')
    return formula(", ".join(lines))


@st.composite
def mixtures(draw: st.DrawFn) -> tuple[Formula, int]:
    """Draw a formula of four lines with a hundredth of a percent each, and the position of one of them."""
    cuts = sorted(draw(st.lists(st.integers(1, 9999), min_size=3, max_size=3, unique=True)))
    parts = [Decimal(b - a) / 100 for a, b in zip([0, *cuts], [*cuts, 10_000], strict=True)]
    noughts = draw(st.booleans())
    one = mixture(parts, draw(st.sampled_from([None, 0, 1, 2, 3])), noughts)
    positions = [i for i, percent in enumerate(one.percents) if percent]
    return one, draw(st.sampled_from(positions))


def quantity_at(one: Formula, line: int, percent: Decimal, name: str) -> float:
    """Return a quantity of the formula as percent arithmetic makes it, gathered anew: not the solver's own path."""
    return float(evaluate([name], gathered(adjust(one, {line: percent}, places=12), draws=0).given)[name].item())


any_mixture = mixtures()
drawn = settings(deadline=None, database=None, max_examples=60)


@given(any_mixture, st.floats(0.0, 1.0))
@drawn
def test_candidates_are_what_percent_arithmetic_makes(drawn_formula: tuple[Formula, int], part: float) -> None:
    one, line = drawn_formula
    giver = one.qs if one.qs != line else None
    room = one.percents[line] + (one.percents[giver] if giver is not None else 100 - one.percents[line])
    percent = (room * Decimal(part)).quantize(Decimal("0.001"), "ROUND_FLOOR")
    if giver is not None and not one.percents[giver]:
        return
    (row,) = candidates(one, line, [percent])
    expected = [float(share) / 100 for share in adjust(one, {line: percent}, places=11).percents]
    np.testing.assert_allclose(row, expected, rtol=0, atol=1e-12)
    assert row.min() >= 0 and row.sum() == pytest.approx(1, abs=1e-14)


@given(
    any_mixture, st.floats(0.02, 0.98), st.booleans(), st.sampled_from(["density", "water_content", "oil_phase_share"])
)
@drawn
def test_the_answer_holds_and_the_next_step_nearer_does_not(
    drawn_formula: tuple[Formula, int], part: float, above: bool, name: str
) -> None:
    """Densities and shares go one way as one line gives way to the others, or to one other."""
    one, line = drawn_formula
    inputs = gathered(one, draws=0)
    if one.qs is not None and one.qs != line and not one.percents[one.qs]:
        return
    step = FINE if one.percents[line] < 2 else COARSE
    giver = one.qs if one.qs != line else None
    last = (
        (one.percents[line] + (one.percents[giver] if giver is not None else 100 - one.percents[line])) // step * step
    )
    ends = [quantity_at(one, line, percent, name) for percent in (Decimal(0), last)]
    bound = ends[0] + part * (ends[1] - ends[0])

    def judged(found: float | Floats) -> bool | NDArray[np.bool_]:
        return found >= bound if above else found <= bound

    percent = least_change(one, inputs, line, (name,), lambda found: np.asarray(judged(found[name])))
    if ends[0] == pytest.approx(ends[1], rel=1e-9):
        return
    assert percent is not None and percent % step == 0 and 0 <= percent <= last
    tiny = 1e-12 * max(map(abs, ends)) + 1e-13  # percent arithmetic rounds to twelve places here, a step is far more
    there, now = quantity_at(one, line, percent, name), quantity_at(one, line, one.percents[line], name)
    assert there >= bound - tiny if above else there <= bound + tiny
    if abs(percent - one.percents[line]) < step:
        return
    nearer = quantity_at(one, line, percent + (step if percent < one.percents[line] else -step), name)
    assert nearer < bound + tiny if above else nearer > bound - tiny
    assert not judged(now)


def test_none_where_there_is_none() -> None:
    one = formula("aqua 70, glycerin 5, squalane 25")
    inputs = gathered(one, draws=0)
    assert least_change(one, inputs, 1, ("density",), lambda found: found["density"] > 1300) is None
    assert least_change(one, inputs, 1, ("density",), lambda found: np.isnan(found["density"])) is None


def test_where_it_holds_already_nothing_changes() -> None:
    one = formula("aqua 70, glycerin 5, squalane 25")
    inputs = gathered(one, draws=0)
    for line, percent in enumerate(one.percents):
        assert least_change(one, inputs, line, ("density",), lambda found: found["density"] > 0) == percent


def test_a_line_of_nought_and_a_line_that_cannot_give_are_refused() -> None:
    def always(found: dict[str, Floats]) -> NDArray[np.bool_]:
        return found["density"] > 0

    one = formula("aqua 70, glycerin 30, squalane 0")
    assert least_change(one, gathered(one, draws=0), 2, ("density",), always) is None
    assert least_change(one, gathered(one, draws=0), 1, ("density",), always) == 30
    nothing_left = formula("aqua q.s., glycerin 70, squalane 30")
    assert least_change(nothing_left, gathered(nothing_left, draws=0), 1, ("density",), always) is None
    alone = formula("aqua 100")
    assert least_change(alone, gathered(alone, draws=0), 0, ("density",), always) is None
    short = formula("aqua 70, glycerin 29")
    assert least_change(short, gathered(short, draws=0), 1, ("density",), always) is None


def test_lines_of_nought_change_no_answer() -> None:
    plain, with_noughts = (formula(f"aqua 60, {more}glycerin 15, squalane 25") for more in ("", "kelp jelly 0, "))
    answers = [
        least_change(one, gathered(one, draws=0), line, ("density",), lambda found: found["density"] >= 1050)
        for one, line in ((plain, 1), (with_noughts, 2))
    ]
    assert answers[0] is not None and answers[0] == answers[1] and answers[0] > 15


def test_a_window_about_a_dose_is_found_where_the_quantity_turns() -> None:
    """Not monotone: a dose outside the table is not known, so the condition holds between two bounds only."""
    one = formula("aqua 99.85, xanthan gum 0.15")
    inputs = gathered(one, draws=0)

    def holds(found: dict[str, Floats]) -> NDArray[np.bool_]:
        return (found["yield_stress"] > 0.1) & (found["yield_stress"] < 0.6)

    percent = least_change(one, inputs, 1, ("yield_stress",), holds)
    assert percent is not None and percent > Decimal("0.15")
    stress = [quantity_at(one, 1, percent - n * FINE, "yield_stress") for n in (0, 1)]
    assert 0.1 < stress[0] < 0.6 and not 0.1 < stress[1] < 0.6


def test_steps_are_fine_where_gums_are_dosed() -> None:
    one = formula("aqua 98.05, glycerin 1.95")
    inputs = gathered(one, draws=0)
    found = least_change(one, inputs, 1, ("density",), lambda found: found["density"] >= 1010)
    assert found is not None and found % COARSE != 0
    coarse = least_change(one, inputs, 1, ("density",), lambda found: found["density"] >= 1010, step=COARSE)
    assert coarse is not None and 0 <= coarse - found < COARSE
