"""Does it stay mixed, does it pour, does it feel smooth?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

from levigate.errors import PercentError
from levigate.formula.model import USUAL_LIFE, Formula, plain
from levigate.formula.percent import adjust
from levigate.quantities.graph import Floats, evaluate
from levigate.quantities.inputs import Inputs, gather
from levigate.quantities.saying import digits
from levigate.review.changes import added
from levigate.review.findings import Finding, Level, Remedy, Situation, rule
from levigate.science.grain import grain_diameter
from levigate.science.suspension import yield_stress_to_hold
from levigate.solve.nearest import least_change

#: How far past the bound a remedy goes, so that it clears the finding and not just touches it; the same where it is the
#: low end of what is foreseen that must pass.
MARGIN, LOW_MARGIN = 1.5, 1.1
#: Powders' volume over closest packing from which a product is a paste, and from which a stiff solid (rules of thumb).
_PASTE, _STIFF, _EASY = 0.7, 0.9, 0.6
#: Liquid in the room between touching grains below which they are a powder to dust or press, not a stiff solid. [1]
_DAMP = 0.5
#: Grain of the coarse tenth from which a leave-on may feel gritty, and from which most people feel it. [µm]
_GRITTY, _SURELY_GRITTY = 25.0, 50.0
#: Coarse tenth over median that hardly any powder passes: a geometric standard deviation of 6. [1]
_WIDEST = 10.0
#: Air from which it matters; below, computed densities are not good enough to tell. [%]
_AIRY = 2.0
#: What holds grains up, offered where no line does, by `outer_phase`.
_OFFERED = {0.0: "xanthan gum", 1.0: "silica dimethyl silylate"}
_FLOW_LEAVES = ("flow_yield", "flow_consistency", "flow_exponent")


@dataclass(frozen=True, slots=True)
class _Powder:
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


def _powders(situation: Situation) -> list[_Powder] | None:
    """Return the powders with what is foreseen of them; None where the yield stress or a grain is not known."""
    figures = situation.figures
    needed, held, stress = (figures[name] for name in ("yield_needed", "held_share", "yield_stress"))
    if not (needed.known and held.known and stress.known):
        return None
    speed = figures["settling_speed"]
    low = stress.value if stress.low is None else stress.low
    found = []
    for column, position in enumerate(situation.inputs.powder_positions):
        need = needed.rows[column]
        value, least = (end / need.value if need.value > 0 else math.inf for end in (stress.value, low))
        fall = speed.rows[column].value if speed.known else None
        found.append(_Powder(position, column, need.name, need.value, value, least, held.rows[column].value, fall))
    return found


@rule("settling", sources=("Beris-1985", "Stokes-1851"))
def powders_stay_where_they_are(situation: Situation) -> Iterator[Finding]:
    """A grain stays put where the yield stress at rest outweighs it; else it sinks or rises and the jar ends uneven."""
    if not situation.inputs.powder_positions or _touching(situation):
        return
    powders = _powders(situation)
    if powders is None:
        if not _held_however_wide(situation):
            yield _not_known(situation)
        return
    for powder in powders:
        if powder.low >= 1:
            continue
        why = (
            f"The yield stress is {situation.figures['yield_stress'].say()}, the coarse tenth needs "
            f"{digits(powder.needed, 2)} Pa; {powder.held:.0f} % of its mass is held."
        )
        level: Level = "note"
        if powder.ratio >= 1:
            title = f"{powder.name} may not stay up"
            why += " The spread reaches below what is needed: a slump or bead test on the product would tell."
        else:
            level, time = _how_soon(situation, powder)
            title = f"{powder.name} {'rises' if powder.speed is not None and powder.speed < 0 else 'settles'}{time}"
        remedies = (*_gel_remedies(situation, powder, level), *_grind(situation, powder, level))
        yield Finding("settling", level, title, why, "Beris-1985", "", (powder.line,), remedies)


def _touching(situation: Situation) -> bool:
    """Return whether the grains fill the room in which they touch, so that none can move."""
    crowding = situation.figures["crowding"]
    return crowding.known and crowding.value >= 100


def _held_however_wide(situation: Situation) -> bool:
    """Return whether grains `_WIDEST` times as coarse as the median are held, whatever the coarse tenth is."""
    stress, given = situation.figures["yield_stress"], _centre(situation.inputs)
    if not stress.known or np.isnan(given["powder_d50"]).any():
        return False
    liquid = evaluate(["liquid_density"], given)["liquid_density"]
    density = given["material_density"][given["powder_pick"].astype(int)]
    needed = yield_stress_to_hold(_WIDEST * given["powder_d50"], density, liquid)
    return bool((needed <= (stress.value if stress.low is None else stress.low)).all())


def _not_known(situation: Situation) -> Finding:
    needed = situation.figures["yield_needed"]
    missing = next(
        figure.unknown
        for name in ("yield_needed", "yield_stress", "held_share")
        if not (figure := situation.figures[name]).known
    )
    why = f"{missing[:1].upper()}{missing[1:]}"
    if needed.known:
        why += f" The coarse tenth needs {', '.join(f'{digits(row.value, 2)} Pa ({row.name})' for row in needed.rows)}."
    return Finding(
        "settling", "care", "Whether the powder stays up is not known", why, "Beris-1985",
        lines=situation.inputs.powder_positions,
    )  # fmt: skip


def _how_soon(situation: Situation, powder: _Powder) -> tuple[Level, str]:
    """Return the level and how soon the coarse tenth has fallen through the filling, where its height is known."""
    height = situation.formula.container.height if situation.formula.container else None
    if height is None or not powder.speed:
        return "care", ""
    seconds = height / (abs(powder.speed) * 1e-6)
    keeps = situation.formula.keeps or USUAL_LIFE
    said = _lasting(seconds)
    return ("stop" if seconds < keeps / 12 else "care" if seconds < keeps else "note"), f" within {said}"


def _lasting(seconds: float) -> str:
    for size, word in (
        (31557600.0, "years"),
        (2629800.0, "months"),
        (86400.0, "days"),
        (3600.0, "hours"),
        (60.0, "minutes"),
    ):
        if seconds >= 2 * size:
            return f"{seconds / size:.2g} {word}"
    return f"{seconds:.2g} seconds"


def _gel_remedies(situation: Situation, powder: _Powder, level: Level) -> Iterator[Remedy]:
    """Yield the least raise of each gel line that holds the coarse tenth with a margin."""
    formula, inputs = situation.formula, situation.inputs
    if "yield_stress" in formula.measured:
        yield Remedy(f"Thicken it and measure again: {digits(MARGIN * powder.needed, 2)} Pa hold it with a margin.")
        return
    if not formula.adds_up:
        return
    # A note is cleared where even the low end of what is foreseen holds, anything worse where the middle does.
    margin = LOW_MARGIN if level == "note" else MARGIN
    said = "even the low end of what is foreseen" if level == "note" else "the yield stress"
    reckoned = _at_the_low_end(inputs) if level == "note" else inputs
    offered = False
    for line in inputs.thickener_lines:
        percent = _least_gel(formula, reckoned, line, powder.column, margin)
        mended = _set(formula, line, percent) if percent is not None and percent > formula.percents[line] else None
        if percent is None or mended is None:
            continue
        offered = True
        name = [one.material for _, one in formula.lines()][line]
        yield Remedy(f"Raise {name} to {plain(percent)} %: then {said} is {margin:g} times what is needed.", mended)
    if not offered and level != "note":
        yield from _addition(situation, powder)


def _least_gel(formula: Formula, inputs: Inputs, line: int, column: int, margin: float) -> Decimal | None:
    def holds(found: dict[str, Floats]) -> NDArray[np.bool_]:
        with np.errstate(invalid="ignore"):
            return np.asarray(found["yield_stress"] >= margin * found["yield_needed"][..., column])

    return least_change(formula, inputs, line, ("yield_stress", "yield_needed"), holds)


def _at_the_low_end(inputs: Inputs) -> Inputs:
    """Return the inputs with the flow curves of the draw at the low end of the yield stress in the middle's place."""
    stress = evaluate(["yield_stress"], inputs.given)["yield_stress"]
    if stress.size < 2:
        return inputs
    draw = 1 + int(np.argsort(stress[1:])[int(0.025 * (stress.size - 2))])
    return replace(inputs, given=inputs.given | {leaf: inputs.given[leaf][draw][None] for leaf in _FLOW_LEAVES})


