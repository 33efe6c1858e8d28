"""The shelf of the workshop: own materials over the catalogue, measured values above all."""

from __future__ import annotations

import datetime

import pytest

from levigate.errors import ShelfError, UnitError
from levigate.records import shelf

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
