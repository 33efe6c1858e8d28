"""The batch sheet: what a person typed is shown as text, on paper and in Markdown."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from dataclasses import asdict, replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from levigate.bench.batch import plan
from levigate.bench.weighing import read_scale
from levigate.demo import examples
from levigate.formula.model import Formula
from levigate.formula.text import load_formula, own_shelf, read_formula, read_makes
from levigate.publish.forms import batch_out
from levigate.publish.sheet import Sheet, batch_code, markdown_sheet, markdown_text, pdf_sheet, sheet_of, trimmed
from levigate.review.engine import review

HOSTILE = [
    "*bold* _it_ `code` **b** ~~s~~",
    "pipe | in | a table",
    "<script>alert(1)</script> <b>&lt;b&gt;</b> &amp; &#35; R&D",
    '#import "/etc/passwd" #[x] #panic("typst") $x^2$ @label <label> \\ // note /* c */',
    "[link](http://example.invalid) ![img](x.png) [[x]]",
    "line one\nline two\r\n\n# heading\n- item",
    "1. one", "- dash", "+ plus", "> quote", "--- rule", "= equals", "5) five",
    "\u001b[31mred\u001b[0m \u0007 bell",
    "水 éß ﷽ 🧴 \u202eright to left",
    '"quoted" \'single\' {curly} \\n \\u0041',
]  # fmt: skip


def sheet(name: str, material: str, how: str, note: str, use: str = "hand cream") -> Sheet:
    """Return a sheet in which every text is a hostile one."""

    def text(said: str) -> str:
        return json.dumps(said, ensure_ascii=False)  # a JSON string is a TOML string

    formula = read_formula(
        "levigate = 1\n[formula]\n"
        f"name = {text(name)}\nuse = {text(use)}\n[[phase]]\nletter = {text(name[:6])}\nhow = {text(how)}\nlines = [\n"
        f'{{ material = "aqua", percent = "q.s.", note = {text(note)} }},\n'
        f"{{ material = {text(material)}, percent = 0.1 }}, ]\n[materials.{text(material)}]\ninci = {text(material)}\n"
        f'density = "1 g/mL"\ncautions = [{{ text = {text(note)}, source = "own-word", grade = "supplier" }}]\n'
    )
    return sheet_for(formula, "200 g")


def sheet_for(formula: Formula, makes: str, step: str = "0.1", on: date = date(2026, 11, 24)) -> Sheet:
    amount = read_makes(makes)
    formula = replace(formula, makes=amount)
    scale = read_scale(step)
    reviewed = review(formula, scale=scale, draws=8, today=on)
    planned = plan(formula, own_shelf(formula), amount, scale)
    form = batch_out(planned, reviewed, code=batch_code(formula.name, on), date=on.isoformat())
    return sheet_of(form, formula, reviewed)


def parsed(markdown: str) -> list[Any]:
    return MarkdownIt("commonmark").enable(["table", "strikethrough"]).parse(markdown)


def words_shown(tokens: list[Any]) -> list[str]:
    """Return the text of each block as a reader sees it, markup taken away."""
    shown = []
    for token in tokens:
        if token.type == "inline":
            shown.append("".join(part.content for part in token.children if part.type in ("text", "code_inline")))
    return shown


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_markdown_shows_a_hostile_text_as_it_was_typed(text: str) -> None:
    made = markdown_sheet(sheet(text, text, text, text))
    tokens = parsed(made)
    inline = [part for token in tokens if token.type == "inline" for part in token.children]
    kinds = {token.type for token in tokens} | {part.type for part in inline}
    assert not kinds & {"html_block", "html_inline", "link_open", "image", "code_inline", "em_open", "s_open", "fence"}
    shown = words_shown(tokens)
    assert shown[0] == flat(text)
    wanted = flat(text)
    assert any(cell == wanted for cell in shown), "the INCI cell"
    assert any(cell == f"aqua ({wanted})" for cell in shown), "the note beside the material"
    assert any(line == f"{wanted}: {wanted}" for line in shown), "the caution of the material"
    rows = [line for line in made.splitlines() if line.startswith("| ☐")]
    assert {len(re.findall(r"(?<!\\)\|", row)) for row in rows} == {10}


@given(st.text(max_size=40))
@example("a|b")
@example("&lt;")
@example("1.")
@example("*")
@settings(deadline=None, database=None, max_examples=150)
def test_any_text_survives_markdown(text: str) -> None:
    """In a heading, in a list item and in a table cell one reads what was typed, blanks run together."""
    wanted = flat(text.replace("\x00", "\ufffd"))
    safe = markdown_text(text.replace("\x00", "\ufffd"))
    if not wanted:
        return
    for frame in ("# x {}", "- {}", "| a |\n|---|\n| {} |", "| a |\n|---|\n| {} b |"):
        shown = words_shown(parsed(frame.format(safe)))
        assert flat(" ".join(shown)) in (flat(f"x {wanted}"), wanted, flat(f"a {wanted}"), flat(f"a {wanted} b")), frame


def test_the_markdown_of_a_plain_sheet() -> None:
    """A whole sheet, read line by line; what moves here moves on everybody's bench."""
    formula = read_formula(
        'levigate = 1\n[formula]\nname = "Slip | way"\nuse = "body wash"\n[[phase]]\nletter = "A"\n'
        'how = "heat to 75 C"\nlines = [\n{ material = "aqua", percent = "q.s." },\n'
        '{ material = "dye <b>", percent = 0.1, role = "colour" },\n{ material = "ash", percent = 0 } ]\n'
        '[materials."dye <b>"]\ninci = "CI 1"\ndensity = "1 g/mL"\n'
        '[materials.aqua]\ndensity = { value = "1 g/mL", at = "20 C", source = "own-word", grade = "measured" }\n'
        "[materials.ash]\n"
    )
    lines = markdown_sheet(sheet_for(formula, "20 x 1 L")).splitlines()
    assert lines[4].startswith("> **The review says stop.** 99.9 % water and no preservative. Germs grow in it")
    assert lines[:4] + lines[5:17] == [
        "# Slip \\| way",
        "",
        "**Batch SW-261124** · 2026-11-24 · body wash · 20 x 1 L · scale 0.1 g · loss 0 %",
        "",
        "",
        "## Phase A: heat to 75 C",
        "",
        "| ☐ | Material | INCI | % w/w | grams | running | weighing | weighed | lot |",
        "|---|---|---|--:|--:|--:|--:|---|---|",
        "| ☐ | aqua | Aqua | 99.9 | **19980.0** | 19980.0 | ± 0.00041 % | | |",
        "| ☐ | dye &lt;b&gt; (colour) | CI 1 | 0.1 | **20.0** | 20000.0 | ± 0.41 % | | |",
        "| ☐ | ash | ash | 0 | **0.0** | 20000.0 |  | | |",
        "",
        "Phase total 20000.0 g · reached ______ °C at ______ · held until ______"
        " · Top up with about 150 g of water, to "
        "the weight before heating",
        "",
        "**Total 20000.0 g** · volume 20000 mL · to fill 20000 g",
    ]
    assert lines[-1].startswith("levigate ")


