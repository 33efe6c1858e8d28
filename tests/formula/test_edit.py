"""Changes at one place: what is asked for changes, the sum stays 100, everything else stays as it stood."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from levigate.demo import examples
from levigate.errors import FormulaError, LevigateError, PercentError
from levigate.formula import edit
from levigate.formula.text import read_formula

TEXTS = {name: path.read_text(encoding="utf-8") for name, path in examples().items()}
CREAM = TEXTS["breakwater-hand-cream"]


def names(text: str) -> list[tuple[str, str]]:
    return [(phase.letter, line.material) for phase, line in read_formula(text).lines()]


def percents(text: str) -> list[Decimal]:
    return list(read_formula(text).percents)


def comments(text: str) -> list[str]:
    return [line for line in text.splitlines() if line.startswith("#")]


@pytest.mark.parametrize("name", TEXTS)
def test_a_line_set_to_what_it_is_changes_nothing(name: str) -> None:
    text = TEXTS[name]
    position = next(i for i, (_, line) in enumerate(read_formula(text).lines()) if not line.qs)
    assert edit.set_percent(text, position, percents(text)[position]) == text


def test_the_qs_line_gives_way() -> None:
    after = percents(edit.set_percent(CREAM, 1, Decimal(8)))
    assert after[1] == 8 and after[0] == percents(CREAM)[0] - 3 and sum(after) == 100


def test_a_line_is_added_at_the_end_of_its_phase_and_taken_out_again() -> None:
    grown = edit.add_line(CREAM, "B", "jojoba oil", Decimal("2.5"), role="slip")
    assert names(grown)[names(CREAM).index(("B", "cetearyl olivate and sorbitan olivate")) + 1] == ("B", "jojoba oil")
    assert read_formula(grown).adds_up
    back = edit.remove_line(grown, names(grown).index(("B", "jojoba oil")))
    assert names(back) == names(CREAM) and percents(back) == percents(CREAM) and comments(back) == comments(CREAM)


def test_taking_out_the_qs_line_hands_the_qs_on() -> None:
    after = read_formula(edit.remove_line(CREAM, 0))
    assert after.adds_up and after.qs is not None
    assert [line.material for _, line in after.lines()][after.qs] == "caprylic/capric triglyceride"


def test_the_last_line_stays() -> None:
    text = (
        'levigate = 1\n[formula]\nname = "x"\n[[phase]]\nletter = "A"\nlines = [{ material = "aqua", percent = 100 }]\n'
    )
    with pytest.raises(PercentError, match="at least one line"):
        edit.remove_line(text, 0)


@pytest.mark.parametrize("name", TEXTS)
@given(data=st.data())
def test_moving_is_a_permutation(name: str, data: st.DataObject) -> None:
    text = TEXTS[name]
    formula = read_formula(text)
    position = data.draw(st.integers(0, len(formula.percents) - 1))
    letter = data.draw(st.sampled_from([phase.letter for phase in formula.phases]))
    place = data.draw(st.integers(0, 12))
    try:
        moved = edit.move_line(text, position, letter, place)
    except PercentError:
        return
    material = [line.material for _, line in formula.lines()][position]
    assert sorted(read_formula(moved).percents) == sorted(formula.percents)
    assert sorted(m for _, m in names(moved)) == sorted(m for _, m in names(text))
    there = [m for at, m in names(moved) if at == letter]
    assert there.index(material) == min(place, len(there) - 1)
    assert comments(moved) == comments(text)


def test_there_and_back_again_is_the_same_order() -> None:
    moved = edit.move_line(CREAM, 4, "A", 0)
    assert names(moved)[0] == ("A", "caprylic/capric triglyceride")
    assert names(edit.move_line(moved, 0, "B", 0)) == names(CREAM)


def test_the_qs_is_handed_to_another_line() -> None:
    after = read_formula(edit.as_qs(CREAM, 1))
    assert after.qs == 1 and after.percents == read_formula(CREAM).percents
    assert read_formula(edit.without_qs(CREAM, 0)).qs is None


def test_a_phase_is_begun_and_goes_with_its_last_line() -> None:
    grown = edit.add_phase(CREAM, "kelp extract", Decimal(1), "below 40 C")
    formula = read_formula(grown)
    assert formula.phases[-1].letter == "D" and formula.phases[-1].how == "below 40 C" and formula.adds_up
    assert [phase.letter for phase in read_formula(edit.remove_line(grown, len(formula.percents) - 1)).phases] == [
        "A",
        "B",
        "C",
    ]


def test_head_container_and_measured_values() -> None:
    text = edit.set_head(CREAM, {"name": "Pier cream", "makes": "300 g", "keeps": "9 months"})
    text = edit.set_container(text, {"shape": "", "name": "tin", "brimful": "70 mL"})
    text = edit.set_measured(text, "pH", {"value": "5.4", "how": "meter"})
    formula = read_formula(text)
    assert (formula.name, formula.makes and formula.makes.mass) == ("Pier cream", 0.3)
    assert formula.container is not None and formula.container.name == "tin"
    assert formula.measured["pH"]["value"] == "5.4"
    assert "measured" not in edit.set_measured(text, "pH", {"value": ""})


def test_words_of_a_line_are_put_and_taken_out() -> None:
    text = edit.describe_line(CREAM, 1, {"role": "keeps water", "note": ""})
    assert [line.role for _, line in read_formula(text).lines()][1] == "keeps water"
    assert edit.describe_line(text, 1, {"role": ""}) == CREAM


@pytest.mark.parametrize(
    "change",
    [
        lambda: edit.set_percent(CREAM, 99, Decimal(1)),
        lambda: edit.set_percent(CREAM, 1, Decimal(101)),
        lambda: edit.add_line(CREAM, "Z", "kelp", Decimal(1)),
        lambda: edit.add_line(CREAM, "A", "Glycerin", Decimal(1)),
        lambda: edit.rename_line(CREAM, 1, "xanthan gum"),
        lambda: edit.rename_line(CREAM, 1, ""),
        lambda: edit.set_head(CREAM, {"name": " "}),
        lambda: edit.set_head(CREAM, {"makes": "a lot"}),
        lambda: edit.set_container(CREAM, {"brimful": "-3 mL"}),
        lambda: edit.set_measured(CREAM, "viscosity", {"value": "thick"}),
    ],
)
def test_what_cannot_be_is_refused_with_a_sentence(change: Callable[[], str]) -> None:
    with pytest.raises(LevigateError) as refused:
        change()
    assert isinstance(refused.value, (PercentError, FormulaError)) and str(refused.value).endswith(".")


def test_line_ends_and_byte_order_mark_stay() -> None:
    windows = "\ufeff" + CREAM.replace("\n", "\r\n")
    after = edit.set_how(windows, "A", "stir cold")
    assert after.startswith("\ufeff") and after.count("\n") == after.count("\r\n")
