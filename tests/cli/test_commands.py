"""The command: every subcommand, what it prints for people and for programs, its exit status, what it writes."""

from __future__ import annotations

import contextlib
import json
import os
import re
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
import typer

from levigate import __version__
from levigate.cli.main import app
from levigate.demo import examples
from levigate.formula.text import load_formula
from levigate.quantities.graph import quantities
from levigate.review.findings import LEVELS
from tests.cli.calling import Called, call

ANSI = re.compile(r"\x1b")
CREAM = examples()["breakwater-hand-cream"]
BALM = CREAM.with_name("groyne-balm.toml")
GEL = examples()["lee-shore-azelaic-gel"]
WASH = examples()["harbour-light-wash"]

STOPPED = """levigate = 1
[formula]
name = "Left-over tea"
use = "toner"
makes = "200 g"
[[phase]]
letter = "A"
lines = [ { material = "aqua", percent = "q.s." }, { material = "glycerin", percent = 5 } ] # never kept
"""


@pytest.fixture
def stopped(tmp_path: Path) -> Path:
    path = tmp_path / "tea.toml"
    path.write_text(STOPPED, encoding="utf-8")
    return path


@pytest.fixture
def cream(tmp_path: Path) -> Path:
    path = tmp_path / "cream.toml"
    path.write_bytes(CREAM.read_bytes())
    return path


# Every command there is.


def commands(command: Any, words: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Any]]:
    yield words, command
    for name, inner in getattr(command, "commands", {}).items():
        yield from commands(inner, (*words, name))


ALL = list(commands(typer.main.get_command(app)))


@pytest.mark.parametrize(("words", "command"), ALL, ids=[" ".join(words) or "levigate" for words, _ in ALL])
def test_help(words: tuple[str, ...], command: Any) -> None:
    called = call(*words, "--help")
    assert called.status == 0
    assert "Usage:" in called.out and not ANSI.search(called.out)
    assert (command.help or "").split(".")[0].split("\n")[0][:40] in called.out
    for option in command.params:
        if option.name != "help":
            assert getattr(option, "help", None), f"{option.name} of {words} is not explained"
            assert option.param_type_name == "argument" or option.help.endswith((".", ")"))


@pytest.mark.parametrize(("words", "command"), ALL, ids=[" ".join(words) or "levigate" for words, _ in ALL])
def test_every_command_speaks_json(words: tuple[str, ...], command: Any) -> None:
    if not getattr(command, "commands", {}) and words != ("open",):  # that one serves until it is stopped
        assert "--json" in {name for option in command.params for name in option.opts}


def test_version() -> None:
    assert call("--version").out == f"{__version__}\n"


def test_without_a_command_the_help_is_shown() -> None:
    assert "review" in (call().out + call().err)


# Review.


@pytest.mark.parametrize("path", examples().values(), ids=examples())
def test_review_in_json(path: Path) -> None:
    called = call("review", path, "--json")
    form = called.json("levigate review FILE")
    assert called.status == (1 if any(finding["level"] == "stop" for finding in form["findings"]) else 0)
    assert form["formula"]["name"] == load_formula(path).name
    assert form["formula"]["total_percent"] == 100
    assert set(form["figures"]) <= set(quantities()) and "density" in form["figures"]
    density = form["figures"]["density"]
    assert density["low"] < density["value"] < density["high"]
    assert {"unit", "grade", "method", "source", "inputs"} <= set(density)
    assert [LEVELS.index(finding["level"]) for finding in form["findings"]] == sorted(
        LEVELS.index(finding["level"]) for finding in form["findings"]
    )
    assert any("does not replace a safety assessment" in text for text in form["cautions"])


