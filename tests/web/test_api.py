"""The API: what is on record, as JSON; trouble in a sentence."""

from __future__ import annotations

import datetime
import uuid
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from levigate.records import formulas as records
from levigate.records import tokens
from levigate.records.models import Batch, BatchLine, Draft, Formula, Lot, Weighing
from levigate.web.formulas.reading import page_of
from tests.records.texts import PLAIN, with_glycerin


@pytest.fixture
def script(db: None) -> Client:
    return Client(HTTP_HOST="127.0.0.1", HTTP_AUTHORIZATION="Bearer token-of-the-tests")


@pytest.fixture
def lotion(db: None) -> Formula:
    made = records.create(PLAIN)
    records.save(made, seen=0, knew=None, note_text="first")
    records.edit(made, with_glycerin("6"), "glycerin to 6 %", seen=0)
    return made


def a_batch(formula: Formula) -> Batch:
    version = formula.versions.get(number=1)
    batch = Batch.objects.create(code="26-0001", version=version, makes="200 g", scale=Decimal("0.1"), state="weighing")
    BatchLine.objects.create(
        batch=batch, position=1, phase="A", material="glycerin", percent=5, planned=Decimal("10.0"), target=Decimal(10)
    )
    return batch


def read(script: Client, path: str, **query: Any) -> Any:
    answer = script.get(f"/api/{path}", query)
    assert answer.status_code == 200, answer.content
    return answer.json()


def test_formulas_versions_and_drafts_are_read(script: Client, lotion: Formula) -> None:
    (entry,) = read(script, "formulas")
    assert entry["slug"] == lotion.slug and entry["version"] == 1 and entry["changed"] is True
    found = read(script, f"formulas/{lotion.slug}")
    assert found["text"] == with_glycerin("6") and [one["note"] for one in found["versions"]] == ["first"]
    version = read(script, f"formulas/{lotion.slug}/versions/1")
    assert version["text"] == PLAIN and version["formula"]["total_percent"] == 100


def test_reading_writes_nothing(script: Client, lotion: Formula) -> None:
    Draft.objects.all().delete()
    for path in ("", "/versions/1", "/figures", "/findings"):
        read(script, f"formulas/{lotion.slug}{path}")
    assert not Draft.objects.exists()
    assert read(script, f"formulas/{lotion.slug}")["text"] == PLAIN


def test_figures_and_findings_are_those_of_the_page(script: Client, lotion: Formula) -> None:
    page = page_of(lotion, "0.1")
    found = read(script, f"formulas/{lotion.slug}/figures")
    assert found["version"] is None and list(found["figures"]) == [figure.name for figure in page.figures]
    density = next(figure for figure in page.figures if figure.name == "density")
    assert found["figures"]["density"]["value"] == density.value
    told = read(script, f"formulas/{lotion.slug}/findings")
    assert [one["title"] for one in told["findings"]] == [one.title for one in page.review.findings]
    first = read(script, f"formulas/{lotion.slug}/figures", version=1)
    assert first["version"] == 1 and first["figures"]["density"]["value"] != density.value


def test_batches_and_lots_are_read(script: Client, lotion: Formula) -> None:
    batch = a_batch(lotion)
    assert [one["code"] for one in read(script, "batches")] == [batch.code]
    assert read(script, "batches", state="held") == []
    (line,) = read(script, f"batches/{batch.code}")["lines"]
    assert line["target"] == "10" and line["weighings"] == []
    lot = Lot.objects.create(material="glycerin", number="G1", received=datetime.date(2026, 1, 5), grams=Decimal(500))
    assert read(script, "lots", material="Glycerin")[0]["grams"] == "500"
    assert read(script, f"lots/{lot.pk}")["number"] == "G1"
    assert read(script, "lots", material="aqua") == []


def send(script: Client, batch: Batch, position: int = 1, **sent: Any) -> Any:
    path = f"/api/batches/{batch.code}/lines/{position}/weighings"
    return script.post(path, sent, content_type="application/json")


def test_a_weighing_is_kept_once(script: Client, lotion: Formula) -> None:
    batch, key = a_batch(lotion), str(uuid.uuid4())
    first = send(script, batch, key=key, grams=9.7, who="scale")
    again = send(script, batch, key=key, grams="9.7")
    assert (first.status_code, again.status_code) == (201, 200) and first.json() == again.json()
    (line,) = read(script, f"batches/{batch.code}")["lines"]
    assert [(row["grams"], row["who"]) for row in line["weighings"]] == [("9.7", "scale")]
    assert send(script, batch, key=key, grams="9.8").status_code == 409
    assert send(script, batch, key=str(uuid.uuid4()), grams="0.3", seen=0).status_code == 409
    assert send(script, batch, key=str(uuid.uuid4()), grams="0.3", seen=1).status_code == 201
    assert Weighing.objects.count() == 2


def test_a_weighing_is_refused_with_a_sentence(script: Client, lotion: Formula) -> None:
    batch, key = a_batch(lotion), str(uuid.uuid4())
    for sent in ({"grams": 1, "reading": 1}, {}, {"grams": 0}, {"grams": "lots"}, {"grams": 1, "lot": 9}, {"luck": 1}):
        answer = send(script, batch, key=key, **sent)
        assert answer.status_code == 422 and isinstance(answer.json()["detail"], str)
    assert send(script, batch, position=9, key=key, grams=1).status_code == 404
    path = f"/api/batches/{batch.code}/lines/1/weighings"
    assert script.post(path, "{", content_type="application/json").status_code == 400
    Batch.objects.update(state="released")
    assert send(script, batch, key=key, grams=1).status_code == 422
    assert not Weighing.objects.exists()


def test_a_key_that_only_reads_writes_nothing(lotion: Formula) -> None:
    batch = a_batch(lotion)
    for writes, status in ((False, 401), (True, 201)):
        _, key = tokens.make("scale", writes=writes)
        script = Client(HTTP_HOST="127.0.0.1", HTTP_AUTHORIZATION=f"Bearer {key}")
        assert send(script, batch, key=str(uuid.uuid4()), grams=1).status_code == status


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("formulas/nothing", 404), ("formulas/nothing/figures", 404), ("batches/26-9", 404), ("lots/9", 404),
        ("lots/99999999999999999999", 422), ("batches?state=lost", 422), ("formulas?limit=0", 422),
        ("formulas?offset=99999999999999999999", 422), ("nothing-here", 404), ("lots?material=%00", 422),
    ],
)  # fmt: skip
def test_trouble_is_a_sentence(script: Client, path: str, status: int) -> None:
    answer = script.get(f"/api/{path}")
    assert answer.status_code == status
    if path != "nothing-here":
        assert isinstance(answer.json()["detail"], str)


def test_the_page_tells_of_every_route(client: Client) -> None:
    page = client.get("/api/docs").content.decode()
    schema = client.get("/api/openapi.json").json()
    assert schema["paths"] and all(path in page for path in schema["paths"])
    assert '<script src="http' not in page
