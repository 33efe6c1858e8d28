"""Pages of the bench: plan, weigh, fill, decide; page, part and plain form; nothing typed is lost."""

from __future__ import annotations

import datetime
import re
import uuid
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from levigate.demo import examples
from levigate.formula.treatment import prompts
from levigate.records import batches, filling, formulas, weighing
from levigate.records.models import Batch, FillWeight, Formula, Jar, Lot, Version, Weighing
from tests.records.texts import PLAIN, with_glycerin

PART = {"HX-Request": "true"}
D = Decimal
HOT = PLAIN.replace('how = "stir"', 'how = "heat to 75 °C, hold 20 min"').replace('"200 g"', '"4 x 50 g"')


@pytest.fixture
def formula(db: None) -> Formula:
    made = formulas.create(HOT)
    formulas.save(made, seen=0, knew=None)
    return made


@pytest.fixture
def version(formula: Formula) -> Version:
    latest = formula.latest
    assert latest is not None
    return latest


@pytest.fixture
def batch(version: Version) -> Batch:
    return batches.step(batches.begin(version), "weighing")


@pytest.fixture
def made(batch: Batch) -> Batch:
    for line in batch.lines.all():
        weighing.keep(line, grams=line.target, key=uuid.uuid4())
    return batches.step(batch, "made")


def put(client: Client, batch: Batch, line: int, reading: str, part: bool = False, **words: Any) -> Any:
    now = weighing.standing(Batch.objects.get(pk=batch.pk))
    words = {"line": line, "reading": reading, "key": uuid.uuid4(), "seen": now.seen(now.of(line)), **words}
    return client.post(f"/bench/{batch.code}/weigh/", words, headers=PART if part else {})


def test_an_empty_bench_teaches_and_a_full_one_lists_by_state(client: Client) -> None:
    assert b"Nothing on the bench" in client.get("/bench/").content
    assert b"There is no formula yet" in client.get("/bench/new/").content
    made = formulas.create(HOT)
    version = formulas.save(made, seen=0, knew=None)
    batches.step(batches.begin(version), "weighing")
    batches.step(batches.begin(version), "discarded", "changed my mind")
    page = client.get("/bench/").content.decode()
    assert "Being weighed" in page and "Done with" in page and "Planned" not in page
    assert b"Tideline lotion" in client.get("/bench/new/").content


def test_a_draft_that_is_not_saved_is_offered_to_be_saved_first(client: Client) -> None:
    made = formulas.create(HOT)
    page = client.get(f"/bench/new/?formula={made.slug}").content
    assert b"Not saved yet" in page and b"To weigh" not in page
    refused = client.post("/bench/new/", {"formula": made.slug, "makes": "200 g"})
    assert refused.status_code == 422 and b"Save a version first" in refused.content
    client.post("/bench/new/save/", {"formula": made.slug, "seen": 0, "knew": ""})
    page = client.get(f"/bench/new/?formula={made.slug}").content
    assert b"To weigh" in page and b"not saved" not in page
    formulas.edit(made, with_glycerin("7"), "glycerin to 7 %", seen=0)
    page = client.get(f"/bench/new/?formula={made.slug}").content
    assert b"The draft is not saved" in page and b"glycerin to 7 %" in page and b"188.2 g" in page


def test_a_plan_follows_what_is_asked_and_says_what_cannot_be(client: Client, formula: Formula) -> None:
    where = f"/bench/new/?formula={formula.slug}"
    part = client.get(f"{where}&makes=500 g&loss=4", headers=PART).content.decode()
    assert part.lstrip().startswith('<div id="plan"') and "490.1 g" in part and "520.8 g" in part
    wrong = client.get(f"{where}&makes=lots", headers=PART).content.decode()
    assert "is not an amount" in wrong or "lots" in wrong
    refused = client.post("/bench/new/", {"formula": formula.slug, "makes": "lots", "note": "for <b>Ran</b>"})
    assert refused.status_code == 422 and b"for &lt;b&gt;Ran" in refused.content and not Batch.objects.exists()


def test_lots_are_offered_first_to_expire_and_a_shortage_is_told(client: Client, formula: Formula) -> None:
    today = datetime.date.today()
    for number, days in (("LATE", 300), ("SOON", 30), ("PAST", -1)):
        Lot.objects.create(
            material="Glycerin", number=number, received=today, grams=40, best_before=today + datetime.timedelta(days)
        )
    page = client.get(f"/bench/new/?formula={formula.slug}").content.decode()
    assert re.search(r"<option[^>]*selected[^>]*>SOON", page) and "Not enough at hand" in page
    late = Lot.objects.get(number="LATE")
    answer = client.post("/bench/new/", {"formula": formula.slug, "lot-1": late.pk, "tare": "running"})
    made = Batch.objects.get()
    assert answer["Location"] == f"/bench/{made.code}/" and made.tare == "running" and made.makes == "4 x 50 g"
    assert [line.lot for line in made.lines.all()] == [None, late, None]


