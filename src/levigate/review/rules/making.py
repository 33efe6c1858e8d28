"""Can it be made, weighed and filled as planned?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from levigate import units
from levigate.bench.batch import WITHIN, expanded_error, ways_out
from levigate.formula.model import Formula, Line, Makes, plain
from levigate.quantities.saying import digits
from levigate.review.findings import Finding, Remedy, Situation, rule


@rule("heat", sources=("common-practice",))
def nothing_is_heated_beyond_what_it_bears(situation: Situation) -> Iterator[Finding]:
    """Some materials lose strength or smell when heated with their phase; they belong in the cool-down."""
    for position, phase, line, record in situation.lines():
        if record is None or not record.heat_limit or phase.temperature is None:
            continue
        limit = record.heat_limit[0]
        bears = limit.si("temperature")
        if phase.temperature <= bears + 1e-9:
            continue
        hot = f"{phase.temperature - 273.15:.0f}"
        yield Finding(
            "heat",
            "care",
            f"{line.material} is heated to {hot} °C in phase {phase.letter}",
            f"It bears {bears - 273.15:.0f} °C.{' ' + limit.note if limit.note else ''}",
            limit.source,
            limit.place,
            (position,),
            tuple(_cooler(situation, position, bears)),
        )


def _cooler(situation: Situation, position: int, bears: float) -> Iterator[Remedy]:
    formula = situation.formula
    line = [line for _, line in formula.lines()][position]
    later = [
        phase
        for phase in formula.phases
        if (phase.temperature is None or phase.temperature <= bears) and line not in phase.lines
    ]
    if later:
        letter = later[-1].letter
        yield Remedy(f"Move {line.material} to phase {letter}.", moved(formula, position, letter))
    else:
        yield Remedy(
            f'Add a phase that is made below {bears - 273.15:.0f} °C ("cool-down") and move {line.material} there.'
        )


def moved(formula: Formula, position: int, letter: str) -> Formula:
    """Return the formula with one line moved to the end of another phase."""
    line = [line for _, line in formula.lines()][position]
    phases = []
    for phase in formula.phases:
        lines: tuple[Line, ...] = tuple(one for one in phase.lines if one is not line)
        if phase.letter == letter:
            lines = (*lines, line)
        phases.append(replace(phase, lines=lines))
    return replace(formula, phases=tuple(phase for phase in phases if phase.lines))


@rule("small-line", sources=("USP-41",))
def each_line_can_be_weighed(situation: Situation) -> Iterator[Finding]:
    """A line near the resolution of the scale is a guess: two roundings alone make 0.82 of a step at 95 %."""
    figure = situation.figures.get("batch_mass")
    if figure is None or not figure.known or not situation.formula.adds_up:
        return
    total, step = figure.value, plain(situation.scale.resolution)
    small: dict[int, tuple[float, float]] = {}
    for position, _, line, _ in situation.lines():
        grams = float(line.percent) / 100 * total
        if grams > 0 and (error := expanded_error(grams, situation.scale)) > WITHIN:
            small[position] = (grams, error)
    if not small:
        return
    names = [line.material for _, line in situation.formula.lines()]
    nothing = any(grams < float(situation.scale.resolution) / 2 for grams, _ in small.values())
    many = f"{len(small)} lines are" if len(small) > 1 else f"{names[next(iter(small))]} is"
    said = ", ".join(f"{names[i]} {digits(grams, 3)} g ± {100 * error:.2g} %" for i, (grams, error) in small.items())
    yield Finding(
        "small-line",
        "stop" if nothing else "care",
        f"{many} too little for a {step} g scale",
        f"Weighed once in {digits(total)} g (95 %): "
        f"{said}.{' What is below half a step rounds to nothing.' if nothing else ''}",
        "USP-41",
        "repeatability floor 0.41 d",
        tuple(small),
        tuple(_ways(situation, small, total)),
    )


def _ways(situation: Situation, small: dict[int, tuple[float, float]], total: float) -> Iterator[Remedy]:
    """Yield the bigger batch and the finer scale that serve all small lines, and the stock that serves each."""
    least = min(small, key=lambda position: small[position][0])
    names = [line.material for _, line in situation.formula.lines()]
    for position in small:
        for way in ways_out(situation.formula, situation.shelf, position, total, situation.scale):
            said = f"{way.says[:1].upper()}{way.says[1:]}"
            if way.kind == "stock":
                yield Remedy(f"{said}.")
            elif position == least:
                yield Remedy(f"{said}: then every line is within {WITHIN:.0%} ({names[least]} asks for most).")


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
    room = container.brimful * (1 - container.headspace)
    if volume <= room:
        return
    over = volume > container.brimful
    each, brim, roomy = (units.convert(value, "mL", "volume") for value in (volume, container.brimful, room))
    why = f"{digits(each, 3)} mL goes into a {container.name} that holds {digits(brim, 3)} mL to the brim"
    why += "." if over else f", which leaves less than {100 * container.headspace:.0f} % of headspace."
    yield Finding(
        "container",
        "stop" if over else "care",
        f"It does not fit the {container.name}",
        why,
        "common-practice",
        remedies=(_less(formula, makes, room / volume, roomy),),
    )


def _filled(situation: Situation) -> float | None:
    makes = situation.formula.makes
    if makes is not None and makes.volume is not None:
        return makes.volume
    figure = situation.figures.get("volume_per_container")
    return units.si(f"{figure.value!r} mL", "volume") if figure is not None and figure.known else None


def _less(formula: Formula, makes: Makes, share: float, roomy: float) -> Remedy:
    if makes.mass is not None:
        grams = int(makes.mass * 1000 * share * 10) / 10
        text, less = f"{makes.containers} x {grams:g} g", replace(makes, mass=grams / 1000)
    else:
        millilitres = int(roomy * 10) / 10
        text, less = f"{makes.containers} x {millilitres:g} mL", replace(makes, volume=millilitres * 1e-6)
    return Remedy(f'Fill less: makes = "{text}".', replace(formula, makes=replace(less, text=text)))
