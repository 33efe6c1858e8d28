"""From a jar to its lots, and from a lot to all jars."""

from __future__ import annotations

import random
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from levigate.errors import RecordError
from levigate.records import lots, tracing
from levigate.records.models import Jar, Lot
from tests.records.workshop import DAY, a_batch, a_lot, a_version, some_jars, weigh

pytestmark = pytest.mark.django_db


def test_a_jar_leads_back_to_its_lots_batch_and_version() -> None:
    version = a_version()
    batch = a_batch("T-1", version)
    first, second, wrong = a_lot("G1"), a_lot("G2"), a_lot("G3")
    weigh(batch, 0, "188.2")
    weigh(batch, 1, "6", first)
    weigh(batch, 1, "3", first)
    misread = weigh(batch, 1, "11", wrong)
    weigh(batch, 1, "1.1", second, corrects=misread, why="lot misread")
    some_jars(batch, "TIDE-01", "TIDE-02")
    trace = tracing.jar(" tide-02 ")
    assert (trace.jar.code, trace.batch, trace.batch.version) == ("TIDE-02", batch, version)
    assert [(one.material, one.lot, one.grams) for one in trace.used] == [
        ("aqua", None, Decimal("188.2")),
        ("glycerin", first, Decimal("9")),
        ("glycerin", second, Decimal("1.1")),
    ]
    assert trace.lots == (first, second) and trace.untraced == ("aqua",)
    assert len(trace.weighings) == 5 and trace.weights[0].grams == Decimal("50.2")


def test_a_lot_leads_on_to_every_batch_and_jar() -> None:
    lot, other, version = a_lot("G1"), a_lot("G2"), a_version()
    one, two, three = (a_batch(f"T-{n}", version) for n in (1, 2, 3))
    weigh(one, 1, "10", lot)
    weigh(two, 1, "4", lot)
    weigh(two, 1, "-1", lot)
    weigh(three, 1, "10", other, corrects=weigh(three, 1, "10", lot), why="lot misread")
    some_jars(one, "A1", "A2")
    some_jars(two, "B1")
    some_jars(three, "C1")
    lots.correct(lot, Decimal("-2"), "spilt")
    trace = tracing.lot(lot)
    assert [(went.batch, went.grams) for went in trace.went] == [(one, Decimal(10)), (two, Decimal(3))]
    assert [jar.code for jar in trace.jars] == ["A1", "A2", "B1"]
    assert trace.taken_back == (three,) and trace.left == 485 and len(trace.corrections) == 1


def test_both_ways_agree() -> None:
    chance = random.Random(7)
    version = a_version()
    deliveries = [a_lot(f"L{n}") for n in range(6)]
    for n in range(8):
        batch = a_batch(f"T-{n}", version)
        for lot in chance.sample(deliveries, 3):
            reading = weigh(batch, 1, "1", lot)
            if chance.random() < 0.4:
                weigh(batch, 1, "1", chance.choice(deliveries), corrects=reading, why="misread")
        some_jars(batch, f"J-{n}-1", f"J-{n}-2")
    back = {(jar.code, lot.pk) for jar in Jar.objects.all() for lot in tracing.jar(jar.code).lots}
    on = {(jar.code, lot.pk) for lot in Lot.objects.all() for jar in tracing.lot(lot).jars}
    assert back == on and len(back) >= 8 * 2 * 2


def test_few_queries_each_way() -> None:
    lot, version = a_lot(), a_version()
    for n in range(10):
        weigh(batch := a_batch(f"T-{n}", version), 1, "10", lot)
        some_jars(batch, *(f"J-{n}-{m}" for m in range(5)))
    with CaptureQueriesContext(connection) as asked:
        trace = tracing.lot(lot)
        assert {went.batch.version.formula.name for went in trace.went} == {"Tideline lotion"}
        assert len(trace.jars) == 50
    assert len(asked) <= 5
    with CaptureQueriesContext(connection) as asked:
        back = tracing.jar("J-3-1")
        assert back.batch.version.formula.name and [one.lot for one in back.used] == [lot]
    assert len(asked) <= 3


def test_a_code_that_is_not_on_record_is_said() -> None:
    with pytest.raises(RecordError, match='No jar on record has the code "X-1"'):
        tracing.jar("X-1")


def test_a_lot_that_went_nowhere_has_an_empty_trace() -> None:
    trace = tracing.lot(a_lot(best_before=DAY))
    assert (trace.went, trace.jars, trace.taken_back, trace.left) == ((), (), (), Decimal(500))