@pytest.mark.parametrize("path", examples().values(), ids=examples())
def test_review_for_people(path: Path) -> None:
    called = call("review", path, "--working")
    form = json.loads(call("review", path, "--json").out)
    assert not ANSI.search(called.out)
    text = " ".join(called.out.split())
    for finding in form["findings"]:
        assert " ".join(finding["title"].split()) in text
    minded = text.partition(" Cautions · ")[2].split(" · ")
    for caution in form["cautions"]:
        names, _, words = " ".join(caution.split()).partition(": ")
        paragraphs = [line for line in minded if line.startswith(f"{names}: ") or line == names]
        assert len(paragraphs) == 1 and words in paragraphs[0], caution
    for name in ("Figures", "Findings", "Sources", "Cautions"):
        assert f"\n{name}\n" in called.out
    said = re.findall(r"^  ([A-Z][a-z ]+?): ", called.out, re.MULTILINE)
    said = [words for words in said if words != "Not known"]  # once for each reason
    assert len(said) == len(set(said)), "a figure is said twice"
    assert all(len(line) <= 100 for line in called.out.splitlines())


def test_a_use_we_do_not_know_is_said_with_what_is_near(tmp_path: Path) -> None:
    path = tmp_path / "wash.toml"
    path.write_text(STOPPED.replace('use = "toner"', 'use = "shampo"'), encoding="utf-8")
    assert "shampo (not a use we know; near it: shampoo" in call("review", path).out


def test_what_is_not_known_is_said_once(tmp_path: Path) -> None:
    path = tmp_path / "mud.toml"
    path.write_text(STOPPED.replace("glycerin", "xqzzkw").replace("200 g", "200 mL"), encoding="utf-8")
    out = " ".join(call("review", path).out.split())
    assert out.count("The density of xqzzkw is not known") == 1
    assert "Not known: Density, Density in four climates, Mass of the batch" in out
    assert "Volume of the batch: 200.0 mL, exact" in out


def test_a_stop_is_status_1(stopped: Path) -> None:
    called = call("review", stopped)
    assert called.status == 1
    assert "stop: 95.0 % water and no preservative" in called.out
    assert "--remedy unpreserved-water-1a" in called.out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["review", "nowhere.toml"], "nowhere.toml cannot be read: no such file or directory."),
        (["review", str(CREAM), "--scale", "0,1"], "write the decimal point"),
        (["review", str(CREAM), "--scale", "9 kg"], '"9 kg" is no resolution of a scale; write for example "0.1 g".'),
        (["review", str(CREAM), "--shelf", "nowhere.toml"], "nowhere.toml does not exist; `levigate shelf import`"),
        (["adjust", str(CREAM)], 'Say what to change, for example --set "glycerin=5%".'),
        (["adjust", str(CREAM), "--set", "glycerin"], 'does not say a line and a percent; write --set "glycerin=5%".'),
        (["adjust", str(CREAM), "--set", "glycerin=5,0%"], "write the decimal point: 5.0."),
        (["adjust", str(CREAM), "--set", "glycerin=1e308"], "is more than the whole; a line takes 0 to 100 %."),
        (["adjust", str(CREAM), "--set", "glycerin=nan"], "is not a percent; write a number such as 4 or 0.5."),
        (["adjust", str(CREAM), "--set", "glycerin=-1"], "is below nought; a line takes 0 to 100 %."),
        (["adjust", str(CREAM), "--set", "glycerine vegtable=5"], 'The formula has no line "glycerine vegtable"'),
        (["adjust", str(CREAM), "--set", "glycerin=5", "--hold", "glycerin"], "cannot be both set and held"),
        (["adjust", str(CREAM), "--set", "glycerin=90"], "so 13.9 % too much: set less"),
        (["adjust", str(CREAM), "--set", "glycerin=5", "--set", "A:glycerin=6"], "sets a line that is set already"),
        (
            ["adjust", str(CREAM), "--set", "glycerin=5", "--write", "--out", "x"],
            "Say --write or --out FILE, not both.",
        ),
        (["adjust", str(BALM), "--remedy", "sum-1a"], 'There is no remedy "sum-1a"; this formula has none.'),
        (["adjust", str(CREAM), "--swap", "squalane"], 'does not name two materials; write --swap "one=other".'),
        (["adjust", str(CREAM), "--swap", "squalane=xqzzkw"], 'No material is called "xqzzkw"'),
        (["adjust", str(CREAM), "--stock", "tocopherol=xqzzkw"], 'No material is called "xqzzkw"'),
        (["batch", str(CREAM), "--makes", "5"], "--makes: "),
        (["batch", str(CREAM), "--date", "24.11.2026"], '"24.11.2026" is no date; write YYYY-MM-DD, as 2026-11-24.'),
        (["batch", str(CREAM), "--loss", "95%"], "A loss of 95 % leaves nothing sensible"),
        (["batch", str(CREAM), "--within", "0"], "A weighing error of 0 % is none to keep within"),
        (["batch", str(CREAM), "--pdf", "no/such/folder/sheet.pdf"], "cannot be written: no such file or directory."),
        (["compare", str(CREAM), "nowhere.toml"], "nowhere.toml cannot be read"),
        (["shelf", "show", "glycerine vegtable"], 'No material is called "glycerine vegtable". Did you mean'),
        (["reckon", "etanol"], 'There is no quick sum "etanol"'),
        (["reckon", "weighing"], "weighing was told nothing, for example: levigate reckon weighing mass=5g scale=0.1g"),
        (["reckon", "weighing", "5g"], '"5g" is no key=value; write for example temperature=40C.'),
        (["new", "x", "--like", "soup"], '"soup" is not one of the demo formulas: breakwater-hand-cream'),
        (["new", "!!!"], '"!!!" gives no file name; choose one with --out.'),
        (["new", ""], "gives no file name"),
    ],
    ids=lambda value: " ".join(value)[-40:] if isinstance(value, list) else "",
)
def test_a_wrong_call_is_status_2_and_says_what_would_be_right(words: list[str], says: str) -> None:
    called = call(*words)
    assert called.status == 2
    assert says in called.err
    assert called.err.startswith("levigate: ") and called.err.count("\n") == 1


