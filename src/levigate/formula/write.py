"""Write a changed formula back into its text, comments and layout kept."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal, InvalidOperation
from difflib import SequenceMatcher
from typing import Any

from levigate.errors import FileError
from levigate.formula.model import Formula, Grain, Line, Phase, plain
from levigate.formula.shapes import GrainShape
from levigate.formula.text import BOM


def rewrite(text: str, formula: Formula) -> str:
    """Return the text of a formula as a changed one has it, everything else as it stood.

    Parameters
    ----------
    text : str
        The file the formula was read from.
    formula : Formula
        The changed formula: other percents, materials, notes, treatments or amount to make, lines moved to other
        phases, added or taken out. Its phases are those of the text, or fewer; so are its measured values.

    Raises
    ------
    FileError
        When the text cannot be changed in place.
    """
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    mark = BOM if text.startswith(BOM) else ""
    try:
        document = tomlkit.parse(text.removeprefix(BOM))
        before = tomlkit.dumps(document)
        _change(document, formula)
        changed = tomlkit.dumps(document)
    except (TOMLKitError, RecursionError) as trouble:
        raise FileError(f"The file cannot be changed in place: {str(trouble).rstrip('.')}.") from trouble
    if changed == before:
        return text
    if "\r\n" in text:
        changed = re.sub(r"(?<!\r)\n", "\r\n", changed)
    return mark + changed


def _change(document: Any, formula: Formula) -> None:
    tables = document["phase"]
    by_letter = {str(table["letter"]): table for table in tables}
    for phase in formula.phases:
        table = by_letter[phase.letter]
        _fit(table["lines"], phase)
        if table.get("how", "") != phase.how:
            table["how"] = phase.how
    kept = {phase.letter for phase in formula.phases}
    for position in reversed(range(len(tables))):
        if str(tables[position]["letter"]) not in kept:
            del tables[position]
    for name in [name for name in document.get("measured", ()) if name not in formula.measured]:
        del document["measured"][name]
    if "measured" in document and not document["measured"]:
        del document["measured"]
    head = document["formula"]
    if formula.makes is not None and head.get("makes") != formula.makes.text:
        head["makes"] = formula.makes.text


def _fit(entries: Any, phase: Phase) -> None:
    """Make the lines of a phase in the text those of the phase: what is gone goes, what is new comes last."""
    wanted = {line.material: line for line in phase.lines}
    names = [str(entry["material"]) for entry in entries]
    for entry, line in _in_the_place_of(entries, names, phase.lines):
        # A line that bears another name in the same place was renamed; one that the text has elsewhere was moved.
        if entry["material"] not in wanted and line.material not in names:
            entry["material"] = line.material
    for position in reversed(range(len(entries))):
        if entries[position]["material"] not in wanted:
            del entries[position]
    present = {str(entry["material"]): entry for entry in entries}
    for line in phase.lines:
        if line.material in present:
            _match(present[line.material], line)
        else:
            entries.append(_entry(line, inline=not _is_list_of_tables(entries)))


def _in_the_place_of(entries: Any, names: list[str], lines: tuple[Line, ...]) -> Iterator[tuple[Any, Line]]:
    """Yield the entries that differ, each with the line that now stands between the same neighbours."""
    now = [line.material for line in lines]
    for what, first, last, begin, end in SequenceMatcher(None, names, now, autojunk=False).get_opcodes():
        if what == "replace":
            yield from zip((entries[i] for i in range(first, last)), lines[begin:end], strict=False)


def _is_list_of_tables(entries: Any) -> bool:
    from tomlkit.items import AoT

    return isinstance(entries, AoT)


def _match(entry: Any, line: Line) -> None:
    """Change in an entry only what differs from the line."""
    if _as_written(entry["percent"]) != (None if line.qs else line.percent):
        entry["percent"] = _percent(line)
    for name in ("role", "note"):
        if entry.get(name, "") != getattr(line, name):
            _put(entry, name, getattr(line, name))
    if _grain_written(entry) != line.grain:
        _put(entry, "grain", _grain(line.grain))


def _put(entry: Any, name: str, value: Any) -> None:
    if value:
        entry[name] = value
    else:
        entry.pop(name, None)


def _entry(line: Line, *, inline: bool) -> Any:
    import tomlkit

    words: dict[str, Any] = {"material": line.material, "percent": _percent(line), "grain": _grain(line.grain)}
    words |= {"role": line.role, "note": line.note}
    words = {name: value for name, value in words.items() if value not in ("", None)}
    return _spaced(words) if inline else tomlkit.item(words)


def _spaced(words: dict[str, Any]) -> Any:
    """Return an inline table with a blank inside each bracket, as people write them."""
    import tomlkit

    pairs = (f"{name} = {tomlkit.item(value).as_string()}" for name, value in words.items())
    return tomlkit.value(f"{{ {', '.join(pairs)} }}")


def _grain_written(entry: Any) -> Grain | None:
    """Return the grain that stands in the text."""
    written = entry.get("grain")
    return None if written is None else GrainShape.model_validate(written.unwrap()).grain()


def _grain(grain: Grain | None) -> Any:
    """Return the words for a grain as they stand in a file; nothing for none."""
    if grain is None:
        return None
    words: dict[str, Any] = {
        name: f"{size * 1e6:.12g} um" for name, size in (("d50", grain.d50), ("d90", grain.d90)) if size is not None
    }
    if len(grain.sieves) == 1:
        (sieve,) = grain.sieves
        words["sieve"] = sieve.says
        if sieve.passing is not None:
            words["passing"] = _share(sieve.passing)
    elif grain.sieves:
        words["sieves"] = [[sieve.says, _share(sieve.passing or 0.0)] for sieve in grain.sieves]
    if grain.ground:
        words["ground"] = grain.ground
    return _spaced(words) if words else None


def _share(passing: float) -> str:
    return f"{100 * passing:.12g} %"


def _as_written(value: Any) -> Decimal | None:
    """Return the percent that stands in the text, None for q.s."""
    try:
        return Decimal(str(value).strip().removesuffix("%").strip())
    except InvalidOperation:
        return None


def _percent(line: Line) -> Any:
    import tomlkit

    return tomlkit.value('"q.s."' if line.qs else plain(line.percent))
