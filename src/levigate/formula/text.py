"""Read a formula from its text, with a sentence that names file and line for whatever is not right."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any, Literal

import tomli
from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_validator

from levigate import units
from levigate.errors import FileError, FormulaError, PercentError, ShelfError, UnitError, came
from levigate.formula.locate import Positions, line_of, lines_of
from levigate.formula.model import HUNDRED, MEASURABLE, Container, Formula, Grain, Line, Makes, Phase
from levigate.formula.percent import read_percent
from levigate.formula.premix import check_circles
from levigate.shelf.catalogue import Shelf, catalogue, plain, with_defaults

#: A formula is a page of text; a file beyond this is something else.
LARGEST_FILE = 1_000_000  # bytes
#: What some editors put before the first letter of a file.
BOM = "\ufeff"
_QS = re.compile(r"q\.?\s*s\.?(\s*(ad|to)\s*100\s*%?)?\s*$", re.IGNORECASE)
#: A hyphen after a digit is a dash: "70-75 C" names 75.
_TEMPERATURE = re.compile(
    r"(?<![\w.])(-?\d{1,4}(?:\.\d+)?)\s*(?:°|deg(?:rees?)?)?\s*(C|F|K)(?:elsius|ahrenheit|elvin)?\b",
    re.IGNORECASE,
)
_TIMES = re.compile(r"(\d{1,9})\s*[x×*]\s*(.+)$", re.DOTALL)


class _Shape(BaseModel):
    model_config = ConfigDict(extra="forbid", arbitrary_types_allowed=True)


class _Grain(_Shape):
    d50: float | None = None
    d90: float | None = None

    @field_validator("*", mode="before")
    @classmethod
    def _size(cls, value: Any) -> float:
        size = units.si(value, "length")
        if not 0 < size < 0.01:
            raise ValueError(f'{came(value)} is no size of a grain; write for example "12 um"')
        return size

    def model_post_init(self, _: Any) -> None:
        if self.d50 is not None and self.d90 is not None and self.d90 < self.d50:
            raise ValueError(
                "d90 is smaller than d50: nine tenths of the powder are finer than d90, so it is the larger"
            )


class _Line(_Shape):
    material: str = Field(min_length=1, max_length=200)
    percent: Decimal | Literal["q.s."]
    grain: _Grain | None = None
    note: str = ""
    role: str = ""

    @field_validator("percent", mode="before")
    @classmethod
    def _percent(cls, value: Any) -> Decimal | str:
        if isinstance(value, str) and _QS.match(value.strip()):
            return "q.s."
        try:
            return read_percent(value)
        except PercentError as trouble:
            raise ValueError(str(trouble)) from trouble


class _Phase(_Shape):
    letter: str = Field(min_length=1, max_length=12)
    how: str = ""
    lines: list[_Line] = Field(min_length=1)


class _Container(_Shape):
    name: str = ""
    shape: str = ""
    brimful: float | None = None
    headspace: float | None = None
    height: float | None = None

    @field_validator("height", mode="before")
    @classmethod
    def _length(cls, value: Any) -> float:
        height = units.si(value, "length")
        if not 0 < height < 2:
            raise ValueError(f'{came(value)} is no height of a filling; write for example "45 mm"')
        return height

    @field_validator("brimful", mode="before")
    @classmethod
    def _volume(cls, value: Any) -> float:
        volume = units.si(value, "volume")
        if volume <= 0:
            raise ValueError(f'{came(value)} holds nothing; write the volume to the brim, as "60 mL"')
        return volume

    @field_validator("headspace", mode="before")
    @classmethod
    def _share(cls, value: Any) -> float:
        share = units.si(value, "share")
        if not 0 <= share < 1:
            raise ValueError(f'{came(value)} is no share to leave empty; write for example "5 %"')
        return share


class _Head(_Shape):
    name: str = Field(min_length=1, max_length=200)
    use: str = ""
    makes: str | None = None
    note: str = ""
    author: str = ""
    version: str | int | Decimal = ""
    date: Any = None
    keeps: float | None = None
    daily: float | None = None

    @field_validator("daily", mode="before")
    @classmethod
    def _mass(cls, value: Any) -> float:
        mass = units.si(value, "mass")
        if not 0 < mass < 1:
            raise ValueError(f'{came(value)} is no amount a person uses in a day; write for example "0.4 g"')
        return mass

    @field_validator("keeps", mode="before")
    @classmethod
    def _time(cls, value: Any) -> float:
        time = units.si(value, "time")
        if not 0 < time < 1e10:
            raise ValueError(f'{came(value)} is no time to keep; write for example "12 months"')
        return time


class _Measured(_Shape):
    value: str | int | Decimal
    spread: str | int | Decimal | None = None
    how: str = ""
    date: Any = None
    note: str = ""


class _File(_Shape):
    levigate: int
    formula: _Head
    phase: list[_Phase] = Field(min_length=1)
    materials: dict[str, dict[str, Any]] = {}
    measured: dict[str, _Measured] = {}
    container: _Container | None = None

    @field_validator("measured", mode="before")
    @classmethod
    def _bare(cls, value: Any) -> Any:
        if not isinstance(value, dict):
            return value
        return {name: entry if isinstance(entry, dict) else {"value": entry} for name, entry in value.items()}


def load_formula(path: Path | str) -> Formula:
    """Return the formula that stands in a file.

    Raises
    ------
    FileError
        When the file is missing, too large, or not UTF-8 text.
    FormulaError
        When it is not a formula; says the line, what came and what would be right.
    """
    return read_formula(read_text(Path(path)), file=str(path))


def read_text(path: Path) -> str:
    """Return the text of a formula file, refusing what cannot be one."""
    try:
        size = path.stat().st_size
        if size > LARGEST_FILE:
            raise FileError(f"{path} is {size / 1e6:.1f} MB: a formula is a page of text, at most 1 MB.")
        return path.read_bytes().decode("utf-8")
    except UnicodeDecodeError as trouble:
        raise FileError(
            f"{path} is not UTF-8 text (byte {trouble.start + 1} cannot be read); save it as UTF-8 in the editor."
        ) from trouble
    except OSError as trouble:
        raise FileError(f"{path} cannot be read: {(trouble.strerror or str(trouble)).lower()}.") from trouble


def read_formula(text: str, *, file: str = "") -> Formula:
    """Return the formula that stands in a text. See `load_formula`."""
    text = text.removeprefix(BOM)
    if not text.strip():
        raise FormulaError('the file is empty; a formula begins with the line "levigate = 1".', file=file)
    try:
        table = tomli.loads(text, parse_float=Decimal)
    except tomli.TOMLDecodeError as trouble:
        raise FormulaError(*_toml_words(trouble), file=file, line=_toml_line(trouble)) from trouble
    except (RecursionError, ValueError, ArithmeticError) as trouble:
        raise FormulaError(
            "the file is not sensible TOML: nested too deep or a number too long.", file=file
        ) from trouble
    positions = lines_of(text)
    if "levigate" not in table:
        raise FormulaError('the line "levigate = 1" is missing at the top: it says which form the file has.', file=file)
    if table["levigate"] != 1 or isinstance(table["levigate"], bool):
        raise FormulaError(
            f"this file has form {came(table['levigate'])}; this program reads form 1, written levigate = 1.",
            file=file,
            line=positions.get(("levigate",)),
        )
    try:
        shape = _File.model_validate(table)
    except ValidationError as trouble:
        path, message = _first(trouble, table)
        raise FormulaError(message, file=file, line=line_of(positions, path)) from trouble
    formula = _build(shape, file, positions)
    _check_materials(formula, positions)
    _check_measured(formula, positions)
    return formula


def own_shelf(formula: Formula, below: Shelf | None = None) -> Shelf:
    """Return the shelf of a formula: its own materials over the given shelf, or over the built-in catalogue."""
    below = catalogue() if below is None else below
    raw = {}
    for key, table in formula.materials.items():
        raw[key] = dict(table) if below.key(key) is not None else with_defaults(key, table)
    return Shelf(raw, origin="own-word", below=below)


def _build(shape: _File, file: str, positions: Positions) -> Formula:
    phases, quantum = [], []
    for i, phase in enumerate(shape.phase):
        seen: dict[str, int | None] = {}
        lines = []
        for j, line in enumerate(phase.lines):
            number = line_of(positions, ("phase", i, "lines", j))
            if plain(line.material) in seen:
                raise FormulaError(
                    f'"{line.material}" stands twice in phase {phase.letter}; put the two together into one line.',
                    file=file,
                    line=number,
                )
            seen[plain(line.material)] = number
            qs = isinstance(line.percent, str)
            if qs:
                quantum.append((line.material, number))
            percent = Decimal(0) if isinstance(line.percent, str) else line.percent
            grain = Grain(line.grain.d50, line.grain.d90) if line.grain else None
            lines.append(Line(line.material, percent, qs, grain, line.note, line.role, number))
        try:
            hottest = _hottest(phase.how)
        except UnitError as trouble:
            raise FormulaError(str(trouble), file=file, line=line_of(positions, ("phase", i, "how"))) from trouble
        phases.append(Phase(phase.letter, phase.how, tuple(lines), hottest))
    letters = [phase.letter for phase in phases]
    for i, letter in enumerate(letters):
        if letter.casefold().strip() in (other.casefold().strip() for other in letters[:i]):
            raise FormulaError(
                f'two phases have the letter "{letter}"; give each its own.',
                file=file,
                line=line_of(positions, ("phase", i)),
            )
    if len(quantum) > 1:
        names = " and ".join(f'"{name}"' for name, _ in quantum)
        raise FormulaError(
            f"{names} are both q.s.; only one line can take what is left to 100.", file=file, line=quantum[1][1]
        )
    head = shape.formula
    try:
        makes = read_makes(head.makes) if head.makes is not None else None
    except UnitError as trouble:
        raise FormulaError(str(trouble), file=file, line=line_of(positions, ("formula", "makes"))) from trouble
    box = shape.container
    try:
        container = _contained(box, makes) if box else None
    except FormulaError as trouble:
        where = line_of(positions, ("container", "shape"))
        raise FormulaError(trouble.message, file=file, line=where) from trouble
    measured = {name: entry.model_dump(exclude_unset=True) for name, entry in shape.measured.items()}
    formula = Formula(
        head.name, head.use, tuple(phases), makes, container, head.note, shape.materials, measured, file, head.keeps
    )
    position = formula.qs
    if position is not None:
        percents = list(formula.percents)
        percents[position] = HUNDRED - formula.total
        formula = formula.with_percents(tuple(percents))
    return formula


def _contained(box: _Container, makes: Makes | None) -> Container:
    """Return the container of a file, what it leaves unsaid taken from the generic one it names."""
    if not box.shape:
        headspace = 0.05 if box.headspace is None else box.headspace
        return Container(box.name or "container", box.brimful, headspace, box.height)
    from levigate.science.containers import fill_height
    from levigate.shelf.containers import containers

    known = containers()
    if box.shape not in known:
        close = difflib.get_close_matches(box.shape, known, n=2, cutoff=0.4)
        raise FormulaError(f"[container]: there is no {came(box.shape)}; {_or_list(close, list(known))}.")
    generic = known[box.shape]
    height = box.height
    if height is None and generic.sections is not None and box.brimful is None:
        volume = makes.volume if makes is not None and makes.volume is not None else generic.nominal
        height = float(fill_height(volume, *generic.sections))
    usual = (generic.headspace.low + generic.headspace.high) / 2
    return Container(
        box.name or box.shape,
        generic.brimful - generic.dips_in if box.brimful is None else box.brimful,
        usual if box.headspace is None else box.headspace,
        None if height is None or math.isnan(height) else height,
        generic.kind,
        (generic.residue.low + generic.residue.high) / 2,
        generic.pours,
    )


def _or_list(close: list[str], known: list[str]) -> str:
    return f"did you mean {' or '.join(close)}?" if close else f"known are {', '.join(known)}"


def read_makes(text: str) -> Makes:
    """Return how much is made: ``"500 g"``, ``"250 mL"``, ``"12 x 50 mL"``.

    Raises
    ------
    UnitError
        When it is not an amount above nought.
    """
    containers = None
    each = text.strip()
    if times := _TIMES.match(each):
        containers, each = int(times.group(1)), times.group(2)
        if not 0 < containers <= 100_000:
            raise UnitError(f'{came(text)} is no number of containers; write for example "12 x 50 mL".')
    reading = units.read(each)
    if reading.dimension not in ("mass", "volume") or not 0 < reading.si < 1e6:
        raise UnitError(f'{came(text)} is not an amount to make; write for example "500 g" or "12 x 50 mL".')
    mass = reading.si if reading.dimension == "mass" else None
    volume = reading.si if reading.dimension == "volume" else None
    return Makes(text.strip(), mass, volume, containers)


def _hottest(how: str) -> float | None:
    found = [units.si(f"{number} {unit.upper()}", "temperature") for number, unit in _TEMPERATURE.findall(how)]
    return max(found, default=None)


def _check_materials(formula: Formula, positions: Positions) -> None:
    """Refuse an own material that is not right, and a material that stands twice in a phase under two names."""
    try:
        shelf = own_shelf(formula)
    except ShelfError as trouble:
        raise FormulaError(str(trouble), file=formula.file, line=line_of(positions, ("materials",))) from trouble
    for key in formula.materials:
        try:
            check_circles(shelf, key)
        except (ShelfError, FormulaError) as trouble:
            where = ("materials", key, *_culprit(trouble))
            message = trouble.message if isinstance(trouble, FormulaError) else str(trouble)
            raise FormulaError(message, file=formula.file, line=line_of(positions, where)) from trouble
    for phase in formula.phases:
        seen: dict[str, str] = {}
        for line in phase.lines:
            known = shelf.key(line.material)
            if known is not None and known in seen:
                raise FormulaError(
                    f'"{seen[known]}" and "{line.material}" in phase {phase.letter} are the same material; put the two '
                    "together into one line.",
                    file=formula.file,
                    line=line.number,
                )
            seen[known or line.material] = line.material


def _culprit(trouble: Exception) -> tuple[str | int, ...]:
    """Return the path in a material's table to what is wrong with it."""
    cause = trouble.__cause__
    if isinstance(cause, ValidationError):
        return cause.errors(include_url=False)[0]["loc"]
    return (cause.about if isinstance(cause, UnitError) else "made_of",)


