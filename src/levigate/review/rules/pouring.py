"""Can the container give it out, and hold it back?"""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray

from levigate.errors import PercentError
from levigate.formula.model import plain
from levigate.formula.percent import adjust
from levigate.quantities.graph import Floats
from levigate.quantities.saying import digits
from levigate.review.findings import Finding, Level, Remedy, Situation, rule
from levigate.solve.nearest import least_change

#: How far inside the range of the container a remedy goes.
MARGIN = 1.5


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
            remedies=(*_nearer(situation, lambda x: x <= most / MARGIN), _another("a jar or a tube")),
        )  # fmt: skip
    elif least is not None and figure.value < least:
        level = "care" if high < least else "note"
        yield Finding(
            "dispensing", level, f"Too thin for the {container.kind}",
            f"{said} what is thicker than {digits(least, 2)} Pa.s.", "memory",
            remedies=(*_nearer(situation, lambda x: x >= least * MARGIN), _another("a dropper or pump bottle")),
        )  # fmt: skip


def _another(what: str) -> Remedy:
    return Remedy(f"Choose {what}; or measure the thickness: what is foreseen here has a wide spread.")


def _nearer(situation: Situation, holds: Callable[[Floats], NDArray[np.bool_]]) -> Iterator[Remedy]:
    """Yield the least change of each thickener that brings the thickness inside, with a margin."""
    formula, inputs = situation.formula, situation.inputs
    if not formula.adds_up or len(inputs.materials) != len(formula.percents):
        return

    def judged(found: dict[str, Floats]) -> NDArray[np.bool_]:
        with np.errstate(invalid="ignore"):
            return np.asarray(holds(found["thickness"]))

    for line in inputs.thickener_lines:
        percent = least_change(formula, inputs, line, ("thickness",), judged)
        if percent is None or percent == formula.percents[line]:
            continue
        name = [one.material for _, one in formula.lines()][line]
        try:
            yield Remedy(f"Set {name} to {plain(percent)} %.", adjust(formula, {line: percent}))
        except PercentError:
            continue
