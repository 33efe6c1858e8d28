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
from levigate.words import marked, tr

#: How far inside the range of the container a remedy goes.
MARGIN = 1.5
_THINNER = marked("then it is {times} times thinner than the most that comes out")
_THICKER = marked("then it is {times} times thicker than the least that stays inside")


@rule("dispensing", sources=("common-practice", "memory"))
def the_container_can_give_it_out(situation: Situation) -> Iterator[Finding]:
    """A pump, dropper or tube passes a range of thickness; too thick it stays inside, too thin it runs out."""
    container, figure = situation.formula.container, situation.figures.get("thickness")
    if container is None or figure is None or not figure.known:
        return
    least, most = container.pours
    low, high = (figure.value if end is None else end for end in (figure.low, figure.high))
    kind = tr(container.kind)
    if most is not None and figure.value > most:
        level: Level = "care" if low > most else "note"
        yield Finding(
            "dispensing", level, tr("Too thick for the {container}").format(container=kind),
            tr("Squeezed slowly it is {thickness}; a {container} gives out up to {most} Pa.s.").format(
                thickness=figure.say(), container=kind, most=digits(most, 2)
            ), "memory",
            remedies=(
                *_nearer(situation, lambda x: x <= most / MARGIN, _THINNER),
                Remedy(tr(
                    "Choose a jar or a tube; or measure the thickness: what is foreseen here has a wide spread."
                )),
            ),
        )  # fmt: skip
    elif least is not None and figure.value < least:
        level = "care" if high < least else "note"
        yield Finding(
            "dispensing", level, tr("Too thin for the {container}").format(container=kind),
            tr("Squeezed slowly it is {thickness}; a {container} gives out what is thicker than {least} Pa.s.").format(
                thickness=figure.say(), container=kind, least=digits(least, 2)
            ), "memory",
            remedies=(
                *_nearer(situation, lambda x: x >= MARGIN * least, _THICKER),
                Remedy(tr(
                    "Choose a dropper or a pump; or measure the thickness: what is foreseen here has a wide spread."
                )),
            ),
        )  # fmt: skip


def _nearer(situation: Situation, holds: Callable[[Floats], NDArray[np.bool_]], then: str) -> Iterator[Remedy]:
    """Yield the least change of each thickener and powder that brings the thickness inside, with a margin."""
    formula, inputs = situation.formula, situation.inputs
    if not formula.adds_up or "viscosity" in formula.measured:
        return
    offered, then = False, tr(then).format(times=f"{MARGIN:g}")
    for line in dict.fromkeys((*inputs.thickener_lines, *inputs.powder_positions)):
        percent = _least(formula, inputs, line, holds)
        if percent is None or percent == formula.percents[line]:
            continue
        mended = changed(formula, line, percent)
        if mended is not None:
            offered = True
            name = [one.material for _, one in formula.lines()][line]
            says = tr("Set {name} to {percent} %: {then}.")
            yield Remedy(says.format(name=name, percent=plain(percent), then=then), mended)
    grown = None if offered else with_thickener(situation)
    if grown is None:
        return
    bigger, line = grown
    percent = _least(bigger, situation.gathered(bigger), line, holds)
    mended = changed(bigger, line, percent)
    if percent and mended is not None:
        name = [one.material for _, one in bigger.lines()][line]
        says = tr("Add {percent} % {name} to phase {letter}: {then}.")
        letter = bigger.phases[-1].letter
        yield Remedy(says.format(percent=plain(percent), name=name, letter=letter, then=then), mended)


def _least(formula: Formula, inputs: Inputs, line: int, holds: Callable[[Floats], NDArray[np.bool_]]) -> Decimal | None:
    def judged(found: dict[str, Floats]) -> NDArray[np.bool_]:
        with np.errstate(invalid="ignore"):
            return np.asarray(holds(found["thickness"]))

    return least_change(formula, inputs, line, ("thickness",), judged)
