"""Every main page of the demo workshop against axe-core: the rules of WCAG 2.0, 2.1 and 2.2, levels A and AA.

Axe-core (Deque Systems, MPL-2.0) is not ours: it stands for the published success criteria that a machine can judge.
The page's own policy forbids what it does to look, so this browser alone passes that policy by.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import axe_playwright_python
import pytest

from tests.web.driving import Workshop, chromium, opened

AXE = (Path(axe_playwright_python.__file__).parent / "axe.min.js").read_text("utf-8")
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
#: Each page: where it is, and the first links of which kind lead on to it from there.
PAGES = {
    "start": "/",
    "shelf": "/shelf/",
    "a material": "/shelf/glycerin/",
    "lots": "/shelf/lots/",
    "a lot": "/shelf/lots/ main a[href^='/shelf/lots/']",
    "formulas": "/formulas/",
    "a new formula": "/formulas/new/",
    "a formula": "/formulas/lee-shore-azelaic-gel/",
    "its jar": "/formulas/lee-shore-azelaic-gel/jar/",
    "versions": "/formulas/lee-shore-azelaic-gel/versions/",
    "a version": "/formulas/lee-shore-azelaic-gel/versions/1/",
    "compare": "/formulas/compare/?with=lee-shore-azelaic-gel&with=slack-water-toner",
    "bench": "/bench/",
    "plan": "/bench/new/?formula=lee-shore-azelaic-gel",
    "a batch": "/bench/ main a[href^='/bench/']:not([href*='new']):not([href*='weigh']):not([href*='fill'])",
    "weigh": "/bench/ main a[href*='/weigh/']",
    "a record": "/bench/ main .ledger a[href^='/bench/'] main a[href$='/record/']",
    "a jar": "/bench/ main .ledger a[href^='/bench/'] main a[href$='/fill/'] main a[href*='/find/jar/']",
    "fill": "/bench/ main a[href*='/fill/']",
    "sums": "/sums/",
    "a sum": "/sums/settling/",
    "an answer": "/sums/convert/?amount=1+fl+oz&to=mL",
    "find": "/find?q=glycerin",
    "preferences": "/preferences/",
}
DEVICES: dict[str, dict[str, Any]] = {
    "light desktop": {"viewport": {"width": 1400, "height": 1000}, "color_scheme": "light"},
    "dark phone": {"viewport": {"width": 390, "height": 844}, "color_scheme": "dark", "has_touch": True},
}


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workshop]:
    with opened(tmp_path_factory.mktemp("workshop"), "--demo") as one:
        yield one


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with chromium() as one:
        yield one


@pytest.fixture(scope="module", params=DEVICES)
def page(request: pytest.FixtureRequest, workshop: Workshop, browser: Any) -> Iterator[Any]:
    context = browser.new_context(bypass_csp=True, reduced_motion="reduce", **DEVICES[request.param])
    context.add_init_script(AXE)
    one = context.new_page()
    one.goto(workshop.opens)
    yield one
    context.close()


def violations(page: Any) -> list[str]:
    """Return what axe-core finds on the page as it stands, each with the elements it means."""
    found = page.evaluate("(tags) => axe.run({ runOnly: tags, resultTypes: ['violations'] })", TAGS)
    assert len(found["passes"]) > 10, "the rules were not run"
    said = []
    for one in found["violations"]:
        where = "; ".join(f"{node['html'][:160]} {node['failureSummary']}" for node in one["nodes"][:4])
        said.append(f"{one['id']}: {one['help']}: {where}")
    return said


def shown(page: Any, workshop: Workshop, where: str) -> None:
    path, *links = where.split(" main ")
    page.goto(workshop.address + path)
    for link in links:
        page.goto(workshop.address + page.locator(f"main {link}").first.get_attribute("href"))
    page.wait_for_load_state("networkidle")


@pytest.mark.parametrize("name", PAGES)
def test_axe_finds_nothing(page: Any, workshop: Workshop, name: str) -> None:
    shown(page, workshop, PAGES[name])
    assert violations(page) == []


def test_axe_finds_what_is_wrong(page: Any, workshop: Workshop) -> None:
    shown(page, workshop, "/shelf/")
    page.evaluate("document.querySelector('main').insertAdjacentHTML('beforeend', '<p><input><img src=x></p>')")
    found = violations(page)
    assert [one.partition(":")[0] for one in found] == ["image-alt", "label"]
