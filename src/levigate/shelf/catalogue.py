"""The shelf: all materials one knows, built-in and own, found by any of their names."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

import tomli
from pydantic import ValidationError

from levigate.errors import ShelfError, UnitError, came
from levigate.shelf.record import PROPERTIES, Limit, Material, Value

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


class Claim(NamedTuple):
    """How well a material is called by a name: 0 its key, 1 an everyday name, 2 an INCI name or CAS number."""

    rank: int
    key: str


@lru_cache(maxsize=4096)
def plain(name: str) -> str:
    """Return a name as it is compared: lower case, punctuation and runs of blanks as one blank, "70%" as "70 %"."""
    return re.sub(r"[\s\-_/,.()&+]+", " ", name.casefold().replace("%", " %")).strip()


#: Names whose keys are remembered.
_ASKED = 20_000


class Shelf:
    """Materials by key, each record checked when first taken from the shelf.

    Parameters
    ----------
    raw : mapping
        key -> table as it stands in a TOML file.
    origin : str
        Named as the source of values that give none ("this file").
    below : Shelf, optional
        The shelf underneath: a material found here and there, by whatever name, is merged under the key it has
        there, what stands here outranking.

    Raises
    ------
    ShelfError
        When two tables stand for the same material of the shelf underneath.
    """

    def __init__(self, raw: Mapping[str, Mapping[str, Any]], *, origin: str = "", below: Shelf | None = None) -> None:
        self._raw, self._origin, self._below = _by_key_of(below, raw) if below is not None else raw, origin, below
        self._records: dict[str, Material] = {}
        self._claims: dict[str, Claim] | None = None
        self._said: list[tuple[str, str, str]] | None = None
        self._keys: dict[str, str | None] = {}
        #: Materials taken apart by `formula.premix`, kept with the shelf that they were taken from.
        self.apart: dict[str, dict[str, Fraction]] = {}
        #: Shelves of formulas over this one, by what stands on them.
        self.laid_over: dict[str, Shelf] = {}

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
        if name not in self._keys:
            claim = self._claim(plain(name))
            if len(self._keys) > _ASKED:
                self._keys.clear()
            self._keys[name] = claim.key if claim else None
        return self._keys[name]

    def _claim(self, said: str) -> Claim | None:
        """Return who goes by a name: the strongest claim of all shelves, one's own first among equals."""
        if self._claims is None:
            self._claims = self._index()
        mine = self._claims.get(said)
        theirs = self._below._claim(said) if self._below is not None else None
        return theirs if mine is None or (theirs is not None and theirs.rank < mine.rank) else mine

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
        if self._below is not None and key not in self._raw:
            return self._below[key]
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
            record = Material.model_validate(table)
            if self._below is not None:  # the built-in catalogue is checked by the tests
                record.check_units()
        except ValidationError as trouble:
            raise ShelfError(f'The record of "{key}" is not right: {explain(trouble)}.') from trouble
        except UnitError as trouble:
            raise ShelfError(f'The record of "{key}" is not right: {trouble}') from trouble
        return record

    def table(self, key: str) -> dict[str, Any]:
        """Return the plain table of a material, merged over the shelves underneath."""
        mine = fill_in(self._raw[key], self._origin) if key in self._raw else {}
        if self._below is None:
            return mine
        if self._below.key(key) != key:
            return with_defaults(key, mine)
        table = {**self._below.table(key), **mine}
        if _is_list_of_text(mine.get("names")):  # other names do not unsay the old ones
            table["names"] = list(dict.fromkeys([*mine["names"], *self._below.names(key).names]))
        return table

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
                for key in self._raw
                for called in (self.names(key),)
                for name in dict.fromkeys((key, *called.names, called.inci, *called.cas))
            ]
            if self._below is not None:
                self._said += [entry for entry in self._below.spoken() if entry[2] not in self._raw]
        return self._said

    def _index(self) -> dict[str, Claim]:
        """Return name -> who claims it, of this shelf alone."""
        found: dict[str, Claim] = {}
        called = {key: self.names(key) for key in self._raw}
        for rank in range(3):
            for key, names in called.items():
                for name in ((key,), names.names, (names.inci, *names.cas))[rank]:
                    found.setdefault(plain(name), Claim(rank, key))
        found.pop("", None)
        return found


