"""Is the oil held in the water, or the water in the oil, by enough of the right emulsifier?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from levigate.formula.model import plain
from levigate.formula.premix import WATER
from levigate.quantities.saying import digits
from levigate.review import blends
from levigate.review.blends import central, centre, rated_lines, set_lines, up
from levigate.review.changes import added, renamed
from levigate.review.findings import Finding, Level, Remedy, Situation, rule
from levigate.solve.nearest import least_change
from levigate.words import joined, tr

#: Oil from which a product is an emulsion to be judged by HLB; below it oil may be dissolved whole. [1]
_EMULSION = 0.02
#: HLB off by which a blend is as good as one that meets, and by which a remedy is at most off. [1]
_OFF, _NEAR = 1.0, 0.5
#: Emulsifier to oil below which it is too little, may be too little, and what a remedy goes to. [1]
_TOO_LITTLE, _LITTLE, _ENOUGH = 0.05, 0.08, 0.10
#: Emulsifier to oil where there was none. [1]
_FRESH = 0.2
#: Drops by volume at which spheres of one size touch, from which that is near, and what a remedy goes to. [%]
_TOUCH, _CLOSE, _APART = 74.0, 70.0, 68.0
#: HLB from which an emulsifier dissolves oil in water, its least mass per oil, and what a remedy goes to.
_DISSOLVES, _LEAST_RATIO, _GOOD_RATIO = 12.0, 3.0, 4.0
#: Oil below which a clear product is left alone, and ethanol that dissolves it. [1]
_TRACE_OF_OIL, _ETHANOL = 0.0005, 0.4
#: Families in which water is outermost.
_WATERY_USES = ("toner", "body wash", "shampoo", "hair conditioner")


def _oil(situation: Situation) -> float:
    return float(central(situation.inputs, "emulsified_oil")["emulsified_oil"])


def _emulsifier(situation: Situation) -> float:
    return float(central(situation.inputs, "emulsifier_share")["emulsifier_share"])


def _judged(situation: Situation) -> bool:
    """Return whether it is an emulsion and adds up."""
    return situation.inputs.asked.get("required_hlb", False) and situation.formula.adds_up


def _oily_lines(situation: Situation) -> list[int]:
    """Return positions of lines with oil, the largest amount first."""
    given = centre(situation.inputs)
    amount = given["mass_fraction"] * (given["oil_rated"] + given["oil_unrated"])
    return [situation.inputs.positions[i] for i in np.argsort(-amount, kind="stable") if amount[i] > 0]


def _emulsifier_lines(situation: Situation) -> tuple[int, ...]:
    given = situation.inputs.given
    brings = given["emulsifier_rated"] + given["emulsifier_own"]
    return tuple(situation.inputs.positions[i] for i in np.flatnonzero(brings))


def _thickened(situation: Situation) -> bool:
    return any(record is not None and record.kind == "thickener" for _, _, line, record in situation.lines()
               if line.percent > 0)  # fmt: skip


@rule("no-emulsifier", sources=("common-practice",))
def oil_in_water_is_emulsified(situation: Situation) -> Iterator[Finding]:
    """Oil stirred into water parts from it within minutes or days, unless an emulsifier keeps the drops apart."""
    if not _judged(situation) or _emulsifier(situation) > 0 or _clear(situation):
        return
    oil = _oil(situation)
    held = _thickened(situation) or bool(situation.inputs.powder_positions)
    level: Level = "care" if held or oil < _EMULSION else "stop"
    why = tr("Nothing here emulsifies it, so that it floats up.")
    if held:
        why = tr("Nothing here emulsifies it. Gel or powder holds a few percent of oil for a while, as coarse drops.")
    title = tr("{percent} % oil and no emulsifier").format(percent=digits(100 * oil, 2))
    lines = _oily_lines(situation)
    yield Finding(
        "no-emulsifier", level, title, why, "common-practice",
        lines=tuple(lines), remedies=tuple(_first_emulsifier(situation, oil, lines[0])),
    )  # fmt: skip


def _first_emulsifier(situation: Situation, oil: float, largest: int) -> Iterator[Remedy]:
    formula, shelf = situation.formula, situation.shelf
    letter = [phase.letter for phase, _ in formula.lines()][largest]
    record = shelf.get(blends.OWN_DOSE)
    if record is not None and record.usual and oil * _ENOUGH <= 0.04:
        percent = min(max(up(100 * _FRESH * oil), up(2.0)), up(4.0))
        mended = added(formula, shelf, blends.OWN_DOSE, percent, letter=letter)
        if mended is not None:
            says = tr("Add {percent} % {name} to phase {letter}, melted with the oil.")
            yield Remedy(says.format(percent=plain(percent), name=blends.OWN_DOSE, letter=letter), mended)
    required = situation.figures.get("required_hlb")
    if oil >= _EMULSION and required is not None and required.known:
        percent = up(100 * _FRESH * oil)
        mended = blends.pair_for(formula, shelf, required.value, percent, letter)
        if mended is not None:
            says = tr(
                "Add {percent} % of {names} to phase {letter}, blended to the HLB of {hlb} that the oil asks for."
            )
            hlb = digits(required.value, 3)
            yield Remedy(says.format(percent=plain(percent), names=joined(blends.PAIR), letter=letter, hlb=hlb), mended)


@rule("hlb", sources=("Griffin-1954",))
def the_hlb_meets_the_oil(situation: Situation) -> Iterator[Finding]:
    """Uncharged emulsifiers hold an oil best when their HLB is that which the oil asks for, within 1."""
    gap, required, blend = (situation.figures.get(name) for name in ("hlb_gap", "required_hlb", "emulsifier_hlb"))
    if not _judged(situation) or gap is None or required is None or blend is None or not blend.known:
        return
    if _oil(situation) < _EMULSION or float(central(situation.inputs, "emulsion_type")["emulsion_type"]) == 1:
        return
    lines = tuple(situation.inputs.positions[i] for i in np.flatnonzero(situation.inputs.given["emulsifier_rated"]))
    if not gap.known:
        title = tr("Which HLB the oil asks for is not known")
        yield Finding("hlb", "note", title, required.unknown or gap.unknown, "Griffin-1954", lines=lines)
        return
    if abs(gap.value) <= _OFF:
        return
    low, high = (gap.value if end is None else end for end in (gap.low, gap.high))
    sure = low > _OFF or high < -_OFF
    above, below = tr("The HLB of the emulsifiers is {gap} too high"), tr("The HLB of the emulsifiers is {gap} too low")
    yield Finding(
        "hlb",
        "care" if sure else "note",
        (above if gap.value > 0 else below).format(gap=digits(abs(gap.value), 2)),
        tr(
            "The oil asks for {required}, the emulsifiers have {blend}; within 1 is as good as met. Tables differ by "
            "1 to 3 for one oil: a trial to either side tells."
        ).format(required=required.say(), blend=blend.say()),
        "Griffin-1954",
        lines=lines,
        remedies=tuple(_blends(situation, required.value)),
    )


def _blends(situation: Situation, required: float) -> Iterator[Remedy]:
    formula, shelf, inputs = situation.formula, situation.shelf, situation.inputs
    names = [line.material for _, line in formula.lines()]
    mended = blends.nearest_blend(formula, inputs, required)
    if mended is not None:
        said = ", ".join(
            f"{names[position]} {plain(mended.percents[position])} %"
            for position in (inputs.positions[i] for i in rated_lines(inputs))
        )
        anew = tr("Share them out anew: {lines}. Their HLB is then {hlb}, their sum the same.")
        yield Remedy(anew.format(lines=said, hlb=digits(required, 3)), mended)
        return
    found = blends.with_partner(formula, shelf, inputs, required)
    if found is not None:
        name, mended = found
        percent = next(line.percent for _, line in mended.lines() if line.material == name)
        says = tr("No split of what is there meets {hlb}: put {percent} % {name} in place of as much of the others.")
        yield Remedy(says.format(hlb=digits(required, 3), percent=plain(percent), name=name), mended)


@rule("emulsifier-dose", sources=("worked-exercises", "common-practice"))
def there_is_emulsifier_enough(situation: Situation) -> Iterator[Finding]:
    """Too little emulsifier leaves drops uncovered, which merge; worked examples take 9 to 20 % of the oil."""
    per_oil, blend = (situation.figures.get(name) for name in ("emulsifier_per_oil", "emulsifier_hlb"))
    if not _judged(situation) or per_oil is None or blend is None or not (per_oil.known and blend.known):
        return
    if _oil(situation) < _EMULSION or per_oil.value >= 100 * _LITTLE:
        return
    formula, inputs = situation.formula, situation.inputs
    positions = [inputs.positions[i] for i in rated_lines(inputs)]
    factor = 100 * _ENOUGH / per_oil.value
    new = {position: up(factor * float(formula.percents[position]), "0.01") for position in positions}
    mended = set_lines(formula, new) if new else None
    names = [line.material for _, line in formula.lines()]
    each = tr("{name} to {percent} %")
    said = ", ".join(each.format(name=names[at], percent=plain(percent)) for at, percent in new.items())
    says = tr("Raise {lines}: a tenth of the oil.").format(lines=said)
    yield Finding(
        "emulsifier-dose",
        "care" if per_oil.value < 100 * _TOO_LITTLE else "note",
        tr("The emulsifier is {percent} % of the oil").format(percent=digits(per_oil.value, 2)),
        tr("Blends by HLB in print take 9 to 20 % of the oil; with less the drops merge."),
        "worked-exercises",
        lines=tuple(positions),
        remedies=(Remedy(says, mended),) if mended is not None else (),
    )


@rule("emulsion-type", sources=("Griffin-1954", "common-practice"))
def the_type_is_the_one_meant(situation: Situation) -> Iterator[Finding]:
    """Emulsifiers decide which liquid is outermost; two kinds against each other turn the product or break it."""
    if not _judged(situation) or not _emulsifier(situation) > 0:
        return
    kind = float(central(situation.inputs, "emulsion_type")["emulsion_type"])
    water, oil = (float(side) for side in central(situation.inputs, "emulsifier_sides")["emulsifier_sides"])
    lines = _emulsifier_lines(situation)
    if kind == 1 and situation.use is not None and situation.use.name in _WATERY_USES:
        yield Finding(
            "emulsion-type",
            "care",
            tr("The emulsifiers make water in oil, which a {use} is not").format(use=tr(situation.use.name)),
            tr("It feels greasy and does not mix with water on the skin."),
            "Griffin-1954",
            lines=lines,
            remedies=tuple(_turned(situation, blends.OWN_DOSE, 1)),
        )
    elif water > 0 and oil > 0 and np.isnan(kind):
        lesser = 1 if water >= oil else 0
        name = _largest_of(situation, 1 - lesser)
        yield Finding(
            "emulsion-type",
            "care",
            tr("The emulsifiers pull both ways"),
            tr(
                "{water} % makes oil in water, {oil} % water in oil; one should outweigh the other twice. A drop put "
                "into water tells which it became: it spreads if water is outermost."
            ).format(water=digits(100 * water, 2), oil=digits(100 * oil, 2)),
            "common-practice",
            lines=lines,
            remedies=tuple(_turned(situation, name, lesser)) if name is not None else (),
        )
    elif water == oil == 0:
        yield Finding(
            "emulsion-type",
            "note",
            tr("Which type results cannot be told"),
            tr(
                "No emulsifier here clearly makes oil in water or water in oil. A drop put into water tells: it "
                "spreads if water is outermost."
            ),
            "Griffin-1954",
            lines=lines,
        )


def _side_of_lines(situation: Situation, side: int) -> list[int]:
    """Return positions of lines that make a type (0 oil in water, 1 water in oil) by their records, largest first."""
    given = centre(situation.inputs)
    pulls = given["mass_fraction"] * (given["own_sides"] + given["rated_sides"])[:, side]
    return [situation.inputs.positions[i] for i in np.argsort(-pulls, kind="stable") if pulls[i] > 0]


def _largest_of(situation: Situation, side: int) -> str | None:
    names = [line.material for _, line in situation.formula.lines()]
    return next((names[position] for position in _side_of_lines(situation, side)), None)


def _turned(situation: Situation, name: str, side: int) -> Iterator[Remedy]:
    """Yield the formula with the emulsifiers of one side replaced by one of the other."""
    formula, shelf = situation.formula, situation.shelf
    if name not in shelf:
        return
    wrong = list(
        dict.fromkeys([line.material for _, line in formula.lines()][i] for i in _side_of_lines(situation, side))
    )
    if not wrong or name in wrong:
        return
    mended = formula
    for material in wrong:
        for _ in [line for _, line in formula.lines() if line.material == material]:
            position = next(i for i, (_, line) in enumerate(mended.lines()) if line.material == material)
            mended = renamed(mended, shelf, position, name)
    yield Remedy(tr("Take {name} in place of {others}.").format(name=name, others=joined(wrong)), mended)


@rule("inversion", sources=("common-practice",))
def the_drops_do_not_crowd(situation: Situation) -> Iterator[Finding]:
    """Spheres of one size touch at 74 % of the volume; near it an emulsion turns inside out or becomes a stiff gel."""
    figure = situation.figures.get("drops_share")
    if not _judged(situation) or figure is None or not figure.known or figure.value < _CLOSE:
        return
    over = figure.value >= _TOUCH
    kind = float(central(situation.inputs, "emulsion_type")["emulsion_type"])
    why = tr("Drops of water in oil; spheres of one size touch at 74 %.")
    if kind == 0:
        why = tr("Drops of oil in water; spheres of one size touch at 74 %.")
    elif kind == 1:
        polymeric = tr("Polymeric emulsifiers hold 80 % and more; a trial tells.")
        why = f"{why} {polymeric}"
    title = tr("Drops fill {percent} % of the liquids: it may turn inside out")
    yield Finding(
        "inversion",
        "care" if over else "note",
        title.format(percent=digits(figure.value, 3)),
        why,
        "common-practice",
        lines=tuple(_oily_lines(situation)),
        remedies=tuple(_thinned_out(situation, kind)),
    )


def _thinned_out(situation: Situation, kind: float) -> Iterator[Remedy]:
    formula, inputs = situation.formula, situation.inputs
    names = [line.material for _, line in formula.lines()]
    for line in _oily_lines(situation)[:1]:
        percent = least_change(
            formula, inputs, line, ("drops_share",), lambda found: found["drops_share"] <= _APART / 100
        )
        mended = set_lines(formula, {line: percent}) if percent is not None else None
        if percent is not None and mended is not None:
            lower = tr("Lower {name} to {percent} %: then drops fill {share} %.")
            says = lower if kind == 0 else tr("Raise {name} to {percent} %: then drops fill {share} %.")
            yield Remedy(says.format(name=names[line], percent=plain(percent), share=f"{_APART:g}"), mended)


def _clear(situation: Situation) -> bool:
    """Return whether it is a thin watery liquid with a little oil, meant to be clear."""
    inputs = situation.inputs
    if WATER not in inputs.substances or not situation.formula.adds_up or _thickened(situation):
        return False
    given = centre(inputs)
    own = float((given["mass_fraction"] * given["emulsifier_own"]).sum())
    wash = float(np.nansum(given["mass_fraction"] * given["line_active"])) > 0
    return (
        float(situation.share_of(WATER)) >= 0.5
        and float(situation.share_of("ethanol")) < _ETHANOL
        and _TRACE_OF_OIL <= _oil(situation) < _EMULSION
        and own == 0
        and not wash
        and not inputs.powder_positions
    )


@rule("solubiliser", sources=("common-practice",))
def a_little_oil_is_dissolved(situation: Situation) -> Iterator[Finding]:
    """A little fragrance or oil in clear water needs several times its mass of solubiliser, or it clouds and floats."""
    if not _clear(situation):
        return
    given, inputs = centre(situation.inputs), situation.inputs
    able = (given["emulsifier_rated"] > 0) & (given["line_hlb"] >= _DISSOLVES)
    share, oil = float((given["mass_fraction"] * given["emulsifier_rated"])[able].sum()), _oil(situation)
    if share >= _LEAST_RATIO * oil * (1 - 1e-9):
        return
    title = tr("{percent} % oil in clear water with no solubiliser")
    if share:
        title = tr("{percent} % oil in clear water with {times} times as much solubiliser")
    yield Finding(
        "solubiliser",
        "care",
        title.format(percent=digits(100 * oil, 2), times=digits(share / oil, 2)),
        tr(
            "From three to four times the mass of the oil is usual, more for heavy oils; a rule of thumb, a trial of "
            "20 g tells."
        ),
        "common-practice",
        lines=tuple(_oily_lines(situation)),
        remedies=tuple(_dissolved(situation, [inputs.positions[i] for i in np.flatnonzero(able)], share, oil)),
    )


def _dissolved(situation: Situation, lines: list[int], share: float, oil: float) -> Iterator[Remedy]:
    formula, shelf = situation.formula, situation.shelf
    names = [line.material for _, line in formula.lines()]
    if lines:
        factor = _GOOD_RATIO * oil / share
        new = {line: up(factor * float(formula.percents[line]), "0.01") for line in lines}
        mended = set_lines(formula, new)
        each = tr("{name} to {percent} %")
        said = ", ".join(each.format(name=names[line], percent=plain(percent)) for line, percent in new.items())
        says = tr("Raise {lines}: {times} times the oil. Stir the oil into it before any water.").format(
            lines=said, times=f"{_GOOD_RATIO:g}"
        )
    else:
        percent = up(100 * _GOOD_RATIO * oil, "0.01")
        letter = [phase.letter for phase, _ in formula.lines()][_oily_lines(situation)[0]]
        mended = (
            added(formula, shelf, blends.SOLUBILISER, percent, letter=letter) if blends.SOLUBILISER in shelf else None
        )
        says = tr("Add {percent} % {name}: {times} times the oil. Stir the oil into it before any water.").format(
            percent=plain(percent), name=blends.SOLUBILISER, times=f"{_GOOD_RATIO:g}"
        )
    if mended is not None:
        yield Remedy(says, mended)
