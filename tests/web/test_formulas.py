"""Pages of formulas: page, part and plain form; nothing typed is lost."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from levigate.demo import examples
from levigate.formula.text import read_formula
from levigate.records import formulas as records
from levigate.records.models import Formula
from tests.publish.test_jar import FALLS, WARM
from tests.publish.test_layers import milk
from tests.records.texts import PLAIN, with_glycerin

PART = {"HX-Request": "true"}


@pytest.fixture
def lotion(db: None) -> Formula:
    made = records.create(PLAIN)
    records.save(made, seen=0, knew=None, note_text="first")
    return made


def text_of(formula: Formula) -> str:
    return records.draft_of(formula).text


def post(client: Client, formula: Formula, where: str, part: bool = False, **words: Any) -> Any:
    words.setdefault("seen", records.draft_of(formula).number)
    return client.post(f"/formulas/{formula.slug}/{where}/", words, headers=PART if part else {})


def test_an_empty_list_teaches_and_a_full_one_lists(client: Client) -> None:
    assert b"No formula yet" in client.get("/formulas/").content
    records.create(PLAIN)
    assert b"Tideline lotion" in client.get("/formulas/").content


@pytest.mark.parametrize("family", examples())
def test_a_formula_is_begun_by_family(client: Client, family: str) -> None:
    answer = client.post("/formulas/new/", {"name": "Skerry <b>cream</b>", "family": family})
    page = client.get(answer["Location"])
    assert page.status_code == 200
    assert b"Skerry &lt;b&gt;cream&lt;/b&gt;" in page.content and b"<b>cream" not in page.content


def test_a_file_is_brought_in_and_handed_back_unchanged(client: Client) -> None:
    text = examples()["groyne-balm"].read_text(encoding="utf-8")
    answer = client.post("/formulas/bring/", {"text": text})
    assert client.get(answer["Location"] + "file/").content.decode() == text


@pytest.mark.parametrize("text", ["", "levigate = 2", "x" * 10, "[[[["])
def test_what_is_no_formula_is_told(client: Client, text: str) -> None:
    answer = client.post("/formulas/bring/", {"text": text})
    assert answer.status_code == 422 and not Formula.objects.exists()


def test_a_percent_is_set_as_a_plain_form_and_as_a_part(client: Client, lotion: Formula) -> None:
    assert post(client, lotion, "percent", position=1, percent="7,5").status_code == 302
    assert read_formula(text_of(lotion)).percents[1] == Decimal("7.5")
    part = post(client, lotion, "percent", part=True, position=1, percent="8")
    assert part.status_code == 200 and part.content.lstrip().startswith(b'<div id="sheet"')
    assert b'value="91.1"' in part.content


def test_what_cannot_be_is_said_and_nothing_changes(client: Client, lotion: Formula) -> None:
    part = post(client, lotion, "percent", part=True, position=1, percent="120")
    assert part.status_code == 422 and part["HX-Retarget"] == "#trouble" and b"more than the whole" in part.content
    assert text_of(lotion) == PLAIN
    assert post(client, lotion, "percent", position=99, percent="1").status_code == 422
    assert post(client, lotion, "percent", position=1, percent="lots").status_code == 422


def test_a_window_that_is_behind_is_told(client: Client, lotion: Formula) -> None:
    post(client, lotion, "percent", position=1, percent="6")
    late = post(client, lotion, "percent", part=True, position=1, percent="7", seen=0)
    assert late.status_code == 409 and b"another window" in late.content


def test_the_sentence_lets_others_give_way(client: Client, lotion: Formula) -> None:
    post(client, lotion, "sentence", position=1, percent="10", give="all")
    before, after = read_formula(PLAIN).percents, read_formula(text_of(lotion)).percents
    assert after[1] == 10 and abs(after[2] / after[0] - before[2] / before[0]) < Decimal("0.0002")


def test_lines_are_put_in_moved_renamed_described_and_taken_out(client: Client, lotion: Formula) -> None:
    post(client, lotion, "add", material="panthenol", percent="1", phase="")
    post(client, lotion, "line", do="move", position=1, phase="B", place=0)
    post(client, lotion, "line", do="rename", position=1, material="chlorphenesin")
    post(client, lotion, "line", do="describe", position=3, role="soothes", note="last")
    formula = read_formula(text_of(lotion))
    assert [(phase.letter, line.material, line.role) for phase, line in formula.lines()] == [
        ("A", "aqua", ""),
        ("A", "chlorphenesin", ""),
        ("B", "glycerin", ""),
        ("B", "panthenol", "soothes"),
    ]
    assert formula.adds_up
    post(client, lotion, "line", do="remove", position=3)
    assert len(read_formula(text_of(lotion)).percents) == 3


def test_undo_and_redo(client: Client, lotion: Formula) -> None:
    post(client, lotion, "percent", position=1, percent="6")
    post(client, lotion, "step", do="undo")
    assert text_of(lotion) == PLAIN
    post(client, lotion, "step", do="redo")
    assert text_of(lotion) == with_glycerin("6")


def test_a_remedy_is_applied_with_one_press(client: Client) -> None:
    made = records.create(PLAIN.replace('  { material = "phenoxyethanol", percent = 0.9 },\n', ""))
    page = client.get(f"/formulas/{made.slug}/").content.decode()
    assert "no preservative" in page
    post(client, made, "remedy", id="unpreserved-water-1a")
    assert "phenoxyethanol" in text_of(made)
    post(client, made, "step", do="undo")
    assert "phenoxyethanol" not in text_of(made)
    assert post(client, made, "remedy", id="gone-1a").status_code == 422


def test_a_sum_that_is_not_a_hundred_is_mended(client: Client) -> None:
    made = records.create(PLAIN.replace('"q.s."', "90"))
    page = client.get(f"/formulas/{made.slug}/").content.decode()
    assert "95.9" in page and "scale every line" in page.lower()
    post(client, made, "mend", way="scale every line by 100/95.9")
    assert read_formula(text_of(made)).adds_up


def test_every_figure_shows_its_working(client: Client, lotion: Formula) -> None:
    records.edit(lotion, PLAIN.replace("[[phase]]", '[container]\nshape = "jar 50 mL"\n\n[[phase]]', 1), "jar", seen=0)
    from levigate.web.formulas.reading import page_of

    for figure in page_of(lotion, "0.1").figures:
        answer = client.get(f"/formulas/{lotion.slug}/working/{figure.name}/")
        assert answer.status_code == 200 and figure.title in answer.content.decode()
    assert client.get(f"/formulas/{lotion.slug}/working/luck/").status_code == 404


def test_versions_are_saved_shown_taken_up_and_compared(client: Client, lotion: Formula) -> None:
    post(client, lotion, "percent", position=1, percent="6")
    post(client, lotion, "save", note="milder", knew=1)
    tree = client.get(f"/formulas/{lotion.slug}/versions/").content.decode()
    assert "milder" in tree
    assert b"6" in client.get(f"/formulas/{lotion.slug}/versions/2/").content
    client.post(f"/formulas/{lotion.slug}/versions/1/take-up/")
    assert text_of(lotion) == PLAIN
    post(client, lotion, "percent", position=1, percent="9")
    assert post(client, lotion, "save", note="on from the first", knew=2).status_code == 302
    assert lotion.versions.get(number=3).parent == lotion.versions.get(number=1)
    beside = client.get(f"/formulas/compare/?with={lotion.slug}:1&with={lotion.slug}:2&with={lotion.slug}").content
    assert beside.count(b'<th scope="col" class="n">') == 3
    assert client.get("/formulas/compare/?with=nothing").status_code == 422


def test_the_second_saver_sees_the_difference_and_loses_nothing(client: Client, lotion: Formula) -> None:
    post(client, lotion, "percent", position=1, percent="6")
    records.add_version(lotion, with_glycerin("4"), parent=lotion.versions.get(number=1), note_text="theirs")
    told = post(client, lotion, "save", note="mine", knew=1)
    assert told.status_code == 409 and b"newer version 2" in told.content and b"mine" in told.content
    assert b"<del>4 %</del>" in told.content and b"<ins>6 %</ins>" in told.content
    post(client, lotion, "save", note="mine", knew=1, beside="yes")
    assert lotion.versions.get(number=3).text == with_glycerin("6")
    assert lotion.versions.get(number=3).parent == lotion.versions.get(number=1)


def test_the_whole_text_is_changed_and_what_is_wrong_is_said_with_its_line(client: Client, lotion: Formula) -> None:
    post(client, lotion, "text", text=with_glycerin("3"))
    assert text_of(lotion) == with_glycerin("3")
    wrong = post(client, lotion, "text", part=True, text=PLAIN.replace("percent = 5", "percent = five"))
    assert wrong.status_code == 422 and b"line" in wrong.content


def test_charts_are_pictures_without_scripts(client: Client) -> None:
    made = records.create(examples()["lee-shore-azelaic-gel"].read_text(encoding="utf-8"))
    listed = client.get(f"/formulas/{made.slug}/charts/").content.decode()
    assert "charts/grain.svg" in listed
    answer = client.get(f"/formulas/{made.slug}/charts/grain.svg")
    assert answer["Content-Type"] == "image/svg+xml" and "default-src 'none'" in answer["Content-Security-Policy"]
    assert client.get(f"/formulas/{made.slug}/charts/luck.svg").status_code == 404


def test_the_jar_is_drawn_and_told_in_a_table_without_scripts(client: Client) -> None:
    made = records.create(FALLS.format(shape="jar 50 mL"))
    page = client.get(f"/formulas/{made.slug}/jar/").content.decode()
    assert "<polygon" in page and "of settled powder at the bottom" in page and "<table" in page
    part = client.get(f"/formulas/{made.slug}/jar/", headers=PART).content.decode()
    assert part.lstrip().startswith('<div class="drawn"') and "data-frames" in part
    assert page.count("no layer to be seen") == 1 + part.count("no layer to be seen")  # one row of the table


def layers(page: str) -> dict[str, tuple[float, float]]:
    """Return where each layer of a drawing begins and how high it is."""
    found = re.findall(r'data-layer="(\w+)" x="[-\d.]+" y="([-\d.]+)" width="[\d.]+" height="([\d.]+)"', page)
    return {name: (float(y), float(height)) for name, y, height in found}


def test_a_cream_is_drawn_on_top_of_the_clear_layer(client: Client) -> None:
    made = records.create(milk(oil=20))
    page = client.get(f"/formulas/{made.slug}/jar/").content.decode()
    drawn = layers(page)
    (clear_y, clear), (cream_y, cream) = drawn["clear"], drawn["cream"]
    floor = drawn["sediment"][0]  # a bed of no height lies on the floor
    assert clear_y + clear == pytest.approx(floor, abs=0.2) and cream > 0
    assert cream_y + cream == pytest.approx(clear_y, abs=0.05 * (clear + cream))
    assert "of cream on top" in page and 'class="not-known"' not in page


def test_what_is_not_known_is_not_drawn_as_if_it_stayed(client: Client) -> None:
    made = records.create(milk(measured="", more='{ material = "sorbitan oleate", percent = 0.5 },'))
    page = client.get(f"/formulas/{made.slug}/jar/").content.decode()
    assert 'class="not-known"' in page and "reckon slump" in page and "slider" not in page


def test_the_level_of_a_warm_filling_is_marked_above_that_of_the_cooled_one(client: Client) -> None:
    made = records.create(WARM.format(box='shape = "jar 50 mL"', at=75, makes=50))
    page = client.get(f"/formulas/{made.slug}/jar/").content.decode()
    (cold,) = re.findall(r'class="level" [^>]*y1="([\d.]+)"', page)
    (hot,) = re.findall(r'<line class="warm" [^>]*y1="([\d.]+)"', page)
    # Oils lose 0.0007 g/mL a kelvin (Noureddini and others, 1992): 55 K on 50 mL in a jar of 50 mm, in tenths of a mm.
    swollen = 50e-6 * (0.919 / (0.919 - 55 * 0.0007) - 1) / (3.14159 / 4 * 0.05**2) * 1e4
    assert float(cold) - float(hot) == pytest.approx(swollen, rel=0.12)
    assert "75 °C" in page and "sinks to its line as it cools" in page
