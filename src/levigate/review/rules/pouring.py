"""Can the container give it out, and hold it back?"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

from levigate.formula.model import Formula, plain
from levigate.quantities.graph import Floats
from levigate.quantities.inputs import Inputs
from levigate.quantities.saying import digits
from levigate.review.findings import Finding, Level, Remedy, Situation, rule
from levigate.review.holding import changed, with_thickener
from levigate.solve.nearest import least_change

#: How far inside the range of the container a remedy goes.
MARGIN = 1.5
_THINNER = f"then it is {MARGIN:g} times thinner than the most that comes out"
_THICKER = f"then it is {MARGIN:g} times thicker than the least that stays inside"


@rule("dispensing", sources=("common-practice", "memory"))
def the_container_can_give_it_out(situation: Situation) -> Iterator[Finding]:
    """A pump, dropper or tube passes a range of thickness; too thick it stays inside, too thin it runs out."""
    container, figure = situation.formula.container, situation.figures.get("thickness")
    if container is None or figure is None or not figure.known:
        return
    least, most = container.pours
    low, high = (figure.value if end is None else end for end in (figure.low, figure.high))
    said = f"Squeezed slowly it is {figure.say()}; a {container.kind} gives out"
    if most is not None and figure.value > most:
        level: Level = "care" if low > most else "note"
        yield Finding(
            "dispensing", level, f"Too thick for the {container.kind}",
            f"{said} up to {digits(most, 2)} Pa.s.", "memory",
            remedies=(*_nearer(situation, lambda x: x <= most / MARGIN, _THINNER), _another("a jar or a tube")),
        )  # fmt: skip
    elif least is not None and figure.value < least:
        level = "care" if high < least else "note"
        yield Finding(
            "dispensing", level, f"Too thin for the {container.kind}",
            f"{said} what is thicker than {digits(least, 2)} Pa.s.", "memory",
            remedies=(*_nearer(situation, lambda x: x >= MARGIN * least, _THICKER), _another("a dropper or a pump")),
        )  # fmt: skip


def _another(what: str) -> Remedy:
    return Remedy(f"Choose {what}; or measure the thickness: what is foreseen here has a wide spread.")


def _nearer(situation: Situation, holds: Callable[[Floats], NDArray[np.bool_]], then: str) -> Iterator[Remedy]:
    """Yield the least change of each thickener and powder that brings the thickness inside, with a margin."""
    formula, inputs = situation.formula, situation.inputs
    if not formula.adds_up or "viscosity" in formula.measured:
        return
    offered = False
    for line in dict.fromkeys((*inputs.thickener_lines, *inputs.powder_positions)):
        percent = _least(formula, inputs, line, holds)
        if percent is None or percent == formula.percents[line]:
            continue
        mended = changed(formula, line, percent)
        if mended is not None:
            offered = True
            name = [one.material for _, one in formula.lines()][line]
            yield Remedy(f"Set {name} to {plain(percent)} %: {then}.", mended)
    grown = None if offered else with_thickener(situation)
    if grown is None:
        return
    bigger, line = grown
    percent = _least(bigger, situation.gathered(bigger), line, holds)
    mended = changed(bigger, line, percent)
    if percent and mended is not None:
        name = [one.material for _, one in bigger.lines()][line]
        yield Remedy(f"Add {plain(percent)} % {name} to phase {bigger.phases[-1].letter}: {then}.", mended)


def _least(formula: Formula, inputs: Inputs, line: int, holds: Callable[[Floats], NDArray[np.bool_]]) -> Decimal | None:
    def judged(found: dict[str, Floats]) -> NDArray[np.bool_]:
        with np.errstate(invalid="ignore"):
            return np.asarray(holds(found["thickness"]))

    return least_change(formula, inputs, line, ("thickness",), judged)
