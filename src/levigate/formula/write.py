"""Write a changed formula back into its text, comments and layout kept."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import Any

from levigate.formula.model import Formula, Line, Phase, plain


def rewrite(text: str, formula: Formula) -> str:
    """Return the text of a formula as a changed one has it, everything else as it stood.

    Parameters
    ----------
    text : str
        The file the formula was read from.
    formula : Formula
        The changed formula: other percents, materials or amount to make, lines moved to other phases or added.
    """
    import tomlkit

    document = tomlkit.parse(text)
    tables: Any = document["phase"]
    by_letter = {str(table["letter"]): table for table in tables}
    for phase in formula.phases:
        _fit(by_letter[phase.letter]["lines"], phase)
    kept = {phase.letter for phase in formula.phases}
    for position in reversed(range(len(tables))):
        if str(tables[position]["letter"]) not in kept:
            del tables[position]
    head: Any = document["formula"]
    if formula.makes is not None and head.get("makes") != formula.makes.text:
        head["makes"] = formula.makes.text
    return tomlkit.dumps(document)


def _fit(lines: Any, phase: Phase) -> None:
    """Make the lines of a phase in the text those of the phase: what is gone goes, what is new comes last."""
    if len(lines) == len(phase.lines):
        for entry, line in zip(lines, phase.lines, strict=True):
            if entry["material"] != line.material:
                entry["material"] = line.material
    wanted = {line.material: line for line in phase.lines}
    for position in reversed(range(len(lines))):
        if lines[position]["material"] not in wanted:
            del lines[position]
    present = {str(entry["material"]): entry for entry in lines}
    for line in phase.lines:
        if line.material not in present:
            lines.append(_entry(line))
        elif not line.qs and _as_written(present[line.material]["percent"]) != line.percent:
            present[line.material]["percent"] = _number(line.percent)


def _entry(line: Line) -> Any:
    import tomlkit

    entry = tomlkit.inline_table()
    entry["material"] = line.material
    entry["percent"] = "q.s." if line.qs else _number(line.percent)
    if line.grain is not None:
        grain = tomlkit.inline_table()
        for name in ("d50", "d90"):
            if (size := getattr(line.grain, name)) is not None:
                grain[name] = f"{size * 1e6:.6g} um"
        entry["grain"] = grain
    for name in ("role", "note"):
        if getattr(line, name):
            entry[name] = getattr(line, name)
    return entry


def _as_written(value: Any) -> Decimal | None:
    """Return the percent that stands in the text, None for q.s."""
    try:
        return Decimal(str(value).strip().removesuffix("%").strip())
    except InvalidOperation:
        return None


def _number(percent: Decimal) -> Any:
    import tomlkit

    text = plain(percent)
    return tomlkit.value(text)
