"""Preferences are kept and heard; keys are shown once, open what they may, and are withdrawn."""

from __future__ import annotations

import re

import pytest
from django.test import Client

from levigate.records import formulas
from levigate.records.models import Journal, Preference, Token
from levigate.web.preferences import CHOICES, chosen
from tests.records.texts import PLAIN


def test_each_choice_is_offered_and_the_one_that_stands_is_ticked(client: Client) -> None:
    page = client.get("/preferences/").content.decode()
    for name, values in CHOICES.items():
        for value in values:
            ticked = re.search(rf'name="{name}" value="{re.escape(value)}"( checked)?>', page)
            assert ticked is not None and (ticked[1] is not None) == (value == values[0])


@pytest.mark.parametrize("name", CHOICES)
def test_what_is_liked_is_kept(client: Client, name: str) -> None:
    other = CHOICES[name][1]
    assert client.post("/preferences/", {name: other, "name": " Ronja  <i>R. "}).status_code == 302
    assert chosen()[name] == other and chosen()["name"] == "Ronja <i>R."
    page = client.get("/preferences/").content.decode()
    assert f'name="{name}" value="{other}" checked' in page and "&lt;i&gt;R." in page and "<i>R." not in page


def test_pages_hear_of_it(client: Client) -> None:
    made = formulas.create(PLAIN)
    client.post("/preferences/", {"light": "dark", "decimal": "comma", "language": "de"})
    page = client.get(f"/formulas/{made.slug}/").content.decode()
    assert 'lang="de" data-light="dark"' in page
    assert re.search(r"94,1|0,9", page)


def test_what_cannot_be_chosen_is_told_and_changes_nothing(client: Client) -> None:
    assert client.post("/preferences/", {"light": "dark", "units": "stone"}).status_code == 422
    assert client.post("/preferences/", {"name": "x" * 81}).status_code == 422
    assert not Preference.objects.exists()


def test_a_key_is_shown_once_opens_the_records_and_is_withdrawn(client: Client) -> None:
    shown = client.post("/preferences/keys/", {"name": "scale <b>1"}).content.decode()
    found = re.search(r'<code class="key">([^<]+)</code>', shown)
    assert found is not None and "scale &lt;b&gt;1" in shown
    assert found[1] not in client.get("/preferences/").content.decode()
    script = Client(HTTP_HOST="127.0.0.1", HTTP_AUTHORIZATION=f"Bearer {found[1]}")
    assert script.get("/api/nothing-here").status_code == 404
    assert script.post("/api/nothing-here").status_code == 401  # it only reads
    client.post(f"/preferences/keys/{Token.objects.get().pk}/withdraw/")
    assert script.get("/api/nothing-here").status_code == 401
    assert [line.says for line in Journal.objects.order_by("pk")] == [
        "key made: scale <b>1",
        "key withdrawn: scale <b>1",
    ]
    assert found[1] not in str(list(Journal.objects.values_list("says", "details")))


def test_a_key_needs_a_name(client: Client) -> None:
    assert client.post("/preferences/keys/", {"name": " "}).status_code == 422 and not Token.objects.exists()
    assert client.post("/preferences/keys/9/withdraw/").status_code == 422
