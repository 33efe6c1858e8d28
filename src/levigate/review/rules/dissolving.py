"""Does it all dissolve, does it stand where it can, and does it stay dissolved in the cold?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from levigate.errors import PercentError
from levigate.formula.model import Formula, plain
from levigate.formula.percent import adjust
from levigate.quantities.capacity import OIL, capacity, liquids
from levigate.quantities.figure import Row
from levigate.quantities.graph import evaluate
from levigate.quantities.inputs import Inputs, gather
from levigate.quantities.saying import digits
from levigate.quantities.solutes import Dissolving, Solute, dissolving
from levigate.review.changes import added, moved
from levigate.review.findings import Finding, Level, Remedy, Situation, rule
from levigate.solve.nearest import least_change

#: Share of the limit in the cold that a remedy goes to, so that it clears the finding and not just touches it.
_ROOM = 0.9
#: Most of a cosolvent that is offered to a formula without one, and to which one is raised. [%]
_AT_MOST, _RAISED = Decimal(25), Decimal(45)
#: What is offered, the mildest to the skin first.
_OFFERED = ("propanediol", "propylene glycol", "ethanol")
#: A formula whose line was first brought in at this percent. [%]
_FIRST = Decimal(1)
#: pH values that are tried for an acid that drops out.
_PHS = np.arange(0.0, 8.05, 0.1)
_TRY = (
    "Try it: a jar of it in the refrigerator for three days with a crystal of the solid dropped in as a seed, beside "
    "one at room temperature; a magnifying glass shows needles or sand."
)


@dataclass(frozen=True, slots=True)
class _Judged:
    """A solute with what is foreseen of it."""

    solute: Solute
    #: "solute" or "acid", and its place among those.
    kind: str
    column: int
    warm: Row
    cold: Row

    @property
    def cold_figure(self) -> str:
        """Return the quantity that says how full its liquid is in the cold."""
        return "saturation_cold" if self.kind == "solute" else "acid_saturation_cold"


def _here(situation: Situation) -> Dissolving | None:
    contents = situation.inputs.contents
    asked = ("saturation", "acid_saturation")
    return (
        contents.once(dissolving) if contents is not None and any(name in situation.figures for name in asked) else None
    )


def _judged(situation: Situation) -> Iterator[_Judged]:
    here = _here(situation)
    if here is None:
        return
    for kind, some, prefix in (("solute", here.solutes, ""), ("acid", here.acids, "acid_")):
        warm, cold = (situation.figures.get(f"{prefix}{name}") for name in ("saturation", "saturation_cold"))
        if warm is None or cold is None or not (warm.known and cold.known):
            continue
        for column, one in enumerate(some):
            yield _Judged(one, kind, column, warm.rows[column], cold.rows[column])


def _least_known(one: Solute) -> bool:
    return any(held.bound == "least" for held in one.capacities)


def _sure(row: Row, one: Solute) -> bool:
    return (row.value if row.low is None else row.low) > 100 and not _least_known(one)


def _said(row: Row) -> str:
    if row.low is None or row.high is None:
        return f"{digits(row.value, 2)} %"
    return f"{digits(row.value, 2)} % ({digits(row.low, 2)} to {digits(row.high, 2)})"


@rule("dissolves", sources=("Yalkowsky-Rubino-1985", "definition"))
def it_all_dissolves(situation: Situation) -> Iterator[Finding]:
    """What is more than its liquid holds stays at the bottom as sand, or hangs as crystals that grow and scratch."""
    for one in _judged(situation):
        if one.warm.value <= 100:
            continue
        sure = _sure(one.warm, one.solute)
        name = one.solute.name
        why = f"It stands at {_said(one.warm)} of what its liquids hold at 25 °C."
        if _least_known(one.solute):
            title, why = f"More {name} than is known to dissolve", why + " What is on record is a lower bound."
        else:
            title = f"{name} {'does' if sure else 'may'} not all dissolve"
        level: Level = "care" if sure else "note"
        yield Finding("dissolves", level, title, why, "Yalkowsky-Rubino-1985", "", one.solute.lines,
                      (*_remedies(situation, one), Remedy(_TRY)))  # fmt: skip


@rule("crystals", sources=("van-t-Hoff", "common-practice"))
def it_stays_dissolved_in_the_cold(situation: Situation) -> Iterator[Finding]:
    """Most solids dissolve less in the cold: what is clear at the bench drops crystals in a winter parcel."""
    cold = float(situation.inputs.given["coldest"]) - 273.15 if "coldest" in situation.inputs.given else 0.0
    for one in _judged(situation):
        if one.cold.value <= 100 or one.warm.value > 100:
            continue
        sure = _sure(one.cold, one.solute)
        name = one.solute.name
        why = (
            f"It stands at {_said(one.warm)} of what dissolves at 25 °C and at {_said(one.cold)} at {cold:.3g} °C; "
            f"heat of solution from {one.solute.heat.how}."
        )
        title = f"{name} {'drops' if sure else 'may drop'} crystals in the cold"
        yield Finding("crystals", "care" if sure else "note", title, why, "van-t-Hoff", "", one.solute.lines,
                      (*_remedies(situation, one), Remedy(_TRY)))  # fmt: skip


def _remedies(situation: Situation, one: _Judged) -> Iterator[Remedy]:
    formula = situation.formula
    if not formula.adds_up:
        return
    yield from _less(situation, one)
    yield from _more_cosolvent(situation, one)
    if one.kind == "acid":
        yield from _higher_ph(situation, one)


def _solved(formula: Formula, inputs: Inputs, line: int, one: _Judged, most: Decimal) -> Decimal | None:
    return least_change(
        formula,
        inputs,
        line,
        (one.cold_figure,),
        lambda found: found[one.cold_figure][..., one.column] <= _ROOM,
        most=most,
    )


def _set(formula: Formula, line: int, percent: Decimal) -> Formula | None:
    try:
        return adjust(formula, {line: percent})
    except PercentError:
        return None


def _less(situation: Situation, one: _Judged) -> Iterator[Remedy]:
    """Yield the dose at which it stays dissolved in the cold, where one line brings it."""
    formula = situation.formula
    if len(one.solute.lines) != 1 or formula.qs == one.solute.lines[0]:
        return
    (line,) = one.solute.lines
    percent = _solved(formula, situation.inputs, line, one, formula.percents[line])
    mended = _set(formula, line, percent) if percent is not None and percent < formula.percents[line] else None
    if percent and mended is not None:
        name = [each.material for _, each in formula.lines()][line]
        yield Remedy(f"Lower {name} to {plain(percent)} %: then it stays dissolved in the cold with a margin.", mended)


def _more_cosolvent(situation: Situation, one: _Judged) -> Iterator[Remedy]:
    """Yield the least raise of each cosolvent, else the least addition of one, that keeps it dissolved."""
    formula, inputs, shelf = situation.formula, situation.inputs, situation.shelf
    here = _here(situation)
    if here is None or all(here.liquids[i].name == OIL for i in one.solute.liquids):
        return
    first, *others = one.solute.liquids
    names = [line.material for _, line in formula.lines()]
    offered = False
    for i in others:
        line = next((p for p, name in enumerate(names) if shelf.key(name) == here.liquids[i].name), None)
        percent = None if line is None or formula.qs == line else _solved(formula, inputs, line, one, _RAISED)
        if line is None or percent is None or not formula.percents[line] < percent <= _RAISED:
            continue
        mended = _set(formula, line, percent)
        if mended is not None:
            offered = True
            yield Remedy(f"Raise {names[line]} to {plain(percent)} %: roughly what keeps it dissolved.", mended)
    if not offered and formula.qs is not None and here.liquids[first].called == "water":
        yield from _addition(situation, one)


def _addition(situation: Situation, one: _Judged) -> Iterator[Remedy]:
    formula, shelf = situation.formula, situation.shelf
    here = {shelf.key(line.material) for _, line in formula.lines()}
    for name in _OFFERED:
        if name in here or name not in shelf or not _helps(situation, one, name):
            continue
        grown = added(formula, shelf, name, _FIRST)
        if grown is None:
            continue
        (line,) = (i for i, (_, each) in enumerate(grown.lines()) if shelf.key(each.material) == name)
        percent = _solved(grown, gather(grown, shelf, draws=0), line, one, _AT_MOST)
        mended = _set(grown, line, percent) if percent is not None and 0 < percent <= _AT_MOST else None
        if percent is not None and mended is not None:
            letter = grown.phases[-1].letter
            yield Remedy(f"Add {plain(percent)} % {name} to phase {letter}: roughly what keeps it dissolved.", mended)
            return


def _helps(situation: Situation, one: _Judged, name: str) -> bool:
    """Return whether a liquid is known to hold more of a solute than its water does."""
    record = situation.shelf[name]
    found = liquids((name,), {name: record}, np.ones(1))
    held = capacity(one.solute.record, found[0]) if found else None
    return held is not None and held.value > one.solute.capacities[0].value


def _higher_ph(situation: Situation, one: _Judged) -> Iterator[Remedy]:
    given = situation.inputs.centre
    now = float(situation.inputs.central("ph")["ph"])
    fills = evaluate([one.cold_figure], {**given, "ph": _PHS})[one.cold_figure][:, one.column]
    enough = _PHS[(fills <= _ROOM) & (now < _PHS)]
    if enough.size:
        yield Remedy(
            f"Or a pH of {enough[0]:.1f} or more, where enough of it is charged to stay dissolved; only its free part "
            "preserves and peels, so that it then does less."
        )


@rule("wrong-phase", sources=("common-practice",))
def it_is_added_where_it_dissolves(situation: Situation) -> Iterator[Finding]:
    """A solid stirred into a liquid that does not dissolve it clumps there, and what is left shows as sand later."""
    contents = situation.inputs.contents
    here = None if contents is None else contents.once(dissolving)
    if contents is None or here is None:
        return
    placed = {position: i for i, (position, _) in enumerate(contents.lines)}
    phases = _liquids_of_phases(situation, here, placed)
    letters = [phase.letter for phase, _ in situation.formula.lines()]
    for one in (*here.solutes, *here.acids):
        for line in one.lines:
            if not _is_solid(situation, line) or not phases[letters[line]] or phases[letters[line]] & set(one.liquids):
                continue
            better = [letter for letter, found in phases.items() if found & set(one.liquids)]
            if not better:
                continue
            name = [each.material for _, each in situation.formula.lines()][line]
            wanted = " or ".join(here.liquids[i].name for i in one.liquids[:2])
            change = moved(situation.formula, situation.shelf, line, better[0])
            yield Finding(
                "wrong-phase", "care", f"{name} stands in a phase that does not dissolve it",
                f"It dissolves in {wanted}, and phase {letters[line]} holds none of that.", "common-practice", "",
                (line,), (Remedy(f"Move {name} to phase {better[0]} and dissolve it there.", change),),
            )  # fmt: skip


def _is_solid(situation: Situation, line: int) -> bool:
    record = situation.shelf.get([each.material for _, each in situation.formula.lines()][line])
    return record is not None and record.form in ("powder", "solid")


def _liquids_of_phases(situation: Situation, here: Dissolving, placed: dict[int, int]) -> dict[str, set[int]]:
    """Return which liquids stand in each phase, by letter."""
    contents = situation.inputs.contents
    found: dict[str, set[int]] = {}
    for position, (phase, _) in enumerate(situation.formula.lines()):
        some = found.setdefault(phase.letter, set())
        if contents is not None and position in placed:
            shares = contents.composition[placed[position]]
            some |= {i for i, liquid in enumerate(here.liquids) if any(shares[place] > 0 for place in liquid.places)}
    return found


@rule("solubility-unknown", sources=("common-practice",))
def it_is_known_how_much_dissolves(situation: Situation) -> Iterator[Finding]:
    """A solid of which nobody wrote down how much dissolves may drop out weeks later, when the jars are sold."""
    contents = situation.inputs.contents
    here = None if contents is None else contents.once(dissolving)
    if here is None:
        return
    if here.unread:
        names = [name for name, _ in here.unread]
        lines = tuple(dict.fromkeys(line for _, some in here.unread for line in some))
        yield _unknown(names, f"No solubility of {_listed(names)} in what is here is on record.", lines)
    figure = situation.figures.get("acid_saturation")
    if figure is not None and not figure.known:
        names = [one.name for one in here.acids]
        lines = tuple(dict.fromkeys(line for one in here.acids for line in one.lines))
        why = f"If all of it were free acid it could drop out. {figure.unknown}"
        yield _unknown(names, why, lines)


def _unknown(names: Sequence[str], why: str, lines: tuple[int, ...]) -> Finding:
    title = f"Whether {_listed(names)} {'stays' if len(names) == 1 else 'stay'} dissolved is not known"
    return Finding("solubility-unknown", "note", title, why, "common-practice", "", lines, (Remedy(_TRY),))


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
