"""The commands on the shelf: find, show, import."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from levigate.cli.options import Json, ShelfFile, open_shelf, own_shelf_path
from levigate.cli.say import as_json, heading, say, table
from levigate.errors import ShelfError
from levigate.shelf.record import Limit, Material

app = typer.Typer(help="The shelf of materials: find, show, import.", no_args_is_help=True, rich_markup_mode=None)


@app.command()
def find(
    text: Annotated[
        str,
        typer.Argument(help="A name, an INCI name or a CAS number; misspelt will do.", show_default=False),
    ],
    shelf: ShelfFile = None,
    json: Json = False,
) -> None:
    """Find materials by name, INCI or CAS number. Exit status 1 where nothing is like it."""
    from levigate.shelf.find import find as find_it

    known = open_shelf(shelf)
    hits = find_it(known, text)
    if json:
        from levigate.publish.materials import hits_out

        as_json(hits_out(known, hits))
    elif hits:
        table(
            [("Material", "left"), ("INCI", "left"), ("Kind", "left"), ("as", "left")],
            [
                [hit.key, known[hit.key].inci, known[hit.key].kind, hit.name if hit.name != hit.key else ""]
                for hit in hits
            ],
        )
    else:
        say(f'Nothing on the shelf is called anything like "{text}".')
    raise typer.Exit(0 if hits else 1)


@app.command()
def show(
    name: Annotated[str, typer.Argument(help="A material.", show_default=False)],
    shelf: ShelfFile = None,
    json: Json = False,
) -> None:
    """Show all that is known of a material, with sources and grades."""
    from levigate.publish.materials import material_out
    from levigate.shelf.find import closest

    known = open_shelf(shelf)
    key = known.key(name)
    if key is None:
        close = closest(known, name)
        hint = f" Did you mean {' or '.join(close)}?" if close else ""
        raise ShelfError(f'No material is called "{name}".{hint}')
    if json:
        as_json(material_out(known, key))
    else:
        _print_material(key, known[key])


@app.command()
def like(
    name: Annotated[str, typer.Argument(help="A material.", show_default=False)],
    other: Annotated[
        str | None,
        typer.Argument(help="Another, to be held against it; without one the nearest are shown.", show_default=False),
    ] = None,
    most: Annotated[int, typer.Option("--most", min=1, max=50, help="How many of the nearest to show.")] = 8,
    shelf: ShelfFile = None,
    json: Json = False,
) -> None:
    """Say what could stand in for a material like for like, and what would differ."""
    from levigate.publish.materials import likeness_out
    from levigate.quantities.alike import held_against, nearest

    known = open_shelf(shelf)
    found = nearest(known, name, most=most) if other is None else [held_against(known, name, other)]
    if json:
        as_json([likeness_out(one) for one in found])
        return
    for one in found:
        apart = "distance not known" if one.distance != one.distance else f"{one.distance:.1f} MPa½ away"
        verdict = "like for like" if one.alike else "not like for like"
        say(f"{one.key}: {apart}, {verdict}", style="bold")
        for clause in one.because:
            say(f"· {clause}", indent=2)
    say(
        "Distances below 2 MPa½ are as alike as tables can tell; how it feels, spreads and sits in an emulsion only a "
        "trial tells.",
        style="dim",
    )


def _print_material(key: str, record: Material) -> None:
    from levigate.publish.materials import facts

    say(key, style="bold")
    charge = "" if record.charge == "none" else f", {record.charge}"
    looks = dict.fromkeys([record.kind, record.form])  # the kind "powder" has the form powder
    words = {"insoluble": "dissolves in neither water nor oil", "unknown": "where it belongs is not stated"}
    place = words.get(record.affinity, f"belongs in {record.affinity}")
    say(f"{record.inci}. {', '.join(looks)}, {place}{charge}")
    if record.names:
        say(f"also: {', '.join(record.names)}", style="dim")
    if record.about:
        say(record.about)
    heading("Values")
    columns = [("", "left"), ("", "left"), ("grade", "left"), ("source", "right")]
    notes: dict[str, int] = {}
    rows = [
        [fact.name, fact.says, fact.grade, f"[{notes.setdefault(fact.cited, len(notes) + 1)}]"]
        for fact in facts(record)
    ]
    if record.price is not None:
        rows.append(["price", record.price, "", ""])
    table(columns, rows)
    if record.limits:
        heading("Limits (verify against the current text of the law)")
        for limit in record.limits:
            say(f"· {_in_words(limit)}", indent=2)
    if record.cautions:
        heading("Cautions")
        for caution in record.cautions:
            say(f"· {caution.text}", indent=2)
    if notes:
        heading("Sources")
    for cite, number in notes.items():
        say(f"[{number}] {cite.rstrip('.')}.", indent=2, style="dim")


def _in_words(limit: Limit) -> str:
    share = f"{limit.percent} %"
    if not limit.percent:
        share = "a condition in words" if limit.percent is None else "may not be used"
    if limit.counted_as:
        share += f" counted as {limit.counted_as}" + (f" (× {limit.factor:g})" if limit.factor != 1 else "")
    begins = f", applies from {limit.begins}" if limit.begins else ""
    note = f" {limit.note[:1].upper()}{limit.note[1:].rstrip('.')}." if limit.note else ""
    return f"{limit.jurisdiction}, {', '.join(limit.applies)}: {share}. {limit.law}, as of {limit.as_of}{begins}.{note}"


@app.command("import")
def import_(
    file: Annotated[Path, typer.Argument(help="A CSV file; its first row names the columns.", show_default=False)],
    shelf: ShelfFile = None,
    replace: Annotated[
        bool,
        typer.Option("--replace", help="Let rows of the file take the place of materials of the same name."),
    ] = False,
    json: Json = False,
) -> None:
    """Bring materials of your own onto your shelf from a CSV file.

    Nothing is written unless every row is right.
    """
    from levigate.shelf.importing import import_csv

    path = own_shelf_path(shelf)
    brought = import_csv(file, path, replace=replace)
    if json:
        from levigate.publish.materials import imported_out

        as_json(imported_out(path, brought))
        return
    many = f"{len(brought)} material{'' if len(brought) == 1 else 's'}"
    say(f"{many} brought to {path}: {', '.join(brought)}.")
