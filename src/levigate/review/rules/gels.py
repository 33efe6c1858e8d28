"""Do the gels that live on their charges get the base they need, and are they spared salt?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import ROUND_CEILING, Decimal

from levigate.errors import PercentError
from levigate.formula.model import Formula, plain
from levigate.formula.percent import adjust
from levigate.quantities.saying import digits
from levigate.review.balance import not_counted, salt_of, spare_base
from levigate.review.changes import added
from levigate.review.findings import Finding, Remedy, Situation, rule
from levigate.review.held import (
    TRACE,
    Held,
    Part,
    headed,
    held,
    names,
    percents,
    positions,
    stands_in,
    swap_says,
    swapped,
    total,
    without,
)
from levigate.review.nearing import READING_GOES, unread

#: pH from which an acid polymer has swollen, and beyond which it shrinks again. [1]
_SWOLLEN = (5.0, 10.0)
#: Base over what the gel asks for: less leaves it thin, more takes it past pH 9 (its whole acid is 1.33). [1]
_TOO_LITTLE, _TOO_MUCH = 0.5, 1.5
#: Salt, counted as sodium chloride, from which a gel thins, and from which it may be lost. [%]
_THINS, _LOST = 0.1, 0.5
#: Base solution beyond which the estimate is no first step any more: something else is wrong. [%]
_MOST_BASE = Decimal(10)
#: Bases offered, moles of base in a kilogram and what to say of each.
_BASES = (
    ("sodium hydroxide 10 %", 2.5, "lye burns"),
    ("triethanolamine", 6.70, "not with bronopol or nitrite"),
)


@rule("gel-and-base", sources=("IntPh", "memory", "common-practice"))
def an_acid_gel_has_its_base(situation: Situation) -> Iterator[Finding]:
    """Carbomer is an acid whose chains push each other apart only once a base has charged them: before, it is thin."""
    found = situation.held
    gels = tuple(part for part in found.of("acid gels") if part.percent >= TRACE)
    if not gels:
        return
    figure = situation.figures.get("ph")
    if figure is not None and figure.known:
        yield from _by_ph(situation, gels, figure.value, figure.say())
        return
    needed, spare = found.amount("acid gels"), spare_base(found.parts)
    if _TOO_LITTLE * needed <= spare <= _TOO_MUCH * needed:
        return
    others = [part for part in not_counted(found.parts) if part not in gels]
    if others and spare > 0:
        return
    lacks = spare < _TOO_LITTLE * needed
    acid = " Acids in the formula take up base before the gel does." if spare < 0 else ""
    bases = _bases(found)
    yield Finding(
        "gel-and-base",
        "care",
        headed(
            f"{names(gels)} has {'too little' if lacks else 'too much'} base" if bases else f"{names(gels)} has no base"
        ),
        f"{percents(gels)} asks for about {digits(1000 * needed, 2)} mmol of base a kilogram to reach pH 6 to 7; "
        f"{digits(max(0.0, 1000 * spare), 2)} are left over for it.{acid} "
        + ("Below pH 5 it stays thin." if lacks else "Past pH 9 to 10 it thins again, and so alkaline it harms skin."),
        "IntPh",
        "Carbomer, content of carboxyl; three quarters of it from memory",
        positions(gels, bases),
        tuple(_more(situation, needed - spare) if lacks else _less(situation, bases, needed, spare)),
    )


def _by_ph(situation: Situation, gels: tuple[Part, ...], ph: float, said: str) -> Iterator[Finding]:
    low, high = _SWOLLEN
    if low <= ph <= high:
        return
    what = "a base by drops" if ph < low else "less base, or citric acid by drops,"
    counted = tuple(_counted(situation, low=ph < low))
    why = "" if counted else " How much cannot be computed: by the count of acid and base it should be right already."
    yield Finding(
        "gel-and-base",
        "care",
        headed(f"{names(gels)} does not swell at pH {said}"),
        f"{percents(gels)}. Its chains are charged and apart from about pH {low:g} to {high:g}; outside it is thin.",
        "common-practice",
        lines=positions(gels),
        remedies=(*counted, Remedy(f"Take {what} until a meter reads pH 5.5 to 7.{why}")),
    )


def _counted(situation: Situation, *, low: bool) -> Iterator[Remedy]:
    """Yield the base that the gel asks for, or spares, by the count: what a polyacid takes up no pH tells."""
    found = situation.held
    needed, spare = found.amount("acid gels"), spare_base(found.parts)
    if low and spare < needed:
        counted = _more(situation, needed - spare)
    elif not low and spare > needed:
        counted = _less(situation, _bases(found), needed, spare)
    else:
        return
    for remedy in counted:
        if remedy.formula is not None:
            yield Remedy(f"{remedy.says}{READING_GOES}", unread(remedy.formula))


def _bases(found: Held) -> tuple[Part, ...]:
    return found.where(lambda part: part.record is not None and part.record.kind == "base")


def _more(situation: Situation, lacking: float) -> Iterator[Remedy]:
    """Yield the base that brings a gel to pH 6 to 7: more of what is there, else a new line."""
    formula, shelf = situation.formula, situation.shelf
    if not formula.adds_up:
        return
    for name, strength, mind in _BASES:
        there = [i for i, _, line, _ in situation.lines() if shelf.key(line.material) == name]
        percent = Decimal(f"{100 * lacking / strength:.4f}").quantize(Decimal("0.01"), ROUND_CEILING)
        if name not in shelf or len(there) > 1 or formula.qs in there:
            continue
        if there:
            percent += formula.percents[there[0]]
        if percent > _MOST_BASE:
            continue
        try:
            grown = adjust(formula, {there[0]: percent}) if there else added(formula, shelf, name, percent)
        except PercentError:
            continue
        if grown is not None:
            yield Remedy(
                f"{f'Set {name} to' if there else f'Add {name}'} {plain(percent)} % (approximate; {mind}): most of it "
                "first, the rest by drops to pH 6 to 7 on a meter.",
                grown,
            )


def _less(situation: Situation, bases: tuple[Part, ...], needed: float, spare: float) -> Iterator[Remedy]:
    """Yield the base line brought down to what the gel asks for, where one line brings it."""
    lines = positions(bases)
    surplus = spare - needed
    for position in lines:
        brings = spare_base(part for part in situation.held.parts if part.position == position)
        if not situation.formula.adds_up or brings <= surplus or position == situation.formula.qs:
            continue
        now = situation.formula.percents[position]
        percent = Decimal(f"{float(now) * (brings - surplus) / brings:.2f}")
        if percent <= 0:
            continue
        name = [line.material for _, line in situation.formula.lines()][position]
        try:
            yield Remedy(
                f"Set {name} to {plain(percent)} % (approximate), the last of it by drops to pH 6 to 7 on a meter.",
                adjust(situation.formula, {position: percent}),
            )
        except PercentError:
            continue


@rule("gel-and-salt", sources=("common-practice", "memory"))
def a_charged_gel_is_spared_salt(situation: Situation) -> Iterator[Finding]:
    """Carbomer and other acrylates swell because like charges push apart; dissolved salt hides the charges: it runs."""
    gels = tuple(part for part in situation.held.of("charged gels") if part.percent >= TRACE)
    if not gels:
        return
    salts = _salts(situation.held)
    percent = sum(map(salt_of, salts))
    if percent < _THINS:
        return
    yield Finding(
        "gel-and-salt",
        "care" if percent >= _LOST else "note",
        headed(f"{names(gels)} with salt"),
        f"{percents(salts)} screen its charges like {digits(percent, 2)} % of table salt (approximate). "
        f"From about {_THINS:g} % such a gel thins, by {_LOST:g} % much of it is lost; xanthan and "
        "cellulose gums hardly mind.",
        "memory",
        lines=positions(gels, salts),
        remedies=(
            *_spared(situation, gels),
            *_without_salt(situation, salts),
            Remedy("Or make it with more gel, and try."),
        ),
    )


def _salts(found: Held) -> tuple[Part, ...]:
    bases = _bases(found)
    return tuple(part for part in found.parts if part not in bases and salt_of(part) > _THINS / 20)


def _spared(situation: Situation, gels: tuple[Part, ...]) -> Iterator[Remedy]:
    """Yield a gel that does not mind, without the base that the other one needed."""
    for other in stands_in(situation.shelf, gels):
        changed: Formula | None = swapped(situation.formula, situation.shelf, gels, other)
        if changed is None:
            continue
        bases = positions(_bases(held(changed, situation.shelf))) if situation.held.of("acid gels") else ()
        said = swap_says(gels, other)
        if bases:
            lines = [line.material for _, line in changed.lines()]
            said = f"{said.rstrip('.')}. Leave out its base ({', '.join(lines[i] for i in bases)}); then check the pH."
            changed = without(changed, bases)
        if changed is not None:
            yield Remedy(said, changed)


def _without_salt(situation: Situation, salts: Iterable[Part]) -> Iterator[Remedy]:
    """Yield the leaving out of one line that takes the salt below what it is now said of."""
    percent = sum(map(salt_of, salts))
    bound = _LOST if percent >= _LOST else _THINS
    for position in positions(salts):
        mine = [part for part in salts if part.position == position]
        if percent - sum(map(salt_of, mine)) >= bound or _keeps(situation, position):
            continue
        left = without(situation.formula, (position,))
        if left is not None and sum(map(salt_of, _salts(held(left, situation.shelf)))) < bound:
            yield Remedy(f"Leave out {mine[0].line} ({digits(total(mine), 2)} %).", left)


def _keeps(situation: Situation, position: int) -> bool:
    record = situation.shelf.get([line.material for _, line in situation.formula.lines()][position])
    return record is not None and record.kind == "preservative"
