"""The real server under a real browser: each page's main job."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.web.driving import Workshop, chromium, opened


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workshop]:
    with opened(tmp_path_factory.mktemp("workshop")) as one:
        yield one


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with chromium() as one:
        yield one


def test_the_printed_address_opens_the_workshop(workshop: Workshop, browser: Any, tmp_path: Path) -> None:
    page = browser.new_page()
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.goto(workshop.opens)
    assert page.locator("h1").inner_text() == "A first formula"
    assert "start=" not in page.url
    page.keyboard.press("?")
    assert page.locator("#keys").is_visible()
    assert said == []  # nothing was refused by the content policy
    page.close()
