"""Percent as supplied and percent active, and one material in place of another."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from levigate.errors import PercentError
from levigate.formula.model import HUNDRED, Grain, Phase
from levigate.formula.strength import active_percent, active_share, as_supplied, swap, with_material
from levigate.shelf.catalogue import Shelf, catalogue, with_defaults
from tests.formula.build import formula

SLES_27, SLES_70 = "sodium laureth sulfate 27 %", "sodium laureth sulfate 70 %"
OWN = Shelf(
    {
        "solids and parts": with_defaults("x", {"solids": "50 %", "made_of": {"aqua": 40, "glycerin": 60}}),
        "a range of solids": with_defaults("x", {"solids": {"low": "28 %", "high": "32 %"}}),
        "a solution": with_defaults("x", {"made_of": {"aqua": 40, "glycerin": 60}}),
        "just water": with_defaults("x", {"made_of": {"aqua": 100}}),
    },
    origin="own-word",
    below=catalogue(),
)


@pytest.mark.parametrize(
    ("material", "share"),
    [
        (SLES_27, Fraction(27, 100)),
        (SLES_70, Fraction(70, 100)),
        ("glycerin", Fraction(1)),
        ("lactic acid 80 %", Fraction(80, 100)),
        ("solids and parts", Fraction(1, 2)),
        ("a range of solids", Fraction(30, 100)),
        ("a solution", Fraction(60, 100)),
        ("just water", Fraction(0)),
    ],
)
def test_active_share(material: str, share: Fraction) -> None:
    assert active_share(OWN, material) == share


def test_10_percent_active_of_two_grades() -> None:
    """10/0.27 = 37.04 % and 10/0.70 = 14.29 %: the slip of a factor 2.6 that this guards against."""
    assert as_supplied(OWN, SLES_27, Decimal(10)) == Decimal("37.037037")
    assert as_supplied(OWN, SLES_70, Decimal(10)) == Decimal("14.285714")


@given(material=st.sampled_from([SLES_27, SLES_70, "a solution"]), active=st.decimals(0, 20, places=3))
def test_active_and_supplied_are_inverse(material: str, active: Decimal) -> None:
    supplied = as_supplied(OWN, material, active)
    (line,) = (line for _, line in formula(supplied, names=(material,)).lines())
    assert abs(active_percent(OWN, line) - Fraction(active)) < Fraction(1, 10**6)


def test_more_than_the_whole_or_nothing_is_refused() -> None:
    with pytest.raises(PercentError, match=r"30 % active would take 111\.1 % of sodium laureth sulfate 27 %"):
        as_supplied(OWN, SLES_27, Decimal(30))
    with pytest.raises(PercentError, match='"just water" has no active matter'):
        as_supplied(OWN, "just water", Decimal(1))


class TestSwap:
    wash = formula("60", "30", "10", qs=0, names=("aqua", SLES_27, "glycerin"))

    def test_active_for_active_with_the_water_to_qs(self) -> None:
        """30 % x 0.27 = 8.1 % active; 8.1/0.7 = 11.571429 % of the stronger grade."""
        after = swap(self.wash, OWN, "sles 27", SLES_70)
        assert after.percents == (Decimal("78.428571"), Decimal("11.571429"), Decimal(10))
        assert [line.material for _, line in after.lines()] == ["aqua", SLES_70, "glycerin"]

    def test_without_qs_all_others_give_way(self) -> None:
        wash = formula("60", "30", "10", names=("aqua", SLES_27, "glycerin"))
        after = swap(wash, OWN, SLES_27, SLES_70)
        assert after.total == HUNDRED and after.percents[1] == Decimal("11.571429")
        assert abs(after.percents[0] - 6 * after.percents[2]) < Decimal("0.00001")

    def test_gram_for_gram_where_both_are_pure(self) -> None:
        after = swap(formula("60", "40", names=("squalane", "glycerin")), OWN, "squalane", "isoamyl laurate")
        assert after == formula("60", "40", names=("isoamyl laurate", "glycerin"))

    def test_a_slip_in_what_comes_in_is_met_with_what_was_meant(self) -> None:
        with pytest.raises(PercentError, match='Did you mean "squalane"'):
            swap(self.wash, OWN, SLES_27, "squalanne")

    def test_swapped_and_swapped_back(self) -> None:
        there = swap(self.wash, OWN, SLES_27, SLES_70)
        back = swap(there, OWN, SLES_70, SLES_27)
        for before, after in zip(self.wash.percents, back.percents, strict=True):
            assert abs(before - after) < Decimal("0.00001")

    def test_the_grain_of_one_powder_is_not_that_of_another(self) -> None:
        paste = formula("90", "10", names=("squalane", "azelaic acid"))
        powder = replace(paste.phases[0].lines[1], grain=Grain(12e-6, 25e-6), note="sieved")
        paste = replace(paste, phases=(Phase("A", "", (paste.phases[0].lines[0], powder)),))
        swapped = swap(paste, OWN, "azelaic acid", "zinc oxide").phases[0].lines[1]
        assert swapped.grain is None and swapped.note == "sieved"
        # A slip in the name is put right: it is the same powder.
        assert with_material(paste, 1, "azelaic acid micronised").phases[0].lines[1].grain == Grain(12e-6, 25e-6)

    def test_an_unknown_material_is_replaced_gram_for_gram(self) -> None:
        after = swap(formula("60", "40", names=("mystery", "aqua")), OWN, "mystery", SLES_70)
        assert after.percents == (Decimal(60), Decimal(40))

    def test_the_qs_line_stays_qs(self) -> None:
        after = swap(self.wash, OWN, "aqua", "rose water")
        assert after.qs == 0 and after.percents == self.wash.percents

    def test_what_cannot_be_is_refused(self) -> None:
        with pytest.raises(PercentError, match='No material is called "nothing"'):
            swap(self.wash, OWN, SLES_27, "nothing")
        with pytest.raises(PercentError, match='no line "squalane"'):
            swap(self.wash, OWN, "squalane", SLES_70)
        with pytest.raises(PercentError, match="stands in phase A already"):
            swap(self.wash, OWN, SLES_27, "glycerine")
        strong = formula("10", "90", qs=0, names=("aqua", SLES_70))
        with pytest.raises(PercentError, match="would take"):
            swap(strong, OWN, SLES_70, SLES_27)
        middling = formula("50", "20", "30", qs=2, names=("glycerin", SLES_70, "aqua"))
        with pytest.raises(PercentError, match="too much"):
            swap(middling, OWN, SLES_70, SLES_27)