@pytest.mark.parametrize(
    "words", [["review"], ["revew"], ["review", "x", "--nonsense"], ["adjust", "x", "--decimals", "99"]]
)
def test_a_call_that_cannot_be_parsed_is_status_2(words: list[str]) -> None:
    called = call(*words)
    assert called.status == 2 and "Usage:" in called.err and not ANSI.search(called.err)


# Adjust.


def lines_of(called: Called) -> dict[str, Decimal]:
    return {line["material"]: Decimal(str(line["percent"])) for line in called.json("levigate adjust FILE")}


@pytest.mark.parametrize(
    "words",
    [
        ["--set", "glycerin=7%"],
        ["--set", "glycerin=7", "--give", "q.s."],
        ["--set", "glycerin=7", "--give", "all"],
        ["--set", "glycerin=7", "--give", "squalane", "--give", "shea butter"],
        ["--set", "glycerin=7", "--give", "all", "--hold", "aqua", "--hold", "phenoxyethanol"],
        ["--set", "C:panthenol=2", "--set", "glycerin=7", "--decimals", "2"],
        ["--decimals", "1"],
        ["--swap", "squalane=jojoba oil"],
        ["--set", "lactic acid 80 %=0.8", "--active"],
    ],
    ids=" ".join,
)
def test_whatever_is_adjusted_the_sum_stays_100(words: list[str]) -> None:
    before = CREAM.read_bytes()
    called = call("adjust", CREAM, *words, "--json")
    assert called.status == 0
    lines = lines_of(called)
    assert sum(lines.values()) == 100
    assert len(lines) == 15
    if any("glycerin=7" in word for word in words):
        assert lines["glycerin"] == 7
    assert CREAM.read_bytes() == before, "nothing is written unasked"


def test_who_gives_way() -> None:
    old = lines_of(call("adjust", CREAM, "--decimals", "6", "--json"))
    by_qs = lines_of(call("adjust", CREAM, "--set", "glycerin=7", "--json"))
    assert {name for name in old if old[name] != by_qs[name]} == {"glycerin", "aqua"}
    named = lines_of(call("adjust", CREAM, "--set", "glycerin=7", "--give", "squalane", "--json"))
    assert named["squalane"] == 1
    active = lines_of(call("adjust", CREAM, "--set", "lactic acid 80 %=0.8", "--active", "--json"))
    assert active["lactic acid 80 %"] == 1


