"""Premixes taken apart to substances, and stocks used up: shares are fractions, so that they sum to 1 exactly."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from levigate.errors import FormulaError, PercentError
from levigate.formula.model import HUNDRED, Formula, Line, Phase
from levigate.formula.premix import DEEPEST, check_circles, composition, strength, substances
from levigate.formula.strength import with_stock
from levigate.shelf.catalogue import Shelf, catalogue, with_defaults
from tests.formula.build import formula


def shelf(**made_of: dict[str, Any]) -> Shelf:
    """Return the catalogue with premixes on top, each given by its parts, or by a whole table of parts."""
    raw = {name.replace("_", " "): {"made_of": parts} for name, parts in made_of.items()}
    below = catalogue()
    return Shelf({k: v if k in below else with_defaults(k, v) for k, v in raw.items()}, origin="own-word", below=below)


OWN = shelf(
    base={"aqua": 60, "half and half": 30, "glycerin": 10},
    half_and_half={"glycerin": 50, "secret": 50},
    thirds={"aqua": Decimal("33.4"), "glycerin": Decimal("33.3"), "secret": Decimal("33.3")},
    rough={"aqua": 60, "glycerin": Decimal("39.7")},
    partly={"parts": {"aqua": 40, "glycerin": 25}, "complete": False, "source": "own-word", "grade": "supplier"},
    partly_in={"partly": 50, "aqua": 50},
    snake={"tail": 50, "aqua": 50},
    tail={"middle": 100},
    middle={"snake": 10, "aqua": 90},
    citric_stock={"citric acid": 10, "aqua": 90},
    crystal_stock={"citric acid monohydrate": 10, "aqua": 90},
    oily_stock={"tocopherol": 10, "squalane": 90},
)


@pytest.mark.parametrize(
    ("material", "shares"),
    [
        ("glycerin", {"glycerin": Fraction(1)}),
        ("Glycerine", {"glycerin": Fraction(1)}),
        ("nobody knows", {"nobody knows": Fraction(1)}),
        ("half and half", {"glycerin": Fraction(1, 2), "secret": Fraction(1, 2)}),
        # 60 % water, 30 % of half and half, 10 % glycerin: 0.15 + 0.10 glycerin
        ("base", {"aqua": Fraction(3, 5), "glycerin": Fraction(1, 4), "secret": Fraction(3, 20)}),
        ("thirds", {"aqua": Fraction(334, 1000), "glycerin": Fraction(333, 1000), "secret": Fraction(333, 1000)}),
        # 99.7 % is within what a data sheet rounds away; the parts share the whole
        ("rough", {"aqua": Fraction(600, 997), "glycerin": Fraction(397, 997)}),
        ("partly", {"aqua": Fraction(2, 5), "glycerin": Fraction(1, 4), "rest of partly": Fraction(7, 20)}),
        ("partly in", {"aqua": Fraction(7, 10), "glycerin": Fraction(1, 8), "rest of partly": Fraction(7, 40)}),
    ],
)
def test_taken_apart_by_hand(material: str, shares: dict[str, Fraction]) -> None:
    assert substances(OWN, material) == shares


def test_every_material_of_the_catalogue_sums_to_1() -> None:
    for key in catalogue():
        shares = substances(catalogue(), key)
        assert sum(shares.values()) == 1, key
        assert all(share > 0 for share in shares.values()), key


@st.composite
def nested(draw: st.DrawFn) -> Shelf:
    """Draw premixes each made of those that come after it and of substances, so that none contains itself."""
    count = draw(st.integers(1, 8))
    raw: dict[str, dict[str, Any]] = {}
    for i in range(count):
        parts = [f"premix {j}" for j in range(i + 1, count)] + ["aqua", "glycerin", "secret"]
        chosen = draw(st.lists(st.sampled_from(parts), min_size=1, max_size=4, unique=True))
        cuts = sorted(draw(st.sets(st.integers(1, 9999), min_size=len(chosen) - 1, max_size=len(chosen) - 1)))
        edges = [0, *cuts, 10000]
        percents = [Decimal(b - a) / 100 for a, b in pairwise(edges)]
        raw[f"premix {i}"] = dict(zip(chosen, percents, strict=True))
    return shelf(**raw)


@given(shelf=nested())
def test_premixes_within_premixes_sum_to_1(shelf: Shelf) -> None:
    for key in shelf.own():
        shares = substances(shelf, key)
        assert sum(shares.values()) == 1
        assert not set(shares) & set(shelf.own())


@given(shelf=nested(), percents=st.lists(st.decimals(0, 100, places=3), min_size=1, max_size=5))
def test_the_real_percents_sum_to_the_percents_of_the_lines(shelf: Shelf, percents: list[Decimal]) -> None:
    names = tuple(f"premix {i % len(list(shelf.own()))}" for i in range(len(percents)))
    real = composition(formula(*percents, names=names), shelf)
    assert sum(real.values()) == sum(map(Fraction, percents))
    assert list(real.values()) == sorted(real.values(), reverse=True)


def test_the_real_percent_of_each_substance() -> None:
    """4 % glycerin and 20 % of a base with a quarter of it: 9 % in all; water 76 + 12."""
    real = composition(formula("76", "4", "20", names=("aqua", "glycerin", "base")), OWN)
    assert real == {"aqua": Fraction(88), "glycerin": Fraction(9), "secret": Fraction(3)}


def test_a_circle_is_found_however_deep() -> None:
    with pytest.raises(FormulaError, match=r'"snake" contains itself \(snake > tail > middle > snake\)'):
        check_circles(OWN, "snake")
    with pytest.raises(FormulaError, match="contains itself"):
        composition(formula("100", names=("middle",)), OWN)


def test_nesting_beyond_sense_is_refused() -> None:
    deep = shelf(**{f"layer {i}": {f"layer {i + 1}": 100} for i in range(DEEPEST + 10)})
    with pytest.raises(FormulaError, match=f"nested more than {DEEPEST} deep"):
        substances(deep, "layer 0")
    assert substances(deep, "layer 20") == {f"layer {DEEPEST + 10}": Fraction(1)}


def test_premixes_that_share_premixes_do_not_take_for_ever() -> None:
    """Each layer holds the next twice: 2 to the power 25 ways down, and each premix is taken apart once."""
    layers: dict[str, dict[str, Any]] = {}
    for i in range(25):
        layers[f"a{i}"] = {f"a{i + 1}": 50, f"b{i + 1}": 50}
        layers[f"b{i}"] = {f"a{i + 1}": 40, f"b{i + 1}": 60}
    assert sum(substances(shelf(**layers), "a0").values()) == 1


def test_strength_of_a_stock() -> None:
    assert strength(OWN, "citric stock", "citric acid") == Fraction(1, 10)
    assert strength(OWN, "base", "glycerine") == Fraction(1, 4)
    assert strength(OWN, "base", "squalane") == 0
    # A premix that stands in the stock as itself: 10 % of the monohydrate, though only 9.143 % of the acid.
    assert strength(OWN, "crystal stock", "citric acid monohydrate") == Fraction(1, 10)
    assert strength(OWN, "crystal stock", "citric acid") == Fraction("0.09143")


class TestUsingUpAStock:
    toner = formula("93", "2", "5", qs=0, names=("aqua", "citric acid", "glycerin"))

    def test_2_percent_by_a_10_percent_solution_takes_18_percent_off_the_water(self) -> None:
        after = with_stock(self.toner, OWN, "citric acid", "citric stock")
        assert [line.material for _, line in after.lines()] == ["aqua", "citric stock", "glycerin"]
        assert after.percents == (Decimal(75), Decimal(20), Decimal(5))
        assert composition(after, OWN) == composition(self.toner, OWN)

    @given(neat=st.decimals("0.0001", "4", places=4))
    def test_the_substances_stay_what_they_were(self, neat: Decimal) -> None:
        before = formula(95 - neat, neat, "5", qs=0, names=("aqua", "citric acid", "glycerin"))
        after = with_stock(before, OWN, "citric acid", "citric stock")
        assert after.total == HUNDRED
        assert composition(after, OWN) == composition(before, OWN)

    def test_a_stock_of_a_premix_takes_its_place_as_such(self) -> None:
        before = formula("93", "2", "5", names=("aqua", "citric acid monohydrate", "glycerin"))
        after = with_stock(before, OWN, "citric acid monohydrate", "crystal stock")
        assert after.percents == (Decimal(75), Decimal(20), Decimal(5))
        assert composition(after, OWN) == composition(before, OWN)

    def test_the_carrier_comes_off_each_line_that_has_it_qs_first(self) -> None:
        lines = (
            Line("aqua", Decimal(10)),
            Line("citric acid", Decimal(2)),
            Line("glycerin", Decimal(75)),
        )
        later = (Line("water", Decimal(13), qs=True),)
        before = Formula("test", "", (Phase("A", "", lines), Phase("B", "", later)))
        after = with_stock(before, OWN, "citric acid", "citric stock")
        assert after.percents == (Decimal(5), Decimal(20), Decimal(75), Decimal(0))
        assert composition(after, OWN) == composition(before, OWN)

    def test_the_line_that_was_named_is_the_one_replaced(self) -> None:
        phases = (
            Phase("A", "", (Line("aqua", Decimal(90)), Line("citric acid", Decimal(1)))),
            Phase("B", "", (Line("glycerin", Decimal(7)), Line("citric acid", Decimal(2)))),
        )
        after = with_stock(Formula("test", "", phases), OWN, "B:citric acid", "citric stock")
        assert [line.material for _, line in after.lines()] == ["aqua", "citric acid", "glycerin", "citric stock"]
        assert after.percents == (Decimal(72), Decimal(1), Decimal(7), Decimal(20))

    def test_unknown_materials_are_told_apart_by_name(self) -> None:
        own = shelf(stock={"secret": 50, "aqua": 50})
        before = formula("50", "10", "40", names=("aqua", "mystery", "secret"))
        after = with_stock(before, own, "secret", "stock")
        assert after.percents == (Decimal(10), Decimal(10), Decimal(80))

    def test_the_last_drop_of_the_carrier_may_go(self) -> None:
        before = formula("90", "10", names=("aqua", "citric acid"))
        assert with_stock(before, OWN, "citric acid", "citric stock").percents == (Decimal(0), Decimal(100))

    @pytest.mark.parametrize(
        ("before", "neat", "stock", "said"),
        [
            (formula("80", "20", names=("aqua", "glycerin")), "glycerin", "citric stock", "holds no glycerin"),
            (formula("98", "2", names=("aqua", "tocopherol")), "tocopherol", "oily stock",
             "brings 18 % of squalane along, but the formula has none that could give way"),
            (formula("80", "12", "8", names=("aqua", "citric acid", "glycerin")), "citric acid", "citric stock",
             "brings 108 % of aqua along, but the formula has 80 %"),
            (toner, "citric acid", "no such stock", "describe it in the file"),
            (toner, "squalane", "citric stock", 'no line "squalane"'),
            (formula("73", "2", "25", names=("aqua", "citric acid", "citric stock")), "citric acid", "citric stock",
             "stands in phase A already"),
        ],
    )  # fmt: skip
    def test_what_cannot_be_is_refused(self, before: Formula, neat: str, stock: str, said: str) -> None:
        with pytest.raises(PercentError, match=said):
            with_stock(before, OWN, neat, stock)
