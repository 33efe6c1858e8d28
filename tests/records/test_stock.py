"""Lots and what is left of them; which lots a batch takes."""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from levigate.errors import RecordError
from levigate.records import lots, stock
from levigate.records.models import BatchLine, Journal, Lot, StockCorrection, Weighing
from tests.records.workshop import DAY, a_batch, a_lot, weigh

pytestmark = pytest.mark.django_db


def day(after: int) -> datetime.date:
    return DAY + datetime.timedelta(days=after)


def test_a_lot_is_kept_under_the_key_of_the_shelf_and_written_down() -> None:
    lot = a_lot(material="Glycerol", number=" G1 ")
    assert (lot.material, lot.number) == ("glycerin", "G1")
    line = Journal.objects.get(kind="lot", subject=lot.pk)
    assert line.says == "glycerin, lot G1: 500 g received" and line.details["after"]["received"] == "2026-01-05"


def test_an_amendment_leaves_before_and_after_in_the_journal() -> None:
    lot = lots.amend(a_lot(), "typing", supplier="Quay", grams=Decimal(450), pack="")
    assert (lot.supplier, lot.grams) == ("Quay", Decimal(450))
    line = Journal.objects.filter(subject=lot.pk)[0]
    assert line.details == {"before": {"supplier": "", "grams": "500"}, "after": {"supplier": "Quay", "grams": "450"}}
    assert line.says == "glycerin, lot G1: supplier, grams received amended (typing)"


def test_an_amendment_that_changes_nothing_leaves_no_line() -> None:
    lot = lots.amend(a_lot(), grams=Decimal("500.0000"))
    assert Journal.objects.filter(subject=lot.pk).count() == 1


BAD: list[tuple[Callable[[], Any], str]] = [
    (lambda: a_lot(grams="0"), "holds nothing"),
    (lambda: a_lot(grams="1.00001"), "grams received.*4 decimal places"),
    (lambda: a_lot(number=""), "cannot be blank"),
    (lambda: a_lot(material=" "), "cannot be blank"),
    (lambda: a_lot(number="9" * 101), "lot number.*at most 100"),
    (lambda: a_lot(best_before=datetime.date(2025, 1, 1)), "look at the years"),
    (lambda: a_lot(opened=datetime.date(2025, 1, 1)), "cannot have been opened"),
    (lambda: (a_lot(), a_lot()), "on record already"),
    (lambda: lots.amend(a_lot(), material="aqua"), "not for changing"),
    (lambda: lots.amend(a_lot(), grams=Decimal(-1)), "holds nothing"),
    (lambda: lots.correct(a_lot(), Decimal(0), "spilt"), "changes nothing"),
    (lambda: lots.correct(a_lot(), Decimal(-1), " "), "Say why"),
    (lambda: lots.correct(a_lot(), Decimal(-1), "x" * 501), "at most 500"),
    (lambda: lots.count(a_lot(), Decimal(-1)), "cannot be -1 g"),
]


@pytest.mark.parametrize(("does", "says"), BAD, ids=[says for _, says in BAD])
def test_what_cannot_be_is_refused_in_a_sentence(does: Callable[[], Any], says: str) -> None:
    with pytest.raises(RecordError, match=says):
        does()


def test_a_lot_is_closed_and_opened_again() -> None:
    lot = lots.set_closed(a_lot(), closed=True, why="used up")
    assert stock.left() == []
    lots.set_closed(lot, closed=True)
    assert [one.grams for one in stock.left(Lot.objects.filter(pk=lots.set_closed(lot, closed=False).pk))] == [500]
    assert [line.says.partition(": ")[2] for line in Journal.objects.filter(subject=lot.pk)] == [
        "open again",
        "closed (used up)",
        "500 g received",
    ]


