"""A reader of JSON Schema, just enough for our own pages: so the test does not rest on the shapes it tests."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

_TYPES: dict[str, tuple[type, ...]] = {
    "string": (str,),
    "number": (int, float),
    "integer": (int,),
    "boolean": (bool,),
    "null": (type(None),),
    "array": (list,),
    "object": (dict,),
}


def faults(found: Any, schema: Mapping[str, Any], defs: Mapping[str, Any], at: str = "") -> Iterator[str]:
    """Yield every place where what was found is not what the schema says."""
    if "$ref" in schema:
        yield from faults(found, defs[schema["$ref"]], defs, at)
        return
    if "anyOf" in schema:
        tried = [list(faults(found, one, defs, at)) for one in schema["anyOf"]]
        if all(tried):
            yield min(tried, key=len)[0]
        return
    kind = schema.get("type")
    if kind is not None and (not isinstance(found, _TYPES[kind]) or (isinstance(found, bool) and kind != "boolean")):
        yield f"{at}: {found!r} is no {kind}"
        return
    if "enum" in schema and found not in schema["enum"]:
        yield f"{at}: {found!r} is none of {schema['enum']}"
    if kind == "object":
        yield from _object(found, schema, defs, at)
    if kind == "array":
        yield from _array(found, schema, defs, at)


def _object(found: dict[str, Any], schema: Mapping[str, Any], defs: Mapping[str, Any], at: str) -> Iterator[str]:
    fields = schema.get("properties", {})
    for name in schema.get("required", ()):
        if name not in found:
            yield f"{at}: {name} is missing"
    for name, value in found.items():
        if name in fields:
            yield from faults(value, fields[name], defs, f"{at}.{name}")
        elif isinstance(more := schema.get("additionalProperties", True), Mapping):
            yield from faults(value, more, defs, f"{at}.{name}")
        elif not more:
            yield f"{at}: {name} is not in the schema"


def _array(found: list[Any], schema: Mapping[str, Any], defs: Mapping[str, Any], at: str) -> Iterator[str]:
    heads = schema.get("prefixItems", [])
    low, high = schema.get("minItems", 0), schema.get("maxItems", len(found))
    if not low <= len(found) <= high:
        yield f"{at}: {len(found)} entries, not {low} to {high}"
    for i, value in enumerate(found):
        one = heads[i] if i < len(heads) else schema.get("items", {})
        yield from faults(value, one, defs, f"{at}[{i}]")
