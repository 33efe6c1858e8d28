"""Print every published number kept in the tests beside ours: ``python -m tests.evidence [--markdown FILE]``.

Ends with status 1 if any number is further off than is allowed.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.reference.printed import Case, cases
from tests.science.docstrings import entries, functions

HEAD = ("function", "inputs", "in", "published", "ours", "difference", "allowed", "", "source")
INTRODUCTION = """# Evidence

Published numbers and ours. Each row is one figure from a standard, a handbook or a paper, what our function
gives for the same inputs, the difference, and how far apart the two may be: half a unit of the last printed
digit, or a wider band for the reason given under the table. Inputs are in SI units; the third column says
what the result is counted in. *Page* means read in the work itself, *second hand* in a copy, a package or a
work that quotes it, *memory* not yet seen in print. `python -m tests.evidence --markdown docs/evidence.md`
writes this page.
"""


@dataclass(frozen=True)
class Row:
    """One published number, what we make of it, and whether the two agree."""

    cells: tuple[str, ...]
    case: Case
    agrees: bool


def unit(case: Case) -> str:
    """Return what the printed number is counted in, such as "1000 kg/m³"."""
    returned = {entry.name: entry.unit for entry in entries(functions()[case.name], "Returns")}
    si = returned.get(case.pick) or next(iter(returned.values()))
    if case.unit == 1:
        return si
    return f"{case.unit:g}" if si == "1" else f"{case.unit:g} {si}"


def compare(case: Case) -> Row:
    """Return one line of the table."""
    ours = case.ours()
    off = round(ours - float(case.expected), 12)  # the last bits of a double are no difference
    agrees = abs(off) <= case.tolerance
    inputs = ", ".join(f"{key} {_short(value)}" for key, value in case.inputs.items())
    mark = "" if agrees else "OUT"
    source = f"{case.source}, {case.place} ({case.seen})"
    figures = (case.expected, f"{ours:.7g}", f"{off:+.2g}" if off else "0", f"{case.tolerance:.2g}")
    return Row((case.name, inputs, unit(case), *figures, mark, source), case, agrees)


def _short(value: object) -> str:
    if isinstance(value, list):
        return "[" + ", ".join(_short(part) for part in value) + "]"
    return f"{value:.7g}" if isinstance(value, float) else str(value)


def verdict(rows: Sequence[Row]) -> str:
    """Return how many agree, in one sentence."""
    out = sum(not row.agrees for row in rows)
    return f"{len(rows)} published numbers, {len(rows) - out} met, {out} out."


def plain(rows: Sequence[Row]) -> str:
    """Return the table as text, columns aligned."""
    lines = [HEAD, *(row.cells for row in rows)]
    widths = [max(len(line[column]) for line in lines) for column in range(len(HEAD))]
    padded = ("  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)) for line in lines)
    return "\n".join([*(line.rstrip() for line in padded), "", verdict(rows)])


def markdown(rows: Sequence[Row]) -> str:
    """Return the table as a page, one part for each subject."""
    parts = [INTRODUCTION, verdict(rows), ""]
    for topic in dict.fromkeys(row.case.topic for row in rows):
        here = [row for row in rows if row.case.topic == topic]
        reasons = dict.fromkeys((row.case.name, row.case.why) for row in here if row.case.why)
        parts += [f"## {topic.capitalize()}", "", *_table(here), ""]
        if reasons:
            parts += ["Wider bands:", "", *(f"- `{name}`: {why}." for name, why in reasons), ""]
    return "\n".join(parts)


def _table(rows: Iterable[Row]) -> list[str]:
    head = [*HEAD[:7], "met", HEAD[8]]
    body = [[f"`{row.cells[0]}`", *row.cells[1:7], "yes" if row.agrees else "**no**", row.cells[8]] for row in rows]
    return ["| " + " | ".join(line) + " |" for line in [head, ["---"] * len(head), *body]]


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the table, write the page if asked, and return the exit status."""
    parser = argparse.ArgumentParser(prog="python -m tests.evidence", description="Published numbers and ours.")
    parser.add_argument("--markdown", type=Path, metavar="FILE", help="write the page to this file")
    chosen = parser.parse_args(arguments)
    rows = [compare(case) for case in cases()]
    print(plain(rows))
    if chosen.markdown is not None:
        chosen.markdown.write_text(markdown(rows), encoding="utf-8")
    return 0 if rows and all(row.agrees for row in rows) else 1


if __name__ == "__main__":
    sys.exit(main())
