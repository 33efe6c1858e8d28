"""The command ``batch``: plan what to weigh, on the terminal, as Markdown, JSON or a PDF for the bench."""

from __future__ import annotations

from dataclasses import replace
from datetime import date as day
from pathlib import Path
from typing import Annotated

import typer

from levigate.cli.options import Json, ScaleStep, ShelfFile, open_shelf, share
from levigate.cli.say import as_json, heading, say, table
from levigate.errors import BatchError, UnitError
from levigate.formula.model import Formula, Makes
from levigate.formula.text import load_formula, own_shelf, read_makes


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
    pdf: Annotated[Path | None, typer.Option("--pdf", help="Write a sheet for the bench to this PDF.")] = None,
    markdown: Annotated[Path | None, typer.Option("--markdown", help="Write the sheet as Markdown.")] = None,
    shelf: ShelfFile = None,
    json: Json = False,
) -> None:
    """Plan a batch: grams per line that the scale can show, the total exact, and how sure each weighing is."""
    from levigate.bench.batch import plan
    from levigate.bench.weighing import read_scale
    from levigate.publish.forms import batch_out
    from levigate.publish.sheet import batch_code, markdown_sheet, pdf_sheet, sheet_of
    from levigate.quantities.saying import digits
    from levigate.review.engine import review
    from levigate.shelf.saving import save

    formula = load_formula(file)
    own = open_shelf(shelf)
    amount = _makes(formula, makes)
    formula = replace(formula, makes=amount)
    on_day = _date(date)
    balance = read_scale(scale, repeatability)
    planned = plan(formula, own_shelf(formula, own), amount, balance, loss=share(loss), within=share(within))
    reviewed = review(formula, own, scale=balance, today=on_day)
    cautions = [*reviewed.standing, *(f"{name}: {caution.text}" for name, caution in reviewed.cautions)]
    form = batch_out(planned, code=code or batch_code(formula.name, on_day), date=on_day.isoformat(), cautions=cautions)
    sheet = sheet_of(form, formula, reviewed)
    if pdf is not None:
        save(pdf, pdf_sheet(sheet))
    if markdown is not None:
        save(markdown, markdown_sheet(sheet))
    if json:
        as_json(form)
        return
    say(f"{form.formula}   {form.code}   {form.date}", style="bold")
    said = f"{form.makes} on a scale that shows {form.scale_g:g} g"
    say(said + (f", {form.loss_percent:g} % for losses" if form.loss_percent else ""), style="dim")
    places = balance.places
    rows = []
    for line in form.lines:
        error = "too small" if line.error_percent is None else f"± {line.error_percent:.2g} %"
        rows.append(
            [
                line.phase,
                line.material,
                f"{line.percent:.6g}",
                f"{line.grams:.{places}f}",
                f"{line.running_grams:.{places}f}",
                error + (" !" if line.too_small else ""),
            ]
        )
    say()
    columns = [
        ("", "left"),
        ("Material", "left"),
        ("% w/w", "right"),
        ("grams", "right"),
        ("running", "right"),
        ("weighing", "right"),
    ]
    table(
        columns,
        [*rows, ["", "Total", "", f"{form.total_g:.{places}f}", "", ""]],
        [*("" if not line.too_small else "#b4552d" for line in form.lines), "bold"],
    )
    volume = "not known" if form.volume_mL is None else f"{form.volume_mL:.4g} mL"
    say()
    say(f"Volume {volume}; {form.yield_g:.5g} g to fill after the loss.")
    say(
        f"Smallest batch that weighs every line within {100 * planned.within:.3g} % on this scale: "
        f"{digits(form.smallest_batch_g, 3)} g (for {form.smallest_batch_for})."
    )
    for small in form.too_small:
        say(f"{small.material}: {small.says}.", style="#b4552d")
        for way in small.ways:
            say(f"› {way}", indent=2)
    stops = [finding for finding in reviewed.findings if finding.level == "stop"]
    if stops:
        heading("The review says stop")
        for finding in stops:
            say(f"{finding.title}. {finding.why}", indent=2, style="bold #b4552d")
    heading("Cautions")
    for text in cautions:
        say(f"· {text}", indent=2)
    for path in (pdf, markdown):
        if path is not None:
            say(f"Written to {path}.")


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
