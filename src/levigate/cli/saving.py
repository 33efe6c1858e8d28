"""The commands on whole records: backup and restore, export and import."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from levigate.cli.options import Json
from levigate.cli.say import as_json, say
from levigate.cli.waiting import waited_for
from levigate.cli.workshop import Data
from levigate.errors import RecordError

if TYPE_CHECKING:
    from levigate.records.archive import Counted

app = typer.Typer(help="Everything on record: export, import.", no_args_is_help=True, rich_markup_mode=None)

Written = Annotated[Path, typer.Argument(help="The file to write (zip).", show_default=False)]
Overwrite = Annotated[bool, typer.Option("--replace", help="Replace the file where it is there already.")]


def backup(file: Written, data: Data = None, replace: Overwrite = False, json: Json = False) -> None:
    """Write a backup of the records; the workshop may stay open meanwhile."""
    _refuse_overwriting(file, replace)
    _must_be_there(data)
    from levigate.web.serving import set_up

    set_up(data)
    from levigate.records import backup as backups

    with waited_for("Backing up") as progress:
        kind, counted = backups.backup(file, progress)
    _tell(file, kind, counted, "written to", json=json)


def restore(
    file: Annotated[Path, typer.Argument(help="A backup or an archive.", show_default=False)],
    data: Data = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Put the records that are there aside, and restore these.")
    ] = False,
    json: Json = False,
) -> None:
    """Bring back what a backup or an archive holds; the workshop must not be open."""
    from levigate.web.serving import ready, set_up

    set_up(data)
    from levigate.records import backup as backups

    with waited_for("Restoring") as progress:
        restored = backups.restore(file, replace=replace, prepare=ready, progress=progress)
    _tell(file, restored.kind, restored.counted, "brought back from", aside=restored.aside, json=json)


@app.command()
def export(file: Written, data: Data = None, replace: Overwrite = False, json: Json = False) -> None:
    """Write everything on record to an archive that can be read without this program."""
    _refuse_overwriting(file, replace)
    _must_be_there(data)
    from levigate.web.serving import ready

    ready(data)
    from levigate.records import archive

    with waited_for("Exporting") as progress:
        counted = archive.export(file, progress)
    _tell(file, archive.KIND, counted, "written to", json=json)


@app.command("import")
def import_(
    file: Annotated[Path, typer.Argument(help="An archive.", show_default=False)], data: Data = None, json: Json = False
) -> None:
    """Bring an archive into an empty workshop, all of it or nothing."""
    from levigate.web.serving import ready

    ready(data)
    from levigate.records import archive

    with waited_for("Importing") as progress:
        counted = archive.bring_in(file, progress)
    _tell(file, archive.KIND, counted, "brought in from", json=json)


def _refuse_overwriting(file: Path, replace: bool) -> None:
    if file.exists() and not replace:
        raise RecordError(f"{file} is there already; --replace writes over it.")


def _must_be_there(data: Path | None) -> None:
    """Refuse a folder that is not there, before one is made by that name."""
    if data is not None and not data.is_dir():
        raise RecordError(f"{data} is not there; it should be the folder of the records.")


def _tell(file: Path, kind: str, counted: Counted, done: str, *, json: bool, aside: Path | None = None) -> None:
    if json:
        from levigate.publish.saved import SavedOut

        as_json(
            SavedOut(
                file=str(file),
                kind=kind,
                rows=counted.rows,
                papers=counted.papers,
                missing=list(counted.missing),
                aside=None if aside is None else str(aside),
            )
        )
        return
    held = [f"{counted.rows.get(name, 0)} {name.replace('-', ' ')}" for name in ("formulas", "versions", "lots")]
    held += [f"{counted.rows.get(name, 0)} {name}" for name in ("batches", "weighings")]
    say(f"{', '.join(held)} and {counted.papers} papers {done} {file}.")
    if counted.missing:
        say(f"The files of {len(counted.missing)} papers on record were not to be found: {', '.join(counted.missing)}.")
    if aside is not None:
        say(f"What was on record before lies in {aside}.")
