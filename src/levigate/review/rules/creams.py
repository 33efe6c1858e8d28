"""Do the drops of an emulsion stay where they are?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

from levigate.formula.model import USUAL_LIFE, Formula, plain
from levigate.quantities.graph import Floats
from levigate.quantities.inputs import Inputs
from levigate.quantities.saying import digits
from levigate.review.blends import central, centre, set_lines
from levigate.review.changes import added
from levigate.review.findings import Finding, Level, Remedy, Situation, rule
from levigate.solve.nearest import least_change
from levigate.words import marked, tr

#: Height of the filling where the file does not say. [m]
_USUAL_HEIGHT = 0.05
#: Layer, as a share of the height, from which creaming is seen, and how far a remedy stays below it. [1]
_SEEN, _MARGIN = 0.1, 1.5
_GUM = "xanthan gum"
#: Drops finer than this ask for more than a homogeniser at the bench. [µm]
_FINEST = 0.5


@rule("creaming", sources=("Stokes-1851", "common-practice"))
def the_drops_do_not_cream(situation: Situation) -> Iterator[Finding]:
    """Drops lighter than water rise and gather on top; finer drops or an outer liquid that yields stop them."""
    figure = situation.figures.get("creaming_speed")
    if figure is None or not situation.formula.adds_up:
        return
    inputs = situation.inputs
    known = figure.known
    speed = figure.value * 1e-6 if known else _at_most(inputs)
    height = (situation.formula.container.height if situation.formula.container else None) or _USUAL_HEIGHT
    keeps = situation.formula.keeps or USUAL_LIFE
    if math.isnan(speed) or abs(speed) * keeps < _SEEN * height:
        return
    months = _SEEN * height / abs(speed) / 2629800.0
    level: Level = "note"
    if known and months * 2629800.0 < keeps / 12:
        level = "care"
    size = 1e6 * float(centre(inputs)["drop_diameter"])
    if known:
        title = tr("Drops gather on top {within}") if speed < 0 else tr("Drops gather at the bottom {within}")
    else:
        title = tr("Drops may gather on top") if speed < 0 else tr("Drops may gather at the bottom")
    why = tr("Drops of {size} µm ({stated}) move {distance} mm a day.")
    if not known:
        why = tr(
            "Drops of {size} µm ({stated}) move {distance} mm a day if nothing thickened the liquid around them; its "
            "flow is not known."
        )
    why = why.format(
        size=digits(size, 2),
        stated=tr("as stated")
        if situation.formula.droplets is not None
        else tr("a usual size; it may be a quarter or four times that"),
        distance=digits(abs(speed) * 1e6 * 86400 / 1000, 2),
    )
    early = tr("Drops that merge go faster. Warmth and a spin in a centrifuge show it early.")
    limit = _SEEN * height / keeps
    finer = size * math.sqrt(limit / abs(speed) / _MARGIN)
    remedies = list(_gels(situation, limit)) if known else []
    if finer >= _FINEST:
        says = tr("Shear it finer: drops of {size} µm stay long enough.")
        remedies.append(Remedy(says.format(size=digits(finer, 2))))
    if not remedies:
        remedies.append(
            Remedy(
                tr(
                    "Give the outer liquid a yield stress, with a gum in water or a wax in oil: it holds drops this "
                    "small."
                )
            )
        )
    title = title.format(within=_within(months))
    yield Finding("creaming", level, title, f"{why} {early}", "Stokes-1851", remedies=tuple(remedies))


def _at_most(inputs: Inputs) -> float:
    return float(central(inputs, "creaming_bound")["creaming_bound"])


def _within(months: float) -> str:
    days = months * 30.4375
    for size, within in (
        (365.25, marked("within {n} years")),
        (30.4375, marked("within {n} months")),
        (1.0, marked("within {n} days")),
        (1 / 24, marked("within {n} hours")),
    ):
        if days >= 2 * size:
            return tr(within).format(n=digits(days / size, 2))
    return tr("within an hour")


def _gels(situation: Situation, limit: float) -> Iterator[Remedy]:
    """Yield the least raise of each thickener that stops the drops, else the least of a gum."""
    formula, inputs = situation.formula, situation.inputs
    names = [line.material for _, line in formula.lines()]
    offered = False
    for line in inputs.thickener_lines:
        percent = _least(formula, inputs, line, limit)
        mended = (
            set_lines(formula, {line: percent}) if percent is not None and percent > formula.percents[line] else None
        )
        if percent is not None and mended is not None:
            offered = True
            says = tr("Raise {name} to {percent} %: then the drops stay.")
            yield Remedy(says.format(name=names[line], percent=plain(percent)), mended)
    if offered or float(central(inputs, "emulsion_type")["emulsion_type"]) != 0 or _GUM not in situation.shelf:
        return
    if any(situation.shelf.key(name) == _GUM for name in names):
        return
    letter = [phase.letter for phase, _ in formula.lines()][_watery(inputs)]
    grown = added(formula, situation.shelf, _GUM, Decimal(1), letter=letter)
    if grown is None:
        return
    (line,) = (i for i, (_, one) in enumerate(grown.lines()) if situation.shelf.key(one.material) == _GUM)
    percent = _least(grown, situation.gathered(grown), line, limit)
    mended = set_lines(grown, {line: percent}) if percent else None
    if percent and mended is not None:
        says = tr("Add {percent} % {name} to phase {letter}: then the drops stay.")
        yield Remedy(says.format(percent=plain(percent), name=_GUM, letter=letter), mended)


def _watery(inputs: Inputs) -> int:
    given = centre(inputs)
    return inputs.positions[int((given["mass_fraction"] * given["material_water"]).argmax())]


def _least(formula: Formula, inputs: Inputs, line: int, limit: float) -> Decimal | None:
    def holds(found: dict[str, Floats]) -> NDArray[np.bool_]:
        with np.errstate(invalid="ignore"):
            return np.asarray(np.abs(found["creaming_speed"]) <= limit / _MARGIN)

    return least_change(formula, inputs, line, ("creaming_speed",), holds)
