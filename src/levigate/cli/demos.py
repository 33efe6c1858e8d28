"""The commands ``demo`` and ``new``: the demo workshop, and a first formula of one's own."""

from __future__ import annotations

import contextlib
import io
import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any

import typer

from levigate.cli.options import Json
from levigate.cli.say import as_json, console, say
from levigate.demo import examples
from levigate.errors import FileError
from levigate.formula.text import read_formula
from levigate.shelf.saving import save


def demo(
    to: Annotated[Path, typer.Option("--to", help="Folder for the formulas and what is made of them.")] = Path(
        "demo-out"
    ),
    json: Json = False,
) -> None:
    """Review, adjust, weigh and compare six demo formulas, and put the demo workshop on record."""
    from levigate.publish.forms import DemoOut

    try:
        to.mkdir(parents=True, exist_ok=True)
    except OSError as trouble:
        raise FileError(f"{to} cannot be made a folder: {(trouble.strerror or str(trouble)).lower()}.") from trouble
    stopped = []
    for name, source in examples().items():
        save(to / source.name, source.read_bytes())
        for words in _jobs(to, name):
            status = _kept(to, words)
        if status == 1:
            stopped.append(name)
        if not json:
            say(f"{name}: reviewed and weighed")
    for words in _more_jobs(to):
        _kept(to, words)
    workshop = _workshop(to / "workshop")
    files = sorted(path.name for path in to.iterdir() if path.is_file())
    if json:
        as_json(DemoOut(folder=str(to), files=files, stopped=stopped, workshop=workshop and str(workshop)))
        return
    say()
    say(f"{len(files)} files in {to}: begin with breakwater-hand-cream.batch.pdf and breakwater-hand-cream.review.txt.")
    if stopped:
        say(f"The review says stop to: {', '.join(stopped)}.")
    if workshop is None:
        say("No demo workshop was put on record: LEVIGATE_DATABASE_URL names a database, and that may be your own.")
        return
    say("Its records are a folder of their own; open them in the browser with:")
    say(f"levigate open --data {workshop}", indent=2)


def _workshop(folder: Path) -> Path | None:
    """Put the demo workshop on record in a folder, unless it is there; None where the records lie in a server.

    It is a program of its own: what is set up for one folder of records in this one stays as it is.
    """
    if os.environ.get("LEVIGATE_DATABASE_URL"):
        return None
    own = {name: value for name, value in os.environ.items() if name != "DJANGO_SETTINGS_MODULE"}
    script = "import sys; from levigate.cli.demos import on_record; on_record(sys.argv[1])"
    done = subprocess.run(
        [sys.executable, "-c", script, str(folder)], env=own, capture_output=True, encoding="utf-8", check=False
    )
    if done.returncode:
        last = (done.stderr.strip().splitlines() or ["it said nothing"])[-1]
        raise FileError(f"The demo workshop could not be put on record in {folder}: {last}")
    return folder


def on_record(folder: str) -> None:
    """Put the demo workshop on record in a folder where nothing is on record yet."""
    from levigate.web.serving import ready

    ready(Path(folder))
    from levigate.records.demo import load
    from levigate.records.today import is_empty

    if is_empty():
        load()


def _jobs(to: Path, name: str) -> list[tuple[str, list[str]]]:
    """Return what is done with each formula: the file for what it prints, and the words of the command."""
    file = str(to / f"{name}.toml")
    sheets = ["--pdf", str(to / f"{name}.batch.pdf"), "--markdown", str(to / f"{name}.batch.md")]
    return [
        (f"{name}.batch.txt", ["batch", file, "--loss", "3%", *sheets]),
        (f"{name}.review.json", ["review", file, "--json"]),
        (f"{name}.review.txt", ["review", file, "--working"]),
    ]


def _more_jobs(to: Path) -> list[tuple[str, list[str]]]:
    first, milder = str(to / "lee-shore-azelaic-gel.toml"), str(to / "lee-shore-azelaic-gel-milder.toml")
    return [
        ("adjust.txt", ["adjust", first, "--set", "azelaic acid=5%", "--give", "all", "--out", milder]),
        ("compare.txt", ["compare", first, milder]),
        ("reckon.txt", ["reckon", "ethanol-water", "ethanol=50mL", "water=50mL"]),
    ]


def _kept(to: Path, job: tuple[str, list[str]]) -> int:
    """Run a command of this program, keep what it prints in a file, and return its exit status."""
    from levigate.cli.main import app

    name, words = job
    raw = io.BytesIO()
    text = io.TextIOWrapper(raw, encoding="utf-8", write_through=True)
    status = 0
    console.cache_clear()
    with contextlib.redirect_stdout(text):
        command: Callable[..., Any] = typer.main.get_command(app)
        try:
            status = command(words, standalone_mode=False) or 0
        except typer.Exit as leaving:
            status = leaving.exit_code
        text.flush()
    console.cache_clear()
    save(to / name, raw.getvalue())
    return status


def new(
    name: Annotated[str, typer.Argument(help="What the formula is called.", show_default=False)],
    like: Annotated[
        str,
        typer.Option("--like", help="The demo formula to begin with; `levigate new --like list x` lists them."),
    ] = "breakwater-hand-cream",
    out: Annotated[
        Path | None, typer.Option("--out", help="The file to write; made from the name if not given.")
    ] = None,
    json: Json = False,
) -> None:
    """Begin a formula of your own from a demo formula.

    Nothing that exists is overwritten.
    """
    from levigate.publish.forms import NewOut

    known = list(examples())
    if like == "list":
        if json:
            as_json(NewOut(file=None, known=known))
        for key in [] if json else known:
            say(key)
        return
    found = [key for key in known if like.casefold().replace(" ", "-") in key]
    if len(found) != 1:
        raise FileError(f'"{like}" is not one of the demo formulas: {", ".join(known)}.')
    path = out or _file_name(name)
    if path.exists():
        raise FileError(f"{path} exists already; choose another with --out.")
    save(path, _renamed(examples()[found[0]], name, path))
    if json:
        as_json(NewOut(file=str(path), known=known))
        return
    say(f"Written to {path}. Open it in an editor, change it, then:")
    say(f"levigate review {path}", indent=2)


def _file_name(name: str) -> Path:
    words = "".join(c if c.isalnum() else " " for c in name.lower()).split()
    if not words:
        raise FileError(f'"{name}" gives no file name; choose one with --out.')
    return Path("-".join(words)[:100] + ".toml")


def _renamed(source: Path, name: str, path: Path) -> str:
    """Return the text of a demo formula under another name, refused when it could not be read again."""
    import tomlkit

    # The remarks on top tell of the demo workshop.
    own = re.sub(r"\A(#.*\n)+", "", source.read_text(encoding="utf-8"))
    document = tomlkit.parse(own)
    head: Any = document["formula"]
    head["name"] = name
    text = tomlkit.dumps(document)
    read_formula(text, file=str(path))
    return text
