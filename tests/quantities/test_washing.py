"""Washes: active matter by hand, its charge, and salt."""

from __future__ import annotations

import pytest

from levigate.quantities.washed import CHARGES
from tests.quantities.formulas import formula, shown
from tests.quantities.test_figures import recheck

WASH = (
    "aqua 60; sodium laureth sulfate 27 % 25; cocamidopropyl betaine 30 % 10; decyl glucoside 53 % 4; sodium chloride 1"
)


def test_active_matter_is_percent_times_strength() -> None:
    """By hand: 25 × 0.27 + 10 × 0.30 + 4 × 0.53 = 6.75 + 3.00 + 2.12 = 11.87 %."""
    figures = shown(formula(WASH), draws=0)
    assert figures["active_matter"].value == pytest.approx(11.87, rel=1e-12)
    rows = {row.name: row.value for row in figures["active_by_charge"].rows}
    assert rows == pytest.approx({"anionic": 6.75, "amphoteric": 3.0, "nonionic": 2.12, "cationic": 0.0})
    assert tuple(rows) == CHARGES
    assert figures["amphoteric_per_anionic"].value == pytest.approx(100 * 3 / 6.75)
    assert figures["salt_share"].value == pytest.approx(1 + 10 * 0.055)


@pytest.mark.parametrize(
    ("grade", "percent"), [("sodium laureth sulfate 27 %", 37), ("sodium laureth sulfate 70 %", 14.3)]
)
def test_ten_percent_active_of_two_grades(grade: str, percent: float) -> None:
    """Printed for shampoo: 10 % active is 37 % of a 27 % grade or 14.3 % of a 70 % grade (common practice)."""
    figure = shown(formula(f"aqua {100 - percent}; {grade} {percent}"), draws=0)["active_matter"]
    assert figure.value == pytest.approx(10, abs=0.011)


def test_a_powder_of_a_range_of_strength_has_a_spread() -> None:
    """Isethionate of 78 to 88 %: 10 % of it brings 7.8 to 8.8 % active, even over the range."""
    figure = shown(formula("aqua 90; sodium cocoyl isethionate 10"))["active_matter"]
    assert figure.value == pytest.approx(8.3) and figure.low is not None and figure.high is not None
    assert 7.8 <= figure.low < 7.87 and 8.73 < figure.high <= 8.8


def test_a_liquid_of_unstated_strength_is_not_known() -> None:
    own = '[materials."mild foam"]\nkind = "surfactant"\naffinity = "water"\ncharge = "anionic"\n'
    figure = shown(formula("aqua 80; mild foam 20", rest=own), draws=0)["active_matter"]
    assert figure.unknown == (
        "The active matter of mild foam is not known: write the strength on its label: "
        '[materials."mild foam"] solids = "30 %".'
    )
    figure = shown(formula("aqua 80; mild foam 20", rest=own + 'solids = "30 %"\n'), draws=0)["active_matter"]
    assert figure.value == pytest.approx(6)


def test_a_cationic_conditioner_counts_by_its_charge_and_a_polymer_does_not() -> None:
    lines = WASH.replace("aqua 60", "aqua 57; cetrimonium chloride 29 % 2; polyquaternium-10 1")
    rows = {row.name: row.value for row in shown(formula(lines), draws=0)["active_by_charge"].rows}
    assert rows["cationic"] == pytest.approx(2 * 0.29)


def test_no_wash_no_figure() -> None:
    assert "active_matter" not in shown(formula("aqua 90, glycerin 10"), draws=0)
    only = shown(formula("aqua 80; decyl glucoside 53 % 20"), draws=0)
    assert "active_matter" in only and "amphoteric_per_anionic" not in only


def test_the_working_gives_the_figure() -> None:
    figures = shown(formula(WASH), draws=0)
    for name in ("active_matter", "amphoteric_per_anionic", "salt_share"):
        (line,) = figures[name].working()
        assert 100 * recheck(line) == pytest.approx(figures[name].value, rel=1e-3)
    for line in figures["active_by_charge"].working():
        assert line.endswith("= 0") or recheck(line) > 0
