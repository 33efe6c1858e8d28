"""Quick sums: each gives its answer at an address; what is wrong is said and what was typed stays."""

from __future__ import annotations

from urllib.parse import urlencode

import pytest
from django.test import Client
from django.utils.html import escape

from levigate.reckon.sums import quick_sums, reckon
from levigate.web.sums.asking import example, label
from levigate.web.sums.listing import grouped

PART = {"HX-Request": "true"}


def test_every_sum_is_listed_once_with_its_purpose(client: Client) -> None:
    listed = [one.name for group in grouped() for one in group.sums]
    assert sorted(listed) == sorted(quick_sums())
    page = client.get("/sums/").content.decode()
    assert all(f'href="/sums/{name}/"' in page for name in quick_sums())
    assert len({label(one) for one in quick_sums().values()}) == len(quick_sums())


@pytest.mark.parametrize("name", quick_sums())
def test_the_example_gives_a_page_with_answer_working_and_source(client: Client, name: str) -> None:
    empty = client.get(f"/sums/{name}/").content.decode()
    assert "The answer comes here" in empty and urlencode(example(name)).replace("&", "&amp;") in empty
    answer = reckon(name, example(name))
    page = client.get(f"/sums/{name}/", example(name))
    text = page.content.decode()
    assert page.status_code == 200
    for figure in answer.figures.values():
        assert escape(figure.say()) in text
    for line in (*answer.working, *answer.notes):
        assert escape(line) in text
    assert all(f'value="{escape(value)}"' in text for value in example(name).values())


def test_the_part_is_the_form_with_its_answer_alone(client: Client) -> None:
    part = client.get("/sums/convert/", {"amount": "1 fl oz", "to": "mL"}, headers=PART).content.decode()
    assert part.lstrip().startswith('<div id="sum"') and "29.57 mL" in part and "<html" not in part


def test_the_decimal_mark_is_the_one_that_is_liked(client: Client) -> None:
    from levigate.records.models import Preference

    Preference.objects.create(name="decimal", value="comma")
    assert "29,57 mL" in client.get("/sums/convert/", {"amount": "1 fl oz", "to": "mL"}).content.decode()
    assert "14,79 mL" in client.get("/sums/convert/", {"amount": "0,5 fl oz", "to": "mL"}).content.decode()


@pytest.mark.parametrize("part", [False, True])
def test_what_is_wrong_is_said_and_what_was_typed_stays(client: Client, part: bool) -> None:
    headers = PART if part else {}
    told = {"diameter": "<b>70", "particle_density": "2.6g/mL", "liquid_density": "1g/mL", "viscosity": "1mPa.s"}
    answer = client.get("/sums/settling/", told, headers=headers)
    text = answer.content.decode()
    assert answer.status_code == 422 and 'role="alert"' in text
    assert 'value="&lt;b&gt;70"' in text and "<b>70" not in text and 'value="2.6g/mL"' in text
    assert text.count('aria-invalid="true"') == 1


def test_what_is_missing_is_asked_for_by_its_name(client: Client) -> None:
    answer = client.get("/sums/settling/", {"diameter": "70um"})
    text = answer.content.decode()
    assert answer.status_code == 422 and "This is still to be told: Particle density" in text
    assert 'value="70um"' in text and "for example: levigate" not in text


def test_an_unknown_sum_is_not_found_and_an_unknown_key_is_told(client: Client) -> None:
    assert client.get("/sums/luck/").status_code == 404
    assert client.get("/sums/convert/", {"luck": "1"}).status_code == 422
