"""The shelf: all materials one knows, built-in and own, found by any of their names."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import tomli
from pydantic import ValidationError

from levigate.errors import ShelfError
from levigate.shelf.record import PROPERTIES, Material

DATA = Path(__file__).parent / "data"
SOURCES = Path(__file__).parent / "sources.toml"


@dataclass(frozen=True, slots=True)
class Source:
    """A work that a value, a method or a rule names."""

    key: str
    cite: str
    seen: str
    licence: str = ""


@dataclass(frozen=True, slots=True)
class Names:
    """What a material is called beside its key."""

    inci: str
    names: tuple[str, ...]
    cas: tuple[str, ...]


def plain(name: str) -> str:
    """Return a name as it is compared: lower case, punctuation and runs of blanks as one blank."""
    return re.sub(r"[\s\-_/,.()&+]+", " ", name.casefold()).strip()


class Shelf:
    """Materials by key, each record checked when first taken from the shelf.

    Parameters
    ----------
    raw : mapping
        key -> table as it stands in a TOML file.
    origin : str
        Named as the source of values that give none ("this file").
    below : Shelf, optional
        The shelf underneath: a key found here and there is merged, what stands here outranking.
    """

    def __init__(self, raw: Mapping[str, Mapping[str, Any]], *, origin: str = "", below: Shelf | None = None) -> None:
        self._raw, self._origin, self._below = raw, origin, below
        self._records: dict[str, Material] = {}
        self._names: dict[str, str] | None = None
        self._said: list[tuple[str, str, str]] | None = None

    def __iter__(self) -> Iterator[str]:
        """Yield the keys of all materials, one's own first."""
        yield from self._raw
        if self._below is not None:
            yield from (key for key in self._below if key not in self._raw)

    def __len__(self) -> int:
        """Return how many materials there are."""
        return sum(1 for _ in self)

    def __contains__(self, name: object) -> bool:
        """Return whether a material goes by this name."""
        return isinstance(name, str) and self.key(name) is not None

    def own(self) -> Iterable[str]:
        """Return the keys that stand on this shelf itself, not on those underneath."""
        return self._raw.keys()

    def key(self, name: str) -> str | None:
        """Return the key of the material that goes by a name, an INCI name or a CAS number; None if there is none."""
        if name in self._raw:
            return name
        if self._names is None:
            self._names = self._index()
        found = self._names.get(plain(name))
        if found is None and self._below is not None:
            return self._below.key(name)
        return found

    def __getitem__(self, name: str) -> Material:
        """Return the record of the material that goes by this name.

        Raises
        ------
        ShelfError
            When no material goes by that name, or its record does not have the right shape.
        """
        key = self.key(name)
        if key is None:
            raise ShelfError(f'No material is called "{name}".')
        record = self._records.get(key)
        if record is None:
            record = self._records[key] = self._check(key)
        return record

    def get(self, name: str) -> Material | None:
        """Return the record of the material that goes by this name, None where there is none."""
        return self[name] if self.key(name) is not None else None

    def _check(self, key: str) -> Material:
        table = self.table(key)
        try:
            return Material.model_validate(table)
        except ValidationError as trouble:
            raise ShelfError(f'The record of "{key}" is not right: {explain(trouble)}.') from trouble

    def table(self, key: str) -> dict[str, Any]:
        """Return the plain table of a material, merged over the shelves underneath."""
        mine = fill_in(self._raw[key], self._origin) if key in self._raw else {}
        if self._below is None:
            return mine
        beneath = self._below.key(key)
        return {**self._below.table(beneath), **mine} if beneath is not None else mine

    def names(self, key: str) -> Names:
        """Return what a material is called beside its key."""
        if key in self._raw:
            if isinstance(self._raw, Blocks):
                return self._raw.names(key)
            return _names_of(key, self.table(key))
        if self._below is None:
            raise ShelfError(f'No material is called "{key}".')
        return self._below.names(key)

    def spoken(self) -> Sequence[tuple[str, str, str]]:
        """Return every name that can be said: as written, as compared, and the key it stands for."""
        if self._said is None:
            self._said = [
                (name, plain(name), key)
                for key in self
                for called in (self.names(key),)
                for name in dict.fromkeys((key, *called.names, called.inci, *called.cas))
            ]
        return self._said

    def _index(self) -> dict[str, str]:
        """Return name -> key: a key beats an everyday name, which beats an INCI name or CAS number."""
        found: dict[str, str] = {}
        called = {key: self.names(key) for key in self._raw}
        for key in called:
            found[plain(key)] = key
        for key, names in called.items():
            for name in names.names:
                found.setdefault(plain(name), key)
        for key, names in called.items():
            for name in (names.inci, *names.cas):
                found.setdefault(plain(name), key)
        return found


