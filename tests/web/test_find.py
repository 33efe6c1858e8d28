"""Find anything: as one types, as a page; a jar traced back, a lot traced on."""

from __future__ import annotations

import datetime
import uuid
from decimal import Decimal

import pytest
from django.test import Client

from levigate.records import formulas, lots
from levigate.records.models import Batch, BatchLine, Fill, Jar, Lot, Weighing
from tests.records.texts import PLAIN

PART = {"HX-Request": "true"}


@pytest.fixture
def lot(db: None) -> Lot:
    version = formulas.save(formulas.create(PLAIN), seen=0, knew=None, note_text="first")
    lot = lots.receive("glycerin", "G-207", grams=Decimal(500), received=datetime.date(2026, 3, 1), supplier="Holm")
    batch = Batch.objects.create(code="TL-0001", version=version, makes="200 g", scale=Decimal("0.1"))
    line = BatchLine.objects.create(
        batch=batch, position=1, phase="A", material="glycerin", percent=5, planned=10, target=10, lot=lot
    )
    Weighing.objects.create(line=line, lot=lot, grams=Decimal("10.1"), key=uuid.uuid4())
    fill = Fill.objects.create(batch=batch, container="jar", nominal="50 g", grams=50)
    for code in ("TL-0001-1", "TL-0001-2"):
        Jar.objects.create(fill=fill, code=code)
    return lot


def test_what_is_found_as_one_types_is_a_list_of_options(client: Client, lot: Lot) -> None:
    part = client.get("/find", {"q": "glycer"}, headers=PART).content.decode()
    assert part.lstrip().startswith("<a role=") and 'href="/shelf/glycerin/"' in part
    assert f'href="/shelf/lots/{lot.pk}/"' in part
    assert client.get("/find", {"q": ""}, headers=PART).content.strip() == b""
    assert "Nothing goes by" in client.get("/find", {"q": "zzzqqq"}, headers=PART).content.decode()


def test_without_scripts_it_is_a_page(client: Client, lot: Lot) -> None:
    text = client.get("/find", {"q": "tideline"}).content.decode()
    assert 'href="/formulas/tideline-lotion/"' in text and "TL-0001" in text
    assert "What are you looking for?" in client.get("/find").content.decode()
    odd = client.get("/find", {"q": "<script>alert(1)</script>"}).content.decode()
    assert "<script>alert" not in odd and "&lt;script&gt;alert" in odd


def test_every_hit_leads_to_a_page(client: Client, lot: Lot) -> None:
    for typed in ("glycerin", "tideline", "TL-0001", "TL-0001-2", "G-207"):
        for hit in client.get("/find", {"q": typed}).context["hits"]:
            assert client.get(hit.address).status_code == 200, hit.address


def test_a_jar_leads_back_to_its_lots_and_a_lot_on_to_its_jars(client: Client, lot: Lot) -> None:
    back = client.get("/find/jar/", {"code": "tl-0001-2"}).content.decode()
    assert f'href="/shelf/lots/{lot.pk}/"' in back and "10.1 g" in back and "Holm" in back
    on = client.get(f"/shelf/lots/{lot.pk}/").content.decode()
    assert "TL-0001-1" in on and "TL-0001-2" in on and "489.9 g" in on
    assert client.get("/find/jar/", {"code": "nothing"}).status_code == 422
