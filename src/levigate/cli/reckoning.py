"""The command ``reckon``: quick sums without a formula."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from levigate.cli.options import Json
from levigate.cli.say import as_json, heading, say, table
from levigate.errors import SumError

if TYPE_CHECKING:
    from levigate.reckon.sums import Reckoned


def reckon(
    name: Annotated[
        str | None, typer.Argument(help="Which sum; without one they are listed.", show_default=False)
    ] = None,
    told: Annotated[
        list[str] | None, typer.Argument(help="What is known, as key=value with units.", show_default=False)
    ] = None,
    json: Json = False,
) -> None:
    """Do a quick sum and show its working; without a name, list them.

    For example: levigate reckon ethanol-water ethanol=50mL water=50mL
    """
    from levigate.reckon.sums import quick_sums
    from levigate.reckon.sums import reckon as reckon_it

    if name is None:
        _list(json=json)
        return
    if not told and name in quick_sums():
        if not json:
            _print_keys(name)
        raise SumError(f"{name} was told nothing, for example: levigate reckon {name} {quick_sums()[name].example}")
    answer = reckon_it(name, dict(_pair(text) for text in told or []))
    if json:
        from levigate.publish.forms import reckon_out

        as_json(reckon_out(name, answer))
        return
    _print_answer(answer)


def _list(*, json: bool) -> None:
    from levigate.reckon.sums import quick_sums

    if json:
        from levigate.publish.forms import sum_out

        as_json([sum_out(one) for one in quick_sums().values()])
        return
    for one in quick_sums().values():
        say(one.name, style="bold")
        say(one.title, indent=2)
        say(f"levigate reckon {one.name} {one.example}", indent=2, style="dim")


def _print_answer(answer: Reckoned) -> None:
    from levigate.shelf.catalogue import sources

    for figure in answer.figures.values():
        say(f"{figure.title}: {figure.say()}", style="bold")
    heading("Working")
    for line in answer.working:
        say(line, indent=2)
    for said in dict.fromkeys(figure.holds for figure in answer.figures.values() if figure.holds):
        say(f"Holds: {said}.", indent=2, style="dim")
    for said in dict.fromkeys(figure.seen_off for figure in answer.figures.values() if figure.seen_off):
        say(f"Seen off: {said}.", indent=2, style="dim")
    for key in dict.fromkeys(figure.source for figure in answer.figures.values()):
        say(f"[{sources()[key].cite}]", indent=2, style="dim")
    for note in answer.notes:
        say(note, style="dim")


def _pair(text: str) -> tuple[str, str]:
    key, equals, value = text.partition("=")
    if not equals or not key.strip():
        raise SumError(f'"{text}" is no key=value; write for example temperature=40C.')
    return key.strip(), value.strip()


def _print_keys(name: str) -> None:
    from levigate.reckon.sums import quick_sums

    one = quick_sums()[name]
    say(one.title)
    table(
        [("key", "left"), ("is", "left"), ("else", "left")],
        [[key, about.says, about.default or ""] for key, about in one.keys.items()],
    )
