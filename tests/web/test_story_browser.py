"""One story on an empty workshop, from a first formula to a jar and back, and all of it in another folder."""

from __future__ import annotations

import csv
import io
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect

from tests.web.driving import Workshop, chromium, opened, own_environment

SLUG = "evening-toner"


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workshop]:
    with opened(tmp_path_factory.mktemp("workshop")) as one:
        yield one


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with chromium() as one:
        yield one


@pytest.fixture
def page(workshop: Workshop, browser: Any) -> Iterator[Any]:
    one = browser.new_page()
    said: list[str] = []
    one.on("console", lambda message: said.append(message.text))
    one.on("pageerror", lambda trouble: said.append(str(trouble)))
    one.goto(workshop.opens)
    yield one
    one.close()
    assert said == []


def records(command: str, file: Path, data: Path) -> str:
    """Run `levigate records` as a person does, beside the workshop that is open."""
    done = subprocess.run(
        [sys.executable, "-m", "levigate", "records", command, str(file), "--data", str(data)],
        capture_output=True, text=True, env=own_environment(data), check=False, timeout=120,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout


def table(archive: Path, ends: str) -> list[dict[str, str]]:
    with zipfile.ZipFile(archive) as held:
        (name,) = [one for one in held.namelist() if one.endswith(ends)]
        return list(csv.DictReader(io.StringIO(held.read(name).decode("utf-8"))))


def takes_in(page: Any, workshop: Workshop, material: str, number: str, grams: str) -> str:
    """Take a lot in; returns the address of its page."""
    page.goto(f"{workshop.address}/shelf/{material}/receive/")
    page.fill("#number", number)
    page.fill("#grams", grams)
    page.click("text=Take it in")
    expect(page.locator("h1")).to_have_text(f"Lot {number}")
    return str(page.url)


def a_formula_is_made(page: Any, workshop: Workshop) -> None:
    """Begin with a toner; its acid is mended by one press, and version 1 is saved."""
    page.goto(workshop.address)
    page.check("input[value=slack-water-toner]")
    page.fill("#name", "Evening toner")
    page.click("button:has-text('Begin')")
    expect(page.locator("h1")).to_have_text("Evening toner")
    finding = page.locator(".note:has(h3:text('drops crystals in the cold'))")
    expect(finding).to_have_count(1)
    before = [one.input_value() for one in page.locator("input.pc").all()]
    finding.locator("button.word").first.click()
    expect(finding).to_have_count(0)
    assert [one.input_value() for one in page.locator("input.pc").all()] != before
    page.click("button:has-text('Save a version')")
    page.fill("#save textarea", "clear in the cold")
    page.click("#save button.go")
    expect(page.locator("main")).to_contain_text("Saved as version 1")


def a_batch_is_weighed(page: Any) -> tuple[str, dict[str, str]]:
    """Plan 200 g and weigh it, the second line over-poured and left; returns its code and what went in."""
    page.click("a:has-text('Weigh a batch')")
    page.fill("[name=makes]", "200 g")
    page.keyboard.press("Tab")
    expect(page.locator("#plan tfoot")).to_contain_text("200")
    page.click("text=Put it on the bench")
    page.click("button:has-text('Weigh it')")
    expect(page.locator(".need")).to_be_visible()
    code = str(page.url).split("/bench/")[1].partition("/")[0]
    weighed: dict[str, str] = {}
    lines = page.locator(".list li").count()
    assert lines > 5
    for number in range(lines):
        material = page.locator("h1").inner_text()
        asked = page.locator(".need").inner_text().split()[0]
        grams = asked if number != 1 else f"{float(asked) + 1:.1f}"
        page.fill("#reading", grams)
        page.keyboard.press("Enter")
        if number == 1:
            expect(page.locator(".over-poured")).to_contain_text("1.0 g over")
            page.click("button:has-text('Leave it')")
        expect(page.locator("h1")).not_to_have_text(material)
        weighed[material] = grams
    expect(page.locator("h1")).to_have_text("All is weighed")
    return code, weighed


def on_record(page: Any) -> dict[str, str]:
    """Return what the batch record says was weighed, by material."""
    page.wait_for_load_state()
    rows = page.locator(".record tr:has(th.name)").evaluate_all(
        "(rows) => rows.map((row) => ['th', 'b'].map((part) => row.querySelector(part).firstChild.textContent))"
    )
    return {material.strip(): grams.strip() for material, grams in rows}


def it_is_filled_and_released(page: Any) -> list[str]:
    """Fill three jars and let the batch go; returns their codes."""
    page.click("button:has-text('It is made')")
    page.fill("[name=container]", "bottle 50 mL")
    page.fill("[name=nominal]", "50 g")
    page.fill("[name=count]", "3")
    page.click("text=Give them their codes")
    codes = []
    for grams in ("50.1", "50.3", "50.2"):
        codes.append(page.locator(".next .code").inner_text())
        page.fill(".jar [name=reading]", grams)
        page.keyboard.press("Enter")
        expect(page.locator(".jars")).to_contain_text(f"{grams} g")
    page.click("text=All is filled")
    page.fill("[name=why]", "looks and smells right")
    page.click("text=Release it")
    expect(page.locator("[aria-current=step]")).to_have_text("released")
    return codes


def test_from_a_first_formula_to_a_jar_and_back(page: Any, workshop: Workshop, tmp_path: Path) -> None:
    a_formula_is_made(page, workshop)
    lot = takes_in(page, workshop, "propanediol", "P-31", "400")
    page.goto(f"{workshop.address}/formulas/{SLUG}/")
    code, weighed = a_batch_is_weighed(page)
    jars = it_is_filled_and_released(page)
    assert len(set(jars)) == 3

    page.click("a:has-text('Record')")
    expect(page.locator(".record")).to_be_visible()
    assert on_record(page) == weighed
    for jar in jars:
        expect(page.locator(".record .jars")).to_contain_text(jar)
    paper = page.request.get(page.locator("a:has-text('As PDF')").evaluate("(one) => one.href"))
    assert paper.ok and paper.body().startswith(b"%PDF")

    page.goto(f"{workshop.address}/find/jar/?code={jars[1].lower()}")
    expect(page.locator("main tr:has-text('P-31')")).to_contain_text(f"{float(weighed['propanediol']):g} g")
    page.click("text=P-31")
    expect(page).to_have_url(lot)
    expect(page.locator("main")).to_contain_text(f"{400 - float(weighed['propanediol']):g} g")
    page.click(f"main a:has-text('{jars[2]}')")
    expect(page.locator("h1")).to_have_text(f"Jar {jars[2]}")

    archive, again = tmp_path / "all.zip", tmp_path / "again.zip"
    fresh = tmp_path / "fresh"
    records("export", archive, workshop.data)
    records("import", archive, fresh)
    same_in_the_other_folder(page, workshop, fresh, code, weighed)
    records("export", again, fresh)
    kept = table(archive, "weighings.csv")
    assert len(kept) == len(weighed) and kept == table(again, "weighings.csv")


def same_in_the_other_folder(page: Any, workshop: Workshop, fresh: Path, code: str, weighed: dict[str, str]) -> None:
    """Open the other folder: the formula to the letter, the batch by its code, each weight."""
    formula = page.request.get(f"{workshop.address}/formulas/{SLUG}/file/").text()
    assert 'name = "Evening toner"' in formula
    with opened(fresh) as other:
        page.goto(other.opens)
        assert page.request.get(f"{other.address}/formulas/{SLUG}/file/").text() == formula
        page.goto(f"{other.address}/bench/{code}/record/")
        expect(page.locator("h1")).to_have_text("Evening toner")
        expect(page.locator(".record .sub")).to_contain_text("released")
        assert on_record(page) == weighed


def tab_to(page: Any, selector: str) -> None:
    """Press Tab until the focus, which has to be seen, is on what is meant."""
    for _ in range(90):
        page.keyboard.press("Tab")
        if page.locator(selector).and_(page.locator(":focus")).count():
            seen = (
                "(one) => getComputedStyle(one).outlineStyle !== 'none' || getComputedStyle(one).boxShadow !== 'none'"
            )
            assert page.evaluate(f"({seen})(document.activeElement)"), f"the focus on {selector} is not to be seen"
            return
    raise AssertionError(f"Tab never came to {selector}")


def test_by_keyboard_alone_a_formula_is_begun_mended_and_saved(page: Any, workshop: Workshop) -> None:
    with_keys = page.keyboard
    tab_to(page, "nav a[href='/formulas/']")
    with_keys.press("Enter")
    page.wait_for_url("**/formulas/")
    tab_to(page, "main a[href='/formulas/new/']")
    with_keys.press("Enter")
    page.wait_for_url("**/formulas/new/")
    page.wait_for_function("document.activeElement.matches('main [name=name]')")
    with_keys.type("By keys alone")
    tab_to(page, "[name=family]")
    for _ in range(6):
        if page.locator("[value=slack-water-toner]").is_checked():
            break
        with_keys.press("ArrowDown")
    tab_to(page, "main .go")
    with_keys.press("Enter")
    expect(page.locator("h1")).to_have_text("By keys alone")
    tab_to(page, "#pc-1")
    with_keys.type("4")
    with_keys.press("Enter")
    expect(page.locator(".heading .sub")).to_contain_text("propanediol")
    expect(page.locator("#pc-1")).to_have_value("4")
    finding = page.locator(".note:has(h3:text('drops crystals in the cold'))")
    expect(finding).to_have_count(1)
    tab_to(page, ".note:has(h3:text('drops crystals')) button.word")
    with_keys.press("Enter")
    expect(finding).to_have_count(0)
    with_keys.press("s")
    expect(page.locator("#save")).to_be_visible()
    page.wait_for_function("document.activeElement.matches('#save textarea')")
    with_keys.type("by keys")
    tab_to(page, "#save button.go")
    with_keys.press("Enter")
    expect(page.locator("main")).to_contain_text("Saved as version 1")