def test_standing_cautions_are_on_every_sheet() -> None:
    for path in examples().values():
        made = sheet_for(load_formula(path), "500 g")
        assert len(made.standing) >= 3 and "does not replace a safety assessment" in made.standing[0]
        text = markdown_sheet(made)
        assert all(markdown_text(line) in text for line in made.standing)


def test_a_caution_of_two_materials_is_told_once() -> None:
    wet = 'cautions = [{ text = "Wet it first.", source = "own-word", grade = "supplier" }]'
    formula = read_formula(
        'levigate = 1\n[formula]\nname = "x"\n[[phase]]\nletter = "A"\nlines = [\n{ material = "ash", percent = 50 },\n'
        '{ material = "oak", percent = 50 }, { material = "elm", percent = 0 } ]\n[[phase]]\nletter = "B"\n'
        'lines = [ { material = "ash", percent = 0 } ]\n'
        + "".join(f'[materials.{name}]\ndensity = "1 g/mL"\n{wet}\n' for name in ("ash", "oak", "elm"))
    )
    assert sheet_for(formula, "500 g").cautions == (("ash, oak", "Wet it first."),)


def test_percents_are_printed_as_they_were_written() -> None:
    formula = read_formula(
        'levigate = 1\n[formula]\nname = "x"\n[[phase]]\nletter = "A"\nlines = [\n'
        '{ material = "aqua", percent = 87.654321 },\n{ material = "glycerin", percent = 12.345679 } ]\n'
    )
    assert [line.percent for line in sheet_for(formula, "500 g").phases[0].lines] == ["87.654321", "12.345679"]


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("Breakwater hand cream", "BHC-261124"),
        ("one two three four five", "OTTF-261124"),
        ("Öl & éclair", "ÖÉ-261124"),
        ("!!!", "B-261124"),
        ("7 seas", "7S-261124"),
    ],
)
def test_batch_codes(name: str, code: str) -> None:
    assert batch_code(name, date(2026, 11, 24)) == code


# The PDF. All text goes in as data: typst sees no markup in it.


