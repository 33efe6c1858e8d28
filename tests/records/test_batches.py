"""Batches: planned, weighed by readings that are never lost or doubled, raised, filled, judged, released."""

from __future__ import annotations

import datetime
import os
import subprocess
import sys
import uuid
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from levigate.errors import BatchError, ConflictError, RecordError
from levigate.records import batches, filling, formulas, weighed, weighing
from levigate.records.models import Batch, BatchEvent, Fill, FillWeight, Jar, Journal, Lot, Version, Weighing
from tests.records.at_once import prove
from tests.records.texts import PLAIN

pytestmark = pytest.mark.django_db

D = Decimal
KEEPS = PLAIN.replace('makes = "200 g"', 'makes = "200 g"\nkeeps = "6 months"')
SLOW = settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@pytest.fixture
def version() -> Version:
    made = formulas.create(KEEPS)
    return formulas.save(made, seen=0, knew=None)


def weighing_begun(version: Version, **words: Any) -> Batch:
    return batches.step(batches.begin(version, **words), "weighing")


def put(batch: Batch, position: int, grams: str, **words: Any) -> Weighing:
    line = batch.lines.get(position=position)
    return weighing.keep(line, grams=D(grams), key=words.pop("key", uuid.uuid4()), **words)


def all_weighed(version: Version, **words: Any) -> Batch:
    batch = weighing_begun(version, **words)
    for line in batch.lines.all():
        put(batch, line.position, str(line.target))
    return batch


def lot(material: str, number: str, grams: int, best_before: datetime.date | None = None) -> Lot:
    return Lot.objects.create(
        material=material, number=number, received=datetime.date(2026, 1, 5), grams=grams, best_before=best_before
    )


def test_a_plan_has_the_grams_of_the_formula_and_the_next_code_of_the_year(version: Version) -> None:
    first, second = batches.begin(version), batches.begin(version, makes="12 x 50 g", loss="4 %")
    year = datetime.date.today().strftime("%y")
    assert (first.code, second.code) == (f"{year}-0001", f"{year}-0002")
    assert [line.target for line in first.lines.all()] == [D("188.2"), D(10), D("1.8")]
    assert sum(line.target for line in second.lines.all()) == 625  # 600 g after 4 % are lost
    assert [event.state for event in first.events.all()] == ["planned"]


def test_what_cannot_be_planned_is_told_and_leaves_nothing(version: Version) -> None:
    wrong: list[dict[str, Any]] = [{"makes": "lots"}, {"makes": "0.01 g"}, {"loss": "95"}, {"scale": "2 kg"}]
    for words in wrong:
        with pytest.raises(Exception, match=r"\w+") as trouble:
            batches.begin(version, **words)
        assert isinstance(trouble.value, BatchError)
    assert not Batch.objects.exists()


def test_the_lot_that_expires_first_is_taken_and_what_lacks_is_told(version: Version) -> None:
    today = datetime.date.today()
    late = lot("glycerin", "late", 500, today + datetime.timedelta(400))
    soon = lot("glycerin", "soon", 15, today + datetime.timedelta(40))
    lot("glycerin", "gone by", 500, today - datetime.timedelta(1))
    lot("Phenoxyethanol", "p", 1)
    found = batches.planned(version)
    lines = {line.weigh.material: line for line in found.lines}
    assert lines["glycerin"].chosen is not None and lines["glycerin"].chosen.lot == soon
    assert lines["phenoxyethanol"].short == D("0.8") and lines["aqua"].short == D("188.2")
    batch = weighing_begun(version)
    put(batch, 2, "10", lot=soon)
    chosen = batches.planned(version).lines[1].chosen
    assert chosen is not None and chosen.lot == late  # the 5 g left will not do
    assert batches.begin(version, lots={1: soon.pk}).lines.get(position=2).lot == soon


