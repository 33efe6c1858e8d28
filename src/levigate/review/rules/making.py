"""Can it be made, weighed and filled as planned?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from decimal import ROUND_DOWN, Decimal

from levigate import units
from levigate.bench.ways import WITHIN, ways_out
from levigate.bench.weighing import line_error
from levigate.formula.model import Container, Formula, Makes, Phase, plain
from levigate.quantities.saying import digits
from levigate.review.changes import moved, treated
from levigate.review.findings import Finding, Remedy, Situation, rule, sentence

#: A batch cools no further by itself. [°C]
_WARM_ROOM = 30


@rule("heat", sources=("common-practice",))
def nothing_is_heated_beyond_what_it_bears(situation: Situation) -> Iterator[Finding]:
    """Some materials lose strength or smell when heated with their phase; they belong in the cool-down."""
    meets = _meets(situation)
    for position, phase, line, record in situation.lines():
        hottest = meets.get(phase.letter)
        if record is None or line.percent <= 0 or not record.heat_limit or hottest is None:
            continue
        limit = record.heat_limit[0]
        bears = limit.si("temperature")
        if hottest <= bears + 1e-9:
            continue
        arrives = phase.temperature is None or phase.temperature <= bears + 1e-9
        hot = f"{hottest - 273.15:.0f}"
        yield Finding(
            "heat",
            "care",
            f"{line.material} meets a batch of about {hot} °C with phase {phase.letter}"
            if arrives
            else f"{line.material} is heated to {hot} °C in phase {phase.letter}",
            f"It bears {bears - 273.15:.0f} °C. {sentence(limit.note)}".rstrip(),
            limit.source,
            limit.place,
            (position,),
            (*_later(situation, phase, bears), *_cooler(situation, position, bears, meets)),
        )


def _meets(situation: Situation) -> dict[str, float | None]:
    """Return the hottest that each phase meets: what its ``how`` names, and the batch once it has joined. [K]"""
    meets = {phase.letter: phase.temperature for phase in situation.formula.phases}
    figure = situation.figures.get("joined_temperature")
    if figure is None or not figure.known:
        return meets
    joined = [row.value + 273.15 for row in figure.rows]
    for k, name in enumerate(situation.inputs.names["phases"]):
        letter = name.removeprefix("phase ")
        meets[letter] = max(meets[letter] or 0.0, *joined[max(k - 1, 0) :])
    return meets


def _later(situation: Situation, phase: Phase, bears: float) -> Iterator[Remedy]:
    """Yield the wait for the batch to cool, where a phase that is not heated itself joins one that is too hot."""
    first = situation.formula.phases[0].letter
    below = math.floor(bears - 273.15 + 1e-9)
    if phase.temperature is not None or phase.letter == first or below < _WARM_ROOM:
        return
    how = f"{phase.how.rstrip('. ;')}; below {below} °C" if phase.how else f"below {below} °C"
    yield Remedy(
        f"Add phase {phase.letter} when the batch is below {below} °C.",
        treated(situation.formula, phase.letter, how),
    )


def _cooler(situation: Situation, position: int, bears: float, meets: dict[str, float | None]) -> Iterator[Remedy]:
    formula = situation.formula
    line = [line for _, line in formula.lines()][position]
    letters = [phase.letter for phase in formula.phases]
    here = next(phase.letter for i, (phase, _) in enumerate(formula.lines()) if i == position)
    # Only what comes later is cool: what was made cold before is poured into the hot phase.
    later = formula.phases[letters.index(here) + 1 :]
    cool = [phase.letter for phase in later if (hottest := meets[phase.letter]) is not None and hottest <= bears]
    silent = [phase.letter for phase in later if meets[phase.letter] is None]
    if cool or silent:
        letter = (cool or silent)[-1]
        yield Remedy(f"Move {line.material} to phase {letter}.", moved(formula, situation.shelf, position, letter))
    else:
        yield Remedy(
            f'Add a phase that is made below {bears - 273.15:.0f} °C ("cool-down") and move {line.material} there.'
        )


@rule("small-line", sources=("USP-41",))
def each_line_can_be_weighed(situation: Situation) -> Iterator[Finding]:
    """A line near the resolution of the scale is a guess: two roundings alone make 0.82 of a step at 95 %."""
    figure = situation.figures.get("batch_mass")
    if figure is None or not figure.known or not situation.formula.adds_up:
        return
    total, step = figure.value, plain(situation.scale.resolution)
    small: dict[int, tuple[float, float | None]] = {}
    for position, _, line, _ in situation.lines():
        grams = float(line.percent) / 100 * total
        error = line_error(grams, situation.scale)
        if grams > 0 and (error is None or error > WITHIN):
            small[position] = (grams, error)
    if not small:
        return
    names = [line.material for _, line in situation.formula.lines()]
    many = f"{len(small)} lines are" if len(small) > 1 else f"{names[next(iter(small))]} is"
    said = ", ".join(f"{names[i]} {digits(grams, 3)} g {_how_sure(error)}" for i, (grams, error) in small.items())
    yield Finding(
        "small-line",
        "stop" if any(error is None for _, error in small.values()) else "care",
        f"{many} too little for a {step} g scale",
        f"Weighed once in {digits(total)} g (95 %): {said}.",
        "USP-41",
        "repeatability floor 0.41 d",
        tuple(small),
        tuple(_ways(situation, list(small), total)),
    )


def _how_sure(error: float | None) -> str:
    return "rounds to nothing" if error is None else f"± {digits(100 * error, 2)} %"


def _ways(situation: Situation, small: list[int], total: float) -> Iterator[Remedy]:
    """Yield the bigger batch and the finer scale that serve all small lines, then the stock that serves each."""
    percents = situation.formula.percents
    least = min(small, key=lambda position: percents[position])
    names = [line.material for _, line in situation.formula.lines()]
    promised: dict[int, float] = {}
    all_of_them, one_each = [], []
    for position in small:
        for way in ways_out(situation.formula, situation.shelf, position, total, situation.scale, promised=promised):
            said = f"{way.says[:1].upper()}{way.says[1:]}"
            if way.kind == "stock":
                one_each.append(Remedy(f"{said}."))
            elif position == least:
                serves = f"then every line is within {100 * WITHIN:g} % ({names[least]} asks for most)"
                all_of_them.append(Remedy(f"{said}: {serves}."))
    yield from (*all_of_them, *one_each)


#: Share of the brimful volume below which a container looks half empty.
_LOOKS_FULL = 0.7
#: Share of it to which a remedy fills.
_FULLER = 0.75


@rule("container", sources=("common-practice",))
def it_fits_the_container(situation: Situation) -> Iterator[Finding]:
    """A container filled past its shoulder spills, and one without headspace bursts or leaks when it warms."""
    formula = situation.formula
    container, makes = formula.container, formula.makes
    if container is None or container.brimful is None or makes is None or not makes.containers:
        return
    volume = _filled(situation)
    if volume is None:
        return
    warm = situation.figures.get("warm_volume")
    stated, hot = volume, ""
    if warm is not None and warm.known and container.fill_at is not None:
        volume = max(volume, units.si(f"{warm.value!r} mL", "volume"))
        hot = f" while it is at {container.fill_at - 273.15:.3g} °C"
    room = container.brimful * (1 - container.headspace)
    if volume <= room * (1 + 1e-9):
        if stated < _LOOKS_FULL * container.brimful:
            yield Finding(
                "container",
                "note",
                f"The {container.name} looks half empty",
                f"{100 * stated / container.brimful:.0f} % of its brimful volume is filled; the law of some countries "
                "asks that a pack does not mislead about its content.",
                "common-practice",
                remedies=(
                    *_more(formula, makes, stated, min(room * stated / volume, _FULLER * container.brimful)),
                    _smaller(volume),
                ),
            )
        return
    over = volume > container.brimful
    each, brim, roomy = (units.convert(value, "mL", "volume") for value in (volume, container.brimful, room))
    why = f"{digits(each, 3)} mL goes into a {container.name} that holds {digits(brim, 3)} mL to the brim{hot}"
    why += "." if over else f", which leaves less than {100 * container.headspace:.0f} % of headspace."
    yield Finding(
        "container",
        "stop" if over else "care",
        f"It does not fit the {container.name}",
        why,
        "common-practice",
        remedies=(
            _less(formula, makes, room / volume, roomy * stated / volume, container.headspace),
            _larger(volume, container),
        ),
    )


def _filled(situation: Situation) -> float | None:
    makes = situation.formula.makes
    if makes is not None and makes.volume is not None:
        return makes.volume
    figure = situation.figures.get("volume_per_container")
    return units.si(f"{figure.value!r} mL", "volume") if figure is not None and figure.known else None


def _less(formula: Formula, makes: Makes, share: float, roomy: float, headspace: float) -> Remedy:
    text, mended = _filled_to(formula, makes, share, roomy)
    return Remedy(
        f'Fill less: makes = "{text}": then {100 * headspace:.3g} % of the brimful volume stays empty.', mended
    )


def _more(formula: Formula, makes: Makes, volume: float, wanted: float) -> Iterator[Remedy]:
    container = formula.container
    if container is None or container.brimful is None or wanted < 1.01 * _LOOKS_FULL * container.brimful:
        return  # the headspace that is asked for leaves no more room
    text, mended = _filled_to(formula, makes, wanted / volume, units.convert(wanted, "mL", "volume"))
    share = 100 * wanted / container.brimful
    yield Remedy(f'Fill more: makes = "{text}": then {share:.3g} % of the brimful volume is filled.', mended)


def _smaller(volume: float) -> Remedy:
    most = units.convert(volume / _FULLER, "mL", "volume")
    return Remedy(f"Or choose a smaller container, of at most {digits(most, 3)} mL to the brim.")


def _larger(volume: float, container: Container) -> Remedy:
    least = units.convert(volume / (1 - container.headspace), "mL", "volume")
    return Remedy(f"Or choose a larger container, of at least {digits(least, 3)} mL to the brim.")


def _filled_to(formula: Formula, makes: Makes, share: float, wanted: float) -> tuple[str, Formula]:
    """Return what is made, in words and as the formula, where a container takes so much; rounded down. [mL]"""
    if makes.mass is not None:
        grams = _down(makes.mass * 1000 * share)
        text, other = f"{makes.containers} x {plain(grams)} g", replace(makes, mass=float(grams) / 1000)
    else:
        millilitres = _down(wanted)
        text, other = f"{makes.containers} x {plain(millilitres)} mL", replace(makes, volume=float(millilitres) * 1e-6)
    return text, replace(formula, makes=replace(other, text=text))


def _down(amount: float) -> Decimal:
    """Return an amount rounded down to three digits; what is whole but for its last bits stays whole."""
    exact = Decimal(f"{amount:.12g}")
    return exact.quantize(Decimal(10) ** (exact.adjusted() - 2), ROUND_DOWN)