def test_the_pdf_of_hostile_texts_is_set_and_shows_them(tmp_path: Path) -> None:
    texts = [text for text in HOSTILE if "\u001b" not in text and "\u202e" not in text]
    for i, text in enumerate(texts):
        made = pdf_sheet(sheet(text, text, text, text, use=text))
        assert made.startswith(b"%PDF-")
        if shutil.which("pdftotext") and i in (0, 2, 3):
            path = tmp_path / f"{i}.pdf"
            path.write_bytes(made)
            shown = subprocess.run(["pdftotext", "-raw", str(path), "-"], capture_output=True, check=True).stdout
            squeezed = re.sub(r"\s+", "", shown.decode("utf-8"))
            assert squeezed.count(re.sub(r"\s+", "", text)) >= 3, text


def test_the_pdf_of_control_characters_is_set() -> None:
    text = HOSTILE[-3]
    assert "\u001b" in text
    assert pdf_sheet(sheet(text, text, text, text)).startswith(b"%PDF-")


def test_the_template_of_the_pdf_never_evaluates_text() -> None:
    """No eval, and every text of the sheet stands in code, not in a string that is set as markup."""
    template = (Path(pdf_sheet.__code__.co_filename).parent / "templates" / "batch-sheet.typ").read_text("utf-8")
    assert "eval" not in template and 'mode: "markup"' not in template


def test_the_pdf_shows_all_that_the_sheet_says(tmp_path: Path) -> None:
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext is not on this machine")
    made = sheet_for(load_formula(examples()["lee-shore-azelaic-gel"]), "4 x 30 mL")
    path = tmp_path / "sheet.pdf"
    path.write_bytes(pdf_sheet(made))
    shown = subprocess.run(["pdftotext", "-raw", str(path), "-"], capture_output=True, check=True).stdout.decode(
        "utf-8"
    )
    squeezed = re.sub(r"\s+", "", shown)
    for text in set(texts_of(asdict(made))) - {line.inci for phase in made.phases for line in phase.lines}:
        assert re.sub(r"\s+", "", text) in squeezed, text


def texts_of(value: object) -> list[str]:
    if isinstance(value, str):
        return [value]
    if isinstance(value, dict):
        return [text for one in value.values() for text in texts_of(one)]
    return [text for one in value for text in texts_of(one)] if isinstance(value, (list, tuple)) else []


def test_cautions_of_one_material_are_one_paragraph() -> None:
    said = [
        f'{{ text = "{text}", source = "own-word", grade = "supplier" }}' for text in ("Wet it first.", "It cakes.")
    ]
    two = f"cautions = [{', '.join(said)}]"
    formula = read_formula(
        'levigate = 1\n[formula]\nname = "x"\n[[phase]]\nletter = "A"\n'
        'lines = [ { material = "ash", percent = 100 } ]\n'
        f'[materials.ash]\ndensity = "1 g/mL"\n{two}\n'
    )
    assert sheet_for(formula, "500 g").cautions == (("ash", "Wet it first. It cakes."),)


def test_what_helps_every_small_line_is_said_once() -> None:
    made = sheet_for(load_formula(examples()["breakwater-hand-cream"]), "500 g")
    assert len(made.small) > 1 and made.small_all
    for way in made.small_all:
        assert all(way not in ways for _, ways in made.small)
        assert markdown_sheet(made).count(way) == 1
    alone = sheet_for(load_formula(examples()["groyne-balm"]), "300 g")
    assert len(alone.small) == 1 and not alone.small_all and "make" in " ".join(alone.small[0][1])


@pytest.mark.parametrize(
    ("value", "said"), [(3.0, "3"), (100 * 0.07, "7"), (71.1, "71.1"), (0.000001, "0.000001"), (0.0, "0")]
)
def test_what_was_typed_is_printed_without_idle_noughts(value: float, said: str) -> None:
    assert trimmed(value) == said


def test_a_sheet_says_how_warm_joined_phases_are_and_what_to_top_up() -> None:
    """The phase that is cooled before it joins has its temperature in its own words."""
    formula = read_formula(
        'levigate = 1\n[formula]\nname = "Groyne"\n'
        '[[phase]]\nletter = "A"\nhow = "heat to 75 C"\nlines = [{ material = "aqua", percent = 70 }]\n'
        '[[phase]]\nletter = "B"\nhow = "stir in"\nlines = [{ material = "squalane", percent = 20 }]\n'
        '[[phase]]\nletter = "C"\nhow = "below 40 C"\nlines = [{ material = "glycerin", percent = 10 }]\n'
    )
    heat = [phase.heat for phase in sheet_for(formula, "500 g").phases]
    assert re.fullmatch(r"Top up with about [\d.]+ g of water, to the weight before heating", heat[0])
    assert re.fullmatch(r"After B: about 6\d °C", heat[1]) and heat[2] == ""
