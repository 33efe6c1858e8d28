"""The second language: complete, of today's pages, compiled, and spoken."""

from __future__ import annotations

import re

import pytest
from django.test import Client

from levigate.records import formulas
from levigate.records.models import Preference
from levigate.records.models.batches import STATES
from levigate.web.bench import words
from levigate.web.formulas.reading import reviewed
from levigate.words import language, speaking
from tests import messages
from tests.test_words import SHORT

_HOLES = re.compile(r"%\(\w+\)s|%%")


def _strings(message: object) -> list[str]:
    return [message] if isinstance(message, str) else [str(one) for one in message]  # type: ignore[attr-defined]


def test_every_message_of_the_pages_has_its_german() -> None:
    said = {(one.id, one.context) for one in messages.template(messages.PAGES) if one.id}
    kept = {(one.id, one.context) for one in messages.kept(messages.PAGES) if one.id}
    assert len(said) > 300
    assert said - kept == set(), "write `make messages`, then the German of what is new"
    assert kept - said == set(), "write `make messages`: no page says these any more"


def test_nothing_is_left_untranslated_or_guessed() -> None:
    for message in messages.kept(messages.PAGES):
        assert not message.fuzzy, message.id
        if message.id:
            assert all(one.strip() for one in _strings(message.string)), message.id


def test_what_is_put_in_is_put_in_in_both_languages() -> None:
    for message in messages.kept(messages.PAGES):
        if message.id:
            wanted = set(_HOLES.findall(" ".join(_strings(message.id))))
            assert set(_HOLES.findall(" ".join(_strings(message.string)))) == wanted, message.id


def test_the_translation_is_laid_out_as_it_is_written_and_compiled_as_it_lies() -> None:
    catalogue = messages.kept(messages.PAGES)
    assert messages.PAGES.po.read_bytes() == messages.written(messages.brought_up(messages.PAGES, catalogue))
    assert messages.PAGES.mo.read_bytes() == messages.compiled(catalogue)


def test_a_message_that_is_new_would_be_seen() -> None:
    code = messages._as_code(
        '  {% trans "luck" %}\n{% blocktrans with a=b %}x {{ a }} 5 %{% endblocktrans %}', messages.PAGES.po
    )
    assert "luck" in code and "x %(a)s 5 %%" in code


@pytest.mark.parametrize(
    ("path", "german", "english"),
    [("/", "Eine erste Rezeptur", "A first formula"), ("/sums/", "Rechnen", "Quick sums"),
     ("/preferences/", "Einstellungen", "Preferences"), ("/bench/", "Nichts auf der Werkbank", "Nothing on the bench")],
)  # fmt: skip
def test_pages_speak_the_language_that_is_liked(client: Client, path: str, german: str, english: str) -> None:
    assert english in client.get(path).content.decode()
    Preference.objects.create(name="language", value="de")
    answer = client.get(path)
    page = answer.content.decode()
    assert german in page and english not in page
    assert '<html lang="de"' in page and answer["Content-Language"] == "de"


def test_every_state_of_a_batch_can_be_said() -> None:
    assert words.STATES == STATES


@pytest.mark.django_db
def test_what_was_reviewed_for_one_is_not_shown_to_who_reads_another() -> None:
    assert reviewed(SHORT, "0.1").findings[0].title == "The lines add up to 93 %"
    with speaking("de"):
        assert reviewed(SHORT, "0.1").findings[0].title == "Die Zeilen ergeben zusammen 93 %"
    assert reviewed(SHORT, "0.1").findings[0].title == "The lines add up to 93 %"


def test_a_german_page_shows_german_findings_and_programs_get_english(client: Client) -> None:
    slug = formulas.create(SHORT.replace("= 3 ", "= 3.5 ")).slug
    assert "The lines add up to 93.5 %" in client.get(f"/formulas/{slug}/").content.decode()
    for name, value in (("language", "de"), ("decimal", "comma")):
        Preference.objects.create(name=name, value=value)
    page = client.get(f"/formulas/{slug}/").content.decode()
    assert "Die Zeilen ergeben zusammen 93,5 %" in page and "The lines add up" not in page
    assert client.get(f"/api/formulas/{slug}/findings").json()["findings"][0]["title"] == "The lines add up to 93.5 %"
    assert language() == "en"
