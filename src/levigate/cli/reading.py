"""A formula, a review and its figures, printed for a person."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches
from typing import TYPE_CHECKING

from levigate.cli.say import LEVEL_STYLE, heading, say, table
from levigate.formula.model import Formula, plain
from levigate.formula.uses import uses
from levigate.quantities.figure import Figure
from levigate.quantities.saying import digits
from levigate.review.engine import Review
from levigate.shelf.catalogue import sources

if TYPE_CHECKING:
    from levigate.formula.difference import Difference
    from levigate.publish.forms import BatchOut

#: Entries of a composition printed before the rest is left to --json.
_SHOWN_ROWS = 12


def print_lines(formula: Formula, before: Formula | None = None) -> None:
    """Print the lines of a formula, with what they were where a changed one is shown."""
    old = {(phase.letter, line.material): line.percent for phase, line in before.lines()} if before else {}
    rows = []
    for phase, line in formula.lines():
        was = old.get((phase.letter, line.material))
        row = [phase.letter, line.material, plain(line.percent), "q.s." if line.qs else line.role]
        if before is not None:
            row.insert(2, "new" if was is None else plain(was))
        rows.append(row)
    columns = [("", "left"), ("Material", "left"), ("% w/w", "right"), ("", "left")]
    total = ["", "Total", plain(formula.total), ""]
    if before is not None:
        columns.insert(2, ("was", "right"))
        total.insert(2, plain(before.total))
    table(columns, [*rows, total], [*("" for _ in rows), "bold"])


def print_difference(change: Difference, pairs: Iterable[tuple[Figure, Figure]]) -> None:
    """Print what differs between two formulas, and their figures side by side."""
    for word, before, after in change.head:
        say(f"{word}: {before or 'none'} → {after or 'none'}", indent=2)
    heading("Lines")
    rows = [
        [
            line.material,
            _moved(line.phase),
            *("" if percent is None else plain(percent) for percent in line.percent),
            "" if line.word == "same" else line.word,
        ]
        for line in change.lines
    ]
    columns = [("Material", "left"), ("Phase", "left"), ("before %", "right"), ("after %", "right"), ("", "left")]
    table(columns, rows, ["dim" if line.word == "same" else "" for line in change.lines])
    for letter, before, after in change.treatment:
        say(f"Phase {letter}: {before or 'nothing said'} → {after or 'nothing said'}", indent=2)
    if change.substances:
        heading("Substances that change, premixes taken apart")
        columns = [("Substance", "left"), ("before %", "right"), ("after %", "right")]
        table(columns, [[one.substance, *(digits(float(p)) for p in one.percent)] for one in change.substances])
    heading("Figures")
    columns = [("", "left"), ("before", "right"), ("after", "right")]
    table(columns, [[one.title, one.say(), other.say()] for one, other in pairs])


def _moved(phases: tuple[str | None, str | None]) -> str:
    before, after = phases
    return str(after or before) if before == after or None in phases else f"{before} → {after}"


def print_batch(form: BatchOut, reviewed: Review, places: int, *, within: float) -> None:
    """Print a planned batch: what to weigh, what is too small, what to mind."""
    from levigate.publish.sheet import trimmed

    say(f"{form.formula}   {form.code}   {form.date}", style="bold")
    loss = f", {trimmed(form.loss_percent)} % for losses" if form.loss_percent else ""
    say(f"{form.makes} on a scale that shows {form.scale_g:.{places}f} g{loss}", style="dim")
    say()
    _print_weighings(form, places)
    volume = "not known" if form.volume_mL is None else f"{digits(form.volume_mL)} mL"
    say()
    say(f"Volume {volume}; {digits(form.yield_g)} g to fill{' after the loss' if form.loss_percent else ''}.")
    if form.left_over_g is not None:
        fills = " and ".join(
            f"{fill.count} × {fill.size} ({digits(fill.grams)} g each)" for fill in form.fills if fill.count
        )
        say(f"Fills {fills}; {form.left_over_g:.{places}f} g left over.")
    say(
        f"Smallest batch that weighs every line within {trimmed(100 * within)} % on this scale: "
        f"{digits(form.smallest_batch_g, 3)} g (for {form.smallest_batch_for})."
    )
    _print_small(form)
    if form.stops:
        heading("The review says stop")
        for stop in form.stops:
            say(stop, indent=2, style=LEVEL_STYLE["stop"])
    _print_cautions(reviewed)


def _print_small(form: BatchOut) -> None:
    from levigate.publish.sheet import ways_for_all

    for_all = ways_for_all(form)
    for small in form.too_small:
        say(f"{small.material}: {small.says}.", style=LEVEL_STYLE["stop"])
        for way in small.ways:
            if way not in for_all:
                say(f"› {way}", indent=2)
    for way in for_all:
        say(f"For any of them: {way}.")


def _print_cautions(review: Review) -> None:
    from levigate.publish.sheet import cautions_by_material

    heading("Cautions")
    for text in review.standing:
        say(f"· {text}", indent=2)
    for names, text in cautions_by_material(review):
        say(f"· {names}: {text}", indent=2)


def _print_weighings(form: BatchOut, places: int) -> None:
    from levigate.publish.sheet import trimmed, weighing_in_words

    rows = [
        [
            line.phase,
            line.material,
            trimmed(line.percent),
            f"{line.grams:.{places}f}",
            f"{line.running_grams:.{places}f}",
            weighing_in_words(line) + (" !" if line.too_small else ""),
        ]
        for line in form.lines
    ]
    rows.append(["", "Total", "", f"{form.total_g:.{places}f}", "", ""])
    heads = [("", "left"), ("Material", "left"), ("% w/w", "right"), ("grams", "right"), ("running", "right")]
    styles = [*(LEVEL_STYLE["stop"] if line.too_small else "" for line in form.lines), "bold"]
    table([*heads, ("weighing", "right")], rows, styles)


def print_review(review: Review, *, working: bool) -> None:
    """Print a review: the formula, its figures, its findings, its cautions."""
    formula = review.formula
    say(formula.name, style="bold")
    use = formula.use or "use not stated"
    if review.use:
        use += " (leave-on)" if review.use.leave_on else " (rinse-off)"
    elif formula.use:
        near = get_close_matches(
            formula.use.casefold(), [name for use in uses().values() for name in (use.name, *use.names)]
        )
        use += f" (not a use we know{'; near it: ' if near else ''}{', '.join(near)})"
    say(f"{use}, {formula.makes.text}" if formula.makes else use, style="dim")
    say()
    print_lines(formula)
    notes = Footnotes()
    _print_figures(review, notes, working=working)
    _print_findings(review, notes)
    if notes.marks:
        heading("Sources")
        for mark in notes.lines():
            say(mark, indent=2, style="dim")
    _print_cautions(review)


def _print_findings(review: Review, notes: Footnotes) -> None:
    heading("Findings")
    if not review.findings:
        say("None. That is not a proof of safety.", indent=2)
    for finding in review.findings:
        say(f"{finding.level}: {finding.title}", style=LEVEL_STYLE[finding.level], indent=2)
        say(f"{finding.why} [{notes.mark(finding.source)}]", indent=6)
        for remedy in finding.remedies:
            say(f"› {remedy.says}", indent=6)
            if remedy.formula is not None:
                say(f"--remedy {remedy.id}", indent=8, style="dim")


def _print_figures(review: Review, notes: Footnotes, *, working: bool) -> None:
    heading("Figures")
    inputs = review.inputs
    say(f"All at {inputs.temperature - 273.15:.4g} °C (--at) unless it says otherwise.", indent=2, style="dim")
    if inputs.left_out:
        left_out = ", ".join(inputs.left_out)
        say(f"Measured too far from that temperature, and left out: {left_out}.", indent=2)
    say("In brackets: where 95 % of it lies. Last: the grade of the weakest value behind it.", indent=2, style="dim")
    why: dict[str, list[str]] = {}
    for figure in review.figures.values():
        if figure.unknown:
            why.setdefault(figure.unknown, []).append(figure.title)
        else:
            _print_figure(figure, notes, working=working)
    for reason, titles in why.items():
        say(f"Not known: {', '.join(titles)}", indent=2)
        say(reason, indent=6, style="dim")


def _print_figure(figure: Figure, notes: Footnotes, *, working: bool) -> None:
    if figure.name == "substance_fraction":
        say(f"{figure.title}:", indent=2)
        for row in figure.rows[:_SHOWN_ROWS]:
            say(f"{row.value:9.4f} %  {row.name}", indent=4)
        if len(figure.rows) > _SHOWN_ROWS:
            say(f"... and {len(figure.rows) - _SHOWN_ROWS} more, all in --json", indent=4, style="dim")
    else:
        say(f"{figure.title}: {figure.say()}" + ("" if figure.rows else f", {figure.grade}"), indent=2)
    if working:
        for line in figure.working():
            say(line, indent=6, style="dim")
        if figure.source != "own-word":
            _print_method(figure, notes)


def _print_method(figure: Figure, notes: Footnotes) -> None:
    said = [f"{figure.method} [{notes.mark(figure.source)}]"]
    if figure.holds:
        said.append(f"holds: {figure.holds}")
    if figure.seen_off:
        said.append(f"seen off: {figure.seen_off}")
    say("; ".join(said), indent=6, style="dim")


class Footnotes:
    """Sources, numbered as they are named."""

    def __init__(self) -> None:
        self.marks: dict[str, int] = {}

    def mark(self, key: str) -> str:
        """Return the number of a source."""
        return str(self.marks.setdefault(key, len(self.marks) + 1))

    def lines(self) -> list[str]:
        """Return the list of sources named."""
        return [f"[{number}] {sources()[key].cite}" for key, number in self.marks.items()]
