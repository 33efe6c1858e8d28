"""The shelf and the find box under a real browser; the content policy refuses nothing."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import expect

from tests.web.driving import Workshop, chromium, opened


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
    # The browser itself tells of an answer that is a refusal.
    assert [text for text in said if "status of 422" not in text] == []


def test_the_find_box_is_walked_by_keyboard(page: Any) -> None:
    page.keyboard.press("/")
    page.keyboard.type("azelaec")
    first = page.locator("#found-here a").first
    expect(first).to_contain_text("azelaic acid")
    expect(page.locator("#find")).to_have_attribute("aria-expanded", "true")
    page.keyboard.press("ArrowDown")
    expect(first).to_have_attribute("aria-selected", "true")
    page.keyboard.press("ArrowDown")
    expect(first).to_have_attribute("aria-selected", "false")
    page.keyboard.press("Escape")
    expect(page.locator("#found-here")).to_be_hidden()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    expect(page.locator("h1")).to_have_text("Azelaic acid")


def test_enter_without_a_choice_shows_everything_found(page: Any) -> None:
    page.keyboard.press("/")
    page.keyboard.type("glycerin")
    expect(page.locator("#found-here a").first).to_be_visible()
    page.keyboard.press("Enter")
    expect(page.locator("h1")).to_contain_text("Found for")


def test_the_shelf_answers_as_one_types(page: Any, workshop: Workshop) -> None:
    page.goto(f"{workshop.address}/shelf/")
    page.keyboard.type("squalan")
    expect(page.locator("#list tbody tr").first).to_contain_text("squalane")
    page.select_option("#kind", "hydrocarbon")
    page.wait_for_url("**/shelf/?q=squalan&kind=hydrocarbon")
    assert page.input_value("#look") == "squalan"
    page.fill("#look", "")
    page.select_option("#kind", "preservative")
    expect(page.locator("#list tbody tr").first).to_contain_text("preservative")
    expect(page.locator("#list")).not_to_contain_text("squalane")


def test_a_value_is_measured_and_outranks_and_trouble_stays_on_the_page(page: Any, workshop: Workshop) -> None:
    page.goto(f"{workshop.address}/shelf/squalane/")
    page.select_option("#property", "density")
    page.fill("#value", "0.9 parsec")
    page.click("text=Keep this value")
    expect(page.locator("#trouble .note")).to_contain_text("parsec")
    assert page.input_value("#value") == "0.9 parsec"
    page.fill("#value", "0.815 g/mL")
    page.click("text=Keep this value")
    expect(page.locator(".known tbody").first.locator("tr").first).to_contain_text("0.815 g/mL")
    expect(page.locator(".known tbody").first).to_contain_text("measured here")
    page.locator(".measured summary").click()
    page.fill(".measured [name=value]", "0.81 g/mL")
    page.fill(".measured [name=why]", "read the wrong line")
    page.keyboard.press("Enter")
    expect(page.locator(".measured del")).to_have_text("0.815 g/mL")


def test_a_lot_is_taken_in_and_its_stock_corrected(page: Any, workshop: Workshop) -> None:
    page.goto(f"{workshop.address}/shelf/glycerin/")
    page.keyboard.press("l")
    page.fill("#number", "G-1")
    page.fill("#grams", "-5")
    page.click("text=Take it in")
    expect(page.locator("#trouble .note")).to_contain_text("holds nothing")
    page.fill("#grams", "500")
    page.click("text=Take it in")
    expect(page.locator("h1")).to_have_text("Lot G-1")
    page.fill("#lot [name=grams]", "480")
    page.fill("#lot .say [name=why]", "counted")
    page.click("button:has-text('Correct the stock')")
    expect(page.locator("p.left b")).to_have_text("480 g")


@pytest.mark.parametrize("width", [390, 820, 1400])
def test_nothing_hangs_over_the_edge(page: Any, workshop: Workshop, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 900})
    for path in ("/shelf/", "/shelf/carbomer/", "/shelf/olive%20oil/", "/shelf/lots/", "/shelf/new/", "/shelf/bring/"):
        page.goto(workshop.address + path)
        assert page.evaluate("document.documentElement.scrollWidth") <= width, path


def test_without_javascript_everything_can_be_read_and_done(workshop: Workshop, browser: Any) -> None:
    context = browser.new_context(java_script_enabled=False)
    plain = context.new_page()
    plain.goto(workshop.opens)
    plain.fill("#find", "panthenol")
    plain.press("#find", "Enter")
    plain.click("main .found a >> nth=0")
    plain.select_option("#property", "density")
    plain.fill("#value", "1.2 g/mL")
    plain.click("text=Keep this value")
    assert "measured here" in plain.inner_text(".known")
    context.close()
