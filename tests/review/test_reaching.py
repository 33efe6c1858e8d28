"""What to add to reach a pH: another program finds that pH in the formula that results; what cannot be says why."""

from __future__ import annotations

import math
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from phreeqpython import PhreeqPython

from levigate.errors import PercentError
from levigate.formula.model import HUNDRED, Formula
from levigate.formula.text import own_shelf
from levigate.review.reaching import NEAR, minded, reach_ph, read_reagent, to_reach_ph
from levigate.shelf.catalogue import catalogue
from tests.cli.calling import call
from tests.quantities.formulas import formula, shown
from tests.quantities.test_acids import phreeqc

__all__ = ["phreeqc"]

MOLAR = {"citric acid": 192.12, "sodium hydroxide": 39.997}


def percent_of(one: Formula, material: str) -> float:
    return float(sum(line.percent for _, line in one.lines() if line.material == material))


def toner(lines: str = "citric acid 1", rest: str = "") -> Formula:
    parts = ", ".join(
        f'{{ material = "{name}", percent = {percent} }}'
        for name, _, percent in (part.strip().rpartition(" ") for part in lines.split(","))
    )
    return formula(f'{{ material = "aqua", percent = "q.s." }}, {parts}', rest=rest)


@pytest.mark.parametrize("target", [3.0, 4.0, 5.2, 6.0])
def test_another_program_finds_the_ph_that_was_asked_for(phreeqc: PhreeqPython, target: float) -> None:
    """PHREEQC with citrate, molalities by hand from the percents: lye of 10 % brings nine times its mass of water."""
    found = reach_ph(toner(), catalogue(), target, "sodium hydroxide 10 %")
    stock = percent_of(found.formula, "sodium hydroxide 10 %")
    wet = (percent_of(found.formula, "aqua") + 0.9 * stock) / 1000
    sodium, citrate = 0.1 * stock / MOLAR["sodium hydroxide"] / wet, 1 / MOLAR["citric acid"] / wet
    told = phreeqc.add_solution({"-units": "mol/kgw", "-temp": 25, "pH": "7 charge", "Na": sodium, "Cit": citrate})
    assert told.pH == pytest.approx(target, abs=NEAR)
    assert found.after == pytest.approx(target, abs=NEAR / 2)
    assert found.formula.total == HUNDRED and float(found.change) == stock


@pytest.mark.parametrize("material", ["triethanolamine", "arginine", "sodium hydroxide", "trisodium citrate dihydrate"])
def test_every_base_gets_there_and_weaker_ones_take_more(material: str) -> None:
    found = reach_ph(toner("lactic acid 2"), catalogue(), 4.5, material)
    after = shown(found.formula, "ph", draws=0)["ph"]
    assert after.value == pytest.approx(4.5, abs=NEAR)
    lye = reach_ph(toner("lactic acid 2"), catalogue(), 4.5, "sodium hydroxide").change
    assert found.change >= lye


def test_an_acid_lowers_and_plain_water_can_be_brought_to_a_ph() -> None:
    found = reach_ph(formula("aqua 99, glycerin 1"), catalogue(), 3.0, "lactic acid 80 %")
    assert math.isnan(found.before) and shown(found.formula, "ph", draws=0)["ph"].value == pytest.approx(3.0, abs=NEAR)
    lower = reach_ph(toner("sodium lactate 2"), catalogue(), 4.2, "citric acid")
    assert lower.after == pytest.approx(4.2, abs=NEAR)


def test_a_line_that_is_there_is_changed_and_may_be_lowered() -> None:
    before = toner("lactic acid 2, sodium hydroxide 0.6")
    found = reach_ph(before, catalogue(), 3.8, "sodium hydroxide")
    assert found.change < 0 and len(found.formula.percents) == 3 and found.position == 2
    assert percent_of(found.formula, "sodium hydroxide") == pytest.approx(0.6 + float(found.change))
    assert shown(found.formula, "ph", draws=0)["ph"].value == pytest.approx(3.8, abs=NEAR)


def test_what_is_there_already_needs_nothing() -> None:
    before = toner("lactic acid 2, sodium hydroxide 0.5")
    now = shown(before, "ph", draws=0)["ph"].value
    for material in ("sodium hydroxide", "arginine"):
        found = reach_ph(before, catalogue(), now, material)
        assert found.change == 0 and found.formula == before