@pytest.mark.parametrize("tare", ["each", "running"])
def test_a_reading_sent_twice_is_kept_once(version: Version, tare: str) -> None:
    batch, key = weighing_begun(version, tare=tare), uuid.uuid4()
    line = batch.lines.get(position=1)
    word = "grams" if tare == "each" else "reading"
    first = weighing.keep(line, key=key, seen=0, **{word: D("188.2")})  # type: ignore[arg-type]
    again = weighing.keep(line, key=key, seen=0, **{word: D("188.2")})  # type: ignore[arg-type]
    assert first == again and Weighing.objects.count() == 1
    with pytest.raises(ConflictError, match="kept already"):
        weighing.keep(line, key=key, **{word: D(190)})  # type: ignore[arg-type]
    with pytest.raises(ConflictError, match="another line"):
        put(batch, 2, "10", key=key)


def test_a_running_total_counts_what_is_in_the_vessel(version: Version) -> None:
    batch = weighing_begun(version, tare="running")
    readings = {1: "188.2", 2: "198.3", 3: "200.1"}
    for position, reading in readings.items():
        weighing.keep(batch.lines.get(position=position), reading=D(reading), key=uuid.uuid4())
    assert [row.grams for row in Weighing.objects.order_by("pk")] == [D("188.2"), D("10.1"), D("1.8")]
    weighing.keep(batch.lines.get(position=2), reading=D("200.0"), key=uuid.uuid4())  # a little taken out
    assert weighing.standing(batch).of(2).grams == 10


def test_what_another_device_kept_is_told_and_both_may_be_kept(version: Version) -> None:
    batch = weighing_begun(version)
    put(batch, 2, "10", seen=0)
    with pytest.raises(ConflictError, match="kept 10 g of glycerin meanwhile"):
        put(batch, 2, "9.9", seen=0)
    put(batch, 2, "9.9", seen=1)
    assert weighing.standing(batch).of(2).grams == D("19.9")


@pytest.mark.parametrize("grams", ["0", "nan", "inf", "1e9", "0.00001", "-1"])
def test_what_is_no_reading_is_refused(version: Version, grams: str) -> None:
    with pytest.raises(RecordError):
        put(weighing_begun(version), 1, grams)
    assert not Weighing.objects.exists()


def test_only_a_batch_that_is_being_weighed_takes_readings(version: Version) -> None:
    batch = batches.begin(version)
    with pytest.raises(RecordError, match="it is planned"):
        put(batch, 1, "5")
    batch = all_weighed(version)
    batches.step(batch, "made")
    with pytest.raises(RecordError, match="it is made"):
        put(batch, 1, "5")


def test_a_correction_asks_why_stands_beside_and_counts_instead(version: Version) -> None:
    batch = weighing_begun(version)
    wrong = put(batch, 2, "100")
    with pytest.raises(RecordError, match="why"):
        weighing.correct(wrong, D(10), "  ", key=uuid.uuid4())
    key = uuid.uuid4()
    right = weighing.correct(wrong, D(10), "typed a nought too many", key=key)
    assert weighing.correct(wrong, D(10), "typed a nought too many", key=key) == right
    one = weighing.standing(batch).of(2)
    assert one.grams == 10 and one.done and one.weighings == (right,) and one.count == 2
    with pytest.raises(ConflictError):
        weighing.correct(wrong, D(11), "once more", key=uuid.uuid4())


@SLOW
@given(st.data())
def test_a_line_holds_the_sum_of_the_readings_that_stand(data: st.DataObject) -> None:
    version = formulas.save(formulas.create(KEEPS), seen=0, knew=None)
    batch = weighing_begun(version)
    line = batch.lines.get(position=1)
    ledger: dict[uuid.UUID, Decimal] = {}  # kept beside, in a way of its own
    for _ in range(data.draw(st.integers(1, 8))):
        what = data.draw(st.sampled_from(["put", "again", "correct"]))
        grams = D(data.draw(st.integers(1, 5000))) / 10
        if what == "put" or not ledger:
            key = uuid.uuid4()
            weighing.keep(line, grams=grams, key=key)
            ledger[key] = grams
        elif what == "again":
            key = data.draw(st.sampled_from(sorted(ledger)))
            weighing.keep(line, grams=ledger[key], key=key)
        else:
            old, key = data.draw(st.sampled_from(sorted(ledger))), uuid.uuid4()
            weighing.correct(Weighing.objects.get(key=old), grams, "typed wrongly", key=key)
            del ledger[old]
            ledger[key] = grams
    assert weighing.standing(batch).of(1).grams == sum(ledger.values())


