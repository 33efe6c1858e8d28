"""Commands on formula files: review, adjust, compare."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from levigate import units
from levigate.cli.options import Json, ScaleStep, ShelfFile, open_shelf
from levigate.cli.say import as_json, say
from levigate.errors import FileError, PercentError, UnitError, came
from levigate.formula.model import Formula
from levigate.formula.percent import ALL, PLACES, QS, find_line, read_percent, tidy
from levigate.formula.percent import adjust as give_way
from levigate.formula.text import load_formula, own_shelf, read_formula, read_text
from levigate.shelf.catalogue import Shelf

if TYPE_CHECKING:
    from levigate.review.engine import Review
    from levigate.review.reaching import Reached, Reagent

File = Annotated[Path, typer.Argument(help="A formula file (TOML).", show_default=False)]


def review(
    file: File,
    scale: ScaleStep = "0.1",
    working: Annotated[bool, typer.Option("--working", help="Show the working of each figure.")] = False,
    charts: Annotated[Path | None, typer.Option("--charts", help="Draw the charts into this folder, as SVG.")] = None,
    at: Annotated[str, typer.Option("--at", help='Temperature of all figures, from 0 to 60 C, as "5 C".')] = "25 C",
    shelf: ShelfFile = None,
    json: Json = False,
) -> None:
    """Review a formula: figures, findings with remedies, cautions.

    Exit status 1 where a finding says stop.
    """
    from levigate.bench.weighing import read_scale
    from levigate.review.engine import review as review_it

    formula = load_formula(file)
    result = review_it(
        formula, open_shelf(shelf), scale=read_scale(scale), today=date.today(), temperature=_temperature(at)
    )
    drawn = [] if charts is None else _draw(result, charts)
    if json:
        from levigate.publish.forms import review_out

        as_json(review_out(result))
    else:
        from levigate.cli.reading import print_review

        print_review(result, working=working)
        for path in drawn:
            say(f"Drawn: {path}", style="dim")
    raise typer.Exit(1 if result.stopped else 0)


def _temperature(at: str) -> float:
    """Return the temperature of the figures; refuse one for which too little is known."""
    temperature = units.si(at, "temperature")
    if not 273.15 - 1e-9 <= temperature <= 333.15 + 1e-9:
        raise UnitError(f'--at: the figures hold from 0 to 60 °C, and {came(at)} is outside; write for example "5 C".')
    return temperature


def _draw(result: Review, folder: Path) -> list[Path]:
    from levigate.publish.pictures import pictures
    from levigate.shelf.saving import save

    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as trouble:
        raise FileError(f"{folder} cannot be made: {(trouble.strerror or str(trouble)).lower()}.") from trouble
    drawn = []
    for name, picture in pictures(result):
        drawn.append(folder / f"{name}.svg")
        save(drawn[-1], picture)
    return drawn


def adjust(
    file: File,
    set_: Annotated[
        list[str] | None, typer.Option("--set", help='A line and its new percent, as "azelaic acid=5%".')
    ] = None,
    give: Annotated[
        list[str] | None,
        typer.Option("--give", help='Who gives way: "q.s.", "all" (in proportion), or a line; may be repeated.'),
    ] = None,
    hold: Annotated[
        list[str] | None, typer.Option("--hold", help="A line that must stay as it is; may be repeated.")
    ] = None,
    active: Annotated[
        bool, typer.Option("--active", help="Percents of --set are of active matter, not as supplied.")
    ] = False,
    swap: Annotated[
        str | None,
        typer.Option("--swap", help='Put one material in place of another, as "mineral oil=squalane".'),
    ] = None,
    stock: Annotated[
        str | None,
        typer.Option(
            "--stock",
            help='Use up a stock in place of the neat material, as "citric acid=citric acid 10% solution".',
        ),
    ] = None,
    remedy: Annotated[str | None, typer.Option("--remedy", help="Apply a remedy of the review by its id.")] = None,
    ph: Annotated[
        float | None,
        typer.Option("--ph", help="Bring the formula to this pH with what --with names.", show_default=False),
    ] = None,
    with_: Annotated[
        str | None,
        typer.Option("--with", help='Acid, base or salt for --ph, as it stands on the shelf: "sodium hydroxide 10 %".'),
    ] = None,
    decimals: Annotated[
        int | None,
        typer.Option("--decimals", min=0, max=9, help="Round all lines to so many decimals, the sum kept."),
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", help="Write the changed file here; comments and layout are kept.")
    ] = None,
    write: Annotated[bool, typer.Option("--write", help="Write the changed file over the old one.")] = False,
    shelf: ShelfFile = None,
    json: Json = False,
) -> None:
    """Set a line and let others give way; the sum stays exactly 100."""
    formula = load_formula(file)
    lines = own_shelf(formula, open_shelf(shelf))
    changed = formula
    if remedy is not None:
        changed = _remedied(changed, shelf, remedy)
    if swap is not None:
        changed = _swapped(changed, lines, swap)
    if stock is not None:
        changed = _stocked(changed, lines, stock)
    reached = _reached(changed, lines, ph, with_)
    if reached is not None:
        changed = reached[1].formula
    if set_ or hold or give or not (remedy or swap or stock or reached or decimals is not None):
        changed = _set(changed, lines, set_ or [], give or [], hold or [], active=active)
    if decimals is not None:
        changed = tidy(changed, decimals)
    if write and out is not None:
        raise PercentError("Say --write or --out FILE, not both.")
    target = file if write else out
    if target is not None:
        _save(file, target, changed)
    _print_adjusted(formula, changed, target, json=json)
    if reached is not None and not json:
        from levigate.cli.reaching import print_reached

        print_reached(formula, lines, *reached)


def _reached(formula: Formula, shelf: Shelf, ph: float | None, with_: str | None) -> tuple[Reagent, Reached] | None:
    if ph is None and with_ is None:
        return None
    if ph is None or with_ is None:
        raise PercentError('Say both what to reach and with what, as --ph 5.2 --with "sodium hydroxide 10 %".')
    from levigate.review.reaching import reach_ph, read_reagent

    reagent = read_reagent(with_, shelf)
    return reagent, reach_ph(formula, shelf, ph, reagent.material)


def _set(
    formula: Formula, shelf: Shelf, set_: Sequence[str], give: Sequence[str], hold: Sequence[str], *, active: bool
) -> Formula:
    new: dict[int, Decimal] = {}
    for text in set_:
        position, percent = _assignment(formula, shelf, text, active=active)
        if position in new:
            raise PercentError(f'"{text}" sets a line that is set already; say each line once.')
        new[position] = percent
    if not new and formula.adds_up:
        raise PercentError('Say what to change, for example --set "glycerin=5%".')
    held = [find_line(formula, name, shelf) for name in hold]
    return give_way(formula, new, give=_givers(formula, shelf, give), hold=held, places=PLACES)


def _save(file: Path, target: Path, changed: Formula) -> None:
    from levigate.formula.write import rewrite
    from levigate.shelf.saving import save

    text = rewrite(read_text(file), changed)
    _check_again(text, changed, target)
    save(target, text)


def _check_again(text: str, changed: Formula, target: Path) -> None:
    """Refuse to write what would not be read again as the formula it is meant to be."""
    again = read_formula(text, file=str(target))
    if list(_written(again)) != list(_written(changed)):
        raise FileError(f"{target}: the change cannot be written in place; make it in an editor.")


def _written(formula: Formula) -> Iterator[tuple[str, str, Decimal]]:
    for phase, line in formula.lines():
        yield phase.letter, line.material, line.percent


def _print_adjusted(before: Formula, after: Formula, target: Path | None, *, json: bool) -> None:
    if json:
        from levigate.publish.forms import lines_out

        as_json(lines_out(after))
        return
    from levigate.cli.reading import print_lines

    print_lines(after, before)
    if after.makes is not None and after.makes != before.makes:
        say(f'makes = "{after.makes.text}"' + (f', was "{before.makes.text}"' if before.makes else ""))
    if after == before:
        say("No line changes: it stands so already.")
    if target is not None:
        say(f"Written to {target}.")
    else:
        say("Nothing was written; add --write, or --out FILE.", style="dim")


def _assignment(formula: Formula, shelf: Shelf, text: str, *, active: bool) -> tuple[int, Decimal]:
    name, equals, value = text.rpartition("=")
    if not equals or not name.strip() or not value.strip():
        raise PercentError(f'"{text}" does not say a line and a percent; write --set "glycerin=5%".')
    percent = read_percent(value)
    position = find_line(formula, name, shelf)
    if active:
        from levigate.formula.strength import as_supplied

        material = [line.material for _, line in formula.lines()][position]
        percent = as_supplied(shelf, material, percent)
    return position, percent


def _givers(formula: Formula, shelf: Shelf, give: Sequence[str]) -> str | list[int] | None:
    if not give:
        return None
    words = [word.strip().casefold().rstrip(".") for word in give]
    if words in (["q.s"], ["qs"]):
        return QS
    if words == ["all"]:
        return ALL
    return [find_line(formula, name, shelf) for name in give]


def _remedied(formula: Formula, shelf: Path | None, remedy_id: str) -> Formula:
    from levigate.review.engine import review as review_it

    result = review_it(formula, open_shelf(shelf), today=date.today())
    remedy = result.remedy(remedy_id)
    if remedy is None:
        known = [r.id for f in result.findings for r in f.remedies if r.formula is not None]
        raise PercentError(f'There is no remedy "{remedy_id}"; this formula has {", ".join(known) or "none"}.')
    if remedy.formula is None:
        raise PercentError(f'The remedy "{remedy_id}" is not a change of the formula: {remedy.says}')
    return remedy.formula


def _pair(text: str, option: str) -> tuple[str, str]:
    first, equals, second = text.partition("=")
    if not equals or not first.strip() or not second.strip():
        raise PercentError(f'"{text}" does not name two materials; write {option} "one=other".')
    return first.strip(), second.strip()


def _swapped(formula: Formula, shelf: Shelf, text: str) -> Formula:
    from levigate.formula.strength import swap as swap_it

    old, new = _pair(text, "--swap")
    return swap_it(formula, shelf, old, new)


def _stocked(formula: Formula, shelf: Shelf, text: str) -> Formula:
    from levigate.formula.strength import with_stock

    neat, stock = _pair(text, "--stock")
    return with_stock(formula, shelf, neat, stock)


def compare(
    first: File,
    second: Annotated[Path, typer.Argument(help="Another formula file, or a later version.", show_default=False)],
    shelf: ShelfFile = None,
    json: Json = False,
) -> None:
    """Compare two formulas: lines, treatment, substances, figures."""
    from levigate.cli.reading import print_difference
    from levigate.formula.difference import difference
    from levigate.publish.forms import FigurePairOut, compare_out, number
    from levigate.quantities.figure import figures
    from levigate.quantities.graph import quantities
    from levigate.quantities.inputs import gather

    formulas = (load_formula(first), load_formula(second))
    below = open_shelf(shelf)
    shelves = (own_shelf(formulas[0], below), own_shelf(formulas[1], below))
    change = difference(*formulas, *shelves)
    before, after = (figures(gather(formula, one)) for formula, one in zip(formulas, shelves, strict=True))
    pairs = {
        name: (figure, after[name])
        for name, figure in before.items()
        if name in after and not quantities()[name].each and figure.unit == after[name].unit
    }
    if json:
        shown = {
            name: FigurePairOut(unit=one.unit, values=(number(one.value), number(other.value)))
            for name, (one, other) in pairs.items()
        }
        as_json(compare_out((formulas[0].name, formulas[1].name), change, shown))
        return
    say(f"{formulas[0].name} ({first})  →  {formulas[1].name} ({second})", style="bold")
    print_difference(change, pairs.values())