def test_adjust_says_what_was(cream: Path) -> None:
    out = call("adjust", cream, "--set", "glycerin=7%").out
    assert re.search(r"A  glycerin +5 +7", out) and re.search(r"Total +100 +100", out)
    assert "Nothing was written; add --write, or --out FILE." in out


def test_adjust_write_keeps_the_comments(cream: Path) -> None:
    before = cream.read_text(encoding="utf-8")
    assert call("adjust", cream, "--set", "glycerin=7%", "--write").status == 0
    after = cream.read_text(encoding="utf-8")
    assert after == before.replace('"glycerin", percent = 5 }', '"glycerin", percent = 7 }')
    assert [path.name for path in cream.parent.iterdir()] == ["cream.toml"]


def test_adjust_out_leaves_the_first_file_alone(cream: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.toml"
    assert f"Written to {out}" in " ".join(call("adjust", cream, "--set", "glycerin=7%", "--out", out).out.split())
    assert cream.read_bytes() == CREAM.read_bytes()
    assert load_formula(out).percents[1] == 7


@pytest.mark.parametrize("broken", ["replace", "chmod"])
def test_what_cannot_be_written_leaves_all_as_it_was(cream: Path, monkeypatch: pytest.MonkeyPatch, broken: str) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, broken, refuse)
    called = call("adjust", cream, "--set", "glycerin=7%", "--write")
    assert called.status == 2 and "cannot be written: no space left on device." in called.err
    assert cream.read_bytes() == CREAM.read_bytes()
    assert [path.name for path in cream.parent.iterdir()] == ["cream.toml"]


def test_a_slip_of_a_material_that_stands_there_already_joins_it(tmp_path: Path) -> None:
    path = tmp_path / "twice.toml"
    path.write_text(STOPPED.replace("} ]", '}, { material = "glycerrin", percent = 1 } ]'), encoding="utf-8")
    assert call("adjust", path, "--remedy", "unknown-material-1a", "--write").status == 0
    lines = [f"{line.material} {line.percent}" for _, line in load_formula(path).lines()]
    assert lines == ["aqua 94", "glycerin 6"]


@pytest.mark.parametrize(
    ("old", "new"), [("percent = 7", "percent = 8"), ('"glycerin"', '"aqua"'), ("[[phase]]", "[[")]
)
def test_what_would_not_be_read_again_as_it_was_meant_is_not_written(
    cream: Path, monkeypatch: pytest.MonkeyPatch, old: str, new: str
) -> None:
    from levigate.formula import write

    rewrite = write.rewrite
    monkeypatch.setattr(write, "rewrite", lambda text, formula: rewrite(text, formula).replace(old, new))
    called = call("adjust", cream, "--set", "glycerin=7", "--write")
    assert called.status == 2 and "cream.toml" in called.err
    assert cream.read_bytes() == CREAM.read_bytes()


def test_a_remedy_is_applied(stopped: Path) -> None:
    called = call("adjust", stopped, "--remedy", "unpreserved-water-1a", "--write")
    assert called.status == 0
    assert call("review", stopped).status == 0
    text = stopped.read_text(encoding="utf-8")
    assert "# never kept" in text and "phenoxyethanol" in text


def test_a_remedy_in_words_cannot_be_applied(cream: Path) -> None:
    called = call("adjust", cream, "--remedy", "small-line-1a")
    assert called.status == 2 and 'The remedy "small-line-1a" is not a change of the formula: Make' in called.err


def test_a_remedy_that_fills_less_says_so(tmp_path: Path) -> None:
    path = tmp_path / "full.toml"
    path.write_text(GEL.read_text(encoding="utf-8").replace("4 x 30 mL", "4 x 40 mL"), encoding="utf-8")
    out = call("adjust", path, "--remedy", "container-1a", "--write").out
    assert 'makes = "4 x 32.3 mL", was "4 x 40 mL"' in out
    assert 'makes = "4 x 32.3 mL"' in path.read_text(encoding="utf-8")


