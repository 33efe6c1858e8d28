"""Find anything: as one types, as a page; a jar traced back, a lot traced on."""

from __future__ import annotations

import pytest
from django.test import Client

from levigate.records.models import Lot
from tests.records.workshop import a_batch, a_lot, some_jars, weigh

PART = {"HX-Request": "true"}


@pytest.fixture
def lot(db: None) -> Lot:
    lot = a_lot("G-207", supplier="Holm")
    batch = a_batch("TL-0001")
    weigh(batch, 1, "10.1", lot)
    some_jars(batch, "TL-0001-1", "TL-0001-2")
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


def test_a_jar_of_which_a_line_has_no_lot_says_so(client: Client) -> None:
    batch = a_batch("TL-0001")
    weigh(batch, 1, "10.1")
    some_jars(batch, "TL-0001-1")
    back = client.get("/find/jar/", {"code": "TL-0001-1"}).content.decode()
    assert "no lot was written down" in back and "10.1 g" in back
