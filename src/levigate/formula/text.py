"""Read a formula from its text, with a sentence that names file and line for whatever is not right."""

from __future__ import annotations

import difflib
import math
import re
from decimal import Decimal
from pathlib import Path

import tomli
from pydantic import ValidationError

from levigate import units
from levigate.errors import FileError, FormulaError, ShelfError, UnitError, came
from levigate.formula.locate import Positions, line_of, lines_of
from levigate.formula.messages import first_wrong, toml_line, toml_words
from levigate.formula.model import HUNDRED, MEASURABLE, Container, Formula, Line, Makes, Phase
from levigate.formula.premix import check_circles
from levigate.formula.shapes import ContainerShape, FileShape
from levigate.formula.treatment import hottest
from levigate.shelf.catalogue import Shelf, catalogue, plain, with_defaults

#: A formula is a page of text; a file beyond this is something else.
LARGEST_FILE = 1_000_000  # bytes
#: What some editors put before the first letter of a file.
BOM = "\ufeff"
#: Shelves of formulas that are kept with the one underneath, so that what was found of their materials is kept.
_LAID_OVER = 16
_TIMES = re.compile(r"(\d{1,9})\s*[x×*]\s*(.+)$", re.DOTALL)


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
        raise FormulaError(*toml_words(trouble), file=file, line=toml_line(trouble)) from trouble
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
        shape = FileShape.model_validate(table)
    except ValidationError as trouble:
        path, message = first_wrong(trouble, table)
        raise FormulaError(message, file=file, line=line_of(positions, path)) from trouble
    formula = _build(shape, file, positions)
    _check_materials(formula, positions)
    _check_measured(formula, positions)
    return formula


def own_shelf(formula: Formula, below: Shelf | None = None) -> Shelf:
    """Return the shelf of a formula: its own materials over the given shelf, or over the built-in catalogue."""
    below = catalogue() if below is None else below
    if not formula.materials:  # what was looked up on it before is known
        return below
    own = repr({key: dict(table) for key, table in formula.materials.items()})
    found = below.laid_over.get(own)
    if found is None:
        raw = {}
        for key, table in formula.materials.items():
            raw[key] = dict(table) if below.key(key) is not None else with_defaults(key, table)
        found = Shelf(raw, origin="own-word", below=below)
        if len(below.laid_over) >= _LAID_OVER:
            below.laid_over.clear()
        below.laid_over[own] = found
    return found


def _build(shape: FileShape, file: str, positions: Positions) -> Formula:
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
            grain = line.grain.grain() if line.grain else None
            lines.append(Line(line.material, percent, qs, grain, line.note, line.role, number))
        try:
            highest = hottest(phase.how)
        except UnitError as trouble:
            raise FormulaError(str(trouble), file=file, line=line_of(positions, ("phase", i, "how"))) from trouble
        phases.append(Phase(phase.letter, phase.how, tuple(lines), highest))
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
        head.name,
        head.use,
        tuple(phases),
        makes,
        container,
        head.note,
        shape.materials,
        measured,
        file,
        head.keeps,
        head.daily,
        head.droplets,
        head.coldest,
    )
    position = formula.qs
    if position is not None:
        percents = list(formula.percents)
        percents[position] = HUNDRED - formula.total
        formula = formula.with_percents(tuple(percents))
    return formula


def _contained(box: ContainerShape, makes: Makes | None) -> Container:
    """Return the container of a file, what it leaves unsaid taken from the generic one it names."""
    if not box.shape:
        headspace = 0.05 if box.headspace is None else box.headspace
        return Container(box.name or "container", box.brimful, headspace, box.height, fill_at=box.fill_at)
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
        (generic.residue.low, generic.residue.high),
        generic.pours,
        box.fill_at,
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
            if "at" in entry:
                _check_temperature(entry["at"])
        except UnitError as trouble:
            raise FormulaError(f"[measured] {name}: {trouble}", file=formula.file, line=line) from trouble


def _check_temperature(at: str) -> None:
    if not 273.15 <= units.si(at, "temperature") <= 373.15:
        raise UnitError(f'{came(at)} is no temperature to measure at; write one from 0 to 100 °C, as at = "20 C".')
