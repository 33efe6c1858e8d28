"""Pages of the shelf: list, entry, forms, lots; names with markup come out as text."""

from __future__ import annotations

import datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.conf import LazySettings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from levigate.records import formulas, lots, shelf
from levigate.records.models import Lot, Measured, OwnMaterial
from levigate.shelf import record
from levigate.shelf.catalogue import catalogue
from levigate.shelf.record import PROPERTIES
from levigate.web.shelf.words import GRADES, TITLES
from tests.records.texts import PLAIN

PART = {"HX-Request": "true"}
DAY = datetime.date(2026, 3, 1)
MARKUP = '<b onclick="x()">kelp</b> & "weed"'


def page(client: Client, name: str, **words: Any) -> str:
    answer = client.get(reverse(name, kwargs=words))
    assert answer.status_code == 200
    return answer.content.decode()


def received(material: str = "glycerin", number: str = "G-207", grams: str = "500", **rest: Any) -> Lot:
    return lots.receive(material, number, grams=Decimal(grams), received=DAY, **rest)


def test_an_empty_shelf_teaches(client: Client) -> None:
    text = client.get("/shelf/").content.decode()
    assert "Nothing of yours on the shelf yet" in text and f"{len(catalogue())} materials" in text


@pytest.mark.parametrize(
    ("typed", "key"),
    [("gly", "glycerin"), ("56-81-5", "glycerin"), ("Glycerol", "glycerin"), ("azelaec acd", "azelaic acid")],
)
def test_a_material_is_found_as_one_types_and_by_a_plain_form(client: Client, typed: str, key: str) -> None:
    whole = client.get("/shelf/", {"q": typed}).content.decode()
    part = client.get("/shelf/", {"q": typed}, headers=PART).content.decode()
    assert part.lstrip().startswith('<div id="list"') and "<html" not in part and "<html" in whole
    for text in (whole, part):
        assert f'href="{reverse("material", kwargs={"key": key})}"' in text


def test_the_list_is_picked_by_kind_and_by_purpose_and_shows_what_is_in_stock_first(client: Client) -> None:
    received("sorbitol")
    text = client.get("/shelf/", {"kind": "humectant", "does": "humectant"}).content.decode()
    first = text.index('<th scope="row">')
    assert "sorbitol" in text[first : first + 200] and "500 g" in text
    assert "squalane" not in text and "glycerin" in text
    assert "both of that kind and for that purpose" in client.get("/shelf/?kind=oil&does=preservative").content.decode()
    assert "does=preservative" in client.get("/shelf/?q=preservat").content.decode()


def test_what_is_past_its_date_is_not_in_stock(client: Client) -> None:
    received(best_before=DAY + datetime.timedelta(1), grams="300")
    text = client.get("/shelf/").content.decode()
    assert "300 g past its date" in text


def test_what_nothing_goes_by_can_be_put_on_the_shelf(client: Client) -> None:
    text = client.get("/shelf/", {"q": "zzzqqq"}).content.decode()
    assert "Nothing goes by that" in text and "/shelf/new/?name=zzzqqq" in text


def test_a_name_in_the_address_leads_to_the_page(client: Client) -> None:
    assert client.get("/shelf/", {"name": "Glycerol"})["Location"] == "/shelf/glycerin/"
    assert client.get("/shelf/Glycerol/")["Location"] == "/shelf/glycerin/"
    assert client.get("/shelf/zzzqqq/").status_code == 404
    assert client.get("/shelf/", {"name": "zzzqqq"}).status_code == 200


@pytest.mark.parametrize("key", ["new", "lots", "names", "bring", ".", "..", "a/b", "~2F", "50 % of it?", "#1", "ä&ö"])
def test_any_name_has_an_address(client: Client, key: str) -> None:
    shelf.save_material(key, 'inci = "Odd"')
    address = reverse("material", kwargs={"key": key})
    assert f"<h1>{key[:1].upper()}".encode() in client.get(address).content.replace(b"&amp;", b"&")
    assert client.get(address).context["page"].key == key