def test_a_stock_takes_the_place_of_the_neat_material(tmp_path: Path) -> None:
    path = tmp_path / "wash.toml"
    stock = '\n[materials."citric acid 20 %"]\nmade_of = { "citric acid" = 20, aqua = 80 }\n'
    path.write_text(WASH.read_text(encoding="utf-8") + stock, encoding="utf-8")
    before = lines_of(call("adjust", WASH, "--decimals", "6", "--json"))
    lines = lines_of(call("adjust", path, "--stock", "citric acid=citric acid 20 %", "--json"))
    assert lines["citric acid 20 %"] == 3 and "citric acid" not in lines
    assert lines["aqua"] == before["aqua"] - Decimal("2.4")
    assert sum(lines.values()) == 100


def test_a_swap_goes_by_active_matter(tmp_path: Path) -> None:
    """14 % of a 30 % surfactant is 4.2 % active: of a 60 % one 7 % is enough, and water takes up the rest."""
    path = tmp_path / "wash.toml"
    strong = '\n[materials."strong foam"]\nmade_of = { "sodium cocoyl glutamate (active matter)" = 60, aqua = 40 }\n'
    path.write_text(WASH.read_text(encoding="utf-8") + strong, encoding="utf-8")
    before = lines_of(call("adjust", WASH, "--decimals", "6", "--json"))
    lines = lines_of(call("adjust", path, "--swap", "sodium cocoyl glutamate 30 %=strong foam", "--json"))
    assert lines["strong foam"] == 7
    assert lines["aqua"] == before["aqua"] + 7


# Batch.


def test_batch_in_json(tmp_path: Path) -> None:
    called = call(
        "batch", CREAM, "--makes", "500 g", "--scale", "0.1", "--loss", "3%", "--date", "2026-11-24", "--json"
    )
    form = called.json("levigate batch FILE")
    assert called.status == 0
    assert form["total_g"] == pytest.approx(500 / 0.97, abs=0.05)
    assert form["loss_percent"] == pytest.approx(3, rel=1e-12) and form["scale_g"] == 0.1
    assert sum(Decimal(str(line["grams"])) for line in form["lines"]) == Decimal(str(form["total_g"]))
    assert form["volume_mL"] == pytest.approx(form["total_g"] / form["density"]["value"], rel=1e-12)
    assert form["yield_g"] == pytest.approx(500, abs=0.05)
    for line in form["lines"]:
        assert line["error_percent"] == pytest.approx(100 * 2 * (2 / 12) ** 0.5 * 0.1 / line["grams"], rel=1e-9)
        assert line["too_small"] == (line["error_percent"] > 5)
    assert {small["material"] for small in form["too_small"]} == {
        line["material"] for line in form["lines"] if line["too_small"]
    }
    assert (form["code"], form["stops"]) == ("BHC-261124", [])


def test_batch_writes_its_sheets(tmp_path: Path) -> None:
    pdf, markdown = tmp_path / "sheet.pdf", tmp_path / "sheet.md"
    called = call("batch", GEL, "--pdf", pdf, "--markdown", markdown, "--code", "L-7", "--date", "2026-11-24")
    assert called.status == 0 and not ANSI.search(called.out)
    assert pdf.read_bytes().startswith(b"%PDF-")
    assert "**Batch L-7** · 2026-11-24" in markdown.read_text(encoding="utf-8")
    assert called.out.count("Written to ") == 2
    assert sorted(path.name for path in tmp_path.iterdir()) == ["sheet.md", "sheet.pdf"]


def test_a_batch_that_the_review_stops_is_status_1_and_says_so_everywhere(stopped: Path, tmp_path: Path) -> None:
    markdown = tmp_path / "sheet.md"
    called = call("batch", stopped, "--markdown", markdown)
    assert called.status == 1
    assert "The review says stop" in called.out
    assert "The review says stop" in markdown.read_text(encoding="utf-8")
    form = call("batch", stopped, "--json").json("levigate batch FILE")
    assert form["stops"][0].startswith("95.0 % water and no preservative.")


