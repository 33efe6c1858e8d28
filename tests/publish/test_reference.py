"""The pages made from the code are those that stand in the documentation, and say what they should."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from levigate.publish import reference
from levigate.publish.reference import FOLDER, PRINTED, json_page, main, pages, rules_page, schemas
from levigate.review.findings import rules


@pytest.mark.parametrize("name", list(pages()))
def test_the_page_that_stands_is_the_page_that_is_made(name: str) -> None:
    assert (FOLDER / name).read_text(encoding="utf-8") == pages()[name], "out of date: make docs"


def test_every_rule_is_on_its_page_with_why_and_on_whose_word() -> None:
    page = rules_page()
    for name, rule in rules().items():
        section = page.partition(f"\n## {name}\n")[2].partition("\n## ")[0]
        assert rule.why in section
        assert section.count("\n- ") == len(rule.sources)


def test_every_command_and_every_shape_is_on_its_page() -> None:
    page = json_page()
    for one in PRINTED:
        assert f"`{one.command}`" in page
    names = set(re.findall(r"^## (\w+)$", page, re.MULTILINE))
    assert names == set(schemas())
    links = set(re.findall(r"\]\(#(\w+)\)", page))
    assert links <= {name.lower() for name in names}
    for schema in schemas().values():
        assert schema.get("description"), schema["title"]
    assert "anything" not in page


def test_units_are_said_where_a_number_has_one() -> None:
    page = json_page()
    for field in ("error_percent", "rounding_percent", "yield_g", "volume_mL", "running_grams"):
        (row,) = re.findall(rf"^\| `{field}` \|.*\| (.*) \|$", page, re.MULTILINE)
        assert row.endswith(".")


def test_check_says_what_is_out_of_date_and_writing_mends_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(reference, "FOLDER", tmp_path / "reference")
    assert main(["--check"]) == 1
    assert capsys.readouterr().err.count("out of date") == len(pages())
    assert not (tmp_path / "reference").exists()
    assert main([]) == 0 and main(["--check"]) == 0
    assert {path.name for path in (tmp_path / "reference").iterdir()} == set(pages())
