"""Is there a pH at which all of it keeps and works?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from levigate import units
from levigate.formula.model import Formula
from levigate.formula.premix import WATER, substances
from levigate.quantities.saying import digits
from levigate.review.findings import Finding, Remedy, Situation, rule, sentence
from levigate.review.held import TRACE, Part, headed, stands_in, swap_says, swapped, without
from levigate.review.nearing import into_range, not_computed
from levigate.shelf.catalogue import Shelf
from levigate.shelf.record import GRADES, Material, Value

#: Water below which pH means nothing. [%]
_DRY = 1.0
#: Share of the formula below which a line asks for no pH of its own. [%]
_LEAST = 0.01
#: Width of a shared window from which it is not worth a note. [1]
_WIDE = 4.0
#: Kinds without which a product is another one, so that they are not simply left out.
_NEEDED = ("preservative", "emulsifier", "thickener", "surfactant", "base", "acid")


@dataclass(frozen=True, slots=True)
class _Window:
    """The pH at which one line keeps and works."""

    position: int
    name: str
    low: float
    high: float
    value: Value

    @property
    def says(self) -> str:
        if self.low == -math.inf:
            return f"pH {self.high:g} or less"
        return f"pH {self.low:g} or more" if self.high == math.inf else f"pH {self.low:g} to {self.high:g}"


@rule("ph-windows", sources=("memory", "CIR-AHA-2017", "niacinamide-hydrolysis", "HSDB-hydrogen-peroxide"))
def there_is_a_ph_for_all(situation: Situation) -> Iterator[Finding]:
    """Acid preservatives work, vitamins keep and gels hold in a range of pH each; where none is shared, one fails."""
    if situation.held.water < _DRY:
        return
    windows = list(_windows(situation.formula, situation.shelf))
    if not windows:
        return
    lowest = max(windows, key=lambda one: one.low)
    highest = min(windows, key=lambda one: one.high)
    if lowest.low > highest.high + 1e-9:
        yield _conflict(situation, lowest, highest)
        return
    figure = situation.figures.get("ph")
    if figure is not None and figure.known:
        yield from _outside(situation, windows, figure.value, figure.say())
    elif highest.high - lowest.low < _WIDE:
        yield _to_hit(situation, lowest, highest)


def _windows(formula: Formula, shelf: Shelf) -> Iterator[_Window]:
    for position, (_, line) in enumerate(formula.lines()):
        record = shelf.get(line.material)
        if record is None or float(line.percent) < _LEAST:
            continue
        if record.ph:
            yield _window(position, line.material, record.ph[0])
            continue
        for key, share in substances(shelf, line.material).items():
            part = shelf.get(key)
            if part is not None and part.ph and float(line.percent) * float(share) >= TRACE:
                yield _window(position, key, part.ph[0])


def _window(position: int, name: str, value: Value) -> _Window:
    if value.value is not None:
        only = units.si(value.value, "share")
        return _Window(position, name, only, only, value)
    low = -math.inf if value.low is None else units.si(value.low, "share")
    high = math.inf if value.high is None else units.si(value.high, "share")
    return _Window(position, name, low, high, value)


def _conflict(situation: Situation, lowest: _Window, highest: _Window) -> Finding:
    worse = max((lowest.value, highest.value), key=lambda value: GRADES.index(value.grade))
    notes = " ".join(headed(sentence(one.value.note)) for one in (lowest, highest) if one.value.note)
    return Finding(
        "ph-windows",
        "care",
        headed(f"no pH serves both {lowest.name} and {highest.name}"),
        f"{headed(lowest.name)} keeps and works at {lowest.says}, {highest.name} at {highest.says}: whichever pH it is "
        f"brought to, one of them fails. {notes}".rstrip(),
        worse.source,
        worse.place,
        tuple(dict.fromkeys((lowest.position, highest.position))),
        (
            *_swaps(situation, lowest, highest),
            Remedy("Or make two products, one for each pH."),
        ),
    )


def _swaps(situation: Situation, *pair: _Window) -> Iterator[Remedy]:
    formula, shelf = situation.formula, situation.shelf
    for one in pair:
        parts = [part for part in situation.held.parts if part.position == one.position and part.key != WATER]
        mine = _main(parts, shelf)
        for other in stands_in(shelf, mine) if mine else ():
            changed = swapped(formula, shelf, mine, other)
            if changed is not None and _agree(list(_windows(changed, shelf))):
                yield Remedy(swap_says(mine, other), changed)
    for one in pair:
        record = _record(situation, one)
        left = without(formula, (one.position,))
        if left is not None and record is not None and record.kind not in _NEEDED:
            line = [line.material for _, line in formula.lines()][one.position]
            yield Remedy(f"Leave out {line}.", left)


def _main(parts: list[Part], shelf: Shelf) -> list[Part]:
    """Return the parts for which something may stand in: all of a premix that is known by name, else the largest."""
    if parts and stands_in(shelf, parts):
        return parts
    return sorted(parts, key=lambda part: -part.percent)[:1]


def _record(situation: Situation, one: _Window) -> Material | None:
    return situation.shelf.get([line.material for _, line in situation.formula.lines()][one.position])


def _agree(windows: list[_Window]) -> bool:
    return max((one.low for one in windows), default=0.0) <= min((one.high for one in windows), default=14.0) + 1e-9


def _outside(situation: Situation, windows: list[_Window], ph: float, said: str) -> Iterator[Finding]:
    out = [one for one in windows if not one.low - 0.05 <= ph <= one.high + 0.05]
    if not out:
        return
    worse = max((one.value for one in out), key=lambda value: GRADES.index(value.grade))
    low, high = max(one.low for one in windows), min(one.high for one in windows)
    remedies, why = into_range(situation, low, high)
    by_hand = Remedy(f"Bring it to {_span(low, high)}, by small portions and a meter. {why}".rstrip())
    yield Finding(
        "ph-windows",
        "care",
        f"pH {said} is outside the range of {', '.join(dict.fromkeys(one.name for one in out))}",
        f"{'; '.join(dict.fromkeys(f'{one.name} keeps and works at {one.says}' for one in out))}.",
        worse.source,
        worse.place,
        tuple(dict.fromkeys(one.position for one in out)),
        tuple(remedies) or (by_hand,),
    )


def _to_hit(situation: Situation, lowest: _Window, highest: _Window) -> Finding:
    worse = max((lowest.value, highest.value), key=lambda value: GRADES.index(value.grade))
    who = f"{lowest.name} asks for {lowest.says}, {highest.name} for {highest.says}"
    if lowest.position == highest.position and lowest.name == highest.name:
        who = f"{lowest.name} asks for it"
    why = not_computed(situation)
    return Finding(
        "ph-windows",
        "note",
        f"Bring it to {_span(lowest.low, highest.high)}",
        f"{headed(who)}; everything else in it bears that. Measure it with a meter once it is cool, and again after a "
        "day and a week.",
        worse.source,
        worse.place,
        tuple(dict.fromkeys((lowest.position, highest.position))),
        (Remedy(f"Write what the meter reads into the file, under [measured]: pH = ... {why}".rstrip()),),
    )


def _span(low: float, high: float) -> str:
    if high - low < 0.05:
        return f"pH {digits(low, 2)}, and no other"
    if low == -math.inf:
        return f"pH {high:g} or below"
    return f"pH {low:g} or above" if high == math.inf else f"pH {low:g} to {high:g}"