def _set(formula: Formula, line: int, percent: Decimal) -> Formula | None:
    try:
        return adjust(formula, {line: percent})
    except PercentError:
        return None


def _addition(situation: Situation, powder: _Powder) -> Iterator[Remedy]:
    """Yield the least of a thickener, not yet in the formula, that holds the coarse tenth with a margin."""
    formula, shelf = situation.formula, situation.shelf
    name = _OFFERED.get(float(evaluate(["outer_phase"], _centre(situation.inputs))["outer_phase"]))
    if name is None or name not in shelf or any(shelf.key(line.material) == name for _, line in formula.lines()):
        return
    grown = added(formula, shelf, name, Decimal(1))
    if grown is None:
        return
    (line,) = (i for i, (_, one) in enumerate(grown.lines()) if shelf.key(one.material) == name)
    percent = _least_gel(grown, gather(grown, shelf, draws=0), line, powder.column, MARGIN)
    mended = _set(grown, line, percent) if percent else None
    if percent and mended is not None:
        yield Remedy(
            f"Add {plain(percent)} % {name} to phase {grown.phases[-1].letter}: then the yield stress is {MARGIN:g} "
            "times what is needed.", mended,
        )  # fmt: skip


def _centre(inputs: Inputs) -> dict[str, Floats]:
    return {name: array[0] if name in inputs.drawn else array for name, array in inputs.given.items()}


