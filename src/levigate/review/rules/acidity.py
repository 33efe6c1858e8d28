"""Is the pH one for skin, is it known where something hangs on it, and do acid and base fight each other?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from levigate.quantities.saying import digits
from levigate.review.findings import Finding, Level, Remedy, Situation, rule

#: pH of what stays on the skin within which a product is no matter for professionals alone, and where it is stopped.
LOWEST, HIGHEST = 3.5, 8.0
_STOP_BELOW, _STOP_ABOVE = 3.0, 10.0
#: Acids or bases offered.
_OFFERED = 2
#: Kinds that do what they are in it for by their free acid.
_BY_PH = ("preservative", "preservative booster", "active", "acid")
#: Up to here an acid is there to set a pH, and needs no pH to work. [1]
_ADJUSTS = 0.005
#: Free fruit acid in what stays on the skin from which it is said. [%]
_FREE = 0.5
_FRUIT = ("glycolic acid", "lactic acid", "mandelic acid", "malic acid", "tartaric acid", "citric acid")
#: Further than this from every pKa an acid is wholly turned into its salt.
_SPENT = 2.0


def _leave_on(situation: Situation) -> bool:
    return situation.use is None or situation.use.leave_on


@rule("ph-for-skin", sources=("CIR-AHA-2017", "common-practice"))
def the_ph_is_one_for_skin(situation: Situation) -> Iterator[Finding]:
    """What stays on the skin below pH 3.5 or above 8 irritates more and needs trained hands."""
    figure = situation.figures.get("ph")
    if figure is None or not figure.known or not _leave_on(situation) or LOWEST <= figure.value <= HIGHEST:
        return
    low = figure.value < LOWEST
    end = figure.high if low else figure.low
    sure = end is None or not LOWEST <= end <= HIGHEST
    level: Level = "stop" if sure and not _STOP_BELOW <= figure.value <= _STOP_ABOVE else "care"
    yield Finding(
        "ph-for-skin", level, f"pH {figure.say().split(' ')[0]}: a leave-on outside 3.5 to 8 is for professionals",
        ("Acid stings and peels, the more the lower the pH. " if low else "Alkali swells skin and takes its fat. ")
        + "Peels and the like belong to trained hands; a meter reading outranks a computed pH.",
        "CIR-AHA-2017" if low else "common-practice", remedies=tuple(_moved(situation, low=low)),
    )  # fmt: skip


def _moved(situation: Situation, *, low: bool) -> Iterator[Remedy]:
    from levigate.review.nearing import LOWERING, MARGIN, RAISING, into_range

    found, why = into_range(situation, LOWEST, HIGHEST, most=_OFFERED)
    yield from found
    if not found:
        aim, takes = (LOWEST + MARGIN, RAISING[0]) if low else (HIGHEST - MARGIN, LOWERING[0])
        yield Remedy(
            f"Add {takes} in drops, stirring, until the meter shows {aim:.1f}; note what it took, and measure again "
            f"after a day. {why}".rstrip()
        )


@rule("ph-not-known", sources=("mass-action", "common-practice"))
def the_ph_is_known_where_something_hangs_on_it(situation: Situation) -> Iterator[Finding]:
    """Benzoate, sorbate and fruit acids work by their free acid, and how much of them is free the pH decides."""
    figure, contents = situation.figures.get("ph"), situation.inputs.contents
    if figure is None or figure.known or contents is None or not situation.formula.adds_up:
        return
    from levigate.quantities.dissolved import shown_acid

    hanging = []
    for name, share in zip(contents.substances, contents.whole(), strict=True):
        record = contents.records.get(name)
        least = _ADJUSTS if record is not None and record.kind == "acid" else 0
        if share > least and record is not None and record.kind in _BY_PH and shown_acid(name):
            hanging.append(name)
    if not hanging:
        return
    places = [contents.substances.index(name) for name in hanging]
    lines = tuple(
        position for row, (position, _) in enumerate(contents.lines) if contents.composition[row, places].any()
    )
    many = f"{', '.join(hanging[:-1])} and {hanging[-1]} hang" if hanging[1:] else f"{hanging[0]} hangs"
    yield Finding(
        "ph-not-known", "care", f"The pH is not known, and {many} on it",
        f"Each works by the part of it that is free, which the pH decides. {figure.unknown}", "mass-action",
        lines=lines, remedies=(Remedy("Measure it with a pH meter, and write it into the file."),),
    )  # fmt: skip


@rule("acid-against-base", sources=("mass-action", "common-practice"))
def acid_and_base_have_a_purpose(situation: Situation) -> Iterator[Finding]:
    """An acid far from its pKa, beside a base, has become a plain salt: both could be left out, or the salt weighed."""
    figure, inputs = situation.figures.get("ph"), situation.inputs
    if figure is None or not figure.known or not inputs.names.get("acids"):
        return
    acids = [(i, line) for i, _, line, record in situation.lines() if record and record.kind == "acid" and line.percent]
    bases = [(i, line) for i, _, line, record in situation.lines() if record and record.kind == "base" and line.percent]
    if not acids or not bases:
        return
    pka = inputs.given["solute_pka"]
    central = pka[0] if "solute_pka" in inputs.drawn else pka
    ladders = central[inputs.given["free_pick"].astype(int)]
    weak = dict(zip(inputs.names["acids"], ladders, strict=True))
    for i, line in acids:
        steps = next((steps for name, steps in weak.items() if line.material.startswith(name)), None)
        if steps is None or figure.value - steps[np.isfinite(steps)].max() < _SPENT:
            continue
        yield Finding(
            "acid-against-base", "note", f"{line.material} is wholly neutralised by {bases[0][1].material}",
            f"At pH {figure.value:.1f}, {_SPENT:g} or more above its last pKa, it is a salt: it holds no pH and leaves "
            "no free acid.", "mass-action", lines=(i, bases[0][0]),
            remedies=(Remedy("Weigh less of both, or the salt itself; keep the acid if it is there to bind metals."),),
        )  # fmt: skip


@rule("free-fruit-acid", sources=("CIR-AHA-2017",))
def free_fruit_acid_is_minded(situation: Situation) -> Iterator[Finding]:
    """It is the free part of a fruit acid that goes into the skin: it peels, stings and lets the sun burn sooner."""
    figure, drift = situation.figures.get("free_acid_content"), situation.figures.get("free_acid")
    if figure is None or drift is None or not figure.known or not _leave_on(situation):
        return
    found = [row for row in figure.rows if row.name in _FRUIT and row.value >= _FREE]
    if not found:
        return
    said = ", ".join(f"{digits(row.value, 2)} % {row.name}" for row in found)
    yield Finding(
        "free-fruit-acid", "note", f"Free fruit acid: {said}",
        "It makes skin burn sooner in the sun, for up to a week after: the label asks for sun protection. A lower pH "
        "frees more; how much is allowed, local law says.", "CIR-AHA-2017",
    )  # fmt: skip
