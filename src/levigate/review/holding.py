"""Remedies for a powder that does not stay where it is: more gel, a finer grain, a liquid nearer to it; each solved."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

from levigate import units
from levigate.errors import PercentError
from levigate.formula.model import USUAL_LIFE, Formula, Grain, plain
from levigate.formula.percent import adjust
from levigate.quantities.graph import Floats, evaluate
from levigate.quantities.inputs import Inputs
from levigate.quantities.saying import digits
from levigate.quantities.swelling import density_of
from levigate.review.changes import added, regrained
from levigate.review.findings import Level, Remedy, Situation
from levigate.science.grain import grain_diameter
from levigate.shelf.record import Material
from levigate.solve.nearest import COARSE, least_change
from levigate.words import tr

#: How far past the bound a remedy goes, so that it clears the finding and not just touches it; the same where it is the
#: low end of what is foreseen that must pass.
MARGIN, LOW_MARGIN = 1.5, 1.1
#: Coarse tenth below which no mill within reach grinds. [m]
_FINEST = 1e-6
#: What holds grains up, offered where no line does, by `outer_phase`.
_OFFERED = {0.0: "xanthan gum", 1.0: "silica dimethyl silylate"}
#: Common liquids, denser or lighter than most, offered where no line is, by `outer_phase`.
_LIQUIDS = {0.0: ("glycerin",), 1.0: ("castor oil", "caprylic/capric triglyceride", "squalane")}
_WATERY, _OILY = ("water", "ethanol"), ("oil", "silicone")
_FLOW_LEAVES = ("flow_yield", "flow_consistency", "flow_exponent")
_GRAIN_LEAVES = ("powder_d50", "powder_sigma")


@dataclass(frozen=True, slots=True)
class Powder:
    """One powder of the formula with what is foreseen of it."""

    line: int
    #: Place among the powders.
    column: int
    name: str
    #: Yield stress that holds its coarse tenth. [Pa]
    needed: float
    #: Yield stress over what is needed: value and low end.
    ratio: float
    low: float
    held: float
    #: None where the flow of what does not hold it is not known. [µm/s]
    speed: float | None


def held_times(inputs: Inputs) -> Floats:
    """Return the yield stress over what holds each powder, draws by powders; densities in the middle. [1]"""
    given = inputs.given | evaluate(["material_density"], centre(inputs))
    found = evaluate(["yield_stress", "yield_needed"], given)
    stress, needed = np.atleast_1d(found["yield_stress"])[:, None], np.atleast_2d(found["yield_needed"])
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.where(needed > 0, stress / needed, math.inf))


def centre(inputs: Inputs) -> dict[str, Floats]:
    """Return the inputs with their central values only."""
    return inputs.centre


def coarse_tenth(inputs: Inputs, column: int) -> float | None:
    """Return the coarse tenth of a powder; None where it is not known. [m]"""
    d50, sigma = (centre(inputs)[leaf][column] for leaf in _GRAIN_LEAVES)
    d90 = float(grain_diameter(0.9, d50, sigma))
    return None if math.isnan(d90) else d90


def changed(formula: Formula, line: int, percent: Decimal | None) -> Formula | None:
    """Return the formula with another percent of a line; None where it cannot be."""
    if percent is None:
        return None
    try:
        return adjust(formula, {line: percent})
    except PercentError:
        return None


def more_gel(situation: Situation, powder: Powder, level: Level) -> Iterator[Remedy]:
    """Yield the least raise of each gel line that holds the coarse tenth with a margin; else the least of a new one."""
    formula, inputs = situation.formula, situation.inputs
    if "yield_stress" in formula.measured:
        says = tr("Thicken it and measure again: {stress} Pa hold it with a margin.")
        yield Remedy(says.format(stress=digits(MARGIN * powder.needed, 2)))
        return
    if not formula.adds_up:
        return
    margin, reckoned = _bound(inputs, powder, level)
    offered = False
    for line in inputs.thickener_lines:
        percent = _least_held(formula, reckoned, line, powder.column, margin)
        mended = changed(formula, line, percent) if percent is not None and percent > formula.percents[line] else None
        if percent is None or mended is None:
            continue
        offered = True
        says = tr("Raise {name} to {percent} %: {then}.")
        yield Remedy(says.format(name=_name(formula, line), percent=plain(percent), then=_then(level)), mended)
    if not offered and level != "note":
        grown = with_thickener(situation)
        if grown is None:
            return
        bigger, line = grown
        percent = _least_held(bigger, situation.gathered(bigger), line, powder.column, MARGIN)
        mended = changed(bigger, line, percent)
        if percent and mended is not None:
            says = tr("Add {percent} % {name} to phase {letter}: {then}.").format(
                percent=plain(percent),
                name=_name(bigger, line),
                letter=bigger.phases[-1].letter,
                then=_then(level),
            )
            yield Remedy(says, mended)


def with_thickener(situation: Situation) -> tuple[Formula, int] | None:
    """Return the formula with 1 % of a thickener that its outer phase lacks, and its line; None for none."""
    name = _OFFERED.get(_outer(situation.inputs))
    return None if name is None else _grown(situation, name)


def finer(situation: Situation, powder: Powder, level: Level) -> Iterator[Remedy]:
    """Yield the coarsest grain of the same shape that the yield stress holds with a margin."""
    d90 = coarse_tenth(situation.inputs, powder.column)
    stress = situation.figures["yield_stress"]
    if d90 is None or not powder.needed > 0:
        return
    low = stress.value if stress.low is None else stress.low
    # A grain that was only foreseen and is then measured has no spread left; so only that of the gel counts.
    share = low / powder.needed / LOW_MARGIN if level == "note" else powder.ratio / MARGIN
    yield from ground(situation, powder.line, powder.column, d90 * min(1.0, share), _then(level))


def ground(situation: Situation, line: int, column: int, d90: float, then: str) -> Iterator[Remedy]:
    """Yield the formula with the grain of a powder brought to a coarse tenth, its spread kept. [m]"""
    if d90 < _FINEST or not situation.formula.adds_up:
        return
    now, given = coarse_tenth(situation.inputs, column), centre(situation.inputs)
    # Where only the median is known, two and a half times it is a usual coarse tenth.
    shape = 2.5 if now is None else now / float(given["powder_d50"][column])
    high, middle = down(d90), down(d90 / shape)
    says = tr(
        "Grind or sieve {name} until nine tenths are finer than {high} µm and half finer than {middle} µm: {then}."
    ).format(name=_name(situation.formula, line), high=f"{high * 1e6:.6g}", middle=f"{middle * 1e6:.6g}", then=then)
    yield Remedy(says, regrained(situation.formula, line, Grain(middle, high)))


def down(size: float) -> float:
    """Return a size rounded down to two digits, as one would write it. [m]"""
    micron = size * 1e6
    step = 10.0 ** (math.floor(math.log10(micron)) - 1)
    return round(math.floor(micron / step * (1 + 1e-9)) * step, 6) * 1e-6


def nearer_liquid(situation: Situation, powder: Powder, level: Level) -> Iterator[Remedy]:
    """Yield the least of a denser liquid (a lighter one for what rises) at which the powder stays or hardly moves."""
    formula, inputs = situation.formula, situation.inputs
    outer = _outer(inputs)
    if not formula.adds_up or "yield_stress" in formula.measured or outer not in _LIQUIDS:
        return
    middle = centre(inputs)
    found = evaluate(["liquid_density", "material_density"], middle)
    liquid = float(found["liquid_density"])
    grain = float(found["material_density"][int(middle["powder_pick"][powder.column])])
    margin, reckoned = _bound(inputs, powder, level)
    lines = [(formula, reckoned, line) for line in _liquid_lines(situation, outer) if line != formula.qs]
    for name in _LIQUIDS[outer] if level != "note" else ():
        grown = _grown(situation, name)
        if grown is not None and _within(liquid, density_of(situation.shelf, name).value, grain):
            lines.append((grown[0], situation.gathered(grown[0]), grown[1]))
    for base, its_inputs, line in lines:
        name, added_now = _name(base, line), base is not formula
        if not _within(liquid, density_of(situation.shelf, name).value, grain):
            continue
        least = Decimal(0) if added_now else base.percents[line]
        for then, percent in _still(base, its_inputs, line, powder.column, margin, level):
            mended = changed(base, line, percent)
            if mended is not None and percent > least and _usual(situation.shelf.get(name), percent):
                add = tr("Add {percent} % {name} to phase {letter}, nearer in density to {powder}: {then}.")
                more = tr("Raise {name} to {percent} %, nearer in density to {powder}: {then}.")
                says = (add if added_now else more).format(
                    percent=plain(percent),
                    name=name,
                    letter=base.phases[-1].letter,
                    powder=powder.name,
                    then=then,
                )
                yield Remedy(says, mended)
                break


def _still(
    base: Formula, inputs: Inputs, line: int, column: int, margin: float, level: Level
) -> Iterator[tuple[str, Decimal]]:
    """Yield the percent of a liquid at which a powder is held, then that at which it falls too slowly to matter."""
    percent = _least_held(base, inputs, line, column, margin, step=COARSE)
    if percent:
        yield _then(level), percent
    height = base.container.height if base.container else None
    if height is None or level == "note":
        return
    slowest = height / (MARGIN * (base.keeps or USUAL_LIFE))

    def slow(found: dict[str, Floats]) -> NDArray[np.bool_]:
        with np.errstate(invalid="ignore"):
            return np.asarray(np.abs(found["settling_speed"][..., column]) <= slowest)

    percent = least_change(base, inputs, line, ("settling_speed",), slow, step=COARSE)
    if percent:
        then = tr("then the coarse tenth takes {times} times as long to cross the filling as it should keep")
        yield then.format(times=f"{MARGIN:g}"), percent


def _within(liquid: float, other: float, grain: float) -> bool:
    """Return whether another liquid brings the density of a liquid towards that of a grain."""
    return (other - liquid) * (grain - liquid) > 0


def _liquid_lines(situation: Situation, outer: float) -> Iterator[int]:
    """Yield the lines of liquids that belong in the outer phase."""
    belongs = _WATERY if outer == 0 else _OILY
    left_out = {*situation.inputs.powder_positions, *situation.inputs.thickener_lines}
    for position, _, line, record in situation.lines():
        if record is None or position in left_out or not line.percent:
            continue
        if record.form == "liquid" and record.affinity in belongs:
            yield position


def _usual(record: Material | None, percent: Decimal) -> bool:
    """Return whether a percent is within what is usual of a material, where that is on record."""
    high = record.usual[0].high if record is not None and record.usual else None
    return high is None or float(percent) <= 100 * units.si(high, "share") * (1 + 1e-9)


def _bound(inputs: Inputs, powder: Powder, level: Level) -> tuple[float, Inputs]:
    """Return margin and inputs of a solution: a note asks it of the low end, what is worse of the middle."""
    return (LOW_MARGIN, _at_the_low_end(inputs, powder.column)) if level == "note" else (MARGIN, inputs)


def _then(level: Level) -> str:
    if level == "note":
        low = tr("then even the low end of what is foreseen is {times} times what is needed")
        return low.format(times=f"{LOW_MARGIN:g}")
    return tr("then the yield stress is {times} times what is needed").format(times=f"{MARGIN:g}")


def _least_held(
    formula: Formula, inputs: Inputs, line: int, column: int, margin: float, *, step: Decimal | None = None
) -> Decimal | None:
    def holds(found: dict[str, Floats]) -> NDArray[np.bool_]:
        with np.errstate(invalid="ignore"):
            return np.asarray(found["yield_stress"] >= margin * found["yield_needed"][..., column])

    return least_change(formula, inputs, line, ("yield_stress", "yield_needed"), holds, step=step)


def _at_the_low_end(inputs: Inputs, column: int) -> Inputs:
    """Return the inputs with the flow and grain of the draw at the low end of what holds in the middle's place."""
    times = held_times(inputs)[:, column]
    if times.size < 3:
        return inputs
    draw = 1 + int(np.argsort(times[1:])[int(0.025 * (times.size - 2))])
    leaves = [leaf for leaf in (*_FLOW_LEAVES, *_GRAIN_LEAVES) if leaf in inputs.drawn]
    return replace(inputs, given=inputs.given | {leaf: inputs.given[leaf][draw][None] for leaf in leaves})


def _grown(situation: Situation, name: str) -> tuple[Formula, int] | None:
    """Return the formula with 1 % of a material that it lacks, and the line of that; None where it cannot be."""
    formula, shelf = situation.formula, situation.shelf
    if name not in shelf or any(shelf.key(line.material) == name for _, line in formula.lines()):
        return None
    grown = added(formula, shelf, name, Decimal(1))
    if grown is None:
        return None
    return grown, next(i for i, (_, one) in enumerate(grown.lines()) if shelf.key(one.material) == name)


def _outer(inputs: Inputs) -> float:
    return float(inputs.central("outer_phase")["outer_phase"])


def _name(formula: Formula, line: int) -> str:
    return [one.material for _, one in formula.lines()][line]
