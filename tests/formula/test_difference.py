"""What changed between two formulas: nothing between a formula and itself, else what a person would say."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given

from levigate.formula.difference import Difference, difference
from levigate.formula.model import Container, Formula, Grain, Line, Makes, Phase, Sieve
from levigate.formula.percent import ALL, adjust
from levigate.formula.text import load_formula, own_shelf
from levigate.shelf.catalogue import catalogue
from tests.formula.build import formula, whole_formulas

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))
CREAM = Formula(
    "cream",
    "hand cream",
    (
        Phase("A", "heat to 75 C", (Line("aqua", Decimal(80), qs=True), Line("glycerin", Decimal(5)))),
        Phase("B", "cold", (Line("squalane", Decimal(14)), Line("tocopherol", Decimal(1)))),
    ),
    Makes("500 g", 0.5),
)


def compared(first: Formula, second: Formula) -> Difference:
    return difference(first, second, own_shelf(first), own_shelf(second))


def words(change: Difference) -> dict[str, str]:
    return {line.material: line.word for line in change.lines if line.word != "same"}


def shares(change: Difference) -> dict[str, tuple[object, object]]:
    return {one.substance: one.percent for one in change.substances}


def percents(change: Difference, material: str) -> list[tuple[object, object]]:
    return [line.percent for line in change.lines if line.material == material]


def is_empty(change: Difference) -> bool:
    return not (change.head or change.treatment or change.substances or words(change))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_a_formula_and_itself(path: Path) -> None:
    one = load_formula(path)
    change = compared(one, one)
    assert is_empty(change)
    assert len(change.lines) == len(one.percents)


@given(one=whole_formulas())
def test_any_formula_and_itself(one: Formula) -> None:
    assert is_empty(compared(one, one))


@given(one=whole_formulas(3))
def test_there_is_as_much_added_as_taken_away(one: Formula) -> None:
    other = adjust(one, {0: Decimal("12.5")}, give=ALL)
    change = compared(one, other)
    moved = [after - before for before, after in (substance.percent for substance in change.substances)]
    assert sum(moved, Fraction(0)) == 0
    back = compared(other, one)
    assert {s.substance: s.percent[::-1] for s in change.substances} == {
        s.substance: s.percent for s in back.substances
    }


def test_a_percent_changes() -> None:
    change = compared(CREAM, adjust(CREAM, {1: Decimal(6)}))
    assert words(change) == {"aqua": "changed", "glycerin": "changed"}
    assert shares(change) == {"aqua": (80, 79), "glycerin": (5, 6)}


def test_a_line_is_added_and_one_removed() -> None:
    phase_b = replace(CREAM.phases[1], lines=(Line("isoamyl laurate", Decimal(14)), CREAM.phases[1].lines[1]))
    change = compared(CREAM, replace(CREAM, phases=(CREAM.phases[0], phase_b)))
    assert words(change) == {"isoamyl laurate": "added", "squalane": "removed"}
    assert shares(change) == {"isoamyl laurate": (0, 14), "squalane": (14, 0)}


def test_a_line_moves() -> None:
    first, second = CREAM.phases
    moved = (
        replace(first, lines=first.lines[:1]),
        replace(second, lines=(first.lines[1], *second.lines)),
    )
    change = compared(CREAM, replace(CREAM, phases=moved))
    assert words(change) == {"glycerin": "moved"}
    (line,) = (line for line in change.lines if line.word == "moved")
    assert line.phase == ("A", "B")
    assert percents(change, "glycerin") == [(5, 5)]
    assert not change.substances


def test_another_name_for_the_same_is_no_change() -> None:
    named = formula("80", "20", names=("water", "Glycerine"))
    assert is_empty(compared(formula("80", "20", names=("aqua", "glycerin")), named))


def test_a_material_in_two_phases_is_matched_phase_by_phase() -> None:
    first = replace(CREAM, phases=(CREAM.phases[0], Phase("B", "cold", (Line("glycerin", Decimal(15)),))))
    swapped = first.with_percents((Decimal(80), Decimal(15), Decimal(5)))
    change = compared(first, swapped)
    assert [line.phase for line in change.lines if line.material == "glycerin"] == [("A", "A"), ("B", "B")]
    assert percents(change, "glycerin") == [(5, 15), (15, 5)]
    assert not change.substances
    turned = compared(first, replace(first, phases=first.phases[::-1]))
    assert not words(turned)


def test_the_head_and_the_treatment() -> None:
    other = replace(
        CREAM,
        name="balm",
        makes=None,
        container=Container("jar", 60e-6),
        phases=(replace(CREAM.phases[0], how="heat to 80 C"), replace(CREAM.phases[1], letter="C")),
    )
    change = compared(CREAM, other)
    assert change.head == (
        ("name", "cream", "balm"),
        ("makes", "500 g", ""),
        ("container", "", "jar, 60 mL to the brim, 5 % left empty"),
    )
    assert change.treatment == (("A", "heat to 75 C", "heat to 80 C"), ("B", "cold", ""), ("C", "", "cold"))
    assert words(change) == {"squalane": "moved", "tocopherol": "moved"}


def test_premixes_are_taken_apart() -> None:
    blend = formula("99", "1", names=("aqua", "phenoxyethanol and ethylhexylglycerin"))
    apart = formula("99", "0.9", "0.1", names=("aqua", "phenoxyethanol", "ethylhexylglycerin"))
    change = difference(blend, apart, catalogue(), catalogue())
    assert set(words(change).values()) == {"added", "removed"}
    assert not change.substances


def test_a_premix_that_is_made_otherwise_changes_the_substances_alone() -> None:
    weak, strong = ({"stock": {"made_of": {"aqua": 100 - n, "glycerin": n}}} for n in (10, 20))
    one = replace(formula("50", "50", names=("aqua", "stock")), materials=weak)
    other = replace(one, materials=strong)
    change = compared(one, other)
    assert not words(change)
    assert shares(change) == {"aqua": (95, 90), "glycerin": (5, 10)}


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        (replace(CREAM.phases[1].lines[0], note="the plant kind"), ("note", "", "the plant kind")),
        (replace(CREAM.phases[1].lines[0], role="slip"), ("role", "", "slip")),
        (replace(CREAM.phases[1].lines[0], qs=True), ("q.s.", "", "q.s.")),
        (replace(CREAM.phases[1].lines[0], grain=Grain(12e-6, None)), ("grain", "", "d50 12 um")),
        (
            replace(
                CREAM.phases[1].lines[0], grain=Grain(sieves=(Sieve("200 mesh", 75e-6), Sieve("45 um", 45e-6, 0.6)))
            ),
            ("grain", "", "through 200 mesh, 60 % < 45 um"),
        ),
        (replace(CREAM.phases[1].lines[0], grain=Grain(ground="mortar")), ("grain", "", "mortar")),
    ],
)
def test_notes_roles_and_grain(changed: Line, said: tuple[str, str, str]) -> None:
    phases = (CREAM.phases[0], replace(CREAM.phases[1], lines=(changed, CREAM.phases[1].lines[1])))
    change = compared(CREAM, replace(CREAM, phases=phases))
    (line,) = (line for line in change.lines if line.material == "squalane")
    assert line.details == (said,)
    assert line.word == "changed"
