"""Print for people: plain text when not a terminal, light colour and tables when it is; and JSON for programs."""

from __future__ import annotations

import re
import sys
import textwrap
from collections.abc import Iterable, Sequence
from functools import lru_cache

from pydantic import BaseModel, RootModel
from rich.console import Console
from rich.table import Table
from rich.text import Text

#: Colours of the three levels, those of the pages: clay, brass, herb.
LEVEL_STYLE = {"stop": "bold #b4552d", "care": "#8a6a1f", "note": "#2f5d50"}
_PLAIN_WIDTH = 100
#: The gap between a number and its unit, at which a line does not break.
_UNIT = re.compile(r"(?<=\d) (?=(?:%|°C|g|mL|Pa|mPa)(?!\w))")
#: What would steer a terminal is shown as a mark instead: a name may come from a file that someone else has sent.
_STEERING = dict.fromkeys((set(range(32)) - {10}) | set(range(127, 160)), "\N{REPLACEMENT CHARACTER}")


@lru_cache(maxsize=1)
def console() -> Console:
    """Return where people read."""
    terminal = sys.stdout.isatty()
    return Console(
        highlight=False,
        markup=False,
        emoji=False,
        soft_wrap=not terminal,
        no_color=None if terminal else True,
        width=None if terminal else _PLAIN_WIDTH,
    )


def harmless(text: str) -> str:
    """Return a text without characters that steer a terminal."""
    return text.replace("\t", " ").translate(_STEERING)


def say(text: str = "", style: str = "", indent: int = 0) -> None:
    """Print a paragraph, wrapped at the width of the terminal; never cut when not a terminal."""
    wide = console().width if console().is_terminal else _PLAIN_WIDTH
    for line in harmless(text).split("\n"):
        kept = _UNIT.sub("\N{NO-BREAK SPACE}", line)
        for piece in textwrap.wrap(kept, max(20, wide - indent), break_long_words=False, break_on_hyphens=False) or [
            ""
        ]:
            console().print(Text(" " * indent + piece.replace("\N{NO-BREAK SPACE}", " "), style=style))


def heading(text: str) -> None:
    """Print a heading."""
    say()
    say(text, style="bold")


def table(columns: Sequence[tuple[str, str]], rows: Iterable[Sequence[str]], styles: Sequence[str] = ()) -> None:
    """Print a table.

    Parameters
    ----------
    columns : sequence of (heading, "left" or "right")
        One for each column.
    rows : iterable of sequences of str
        The cells.
    styles : sequence of str
        Style of each row; empty for none.
    """
    cells = [[harmless(" ".join(cell.split("\n"))) for cell in row] for row in rows]
    if not console().is_terminal:
        _plain_table(columns, cells)
        return
    shown = Table(box=None, pad_edge=False, header_style="dim", show_edge=False)
    for head, justify in columns:
        shown.add_column(head, justify="right" if justify == "right" else "left", overflow="fold")
    for i, row in enumerate(cells):
        shown.add_row(*(Text(cell) for cell in row), style=styles[i] if styles else "")
    console().print(shown)


def _plain_table(columns: Sequence[tuple[str, str]], rows: list[list[str]]) -> None:
    heads = [head for head, _ in columns]
    widths = [max(len(row[i]) for row in [heads, *rows]) for i in range(len(columns))]
    for row in [heads, *rows]:
        cells = [
            cell.rjust(width) if justify == "right" else cell.ljust(width)
            for cell, width, (_, justify) in zip(row, widths, columns, strict=True)
        ]
        console().print(Text("  ".join(cells).rstrip()))


def as_json(form: BaseModel | Sequence[BaseModel]) -> None:
    """Print for a program, UTF-8 whatever the terminal speaks."""
    if isinstance(form, BaseModel):
        text = form.model_dump_json(indent=2)
    else:
        text = RootModel[list[BaseModel]](list(form)).model_dump_json(indent=2, serialize_as_any=True)
    sys.stdout.buffer.write(text.encode("utf-8") + b"\n")
    sys.stdout.flush()