def _names_of(key: str, table: Mapping[str, Any]) -> Names:
    cas = table.get("cas")
    entries = cas if isinstance(cas, list) else [cas] if cas is not None else []
    numbers = tuple(str(entry["value"] if isinstance(entry, Mapping) else entry) for entry in entries)
    return Names(str(table.get("inci", key)), tuple(map(str, table.get("names", ()))), numbers)


def fill_in(table: Mapping[str, Any], origin: str) -> dict[str, Any]:
    """Return a material's table with the short forms of one's own files written out.

    A bare value becomes ``{value, source, grade = "supplier"}``; a bare table of parts likewise; kind, form and
    affinity get the plainest guess that harms no rule.
    """
    if not origin:
        return dict(table)
    word = {"source": origin, "grade": "supplier"}
    full = dict(table)
    for name in (*PROPERTIES, "cas"):
        if name in full:
            entries = full[name] if isinstance(full[name], list) else [full[name]]
            full[name] = [{**word, **e} if isinstance(e, Mapping) else {**word, "value": _text(e)} for e in entries]
    for name in ("made_of", "fatty_acids"):
        if isinstance(full.get(name), Mapping) and "parts" not in full[name]:
            full[name] = {**word, "parts": full[name]}
    for name in ("limits", "cautions", "solubility"):
        if isinstance(full.get(name), list):
            full[name] = [{**word, **e} if isinstance(e, Mapping) else {**word, "text": e} for e in full[name]]
    return full


def _text(value: Any) -> Any:
    return value if isinstance(value, str) else float(value)


def with_defaults(key: str, table: Mapping[str, Any]) -> dict[str, Any]:
    """Return an own material's table with what a catalogue record must have and a person may leave out."""
    return {"inci": key, "kind": "other", "form": "liquid", "affinity": "water", **table}


def explain(trouble: ValidationError) -> str:
    """Return what pydantic found, in words."""
    said = []
    for error in trouble.errors(include_url=False)[:3]:
        where = ".".join(str(part) for part in error["loc"])
        said.append(f"{where}: {error['msg'].removeprefix('Value error, ')}" if where else error["msg"])
    return "; ".join(said)


def load(path: Path) -> dict[str, dict[str, Any]]:
    """Return the tables of a shelf file, read whole."""
    return tomli.loads(path.read_text(encoding="utf-8"))


class Blocks(Mapping[str, Mapping[str, Any]]):
    """Catalogue files cut at their headers: the table of a material is read when it is asked for.

    It rests on how the catalogue is written: one ``["key"]`` header a material, no line but a header beginning with a
    bracket, and ``inci``, ``names`` and ``cas`` on one line each or a list. A test reads the files whole and compares.
    """

    _HEADER = re.compile(r'^\["?([^"\]\n]+)"?\]$', re.MULTILINE)
    _NAMED = re.compile(r"^(?:inci|names|cas) = (.*(?:\n  .*)*)", re.MULTILINE)
    _QUOTED = re.compile(r'"([^"]*)"')
    _CAS = re.compile(r'value = "([^"]*)"')

    def __init__(self, texts: Iterable[str]) -> None:
        self._blocks: dict[str, str] = {}
        for text in texts:
            pieces = self._HEADER.split(text)
            self._blocks.update(zip(pieces[1::2], pieces[2::2], strict=True))

    def __getitem__(self, key: str) -> Mapping[str, Any]:
        """Return the table of a material."""
        return tomli.loads(self._blocks[key])

    def __contains__(self, key: object) -> bool:
        """Return whether there is such a key, without reading its table."""
        return key in self._blocks

    def __iter__(self) -> Iterator[str]:
        """Yield the keys."""
        return iter(self._blocks)

    def __len__(self) -> int:
        """Return how many materials there are."""
        return len(self._blocks)

    def names(self, key: str) -> Names:
        """Return what a material is called, without reading its table."""
        found: dict[str, list[str]] = {"inci": [], "names": [], "cas": []}
        for match in self._NAMED.finditer(self._blocks[key]):
            word = match.group(0).split(" ", 1)[0]
            found[word] = (self._CAS if word == "cas" else self._QUOTED).findall(match.group(1))
        return Names(found["inci"][0], tuple(found["names"]), tuple(found["cas"]))


@lru_cache(maxsize=1)
def catalogue() -> Shelf:
    """Return the built-in catalogue."""
    return Shelf(Blocks(path.read_text(encoding="utf-8") for path in sorted(DATA.glob("*.toml"))))


@lru_cache(maxsize=1)
def sources() -> dict[str, Source]:
    """Return all sources by key."""
    table = tomli.loads(SOURCES.read_text(encoding="utf-8"))
    return {key: Source(key, **entry) for key, entry in table.items()}
