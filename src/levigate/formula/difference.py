"""What changed between two formulas, or between two versions of one."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from levigate import units
from levigate.formula.model import Container, Formula, Line, Makes
from levigate.formula.premix import composition
from levigate.shelf.catalogue import Shelf, plain


@dataclass(frozen=True, slots=True)
class LineChange:
    """One material in both formulas: what it was and what it is; None where it does not stand."""

    material: str
    phase: tuple[str | None, str | None]
    percent: tuple[Decimal | None, Decimal | None]
    #: What else changed of it: the word (q.s., grain, role, note), what it was, what it is.
    details: tuple[tuple[str, str, str], ...] = ()

    @property
    def word(self) -> str:
        """In one word: same, changed, added, removed, moved."""
        if self.percent[0] is None:
            return "added"
        if self.percent[1] is None:
            return "removed"
        if self.percent[0] != self.percent[1] or self.details:
            return "changed"
        return "moved" if self.phase[0] != self.phase[1] else "same"


@dataclass(frozen=True, slots=True)
class SubstanceChange:
    """One substance in both formulas, premixes taken apart. [%]"""

    substance: str
    percent: tuple[Fraction, Fraction]


@dataclass(frozen=True, slots=True)
class Difference:
    """All that differs between two formulas; lines that are the same are listed too, for the eye."""

    head: tuple[tuple[str, str, str], ...]
    lines: tuple[LineChange, ...]
    treatment: tuple[tuple[str, str, str], ...]
    substances: tuple[SubstanceChange, ...]


def difference(first: Formula, second: Formula, shelf_first: Shelf, shelf_second: Shelf) -> Difference:
    """Return what changed from the first formula to the second, lines matched by material, then by phase."""
    head = tuple(
        (word, before, after)
        for word in ("name", "use", "makes", "container", "note")
        if (before := _head(first, word)) != (after := _head(second, word))
    )
    letters = {phase.letter: phase.how for phase in first.phases}
    others = {phase.letter: phase.how for phase in second.phases}
    treatment = tuple(
        (letter, letters.get(letter, ""), others.get(letter, ""))
        for letter in dict.fromkeys([*letters, *others])
        if letters.get(letter, "") != others.get(letter, "")
    )
    return Difference(
        head,
        tuple(_lines(first, second, shelf_first, shelf_second)),
        treatment,
        _substances(first, second, shelf_first, shelf_second),
    )


def _head(formula: Formula, word: str) -> str:
    value = getattr(formula, word)
    if isinstance(value, Container):
        brim = "" if value.brimful is None else f", {units.convert(value.brimful, 'mL', 'volume'):.6g} mL to the brim"
        return f"{value.name}{brim}, {100 * value.headspace:.4g} % left empty"
    return value.text if isinstance(value, Makes) else str(value or "")


def _details(before: Line, after: Line) -> tuple[tuple[str, str, str], ...]:
    said = [
        {"q.s.": "q.s." if x.qs else "", "grain": _grain(x), "role": x.role, "note": x.note} for x in (before, after)
    ]
    return tuple((word, was, said[1][word]) for word, was in said[0].items() if was != said[1][word])


def _grain(line: Line) -> str:
    if line.grain is None:
        return ""
    sizes = (("d50", line.grain.d50), ("d90", line.grain.d90))
    said = [f"{name} {units.convert(size, 'um', 'length'):.6g} um" for name, size in sizes if size is not None]
    for sieve in line.grain.sieves:
        said.append(f"through {sieve.says}" if sieve.passing is None else f"{100 * sieve.passing:.6g} % < {sieve.says}")
    return ", ".join([*said, *([line.grain.ground] if line.grain.ground else [])])


def _lines(first: Formula, second: Formula, shelf_first: Shelf, shelf_second: Shelf) -> list[LineChange]:
    def keyed(formula: Formula, shelf: Shelf) -> list[tuple[str, str, Line]]:
        return [
            (shelf.key(line.material) or plain(line.material), phase.letter, line) for phase, line in formula.lines()
        ]

    before, after = keyed(first, shelf_first), keyed(second, shelf_second)
    free = list(range(len(before)))
    partner: dict[int, int] = {}
    for same_phase in (True, False):
        for j, (key, letter, _) in enumerate(after):
            if j in partner:
                continue
            match = next((i for i in free if before[i][0] == key and (not same_phase or before[i][1] == letter)), None)
            if match is not None:
                partner[j] = match
                free.remove(match)
    changes = [
        LineChange(
            line.material,
            (before[i][1], letter),
            (before[i][2].percent, line.percent),
            _details(before[i][2], line),
        )
        if (i := partner.get(j)) is not None
        else LineChange(line.material, (None, letter), (None, line.percent))
        for j, (_, letter, line) in enumerate(after)
    ]
    gone = [(letter, line) for _, letter, line in (before[i] for i in free)]
    changes += [LineChange(line.material, (letter, None), (line.percent, None)) for letter, line in gone]
    return changes


def _substances(
    first: Formula, second: Formula, shelf_first: Shelf, shelf_second: Shelf
) -> tuple[SubstanceChange, ...]:
    before, after = composition(first, shelf_first), composition(second, shelf_second)
    nought = Fraction(0)
    changed = (
        SubstanceChange(name, (before.get(name, nought), after.get(name, nought)))
        for name in dict.fromkeys([*after, *before])
    )
    return tuple(change for change in changed if change.percent[0] != change.percent[1])
