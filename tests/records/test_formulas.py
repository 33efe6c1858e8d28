"""Drafts, undo, versions; two who save at once."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from levigate.errors import ConflictError, FormulaError
from levigate.records import formulas
from levigate.records.models import Formula, Journal
from tests.records.texts import PLAIN, with_glycerin

pytestmark = pytest.mark.django_db


def test_a_new_formula_is_a_draft_until_it_is_saved() -> None:
    formula = formulas.create(PLAIN)
    assert formula.slug == "tideline-lotion" and formula.latest is None
    version = formulas.save(formula, seen=0, knew=None, note_text="first try")
    assert (version.number, version.parent, version.text) == (1, None, PLAIN)
    assert [entry.says for entry in Journal.objects.all()] == [
        "Tideline lotion: version 1 saved (first try)",
        "Tideline lotion: begun",
    ]


def test_two_formulas_of_one_name_have_two_addresses() -> None:
    assert [formulas.create(PLAIN).slug for _ in range(3)] == [
        "tideline-lotion",
        "tideline-lotion-2",
        "tideline-lotion-3",
    ]


def test_what_is_no_formula_is_refused_and_nothing_is_lost() -> None:
    formula = formulas.create(PLAIN)
    with pytest.raises(FormulaError):
        formulas.edit(formula, "not = [a formula", "broken", seen=0)
    assert formulas.draft_of(formula).text == PLAIN


def test_an_edit_from_a_window_that_is_behind_is_told() -> None:
    formula = formulas.create(PLAIN)
    formulas.edit(formula, with_glycerin("6"), "glycerin to 6 %", seen=0)
    with pytest.raises(ConflictError, match="glycerin to 6 %"):
        formulas.edit(formula, with_glycerin("7"), "glycerin to 7 %", seen=0)
    assert formulas.draft_of(formula).text == with_glycerin("6")


def test_the_second_saver_is_told_and_may_save_beside() -> None:
    formula = formulas.create(PLAIN)
    first = formulas.save(formula, seen=0, knew=None)
    formulas.edit(formula, with_glycerin("6"), "glycerin to 6 %", seen=0)
    second = formulas.save(formula, seen=1, knew=1)
    formulas.edit(formula, with_glycerin("7"), "glycerin to 7 %", seen=1)
    with pytest.raises(ConflictError, match="newer version 2"):
        formulas.save(formula, seen=2, knew=1)
    beside = formulas.save(formula, seen=2, knew=1, branch=True)
    assert (second.parent, beside.parent) == (first, first)
    assert beside.text == with_glycerin("7") and formula.versions.count() == 3


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.one_of(st.sampled_from(["undo", "redo"]), st.integers(1, 40)), max_size=25))
def test_undo_and_redo_are_those_of_a_list(db: None, steps: list[int | str]) -> None:
    formula = formulas.create(PLAIN)
    texts, at = [PLAIN], 0
    for one in steps:
        state = formulas.draft_of(formula)
        if one == "undo":
            at = max(0, at - 1)
            state = formulas.step(formula, -1)
        elif one == "redo":
            at = min(len(texts) - 1, at + 1)
            state = formulas.step(formula, +1)
        elif (text := with_glycerin(str(one))) != texts[at]:
            texts, at = [*texts[: at + 1], text], at + 1
            state = formulas.edit(formula, text, f"glycerin to {one} %", seen=state.number)
        assert state.text == texts[at]
    Formula.objects.all()
