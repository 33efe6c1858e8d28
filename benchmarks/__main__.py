"""``python -m benchmarks [--markdown FILE]``: print the table; exit status 1 where a goal is missed."""

from __future__ import annotations

import argparse
import importlib
import os
import platform
import sys
from pathlib import Path

from benchmarks.timing import Row

MODULES = ("reviewing", "quantities", "screening", "settling", "acidity", "pages")


def main() -> int:
    """Measure everything and print it."""
    parser = argparse.ArgumentParser(description="Speed, as ratios measured in one run.")
    parser.add_argument("--markdown", type=Path, help="also write the table here")
    asked = parser.parse_args()
    found: list[Row] = []
    for name in MODULES:
        for row in importlib.import_module(f"benchmarks.{name}").rows():
            mark = "" if row.holds is None else "holds" if row.holds else "MISSED"
            print(f"{row.what:72s} {row.measured:34s} {row.goal:20s} {mark}", flush=True)
            found.append(row)
    if asked.markdown:
        asked.markdown.write_text(page(found), encoding="utf-8")
    return 1 if any(row.holds is False for row in found) else 0


def page(found: list[Row]) -> str:
    """Return the table as a page."""
    lines = [
        "# Benchmarks",
        "",
        "Ratios measured in one run by `make bench`; absolute times wander on shared machines.",
        f"This run: Python {platform.python_version()}, {os.cpu_count()} cores.",
        "",
        "| what | measured | goal | |",
        "|---|---|---|---|",
    ]
    for row in found:
        mark = "" if row.holds is None else "holds" if row.holds else "**missed**"
        lines.append(f"| {row.what} | {row.measured} | {row.goal} | {mark} |")
    return "\n".join([*lines, ""])


if __name__ == "__main__":
    sys.exit(main())