def test_a_batch_needs_an_amount(tmp_path: Path) -> None:
    path = tmp_path / "tea.toml"
    path.write_text(STOPPED.replace('makes = "200 g"\n', ""), encoding="utf-8")
    called = call("batch", path)
    assert called.status == 2 and 'add --makes "500 g".' in called.err
    assert call("batch", path, "--makes", "2 x 50 g").status == 1


def test_a_large_batch_is_said_without_exponents(stopped: Path) -> None:
    out = call("batch", stopped, "--makes", "120 x 1 L", "--scale", "1").out
    assert "Volume 120000 mL;" in out and "e+" not in out


# Compare, shelf, reckon.


def test_compare(tmp_path: Path) -> None:
    milder = tmp_path / "milder.toml"
    call("adjust", GEL, "--set", "azelaic acid=5%", "--give", "all", "--out", milder)
    form = call("compare", GEL, milder, "--json").json("levigate compare FIRST SECOND")
    changed = {line["material"]: line["percents"] for line in form["lines"] if line["change"] == "changed"}
    assert changed["azelaic acid"] == [10, 5] and changed["isoamyl laurate"] == [18, 19]
    before, after = form["figures"]["density"]["values"]
    assert form["figures"]["density"]["unit"] == "g/mL" and after < before
    out = call("compare", GEL, milder).out
    assert re.search(r"azelaic acid +A +10 +5 +changed", out)
    same = call("compare", GEL, GEL).out
    assert "changed" not in same and "Substances that change" not in same


def test_compare_does_not_set_euros_beside_pounds(tmp_path: Path) -> None:
    serum = examples()["landfall-oil-serum"]
    other = tmp_path / "pounds.toml"
    other.write_text(serum.read_text(encoding="utf-8").replace("EUR/kg", "GBP/kg"), encoding="utf-8")
    assert "cost" in call("compare", serum, serum, "--json").json("levigate compare FIRST SECOND")["figures"]
    assert "cost" not in call("compare", serum, other, "--json").json("levigate compare FIRST SECOND")["figures"]


def test_shelf_find() -> None:
    hits = call("shelf", "find", "glycerine", "--json").json("levigate shelf find TEXT")
    assert hits[0]["key"] == "glycerin"
    assert call("shelf", "find", "56-81-5").out.splitlines()[1].startswith("glycerin")
    nothing = call("shelf", "find", "xqzzkw vvq")
    assert nothing.status == 1 and "Nothing on the shelf is called anything like" in nothing.out
    assert call("shelf", "find", "xqzzkw vvq", "--json").json("levigate shelf find TEXT") == []


def test_shelf_show() -> None:
    form = call("shelf", "show", "phenoxyethanol", "--json").json("levigate shelf show NAME")
    assert form["record"]["inci"] == "Phenoxyethanol"
    out = call("shelf", "show", "phenoxyethanol").out
    assert "Limits (verify against the current text of the law)" in out and "Cautions" in out
    assert not ANSI.search(out)


def test_shelf_like() -> None:
    near = call("shelf", "like", "isopropyl myristate", "--most", "3", "--json").json("levigate shelf like NAME")
    assert len(near) == 3 and near[0]["alike"] and near[0]["distance"] < 2
    said = " ".join(call("shelf", "like", "squalane", "castor oil").out.split())
    assert "castor oil: 12.9 MPa½ away, not like for like" in said and "more polar" in said
    assert call("shelf", "like", "jojoba oil").status == 2


def test_shelf_show_says_a_limit_in_full() -> None:
    """Counted as what, by what factor, from when: all that one needs to check it against the text of the law."""
    salt = " ".join(call("shelf", "show", "sodium benzoate").out.split())
    assert (
        "· EU, leave-on: 0.5 % counted as benzoic acid (× 0.8475). Regulation (EC) 1223/2009, Annex V, entry 1" in salt
    )
    silicone = " ".join(call("shelf", "show", "cyclopentasiloxane").out.split())
    assert re.search(r"leave-on: 0\.1 %\. [^·]*, applies from 2027-06-06\. Must stay below", silicone)
    quaternium = " ".join(call("shelf", "show", "quaternium-15").out.split())
    assert re.search(r"· EU, all: may not be used\. [^·]*\d\.", quaternium)


