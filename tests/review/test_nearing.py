"""Remedies of pH: as far inside the range as they say, by the review, by another program, and by the slower search."""

from __future__ import annotations

from pathlib import Path

import pytest
from phreeqpython import PhreeqPython

from levigate.bench.weighing import read_scale
from levigate.formula.model import HUNDRED, Formula
from levigate.formula.text import own_shelf
from levigate.formula.uses import use_of
from levigate.quantities.figure import figures
from levigate.quantities.inputs import gather
from levigate.review.findings import Situation
from levigate.review.nearing import LOWERING, MARGIN, RAISING, into_range
from levigate.review.reaching import reach_ph
from tests.cli.calling import call
from tests.quantities.test_acids import phreeqc
from tests.review.test_reaching import MOLAR, percent_of, toner

__all__ = ["phreeqc"]


def situation(formula: Formula) -> Situation:
    shelf = own_shelf(formula, None)
    inputs = gather(formula, shelf, draws=0)
    return Situation(formula, shelf, use_of(""), inputs, figures(inputs), read_scale("0.1 g"))


def ph_of(formula: Formula) -> float:
    return figures(gather(formula, own_shelf(formula, None), draws=0), ["ph"])["ph"].value


@pytest.mark.parametrize(("low", "high"), [(4.0, 5.0), (5.5, float("inf")), (3.0, 3.1)])
def test_another_program_finds_the_ph_inside(phreeqc: PhreeqPython, low: float, high: float) -> None:
    """PHREEQC with citrate, molalities by hand from the percents: lye of 10 % brings nine times its mass of water."""
    ((remedy,), why) = into_range(situation(toner("citric acid 1")), low, high)
    assert remedy.formula is not None and not why
    stock = percent_of(remedy.formula, "sodium hydroxide 10 %")
    wet = (percent_of(remedy.formula, "aqua") + 0.9 * stock) / 1000
    sodium, citrate = 0.1 * stock / MOLAR["sodium hydroxide"] / wet, 1 / MOLAR["citric acid"] / wet
    told = phreeqc.add_solution({"-units": "mol/kgw", "-temp": 25, "pH": "7 charge", "Na": sodium, "Cit": citrate})
    near = min(low + MARGIN, (low + high) / 2)
    assert near - 0.035 < told.pH < near + 0.135
    assert remedy.formula.total == HUNDRED


SOUR = [toner("lactic acid 2"), toner("lactic acid 2, sodium lactate 1"), toner("citric acid 0.3, sodium benzoate 0.5")]
MILD = [
    toner("sodium bicarbonate 0.5"),
    toner("sodium benzoate 0.5, sodium bicarbonate 0.2"),
    toner("trisodium citrate dihydrate 1, citric acid 0.05"),
]


@pytest.mark.parametrize("before", [*SOUR, *MILD])
def test_it_is_as_far_inside_as_it_says_and_as_the_slower_search_has_it(before: Formula) -> None:
    sour = ph_of(before) < 4.5
    low, high = (4.5, 6.0) if sour else (3.5, 5.0)
    found, _ = into_range(situation(before), low, high, most=2)
    assert len(found) == 2
    for remedy, name in zip(found, RAISING if sour else LOWERING, strict=True):
        assert remedy.formula is not None and f"{MARGIN:g} inside the range" in remedy.says
        after = ph_of(remedy.formula)
        assert (
            low + MARGIN <= after + 1e-6 <= low + MARGIN + 0.11
            if sour
            else high - 0.31 <= after <= high - MARGIN + 1e-6
        )
        slow = reach_ph(before, own_shelf(before, None), after, name)
        assert percent_of(remedy.formula, name) == pytest.approx(percent_of(slow.formula, name), rel=0.01)


def test_a_line_that_is_there_becomes_more() -> None:
    before = toner("lactic acid 2, sodium hydroxide 10 % 2")
    ((remedy,), _) = into_range(situation(before), 4.5, 6)
    assert remedy.formula is not None and len(remedy.formula.percents) == 3
    assert ph_of(remedy.formula) == pytest.approx(4.75, abs=0.06)


def test_a_reading_is_believed_and_goes() -> None:
    """What the meter shows beyond the sum stays in the water: the amount is that which serves with it and without."""
    lines = "lactic acid 2, sodium hydroxide 10 % 2"
    sums = ph_of(toner(lines))
    read = toner(lines, rest=f'[measured]\npH = {{ value = {sums - 0.15:.3f}, how = "meter" }}')
    ((remedy,), _) = into_range(situation(read), 4.5, 6)
    ((plain,), _) = into_range(situation(toner(lines)), 4.5, 6)
    assert remedy.formula is not None and plain.formula is not None and "The pH on file goes" in remedy.says
    assert "pH" not in remedy.formula.measured and "pH" in read.measured
    more, less = (percent_of(one.formula, "sodium hydroxide 10 %") for one in (remedy, plain) if one.formula)
    assert more > less and 4.7 <= ph_of(remedy.formula) <= 5.8


def test_a_reading_far_from_the_sum_is_told_in_words() -> None:
    read = toner("lactic acid 2, sodium hydroxide 10 % 2", rest="[measured]\npH = 2.6")
    found, why = into_range(situation(read), 3.8, 4.2)
    assert not found and "By what the meter read it takes about" in why and "sodium hydroxide 10 %" in why


@pytest.mark.parametrize(
    ("before", "says"),
    [
        (toner("carbomer 0.2", rest="[measured]\npH = 3"), "what carbomer"),
        (toner("glycerin 2", rest="[measured]\npH = 3"), "nothing in it that holds a pH is known"),
        (toner("trisodium citrate dihydrate 40", rest="[measured]\npH = 8.6"), "holds its pH too firmly"),
        (toner("carbomer 0.2"), "its pH is not known"),
    ],
)
def test_where_no_sum_is_good_it_says_why(before: Formula, says: str) -> None:
    found, why = into_range(situation(before), 4.5, 6)
    assert not found and says in why


FILE = """levigate = 1
[formula]
name = "Test"
[[phase]]
letter = "A"
lines = [
  {{ material = "aqua", percent = "q.s." }},
  {lines},
]
{rest}"""


@pytest.mark.parametrize(
    ("lines", "rest", "rule"),
    [
        ('{ material = "sodium benzoate", percent = 0.5 }, { material = "sodium bicarbonate", percent = 0.2 }', "",
         "preservative-ph"),
        ('{ material = "sodium benzoate", percent = 0.5 }', "[measured]\n# meter\npH = 7.0\n", "preservative-ph"),
        ('{ material = "lactic acid", percent = 2 }, { material = "panthenol", percent = 1 }', "", "ph-windows"),
        ('{ material = "carbomer", percent = 0.4 }', "[measured]\npH = 3.3\n", "gel-and-base"),
    ],
)  # fmt: skip
def test_the_command_applies_it_and_the_finding_is_gone(tmp_path: Path, lines: str, rest: str, rule: str) -> None:
    path = tmp_path / "a.toml"
    path.write_text(FILE.format(lines=lines, rest=rest))
    assert f"{rule}-1a" in call("review", path).out
    assert call("adjust", path, "--remedy", f"{rule}-1a", "--write").status == 0
    assert "measured" not in path.read_text()
    assert f"{rule}-1" not in call("review", path).out
