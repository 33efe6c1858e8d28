"""Small formulas for tests, built without a file, and strategies that draw them."""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise

from hypothesis import strategies as st

from levigate.formula.model import Formula, Line, Phase

#: Percents as people write them: up to four decimals, from nothing to the whole.
PERCENTS = st.decimals(0, 100, places=4, allow_nan=False, allow_infinity=False)


def formula(*percents: str | Decimal, qs: int | None = None, names: tuple[str, ...] = ()) -> Formula:
    """Return a formula of one phase; its materials are named in order, a, b, c ... unless named."""
    called = names or tuple("abcdefghijklmnopqrstuvwxyz"[: len(percents)])
    lines = tuple(
        Line(name, Decimal(percent), i == qs) for i, (name, percent) in enumerate(zip(called, percents, strict=True))
    )
    return Formula("test", "", (Phase("A", "", lines),))


@st.composite
def whole_formulas(draw: st.DrawFn, least: int = 2, most: int = 9) -> Formula:
    """Draw a formula that sums to exactly 100, with or without a q.s. line."""
    parts = draw(st.lists(st.integers(1000, 10**6), min_size=least, max_size=most))
    unit = Decimal(100) / 10**6
    cuts = [int(10**6 * sum(parts[:i]) / sum(parts)) for i in range(len(parts) + 1)]
    percents = [unit * (after - before) for before, after in pairwise(cuts)]
    qs = draw(st.none() | st.integers(0, len(parts) - 1))
    return formula(*percents, qs=qs)
