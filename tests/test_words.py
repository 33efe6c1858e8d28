"""The library in a second language: complete, said where it is read, and nowhere forgotten."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from string import Formatter

import pytest

import levigate
from levigate.formula.text import read_formula
from levigate.review.engine import review
from levigate.words import language, listed, marked, speaking, tr, trn
from tests import messages
from tests.messages import Book

SOURCE = Path(levigate.__file__).parent
BOOKS = messages.rooms()
#: Rooms whose sentences all go through `tr`, and what carries them: name of the class -> its arguments, by place and
#: by name, that a person reads.
CARRIERS: dict[str, dict[str, tuple[int | str, ...]]] = {
    "bench": {"BatchError": (0,), "WayOut": (1, "says")},
    "review": {"Finding": (2, 3, "title", "why"), "Remedy": (0, "says"), "PercentError": (0,)},
}
#: Text that is written into a formula file, or said to programmers: function -> why it stays English.
ENGLISH = {
    "bench/filling.py:fills": "the name of an option of the command",
    "review/findings.py:register": "a fault of the program",
    "review/rules/heating.py:_heated": "goes into the formula file",
    "review/rules/making.py:_later": "goes into the formula file",
}
#: Modules of these rooms whose sentences are in English alone so far.
NOT_YET = (
    "bench/filling.py",
    "review/nearing.py",
    "review/reaching.py",
    "review/rules/acidity.py",
    "review/rules/dissolving.py",
    "review/rules/gels.py",
    "review/rules/preservation.py",
    "review/rules/windows.py",
)
SHORT = (
    'levigate = 1\n[formula]\nname = "Short"\n[[phase]]\nletter = "A"\nlines = [\n'
    '{ material = "water", percent = 90 },\n{ material = "glycerin", percent = 3 },\n]\n'
)


def _said(book: Book) -> dict[object, object]:
    return {one.id: one.string for one in messages.kept(book) if one.id}


def _texts(message: object) -> list[str]:
    return [message] if isinstance(message, str) else [str(one) for one in message]  # type: ignore[attr-defined]


def _holes(text: str) -> set[str]:
    try:
        return {name for _, name, _, _ in Formatter().parse(text) if name is not None}
    except ValueError:  # braces of a text that nothing is put into
        return set(re.findall(r"\{\w*\}", text))


@pytest.mark.parametrize("book", BOOKS, ids=lambda book: book.name)
def test_every_sentence_of_a_room_has_its_german(book: Book) -> None:
    said = {one.id for one in messages.template(book) if one.id}
    assert said - set(_said(book)) == set(), "write `make messages`, then the German of what is new"
    assert set(_said(book)) - said == set(), "write `make messages`: nothing says these any more"
    for message in messages.kept(book):
        if message.id:
            assert not message.fuzzy and all(one.strip() for one in _texts(message.string)), message.id


@pytest.mark.parametrize("book", BOOKS, ids=lambda book: book.name)
def test_what_is_put_in_is_put_in_in_both_languages(book: Book) -> None:
    for english, german in _said(book).items():
        wanted = {hole for one in _texts(english) for hole in _holes(one)}
        for one in _texts(german):
            assert _holes(one) == wanted, english


@pytest.mark.parametrize("book", BOOKS, ids=lambda book: book.name)
def test_a_catalogue_is_laid_out_as_it_is_written_and_compiled_as_it_lies(book: Book) -> None:
    catalogue = messages.kept(book)
    assert book.po.read_bytes() == messages.written(messages.brought_up(book, catalogue))
    assert book.mo.read_bytes() == messages.compiled(catalogue)


def test_there_is_a_catalogue_for_each_room_and_no_other() -> None:
    assert set(BOOKS[0].po.parent.iterdir()) == {path for book in BOOKS for path in (book.po, book.mo)}


def test_rooms_that_say_the_same_say_it_alike() -> None:
    german: dict[object, object] = {}
    for book in BOOKS:
        for english, said in _said(book).items():
            assert german.setdefault(english, said) == said, english


def test_english_reads_no_catalogue() -> None:
    code = (
        "import sys; from levigate.words import tr, trn, listed; assert tr('a b') == 'a b';"
        "assert trn('one', 'many', 2) == 'many' and listed('abc') == 'a, b and c' and not listed([]);"
        "assert 'gettext' not in sys.modules"
    )
    assert subprocess.run([sys.executable, "-S", "-c", code], check=False, env={"PYTHONPATH": str(SOURCE.parent)},
                          capture_output=True).returncode == 0  # fmt: skip


def test_a_language_is_spoken_until_it_is_left() -> None:
    with speaking("de"):
        assert language() == "de" and tr("The lines add up to {total} %") == "Die Zeilen ergeben zusammen {total} %"
        assert listed(["a", "b", "c"]) == "a, b und c" and trn("x", "y", 1) == "x" and trn("x", "y", 3) == "y"
        with speaking("xx"):
            assert tr("The lines add up to {total} %") == "The lines add up to {total} %"
        assert language() == "de"
    assert language() == "en" and marked("as it is") == "as it is"


def test_a_review_is_in_the_language_of_whom_it_is_for() -> None:
    formula = read_formula(SHORT)
    english = review(formula, draws=8)
    with speaking("de"):
        german = review(formula, draws=8)
    (first, *_), (erste, *_) = english.findings, german.findings
    assert (first.title, erste.title) == ("The lines add up to 93 %", "Die Zeilen ergeben zusammen 93 %")
    assert [one.rule for one in english.findings] == [one.rule for one in german.findings]
    assert [[way.formula for way in one.remedies] for one in english.findings] == [
        [way.formula for way in one.remedies] for one in german.findings
    ]


def _untranslated(node: ast.AST) -> Iterator[ast.expr]:
    """Yield what is said in an expression without going through `tr`: text with a blank, or text put together."""
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in ("tr", "trn", "marked"):
        return
    plain = node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""
    if isinstance(node, ast.expr) and (_put_together(node) or " " in plain.strip()):
        yield node
    else:
        for child in ast.iter_child_nodes(node):
            yield from _untranslated(child)


def _put_together(node: ast.AST) -> bool:
    """Return whether it is an f-string with a blank and a word; a sign or a unit after a number is none."""
    if not isinstance(node, ast.JoinedStr):
        return False
    text = "".join(part.value if isinstance(part, ast.Constant) else "0" for part in node.values)  # type: ignore[misc]
    return " " in text.strip() and any(word not in _SIGNS for word in re.findall(r"[^\W\d_]{2,}", text))


#: Units that are written alike in both languages.
_SIGNS = ("mL", "µm", "Pa", "pH")


def forgotten(room: str) -> Iterator[str]:
    """Yield where a room says something that no other language can say."""
    for path in sorted((SOURCE / room).rglob("*.py")):
        name = path.relative_to(SOURCE).as_posix()
        for where, node in _inside(ast.parse(path.read_text(encoding="utf-8")), ""):
            if isinstance(node, ast.expr) and _put_together(node) and f"{name}:{where}" not in ENGLISH:
                yield f"{name}:{node.lineno}: {ast.unparse(node)}"
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in CARRIERS[room]:
                read = CARRIERS[room][node.func.id]
                given = [one for i, one in enumerate(node.args) if i in read]
                for one in [*given, *(key.value for key in node.keywords if key.arg in read)]:
                    yield from (f"{name}:{bad.lineno}: {ast.unparse(bad)}" for bad in _untranslated(one))


def _inside(node: ast.AST, function: str) -> Iterator[tuple[str, ast.AST]]:
    for child in ast.iter_child_nodes(node):
        inner = child.name if isinstance(child, ast.FunctionDef) else function
        yield inner, child
        yield from _inside(child, inner)


@pytest.mark.parametrize("room", CARRIERS)
def test_nothing_is_said_in_english_alone(room: str) -> None:
    assert [one for one in forgotten(room) if not one.startswith(NOT_YET)] == []


@pytest.mark.parametrize("module", NOT_YET)
def test_what_is_not_yet_said_in_another_language_is_no_more_than_that(module: str) -> None:
    room = module.partition("/")[0]
    assert any(one.startswith(f"{module}:") for one in forgotten(room)), "all of it is said: take it off the list"


@pytest.mark.parametrize(
    ("code", "found"),
    [
        ('Remedy("Stir it well.")', 1),
        ('Remedy(f"Add {n} % of it.")', 1),
        ('Remedy(tr("Add {n} % of it.").format(n=n))', 0),
        ('Remedy(f"{n} %")', 0),
        ('Remedy(tr("{a}, and {b}").format(a=a, b="the rest of it"))', 1),
    ],
)
def test_what_is_forgotten_is_seen(code: str, found: int) -> None:
    call = ast.parse(code, mode="eval").body
    assert isinstance(call, ast.Call)
    assert len(list(_untranslated(call.args[0]))) == found