@SLOW
@given(over=st.integers(1, 400), at=st.integers(1, 3), weighed_before=st.booleans(), step=st.sampled_from(["0.1", "1"]))
def test_what_is_raised_keeps_the_percents(over: int, at: int, weighed_before: bool, step: str) -> None:
    version = formulas.save(formulas.create(KEEPS), seen=0, knew=None)
    batch = weighing_begun(version, scale=step)
    lines = list(batch.lines.all())
    if weighed_before:
        for line in lines[: at - 1]:
            put(batch, line.position, str(line.target))
    poured = lines[at - 1].target + over * D(step)
    put(batch, at, str(poured))
    up = weighing.raise_rest(batch.lines.get(position=at))
    total = poured * 100 / lines[at - 1].percent  # the whole of which it is the right share
    assert not up.of(at).over and up.of(at).done
    for one in up.lines:
        assert one.line.target >= one.grams or one.left
        assert abs(one.line.target - total * one.line.percent / 100) <= D(step)
    for one in up.lines:
        if not one.done:
            put(batch, one.line.position, str(one.needed))
    assert weighing.standing(batch).done


def test_an_over_poured_line_has_its_true_percent_and_may_be_left(version: Version) -> None:
    batch = weighing_begun(version)
    put(batch, 2, "12")
    now = weighing.standing(batch)
    assert now.of(2).over and not now.of(2).done
    assert now.percent(now.of(2)) == pytest.approx(D(12) / D(202) * 100)
    told = weighed.shift(now)
    assert any(moved.title == "Density" or moved.by for moved in told.moved)
    weighing.leave(batch.lines.get(position=2), seen=1)
    now = weighing.standing(batch)
    assert now.of(2).done and not now.of(2).over and weighing.raised(now) is None
    assert BatchEvent.objects.filter(note="glycerin left at 12 g, 2 g over").exists()
    formula = weighed.as_weighed(now)
    assert formula.adds_up and formula.percents[1] == pytest.approx(D(1200) / D(202))


def test_some_taken_out_is_a_negative_reading(version: Version) -> None:
    batch = weighing_begun(version)
    put(batch, 2, "12")
    put(batch, 2, "-2")
    assert weighing.standing(batch).of(2).done
    with pytest.raises(RecordError, match="cannot be taken out"):
        put(batch, 2, "-11")


def test_steps_are_taken_in_their_order_with_reasons(version: Version) -> None:
    batch = batches.begin(version)
    with pytest.raises(RecordError, match="it can become weighing or discarded"):
        batches.step(batch, "released", "looks well")
    batch = batches.step(batch, "weighing")
    with pytest.raises(RecordError, match=r"aqua is not done: 188\.2 g short"):
        batches.step(batch, "made")
    for line in batch.lines.all():
        put(batch, line.position, str(line.target))
    batch = batches.step(batch, "made")
    assert batch.best_before == batches._months_on(datetime.date.today(), 6)
    with pytest.raises(RecordError, match="Nothing is filled"):
        batches.step(batch, "filled")
    filling.fill(batch, container="jar", nominal="50 g", count=3)
    batch = batches.step(batch, "filled")
    for to in ("released", "held", "discarded"):
        with pytest.raises(RecordError, match="why"):
            batches.step(batch, to)
    batch = batches.step(batches.step(batch, "held", "pH not measured"), "released", "pH 5.2")
    assert [event.state for event in batch.events.all()][-3:] == ["filled", "held", "released"]
    batch = batches.step(batch, "discarded", "recalled")
    assert batches.may_go_to(batch) == ()
    assert Journal.objects.filter(kind="batch", subject=batch.code).count() >= 9


def test_held_goes_back_to_where_it_was(version: Version) -> None:
    batch = batches.step(weighing_begun(version), "held", "the scale drifts")
    assert batches.may_go_to(batch) == ("weighing", "discarded")
    assert batches.step(batch, "weighing", "calibrated").state == "weighing"


