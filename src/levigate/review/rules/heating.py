"""Do the phases join warm enough, and is the water still there afterwards?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from levigate.formula.model import Formula
from levigate.formula.treatment import TEMPERATURE, treatment
from levigate.quantities.graph import Floats
from levigate.quantities.saying import digits
from levigate.quantities.working import central
from levigate.review.changes import treated
from levigate.review.findings import Finding, Remedy, Situation, rule
from levigate.science.constants import ZERO_CELSIUS
from levigate.words import joined, tr

#: How far above the melting point a remedy aims, and beyond what a phase is not to be heated. [K]
_ABOVE, _NEARLY_BOILING = 3.0, ZERO_CELSIUS + 90
#: A batch that comes to rest at a melting point is there but for its last bits. [K]
_SAME = 1e-6
#: Water lost, as a share of the formula, from which it matters to what is left. [%]
_MATTERS = 1.0


@dataclass(frozen=True, slots=True)
class _Join:
    """One phase joining the batch: who is how warm, and how warm they are together. [K]"""

    place: int
    letter: str
    batch: float
    own: float
    together: float


def _joins(situation: Situation) -> list[_Join]:
    """Return the joins that are not cool-downs, where it is known how warm they are."""
    figure = situation.figures.get("joined_temperature")
    if figure is None or not figure.known:
        return []
    own, joins_at = (central(situation.inputs, name) for name in ("phase_temperature", "phase_joins_at"))
    joined = [row.value + ZERO_CELSIUS for row in figure.rows]
    letters = [name.removeprefix("phase ") for name in situation.inputs.names["phases"]]
    batches = [float(own[0]), *joined]
    return [
        _Join(k, letters[k], batches[k - 1], float(own[k]), batches[k])
        for k in range(1, len(letters))
        if math.isinf(joins_at[k])
    ]


@rule("setting", sources=("heat-balance",))
def what_is_melted_stays_melted(situation: Situation) -> Iterator[Finding]:
    """A phase that joins too cold sets the wax that was melted, in grains and lumps that stirring does not mend."""
    for join in _joins(situation):
        sets = _what_sets(situation, join)
        if not sets:
            continue
        names = [line.material for _, line in situation.formula.lines()]
        each = tr("{name} at {temperature} °C")
        said = joined(
            each.format(name=names[i], temperature=f"{point - ZERO_CELSIUS:.0f}") for i, point in sets.items()
        )
        yield Finding(
            "setting",
            "care",
            tr("What is melted sets when phase {letter} joins, at about {temperature} °C").format(
                letter=join.letter, temperature=f"{join.together - ZERO_CELSIUS:.0f}"
            ),
            tr("It melts: {melts}. A batch of {batch} °C and a phase of {phase} °C meet.").format(
                melts=said, batch=f"{join.batch - ZERO_CELSIUS:.0f}", phase=f"{join.own - ZERO_CELSIUS:.0f}"
            ),
            "heat-balance",
            tr("phase {letter}").format(letter=join.letter),
            tuple(sets),
            (_warmer(situation, join, max(sets.values()) + _ABOVE),),
        )


def _what_sets(situation: Situation, join: _Join) -> dict[int, float]:
    """Return the lines with something that was melted and is not once joined, and their melting points. [K]"""
    inputs = situation.inputs
    line = central(inputs, "melting_line").astype(int)
    phase = central(inputs, "phase_lines")[:, line].argmax(axis=0)
    found: dict[int, float] = {}
    for column, where, point in zip(line, phase, central(inputs, "melting_temperature"), strict=True):
        before = join.own if where == join.place else join.batch
        if where <= join.place and join.together <= point + _SAME and before >= point:
            position = inputs.positions[column]
            found[position] = max(float(point), found.get(position, 0.0))
    return found


def _warmer(situation: Situation, join: _Join, aim: float) -> Remedy:
    """Return by how much the colder of the two is to be heated so that together they come to a temperature."""
    inputs = situation.inputs
    held: Floats = central(inputs, "phase_heat_capacity")
    batch, phase = float(held[: join.place].sum()), float(held[join.place])
    colder = join.own < join.batch
    needed = aim + (batch * (aim - join.batch) / phase if colder else phase * (aim - join.own) / batch)
    place = join.place if colder else 0
    letter = inputs.names["phases"][place].removeprefix("phase ")
    # What comes out is a whole degree, never below what is needed, and what joins is not colder than it aims at.
    degrees = math.ceil(max(needed, aim) - ZERO_CELSIUS - 1e-9)
    if degrees + ZERO_CELSIUS > _NEARLY_BOILING or (not colder and join.place > 1):
        both = tr("Heat both well above {temperature} °C before they are joined.")
        return Remedy(both.format(temperature=f"{aim - ZERO_CELSIUS:.0f}"))
    formula = treated(situation.formula, letter, _heated(situation.formula, letter, degrees))
    delicate = [name for name, bears in _delicate(situation, letter) if bears < degrees + ZERO_CELSIUS]
    if delicate:
        but = tr("Heat phase {letter} to {degrees} °C before they are joined, but add {names} in the cool-down.")
        return Remedy(but.format(letter=letter, degrees=degrees, names=joined(delicate)))
    says = tr("Heat phase {letter} to {degrees} °C before they are joined.")
    return Remedy(says.format(letter=letter, degrees=degrees), formula)


def _heated(formula: Formula, letter: str, degrees: int) -> str:
    """Return how a phase is treated, with another temperature where it names one, else with one more step."""
    how = next(phase.how for phase in formula.phases if phase.letter == letter)
    if treatment(how).heated is not None and (named := list(TEMPERATURE.finditer(how))):
        last = named[-1]
        return f"{how[: last.start()]}{degrees} °C{how[last.end() :]}"
    return f"{how.rstrip('. ;')}; heat to {degrees} °C" if how else f"heat to {degrees} °C"


def _delicate(situation: Situation, letter: str) -> Iterator[tuple[str, float]]:
    for _, phase, line, record in situation.lines():
        if phase.letter == letter and record is not None and record.heat_limit and line.percent > 0:
            yield line.material, record.heat_limit[0].si("temperature")


@rule("water-loss", sources=("common-practice", "Shah-2014"))
def the_water_is_put_back(situation: Situation) -> Iterator[Finding]:
    """Water that evaporates while a phase is hot makes all else stronger, preservatives and acids too."""
    water, share = (situation.figures.get(f"water_evaporated{end}") for end in ("", "_share"))
    if water is None or share is None or not (water.known and share.known) or share.value < _MATTERS:
        return
    yield Finding(
        "water-loss",
        "note",
        tr("About {grams} g of water leaves while it is hot").format(grams=digits(float(f"{water.value:.2g}"), 2)),
        tr(
            "That is {share} of the batch, from an open beaker; not put back, it makes all else so much stronger."
        ).format(share=share.say()),
        "common-practice",
        tr("from {percent} % of the formula").format(percent=f"{_MATTERS:g}"),
        tuple(situation.inputs.positions[i] for i in np.flatnonzero(situation.inputs.given["heated_water"])),
        (
            Remedy(
                tr(
                    "Weigh the beaker before it is heated and before it is joined, and put back hot water to the "
                    "weight."
                )
            ),
            Remedy(tr("Cover the beaker while it is held.")),
        ),
    )