def test_a_measured_ph_shifts_the_sum_by_what_the_two_differ() -> None:
    lines = "lactic acid 2, sodium hydroxide 0.5"
    now = shown(toner(lines), "ph", draws=0)["ph"].value
    read = reach_ph(toner(lines, rest=f"[measured]\npH = {now + 0.3:.3f}"), catalogue(), 4.8, "sodium hydroxide 10 %")
    plain = reach_ph(toner(lines), catalogue(), 4.5, "sodium hydroxide 10 %")
    assert float(read.change) == pytest.approx(float(plain.change), rel=0.03)
    assert read.after == pytest.approx(4.8, abs=NEAR)


@pytest.mark.parametrize(
    ("one", "target", "material", "says"),
    [
        (toner(), 15.0, "arginine", "none that water has"),
        (toner(), 2.0, "arginine", "raises the pH or leaves it where it is; take an acid"),
        (toner(), 5.0, "lactic acid", "lowers the pH or leaves it where it is; take a base"),
        (toner(), 12.0, "sodium bicarbonate", "too weak for that"),
        (toner(), 5.0, "glycerin", "take an acid, a base or a salt"),
        (toner(), 5.0, "carbomer", "a polyacid"),
        (toner(), 5.0, "moon dust", "No material is called"),
        (toner("citric acid 1, carbomer 0.2"), 5.0, "sodium hydroxide", "By hand: weigh 50 g"),
        (formula("squalane 100"), 5.0, "sodium hydroxide", "no water in it"),
        (formula("aqua 90, citric acid 1"), 5.0, "sodium hydroxide", "add up to 91 %"),
    ],
)
def test_what_cannot_be_says_why(one: Formula, target: float, material: str, says: str) -> None:
    with pytest.raises(PercentError, match=says):
        reach_ph(one, own_shelf(one), target, material)
    assert to_reach_ph(one, own_shelf(one), target, material) is None


def test_a_reagent_is_a_material_or_a_stock_of_one() -> None:
    assert read_reagent("sodium hydroxide 10 %", catalogue()).strength == 1
    half = read_reagent("citric acid 50 %", catalogue())
    assert (half.material, half.strength) == ("citric acid", Fraction(1, 2))
    with pytest.raises(PercentError, match="moon dust"):
        read_reagent("moon dust", catalogue())


def test_lye_and_strong_acid_are_minded() -> None:
    lye = minded("sodium hydroxide 10 %", catalogue())
    assert any("Lye burns" in said for said in lye) and any("closed container" in said for said in lye)
    assert any("never water into acid" in said for said in lye)
    assert any("Strong acid burns" in said for said in minded("lactic acid 80 %", catalogue()))
    assert not any("burns" in said for said in minded("arginine", catalogue()))
    assert minded("glycerin", catalogue()) == ()


FILE = """levigate = 1
[formula]
name = "Test"
makes = "200 g"
[[phase]]
letter = "A"
lines = [
  { material = "aqua", percent = "q.s." },
  { material = "citric acid", percent = 1 },
]
"""


def test_the_command_tells_grams_a_first_portion_and_what_to_mind(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    path.write_text(FILE)
    called = call("adjust", path, "--ph", "5", "--with", "sodium hydroxide 25 %", "--write")
    assert called.status == 0
    text = " ".join(called.out.split())
    found = reach_ph(toner(), catalogue(), 5.0, "sodium hydroxide")
    grams = 2 * float(found.change) / 0.25
    assert f"{grams:.2f} g of sodium hydroxide 25 % in all. Add {grams / 2:.2f} g first" in text
    assert "to be left out of the water line" in text and "Lye burns" in text and "meter reading outranks" in text
    written = path.read_text()
    assert f'material = "sodium hydroxide", percent = {found.change}' in written and 'percent = "q.s."' in written
    assert Decimal(0) < found.change < Decimal(1)


def test_the_command_wants_both_a_target_and_a_reagent(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    path.write_text(FILE)
    for words in (("--ph", "5"), ("--with", "arginine")):
        called = call("adjust", path, *words)
        assert called.status == 2 and "Say both" in called.err
