"""Does a wash hold as much surfactant as it should, is it mild, and does salt thicken it or thin it?"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

import numpy as np

from levigate.formula.model import plain
from levigate.quantities.saying import digits
from levigate.review.blends import centre, set_lines, up
from levigate.review.changes import added
from levigate.review.findings import Finding, Level, Remedy, Situation, rule
from levigate.shelf.washing import washes
from levigate.solve.nearest import least_change
from levigate.words import tr

#: How far outside what is usual it is more than a matter of taste. [1]
_FAR_BELOW, _FAR_ABOVE = 0.6, 1.5
#: How far inside a remedy goes. [1]
_INSIDE = 1.05
#: Amphoteric to anionic from which sulfates are taken to be milder, and what a remedy goes to. [%]
_MILDER, _MILD = 25.0, 33.0
#: Salt from which the peak of the salt curve may be passed, and what a remedy goes to. [1]
_PAST_PEAK, _BEFORE_PEAK = 0.03, 0.015
#: Salt that a person adds, as a line of its own, from which the salt curve is spoken of. [%]
_ADDED = Decimal("0.2")
_BETAINE = "cocamidopropyl betaine 30 %"
#: INCI words of anionic surfactants whose rods grow with salt.
_SALT_THICKENS = ("laureth sulfate", "lauryl sulfate", "myreth sulfate", "coco-sulfate")
_SALT = ("sodium chloride", "maris sal", "sea salt")


def _surfactants(situation: Situation) -> list[int]:
    """Return positions of the lines that bring surfactant."""
    brings = situation.inputs.given["line_charge"].any(-1)
    return [situation.inputs.positions[i] for i in np.flatnonzero(brings)]


@rule("active-matter", sources=("common-practice",))
def active_matter_is_usual(situation: Situation) -> Iterator[Finding]:
    """Too little surfactant does not wash or foam, too much strips the skin and costs; the percent as sold misleads."""
    figure = situation.figures.get("active_matter")
    usual = washes().get(situation.use.name) if situation.use is not None else None
    if figure is None or usual is None or not figure.known or not situation.formula.adds_up:
        return
    active = figure.value
    if usual.low * (1 - 1e-9) <= active <= usual.high * (1 + 1e-9):
        return
    little = active < usual.low
    far = active < _FAR_BELOW * usual.low or active > _FAR_ABOVE * usual.high
    aim = usual.low * _INSIDE if little else usual.high / _INSIDE
    lines = _surfactants(situation)
    title = tr("{percent} % active matter is little") if little else tr("{percent} % active matter is much")
    yield Finding(
        "active-matter",
        "care" if far else "note",
        title.format(percent=digits(active, 3)),
        tr("Usual are {low} to {high} % of surfactant itself, without the water it is sold in.").format(
            low=f"{usual.low:g}", high=f"{usual.high:g}"
        ),
        usual.source,
        lines=tuple(lines),
        remedies=tuple(_scaled(situation, lines, aim / active, aim)),
    )


def _scaled(situation: Situation, lines: list[int], factor: float, aim: float) -> Iterator[Remedy]:
    formula = situation.formula
    names = [line.material for _, line in formula.lines()]
    if formula.qs in lines:
        return
    new = {line: Decimal(factor * float(formula.percents[line])).quantize(Decimal("0.01")) for line in lines}
    mended = set_lines(formula, new)
    if mended is not None:
        said = ", ".join(f"{names[line]} {plain(percent)} %" for line, percent in new.items())
        says = tr("In the same proportions: {lines}; that is {percent} % active matter.")
        yield Remedy(says.format(lines=said, percent=digits(aim, 3)), mended)


@rule("mildness", sources=("common-practice",))
def sulfates_are_softened(situation: Situation) -> Iterator[Finding]:
    """Sulfates by themselves strip skin; an amphoteric beside them makes mixed micelles that do less.

    A rule of thumb, no measure of mildness.
    """
    figure = situation.figures.get("amphoteric_per_anionic")
    if figure is None or not figure.known or not situation.formula.adds_up or figure.value >= _MILDER:
        return
    harsh = _harsh(situation)
    if not harsh:
        return
    yield Finding(
        "mildness",
        "note",
        tr("The sulfates have {percent} % of their mass of amphoteric beside them").format(
            percent=digits(figure.value, 2)
        ),
        tr("A third or more makes them milder, by a rule of thumb; only a use test tells how a skin takes it."),
        "common-practice",
        lines=tuple(harsh),
        remedies=tuple(_softened(situation)),
    )


def _harsh(situation: Situation) -> list[int]:
    """Return positions of lines with anionic surfactant that is not known as mild."""
    inputs, contents = situation.inputs, situation.inputs.contents
    if contents is None:
        return []
    found = []
    for i, key in enumerate(contents.keys):
        record = contents.records[key]
        if record is not None and inputs.given["line_charge"][i, 0] > 0 and "mild cleansing" not in record.does:
            found.append(inputs.positions[i])
    return found


def _softened(situation: Situation) -> Iterator[Remedy]:
    formula, inputs, shelf = situation.formula, situation.inputs, situation.shelf
    names = [line.material for _, line in formula.lines()]
    for i in np.flatnonzero(inputs.given["line_charge"][:, 1] > 0):
        line = inputs.positions[int(i)]
        percent = least_change(
            formula, inputs, line, ("amphoteric_per_anionic",),
            lambda found: found["amphoteric_per_anionic"] >= _MILD / 100,
        )  # fmt: skip
        mended = set_lines(formula, {line: percent}) if percent is not None else None
        if percent is not None and mended is not None:
            says = tr("Raise {name} to {percent} %: a third of the anionic.")
            yield Remedy(says.format(name=names[line], percent=plain(percent)), mended)
            return
    record = shelf.get(_BETAINE)
    if record is None or not record.solids:
        return
    given = centre(inputs)
    anionic = float(given["mass_fraction"] * given["line_active"] @ given["line_charge"][:, 0])
    letter = [phase.letter for phase, _ in formula.lines()][_harsh(situation)[0]]
    percent = up(100 * anionic * (_MILD + 1) / 100 / record.solids[0].si("share"))
    mended = added(formula, shelf, _BETAINE, percent, letter=letter)
    if mended is not None:
        says = tr("Add {percent} % {name} to phase {letter}: a third of the anionic.")
        yield Remedy(says.format(percent=plain(percent), name=_BETAINE, letter=letter), mended)


@rule("salt-curve", sources=("common-practice",))
def salt_thickens_up_to_a_peak(situation: Situation) -> Iterator[Finding]:
    """Salt grows the rods of sulfate micelles until they branch: a wash thickens to a peak, then thins and clouds.

    It works for lauryl and laureth sulfates, best with a betaine; not for glucosides, glutamates and other mild ones.
    """
    figure = situation.figures.get("salt_share")
    lines = [
        position for position, _, line, record in situation.lines()
        if record is not None and record.inci.casefold() in _SALT and line.percent >= _ADDED
    ]  # fmt: skip
    if figure is None or not figure.known or not situation.formula.adds_up or not lines:
        return
    percent = digits(figure.value, 2)
    if not _thickens(situation):
        yield Finding(
            "salt-curve",
            "note",
            tr("Salt does not thicken this wash"),
            tr(
                "It works on lauryl and laureth sulfates; of those there are too few here. Salt is {percent} % in all, "
                "with what the surfactants bring along."
            ).format(percent=percent),
            "common-practice",
            lines=tuple(lines),
            remedies=(Remedy(tr("Leave the salt out and thicken with a gum; a trial of 50 g tells.")),),
        )
        return
    level: Level = "care" if figure.value > 100 * _PAST_PEAK else "note"
    title = tr("The salt may be past its peak") if level == "care" else tr("Salt thickens up to a peak")
    remedies = [
        *(_less_salt(situation, lines) if level == "care" else ()),
        Remedy(
            tr(
                "Take 50 g without salt and add 0.2 % at a time, stirring, until it stops thickening; stay one step "
                "below."
            )
        ),
    ]
    yield Finding(
        "salt-curve",
        level,
        title,
        tr(
            "Salt is {percent} % in all, with what the surfactants bring along. The peak is near 1 to 3 % (rule of "
            "thumb); past it a wash thins and clouds in the cold."
        ).format(percent=percent),
        "common-practice",
        lines=tuple(lines),
        remedies=tuple(remedies),
    )


def _thickens(situation: Situation) -> bool:
    """Return whether sulfates are at least a third of the active matter."""
    contents = situation.inputs.contents
    if contents is None:
        return False
    whole = {name: float(share) for name, share in zip(contents.substances, contents.whole(), strict=True)}
    sulfate = sum(
        share for name, share in whole.items()
        if (record := contents.records[name]) is not None
        and any(word in record.inci.casefold() for word in _SALT_THICKENS)
    )  # fmt: skip
    active = situation.figures["active_matter"]
    return active.known and 100 * sulfate >= active.value / 3


def _less_salt(situation: Situation, lines: list[int]) -> Iterator[Remedy]:
    formula, inputs = situation.formula, situation.inputs
    names = [line.material for _, line in formula.lines()]
    percent = least_change(
        formula, inputs, lines[0], ("salt_share",), lambda found: found["salt_share"] <= _BEFORE_PEAK
    )
    mended = set_lines(formula, {lines[0]: percent}) if percent is not None else None
    if percent is not None and mended is not None:
        says = tr("Lower {name} to {percent} %: {share} % in all.")
        yield Remedy(says.format(name=names[lines[0]], percent=plain(percent), share=f"{100 * _BEFORE_PEAK:g}"), mended)