@pytest.mark.parametrize("key", sorted(catalogue())[::23])
def test_entries_of_the_catalogue_open_and_say_all_that_is_known(client: Client, key: str) -> None:
    text, record = page(client, "material", key=key), catalogue()[key]
    assert text.count('class="grade') >= len(record.density) + len(record.usual)
    assert all(
        f'id="source-{mark}"' in text
        for mark, _ in client.get(reverse("material", kwargs={"key": key})).context["page"].entry.sources
    )


def test_an_entry_says_values_disagreements_cautions_law_flow_and_relatives(client: Client) -> None:
    azelaic = page(client, "material", key="azelaic acid")
    for said in (
        "123-99-9",
        "4.55, 5.333 at 25 °C",
        "differ by up to 0.067",
        "dust mask",
        "azelaic acid micronised",
        "AqSolDB",
    ):
        assert said in azelaic
    phenoxy = page(client, "material", key="phenoxyethanol")
    assert "Verify against the current text of the law" in phenoxy and "1223/2009" in phenoxy
    carbomer = page(client, "material", key="carbomer")
    assert "<polygon" in carbomer and "How it flows" in carbomer


def test_a_measured_value_outranks_and_is_corrected(client: Client) -> None:
    where = reverse("material-measure", kwargs={"key": "glycerin"})
    words = {"property": "density", "value": "1.249 g/mL", "how": "syringe", "on": "2026-03-01"}
    part = client.post(where, words, headers=PART).content.decode()
    assert part.lstrip().startswith('<article id="material"') and "outranks every other value" in part
    assert part.index("1.249 g/mL") < part.index("1.26")
    assert client.post(where, {**words, "value": "1.4 g/mL"}).status_code == 302
    wrong = Measured.objects.get(value="1.4 g/mL")
    right = reverse("material-correct", kwargs={"key": "glycerin", "number": wrong.pk})
    assert client.post(right, {"value": "1.25 g/mL", "why": ""}).status_code == 422
    client.post(right, {"value": "1.25 g/mL", "why": "misread"})
    text = page(client, "material", key="glycerin")
    assert "<del>1.4 g/mL</del>" in text and "misread" in text
    assert client.post(right, {"value": "1.26 g/mL", "why": "again"}).status_code == 409


@pytest.mark.parametrize(
    "words",
    [
        {"property": "density", "value": ""},
        {"property": "density", "value": "1.2 parsec"},
        {"property": "colour", "value": "1"},
        {"property": "density", "value": "1.2 g/mL", "on": "soon"},
        {"property": "density", "value": "1.2 g/mL", "on": "2999-01-01"},
        {"property": "density", "value": "1.2 g/mL", "lot": "77"},
    ],
)
def test_what_cannot_have_been_measured_is_said(client: Client, words: dict[str, str]) -> None:
    answer = client.post(reverse("material-measure", kwargs={"key": "glycerin"}), words, headers=PART)
    assert answer.status_code == 422 and answer["HX-Retarget"] == "#trouble"
    assert not Measured.objects.exists()


def test_a_new_material_by_its_form_and_by_its_text(client: Client) -> None:
    words = {
        "name": MARKUP,
        "inci": MARKUP,
        "kind": "extract",
        "form": "gel",
        "affinity": "water",
        "density": "1.02 g/mL",
    }
    answer = client.post("/shelf/new/", words)
    text = client.get(answer["Location"]).content.decode()
    assert "<b onclick" not in text and "&lt;b onclick" in text and "1.02 g/mL" in text
    for where in ("/shelf/", "/shelf/?q=kelp", "/find?q=kelp"):
        assert "<b onclick" not in client.get(where).content.decode()
    assert (
        client.post("/shelf/new/", {"name": "wrack", "text": 'kind = "oil"'}, headers=PART)["HX-Redirect"]
        == "/shelf/wrack/"
    )
    for wrong in (
        {"name": ""},
        {"name": "Glycerol"},
        {"name": "x", "text": "[["},
        {"name": "x", "density": "1 parsec"},
    ):
        assert client.post("/shelf/new/", wrong).status_code == 422
    assert OwnMaterial.objects.count() == 2


