"""A formula, a review and its figures, printed for a person."""

from __future__ import annotations

from levigate.cli.say import LEVEL_STYLE, heading, say, table
from levigate.formula.model import Formula, plain
from levigate.quantities.figure import Figure
from levigate.review.engine import Review
from levigate.shelf.catalogue import sources

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


def print_review(review: Review, *, working: bool) -> None:
    """Print a review: the formula, its figures, its findings, its cautions."""
    formula = review.formula
    say(formula.name, style="bold")
    use = (
        f"{formula.use} ({'leave-on' if review.use.leave_on else 'rinse-off'})"
        if review.use
        else formula.use or "use not stated"
    )
    say(", ".join(part for part in (use, formula.makes.text if formula.makes else "") if part), style="dim")
    say()
    print_lines(formula)
    heading("Figures")
    notes = Footnotes()
    said: dict[str, str] = {}
    for figure in review.figures.values():
        if figure.unknown and figure.unknown in said:
            say(f"{figure.title}: not known, for the same reason as {said[figure.unknown]}", indent=2)
            continue
        said[figure.unknown] = figure.title.lower()
        _print_figure(figure, notes, working=working)
    heading("Findings")
    if not review.findings:
        say("None. That is not a proof of safety.", indent=2)
    for finding in review.findings:
        say(f"{finding.level}: {finding.title}", style=LEVEL_STYLE[finding.level], indent=2)
        say(f"{finding.why} [{notes.mark(finding.source)}]", indent=6)
        for remedy in finding.remedies:
            say(f"› {remedy.says}{f'  (--remedy {remedy.id})' if remedy.formula else ''}", indent=6)
    if notes.marks:
        heading("Sources")
        for mark in notes.lines():
            say(mark, indent=2, style="dim")
    heading("Cautions")
    for text in review.standing:
        say(f"· {text}", indent=2)
    for name, caution in review.cautions:
        say(f"· {name}: {caution.text}", indent=2)


def _print_figure(figure: Figure, notes: Footnotes, *, working: bool) -> None:
    say(
        f"{figure.title}: {figure.say()}" + (f", {figure.grade}" if figure.known and not figure.rows else ""),
        indent=2,
    )
    if figure.unknown:
        say(figure.unknown[:1].upper() + figure.unknown[1:], indent=6, style="dim")
    if figure.rows and figure.name == "substance_fraction":
        for row in figure.rows[:_SHOWN_ROWS]:
            say(f"{row.value:9.4f} %  {row.name}", indent=4)
        if len(figure.rows) > _SHOWN_ROWS:
            say(f"... and {len(figure.rows) - _SHOWN_ROWS} more, all in --json", indent=4, style="dim")
    if working:
        for line in figure.working():
            say(line, indent=6, style="dim")
        if figure.known:
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
