"""The first page: how to begin, the demo, what needs one today."""

from __future__ import annotations

import datetime
from decimal import Decimal

import pytest
from django.test import Client

from levigate.demo import examples
from levigate.records import formulas as records
from levigate.records import lots
from levigate.records.models import Formula, Lot
from tests.records.texts import PLAIN, with_glycerin


def a_lot(number: str, days: int, **rest: object) -> Lot:
    day = datetime.date.today()
    return Lot.objects.create(
        material="glycerin", number=number, received=day - datetime.timedelta(400), grams=Decimal(100),
        best_before=day + datetime.timedelta(days), **rest,
    )  # fmt: skip


def test_an_empty_workshop_leads_to_a_first_formula(client: Client) -> None:
    page = client.get("/").content.decode()
    assert "A first formula" in page and all(f'value="{family}"' in page for family in examples())
    made = client.post("/formulas/new/", {"name": "First", "family": "groyne-balm"})
    assert client.get(made["Location"]).status_code == 200
    assert "A first formula" not in client.get("/").content.decode()


def test_the_demo_workshop_is_one_press_away_and_only_then(client: Client) -> None:
    page = client.post("/demo/", follow=True).content.decode()
    assert "Everything in it is invented" in page
    for said in ("Held batches", "Open batches", "Lots past their date", "Lots that expire soon", "Harbour stores"):
        assert said in page
    assert client.post("/demo/").status_code == 422
    assert Formula.objects.count() == len(examples())
    assert client.get("/demo/").status_code == 405


@pytest.mark.parametrize(
    ("days", "closed", "title"),
    [(-1, False, "Lots past their date"), (0, False, "Lots that expire soon"), (60, False, "Lots that expire soon"),
     (61, False, ""), (-1, True, "")],
)  # fmt: skip
def test_lots_are_told_by_their_date(client: Client, days: int, closed: bool, title: str) -> None:
    a_lot("<i>G1", days, closed=closed)
    page = client.get("/").content.decode()
    said = [one for one in ("Lots past their date", "Lots that expire soon") if one in page]
    assert said == ([title] if title else [])
    assert "<i>G1" not in page and ("&lt;i&gt;G1" in page) == bool(title)
    assert ("Nothing needs you today" in page) == (not title)


def test_a_lot_of_which_nothing_is_left_is_not_told(client: Client) -> None:
    lots.count(a_lot("G1", -1), Decimal(0))
    assert "Lots past their date" not in client.get("/").content.decode()


def test_a_formula_is_told_while_its_draft_differs_from_what_is_saved(client: Client) -> None:
    made = records.create(PLAIN)
    assert "no version saved yet" in client.get("/").content.decode()
    records.save(made, seen=0, knew=None)
    assert "Nothing needs you today" in client.get("/").content.decode()
    records.edit(made, with_glycerin("6"), "glycerin to 6 %", seen=0)
    assert "Formulas changed since they were saved" in client.get("/").content.decode()
    records.step(made, -1)
    assert "Nothing needs you today" in client.get("/").content.decode()
    records.step(made, 1)
    records.set_put_away(made, put_away=True)
    assert "Nothing needs you today" in client.get("/").content.decode()