def test_shelf_import_and_then_use(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    table, shelf = tmp_path / "own.csv", tmp_path / "shelf.toml"
    table.write_text("name,inci,density\nkelp jelly,Kelp,1.02 g/mL\n", encoding="utf-8")
    form = call("shelf", "import", table, "--shelf", shelf, "--json").json("levigate shelf import FILE")
    assert form == {"shelf": str(shelf), "materials": ["kelp jelly"]}
    monkeypatch.setenv("LEVIGATE_SHELF", str(shelf))
    assert call("shelf", "show", "kelp jelly", "--json").json("levigate shelf show NAME")["key"] == "kelp jelly"
    assert call("shelf", "import", table).status == 2
    again = call("shelf", "import", table, "--replace").out
    assert " ".join(again.split()).startswith("1 material brought to ")


@pytest.mark.parametrize("text", ["not = [toml", '"kelp" = 5', "\xff"])
def test_a_shelf_that_is_none_is_refused(tmp_path: Path, text: str) -> None:
    path = tmp_path / "shelf.toml"
    path.write_bytes(text.encode("latin-1"))
    called = call("review", CREAM, "--shelf", path)
    assert called.status == 2 and str(path) in called.err


def test_reckon_lists_and_does() -> None:
    listed = call("reckon", "--json").json("levigate reckon")
    assert {"convert", "density", "ethanol-water", "weighing"} <= {one["sum"] for one in listed}
    for one in listed:
        assert one["title"] in " ".join(call("reckon").out.split())
    form = call("reckon", "ethanol-water", "by_mass=0.5", "temperature=40C", "--json").json(
        "levigate reckon NAME key=value"
    )
    assert form["figures"]["density"]["value"] == pytest.approx(0.89744, abs=5e-6)
    assert form["working"]
    out = call("reckon", "ethanol-water", "ethanol=50mL", "water=50mL").out
    assert "Volume after mixing: 96.46 mL" in out and "Working" in out and "[International Organization" in out
    keys = call("reckon", "weighing")
    assert keys.status == 2 and "one step of the scale" in keys.out


# Demo, new.


def on_record(database: Path) -> list[tuple[object, ...]]:
    """Return what is on record, read without this program."""
    with contextlib.closing(sqlite3.connect(database)) as records:
        formulas = records.execute("SELECT name, created FROM records_formula ORDER BY name").fetchall()
        return [*formulas, *records.execute("SELECT code, state FROM records_batch ORDER BY code").fetchall()]


def test_demo_writes_its_files_and_can_do_it_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("LEVIGATE_DATABASE_URL", raising=False)
    folder = tmp_path / "out"
    form = call("demo", "--to", folder, "--json").json("levigate demo")
    assert form["workshop"] == str(folder / "workshop")
    kept = on_record(folder / "workshop" / "workshop.sqlite3")
    assert {"Groyne balm", "Breakwater hand cream"} <= {row[0] for row in kept}
    assert {"released", "held", "weighing"} <= {row[1] for row in kept}
    again = "".join(call("demo", "--to", folder).out.split())  # a long path is folded, wherever it is
    assert f"levigateopen--data{folder / 'workshop'}" in again
    assert on_record(folder / "workshop" / "workshop.sqlite3") == kept
    written = {path.name for path in folder.iterdir() if path.is_file()}
    assert set(form["files"]) == written and form["stopped"] == []
    for name in examples():
        assert {
            f"{name}{end}" for end in (".toml", ".review.txt", ".review.json", ".batch.txt", ".batch.md", ".batch.pdf")
        } <= written
        assert json.loads((folder / f"{name}.review.json").read_text(encoding="utf-8"))["figures"]
        assert (folder / f"{name}.batch.pdf").read_bytes().startswith(b"%PDF-")
        assert "Total" in (folder / f"{name}.batch.txt").read_text(encoding="utf-8")
    assert "96.46 mL" in (folder / "reckon.txt").read_text(encoding="utf-8")
    assert "changed" in (folder / "compare.txt").read_text(encoding="utf-8")


def test_demo_leaves_a_database_server_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LEVIGATE_DATABASE_URL", "postgres://nobody@127.0.0.1:9/nothing")
    form = call("demo", "--to", tmp_path, "--json").json("levigate demo")
    assert form["workshop"] is None and not (tmp_path / "workshop").exists()


def test_demo_into_a_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    called = call("demo", "--to", tmp_path / "file")
    assert called.status == 2 and "cannot be made a folder: file exists." in called.err


def test_new_never_overwrites(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    form = call("new", "Pier's end: balm!", "--like", "groyne balm", "--json").json("levigate new NAME")
    assert form["file"] == "pier-s-end-balm.toml"
    made = load_formula(form["file"])
    assert made.name == "Pier's end: balm!" and made.use == "body balm"
    assert call("review", form["file"]).status == 0
    before = Path(form["file"]).read_bytes()
    again = call("new", "Pier's end: balm!")
    assert again.status == 2 and "pier-s-end-balm.toml exists already; choose another with --out." in again.err
    assert Path(form["file"]).read_bytes() == before
    assert call("new", "Pier's end: balm!", "--out", tmp_path / "other.toml").status == 0


def test_new_lists_what_it_can_begin_from() -> None:
    assert call("new", "--like", "list", "x").out.split() == list(examples())
    form = call("new", "--like", "list", "x", "--json").json("levigate new NAME")
    assert form == {"file": None, "known": list(examples())}


def test_new_refuses_a_name_that_no_formula_may_have(tmp_path: Path) -> None:
    path = tmp_path / "long.toml"
    called = call("new", "x" * 300, "--out", path)
    assert called.status == 2 and not path.exists()


# What comes from a file steers no terminal.


def test_a_name_with_control_characters_is_harmless(tmp_path: Path) -> None:
    path = tmp_path / "sly.toml"
    sly = "\\u001b[2Jgone\\u0007\\u009b31m"
    path.write_text(
        STOPPED.replace("Left-over tea", sly).replace(
            '"glycerin", percent = 5', f'"{sly}", percent = 5, note = "{sly}"'
        ),
        encoding="utf-8",
    )
    calls: list[list[str | Path]] = [
        ["review", path, "--working"],
        ["batch", path],
        ["adjust", path, "--decimals", "2"],
        ["compare", path, path],
    ]
    for words in calls:
        called = call(*words)
        assert called.status in (0, 1)
        assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f]", called.out + called.err)
        assert "gone" in called.out
    assert not re.search(r"[\x1b\x07\x9b]", call("adjust", path, "--set", f"{sly}x=5").err)


# The real command, as another process.


def levigate(*words: str | Path, **more: Any) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-m", "levigate", *map(str, words)], capture_output=True, check=False, **more
    )


def test_the_real_command_has_the_three_statuses(stopped: Path) -> None:
    fine = levigate("reckon", "convert", "amount=1 fl oz", "to=mL")
    assert (fine.returncode, fine.stderr) == (0, b"") and b"29.57" in fine.stdout
    assert levigate("review", stopped).returncode == 1
    wrong = levigate("review", "nowhere.toml")
    assert wrong.returncode == 2
    assert wrong.stderr == b"levigate: nowhere.toml cannot be read: no such file or directory.\n"


def test_the_real_command_writes_utf8_whatever_the_terminal_speaks() -> None:
    poor = {**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0", "LC_ALL": "C"}
    done = levigate("reckon", "ethanol-water", "by_mass=0.5", env=poor)
    assert done.returncode == 0 and "ρ(p = 0.5000, 20 °C)".encode() in done.stdout
    assert not ANSI.search(done.stdout.decode("utf-8"))


def test_the_real_command_ends_quietly_when_nobody_listens() -> None:
    with subprocess.Popen(
        [sys.executable, "-m", "levigate", "shelf", "find", "oil"], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as running:
        assert running.stdout is not None and running.stderr is not None
        running.stdout.close()
        said = running.stderr.read()
    assert b"Traceback" not in said
