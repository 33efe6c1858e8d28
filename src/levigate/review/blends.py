"""Blends of emulsifiers that remedies are made of: the nearest that meets an HLB, a partner, a pair for an oil."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import ROUND_CEILING, Decimal
from fractions import Fraction

import numpy as np

from levigate.errors import PercentError
from levigate.formula.model import Formula
from levigate.formula.percent import adjust, deal_out, decimals
from levigate.quantities.graph import Floats
from levigate.quantities.inputs import Inputs
from levigate.review.changes import added
from levigate.science.hlb import emulsifier_fraction
from levigate.shelf.catalogue import Shelf

#: Well-tried emulsifiers that are offered as a partner, and as a pair for an oil without any.
PARTNERS = ("polysorbate 80", "polysorbate 60", "sorbitan oleate", "sorbitan stearate")
PAIR = ("polysorbate 80", "sorbitan oleate")
#: One that goes by its own dose, offered where there is none or where the wrong type would result.
OWN_DOSE = "polyglyceryl-3 methylglucose distearate"
SOLUBILISER = "polysorbate 20"
#: Places of percents that a blend is written with: 0.01 %.
_PLACES = 2


def centre(inputs: Inputs) -> dict[str, Floats]:
    """Return the inputs with their central values only."""
    return inputs.centre


def central(inputs: Inputs, *names: str) -> dict[str, Floats]:
    """Return the central values of quantities."""
    return inputs.central(*names)


def set_lines(formula: Formula, new: Mapping[int, Decimal]) -> Formula | None:
    """Return the formula with some lines set and q.s. (else all) giving way; None where that cannot be."""
    try:
        return adjust(formula, dict(new))
    except PercentError:
        return None


def up(percent: float, step: str = "0.1") -> Decimal:
    """Return a percent rounded up to a step; what is whole but for its last bits stays."""
    return Decimal(f"{percent:.9g}").quantize(Decimal(step), ROUND_CEILING)


def rated_lines(inputs: Inputs) -> list[int]:
    """Return places, among the lines of more than 0 %, of those that are all emulsifier judged by HLB."""
    return [int(i) for i in np.flatnonzero(np.isclose(inputs.given["emulsifier_rated"], 1.0))]


def asked_of(inputs: Inputs, required: float) -> float:
    """Return the HLB that the whole emulsifier lines must have together, what premixes bring being counted; nan."""
    given = centre(inputs)
    weight = given["mass_fraction"] * given["emulsifier_rated"]
    whole = rated_lines(inputs)
    rest = np.delete(weight * given["line_hlb"], whole).sum()
    total = weight[whole].sum()
    return float((required * weight.sum() - rest) / total) if total > 0 else float("nan")


def nearest_blend(formula: Formula, inputs: Inputs, required: float) -> Formula | None:
    """Return the formula whose emulsifiers, their sum kept, meet an HLB by the least change; None out of reach.

    The least is that of the sum of squares; for two emulsifiers there is but one blend.
    """
    places, wanted = rated_lines(inputs), asked_of(inputs, required)
    hlb = inputs.given["line_hlb"][places]
    if len(places) < 2 or not hlb.min() <= wanted <= hlb.max() or hlb.min() == hlb.max():
        return None
    positions = [inputs.positions[i] for i in places]
    now = [formula.percents[position] for position in positions]
    total = sum(now, Decimal(0))
    found = _projected(np.array([float(percent) for percent in now]), hlb, float(total) * wanted)
    if found is None:
        return None
    fine = max([_PLACES, *(decimals(percent) for percent in now)])
    exact = [Fraction(share) for share in found]
    scale = Fraction(total) / sum(exact)
    percents = list(formula.percents)
    for position, percent in zip(positions, deal_out([share * scale for share in exact], fine), strict=True):
        percents[position] = percent
    return formula.with_percents(tuple(percents))


def _projected(now: Floats, hlb: Floats, moment: float) -> Floats | None:
    """Return the nearest amounts of the same sum and with a given sum of amount times HLB, none below 0."""
    used, total = np.ones(len(now), bool), now.sum()
    while used.sum() >= 1:
        rows = np.stack([np.ones(used.sum()), hlb[used]])
        short = np.array([total, moment]) - rows @ now[used]
        step = np.linalg.lstsq(rows, short, rcond=None)[0]
        found = np.zeros(len(now))
        found[used] = now[used] + step
        if not np.allclose(rows @ found[used], [total, moment], rtol=1e-9):
            return None
        if (found >= -1e-12).all():
            return np.maximum(found, 0.0)
        used &= found > 0
    return None


def with_partner(formula: Formula, shelf: Shelf, inputs: Inputs, required: float) -> tuple[str, Formula] | None:
    """Return the first partner with which the emulsifiers meet an HLB, their sum kept, and the formula."""
    places, wanted = rated_lines(inputs), asked_of(inputs, required)
    given = centre(inputs)
    weight = given["mass_fraction"][places]
    if not places or not weight.sum() > 0:
        return None
    mean = float(weight @ given["line_hlb"][places] / weight.sum())
    largest = inputs.positions[places[int(weight.argmax())]]
    letter = [phase.letter for phase, _ in formula.lines()][largest]
    there = {shelf.key(line.material) for _, line in formula.lines()}
    for name in PARTNERS:
        record = shelf.get(name)
        if record is None or not record.hlb or shelf.key(name) in there:
            continue
        keep = float(emulsifier_fraction(wanted, mean, record.hlb[0].si("share")))
        if not 0.05 <= keep <= 0.95:
            continue
        mended = _shared_out(formula, shelf, inputs, name, keep, letter)
        if mended is not None:
            return name, mended
    return None


def _shared_out(formula: Formula, shelf: Shelf, inputs: Inputs, name: str, keep: float, letter: str) -> Formula | None:
    names = [line.material for _, line in formula.lines()]
    kept = {inputs.positions[i]: formula.percents[inputs.positions[i]] for i in rated_lines(inputs)}
    total = sum(kept.values(), Decimal(0))
    quantum = Decimal(1).scaleb(-max([_PLACES, *(decimals(percent) for percent in kept.values())]))
    less = {position: (percent * Decimal(keep)).quantize(quantum) for position, percent in kept.items()}
    grown = added(formula, shelf, name, total - sum(less.values(), Decimal(0)), letter=letter)
    if grown is None:
        return None
    at = next(i for i, (_, line) in enumerate(grown.lines()) if line.material == name and name not in names)
    percents = list(formula.percents)
    for position, percent in less.items():
        percents[position] = percent
    percents.insert(at, total - sum(less.values(), Decimal(0)))
    return grown.with_percents(tuple(percents))


def pair_for(formula: Formula, shelf: Shelf, required: float, percent: Decimal, letter: str) -> Formula | None:
    """Return the formula with so much of the offered pair, blended to meet an HLB, in a phase; None out of reach."""
    records = [shelf.get(name) for name in PAIR]
    if any(record is None or not record.hlb for record in records):
        return None
    high, low = (record.hlb[0].si("share") for record in records if record is not None)
    share = float(emulsifier_fraction(required, high, low))
    if not 0.05 <= share <= 0.95:
        return None
    first = (percent * Decimal(share)).quantize(Decimal("0.01"))
    grown = added(formula, shelf, PAIR[0], first, letter=letter)
    return added(grown, shelf, PAIR[1], percent - first, letter=letter) if grown is not None else None
