"""Percent arithmetic: the sum is 100 to the last digit, and whoever gives way gives way in proportion."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from levigate.errors import PercentError
from levigate.formula.model import HUNDRED, Formula
from levigate.formula.percent import (
    ALL,
    PLACES,
    QS,
    adjust,
    deal_out,
    find_line,
    read_percent,
    set_percents,
    tidy,
    ways_to_mend,
)
from levigate.shelf.catalogue import catalogue
from tests.formula.build import PERCENTS, formula, whole_formulas

#: A percent that was computed is off by less than one unit of its last place.
UNIT = Fraction(1, 10**PLACES)


def exact(percents: tuple[Decimal, ...]) -> list[Fraction]:
    return [Fraction(percent) for percent in percents]


def decimals(*percents: str) -> tuple[Decimal, ...]:
    return tuple(map(Decimal, percents))


def in_proportion(before: tuple[Decimal, ...], after: tuple[Decimal, ...], positions: set[int]) -> bool:
    """Whether the positions share what is left as they shared it before, each to less than a unit."""
    old = sum((Fraction(before[i]) for i in positions), Fraction(0))
    new = sum((Fraction(after[i]) for i in positions), Fraction(0))
    return all(abs(Fraction(after[i]) - Fraction(before[i]) * new / old) < UNIT for i in positions)


def test_azelaic_acid_from_10_to_5_by_hand() -> None:
    """Everything else is times 95/90: 18 -> 19, 54 -> 57, 0.9 -> 0.95, 17.1 -> 18.05."""
    before = formula("10", "18", "54", "0.9", "17.1")
    after = adjust(before, {0: Decimal(5)}, give=ALL)
    assert after.percents == decimals("5", "19", "57", "0.95", "18.05")


def test_azelaic_acid_from_10_to_5_where_the_shares_do_not_end() -> None:
    """90 is shared as 30, 30, 30; 95 by three is 31.666..., dealt out to six places so that 95 is kept."""
    after = adjust(formula("10", "30", "30", "30"), {0: Decimal(5)}, give=ALL)
    assert after.percents == decimals("5", "31.666667", "31.666667", "31.666666")


@given(formula=whole_formulas(), data=st.data())
def test_whatever_is_set_held_or_given_the_sum_is_100(formula: Formula, data: st.DataObject) -> None:
    count = len(formula.percents)
    position = st.integers(0, count - 1)
    new = data.draw(st.dictionaries(position, PERCENTS | st.fractions(0, 100, max_denominator=97), max_size=3))
    hold = data.draw(st.sets(position, max_size=2)) - set(new)
    give = data.draw(st.sampled_from([None, QS, ALL]) | st.sets(position, min_size=1))
    try:
        after = adjust(formula, new, give=give, hold=hold)
    except PercentError:
        return
    assert after.total == HUNDRED
    assert after.adds_up
    assert [line.material for _, line in after.lines()] == [line.material for _, line in formula.lines()]
    for i, percent in enumerate(after.percents):
        if i in new:
            assert abs(Fraction(percent) - Fraction(new[i])) <= Fraction(1, 10**12)
            if isinstance(new[i], Decimal):
                assert percent == new[i]
        if i in hold:
            assert percent == formula.percents[i]


@given(formula=whole_formulas(3), new=PERCENTS, data=st.data())
def test_all_others_keep_their_proportions(formula: Formula, new: Decimal, data: st.DataObject) -> None:
    position = data.draw(st.integers(0, len(formula.percents) - 1))
    after = adjust(formula, {position: new}, give=ALL)
    assert after.percents[position] == new
    assert after.total == HUNDRED
    others = set(range(len(formula.percents))) - {position}
    assert in_proportion(formula.percents, after.percents, others)


@given(formula=whole_formulas(3), new=PERCENTS, data=st.data())
def test_the_qs_line_absorbs(formula: Formula, new: Decimal, data: st.DataObject) -> None:
    assume(formula.qs is not None)
    position = data.draw(st.integers(0, len(formula.percents) - 1).filter(lambda i: i != formula.qs))
    rest = HUNDRED - new - sum(p for i, p in enumerate(formula.percents) if i not in (position, formula.qs))
    if rest < 0:
        with pytest.raises(PercentError, match="too much"):
            adjust(formula, {position: new})
        return
    after = adjust(formula, {position: new})
    for i, percent in enumerate(after.percents):
        assert percent == (new if i == position else rest if i == formula.qs else formula.percents[i])


@given(formula=whole_formulas(4), data=st.data())
def test_named_lines_give_way_in_proportion_and_the_rest_stands(formula: Formula, data: st.DataObject) -> None:
    count = len(formula.percents)
    position = data.draw(st.integers(0, count - 1))
    give = data.draw(st.sets(st.integers(0, count - 1), min_size=1)) - {position}
    assume(give)
    room = sum((formula.percents[i] for i in give), formula.percents[position])
    new = data.draw(st.decimals(0, room, places=4))
    after = adjust(formula, {position: new}, give=give)
    assert after.total == HUNDRED
    assert in_proportion(formula.percents, after.percents, give)
    for i in set(range(count)) - give - {position}:
        assert after.percents[i] == formula.percents[i]


@given(formula=whole_formulas(4), data=st.data())
def test_held_lines_stand_while_all_give_way(formula: Formula, data: st.DataObject) -> None:
    count = len(formula.percents)
    position, held = data.draw(st.permutations(range(count)))[:2]
    new = data.draw(st.decimals(0, HUNDRED - formula.percents[held], places=4))
    after = adjust(formula, {position: new}, give=ALL, hold=[held])
    assert after.percents[held] == formula.percents[held]
    assert in_proportion(formula.percents, after.percents, set(range(count)) - {position, held})


@given(formula=whole_formulas(3), data=st.data())
def test_set_and_set_back_returns(formula: Formula, data: st.DataObject) -> None:
    """To rounding: where the others shrink by a factor, what was rounded off grows by it on the way back."""
    position = data.draw(st.integers(0, len(formula.percents) - 1))
    old = formula.percents[position]
    new = data.draw(st.decimals(0, 99, places=4))
    there = adjust(formula, {position: new}, give=ALL)
    back = adjust(there, {position: old}, give=ALL)
    growth = (100 - Fraction(old)) / (100 - Fraction(new))
    for before, after in zip(exact(formula.percents), exact(back.percents), strict=True):
        assert abs(before - after) <= UNIT * (1 + growth)


@given(formula=whole_formulas(3), data=st.data())
def test_qs_set_and_set_back_returns_exactly(formula: Formula, data: st.DataObject) -> None:
    assume(formula.qs is not None)
    position = data.draw(st.integers(0, len(formula.percents) - 1).filter(lambda i: i != formula.qs))
    old = formula.percents[position]
    qs = formula.percents[formula.qs or 0]
    there = adjust(formula, {position: data.draw(st.decimals(0, old + qs, places=4))}, give=QS)
    assert adjust(there, {position: old}, give=QS).percents == formula.percents


@given(values=st.lists(st.fractions(0, 100), min_size=1, max_size=12), places=st.integers(0, 9))
def test_dealing_out_keeps_the_sum_and_each_within_a_unit(values: list[Fraction], places: int) -> None:
    unit = Fraction(1, 10**places)
    values.append(-sum(values) % unit)  # a whole number of units in all
    dealt = deal_out(values, places)
    assert sum(map(Fraction, dealt)) == sum(values)
    for value, given_out in zip(values, dealt, strict=True):
        assert abs(value - Fraction(given_out)) < unit
        assert Fraction(given_out) % unit == 0


@given(formula=whole_formulas(), places=st.integers(0, 6))
def test_tidying_keeps_the_sum(formula: Formula, places: int) -> None:
    tidied = tidy(formula, places)
    assert tidied.total == HUNDRED
    for before, after in zip(formula.percents, tidied.percents, strict=True):
        assert abs(before - after) < Decimal(1).scaleb(-places)
        assert after == round(after, places)


@given(percents=st.lists(PERCENTS, min_size=1, max_size=8), data=st.data())
def test_ways_to_mend_give_formulas_that_add_up(percents: list[Decimal], data: st.DataObject) -> None:
    qs = data.draw(st.none() | st.integers(0, len(percents) - 1))
    if qs is not None:
        percents[qs] = HUNDRED - sum(percents) + percents[qs]
    broken = formula(*percents, qs=qs)
    assume(not broken.adds_up)
    ways = ways_to_mend(broken)
    if sum(percents) > 0:
        assert ways
    for said, mended in ways:
        assert said
        assert mended.adds_up
        assert mended.total == HUNDRED


def test_ways_to_mend_say_what_they_do() -> None:
    short = dict(ways_to_mend(formula("60", "30")))
    assert [said.split(" to ")[0] for said in short] == ["add 10 %", "scale every line by 100/90"]
    assert [mended.percents for mended in short.values()] == [
        (Decimal(70), Decimal(30)),
        (Decimal("66.666667"), Decimal("33.333333")),
    ]
    (over,) = ways_to_mend(formula("80", "40", "-20", qs=2))
    assert over[1].percents == (Decimal("66.666667"), Decimal("33.333333"), Decimal(0))
    (small,) = [way for way in ways_to_mend(formula("100", "0.5")) if way[0].startswith("take")]
    assert small[1].percents == (Decimal("99.5"), Decimal("0.5"))


@pytest.mark.parametrize(
    ("new", "give", "hold", "said"),
    [
        ({0: Decimal(90)}, [1], [], "10 % too much"),
        ({0: Decimal(-1)}, ALL, [], "below nought"),
        ({0: Decimal(5)}, ALL, [0], "both set and held"),
        ({0: Decimal(5)}, QS, [], "no q.s. line"),
        ({0: Decimal(5)}, ALL, [1, 2], "left over and no line may take it"),
        ({0: Decimal(5), 1: Decimal(5), 2: Decimal(5)}, ALL, [], "85 % is left over"),
        ({0: Decimal(5)}, [0], [], "45 % is left over"),
    ],
)
def test_what_cannot_be_is_refused(
    new: dict[int, Decimal | Fraction], give: str | list[int], hold: list[int], said: str
) -> None:
    with pytest.raises(PercentError, match=said):
        adjust(formula("50", "30", "20"), new, give=give, hold=hold)


def test_two_thirds_that_do_not_end_still_sum_to_100() -> None:
    """What is set is rounded before the rest is reckoned, else the last digits are lost between the two."""
    percents = set_percents([Decimal(50), Decimal(30), Decimal(20)], {0: Fraction(2, 3), 1: Fraction(2, 3)}, {2})
    assert sum(percents) == HUNDRED


def test_lines_at_nought_cannot_give_way_unless_one_is_named() -> None:
    with pytest.raises(PercentError, match="left over"):
        adjust(formula("100", "0", "0"), {0: Decimal(40)}, give=ALL)
    assert adjust(formula("100", "0", "0"), {0: Decimal(40)}, give=[1]).percents == decimals("40", "60", "0")


def test_a_qs_line_below_nought_counts_as_nothing() -> None:
    over = formula("80", "40", "-20", qs=2)
    assert adjust(over, {1: Decimal(15)}).percents == decimals("80", "15", "5")
    assert adjust(over, {1: Decimal(20)}, give=ALL).percents == decimals("80", "20", "0")


@pytest.mark.parametrize(
    ("text", "percent"),
    [("4", "4"), (" 4 % ", "4"), ("0.5", "0.5"), ("100", "100"), ("0", "0"), (4, "4"), (Decimal("1E+1"), "10")],
)
def test_a_percent_is_read(text: object, percent: str) -> None:
    assert read_percent(text) == Decimal(percent)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("5,0", "write the decimal point: 5.0"),
        ("-1", "below nought"),
        (Decimal("1e308"), "more than the whole"),
        pytest.param(10**5000, "more than the whole", id="5001 digits"),
        pytest.param(-(10**5000), "below nought", id="5001 digits below nought"),
        ("100.0001", "more than the whole"),
        ("nan", "not a percent"),
        ("inf", "not a percent"),
        ("", "not a percent"),
        ("4 g", "not a percent"),
        (True, "not a percent"),
        (None, "not a percent"),
        ([4], "not a percent"),
        (Decimal("1e-30"), "more than 12 decimals"),
    ],
)
def test_what_is_no_percent_is_refused(text: object, said: str) -> None:
    with pytest.raises(PercentError, match=said):
        read_percent(text)


class TestFindingALine:
    shelf = catalogue()
    two = formula("1", "2", "97", names=("glycerin", "omega 3:6 oil", "aqua"))

    @pytest.mark.parametrize(
        ("name", "position"),
        [
            ("glycerin", 0),
            ("Glycerine", 0),
            ("56-81-5", 0),
            ("A:glycerin", 0),
            ("a: glycerin", 0),
            ("omega 3:6 oil", 1),
            ("water", 2),
        ],
    )
    def test_by_any_of_its_names(self, name: str, position: int) -> None:
        assert find_line(self.two, name, self.shelf) == position

    def test_a_name_of_no_line_asks_did_you_mean(self) -> None:
        with pytest.raises(PercentError, match='no line "glycrin"; did you mean "glycerin"'):
            find_line(self.two, "glycrin", self.shelf)
        with pytest.raises(PercentError, match="its lines are glycerin"):
            find_line(self.two, "zzz", self.shelf)

    def test_a_material_in_two_phases_asks_which(self) -> None:
        from dataclasses import replace

        phases = (replace(self.two.phases[0]), replace(self.two.phases[0], letter="B"))
        twice = replace(self.two, phases=phases)
        with pytest.raises(PercentError, match='say "A:water" or "B:water"'):
            find_line(twice, "water", self.shelf)
        assert find_line(twice, "b:water", self.shelf) == 5

    def test_the_name_as_written_goes_before_what_it_stands_for(self) -> None:
        written = formula("60", "40", names=("aqua", "water"))
        assert find_line(written, "water", self.shelf) == 1
        assert find_line(written, "aqua", self.shelf) == 0
