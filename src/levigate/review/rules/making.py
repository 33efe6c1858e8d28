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
from levigate.words import marked, tr

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
        title = (
            tr("{name} meets a batch of about {hot} °C with phase {letter}")
            if arrives
            else tr("{name} is heated to {hot} °C in phase {letter}")
        )
        bearing = tr("It bears {temperature} °C.").format(temperature=f"{bears - 273.15:.0f}")
        yield Finding(
            "heat",
            "care",
            title.format(name=line.material, hot=f"{hottest - 273.15:.0f}", letter=phase.letter),
            f"{bearing} {sentence(limit.note)}".rstrip(),
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
    says = tr("Add phase {letter} when the batch is below {temperature} °C.")
    yield Remedy(says.format(letter=phase.letter, temperature=below), treated(situation.formula, phase.letter, how))


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
        says = tr("Move {name} to phase {letter}.").format(name=line.material, letter=letter)
        yield Remedy(says, moved(formula, situation.shelf, position, letter))
    else:
        says = tr('Add a phase that is made below {temperature} °C ("cool-down") and move {name} there.')
        yield Remedy(says.format(temperature=f"{bears - 273.15:.0f}", name=line.material))


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
    title = tr("{name} is too little for a {step} g scale").format(name=names[next(iter(small))], step=step)
    if len(small) > 1:
        title = tr("{n} lines are too little for a {step} g scale").format(n=len(small), step=step)
    said = ", ".join(_how_sure(names[i], grams, error) for i, (grams, error) in small.items())
    yield Finding(
        "small-line",
        "stop" if any(error is None for _, error in small.values()) else "care",
        title,
        tr("Weighed once in {total} g (95 %): {lines}.").format(total=digits(total), lines=said),
        "USP-41",
        "repeatability floor 0.41 d",
        tuple(small),
        tuple(_ways(situation, list(small), total)),
    )


def _how_sure(name: str, grams: float, error: float | None) -> str:
    if error is None:
        return tr("{name} {grams} g rounds to nothing").format(name=name, grams=digits(grams, 3))
    return f"{name} {digits(grams, 3)} g ± {digits(100 * error, 2)} %"


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
                serves = tr("{way}: then every line is within {percent} % ({name} asks for most).")
                all_of_them.append(Remedy(serves.format(way=said, percent=f"{100 * WITHIN:g}", name=names[least])))
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
    stated, hot = volume, False
    if warm is not None and warm.known and container.fill_at is not None:
        volume = max(volume, units.si(f"{warm.value!r} mL", "volume"))
        hot = True
    room = container.brimful * (1 - container.headspace)
    if volume <= room * (1 + 1e-9):
        if stated < _LOOKS_FULL * container.brimful:
            yield Finding(
                "container",
                "note",
                tr("The {container} looks half empty").format(container=container.name),
                tr(
                    "{percent} % of its brimful volume is filled; the law of some countries asks that a pack does "
                    "not mislead about its content."
                ).format(percent=f"{100 * stated / container.brimful:.0f}"),
                "common-practice",
                remedies=(
                    *_more(formula, makes, stated, min(room * stated / volume, _FULLER * container.brimful)),
                    _smaller(volume),
                ),
            )
        return
    over = volume > container.brimful
    yield Finding(
        "container",
        "stop" if over else "care",
        tr("It does not fit the {container}").format(container=container.name),
        _goes_in(container, volume, hot=hot, over=over),
        "common-practice",
        remedies=(
            _less(formula, makes, room / volume, room * stated / volume, container.headspace),
            _larger(volume, container),
        ),
    )


def _goes_in(container: Container, volume: float, *, hot: bool, over: bool) -> str:
    """Return in words what goes into a container and what it holds."""
    says = {
        (False, True): marked("{volume} mL goes into a {container} that holds {brim} mL to the brim."),
        (True, True): marked(
            "{volume} mL goes into a {container} that holds {brim} mL to the brim while it is at {temperature} °C."
        ),
        (False, False): marked(
            "{volume} mL goes into a {container} that holds {brim} mL to the brim, which leaves less than {headspace} "
            "% of headspace."
        ),
        (True, False): marked(
            "{volume} mL goes into a {container} that holds {brim} mL to the brim while it is at {temperature} °C, "
            "which leaves less than {headspace} % of headspace."
        ),
    }[hot, over]
    filled, brim = (units.convert(one or 0.0, "mL", "volume") for one in (volume, container.brimful))
    return tr(says).format(
        volume=digits(filled, 3),
        container=container.name,
        brim=digits(brim, 3),
        temperature=f"{(container.fill_at or 0.0) - 273.15:.3g}",
        headspace=f"{100 * container.headspace:.0f}",
    )


def _filled(situation: Situation) -> float | None:
    makes = situation.formula.makes
    if makes is not None and makes.volume is not None:
        return makes.volume
    figure = situation.figures.get("volume_per_container")
    return units.si(f"{figure.value!r} mL", "volume") if figure is not None and figure.known else None


def _less(formula: Formula, makes: Makes, share: float, room: float, headspace: float) -> Remedy:
    text, mended = _filled_to(formula, makes, share, units.convert(room, "mL", "volume"))
    says = tr('Fill less: makes = "{text}": then {percent} % of the brimful volume stays empty.')
    return Remedy(says.format(text=text, percent=f"{100 * headspace:.3g}"), mended)


def _more(formula: Formula, makes: Makes, volume: float, wanted: float) -> Iterator[Remedy]:
    container = formula.container
    if container is None or container.brimful is None or wanted < 1.01 * _LOOKS_FULL * container.brimful:
        return  # the headspace that is asked for leaves no more room
    text, mended = _filled_to(formula, makes, wanted / volume, units.convert(wanted, "mL", "volume"))
    share = 100 * wanted / container.brimful
    says = tr('Fill more: makes = "{text}": then {percent} % of the brimful volume is filled.')
    yield Remedy(says.format(text=text, percent=f"{share:.3g}"), mended)


def _smaller(volume: float) -> Remedy:
    most = units.convert(volume / _FULLER, "mL", "volume")
    says = tr("Or choose a smaller container, of at most {volume} mL to the brim.")
    return Remedy(says.format(volume=digits(most, 3)))


def _larger(volume: float, container: Container) -> Remedy:
    least = units.convert(volume / (1 - container.headspace), "mL", "volume")
    says = tr("Or choose a larger container, of at least {volume} mL to the brim.")
    return Remedy(says.format(volume=digits(least, 3)))


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
