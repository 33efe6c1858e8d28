"""The commands ``demo`` and ``new``: the demo workshop, and a first formula of one's own."""

from __future__ import annotations

import contextlib
import io
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any

import typer

from levigate.cli.say import console, say
from levigate.demo import examples
from levigate.errors import FileError


def demo(
    to: Annotated[Path, typer.Option("--to", help="Folder for the formulas and what is made of them.")] = Path(
        "demo-out"
    ),
) -> None:
    """Run the main job on the demo workshop: review, adjust, weigh and compare six formulas for cold-sea swimmers."""
    to.mkdir(parents=True, exist_ok=True)
    stopped = []
    for name, source in examples().items():
        file = to / source.name
        shutil.copyfile(source, file)
        say(f"{name}", style="bold")
        status = _kept(to / f"{name}.review.txt", ["review", str(file), "--working"])
        _kept(to / f"{name}.review.json", ["review", str(file), "--json"])
        _kept(
            to / f"{name}.batch.txt",
            [
                "batch",
                str(file),
                "--loss",
                "3%",
                "--pdf",
                str(to / f"{name}.batch.pdf"),
                "--markdown",
                str(to / f"{name}.batch.md"),
            ],
        )
        if status == 1:
            stopped.append(name)
    first = to / "lee-shore-azelaic-gel.toml"
    milder = to / "lee-shore-azelaic-gel-milder.toml"
    _kept(
        to / "adjust.txt",
        ["adjust", str(first), "--set", "azelaic acid=5%", "--give", "all", "--out", str(milder)],
    )
    _kept(to / "compare.txt", ["compare", str(first), str(milder)])
    _kept(to / "reckon.txt", ["reckon", "ethanol-water", "ethanol=50mL", "water=50mL"])
    say()
    say(
        f"Six formulas reviewed, weighed and set on paper in {to}. Begin with "
        f"{to / 'breakwater-hand-cream.batch.pdf'} and "
        f"{to / 'breakwater-hand-cream.review.txt'}."
    )
    if stopped:
        say(f"The review says stop to: {', '.join(stopped)}.")


def _kept(path: Path, words: list[str]) -> int:
    """Run a command of this program, keep what it prints in a file, and return its exit status."""
    from levigate.cli.main import app
    from levigate.shelf.saving import save

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
    save(path, raw.getvalue())
    say(f"{path}" + (f" (exit status {status})" if status else ""), indent=2, style="dim")
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
) -> None:
    """Begin a formula of your own from one of the demo workshop; nothing that exists is overwritten."""
    import tomlkit

    from levigate.shelf.saving import save

    known = examples()
    if like == "list":
        for key in known:
            say(key)
        return
    found = [key for key in known if like.casefold().replace(" ", "-") in key]
    if len(found) != 1:
        raise FileError(f'"{like}" is not one of the demo formulas: {", ".join(known)}.')
    document = tomlkit.parse(known[found[0]].read_text(encoding="utf-8"))
    head: Any = document["formula"]
    head["name"] = name
    path = out or Path("-".join("".join(c if c.isalnum() else " " for c in name.lower()).split()) + ".toml")
    if path.exists():
        raise FileError(f"{path} exists already; choose another with --out.")
    save(path, tomlkit.dumps(document))
    say(f"Written to {path}. Open it in an editor, change it, then: levigate review {path}")
