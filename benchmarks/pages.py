"""The pages in a browser, with 500 formulas, 300 own materials and 2,000 batches on record."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from benchmarks.filled import BATCHES, FORMULAS, MATERIALS, TIMED
from benchmarks.timing import Row
from tests.web.driving import Workshop, chromium, opened, own_environment

#: How often the page is opened, a percent is changed, and something is looked for.
OPENINGS, EDITS = 12, 40
#: A person looks at what came before changing the next; the jar is drawn meanwhile. [ms]
PAUSE = 400
SEARCHES = ("glyc", "bench cream 31", "26-1234", "L17", "slump", "squalne", "bench oil 2", "shea", "tocoph", "ford cup")

#: Changes a percent as a person does, and resolves with the milliseconds until the new figures have been painted.
_EDIT = """(value) => new Promise((resolve) => {
  const input = [...document.querySelectorAll("#ledger input.pc")][1];
  const state = () => document.querySelector("#sheet").dataset.seen;
  const before = state();
  const begun = performance.now();
  const settled = () => {
    if (state() === before) return;  // the jar, which is drawn on its own
    document.removeEventListener("htmx:afterSettle", settled);
    requestAnimationFrame(() => setTimeout(() => resolve(performance.now() - begun)));
  };
  document.addEventListener("htmx:afterSettle", settled);
  input.value = value;
  input.dispatchEvent(new Event("change", { bubbles: true }));
})"""
#: Milliseconds from asking what goes by a word to having the list of it.
_SEARCH = """async (word) => {
  const begun = performance.now();
  const answer = await fetch(`/find?q=${encodeURIComponent(word)}`, { headers: { "HX-Request": "true" } });
  await answer.text();
  if (!answer.ok) throw new Error(String(answer.status));
  return performance.now() - begun;
}"""
_PAINT = 'performance.getEntriesByName("first-contentful-paint")[0]?.startTime'
#: Bytes that came over the line, with the page itself.
_WEIGHT = """[...performance.getEntriesByType("navigation"), ...performance.getEntriesByType("resource")]
  .reduce((sum, entry) => sum + entry.transferSize, 0)"""


def rows() -> Iterator[Row]:
    """Yield what was measured."""
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder)
        filling = [sys.executable, "-m", "benchmarks.filled", folder]
        subprocess.run(filling, check=True, env=own_environment(data))
        with opened(data) as workshop, chromium() as browser:
            yield from _opening(browser, workshop)
            page = browser.new_page()
            page.goto(workshop.opens)
            page.goto(f"{workshop.address}/formulas/{TIMED}/")
            yield from _editing(page, workshop)
            yield from _searching(page)


def _opening(browser: Any, workshop: Workshop) -> Iterator[Row]:
    """Open the page again and again, each time in a browser that has kept nothing."""
    paints, weights = [], []
    for _ in range(OPENINGS):
        context = browser.new_context()
        context.request.get(workshop.opens)
        page = context.new_page()
        page.goto(f"{workshop.address}/formulas/{TIMED}/", wait_until="networkidle")
        page.wait_for_selector("#figures-title")
        paints.append(float(page.evaluate(_PAINT)))
        weights.append(float(page.evaluate(_WEIGHT)))
        context.close()
    what = f"formula page, {FORMULAS} formulas, {MATERIALS} materials, {BATCHES:,} batches: first paint"
    paint = float(np.median(paints[1:]))
    yield Row(what, f"{paint:.0f} ms", "under 500 ms", paint < 500)
    yield Row("the very first after the start, the catalogue being read", f"{paints[0]:.0f} ms", "", None)
    weight = max(weights) / 1000
    yield Row("its weight before charts", f"{weight:.0f} kB", "under 400 kB", 0 < weight < 400)


def spent(workshop: Workshop) -> float:
    """Return the processor time of the server since its start, whatever else the machine does. [s]"""
    fields = Path(f"/proc/{workshop.process.pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def _editing(page: Any, workshop: Workshop) -> Iterator[Row]:
    """Change a line of the twenty again and again, each time to a value it has not had yet."""
    page.evaluate(_EDIT, "9")
    page.wait_for_timeout(5 * PAUSE)
    times, before = [], spent(workshop)
    for n in range(EDITS):
        value = f"{3 + n / 100:.2f}"
        times.append(float(page.evaluate(_EDIT, value)))
        shown = page.locator("#ledger input.pc").nth(1).input_value()
        if float(shown) != float(value):
            raise RuntimeError(f"The page shows {shown} where {value} was written.")
        page.wait_for_timeout(PAUSE)
    each = 1000 * (spent(workshop) - before) / EDITS
    middle, late = np.percentile(times, [50, 95])
    yield Row("edit to new figures, 20 lines, median", f"{middle:.0f} ms", "under 80 ms", bool(middle < 80))
    yield Row("edit to new figures, 20 lines, 95th percentile", f"{late:.0f} ms", "under 200 ms", bool(late < 200))
    yield Row("of an edit and the jar drawn after it, processor time of the server", f"{each:.0f} ms", "", None)


def _searching(page: Any) -> Iterator[Row]:
    """Look for things of every kind, one of them misspelt."""
    page.evaluate(_SEARCH, "first")
    times = [float(page.evaluate(_SEARCH, word)) for word in SEARCHES * 3]
    middle, late = np.percentile(times, [50, 95])
    said = f"{middle:.0f} ms (95th percentile {late:.0f} ms)"
    yield Row("search across everything, median", said, "under 50 ms", bool(middle < 50))


def main() -> None:
    """Print the rows."""
    for row in rows():
        mark = "" if row.holds is None else "holds" if row.holds else "MISSED"
        print(f"{row.what:84s} {row.measured:30s} {row.goal:14s} {mark}", flush=True)


if __name__ == "__main__":
    main()
