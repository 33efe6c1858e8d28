"""The second language: complete, of today's pages, compiled, and spoken."""

from __future__ import annotations

import re

import pytest
from django.test import Client

from levigate.records.models import Preference
from levigate.records.models.batches import STATES
from levigate.web.bench import words
from tests import messages

_HOLES = re.compile(r"%\(\w+\)s|%%")


def _strings(message: object) -> list[str]:
    return [message] if isinstance(message, str) else [str(one) for one in message]  # type: ignore[attr-defined]


def test_every_message_of_the_pages_has_its_german() -> None:
    said = {(one.id, one.context) for one in messages.template() if one.id}
    kept = {(one.id, one.context) for one in messages.kept() if one.id}
    assert len(said) > 300
    assert said - kept == set(), "write `make messages`, then the German of what is new"
    assert kept - said == set(), "write `make messages`: no page says these any more"


def test_nothing_is_left_untranslated_or_guessed() -> None:
    for message in messages.kept():
        assert not message.fuzzy, message.id
        if message.id:
            assert all(one.strip() for one in _strings(message.string)), message.id


def test_what_is_put_in_is_put_in_in_both_languages() -> None:
    for message in messages.kept():
        if message.id:
            wanted = set(_HOLES.findall(" ".join(_strings(message.id))))
            assert set(_HOLES.findall(" ".join(_strings(message.string)))) == wanted, message.id


def test_the_translation_is_laid_out_as_it_is_written_and_compiled_as_it_lies() -> None:
    catalogue = messages.kept()
    assert messages.PO.read_bytes() == messages.written(messages.brought_up(catalogue))
    assert messages.MO.read_bytes() == messages.compiled(catalogue)


def test_a_message_that_is_new_would_be_seen() -> None:
    code = messages._as_code(
        '  {% trans "luck" %}\n{% blocktrans with a=b %}x {{ a }} 5 %{% endblocktrans %}', messages.PO
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
