"""Changes of a formula's text that a person makes at one place: a line, a phase, what stands in the head.

Each function takes the text and gives the changed text, comments and layout kept, read again before it is returned.
Percents follow the rule of `percent.adjust`: the q.s. line gives way where there is one, else all lines in proportion.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

from levigate.errors import PercentError
from levigate.formula.model import Formula, Phase
from levigate.formula.percent import adjust
from levigate.formula.text import BOM, read_formula
from levigate.formula.write import rewrite
from levigate.shelf.catalogue import plain as plain_name

#: Words of the head that may be changed in place.
HEAD = ("name", "use", "makes", "note", "keeps", "daily")
#: Words of the container that may be changed in place.
CONTAINER = ("shape", "name", "brimful", "headspace", "height")


def set_percent(text: str, position: int, percent: Decimal, give: str | Iterable[int] | None = None) -> str:
    """Return the text with one line at a percent and others giving way, as `percent.adjust` says.

    Raises
    ------
    PercentError
        When that cannot be.
    """
    formula = read_formula(text)
    _at(formula, position)
    return rewrite(text, adjust(formula, {position: percent}, give=give))


def as_qs(text: str, position: int) -> str:
    """Return the text with the q.s. on another line; no line weighs more or less for it."""
    formula = read_formula(text)
    _at(formula, position)
    document = _parse(text, formula)
    for i, entry in enumerate(_entries(document)):
        if i == formula.qs and i != position:
            entry["percent"] = _number(formula.percents[i])
    _entries(document)[position]["percent"] = "q.s."
    return _written(document, text)


def without_qs(text: str, position: int) -> str:
    """Return the text with the q.s. line at the percent that it has now."""
    formula = read_formula(text)
    _at(formula, position)
    document = _parse(text, formula)
    _entries(document)[position]["percent"] = _number(formula.percents[position])
    return _written(document, text)


def add_line(text: str, letter: str, material: str, percent: Decimal, *, role: str = "") -> str:
    """Return the text with one more line at the end of a phase, others giving way for it."""
    formula = read_formula(text)
    phase = _phase(formula, letter)
    if any(plain_name(line.material) == plain_name(material) for line in phase.lines):
        raise PercentError(f'"{material}" stands in phase {letter} already; change its percent instead.')
    document = _parse(text, formula)
    lines = _table(document, letter)["lines"]
    lines.append(_inline({"material": material, "percent": 0, **({"role": role} if role else {})}, lines))
    grown = _written(document, text)
    place = sum(len(p.lines) for p in formula.phases[: formula.phases.index(phase) + 1])
    return set_percent(grown, place, percent) if percent or not formula.adds_up else grown


def remove_line(text: str, position: int) -> str:
    """Return the text without a line; what it had goes to the q.s. line, else to all in proportion."""
    formula = read_formula(text)
    phase, line = _at(formula, position)
    if len(formula.percents) == 1:
        raise PercentError("A formula holds at least one line; put another in before you take this one out.")
    emptied = text
    if formula.adds_up and line.percent and not line.qs:
        emptied = set_percent(text, position, Decimal(0))
    document = _parse(emptied, formula)
    if line.qs:  # the largest of the others takes its place
        others = [i for i in range(len(formula.percents)) if i != position]
        _entries(document)[max(others, key=lambda i: formula.percents[i])]["percent"] = "q.s."
    within = position - sum(len(p.lines) for p in formula.phases[: formula.phases.index(phase)])
    del _table(document, phase.letter)["lines"][within]
    _drop_empty(document)
    return _written(document, emptied)


def move_line(text: str, position: int, letter: str, place: int) -> str:
    """Return the text with a line at another place, counted from 0 in a phase, its own or another."""
    formula = read_formula(text)
    phase, line = _at(formula, position)
    target = _phase(formula, letter)
    if phase.letter != letter and any(plain_name(o.material) == plain_name(line.material) for o in target.lines):
        raise PercentError(f'"{line.material}" stands in phase {letter} already; take one of the two out first.')
    document = _parse(text, formula)
    within = position - sum(len(p.lines) for p in formula.phases[: formula.phases.index(phase)])
    source, lines = _table(document, phase.letter)["lines"], _table(document, letter)["lines"]
    entry = source[within]
    del source[within]
    _insert(lines, min(max(place, 0), len(lines)), entry)
    _drop_empty(document)
    return _written(document, text)


def rename_line(text: str, position: int, material: str) -> str:
    """Return the text with another material on a line, at the same percent."""
    formula = read_formula(text)
    phase, line = _at(formula, position)
    if any(plain_name(other.material) == plain_name(material) for other in phase.lines if other is not line):
        raise PercentError(f'"{material}" stands in phase {phase.letter} already.')
    document = _parse(text, formula)
    _entries(document)[position]["material"] = material
    return _written(document, text)


def describe_line(text: str, position: int, words: Mapping[str, str]) -> str:
    """Return the text with the role or the note of a line changed; an empty one is taken out."""
    formula = read_formula(text)
    _at(formula, position)
    document = _parse(text, formula)
    _put(_entries(document)[position], {name: words[name] for name in ("role", "note") if name in words})
    return _written(document, text)


def set_how(text: str, letter: str, how: str) -> str:
    """Return the text with another treatment of a phase."""
    document = _parse(text, read_formula(text))
    _put(_table(document, letter), {"how": how})
    return _written(document, text)


def add_phase(text: str, material: str, percent: Decimal, how: str = "") -> str:
    """Return the text with a new last phase that begins with one line."""
    import tomlkit

    formula = read_formula(text)
    letter = _next_letter([phase.letter for phase in formula.phases])
    table = tomlkit.table()
    table.add("letter", letter)
    if how:
        table.add("how", how)
    lines = tomlkit.array()
    lines.append(_spaced({"material": material, "percent": 0}))
    table.add("lines", lines.multiline(True))
    document = _parse(text, formula)
    document["phase"].append(table)
    grown = _written(document, text)
    return set_percent(grown, len(formula.percents), percent) if percent or not formula.adds_up else grown


def set_head(text: str, words: Mapping[str, str]) -> str:
    """Return the text with name, use, makes, note, keeps or daily changed; an empty one is taken out."""
    document = _parse(text, read_formula(text))
    _put(document["formula"], {name: words[name] for name in HEAD if name in words})
    return _written(document, text)


def set_container(text: str, words: Mapping[str, str]) -> str:
    """Return the text with another container; an empty word is taken out, and the table with the last of them."""
    return _set_table(text, "container", {name: words[name] for name in CONTAINER if name in words})


def set_measured(text: str, name: str, words: Mapping[str, str]) -> str:
    """Return the text with a value measured on the product (value, spread, how, date), or without it for no value."""
    import tomlkit

    document = _parse(text, read_formula(text))
    if "measured" not in document:
        document.add("measured", tomlkit.table())
    kept = {word: words[word] for word in ("value", "spread", "how", "date") if words.get(word)}
    if "value" in kept:
        document["measured"][name] = _spaced(kept)
    else:
        document["measured"].pop(name, None)
    if not document["measured"]:
        del document["measured"]
    return _written(document, text)


def _set_table(text: str, name: str, words: Mapping[str, str]) -> str:
    import tomlkit

    document = _parse(text, read_formula(text))
    if name not in document:
        document.add(name, tomlkit.table())
    _put(document[name], words)
    if not document[name]:
        del document[name]
    return _written(document, text)


def _parse(text: str, _: Formula) -> Any:
    import tomlkit

    return tomlkit.parse(text.removeprefix(BOM))


def _written(document: Any, before: str) -> str:
    import tomlkit

    text = tomlkit.dumps(document)
    if "\r\n" in before:
        text = text.replace("\r\n", "\n").replace("\n", "\r\n")
    text = (BOM if before.startswith(BOM) else "") + text
    read_formula(text)
    return text


def _at(formula: Formula, position: int) -> tuple[Phase, Any]:
    lines = list(formula.lines())
    if not 0 <= position < len(lines):
        raise PercentError(f"There is no line {position + 1}; the formula has {len(lines)}.")
    return lines[position]


def _phase(formula: Formula, letter: str) -> Phase:
    found = next((phase for phase in formula.phases if phase.letter == letter), None)
    if found is None:
        raise PercentError(f'There is no phase "{letter}"; the formula has {_letters(formula)}.')
    return found


def _letters(formula: Formula) -> str:
    return ", ".join(phase.letter for phase in formula.phases)


def _table(document: Any, letter: str) -> Any:
    found = next((table for table in document["phase"] if str(table["letter"]) == letter), None)
    if found is None:
        raise PercentError(f'There is no phase "{letter}".')
    return found


def _entries(document: Any) -> list[Any]:
    return [entry for table in document["phase"] for entry in table["lines"]]


def _drop_empty(document: Any) -> None:
    tables = document["phase"]
    for position in reversed(range(len(tables))):
        if not len(tables[position]["lines"]):
            del tables[position]


def _insert(lines: Any, place: int, entry: Any) -> None:
    """Put an entry at a place: tomlkit keeps the layout of an array only for what is appended."""
    after = [lines[i] for i in range(place, len(lines))]
    for i in reversed(range(place, len(lines))):
        del lines[i]
    for one in (entry, *after):
        lines.append(one)


def _inline(words: dict[str, Any], lines: Any) -> Any:
    import tomlkit
    from tomlkit.items import AoT

    return tomlkit.item(words) if isinstance(lines, AoT) else _spaced(words)


def _spaced(words: Mapping[str, Any]) -> Any:
    """Return an inline table with a blank inside each bracket, as people write them."""
    import tomlkit

    pairs = (f"{name} = {tomlkit.item(value).as_string()}" for name, value in words.items())
    return tomlkit.value(f"{{ {', '.join(pairs)} }}")


def _put(table: Any, words: Mapping[str, str]) -> None:
    for name, value in words.items():
        if value.strip():
            if str(table.get(name, "")) != value.strip():
                table[name] = value.strip()
        else:
            table.pop(name, None)


def _number(percent: Decimal) -> Any:
    import tomlkit

    from levigate.formula.model import plain

    return tomlkit.value(plain(percent))


def _next_letter(letters: list[str]) -> str:
    return next(
        letter
        for n in range(1, 1000)
        for letter in ([chr(ord("A") + n - 1)] if n <= 26 else [f"P{n}"])
        if letter not in letters
    )
