"""The demo workshop: on record as a person would have put it there, and only where nothing is."""

from __future__ import annotations

import datetime

import pytest

from levigate.demo import examples
from levigate.errors import RecordError
from levigate.formula.text import read_formula
from levigate.records import demo, formulas
from levigate.records.at_hand import at_hand
from levigate.records.models import Batch, Formula, Lot, Weighing
from levigate.records.today import today
from levigate.records.weighing import standing
from levigate.shelf.catalogue import catalogue

pytestmark = pytest.mark.django_db


@pytest.fixture
def loaded(db: None) -> None:
    demo.load()


def test_every_demo_formula_is_on_record_as_its_file(loaded: None) -> None:
    texts = {path.read_text(encoding="utf-8") for path in examples().values()}
    assert {formula.latest.text for formula in Formula.objects.all() if formula.latest} == texts
    assert Formula.objects.get(slug="breakwater-hand-cream").versions.filter(parent__number=1).count() == 2


def test_lots_are_of_materials_of_the_shelf_and_nothing_is_below_nought(loaded: None) -> None:
    known = catalogue()
    used = {
        known.key(line.material) for path in examples().values() for _, line in read_formula(path.read_text()).lines()
    }
    assert all(known.key(lot.material) in used for lot in Lot.objects.all())
    lots = at_hand({lot.material for lot in Lot.objects.all()}, known)
    assert lots and all(one.left > 0 for each in lots.values() for one in each)


def test_what_is_weighed_has_a_lot_that_was_not_past_its_date(loaded: None) -> None:
    day = datetime.date.today()
    for row in Weighing.objects.select_related("lot", "line"):
        assert row.lot is not None, row.line
        assert row.lot.best_before is not None and row.lot.best_before >= day


def test_batches_stand_in_several_states_and_one_is_over_poured(loaded: None) -> None:
    assert sorted(Batch.objects.values_list("state", flat=True)) == ["held", "made", "planned", "released", "weighing"]
    now = standing(Batch.objects.get(state="weighing"))
    assert [one.line.material for one in now.lines if one.over] == ["glycerin"]


def test_the_first_page_has_something_of_each_kind(loaded: None) -> None:
    found = today(datetime.date.today())
    assert found.expired and found.expiring and found.held and found.open and found.unsaved


def test_it_is_refused_where_something_is_on_record(loaded: None) -> None:
    before = Formula.objects.count(), Lot.objects.count()
    with pytest.raises(RecordError, match="nothing is on record yet"):
        demo.load()
    assert before == (Formula.objects.count(), Lot.objects.count())


def test_one_formula_is_enough_to_refuse_it(db: None) -> None:
    formulas.create(next(iter(examples().values())).read_text(encoding="utf-8"))
    with pytest.raises(RecordError):
        demo.load()
    assert not Lot.objects.exists()
