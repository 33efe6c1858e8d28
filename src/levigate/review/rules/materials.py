"""Is every material known, in its usual range, and described well enough?"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from levigate import units
from levigate.errors import PercentError
from levigate.formula.model import plain
from levigate.formula.percent import adjust
from levigate.review.changes import renamed
from levigate.review.findings import Finding, Remedy, Situation, rule, sentence
from levigate.shelf.find import closest
from levigate.words import tr


@rule("unknown-material", sources=("definition",))
def every_material_is_on_the_shelf(situation: Situation) -> Iterator[Finding]:
    """A material that no shelf knows cannot be judged: limits, cautions and density are missing. It may be a slip."""
    for position, _, line, record in situation.lines():
        if record is not None:
            continue
        close = closest(situation.shelf, line.material)
        describe = tr('Describe it in the file: [materials."{material}"] with inci, kind, form, affinity and density.')
        unknown = tr(
            "Neither the catalogue nor the file's own materials know it, so nothing that rests on it is known."
        )
        if line.number:
            unknown = tr(
                "Neither the catalogue nor the file's own materials know it (line {number} of the file), so nothing "
                "that rests on it is known."
            ).format(number=line.number)
        remedies = (
            *(_write(situation, position, name) for name in close),
            Remedy(describe.format(material=line.material)),
        )
        yield Finding(
            "unknown-material",
            "stop",
            tr('"{material}" is not on the shelf').format(material=line.material),
            unknown,
            "definition",
            lines=(position,),
            remedies=remedies,
        )


def _write(situation: Situation, position: int, name: str) -> Remedy:
    """Return the renaming of a line, which says so where it joins another of its phase."""
    lines = list(situation.formula.lines())
    here, mine = lines[position]
    beside = [line for line in here.lines if line is not mine and situation.shelf.key(line.material) == name]
    says = tr('Write "{name}".').format(name=name)
    if beside:
        qs = mine.qs or beside[0].qs
        both = tr('Write "{name}", which stands in phase {letter} already: the two become one line of {percent} %.')
        if qs:
            both = tr('Write "{name}", which stands in phase {letter} already: the two become one line of q.s.')
        percent = plain(mine.percent + beside[0].percent)
        says = both.format(name=name, letter=here.letter, percent=percent)
    return Remedy(says, renamed(situation.formula, situation.shelf, position, name))


@rule("usual-range", sources=("common-practice",))
def each_material_is_in_its_usual_range(situation: Situation) -> Iterator[Finding]:
    """Outside its usual range a material may fail, feel bad or irritate. Ranges are habits of the trade, not law."""
    totals: dict[str, list[int]] = {}
    for position, _, line, record in situation.lines():
        if record is not None and record.usual and not line.qs:
            totals.setdefault(situation.shelf.key(line.material) or line.material, []).append(position)
    percents = situation.formula.percents
    for key, positions in totals.items():
        usual = situation.shelf[key].usual[0]
        percent = sum((percents[i] for i in positions), Decimal(0))
        low, high = _percent(usual.low), _percent(usual.high)
        if percent == 0 or ((low is None or percent >= low) and (high is None or percent <= high)):
            continue
        over = high is not None and percent > high
        bound = high if over else low
        if bound is None:
            continue
        span = tr("Usual is {bound} %.").format(bound=plain(bound))
        if low is not None and high is not None:
            span = tr("Usual is {low} to {high} %.").format(low=plain(low), high=plain(high))
        title = (
            tr("{name} {percent} % is above its usual range")
            if over
            else tr("{name} {percent} % is below its usual range")
        )
        yield Finding(
            "usual-range",
            "care" if over else "note",
            title.format(name=key, percent=plain(percent)),
            f"{span} {sentence(usual.note)}".rstrip(),
            usual.source,
            usual.place,
            tuple(positions),
            _to(situation, positions, bound),
        )


def _percent(written: str | float | None) -> Decimal | None:
    """Return a share as percent; 0.7 % must stay 0.7, not 0.6999999999999999. [%]"""
    return None if written is None else Decimal(f"{100 * units.si(written, 'share'):.12g}")


def _to(situation: Situation, positions: list[int], bound: Decimal) -> tuple[Remedy, ...]:
    if len(positions) != 1 or not situation.formula.adds_up:
        return ()
    name = [line.material for _, line in situation.formula.lines()][positions[0]]
    try:
        mended = adjust(situation.formula, {positions[0]: bound})
    except PercentError:
        return ()
    says = (
        tr("Set {name} to {percent} %; q.s. takes up the difference.")
        if situation.formula.qs is not None
        else tr("Set {name} to {percent} %; the other lines keep their proportions.")
    )
    return (Remedy(says.format(name=name, percent=plain(bound)), mended),)


@rule("grain", sources=("common-practice",))
def a_powder_that_stays_solid_says_its_grain(situation: Situation) -> Iterator[Finding]:
    """A powder that does not dissolve settles, scratches and clogs by its grain; without it none can be foreseen."""
    for position, _, line, record in situation.lines():
        if position not in situation.inputs.powder_positions:
            continue
        if record is None or line.grain is not None or record.particle_d50:
            continue
        yield Finding(
            "grain",
            "care",
            tr("The grain of {name} is not stated").format(name=line.material),
            tr("It does not dissolve here, so how it settles and feels rests on its grain size."),
            "common-practice",
            lines=(position,),
            remedies=(
                Remedy(
                    tr(
                        'Write its grain on the line: grain = { d50 = "12 um", d90 = "25 um" } from the supplier, '
                        '{ sieve = "63 um", passing = "95 %" } from a sieve, or { ground = "mortar" } if that is all.'
                    )
                ),
            ),
        )
