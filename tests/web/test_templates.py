"""No page writes a number of its own: numbers go through the one formatter, words through gettext."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from levigate.web.settings import HERE

TEMPLATES = sorted((HERE / "templates").rglob("*.html"))
#: Last word of what is shown bare, where that is an amount.
AMOUNTS = (
    "grams", "percent", "needed", "target", "planned", "left", "short", "total", "value", "low", "high", "foreseen",
    "density", "error", "seconds", "rounding_percent", "loss", "scale", "tare", "bulk_grams", "retained_grams",
)  # fmt: skip
_BLOCK = re.compile(r"\{%\s*blocktrans.*?%\}(.*?)\{%\s*endblocktrans\s*%\}", re.DOTALL)
_TEMPLATE_TAG = re.compile(r"\{%.*?%\}|\{#.*?#\}", re.DOTALL)
_SHOWN = re.compile(r"\{\{(.*?)\}\}", re.DOTALL)
_HTML_TAG = re.compile(r"<[^<>]*>")


def text_of(template: str) -> str:
    """Return the text between the tags of a template, what is shown left standing in its braces."""
    text = _BLOCK.sub(r"\1", template)
    return _HTML_TAG.sub(" ", _TEMPLATE_TAG.sub("", text))


def wrong(template: str) -> list[str]:
    """Return each bare number, and each amount that goes round the formatter."""
    text = text_of(template)
    found = re.findall(r"\S*\d\S*", re.sub(r"&#?\w+;", "", _SHOWN.sub("", text)))
    for shown in _SHOWN.findall(text):
        name, _, filters = shown.strip().partition("|")
        if "length" in filters or "floatformat" in filters or name.rpartition(".")[2] in AMOUNTS:
            found.append(shown.strip())
    return found


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: str(path.relative_to(HERE / "templates")))
def test_no_number_is_written_bare(path: Path) -> None:
    assert wrong(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: str(path.relative_to(HERE / "templates")))
def test_a_template_is_safe_and_of_a_size_to_read(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= 120
    assert "|safe" not in text and "autoescape off" not in text
    assert not re.search(r"\s(?:style|on\w+)=[\"']", text) and not re.search(r"<script(?![^>]*\bsrc=)", text)
    assert "hx-on" not in text and "js:" not in text


@pytest.mark.parametrize(
    "template",
    [
        "<p>12 g</p>", "<td>{{ line.grams }}</td>", "<b>{{ lines|length }}</b>", "{{ x|floatformat:2 }}",
        "{% blocktrans %}5 lines{% endblocktrans %}", "<p>{{ batch.scale }} g</p>",
    ],
)  # fmt: skip
def test_what_would_be_wrong_is_found(template: str) -> None:
    assert wrong(template)


@pytest.mark.parametrize(
    "template",
    ["<h2>{% grams line.grams %}</h2>", '<input value="{{ line.grams }}" maxlength="200">', "{% count rows|length %}"],
)
def test_what_is_right_is_let_be(template: str) -> None:
    assert not wrong(template)