def test_a_batch_is_weighed_with_plain_forms_alone(client: Client, version: Version) -> None:
    batch = batches.begin(version)
    assert client.get(f"/bench/{batch.code}/weigh/").status_code == 302  # not begun
    answer = client.post(f"/bench/{batch.code}/step/", {"to": "weighing"})
    where = answer["Location"]
    for _ in range(3):
        page = client.get(where).content.decode()
        line = int(re.search(r'name="line" value="(\d+)"', page)[1])  # type: ignore[index]
        key = re.search(r'name="key" value="([^"]+)"', page)[1]  # type: ignore[index]
        grams = batch.lines.get(position=line).target
        answer = client.post(where, {"line": line, "key": key, "seen": 0, "reading": f"{grams} g".replace(".", ",")})
        where = answer["Location"]
    assert b"All is weighed" in client.get(where).content
    client.post(f"/bench/{batch.code}/step/", {"to": "made"})
    assert Batch.objects.get().state == "made" and Weighing.objects.count() == 3


def test_a_line_asks_for_what_lacks_and_shows_prompts(client: Client, batch: Batch) -> None:
    page = client.get(f"/bench/{batch.code}/weigh/").content.decode()
    assert "188.2" in page and "hold 20 min" in page and 'data-timer="1200.00"' in page
    part = put(client, batch, 1, "100", part=True)
    assert "88.2" in part.content.decode() and part["HX-Push-Url"].endswith("?line=1")
    assert "in already" in part.content.decode()
    after = put(client, batch, 1, "88.2", part=True)
    assert after["HX-Push-Url"].endswith("?line=2")
    client.post(f"/bench/{batch.code}/remark/", {"text": "Phase A: 74 °C <i>reached</i>"})
    page = client.get(f"/bench/{batch.code}/").content.decode()
    assert "74 °C &lt;i&gt;reached" in page


def test_an_over_poured_line_has_its_percent_and_three_offers(client: Client, batch: Batch) -> None:
    part = put(client, batch, 2, "12", part=True).content.decode()
    assert "2.0 g over: it is now 5.94 %, not 5 %" in " ".join(part.split())
    assert "Leave it" in part and "the batch becomes 240.0 g" in part and "Take some out" in part
    client.post(f"/bench/{batch.code}/weigh/raise/", {"line": 2, "seen": 1})
    assert sum(line.target for line in batch.lines.all()) == 240
    put(client, batch, 3, "3")
    client.post(f"/bench/{batch.code}/weigh/leave/", {"line": 3, "seen": 1})
    put(client, batch, 1, "226.5")
    put(client, batch, 1, "0,7", take="out")
    now = weighing.standing(Batch.objects.get(pk=batch.pk))
    assert now.done and now.of(1).grams == D("225.8") and now.of(3).left


def test_what_is_no_mass_is_said_and_stays_in_the_field(client: Client, batch: Batch) -> None:
    for reading in ("", "lots", "1e5", "--3", "0"):
        answer = put(client, batch, 1, reading, part=True)
        assert answer.status_code == 422 and b'id="weigh"' in answer.content
        assert f'value="{reading}"'.encode() in answer.content
    assert not Weighing.objects.exists()


def test_a_device_that_is_behind_is_told_and_may_keep_both(client: Client, batch: Batch) -> None:
    mark = weighing.standing(batch).mark
    now = f"/bench/{batch.code}/weigh/now/?line=2&mark={mark}"
    assert client.get(now).status_code == 204
    put(client, batch, 2, "10")
    told = client.get(now).content.decode()
    assert "Another device kept:" in told and "glycerin 10.0 g" in told
    behind = put(client, batch, 2, "9.9", seen=0)
    page = behind.content.decode()
    assert behind.status_code == 409 and "kept 10 g of glycerin meanwhile" in page and 'value="9.9"' in page
    key = re.search(r'name="key" value="([^"]+)" data', page)[1]  # type: ignore[index]
    assert put(client, batch, 2, "9.9", key=key).status_code == 302
    assert weighing.standing(batch).of(2).grams == D("19.9")


def test_the_switch_between_tared_and_running(client: Client, batch: Batch) -> None:
    client.post(f"/bench/{batch.code}/weigh/tare/", {"tare": "running", "line": 1})
    assert put(client, batch, 1, "188.2", tare="each").status_code == 409  # a page from before the switch
    put(client, batch, 1, "188.2", tare="running")
    page = client.get(f"/bench/{batch.code}/weigh/").content.decode()
    assert re.search(r'class="need">198\.2', page) and "in it now 188.2 g" in page
    put(client, batch, 2, "198.2")
    assert weighing.standing(batch).of(2).done


