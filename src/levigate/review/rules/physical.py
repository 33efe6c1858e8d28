"""Does it stay mixed, does it pour, does it feel smooth?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from levigate.errors import PercentError
from levigate.formula.model import plain
from levigate.formula.percent import adjust
from levigate.quantities.graph import Floats
from levigate.quantities.saying import digits
from levigate.review.findings import Finding, Level, Remedy, Situation, rule
from levigate.solve.nearest import least_change

#: How far past the bound a remedy goes, so that it clears the finding and not just touches it.
MARGIN = 1.5
#: Powders' volume over closest packing from which a product is a paste, and from which a stiff solid (rules of thumb).
_PASTE, _STIFF, _EASY = 0.7, 0.9, 0.6
#: Grain of the coarse tenth from which a leave-on may feel gritty, and from which most people feel it. [µm]
_GRITTY, _SURELY_GRITTY = 25.0, 50.0
#: Shelf life where the formula does not say how long it should keep. [s]
_YEAR = 31557600.0


@dataclass(frozen=True, slots=True)
class _Powder:
    """One powder of the formula with what is foreseen of it."""

    line: int
    name: str
    needed: float
    #: Yield stress over what is needed: value, low and high end.
    ratio: tuple[float, float, float]
    held: float
    speed: float


def _powders(situation: Situation) -> list[_Powder] | None:
    """Return the powders with what is foreseen of them; None where flow or grain is not known."""
    figures = situation.figures
    wanted = [figures.get(name) for name in ("yield_needed", "held_share", "settling_speed", "yield_stress")]
    if any(figure is None or not figure.known for figure in wanted):
        return None
    needed, held, speed, stress = (figure for figure in wanted if figure is not None)
    positions = situation.inputs.powder_positions
    ends = (
        stress.value,
        stress.value if stress.low is None else stress.low,
        stress.value if stress.high is None else stress.high,
    )
    found = []
    for position, need, share, fall in zip(positions, needed.rows, held.rows, speed.rows, strict=True):
        value, low, high = (end / need.value if need.value > 0 else math.inf for end in ends)
        found.append(_Powder(position, need.name, need.value, (value, low, high), share.value, fall.value))
    return found


@rule("settling", sources=("Beris-1985", "Stokes-1851"))
def powders_stay_where_they_are(situation: Situation) -> Iterator[Finding]:
    """A grain stays put where the yield stress at rest outweighs it; else it sinks or rises and the jar ends uneven."""
    if not situation.inputs.powder_positions:
        return
    powders = _powders(situation)
    if powders is None:
        yield _not_known(situation)
        return
    height = situation.formula.container.height if situation.formula.container else None
    for powder in powders:
        value, low, _ = powder.ratio
        if low >= 1:
            continue
        stress = situation.figures["yield_stress"]
        moves = "rises" if powder.speed < 0 else "settles"
        why = (
            f"The yield stress is {stress.say()}, the coarse tenth needs {digits(powder.needed, 2)} Pa; "
            f"{powder.held:.0f} % of its mass is held."
        )
        if value >= 1:
            yield Finding(
                "settling", "note", f"{powder.name} may not stay up",
                f"{why} The spread reaches below what is needed: a slump or bead test on the product would tell.",
                "Beris-1985", "", (powder.line,), tuple(_gel_remedies(situation, powder)),
            )  # fmt: skip
            continue
        level, time = _how_soon(situation, powder, height)
        yield Finding("settling", level, f"{powder.name} {moves}{time}", why, "Beris-1985", "", (powder.line,),
                      (*_gel_remedies(situation, powder), *_grind(situation, powder)))  # fmt: skip


def _not_known(situation: Situation) -> Finding:
    missing = next(
        figure.unknown
        for name in ("yield_needed", "yield_stress", "held_share", "settling_speed")
        if (figure := situation.figures.get(name)) is not None and not figure.known
    )
    return Finding(
        "settling", "care", "Whether the powder stays up is not known", f"{missing[:1].upper()}{missing[1:]}",
        "Beris-1985", lines=situation.inputs.powder_positions,
    )  # fmt: skip


def _how_soon(situation: Situation, powder: _Powder, height: float | None) -> tuple[Level, str]:
    """Return the level and how soon the coarse tenth has fallen through the filling, where its height is known."""
    if height is None or powder.speed == 0:
        return "care", ""
    seconds = height / (abs(powder.speed) * 1e-6)
    keeps = situation.formula.keeps or _YEAR
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


def _gel_remedies(situation: Situation, powder: _Powder) -> Iterator[Remedy]:
    """Yield the least raise of each gel line that holds the coarse tenth with a margin."""
    formula, inputs = situation.formula, situation.inputs
    if not formula.adds_up or len(inputs.materials) != len(formula.percents):
        return
    column = inputs.powder_positions.index(powder.line)

    def holds(found: dict[str, Floats]) -> NDArray[np.bool_]:
        with np.errstate(invalid="ignore"):
            return np.asarray(found["yield_stress"] >= MARGIN * found["yield_needed"][..., column])

    for line in inputs.thickener_lines:
        percent = least_change(formula, inputs, line, ("yield_stress", "yield_needed"), holds)
        if percent is None or percent <= formula.percents[line]:
            continue
        name = [one.material for _, one in formula.lines()][line]
        try:
            mended = adjust(formula, {line: percent})
        except PercentError:
            continue
        yield Remedy(
            f"Raise {name} to {plain(percent)} %: then the yield stress is {MARGIN:g} times what is needed.", mended
        )


def _grind(situation: Situation, powder: _Powder) -> Iterator[Remedy]:
    stress = situation.figures["yield_stress"].value
    grain = [line.grain for _, line in situation.formula.lines()][powder.line]
    if stress > 0 and grain is not None and grain.d90 is not None:
        finer = grain.d90 * 1e6 * stress / (MARGIN * powder.needed)
        yield Remedy(f"Grind or sieve {powder.name} until nine tenths are finer than {digits(finer, 2)} µm.")


@rule("paste", sources=("Krieger-Dougherty-1959", "common-practice"))
def there_is_liquid_enough(situation: Situation) -> Iterator[Finding]:
    """Near closest packing a powder in liquid stops flowing: a stiff solid that no stirring wets."""
    figure = situation.figures.get("crowding")
    if figure is None or not figure.known or figure.value < 100 * _PASTE:
        return
    stiff = figure.value >= 100 * _STIFF
    yield Finding(
        "paste", "stop" if stiff else "care", "A stiff solid results" if stiff else "A paste results",
        f"The powders fill {figure.value:.0f} % of the room in which they would touch; a paste begins at about 70 %.",
        "common-practice", lines=situation.inputs.powder_positions, remedies=tuple(_less_powder(situation)),
    )  # fmt: skip


def _less_powder(situation: Situation) -> Iterator[Remedy]:
    formula, inputs = situation.formula, situation.inputs
    if not formula.adds_up or len(inputs.materials) != len(formula.percents):
        return
    for line in inputs.powder_positions:
        percent = least_change(formula, inputs, line, ("crowding",), lambda found: found["crowding"] <= _EASY)
        if percent is not None and percent < formula.percents[line]:
            name = [one.material for _, one in formula.lines()][line]
            yield Remedy(
                f"Lower {name} to {plain(percent)} %: then they fill {100 * _EASY:.0f} %.",
                adjust(formula, {line: percent}),
            )


@rule("grit", sources=("common-practice",))
def it_feels_smooth(situation: Situation) -> Iterator[Finding]:
    """Coarse grains are felt: from about 25 µm by a rule of thumb; for skin no threshold was found in print."""
    if situation.use is not None and not situation.use.leave_on:
        return
    for position, line in enumerate(line for _, line in situation.formula.lines()):
        if position not in situation.inputs.powder_positions or line.grain is None or line.grain.d90 is None:
            continue
        coarse = line.grain.d90 * 1e6
        if coarse <= _GRITTY:
            continue
        sure = coarse > _SURELY_GRITTY
        yield Finding(
            "grit", "care" if sure else "note", f"{line.material} {'feels' if sure else 'may feel'} gritty",
            f"A tenth of it is coarser than {digits(coarse, 3)} µm; about 25 µm is where grit begins to be felt "
            "(rule of thumb).", "common-practice", lines=(position,),
            remedies=(Remedy(f"Grind or sieve {line.material} until nine tenths are finer than 25 µm."),),
        )  # fmt: skip


@rule("air", sources=("definition",))
def little_air_is_whipped_in(situation: Situation) -> Iterator[Finding]:
    """A measured density below the computed one is air: it lowers the fill, feeds oxidation and rises in the jar."""
    figure = situation.figures.get("air_share")
    if figure is None or not figure.known or figure.value < 2:
        return
    yield Finding(
        "air", "care", f"About {digits(figure.value, 2)} % of it is air",
        "The density measured on the product is below that of its materials.", "definition",
        remedies=(Remedy("Stir slower with the blade under the surface, let it stand or draw a vacuum; fill by weight."),),
    )  # fmt: skip