def test_a_text_is_saved_over_the_catalogue_and_the_old_ones_stay(client: Client) -> None:
    where = reverse("material-text", kwargs={"key": "glycerin"})
    client.post(where, {"text": 'price = "4 EUR/kg"', "why": "first bag"})
    client.post(where, {"text": 'price = "5 EUR/kg"', "why": "dearer"})
    assert "5 EUR/kg" in page(client, "material", key="glycerin")
    text = page(client, "material-text", key="glycerin")
    assert "first bag" in text and "4 EUR/kg" in text
    assert client.post(where, {"text": "density = 3 parsec"}).status_code == 422


def test_a_table_comes_in_whole_or_not_at_all(client: Client) -> None:
    def send(table: bytes, **words: str) -> Any:
        return client.post("/shelf/bring/", {"file": SimpleUploadedFile("mine.csv", table), **words})

    assert send(b"name,density\nkelp gel,1.02 g/mL\nwrack,1 parsec\n").status_code == 422
    assert not OwnMaterial.objects.exists()
    assert send(b"name,density\nkelp gel,1.02 g/mL\nwrack,1.1 g/mL\n").status_code == 302
    assert "2 materials brought in" in client.get("/shelf/").content.decode()
    assert send(b"name,density\nwrack,1.2 g/mL\n").status_code == 422
    assert send(b"name,density\nwrack,1.2 g/mL\n", replace="yes").status_code == 302
    assert client.post("/shelf/bring/", {}).status_code == 422


def test_notes_and_putting_away(client: Client) -> None:
    shelf.save_material("kelp gel", "")
    client.post(reverse("material-note", kwargs={"key": "kelp gel"}), {"note": MARKUP})
    assert "&lt;b onclick" in page(client, "material", key="kelp gel")
    client.post(reverse("material-put-away", kwargs={"key": "kelp gel"}), {"do": "away"})
    assert "kelp gel" not in client.get("/shelf/").content.decode()
    assert "kelp gel" in client.get("/shelf/?q=kelp gel").content.decode()


def test_formulas_that_use_it_are_listed_and_it_is_put_into_one(client: Client) -> None:
    made = formulas.create(PLAIN)
    formulas.save(made, seen=0, knew=None, note_text="first")
    assert "Tideline lotion" in page(client, "material", key="glycerin")
    answer = client.post(reverse("material-use", kwargs={"key": "panthenol"}), {"formula": made.slug, "percent": "1,5"})
    assert answer["Location"] == f"/formulas/{made.slug}/" and "panthenol" in formulas.draft_of(made).text
    text = page(client, "material", key="panthenol")
    assert "1.5" in text and "in the draft" in text
    assert f'href="{reverse("material", kwargs={"key": "panthenol"})}"' in page(client, "formula", slug=made.slug)
    assert (
        client.post(
            reverse("material-use", kwargs={"key": "urea"}), {"formula": made.slug, "percent": "no"}
        ).status_code
        == 422
    )


LOT = {"number": "G-207", "grams": "1 kg", "received": "2026-03-01", "best_before": "2026-09-01", "supplier": MARKUP}


