"""The pictures of the pages that the docs show: ``python -m tests.pictures`` takes them of the demo workshop."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.web.driving import Workshop, chromium, opened

FOLDER = Path(__file__).parents[1] / "docs" / "pictures"
DESKTOP = {"width": 1200, "height": 800}
PHONE = {"width": 390, "height": 844}
#: More than a page of documentation should weigh. [bytes]
HEAVIEST = 150_000


def still(page: Any) -> None:
    """Leave the page as it opens."""


def weigh(page: Any) -> None:
    """Go on with the batch of cream that is being weighed."""
    page.click(".card.weighing a:has-text('Breakwater hand cream')")
    page.wait_for_selector("#weigh")


def work_out(page: Any) -> None:
    """Let the sum try its own example."""
    page.click("text=Try the example")
    page.wait_for_selector("text=The answer comes here", state="detached")


@dataclass(frozen=True)
class Picture:
    """One picture: its file, the page it is of, and what is done there before it is taken."""

    name: str
    address: str
    size: dict[str, int]
    first: Callable[[Any], None] = still


PICTURES = (
    Picture("start", "/", DESKTOP),
    Picture("formula", "/formulas/breakwater-hand-cream/", DESKTOP),
    Picture("formula-phone", "/formulas/breakwater-hand-cream/", PHONE),
    Picture("jar", "/formulas/lee-shore-azelaic-gel/jar/", DESKTOP),
    Picture("bench-phone", "/bench/", PHONE, weigh),
    Picture("material", "/shelf/shea%20butter/", DESKTOP),
    Picture("sums", "/sums/slump/", DESKTOP, work_out),
)


def take(browser: Any, workshop: Workshop, picture: Picture, folder: Path) -> Path:
    """Take one picture as a person with light pages sees it."""
    page = browser.new_context(viewport=picture.size, color_scheme="light", reduced_motion="reduce").new_page()
    page.goto(workshop.opens)
    answer = page.goto(workshop.address + picture.address)
    if not answer.ok:
        raise RuntimeError(f"{picture.address} answered {answer.status}")
    picture.first(page)
    page.wait_for_load_state("networkidle")
    page.evaluate("document.fonts.ready.then(() => null)")
    file = folder / f"{picture.name}.png"
    page.screenshot(path=str(file), animations="disabled", caret="hide")
    page.context.close()
    return file


def main(folder: Path = FOLDER) -> None:
    """Take them all, of a demo workshop made for it; refuse what is too heavy for a page."""
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as data, opened(Path(data)) as workshop, chromium() as browser:
        page = browser.new_page()
        page.goto(workshop.opens)
        page.click("text=Load the demo workshop")
        page.wait_for_selector("text=The demo workshop is loaded")
        page.close()
        for picture in PICTURES:
            file = take(browser, workshop, picture, folder)
            weight = file.stat().st_size
            print(f"{file.name:20s} {weight / 1000:6.1f} kB")
            if weight > HEAVIEST:
                raise RuntimeError(f"{file.name} weighs more than {HEAVIEST / 1000:.0f} kB")


if __name__ == "__main__":
    main()
