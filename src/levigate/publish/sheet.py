"""The batch sheet: what lies on the bench while a batch is made, as Markdown and as PDF."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from datetime import date
from decimal import Decimal
from functools import lru_cache
from pathlib import Path
from typing import Any

from levigate import __version__
from levigate.formula.model import Formula, Line, plain
from levigate.publish.forms import BatchOut, WeighOut
from levigate.quantities.saying import digits
from levigate.review.engine import Review

TEMPLATES = Path(__file__).parent / "templates"
#: A phase heated beyond this has its temperature written down. [K]
_WARM = 303.15


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One line to weigh, in words as they are printed."""

    material: str
    inci: str
    percent: str
    grams: str
    running: str
    error: str
    note: str
    too_small: bool


@dataclass(frozen=True, slots=True)
class SheetPhase:
    """One phase with its treatment; ``hot`` asks for the temperature that was reached."""

    letter: str
    how: str
    hot: bool
    lines: tuple[SheetLine, ...]
    grams: str
    #: What is foreseen of its heat.
    heat: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """All that a batch sheet says."""

    name: str
    code: str
    date: str
    use: str
    makes: str
    scale: str
    loss: str
    total: str
    volume: str
    to_fill: str
    phases: tuple[SheetPhase, ...]
    small: tuple[tuple[str, tuple[str, ...]], ...]
    #: What would help every one of them.
    small_all: tuple[str, ...]
    stops: tuple[str, ...]
    standing: tuple[str, ...]
    cautions: tuple[tuple[str, str], ...]
    version: str


def batch_code(name: str, on: date) -> str:
    """Return a batch code from the initials of the formula and the date, as ``BHC-261124``."""
    initials = "".join(word[0] for word in re.findall(r"[^\W_]+", name)).upper()[:4] or "B"
    return f"{initials}-{on:%y%m%d}"


def trimmed(value: float) -> str:
    """Return a number that was typed, without idle noughts: a percent, a loss, a limit."""
    return plain(Decimal(f"{value:.10g}"))


def cautions_by_material(reviewed: Review) -> tuple[tuple[str, str], ...]:
    """Return what is to be minded of each material, all of it in one paragraph."""
    said: dict[str, list[str]] = {}
    for names, caution in reviewed.cautions:
        said.setdefault(names, []).append(caution.text)
    return tuple((names, " ".join(texts)) for names, texts in said.items())


def ways_for_all(form: BatchOut) -> tuple[str, ...]:
    """Return the ways out that every line too small for the scale has; none where there is one such line."""
    if len(form.too_small) < 2:
        return ()
    return tuple(way for way in form.too_small[0].ways if all(way in small.ways for small in form.too_small))


def sheet_of(form: BatchOut, formula: Formula, reviewed: Review) -> Sheet:
    """Return the sheet of a planned batch."""
    places = max(0, -_exponent(form.scale_g))
    for_all = ways_for_all(form)
    lines = [_line(line, said, places) for line, (_, said) in zip(form.lines, formula.lines(), strict=True)]
    return Sheet(
        name=form.formula,
        code=form.code,
        date=form.date,
        use=formula.use,
        makes=form.makes,
        scale=f"{form.scale_g:.{places}f} g",
        loss=f"{trimmed(form.loss_percent)} %",
        total=f"{form.total_g:.{places}f} g",
        volume="not known" if form.volume_mL is None else f"{digits(form.volume_mL)} mL",
        to_fill=f"{digits(form.yield_g)} g",
        phases=tuple(_phases(form, formula, lines, places)),
        small=tuple(
            (f"{small.material}: {small.says}", tuple(way for way in small.ways if way not in for_all))
            for small in form.too_small
        ),
        small_all=for_all,
        stops=tuple(form.stops),
        standing=reviewed.standing,
        cautions=cautions_by_material(reviewed),
        version=__version__,
    )


def _phases(form: BatchOut, formula: Formula, lines: list[SheetLine], places: int) -> Iterator[SheetPhase]:
    at = 0
    for phase in formula.phases:
        here = slice(at, at + len(phase.lines))
        at = here.stop
        hot = phase.temperature is not None and phase.temperature > _WARM
        grams = sum(line.grams for line in form.lines[here])
        yield SheetPhase(
            phase.letter, phase.how, hot, tuple(lines[here]), f"{grams:.{places}f}", form.heat.get(phase.letter, "")
        )


def _exponent(step: float) -> int:
    return -len(f"{step:.9f}".rstrip("0").partition(".")[2])


def _line(line: WeighOut, said: Line, places: int) -> SheetLine:
    return SheetLine(
        line.material,
        line.inci,
        plain(said.percent),
        f"{line.grams:.{places}f}",
        f"{line.running_grams:.{places}f}",
        weighing_in_words(line),
        said.note or said.role,
        line.too_small,
    )


def weighing_in_words(line: WeighOut) -> str:
    """Return how sure a weighing is, for a sheet; empty for a line of nought."""
    if line.error_percent is not None:
        return f"± {digits(line.error_percent, 2)} %"
    return "rounds to nothing" if line.too_small else ""


@lru_cache(maxsize=1)
def _environment() -> Any:
    import jinja2

    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(TEMPLATES),
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        autoescape=False,  # this is Markdown: every name and note goes through the filter `plain`
    )
    environment.filters["plain"] = markdown_text
    return environment


def markdown_text(text: str) -> str:
    """Return a name or a note so that Markdown and HTML show it as it was typed."""
    flat = " ".join(text.split()).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    escaped = re.sub(r"([\\`*_{}\[\]#|~$])", r"\\\1", flat)
    # At its start a dash, a plus or a number with a stop would begin a list.
    return re.sub(r"^(?:(?=[-+])|(\d+)(?=[.)](?: |$)))", r"\1\\", escaped)


def markdown_sheet(sheet: Sheet) -> str:
    """Return the sheet as Markdown."""
    return str(_environment().get_template("batch-sheet.md.jinja").render(sheet=sheet))


def pdf_sheet(sheet: Sheet) -> bytes:
    """Return the sheet as PDF, set by typst; all text goes in as data, never as markup."""
    import json

    import typst

    data = json.dumps(asdict(sheet))
    return bytes(typst.compile(str(TEMPLATES / "batch-sheet.typ"), sys_inputs={"sheet": data}))