def same_as(below: Shelf, name: str, table: Mapping[str, Any]) -> str | None:
    """Return the key of the material underneath that a table adds to; None where it describes one of its own.

    A table that goes by another name than the key adds to that material unless its INCI name says otherwise: ``tea``
    is short for triethanolamine, but not with ``inci = "Camellia Sinensis Leaf Water"``.
    """
    key = below.key(name)
    if key is None or plain(name) == plain(key) or "inci" not in table:
        return key
    inci = str(table["inci"])
    return key if below.key(inci) == key or plain(inci) == plain(below.names(key).inci) else None


def _by_key_of(below: Shelf, raw: Mapping[str, Mapping[str, Any]]) -> dict[str, Mapping[str, Any]]:
    """Return the tables under the keys that the shelf underneath has for them."""
    found: dict[str, Mapping[str, Any]] = {}
    named: dict[str, str] = {}
    for name, table in raw.items():
        key = same_as(below, name, table) or name
        if key in found:
            raise ShelfError(
                f'{came(named[key])} and {came(name)} both stand for "{key}" of the catalogue; put the two together, '
                "or give one a name of its own."
            )
        found[key], named[key] = table, name
    return found


def _names_of(key: str, table: Mapping[str, Any]) -> Names:
    """Return what a table calls a material; what has the wrong shape is left for the check of the record."""
    cas = table.get("cas")
    entries = cas if isinstance(cas, list) else [cas] if cas is not None else []
    numbers = tuple(str(entry.get("value", "") if isinstance(entry, Mapping) else entry) for entry in entries)
    names = table.get("names", ())
    return Names(str(table.get("inci", key)), tuple(names) if _is_list_of_text(names) else (), numbers)


def _is_list_of_text(value: Any) -> bool:
    return isinstance(value, (list, tuple)) and all(isinstance(entry, str) for entry in value)


def fill_in(table: Mapping[str, Any], origin: str) -> dict[str, Any]:
    """Return a material's table with the short forms of one's own files written out.

    A bare value becomes ``{value, source, grade = "supplier"}``; a bare table of parts likewise; kind, form and
    affinity are left plain: where it belongs is not known until it is said.
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
    for name in ("limits", "cautions", "solubility", "flow"):
        if isinstance(full.get(name), list):
            full[name] = [{**word, **e} if isinstance(e, Mapping) else {**word, "text": e} for e in full[name]]
    return full


def _text(value: Any) -> Any:
    return float(value) if isinstance(value, Decimal) else value


def with_defaults(key: str, table: Mapping[str, Any]) -> dict[str, Any]:
    """Return an own material's table with what a catalogue record must have and a person may leave out."""
    return {"inci": key, "kind": "other", "form": "liquid", "affinity": "unknown", **table}


def explain(trouble: ValidationError) -> str:
    """Return what pydantic found, in words, without a full stop."""
    said: list[str] = []
    for error in trouble.errors(include_url=False):
        *above, last = error["loc"] or ("",)
        where = ".".join(part for part in error["loc"] if isinstance(part, str) and part not in ("str", "float"))
        if error["type"] == "extra_forbidden":
            known = list(Material.model_fields if not above else [*Limit.model_fields, *Value.model_fields])
            close = difflib.get_close_matches(str(last), known, n=1)
            hint = f' (did you mean "{close[0]}"?)' if close else ""
            said.append(f"{came(str(last))} is not a word that {'.'.join(map(str, above)) or 'a material'} has{hint}")
        elif error["type"] == "missing":
            said.append(f'"{where}" is missing')
        elif error["type"] == "literal_error":
            said.append(f"{where} {came(error['input'])} is none of {error['ctx']['expected'].replace(chr(39), '')}")
        elif last in ("str", "float"):
            said.append(f"{where} {came(error['input'])} is neither a number nor text with a unit")
        elif error["type"] == "tuple_type":
            said.append(f"{where} {came(error['input'])} is no list in brackets")
        else:
            said.append(f"{where}: {error['msg'].removeprefix('Value error, ')}" if where else error["msg"])
    return "; ".join(list(dict.fromkeys(said))[:3])


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
