"""The page that tells of the API, from its own description."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from levigate.web.api.api import api


@dataclass(frozen=True, slots=True)
class Part:
    """A parameter of a route, or a field of what is sent or answered."""

    name: str
    where: str
    kind: str
    says: str
    must: bool


@dataclass(frozen=True, slots=True)
class Route:
    """One route."""

    method: str
    path: str
    says: str
    parts: tuple[Part, ...]
    #: Name of the shape of the answer.
    answer: str


@dataclass(frozen=True, slots=True)
class Shape:
    """One shape of what is answered or sent."""

    name: str
    says: str
    parts: tuple[Part, ...]


@lru_cache(maxsize=1)
def told() -> tuple[tuple[Route, ...], tuple[Shape, ...]]:
    """Return the routes and the shapes of the API."""
    schema: Mapping[str, Any] = api.get_openapi_schema(path_prefix="/api/")
    shapes = schema["components"]["schemas"]
    routes = tuple(
        _route(method, path, operation, shapes)
        for path, operations in schema["paths"].items()
        for method, operation in operations.items()
    )
    return routes, tuple(
        Shape(name, _first(shape), tuple(_fields(shape, ""))) for name, shape in shapes.items() if "properties" in shape
    )


def _route(method: str, path: str, operation: Mapping[str, Any], shapes: Mapping[str, Any]) -> Route:
    parts = [
        Part(one["name"], one["in"], _kind(one["schema"]), one.get("description", ""), one.get("required", False))
        for one in operation.get("parameters", ())
    ]
    body = _json(operation.get("requestBody", {}))
    if body:
        parts += _fields(shapes[_kind(body)], "body")
    answers = operation["responses"]
    good = next(_json(answers[status]) for status in answers if str(status).startswith("2"))
    return Route(method.upper(), path, operation.get("description", ""), tuple(parts), _kind(good))


def _json(entry: Mapping[str, Any]) -> Mapping[str, Any]:
    found: Mapping[str, Any] = entry.get("content", {}).get("application/json", {}).get("schema", {})
    return found


def _fields(shape: Mapping[str, Any], where: str) -> list[Part]:
    must = shape.get("required", ())
    return [
        Part(name, where, _kind(one), one.get("description", ""), name in must)
        for name, one in shape.get("properties", {}).items()
    ]


def _first(shape: Mapping[str, Any]) -> str:
    return str(shape.get("description", "")).partition("\n")[0]


def _kind(schema: Mapping[str, Any]) -> str:
    """Return what a value is, in words."""
    several = schema.get("anyOf") or schema.get("allOf")
    kind = str(schema.get("type", "anything"))
    if "$ref" in schema:
        said = str(schema["$ref"]).rpartition("/")[2]
    elif several:
        said = " or ".join(_kind(one) for one in several)
    elif "enum" in schema:
        said = " | ".join(f'"{one}"' for one in schema["enum"])
    elif kind == "array":
        said = f"list of {_kind(schema.get('items', {}))}"
    elif kind == "object" and schema.get("additionalProperties"):
        said = f"table of {_kind(schema['additionalProperties'])}"
    else:
        said = str(schema.get("format", kind))
    return said
