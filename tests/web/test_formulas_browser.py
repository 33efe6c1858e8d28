"""The ledger under a real browser: edit, undo, remedy, order, slide, save; the content policy refuses nothing."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect

from tests.publish.test_jar import FALLS
from tests.publish.test_layers import milk
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


def bring(page: Any, workshop: Workshop, text: str) -> None:
    page.goto(f"{workshop.address}/formulas/bring/")
    page.fill("#text", text)
    page.click("text=Bring it in")
    page.wait_for_selector("#ledger")


def percent(page: Any, position: int) -> str:
    return str(page.input_value(f"#pc-{position}"))


def test_edit_undo_remedy_and_save(page: Any, workshop: Workshop) -> None:
    bring(page, workshop, FALLS.format(shape="jar 50 mL"))
    page.fill("#pc-1", "8")
    page.keyboard.press("Tab")
    expect(page.locator("#pc-0")).to_have_value("92")
    page.locator("h1").click()
    page.keyboard.press("u")
    expect(page.locator("#pc-0")).to_have_value("90")
    page.locator(".note.stop button.word").first.click()
    expect(page.locator("tr[data-position]")).to_have_count(3)
    expect(page.locator(".note.stop")).to_have_count(0)
    page.keyboard.press("s")
    page.fill("#save textarea", "holds the powder up")
    page.click("#save button.go")
    page.wait_for_selector("text=Saved as version 1")


def test_lines_move_by_keyboard_and_by_drag(page: Any, workshop: Workshop) -> None:
    bring(page, workshop, FALLS.format(shape="jar 50 mL"))
    page.focus("#pc-1")
    page.keyboard.press("Alt+ArrowUp")
    expect(page.locator("#pc-0")).to_have_value("10")
    page.locator("#line-0 .grip").drag_to(page.locator("#line-1"))
    expect(page.locator("#pc-1")).to_have_value("10")


def test_the_slider_tells_what_is_to_be_seen(page: Any, workshop: Workshop) -> None:
    bring(page, workshop, FALLS.format(shape="jar 50 mL"))
    page.wait_for_selector(".drawn .slider")
    slider = page.locator(".drawn .slider")
    assert "at the bottom" in page.inner_text(".says")
    slider.focus()
    page.keyboard.press("Home")
    expect(page.locator(".says span")).to_have_text("no layer to be seen")
    assert page.inner_text(".says .when") == "fresh"
    assert page.get_attribute("[data-layer=sediment]", "height") == "0"


def test_the_slider_lifts_the_clear_layer_of_a_cream_off_the_floor_and_asks_nothing(
    page: Any, workshop: Workshop
) -> None:
    bring(page, workshop, milk(oil=20))
    slider = page.locator(".drawn .slider")
    slider.focus()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.keyboard.press("Home")
    expect(page.locator("[data-layer=cream]")).to_have_attribute("height", "0")
    page.keyboard.press("End")
    expect(page.locator(".says span")).to_contain_text("of cream on top")
    edge = [float(page.get_attribute("[data-layer=clear]", side)) for side in ("y", "height")]
    assert sum(edge) == pytest.approx(float(page.get_attribute("[data-layer=sediment]", "y")), abs=0.2)
    assert asked == []


def test_what_cannot_be_is_said_on_the_page_and_stays_in_the_field(page: Any, workshop: Workshop) -> None:
    bring(page, workshop, FALLS.format(shape="jar 50 mL"))
    page.fill("#pc-1", "140")
    page.keyboard.press("Tab")
    page.wait_for_selector("#trouble .note")
    assert "more than the whole" in page.inner_text("#trouble")
    assert percent(page, 1) == "140"


def test_without_javascript_everything_can_be_read_and_done(workshop: Workshop, browser: Any, tmp_path: Path) -> None:
    context = browser.new_context(java_script_enabled=False)
    plain = context.new_page()
    plain.goto(workshop.opens)
    bring(plain, workshop, FALLS.format(shape="jar 50 mL"))
    plain.fill("#pc-1", "8")
    plain.press("#pc-1", "Enter")
    assert plain.input_value("#pc-0") == "92"
    plain.click("text=The jar, through time")
    assert "a clear layer of" in plain.inner_text("table")
    context.close()
