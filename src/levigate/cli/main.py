"""The command. Each subcommand is loaded when it is called, so that the command starts fast."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from levigate import __version__
from levigate.cli import batches, demos, formulas, reckoning, saving, shelves, workshop
from levigate.cli.say import harmless
from levigate.errors import LevigateError

app = typer.Typer(
    name="levigate",
    help="Formulas for skin and hair care in small batches: add up, review, adjust, scale, weigh.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
app.command("demo")(demos.demo)
app.command("new")(demos.new)
app.command("review")(formulas.review)
app.command("adjust")(formulas.adjust)
app.command("compare")(formulas.compare)
app.command("batch")(batches.batch)
app.command("reckon")(reckoning.reckon)
app.command("open")(workshop.open_)
app.command("backup")(saving.backup)
app.command("restore")(saving.restore)
app.add_typer(shelves.app, name="shelf")
app.add_typer(saving.app, name="records")


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(__version__)
        raise typer.Exit


@app.callback()
def main(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    """Formulas for skin and hair care in small batches: add up, review, adjust, scale, weigh."""


def run() -> None:
    """Run the command; trouble becomes one sentence and exit status 2."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
    try:
        app()
    except LevigateError as trouble:
        print(f"levigate: {harmless(str(trouble))}", file=sys.stderr)
        sys.exit(2)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
