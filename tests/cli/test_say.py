"""Printing: tables on a terminal and without one, paragraphs that wrap, nothing that steers a terminal."""

from __future__ import annotations

import io
import re

import pytest
from rich.console import Console

from levigate.cli import say as subject
from levigate.cli.reading import print_review
from levigate.cli.say import harmless, say, table
from levigate.demo import examples
from levigate.formula.text import load_formula
from levigate.review.engine import review

COLUMNS = [("Material", "left"), ("%", "right")]
ROWS = [["aqua", "71.1"], ["caprylic/capric triglyceride", "7"]]


def on_a_terminal(monkeypatch: pytest.MonkeyPatch, width: int = 60) -> io.StringIO:
    screen = io.StringIO()
    terminal = Console(file=screen, force_terminal=True, width=width, highlight=False, markup=False, emoji=False)
    monkeypatch.setattr(subject, "console", lambda: terminal)
    return screen


def without_colour(text: str) -> str:
    return re.sub(r"\x1b\[[0-9;]*m", "", text)


def test_a_table_without_a_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    subject.console.cache_clear()
    table(COLUMNS, ROWS, ["bold", ""])
    assert capsys.readouterr().out.splitlines() == [
        "Material                         %",
        "aqua                          71.1",
        "caprylic/capric triglyceride     7",
    ]


def test_a_table_on_a_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = on_a_terminal(monkeypatch)
    table(COLUMNS, ROWS, ["bold", ""])
    assert "\x1b[1m" in screen.getvalue()
    assert [line.split() for line in without_colour(screen.getvalue()).splitlines()] == [
        ["Material", "%"],
        ["aqua", "71.1"],
        ["caprylic/capric", "triglyceride", "7"],
    ]


def test_nothing_is_lost_on_a_narrow_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = on_a_terminal(monkeypatch, width=40)
    result = review(load_formula(examples()["breakwater-hand-cream"]), draws=8)
    monkeypatch.setattr("levigate.cli.reading.say", say)
    print_review(result, working=False)
    shown = re.sub(r"\s+", "", without_colour(screen.getvalue()))
    for text in (*(finding.why for finding in result.findings), *result.standing):
        assert re.sub(r"\s+", "", text) in shown
    assert max(map(len, without_colour(screen.getvalue()).splitlines())) <= 40


def test_markup_in_a_name_is_text(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = on_a_terminal(monkeypatch)
    say("[bold red]aqua[/] :smile: [link=x]y[/link]")
    table([("", "left")], [["[red]oil[/]"]])
    assert "[bold red]aqua[/] :smile: [link=x]y[/link]" in without_colour(screen.getvalue())
    assert "[red]oil[/]" in without_colour(screen.getvalue())


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("plain é 水 ± °C", "plain é 水 ± °C"),
        ("\x1b[31mred\x1b[0m", "\ufffd[31mred\ufffd[0m"),
        ("bell\x07 back\x08 csi\x9b del\x7f cr\r", "bell\ufffd back\ufffd csi\ufffd del\ufffd cr\ufffd"),
        ("a\tb\nc", "a b\nc"),
    ],
)
def test_what_steers_a_terminal_is_shown_as_a_mark(text: str, shown: str) -> None:
    assert harmless(text) == shown


def test_a_line_does_not_break_between_a_number_and_its_unit(capsys: pytest.CaptureFixture[str]) -> None:
    words = "about "
    for gap in range(60, 110):
        say(words * (gap // 6) + "x" * (gap % 6) + " 0.5 % of it")
        out = capsys.readouterr().out
        assert "0.5 %" in out and "\N{NO-BREAK SPACE}" not in out
