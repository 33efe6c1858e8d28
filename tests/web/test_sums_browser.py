"""A quick sum and the first page under a real browser; the content policy refuses nothing."""

from __future__ import annotations

import re
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
    assert [text for text in said if "status of 422" not in text] == []


def test_a_sum_is_worked_out_in_place_and_its_address_can_be_kept(page: Any, workshop: Workshop) -> None:
    page.goto(f"{workshop.address}/sums/convert/")
    page.fill("#sum-amount", "1 fl oz")
    page.keyboard.press("Enter")
    expect(page.locator("#wrong")).to_contain_text("This is still to be told: To")
    expect(page.locator("#sum-amount")).to_have_value("1 fl oz")
    page.fill("#sum-to", "mL")
    page.keyboard.press("Enter")
    expect(page.locator(".answer dl")).to_contain_text("29.57 mL")
    expect(page).to_have_url(re.compile("amount=1"))
    page.goto(page.url)
    expect(page.locator(".answer dl")).to_contain_text("29.57 mL")


def test_the_example_is_one_key_away(page: Any, workshop: Workshop) -> None:
    page.goto(f"{workshop.address}/sums/settling/")
    page.keyboard.press("e")
    expect(page.locator(".answer dl")).to_contain_text("mm/s")


def test_the_demo_workshop_is_one_press_away(page: Any) -> None:
    page.click("text=Load the demo workshop")
    expect(page.locator("#held")).to_be_visible()
    expect(page.locator("main")).to_contain_text("Slack-water toner")