def test_stock_goes_down_by_what_was_really_weighed() -> None:
    lot, other, batch = a_lot(), a_lot("G2"), a_batch()
    wrong = weigh(batch, 1, "100", lot)
    weigh(batch, 1, "10.1", other, corrects=wrong, why="read the wrong lot")
    weigh(batch, 1, "0.3", lot)
    lots.correct(lot, Decimal("-0.2"), "spilt")
    assert (stock.left_of(lot), stock.left_of(other)) == (Decimal("499.5"), Decimal("489.9"))
    assert lots.count(lot, Decimal("480.25")) is not None and stock.left_of(lot) == Decimal("480.25")
    assert lots.count(lot, Decimal("480.25")) is None


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.tuples(st.sampled_from("wcs"), st.integers(-99999, 99999)), max_size=12))
def test_what_is_left_is_the_sum_by_hand(db: None, steps: list[tuple[str, int]]) -> None:
    lot = Lot.objects.create(material="glycerin", number=str(uuid.uuid4()), received=DAY, grams=Decimal("500.0001"))
    line = BatchLine.objects.filter(material="glycerin").first() or a_batch().lines.get(position=1)
    expected, last = lot.grams, None
    for kind, number in steps:
        grams = Decimal(number) / 10000
        if kind == "s":
            StockCorrection.objects.create(lot=lot, grams=grams, why="counted")
            expected += grams
        else:
            expected -= grams - (last.grams if kind == "c" and last else 0)
            last = Weighing.objects.create(
                line=line, lot=lot, grams=grams, key=uuid.uuid4(), corrects=last if kind == "c" else None
            )
    assert stock.left_of(lot) == expected


def test_what_expires_first_goes_first_and_a_line_may_take_of_two() -> None:
    late, soon, none = a_lot("L", best_before=day(300)), a_lot("S", grams="8", best_before=day(90)), a_lot("N")
    gone, closed = a_lot("X", best_before=day(-1)), lots.set_closed(a_lot("C", best_before=day(80)), closed=True)
    choice = stock.choose([("glycerol", Decimal(10)), ("glycerin", Decimal(600))], DAY)
    assert [[(take.lot, take.grams) for take in line] for line in choice.lines] == [
        [(soon, Decimal(8)), (late, Decimal(2))],
        [(late, Decimal(498)), (none, Decimal(102))],
    ]
    assert choice.findings == () and gone.pk and closed.pk


def test_a_shortage_names_what_has_expired() -> None:
    a_lot("X", best_before=day(-1))
    a_lot("G", grams="4")
    choice = stock.choose([("glycerin", Decimal(10)), ("aqua", Decimal(90)), ("xanthan gum", Decimal(1))], DAY)
    assert [(one.level, one.says) for one in choice.findings] == [
        (
            "stop",
            "6 g of glycerin are missing from stock. What has expired is not counted: lot X (best before 2026-02-28).",
        ),
        ("note", "No lot is on record of aqua and xanthan gum: what is weighed of it cannot be traced."),
    ]


def test_a_lot_on_its_last_day_may_still_be_used_and_is_spoken_of() -> None:
    lot = a_lot(best_before=DAY)
    choice = stock.choose([("glycerin", Decimal(10))], DAY)
    assert choice.lines[0][0].lot == lot
    assert [(one.level, one.lot) for one in choice.findings] == [("care", lot)]


def test_the_first_page_is_told_what_needs_care() -> None:
    a_lot("old", best_before=day(-1))
    a_lot("soon", best_before=day(60))
    a_lot("fine", best_before=day(61))
    empty, over = a_lot("empty", "xanthan gum", "2"), a_lot("over", "phenoxyethanol", "1")
    lots.correct(empty, Decimal(-2), "spilt")
    weigh(a_batch("done", state="made"), 2, "1.8", over)
    a_batch("open")
    assert [(one.level, one.says) for one in stock.needs_care(DAY)] == [
        (
            "stop",
            "500 g of glycerin, lot old are past their date (2026-02-28): do not use them; close the lot.",
        ),
        ("care", "500 g of glycerin, lot soon are best before 2026-04-30."),
        ("care", "0.8 g more of phenoxyethanol, lot over were weighed than came: count what is there."),
        ("note", "xanthan gum, lot empty is used up: close it."),
        ("care", "1.8 g of phenoxyethanol are still to be weighed for open batches; 1.8 g are missing."),
    ]


def test_many_lots_are_not_many_queries() -> None:
    for number in range(12):
        a_lot(str(number))
    batch = a_batch()
    weigh(batch, 1, "10", Lot.objects.all()[0])
    stock.needs_care(DAY)  # the shelf is at hand
    with CaptureQueriesContext(connection) as asked:
        stock.choose([("glycerin", Decimal(10)), ("aqua", Decimal(10))], DAY)
        assert len(asked) <= 3
        stock.needs_care(DAY)
    assert len(asked) <= 9
