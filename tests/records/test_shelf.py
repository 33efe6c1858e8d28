"""The shelf of the workshop: own materials over the catalogue, measured values above all."""

from __future__ import annotations

import datetime

import pytest

from levigate.errors import ConflictError, RecordError, ShelfError, UnitError
from levigate.records import shelf
from levigate.records.models import Journal, OwnMaterial

pytestmark = pytest.mark.django_db
DAY = datetime.date(2026, 3, 1)


def test_an_own_material_stands_on_the_shelf_with_its_latest_text() -> None:
    shelf.save_material("kelp gel", 'inci = "Laminaria"\ndensity = "1.02 g/mL"')
    shelf.save_material("kelp gel", 'inci = "Laminaria"\ndensity = "1.05 g/mL"', "weighed again")
    record = shelf.shelf()["kelp gel"]
    assert record.density[0].value == "1.05 g/mL" and record.inci == "Laminaria"


def test_a_measured_value_outranks_the_catalogue_and_leaves_the_rest() -> None:
    before = shelf.shelf()["glycerin"]
    shelf.measure("glycerin", "density", "1.249 g/mL", on=DAY, how="syringe")
    after = shelf.shelf()["glycerin"]
    assert (after.density[0].value, after.density[0].grade) == ("1.249 g/mL", "measured")
    assert after.density[1:] == before.density and after.molar_mass == before.molar_mass


def test_a_correction_takes_the_place_of_what_it_names() -> None:
    wrong = shelf.measure("glycerin", "density", "1.5 g/mL", on=DAY)
    shelf.measure("glycerin", "density", "1.25 g/mL", on=DAY, corrects=wrong, why="read the wrong line")
    assert [v.value for v in shelf.shelf()["glycerin"].density if v.grade == "measured"] == ["1.25 g/mL"]


@pytest.mark.parametrize(("name", "value"), [("density", "1.2 C"), ("density", "-1 g/mL"), ("colour", "1 g/mL")])
def test_a_value_that_cannot_be_is_refused(name: str, value: str) -> None:
    with pytest.raises((ShelfError, UnitError)):
        shelf.measure("glycerin", name, value, on=DAY)


def test_a_text_that_is_no_material_is_refused() -> None:
    with pytest.raises(ShelfError):
        shelf.save_material("kelp gel", 'density = "1.02 parsec"')


def test_what_adds_to_the_catalogue_is_kept_under_its_key_there() -> None:
    """Two texts under two names of one material could not stand on one shelf."""
    shelf.save_material("Glycerol", 'price = "4 EUR/kg"')
    saved = shelf.save_material("glycerin", 'price = "5 EUR/kg"')
    assert (saved.material.key, saved.number) == ("glycerin", 2)
    assert shelf.shelf()["glycerol"].price == "5 EUR/kg"


def test_a_new_material_must_be_new() -> None:
    with pytest.raises(RecordError, match="glycerin"):
        shelf.begin_material("Glycerol", 'price = "4 EUR/kg"')
    shelf.begin_material("kelp gel", "")
    with pytest.raises(RecordError):
        shelf.begin_material("Kelp gel", "")


def test_words_of_a_form_become_the_text_of_a_material() -> None:
    text = shelf.written(
        {"inci": ' Laminaria "Digitata"\n', "names": "tang, , kelp jelly", "price": "", "density": "1.02 g/mL"}
    )
    shelf.begin_material("kelp gel", text)
    record = shelf.shelf()["kelp jelly"]
    assert (record.inci, record.names, record.price) == ('Laminaria "Digitata"', ("tang", "kelp jelly"), None)


TABLE = b"name,density,usual\nkelp gel,1.02 g/mL,1 to 5 %\nglycerin,1.25 g/mL,\n"


def test_a_table_comes_in_whole_or_not_at_all() -> None:
    with pytest.raises(ShelfError, match="row 4"):
        shelf.bring_csv(TABLE + b"wrack,1 parsec,\n", "mine.csv")
    assert not OwnMaterial.objects.exists()
    assert shelf.bring_csv(TABLE, "mine.csv") == ["kelp gel", "glycerin"]
    assert shelf.shelf()["kelp gel"].usual[0].low == "1 %" and shelf.shelf()["glycerin"].density[0].value == "1.25 g/mL"
    with pytest.raises(RecordError, match="row 2"):
        shelf.bring_csv(TABLE, "mine.csv")
    shelf.bring_csv(TABLE.replace(b"1.02", b"1.03"), "mine.csv", replace=True)
    assert [text.number for text in OwnMaterial.objects.get(key="kelp gel").texts.all()] == [1, 2]


def test_a_value_is_corrected_once_and_with_a_reason() -> None:
    wrong = shelf.measure("glycerin", "density", "1.5 g/mL", on=DAY, how="syringe")
    with pytest.raises(RecordError, match="why"):
        shelf.correct(wrong, "1.25 g/mL", " ")
    right = shelf.correct(wrong, "1.25 g/mL", "read the wrong line")
    assert (right.how, right.on, right.corrects) == ("syringe", DAY, wrong)
    with pytest.raises(ConflictError):
        shelf.correct(wrong, "1.26 g/mL", "again")
    assert shelf.shelf()["glycerin"].density[0].value == "1.25 g/mL"


def test_notes_and_putting_away_leave_a_line_in_the_journal() -> None:
    shelf.set_note("glycerin", "sticky")
    shelf.set_note("glycerin", "sticky in the cold")
    shelf.set_put_away("glycerin", away=True)
    lines = Journal.objects.filter(kind="material", subject="glycerin").order_by("pk")
    assert [line.details for line in lines][:2] == [
        {"before": "", "after": "sticky"},
        {"before": "sticky", "after": "sticky in the cold"},
    ]
    assert lines.count() == 3 and "glycerin" in shelf.shelf()
