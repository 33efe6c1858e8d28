"""A first formula by family: an outline that adds up, from the demo workshop."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from levigate.demo import examples
from levigate.errors import RecordError
from levigate.formula.text import read_formula
from levigate.records.formulas import create
from levigate.records.models import Formula


@dataclass(frozen=True, slots=True)
class Outline:
    """One way to begin."""

    key: str
    use: str
    name: str
    #: What it is, in the words on top of its file.
    about: str
    materials: tuple[str, ...]


@lru_cache(maxsize=1)
def outlines() -> tuple[Outline, ...]:
    """Return the ways to begin, by family."""
    found = []
    for key, path in examples().items():
        text = path.read_text(encoding="utf-8")
        formula = read_formula(text)
        head = text.partition("\n")[0].lstrip("# ")
        about = (head.partition(":")[2] or head).strip()
        materials = tuple(line.material for _, line in formula.lines())
        found.append(Outline(key, formula.use, formula.name, about[:1].upper() + about[1:], materials))
    return tuple(found)


def begin(name: str, family: str) -> Formula:
    """Begin a formula of one's own from an outline."""
    import tomlkit

    name = " ".join(name.split())
    if not 0 < len(name) <= 200:
        raise RecordError("Give the formula a name of 1 to 200 letters.")
    if family not in examples():
        raise RecordError("Choose what to begin with.")
    text = examples()[family].read_text(encoding="utf-8")
    document: Any = tomlkit.parse("levigate =" + text.partition("levigate =")[2])
    document["formula"]["name"] = name
    return create(tomlkit.dumps(document), says=f"begun as {family}")
