"""Which containers a batch fills."""

from __future__ import annotations

import itertools

import pytest

from levigate.bench.batch import Batch, plan
from levigate.bench.filling import best_mix
from levigate.bench.weighing import read_scale
from levigate.errors import BatchError
from levigate.formula.text import own_shelf, read_formula, read_makes

TEXT = """levigate = 1
[formula]
name = "Fill"
[[phase]]
letter = "A"
lines = [{ material = "squalane", percent = "q.s." }, { material = "jojoba oil", percent = 20 }]
"""


def batch(makes: str, text: str = TEXT) -> Batch:
    formula = read_formula(text)
    return plan(formula, own_shelf(formula), read_makes(makes), read_scale("0.1"))


@pytest.mark.parametrize(("makes", "sizes"), [("500 g", "50 g, 30 g, 15 g"), ("137 g", "50 g, 30 g"), ("61 g", "30 g")])
def test_no_other_mix_leaves_less(makes: str, sizes: str) -> None:
    fills, left = best_mix(batch(makes), sizes)
    total = float(makes.split(maxsplit=1)[0])
    grams = [fill.grams for fill in fills]
    ways = itertools.product(*(range(int(total // size) + 1) for size in grams))
    rest = [(round(total - sum(n * g for n, g in zip(way, grams, strict=True)), 9), sum(way)) for way in ways]
    assert (round(left, 9), sum(fill.count for fill in fills)) == min(pair for pair in rest if pair[0] >= 0)


def test_a_volume_is_filled_by_weight() -> None:
    planned = batch("500 g")
    fills, _ = best_mix(planned, "50 mL")
    assert fills[0].grams == pytest.approx(50 * planned.density.value)


@pytest.mark.parametrize(
    ("sizes", "says"),
    [
        ("", "one to three sizes"),
        ("a, b", "--into:"),
        ("1 g, 2 g, 3 g, 4 g", "one to three"),
        ("900 g", "fills no container"),
    ],
)
def test_refused(sizes: str, says: str) -> None:
    with pytest.raises(BatchError, match=says):
        best_mix(batch("500 g"), sizes)
