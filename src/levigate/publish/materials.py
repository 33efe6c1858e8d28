"""A material of the shelf as people and programs read it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from pydantic import BaseModel, ConfigDict

from levigate.quantities.alike import Likeness
from levigate.shelf.catalogue import Shelf, sources
from levigate.shelf.find import Hit
from levigate.shelf.record import PROPERTIES, Material, Value


@dataclass(frozen=True, slots=True)
class Fact:
    """One value of a material with on whose word it stands."""

    name: str
    says: str
    grade: str
    cited: str


class HitOut(BaseModel):
    """One material that `levigate shelf find` found."""

    model_config = ConfigDict(extra="forbid")
    key: str
    inci: str
    kind: str
    matched: str
    likeness: float


class MaterialOut(BaseModel):
    """`levigate shelf show`: the record as it stands on the shelf, with its sources written out."""

    model_config = ConfigDict(extra="forbid")
    key: str
    record: Material
    sources: dict[str, str]


class LikenessOut(BaseModel):
    """`levigate shelf like`: a material held against another. The distance is Hansen's, in MPa½; none if not known."""

    model_config = ConfigDict(extra="forbid")
    key: str
    distance: float | None
    alike: bool
    because: list[str]


class ImportedOut(BaseModel):
    """`levigate shelf import`."""

    model_config = ConfigDict(extra="forbid")
    shelf: str
    materials: list[str]


def likeness_out(one: Likeness) -> LikenessOut:
    """Return a likeness for a program."""
    distance = None if math.isnan(one.distance) else one.distance
    return LikenessOut(key=one.key, distance=distance, alike=one.alike, because=list(one.because))


def facts(record: Material) -> Iterator[Fact]:
    """Yield every sourced value of a material in words."""
    for name in ("cas", *PROPERTIES):
        for value in getattr(record, name):
            yield _fact(name.replace("_", " "), words_of(value, noted=True), value)
    for entry in record.solubility:
        yield _fact(f"dissolves in {entry.liquid}", words_of(entry, noted=True), entry)
    for name in ("made_of", "fatty_acids"):
        parts = getattr(record, name)
        if parts is not None:
            said = ", ".join(f"{part} {percent} %" for part, percent in parts.parts.items())
            yield Fact(name.replace("_", " "), said, parts.grade, cited(parts.source, parts.place))


def _fact(name: str, says: str, value: Value) -> Fact:
    return Fact(name, says, value.grade, cited(value.source, value.place))


def words_of(value: Value, *, noted: bool = False) -> str:
    """Return a value in words, with its note where that is asked for."""
    if value.values:
        said = ", ".join(f"{number:g}" for number in value.values)
    elif value.value is not None:
        said = str(value.value)
    elif value.low is not None and value.high is not None:
        said = f"{value.low} to {value.high}"
    else:
        said = f"from {value.low}" if value.low is not None else f"up to {value.high}"
    said += f" ± {value.spread}" if value.spread else ""
    said += f" at {value.at}" if value.at else ""
    return f"{said} ({value.note})" if noted and value.note else said


def cited(source: str, place: str) -> str:
    """Return a citation with its place."""
    cite = sources()[source].cite.rstrip(".")
    return f"{cite}, {place}" if place else cite


def hits_out(shelf: Shelf, hits: Sequence[Hit]) -> list[HitOut]:
    """Return what a search found."""
    return [
        HitOut(
            key=hit.key,
            inci=shelf[hit.key].inci,
            kind=shelf[hit.key].kind,
            matched=hit.name,
            likeness=hit.likeness,
        )
        for hit in hits
    ]


def material_out(shelf: Shelf, key: str) -> MaterialOut:
    """Return a record with its sources written out."""
    record = shelf[key]
    named = {fact for name in Material.model_fields for fact in _keys(getattr(record, name))}
    return MaterialOut(key=key, record=record, sources={key: sources()[key].cite for key in sorted(named)})


def _keys(held: object) -> Iterator[str]:
    for entry in held if isinstance(held, tuple) else (held,):
        source = getattr(entry, "source", None)
        if isinstance(source, str):
            yield source


def imported_out(path: Path, brought: list[str]) -> ImportedOut:
    """Return what an import brought."""
    return ImportedOut(shelf=str(path), materials=brought)
