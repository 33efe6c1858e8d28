"""The batch sheet: what lies on the bench while a batch is made, as Markdown and as PDF."""

from __future__ import annotations

import re
from dataclasses import asdict, dataclass
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any

from levigate import __version__
from levigate.formula.model import Formula
from levigate.publish.forms import BatchOut, WeighOut
from levigate.review.engine import Review

TEMPLATES = Path(__file__).parent / "templates"


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
    stops: tuple[str, ...]
    standing: tuple[str, ...]
    cautions: tuple[tuple[str, str], ...]
    version: str


def batch_code(name: str, on: date) -> str:
    """Return a batch code from the initials of the formula and the date, as ``BHC-261124``."""
    initials = "".join(word[0] for word in re.findall(r"[^\W_]+", name)).upper()[:4] or "B"
    return f"{initials}-{on:%y%m%d}"


def sheet_of(form: BatchOut, formula: Formula, reviewed: Review) -> Sheet:
    """Return the sheet of a planned batch."""
    places = max(0, -_exponent(form.scale_g))
    by_phase: dict[str, list[SheetLine]] = {}
    for line, (_, said) in zip(form.lines, formula.lines(), strict=True):
        by_phase.setdefault(line.phase, []).append(_line(line, said.note or said.role, places))
    phases = tuple(
        SheetPhase(
            phase.letter,
            phase.how,
            phase.temperature is not None and phase.temperature > 303.15,
            tuple(by_phase[phase.letter]),
            f"{sum(line.grams for line in form.lines if line.phase == phase.letter):.{places}f}",
        )
        for phase in formula.phases
    )
    merged: dict[str, list[str]] = {}
    for name, caution in reviewed.cautions:
        merged.setdefault(caution.text, []).append(name)
    return Sheet(
        name=form.formula,
        code=form.code,
        date=form.date,
        use=formula.use,
        makes=form.makes,
        scale=f"{form.scale_g:g} g",
        loss=f"{form.loss_percent:g} %",
        total=f"{form.total_g:.{places}f} g",
        volume="not known" if form.volume_mL is None else f"{form.volume_mL:.4g} mL",
        to_fill=f"{form.yield_g:.5g} g",
        phases=phases,
        small=tuple((f"{small.material}: {small.says}", tuple(small.ways)) for small in form.too_small),
        stops=tuple(f"{f.title}. {f.why}" for f in reviewed.findings if f.level == "stop"),
        standing=reviewed.standing,
        cautions=tuple((", ".join(names), text) for text, names in merged.items()),
        version=__version__,
    )


def _exponent(step: float) -> int:
    text = f"{step:.9f}".rstrip("0")
    return -len(text.split(".")[1])


def _line(line: WeighOut, note: str, places: int) -> SheetLine:
    error = "too small" if line.error_percent is None else f"± {line.error_percent:.2g} %"
    return SheetLine(
        line.material,
        line.inci,
        f"{line.percent:.6g}",
        f"{line.grams:.{places}f}",
        f"{line.running_grams:.{places}f}",
        error,
        note,
        line.too_small,
    )


@lru_cache(maxsize=1)
def _environment() -> Any:
    import jinja2

    return jinja2.Environment(
        loader=jinja2.FileSystemLoader(TEMPLATES),
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        autoescape=False,  # this is Markdown: every name and note goes through the filter `plain`
    )


def markdown_text(text: str) -> str:
    """Return a name or a note so that Markdown and HTML show it as it was typed."""
    return (
        re.sub(r"([\\`*_{}\[\]<>#|~])", r"\\\1", " ".join(text.split())).replace("\\<", "&lt;").replace("\\>", "&gt;")
    )


def markdown_sheet(sheet: Sheet) -> str:
    """Return the sheet as Markdown."""
    environment = _environment()
    environment.filters["plain"] = markdown_text
    return str(environment.get_template("batch-sheet.md.jinja").render(sheet=sheet))


def pdf_sheet(sheet: Sheet) -> bytes:
    """Return the sheet as PDF, set by typst; all text goes in as data, never as markup."""
    import json

    import typst

    data = json.dumps(asdict(sheet))
    return bytes(typst.compile(str(TEMPLATES / "batch-sheet.typ"), sys_inputs={"sheet": data}))
