"""Do the preservatives work at this pH, in this water, against all kinds of germs?"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

from levigate.errors import PercentError
from levigate.formula.model import Formula, plain
from levigate.formula.percent import adjust
from levigate.formula.premix import substances
from levigate.quantities.graph import Floats
from levigate.quantities.saying import digits
from levigate.review.changes import added
from levigate.review.findings import LEVELS, Finding, Level, Remedy, Situation, rule
from levigate.review.held import headed
from levigate.review.keepers import HARDLY, TRACE, Keeper, Keeping, keeping_in, keeping_of, water_in
from levigate.review.nearing import into_range, not_computed
from levigate.review.rules.water import LOW_RISK, has_preservative, low_risk
from levigate.shelf.preserving import preserving
from levigate.solve.nearest import least_change

PROOF = "Only a challenge test proves it."
#: Partners offered, with a common dose; those that mind the pH least come first. [%]
_PARTNERS = (
    ("chlorphenesin", Decimal("0.2")),
    ("phenoxyethanol and ethylhexylglycerin", Decimal("1")),
    ("benzyl alcohol and dehydroacetic acid", Decimal("0.8")),
    ("phenoxyethanol", Decimal("0.8")),
    ("potassium sorbate", Decimal("0.3")),
    ("sodium benzoate", Decimal("0.3")),
)
#: Partners offered at once where something is missing, and where it is only weak.
_OFFERED, _OFFERED_WEAK = 2, 1
_METER = 'Read the pH with a meter, or with strips, and write [measured] pH = "..." into the file.'


def _keeping(situation: Situation) -> Keeping | None:
    """Return what keeps germs down; None where there is nothing to keep or the lines do not add up."""
    if not situation.formula.adds_up or water_in(situation.inputs) < TRACE:
        return None
    return keeping_of(situation.inputs, situation.shelf)


def _percent(share: float) -> str:
    return f"{digits(100 * share, 2)} %"


def _and(words: list[str] | tuple[str, ...]) -> str:
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


@rule("preservative-ph", sources=("Garrett-1966", "memory"))
def each_preservative_works_at_this_ph(situation: Situation) -> Iterator[Finding]:
    """An acid preservative works in its uncharged form only, and others fall apart outside their range of pH."""
    keeping = _keeping(situation)
    if keeping is None:
        return
    if math.isnan(keeping.ph):
        says = f"{_METER} {not_computed(situation)}".rstrip()
        yield from (replace(finding, remedies=(Remedy(says),)) for finding in _ph_not_known(keeping))
        return
    for keeper, finding in _ph_wrong(keeping):
        low, high = (plain(Decimal(str(end))) for end in keeper.window)
        to = f"{high} or below" if keeping.ph > keeper.window[1] else f"{low} or above"
        mended, why = into_range(situation, *keeper.window)
        by_hand = f"Bring the pH to {to}, drop by drop; read it with a meter, and again after a day. {why}"
        remedies = mended or [Remedy(by_hand.rstrip())]
        if finding.level == "stop":
            remedies += _partners(
                situation, _OFFERED, lambda after: not all(one.out_of_window for one in after.keepers)
            )
        yield replace(finding, remedies=tuple(remedies))


def _ph_wrong(keeping: Keeping) -> Iterator[tuple[Keeper, Finding]]:
    out = [keeper for keeper in keeping.keepers if keeper.out_of_window]
    for keeper in out:
        low, high = keeper.window
        hardly = keeping.ph > high and (not keeper.acid or keeper.uncharged < HARDLY)
        level: Level = ("stop" if len(out) == len(keeping.keepers) else "care") if hardly else "note"
        share = f"Uncharged, which is what works of it, is {_percent(keeper.uncharged)}. " if keeper.acid else ""
        says = "hardly works" if hardly else "is outside its range"
        yield (
            keeper,
            Finding(
                "preservative-ph",
                level,
                f"{headed(keeper.name)} {says} at pH {digits(keeping.ph, 3)}",
                f"{share}It is used from pH {digits(low, 2)} to {digits(high, 2)}. {PROOF}",
                "Garrett-1966" if keeper.acid else "memory",
                lines=keeper.lines,
            ),
        )


def _ph_not_known(keeping: Keeping) -> Iterator[Finding]:
    acids = [keeper for keeper in keeping.keepers if keeper.acid]
    if not acids or not math.isnan(keeping.ph):
        return
    ranges = _and([f"{keeper.name} up to pH {digits(keeper.window[1], 2)}" for keeper in acids])
    yield Finding(
        "preservative-ph",
        "note" if len(acids) < len(keeping.keepers) else "care",
        f"Whether {_and([keeper.name for keeper in acids])} {'works' if len(acids) == 1 else 'work'} rests on the pH, "
        "which is not known",
        f"Only the uncharged form works: {ranges}. {PROOF}",
        "Garrett-1966",
        lines=tuple(dict.fromkeys(line for keeper in acids for line in keeper.lines)),
    )


@rule("preservative-lost", sources=("Bean-1972", "Garrett-1966"))
def enough_of_each_preservative_is_left_in_the_water(situation: Situation) -> Iterator[Finding]:
    """Germs live in the water; what oil and the micelles of nonionic surfactants take of a preservative is lost."""
    keeping = _keeping(situation)
    for keeper, finding in _lost(keeping) if keeping is not None else ():
        less = Remedy("Take one that stays in the water, such as an acid at low pH, or less oil and solubiliser.")
        yield replace(finding, remedies=(*_raised(situation, keeper), less))


def _lost(keeping: Keeping) -> Iterator[tuple[Keeper, Finding]]:
    for keeper in keeping.keepers:
        if keeper.taken:
            yield (
                keeper,
                Finding(
                    "preservative-lost",
                    "care",
                    f"Too little {keeper.name} is left in the water",
                    f"Oil and nonionic surfactants leave {_percent(keeper.in_water)} of it; at work in the water is "
                    f"{_percent(keeper.working)}, and {_percent(keeper.needed)} would be the least usual. Rough: the "
                    f"coefficients of oils differ by ten and more. {PROOF}",
                    "Bean-1972",
                    "p. 714-717",
                    keeper.lines,
                ),
            )


def _raised(situation: Situation, keeper: Keeper) -> Iterator[Remedy]:
    """Yield the least dose at which enough is left in the water, where law and use allow it."""
    formula, inputs = situation.formula, situation.inputs
    column = inputs.names["preservatives"].index(keeper.name)

    def holds(found: dict[str, Floats]) -> NDArray[np.bool_]:
        return np.asarray(found["preservative_working"][..., column] >= keeper.needed)

    for line in keeper.lines:
        percent = least_change(formula, inputs, line, ("preservative_working",), holds)
        if percent is None or percent <= formula.percents[line]:
            continue
        try:
            mended = adjust(formula, {line: percent})
        except PercentError:
            continue
        after = keeping_in(mended, situation.shelf).keepers
        if all(map(_allowed, after)) and not any(one.taken for one in after if one.name == keeper.name):
            name = [one.material for _, one in formula.lines()][line]
            yield Remedy(f"Set {name} to {plain(percent)} %.", mended)


def _allowed(keeper: Keeper) -> bool:
    return keeper.dose <= min(keeper.allowed, keeper.high) * (1 + 1e-9)


@rule("preservative-spectrum", sources=("common-practice",))
def something_works_on_each_kind_of_germ(situation: Situation) -> Iterator[Finding]:
    """Bacteria, yeast and mould are stopped by different preservatives; what is left out of three grows alone."""
    keeping = _keeping(situation)
    for finding in _gaps(keeping) if keeping is not None else ():
        missing = finding.level == "care"
        most = _OFFERED if missing else _OFFERED_WEAK
        remedies = _partners(situation, most, lambda after: min(after.against.values()) > 1)
        if missing and not remedies:  # no single one closes every gap: one that leaves no more than weaknesses
            remedies = _partners(situation, most, lambda after: min(after.against.values()) > 0)
        yield replace(finding, remedies=tuple(remedies))


def _gaps(keeping: Keeping) -> Iterator[Finding]:
    none = [germ for germ, much in keeping.against.items() if much == 0]
    weak = [germ for germ, much in keeping.against.items() if much == 1]
    if not keeping.keepers or not (none or weak):
        return
    said = [f"Nothing here works on {_and(none)}"] if none else []
    said += [f"{'weak' if none else 'Weak'} on {_and(weak)}"] if weak else []
    working = [keeper.name for keeper in keeping.keepers if any(keeper.counts)]
    yield Finding(
        "preservative-spectrum",
        "care" if none else "note",
        ", ".join(said),
        f"Counted as working: {_and(working) if working else 'none'}. Two that work a little count as one that works "
        f"well. This is a habit of the trade. {PROOF}",
        "common-practice",
    )


def _partners(situation: Situation, most: int, good: Callable[[Keeping], bool]) -> list[Remedy]:
    """Return preservatives to add, of those that bring what is missing, are not in it, and stay within the law."""
    formula, shelf, found = situation.formula, situation.shelf, list[Remedy]()
    there = {part for _, line in formula.lines() for part in substances(shelf, line.material)}
    for name, percent in _PARTNERS:
        if len(found) == most:
            break
        if name not in shelf or there & _works(situation, name):
            continue
        grown = added(formula, shelf, name, percent)
        if grown is not None and _is_good(grown, situation, name, good):
            found.append(Remedy(f"Add {plain(percent)} % {name} to phase {grown.phases[-1].letter}.", grown))
    return found


def _works(situation: Situation, name: str) -> set[str]:
    return {part for part in substances(situation.shelf, name) if part in preserving()}


def _is_good(grown: Formula, situation: Situation, name: str, good: Callable[[Keeping], bool]) -> bool:
    after = keeping_in(grown, situation.shelf)
    works_as = {preserving()[part].works_as for part in _works(situation, name)}
    new = [one for one in after.keepers if one.name in works_as]
    return bool(new) and all(_allowed(one) and not (one.out_of_window or one.taken) for one in new) and good(after)


@rule("booster-only", sources=("EU-1223-2009", "common-practice"))
def a_booster_is_no_preservative(situation: Situation) -> Iterator[Finding]:
    """Boosters and chelators help a preservative; the law lists none of them, and alone they keep few products."""
    keeping = _keeping(situation)
    if keeping is None or not has_preservative(situation):
        return
    for finding in _boosters_alone(keeping):
        yield replace(finding, remedies=tuple(_partners(situation, _OFFERED, lambda after: bool(after.keepers))))


def _boosters_alone(keeping: Keeping) -> Iterator[Finding]:
    names = [name for name, _ in keeping.boosters]
    if keeping.keepers or not names:
        return
    yield Finding(
        "booster-only",
        "care",
        f"{headed(_and(names))} {'is' if len(names) == 1 else 'are'} no preservative in law",
        "Annex V of the EU lists none of the boosters, nor the chelators, which help as well. Some products keep with "
        f"boosters alone. {PROOF}",
        "EU-1223-2009",
        "Annex V",
    )


@rule("preservation", sources=("common-practice", "ISO-29621", "ISO-11930"))
def how_it_is_preserved(situation: Situation) -> Iterator[Finding]:
    """One verdict from all that bears on it: dose, pH, oil, kinds of germs, low risk. It is a reckoning, not a test."""
    keeping = _keeping(situation)
    if keeping is None or not has_preservative(situation):
        return
    others = [finding for _, finding in (*_ph_wrong(keeping), *_lost(keeping))]
    others += [*_ph_not_known(keeping), *_gaps(keeping), *_boosters_alone(keeping)]
    level: Level = min((finding.level for finding in others), key=LEVELS.index, default="note")
    reasons = [*map(_said, keeping.keepers), *(f"{finding.title}." for finding in others)]
    if not keeping.keepers and not keeping.boosters:
        level, reasons = "care", ["What its preservative works on is not known here."]
    kept = low_risk(situation)
    if kept:
        level = "note"
        reasons.append(f"Of low microbiological risk by {_and(kept)}. {LOW_RISK}")
    title = _VERDICTS[level]
    if level == "note" and others and not kept:
        title += ", with a weakness"
    yield Finding("preservation", level, title, " ".join([*reasons, PROOF]), "common-practice")


_VERDICTS = {
    "stop": "On paper it is not preserved",
    "care": "Whether it is preserved is in doubt",
    "note": "On paper it is preserved",
}


def _said(keeper: Keeper) -> str:
    dose = f"{keeper.name} {_percent(keeper.dose)}"
    if keeper.dose < keeper.low * (1 - 1e-9):
        dose += f" (usual is {_percent(keeper.low)} or more)"
    elif keeper.dose > keeper.allowed * (1 + 1e-9):
        dose += " (above the law)"
    if math.isnan(keeper.working):
        return f"{headed(dose)}: how much of it works is not known."
    return f"{headed(dose)}: {_percent(keeper.working)} of the water phase is at work."
