"""The bench on a phone: an over-poured line, a reload in the middle, two pages open at once."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect

from tests.web.driving import Workshop, chromium, opened
from tests.web.test_bench import HOT

PHONE = {"width": 390, "height": 844}


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workshop]:
    with opened(tmp_path_factory.mktemp("workshop")) as one:
        yield one


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with chromium() as one:
        yield one


def device(browser: Any, workshop: Workshop, said: list[str], **words: Any) -> Any:
    page = browser.new_context(viewport=PHONE, has_touch=True, **words).new_page()
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda trouble: said.append(str(trouble)))
    page.goto(workshop.opens)
    return page


@pytest.fixture
def said() -> Iterator[list[str]]:
    texts: list[str] = []
    yield texts
    # The browser itself tells of an answer that is a refusal; the content policy refuses nothing.
    assert [
        text for text in texts if "status of 4" not in text and "ERR_" not in text and not text.startswith("htmx:")
    ] == []


@pytest.fixture
def page(workshop: Workshop, browser: Any, said: list[str]) -> Iterator[Any]:
    one = device(browser, workshop, said)
    yield one
    one.context.close()


def begun(page: Any, workshop: Workshop) -> str:
    """Bring a formula in, save it, plan a batch and begin to weigh; returns its address."""
    page.goto(f"{workshop.address}/formulas/bring/")
    page.fill("#text", HOT)
    page.click("text=Bring it in")
    page.click("text=Weigh a batch")
    page.click("text=Save the draft and plan on")
    page.click("text=Put it on the bench")
    page.click("button:has-text('Weigh it')")
    expect(page.locator(".need")).to_contain_text("188.2")
    return str(page.url).split("weigh/")[0]


def put(page: Any, grams: str) -> None:
    page.fill("#reading", grams)
    page.keyboard.press("Enter")


def test_weigh_an_over_poured_batch_on_a_phone(page: Any, workshop: Workshop) -> None:
    batch = begun(page, workshop)
    put(page, "188.2")
    expect(page.locator("h1")).to_have_text("glycerin")
    page.fill("#reading", "12")
    expect(page.locator(".hint")).to_have_text("2 g over")
    page.keyboard.press("Enter")
    expect(page.locator(".over-poured")).to_contain_text("2.0 g over: it is now 5.94 %, not 5 %")
    page.click("text=Raise the rest to match")
    expect(page.locator("h1")).to_have_text("phenoxyethanol")
    expect(page.locator(".need")).to_contain_text("2.2")
    put(page, "2.2")
    expect(page.locator("h1")).to_have_text("aqua")  # it is topped up
    expect(page.locator(".need")).to_contain_text("37.6")
    put(page, "37.6")
    page.click("button:has-text('It is made')")
    page.fill("[name=bulk]", "236")
    page.click("text=Write it down")
    expect(page.locator("[name=bulk]")).to_have_value("236.0")
    page.fill("[name=nominal]", "50 g")
    page.click("text=Give them their codes")
    for grams in ("50.2", "50.1", "49.9", "50.3"):
        page.fill(".jar [name=reading]", grams)
        page.keyboard.press("Enter")
        expect(page.locator(".jars")).to_contain_text(f"{grams} g")
    expect(page.locator(".note h3")).to_contain_text("Within the tolerances")
    page.click("text=All is filled")
    page.fill("[name=why]", "looks and smells right")
    page.click("text=Release it")
    expect(page.locator("[aria-current=step]")).to_have_text("released")
    answer = page.request.get(f"{batch}record.pdf")
    assert answer.ok and answer.body().startswith(b"%PDF")


def test_a_reload_in_the_middle_loses_nothing(page: Any, workshop: Workshop) -> None:
    begun(page, workshop)
    put(page, "188.2")
    expect(page.locator("h1")).to_have_text("glycerin")
    page.fill("#reading", "9,8")
    page.click("text=Start the clock")
    key = page.input_value("[data-key-of-reading]")
    page.reload()
    expect(page.locator("#reading")).to_have_value("9,8")
    assert page.input_value("[data-key-of-reading]") == key  # sent twice, it would be kept once
    expect(page.locator("#timers")).to_contain_text(re.compile(r"(20:00|19:5\d)"))
    page.focus("#reading")
    page.keyboard.press("Enter")
    expect(page.locator(".need")).to_contain_text("0.2")
    page.reload()
    expect(page.locator("#reading")).to_have_value("")


def test_an_answer_that_never_came_is_asked_for_again(page: Any, workshop: Workshop) -> None:
    begun(page, workshop)
    page.route("**/weigh/", lambda route: (route.fetch(), route.abort()))  # kept, but the answer is lost
    put(page, "188.2")
    expect(page.locator("#trouble")).to_contain_text("does not answer")
    expect(page.locator("#reading")).to_have_value("188.2")
    page.unroute("**/weigh/")
    page.focus("#reading")
    page.keyboard.press("Enter")
    expect(page.locator("h1")).to_have_text("glycerin")
    expect(page.locator(".list li").first).to_contain_text("188.2 g ✓")


def test_two_devices_see_what_the_other_weighed(page: Any, browser: Any, workshop: Workshop, said: list[str]) -> None:
    batch = begun(page, workshop)
    other = device(browser, workshop, said)
    other.goto(f"{batch}weigh/?line=1")
    other.fill("#reading", "100")
    put(page, "150")
    expect(other.locator("#standing")).to_contain_text("Another device kept", timeout=8000)
    expect(other.locator(".need")).to_contain_text("38.2")
    assert other.input_value("#reading") == "100"  # what was typed stays
    other.fill("#reading", "38.2")
    other.focus("#reading")
    other.keyboard.press("Enter")
    expect(other.locator("h1")).to_have_text("glycerin")
    put(page, "38.2")  # the first device has not looked yet, or has: either way it is told
    expect(page.locator("#weigh")).to_contain_text(re.compile("Another device kept"), timeout=8000)
    expect(page.locator(".list li").first).to_contain_text("188.2")
    other.context.close()


def test_targets_are_large_and_nothing_runs_off_the_phone(page: Any, workshop: Workshop) -> None:
    batch = begun(page, workshop)
    put(page, "190")
    expect(page.locator(".over-poured")).to_be_visible()
    small = page.evaluate(
        """() => [...document.querySelectorAll('#weigh :is(button, .btn, input, select)')]
        .filter((one) => one.type !== 'hidden' && one.checkVisibility())
        .filter((one) => one.getBoundingClientRect().height < 44 || one.getBoundingClientRect().width < 44)
        .map((one) => one.outerHTML.slice(0, 90))"""
    )
    assert small == []
    for where in ("", "weigh/", "fill/", "record/"):
        page.goto(f"{batch}{where}")
        assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"], where


def test_without_javascript_a_batch_is_weighed(browser: Any, workshop: Workshop, tmp_path: Path) -> None:
    plain = browser.new_context(java_script_enabled=False, viewport=PHONE).new_page()
    plain.goto(workshop.opens)
    begun(plain, workshop)
    for grams, after in (("188.2", "glycerin"), ("10", "phenoxyethanol"), ("1.8", "All is weighed")):
        put(plain, grams)
        expect(plain.locator("h1")).to_have_text(after)
    plain.context.close()