def _check_measured(formula: Formula, positions: Positions) -> None:
    for name, entry in formula.measured.items():
        line = line_of(positions, ("measured", name))
        if name not in MEASURABLE:
            close = difflib.get_close_matches(name, MEASURABLE, n=1)
            mend = f'did you mean "{close[0]}"?' if close else "write for example density."
            raise FormulaError(
                f'[measured]: "{name}" is nothing that is measured here; {mend}', file=formula.file, line=line
            )
        try:
            if units.si(entry["value"], MEASURABLE[name]) <= 0 and name != "pH":
                raise UnitError(f"{came(entry['value'])} is not above nought.")
            if "spread" in entry and units.si(entry["spread"], MEASURABLE[name]) < 0:
                raise UnitError(f"{came(entry['spread'])} is a spread below nought.")
        except UnitError as trouble:
            raise FormulaError(f"[measured] {name}: {trouble}", file=formula.file, line=line) from trouble


def _toml_line(trouble: tomli.TOMLDecodeError) -> int | None:
    return getattr(trouble, "lineno", None)


def _toml_words(trouble: tomli.TOMLDecodeError) -> tuple[str]:
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


def _first(trouble: ValidationError, table: Mapping[str, Any]) -> tuple[tuple[str | int, ...], str]:
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
        "formula": _Head,
        "container": _Container,
        "grain": _Grain,
        "lines": _Line,
        "phase": _Phase,
        "measured": _Measured,
    }
    for part in reversed(path[:-1]):
        if part in shapes:
            return list(shapes[str(part)].model_fields)
    return list(_File.model_fields)


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