def _grind(situation: Situation, powder: _Powder, level: Level) -> Iterator[Remedy]:
    d90 = _coarse(situation, powder.column)
    ratio = powder.low / LOW_MARGIN if level == "note" else powder.ratio / MARGIN
    if ratio > 0 and d90 is not None:
        yield Remedy(f"Grind or sieve {powder.name} until nine tenths are finer than {digits(d90 * ratio, 2)} µm.")


def _coarse(situation: Situation, column: int) -> float | None:
    """Return the coarse tenth of a powder; None where it is not known. [µm]"""
    given = situation.inputs.given
    d90 = 1e6 * float(grain_diameter(0.9, given["powder_d50"][column], given["powder_sigma"][column]))
    return None if math.isnan(d90) else d90


@rule("paste", sources=("Krieger-Dougherty-1959", "common-practice"))
def there_is_liquid_enough(situation: Situation) -> Iterator[Finding]:
    """Near closest packing a powder in liquid stops flowing: a stiff solid that no stirring wets."""
    figure, solid = situation.figures.get("crowding"), situation.figures.get("solid_fraction")
    if figure is None or solid is None or not figure.known or figure.value < 100 * _PASTE:
        return
    volume, packing = solid.value / 100, solid.value / figure.value
    wet = (1 - volume) / volume * packing / (1 - packing)
    if wet < _DAMP:  # a powder to dust or to press, if that is what is meant
        if wet > 1e-9:
            yield Finding(
                "paste", "note", "A damp powder results, not a paste",
                f"The liquid fills {100 * wet:.0f} % of the room between touching grains: to be pressed or dusted on.",
                "common-practice", lines=situation.inputs.powder_positions,
            )  # fmt: skip
        return
    stiff = figure.value >= 100 * _STIFF
    yield Finding(
        "paste", "stop" if stiff else "care", "A stiff solid results" if stiff else "A paste results",
        f"The powders fill {figure.value:.0f} % of the room in which they would touch; a paste begins at about 70 %.",
        "common-practice", lines=situation.inputs.powder_positions, remedies=tuple(_less_powder(situation)),
    )  # fmt: skip


def _less_powder(situation: Situation) -> Iterator[Remedy]:
    formula, inputs = situation.formula, situation.inputs
    for line in inputs.powder_positions:
        percent = least_change(formula, inputs, line, ("crowding",), lambda found: found["crowding"] <= _EASY)
        mended = _set(formula, line, percent) if percent is not None and percent < formula.percents[line] else None
        if percent is not None and mended is not None:
            name = [one.material for _, one in formula.lines()][line]
            yield Remedy(f"Lower {name} to {plain(percent)} %: then they fill {100 * _EASY:.0f} %.", mended)


@rule("grit", sources=("common-practice",))
def it_feels_smooth(situation: Situation) -> Iterator[Finding]:
    """Coarse grains are felt: from about 25 µm by a rule of thumb; for skin no threshold was found in print."""
    if situation.use is not None and not situation.use.leave_on:
        return
    names = [line.material for _, line in situation.formula.lines()]
    for column, position in enumerate(situation.inputs.powder_positions):
        coarse, part = _coarse(situation, column), "A tenth"
        if coarse is None:
            coarse, part = 1e6 * float(situation.inputs.given["powder_d50"][column]), "Half"
        if not coarse > _GRITTY:
            continue
        sure = coarse > _SURELY_GRITTY
        yield Finding(
            "grit", "care" if sure else "note", f"{names[position]} {'feels' if sure else 'may feel'} gritty",
            f"{part} of it is coarser than {digits(coarse, 3)} µm; about 25 µm is where grit begins to be felt "
            "(rule of thumb).", "common-practice", lines=(position,),
            remedies=(Remedy(f"Grind or sieve {names[position]} until nine tenths are finer than 25 µm."),),
        )  # fmt: skip


@rule("air", sources=("definition",))
def little_air_is_whipped_in(situation: Situation) -> Iterator[Finding]:
    """A measured density below the computed one is air: it lowers the fill, feeds oxidation and rises in the jar."""
    figure = situation.figures.get("air_share")
    if figure is None or not figure.known or figure.value < _AIRY or (figure.low is not None and figure.low <= 0):
        return
    yield Finding(
        "air", "care", f"About {digits(figure.value, 2)} % of it is air",
        "The density measured on the product is below that of its materials.", "definition",
        remedies=(Remedy("Stir slower, the blade under the surface; let it stand or draw a vacuum; fill by weight."),),
    )  # fmt: skip
