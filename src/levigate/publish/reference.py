"""The reference pages that are made from the code: the rules of the review, and the JSON of each command.

``python -m levigate.publish.reference`` writes them; with ``--check`` it says which of them are out of date.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import BaseModel
from pydantic.json_schema import models_json_schema

from levigate.publish import forms, materials, saved
from levigate.review.cautions import AT_THE_BENCH, STANDING
from levigate.review.findings import rules
from levigate.shelf.catalogue import sources

#: Where the pages stand in a checkout.
FOLDER = Path(__file__).parents[3] / "docs" / "reference"


@dataclass(frozen=True, slots=True)
class Printed:
    """What a command prints with ``--json``: an object, or a list of them."""

    command: str
    model: type[BaseModel]
    many: bool = False


PRINTED = (
    Printed("levigate review FILE", forms.ReviewOut),
    Printed("levigate adjust FILE", forms.LineOut, many=True),
    Printed("levigate batch FILE", forms.BatchOut),
    Printed("levigate compare FIRST SECOND", forms.CompareOut),
    Printed("levigate reckon", forms.SumOut, many=True),
    Printed("levigate reckon NAME key=value", forms.ReckonOut),
    Printed("levigate shelf find TEXT", materials.HitOut, many=True),
    Printed("levigate shelf show NAME", materials.MaterialOut),
    Printed("levigate shelf like NAME", materials.LikenessOut, many=True),
    Printed("levigate shelf import FILE", materials.ImportedOut),
    Printed("levigate demo", forms.DemoOut),
    Printed("levigate new NAME", forms.NewOut),
    Printed("levigate backup FILE", saved.SavedOut),
    Printed("levigate restore FILE", saved.SavedOut),
    Printed("levigate records export FILE", saved.SavedOut),
    Printed("levigate records import FILE", saved.SavedOut),
)


def pages() -> dict[str, str]:
    """Return the text of each page by its file name."""
    return {"rules.md": rules_page(), "json.md": json_page()}


def rules_page() -> str:
    """Return the catalogue of the rules of the review, as Markdown."""
    parts = [
        "# The rules of the review",
        "`levigate review` asks each of these in this order. A finding has a level: `stop` (do not make it so), `care` "
        "(look at it before you go on) or `note`. Each names on whose word it stands; where a change of the formula "
        "would mend it, that change is computed and can be applied with `levigate adjust FILE --remedy ID`.",
        "A review without findings is not a proof of safety.",
    ]
    for rule in rules().values():
        cited = "\n".join(f"- {sources()[key].cite}" for key in rule.sources)
        parts += [f"## {rule.name}", rule.why, f"On whose word:\n\n{cited}"]
    parts += ["## Cautions", "Said with every review and on every sheet:", _bullets(STANDING)]
    hazards = [f"{hazard}: {text}" for hazard, text in AT_THE_BENCH.items()]
    parts += ["Said where a material brings the hazard, or the way it is made:", _bullets(hazards)]
    return "\n\n".join(parts) + "\n"


def _bullets(texts: tuple[str, ...] | list[str]) -> str:
    return "\n".join(f"- {text}" for text in texts)


def schemas() -> dict[str, dict[str, Any]]:
    """Return the JSON Schema of every shape that is printed, and of all they are made of, by name."""
    _, table = models_json_schema([(one.model, "serialization") for one in PRINTED], ref_template="{model}")
    return dict(table["$defs"])


def json_page() -> str:
    """Return what each command prints with ``--json``, as Markdown."""
    parts = [
        "# What the commands print with `--json`",
        "UTF-8, one object or one list. Percents are by mass; `null` stands for a number that is not known. A field is "
        "always there; one may be added in a later version, none goes away without a note in the changelog.",
        "| command | prints |\n| --- | --- |\n"
        + "\n".join(
            f"| `{one.command}` | {'a list of ' if one.many else ''}{_link(one.model.__name__)} |" for one in PRINTED
        ),
    ]
    for name, schema in schemas().items():
        parts += [f"## {name}", " ".join(str(schema.get("description", "")).split()), _fields(schema)]
    return "\n\n".join(part for part in parts if part) + "\n"


def _link(name: str) -> str:
    return f"[{name}](#{name.lower()})"


def _fields(schema: Mapping[str, Any]) -> str:
    rows = [
        f"| `{name}` | {_type(field)} | {' '.join(str(field.get('description', '')).split())} |"
        for name, field in schema["properties"].items()
    ]
    return "\n".join(["| field | is | that is |", "| --- | --- | --- |", *rows])


def _type(schema: Mapping[str, Any]) -> str:
    """Return the type of a field in words."""
    if "$ref" in schema:
        return _link(schema["$ref"])
    if "anyOf" in schema:
        return " or ".join(dict.fromkeys(_type(one) for one in schema["anyOf"]))
    if "enum" in schema:
        return ", ".join(f'`"{word}"`' for word in schema["enum"])
    if schema.get("type") == "array":
        return _list(schema)
    if schema.get("type") == "object":
        return f"object, name to {_type(schema['additionalProperties'])}"
    return str(schema.get("type", "anything"))


def _list(schema: Mapping[str, Any]) -> str:
    if "prefixItems" not in schema:
        return f"list of {_type(schema.get('items', {}))}"
    parts = [_type(one) for one in schema["prefixItems"]]
    return f"list of exactly {len(parts)}, each {' or '.join(dict.fromkeys(parts))}"


def main(words: list[str]) -> int:
    """Write the pages; with ``--check`` write nothing and return 1 where one is out of date."""
    stale = [name for name, text in pages().items() if _stands(name) != text]
    if "--check" in words:
        for name in stale:
            print(f"{FOLDER / name} is out of date: make docs", file=sys.stderr)
        return 1 if stale else 0
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name in stale:
        (FOLDER / name).write_text(pages()[name], encoding="utf-8")
    return 0


def _stands(name: str) -> str:
    path = FOLDER / name
    return path.read_text(encoding="utf-8") if path.exists() else ""


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