@pytest.mark.parametrize(
    ("made", "months", "until"),
    [((2026, 8, 31), 6, (2027, 2, 28)), ((2026, 1, 15), 24, (2028, 1, 15)), ((2026, 12, 1), 1, (2027, 1, 1))],
)
def test_months_end_within_their_month(made: Any, months: int, until: Any) -> None:
    assert batches._months_on(datetime.date(*made), months) == datetime.date(*until)


@pytest.fixture
def made(version: Version) -> Batch:
    return batches.step(all_weighed(version), "made")


def test_jars_are_numbered_on_and_weighed_once(made: Batch) -> None:
    first = filling.fill(made, container="jar", nominal="50 g", count=2)
    filling.fill(made, container="jar", nominal="30 mL", count=1)
    assert [jar.code[-2:] for jar in Jar.objects.order_by("code")] == ["01", "02", "03"]
    jar, key = first.jars.all()[0], uuid.uuid4()
    kept = filling.weigh_jar(jar, D("50.1"), key=key)
    assert filling.weigh_jar(jar, D("50.1"), key=key) == kept
    with pytest.raises(ConflictError, match="weighed already"):
        filling.weigh_jar(jar, D("50.3"), key=uuid.uuid4())
    filling.correct_jar(kept, D("50.3"), "read upside down", key=uuid.uuid4())
    assert filling.filled(made)[0].weights == (D("50.3"),) and FillWeight.objects.count() == 2


#: Nominal quantity and the least that a pack may hold within the tolerable negative error: 76/211/EEC, annex I, 2.4.
LADDER = [
    ("5 g", "4.5"), ("10 g", "9.1"), ("50 g", "45.5"), ("75 g", "70.5"), ("100 g", "95.5"), ("200 g", "191"),
    ("250 g", "241"), ("300 g", "291"), ("400 g", "388"), ("500 g", "485"), ("1000 g", "985"),
]  # fmt: skip


@pytest.mark.parametrize(("nominal", "least"), LADDER)
def test_a_jar_on_the_printed_edge_is_in_and_below_it_is_short(made: Batch, nominal: str, least: str) -> None:
    one = filling.fill(made, container="jar", nominal=nominal, count=2)
    for jar, grams in zip(one.jars.all(), (D(least), D(least) - D("0.1")), strict=True):
        filling.weigh_jar(jar, grams, key=uuid.uuid4())
    told = filling.filled(made)[0]
    assert told.verdict is not None and not told.kept  # the mean is below what is printed
    assert told.verdict.figures["short"].value == 1


def test_the_mean_must_reach_what_is_printed(made: Batch) -> None:
    one = filling.fill(made, container="jar", nominal="50 g", count=3)
    for jar, grams in zip(one.jars.all(), ("49.0", "51.2", "50.0"), strict=True):
        filling.weigh_jar(jar, D(grams), key=uuid.uuid4())
    assert filling.filled(made)[0].kept
    assert Fill.objects.get().grams == 50


def test_yield_and_sample_are_written_down(made: Batch) -> None:
    held = filling.set_yield(made, bulk=D("196.4"), retained=D(20))
    assert (held.bulk_grams, held.retained_grams) == (D("196.4"), D(20))
    with pytest.raises(RecordError, match="more than the whole"):
        filling.set_yield(made, bulk=D(10), retained=D(20))
    with pytest.raises(RecordError, match="mass in grams"):
        filling.set_yield(made, bulk=D(-1), retained=None)


@pytest.mark.django_db(transaction=True)
def test_many_at_once_lose_nothing_and_double_nothing(tmp_path: Path) -> None:
    if connection.vendor != "sqlite":
        prove()
        return
    # The tests' own database is in memory; what lasts is a file.
    environment = {**os.environ, "LEVIGATE_DATA": str(tmp_path), "DJANGO_SETTINGS_MODULE": "levigate.web.settings"}
    command = [sys.executable, "-m", "tests.records.at_once"]
    ran = subprocess.run(command, env=environment, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stderr
    assert (tmp_path / "workshop.sqlite3").exists()
