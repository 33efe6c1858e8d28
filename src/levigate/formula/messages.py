"""What was found wrong with a formula file, in words that name the place and say what would be right."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from typing import Any

import tomli
from pydantic import BaseModel, ValidationError

from levigate.errors import came
from levigate.formula.shapes import (
    ContainerShape,
    FileShape,
    GrainShape,
    HeadShape,
    LineShape,
    MeasuredShape,
    PhaseShape,
)


def toml_line(trouble: tomli.TOMLDecodeError) -> int | None:
    return getattr(trouble, "lineno", None)


def toml_words(trouble: tomli.TOMLDecodeError) -> tuple[str]:
    said = re.sub(r" \(at .*\)$", "", str(getattr(trouble, "msg", trouble)), flags=re.DOTALL)
    twice = "twice" in said or "overwrite" in said.lower()
    hint = " The same name stands twice; keep one." if twice else ""
    return (f"this is not TOML: {said[:1].lower()}{said[1:].rstrip('.')}.{hint}",)


#: What pydantic calls wrong -> what would be right.
_RIGHT = {
    "string_type": "must be text in quotes",
    "string_too_short": "must not be empty",
    "string_too_long": "must not be longer than 200 letters",
    "int_type": "must be a whole number",
    "model_type": "must be a table, as {{ ... }} or under [{name}]",
    "dict_type": "must be a table, as {{ ... }} or under [{name}]",
    "list_type": "must be a list; a table of which there are many is headed [[{name}]]",
}


def first_wrong(trouble: ValidationError, table: Mapping[str, Any]) -> tuple[tuple[str | int, ...], str]:
    """Return path and message of the first thing that is wrong, in words."""
    errors = trouble.errors(include_url=False)
    error = next((e for e in errors if e["type"] == "extra_forbidden"), errors[0])
    kind = error["type"]
    path = error["loc"] if kind in ("missing", "extra_forbidden") else _there(error["loc"], table)
    name = next((str(part) for part in reversed(path) if isinstance(part, str)), "the file")
    place = _in_words(path, table)
    if kind == "missing":
        return path[:-1] or path, f'{place} lacks "{path[-1]}".'
    if kind == "extra_forbidden":
        known = _known(path)
        close = difflib.get_close_matches(name, known, n=1)
        mend = f'did you mean "{close[0]}"?' if close else f"known here: {', '.join(known)}."
        return path, f"{place}: {came(name)} is not a word of the formula file; {mend}"
    if kind == "value_error":
        return path, f"{place}: {str(error['ctx']['error']).rstrip('.')}."
    if kind == "too_short":
        return path, f'{place}: "{name}" holds nothing; at least one is needed.'
    right = _RIGHT.get(kind, f"is not right: {error['msg'][:1].lower()}{error['msg'][1:]}").format(name=name)
    return path, f'{place}: "{name}" {right}; what came is {came(error["input"])}.'


def _there(path: tuple[str | int, ...], table: Mapping[str, Any]) -> tuple[str | int, ...]:
    """Return as much of a path as the file has; pydantic adds the names of the shapes it tried."""
    found: Any = table
    for length, part in enumerate(path):
        try:
            found = found[part]
        except (KeyError, IndexError, TypeError):
            return path[:length]
    return path


def _known(path: tuple[str | int, ...]) -> list[str]:
    shapes: dict[str, type[BaseModel]] = {
        "formula": HeadShape,
        "container": ContainerShape,
        "grain": GrainShape,
        "lines": LineShape,
        "phase": PhaseShape,
        "measured": MeasuredShape,
    }
    for part in reversed(path[:-1]):
        if part in shapes:
            return list(shapes[str(part)].model_fields)
    return list(FileShape.model_fields)


def _in_words(path: tuple[str | int, ...], table: Mapping[str, Any]) -> str:
    if not path or not isinstance(path[0], str):
        return "the file"
    if path[0] != "phase" or len(path) < 2 or not isinstance(path[1], int):
        depth = 2 if path[0] in ("materials", "measured") and len(path) > 2 else 1
        return f"[{'.'.join(map(str, path[:depth]))}]" if len(path) > 1 else "the file"
    try:
        phase = table["phase"][path[1]]
        letter = phase.get("letter")
        words = f"phase {letter if isinstance(letter, str) and letter else path[1] + 1}"
        if len(path) > 3 and isinstance(path[3], int):
            line = phase["lines"][path[3]]
            name = line.get("material")
            words += f", {came(name)}" if isinstance(name, str) else f", line {path[3] + 1}"
        return words
    except (AttributeError, KeyError, TypeError, IndexError):
        return f"phase {path[1] + 1}"