def test_a_reading_is_put_right_with_a_reason(client: Client, batch: Batch) -> None:
    put(client, batch, 2, "100")
    row = Weighing.objects.get()
    where, key = f"/bench/{batch.code}/weighing/{row.pk}/", uuid.uuid4()
    assert b"100.0 g" in client.get(where).content
    no_reason = client.post(where, {"grams": "10", "why": "", "key": key})
    assert no_reason.status_code == 422 and b'value="10"' in no_reason.content and b"Say why" in no_reason.content
    client.post(where, {"grams": "10", "why": "a nought too many", "key": key})
    assert weighing.standing(batch).of(2).grams == 10
    assert "a nought too many" in client.get(f"/bench/{batch.code}/record/").content.decode()


def test_jars_get_codes_weights_and_a_verdict(client: Client, made: Batch) -> None:
    where = f"/bench/{made.code}/fill/"
    client.post(f"{where}yield/", {"bulk": "197,5", "retained": "20"})
    wrong = client.post(where, {"container": "jar <b>50 mL</b>", "nominal": "fifty", "count": 3})
    assert wrong.status_code == 422 and b"jar &lt;b&gt;50 mL" in wrong.content
    client.post(where, {"container": "jar", "nominal": "50 g", "count": 3, "tare": "31.2"})
    page = client.get(where).content.decode()
    assert "27.5 g" in page and f"{made.code}-01" in page  # 197.5 - 20 - 150
    for jar in Jar.objects.all():
        words = {"jar": jar.code, "reading": "81,3", "key": uuid.uuid4()}
        assert client.post(f"{where}jar/", words, headers=PART).status_code == 200
    page = client.get(where).content.decode()
    assert "Within the tolerances" in page and "50.1 g" in page
    row = FillWeight.objects.order_by("pk")[0]
    client.post(f"{where}weight/{row.pk}/", {"grams": "40", "why": "read upside down", "key": uuid.uuid4()})
    assert "Outside the tolerances" in client.get(where).content.decode()


def test_a_decision_asks_for_its_reason(client: Client, made: Batch) -> None:
    filling.fill(made, container="jar", nominal="50 g", count=1)
    client.post(f"/bench/{made.code}/step/", {"to": "filled"})
    where = f"/bench/{made.code}/step/"
    assert client.post(where, {"to": "released", "why": " "}).status_code == 422
    assert client.post(where, {"to": "planned"}).status_code == 422
    client.post(where, {"to": "held", "why": "the pH meter is flat"})
    assert b"Held" in client.get("/bench/").content
    client.post(where, {"to": "released", "why": "pH 5.2"})
    assert Batch.objects.get().state == "released"


def test_the_record_is_a_page_and_a_pdf(client: Client, made: Batch) -> None:
    filling.fill(made, container="jar #x[*b*]", nominal="50 g", count=2)
    page = client.get(f"/bench/{made.code}/record/").content.decode()
    assert "188.2" in page and "all weighed and made" in page
    pdf = client.get(f"/bench/{made.code}/record.pdf")
    assert pdf["Content-Type"] == "application/pdf" and pdf.content.startswith(b"%PDF") and len(pdf.content) > 5000


@pytest.mark.parametrize("family", examples())
def test_every_demo_formula_is_planned_weighed_and_shown(client: Client, family: str) -> None:
    made = formulas.create(examples()[family].read_text(encoding="utf-8"))
    one = batches.step(batches.begin(formulas.save(made, seen=0, knew=None)), "weighing")
    for line in one.lines.all():
        assert client.get(f"/bench/{one.code}/weigh/?line={line.position}").status_code == 200
        put(client, one, line.position, str(line.target))
    assert weighing.standing(one).done
    for where in ("", "weigh/", "record/"):
        assert client.get(f"/bench/{one.code}/{where}").status_code == 200


@pytest.mark.parametrize("where", ["", "weigh/", "fill/", "record/", "record.pdf", "weighing/7/"])
def test_a_batch_that_is_not_there_is_not_found(client: Client, where: str) -> None:
    assert client.get(f"/bench/26-9999/{where}").status_code == 404


@pytest.mark.parametrize(
    "where", ["step", "remark", "weigh/leave", "weigh/raise", "weigh/tare", "fill/yield", "fill/jar"]
)
def test_looking_changes_nothing(client: Client, batch: Batch, where: str) -> None:
    assert client.get(f"/bench/{batch.code}/{where}/").status_code == 405


@pytest.mark.parametrize(
    ("how", "words"),
    [
        ("heat to 75 °C, hold 20 min", [("heat to 75 °C", 348.15, None), ("hold 20 min", None, 1200.0)]),
        ("melt at 75 °C and hold 1 hour; cool below 40 C", [("melt at 75 °C", 348.15, None),
                                                            ("hold 1 hour", None, 3600.0),
                                                            ("cool below 40 C", 313.15, None)]),
        ("cold: wait 30 min", [("wait 30 min", None, 1800.0)]),
        ("stir", []),
        ("", []),
    ],
)  # fmt: skip
def test_prompts_are_the_clauses_that_ask_for_thermometer_or_clock(how: str, words: list[Any]) -> None:
    assert [(one.words, one.temperature, one.time) for one in prompts(how)] == words