def test_a_lot_is_received_amended_corrected_closed(client: Client) -> None:
    answer = client.post(reverse("lot-receive", kwargs={"key": "glycerin"}), LOT)
    (lot,) = Lot.objects.all()
    assert answer["Location"] == reverse("lot", kwargs={"number": lot.pk}) and lot.grams == 1000
    text = client.get(answer["Location"]).content.decode()
    assert "<b onclick" not in text and "&lt;b onclick" in text
    words = {"number": lot.pk}
    client.post(reverse("lot-amend", kwargs=words), {"supplier": "Holm", "grams": "1000", "why": "the bag says so"})
    client.post(reverse("lot-stock", kwargs=words), {"do": "take", "grams": "30", "why": "spilt"})
    part = client.post(
        reverse("lot-stock", kwargs=words), {"do": "count", "grams": "950,5", "why": "again"}, headers=PART
    )
    assert part.content.lstrip().startswith(b'<article id="lot"')
    text = page(client, "lot", **words)
    assert "<b>950.5 g</b>" in text and "spilt" in text and "the bag says so" in text
    assert "<ins>Holm</ins>" in text
    assert client.post(reverse("lot-stock", kwargs=words), {"do": "take", "grams": "1", "why": ""}).status_code == 422
    assert client.post(reverse("lot-stock", kwargs=words), {"do": "drink", "grams": "1", "why": "x"}).status_code == 422
    client.post(reverse("lot-close", kwargs=words), {"do": "close"})
    assert "glycerin" not in client.get("/shelf/lots/", headers=PART).content.decode()
    assert "G-207" in client.get("/shelf/lots/?show=closed").content.decode()


@pytest.mark.parametrize(
    "wrong",
    [
        {"number": ""},
        {"grams": ""},
        {"grams": "-3"},
        {"grams": "1 mL"},
        {"received": "2999-01-01"},
        {"best_before": "soon"},
        {"best_before": "2020-01-01"},
    ],
)
def test_a_lot_that_cannot_be_is_said(client: Client, wrong: dict[str, str]) -> None:
    answer = client.post(reverse("lot-receive", kwargs={"key": "glycerin"}), LOT | wrong)
    assert answer.status_code == 422 and not Lot.objects.exists()


def test_lots_are_listed_by_expiry_and_filtered(client: Client) -> None:
    assert "No lot yet" in client.get("/shelf/lots/").content.decode()
    received("squalane", "late", best_before=datetime.date(2999, 1, 1))
    received("glycerin", "gone", best_before=DAY)
    text = client.get("/shelf/lots/").content.decode()
    assert text.index("gone") < text.index("late") and "past its date" in text
    due = client.get("/shelf/lots/?show=due").content.decode()
    assert "gone" in due and ">late<" not in due
    assert ">gone<" not in client.get("/shelf/lots/?q=squal").content.decode()


def test_papers_are_kept_with_a_lot_and_given_back(client: Client, tmp_path: Path, settings: LazySettings) -> None:
    settings.DATA = tmp_path
    words = {"number": received().pk}
    client.post(reverse("lot-paper", kwargs=words), {"file": SimpleUploadedFile("../<b>sheet</b>.pdf", b"paper")})
    text = page(client, "lot", **words)
    assert "<b>sheet" not in text
    (paper,) = client.get(reverse("lot", kwargs=words)).context["page"].papers
    answer = client.get(reverse("paper", kwargs={"number": paper.pk}))
    assert b"".join(answer.streaming_content) == b"paper" and "attachment" in answer["Content-Disposition"]  # type: ignore[attr-defined]
    client.post(reverse("lot-paper", kwargs=words), {"away": str(paper.pk)})
    assert not client.get(reverse("lot", kwargs=words)).context["page"].papers
    client.post(
        reverse("material-paper", kwargs={"key": "glycerin"}), {"file": SimpleUploadedFile("sds.pdf", b"sheet")}
    )
    assert "sds.pdf" in page(client, "material", key="glycerin")


@pytest.mark.parametrize(
    "name", ["material-measure", "material-note", "material-put-away", "material-paper", "material-use"]
)
def test_a_page_is_never_changed_by_looking(client: Client, name: str) -> None:
    assert client.get(reverse(name, kwargs={"key": "glycerin"})).status_code == 405


def test_every_property_has_a_title_and_every_grade_a_word() -> None:
    assert set(PROPERTIES) <= set(TITLES) and set(GRADES) == set(record.GRADES)
