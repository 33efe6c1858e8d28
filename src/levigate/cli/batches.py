"""The command ``batch``: plan what to weigh, on the terminal, as Markdown, JSON or a PDF for the bench."""

from __future__ import annotations

from dataclasses import replace
from datetime import date as day
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from levigate.cli.options import Json, ScaleStep, ShelfFile, open_shelf, share
from levigate.cli.reading import print_batch
from levigate.cli.say import as_json, say
from levigate.errors import BatchError, UnitError
from levigate.formula.model import Formula, Makes
from levigate.formula.text import load_formula, own_shelf, read_makes

if TYPE_CHECKING:
    from levigate.publish.sheet import Sheet


def batch(
    file: Annotated[Path, typer.Argument(help="A formula file (TOML).", show_default=False)],
    makes: Annotated[
        str | None,
        typer.Option("--makes", help='How much to fill: "500 g", "250 mL", "12 x 50 mL"; else what the file says.'),
    ] = None,
    scale: ScaleStep = "0.1",
    repeatability: Annotated[
        str | None,
        typer.Option("--repeatability", help="Standard deviation of the scale, in grams, where it is stated."),
    ] = None,
    loss: Annotated[str, typer.Option("--loss", help="Share that stays in vessels and samples, as 3%.")] = "0%",
    within: Annotated[
        str, typer.Option("--within", help="Largest weighing error of a line that you put up with.")
    ] = "5%",
    date: Annotated[str | None, typer.Option("--date", help="Date of making, YYYY-MM-DD; today if not given.")] = None,
    code: Annotated[
        str | None, typer.Option("--code", help="Batch code; made from name and date if not given.")
    ] = None,
    into: Annotated[
        str | None,
        typer.Option("--into", help='Sizes to fill it into, as "50 mL, 30 mL": the mix that leaves the least.'),
    ] = None,
    pdf: Annotated[Path | None, typer.Option("--pdf", help="Write a sheet for the bench to this PDF.")] = None,
    markdown: Annotated[Path | None, typer.Option("--markdown", help="Write the sheet as Markdown.")] = None,
    shelf: ShelfFile = None,
    json: Json = False,
) -> None:
    """Plan a batch: grams that the scale can show, the total exact. Exit status 1 where a finding says stop."""
    from levigate.bench.batch import plan
    from levigate.bench.filling import best_mix
    from levigate.bench.weighing import read_scale
    from levigate.publish.forms import batch_out
    from levigate.publish.sheet import batch_code, sheet_of
    from levigate.review.engine import review

    formula = load_formula(file)
    formula = replace(formula, makes=_makes(formula, makes))
    own, on_day, balance = open_shelf(shelf), _date(date), read_scale(scale, repeatability)
    planned = plan(
        formula, own_shelf(formula, own), _makes(formula, None), balance, loss=share(loss), within=share(within)
    )
    reviewed = review(formula, own, scale=balance, today=on_day)
    fills, left = ((), None) if into is None else best_mix(planned, into)
    form = batch_out(
        planned,
        reviewed,
        code=code or batch_code(formula.name, on_day),
        date=on_day.isoformat(),
        fills=fills,
        left=left,
    )
    written = _write(sheet_of(form, formula, reviewed), pdf, markdown)
    if json:
        as_json(form)
    else:
        print_batch(form, reviewed, balance.places, within=planned.within)
        for path in written:
            say(f"Written to {path}.")
    raise typer.Exit(1 if reviewed.stopped else 0)


def _write(sheet: Sheet, pdf: Path | None, markdown: Path | None) -> list[Path]:
    from levigate.publish.sheet import markdown_sheet, pdf_sheet
    from levigate.shelf.saving import save

    contents: dict[Path, str | bytes] = {}
    if pdf is not None:
        contents[pdf] = pdf_sheet(sheet)
    if markdown is not None:
        contents[markdown] = markdown_sheet(sheet)
    for path, content in contents.items():
        save(path, content)
    return list(contents)


def _makes(formula: Formula, said: str | None) -> Makes:
    if said is not None:
        try:
            return read_makes(said)
        except UnitError as trouble:
            raise BatchError(f"--makes: {trouble}") from trouble
    if formula.makes is None:
        raise BatchError('The file does not say how much it makes; add --makes "500 g".')
    return formula.makes


def _date(text: str | None) -> day:
    if text is None:
        return day.today()
    try:
        return day.fromisoformat(text)
    except ValueError:
        raise BatchError(f'"{text}" is no date; write YYYY-MM-DD, as 2026-11-24.') from None
