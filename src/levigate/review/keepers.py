"""What keeps germs down in a formula, taken together: which preservatives, how much of each works, against what."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from levigate.formula.model import Formula
from levigate.formula.premix import WATER
from levigate.quantities.graph import Floats, evaluate, leaves, quantities
from levigate.quantities.inputs import Inputs, gather
from levigate.quantities.sourced import ends_of
from levigate.quantities.spread import interval
from levigate.shelf.catalogue import Shelf
from levigate.shelf.preserving import GERMS, in_law, preserving
from levigate.shelf.record import Material

#: Water below which a water-free product only has a trace, brought along by its materials. [1]
TRACE = 0.01
#: Shares of the least usual dose from which a preservative counts in full, and at all. [1]
_ENOUGH, _SOME = 0.5, 0.1
#: Uncharged share below which next to nothing of a preservative works. [1]
HARDLY = 0.05


@dataclass(frozen=True, slots=True)
class Keeper:
    """One preservative of a formula, as what works of it."""

    name: str
    #: Positions of the lines that bring it.
    lines: tuple[int, ...]
    #: Mass fraction of the formula. [1]
    dose: float
    #: Usual doses. [1]
    low: float
    high: float
    #: Most that the law allows; infinite for no limit. [1]
    allowed: float
    #: pH of the product in which it works.
    window: tuple[float, float]
    acid: bool
    #: Shares uncharged in the water, and left in the water by oil and micelles; nan where not known. [1]
    uncharged: float
    in_water: float
    #: Mass fraction of the water phase that works, and that should: of the least usual dose, at the end of the window.
    working: float
    needed: float
    against: tuple[int, int, int]
    #: The pH of the product; nan where it is not known.
    ph: float

    @property
    def out_of_window(self) -> bool:
        """Whether the pH is one at which it does not keep or work."""
        return self.ph < self.window[0] or self.ph > self.window[1]

    @property
    def taken(self) -> bool:
        """Whether the dose and the pH are right and oil or micelles take too much of it."""
        return not self.out_of_window and self.dose >= self.low * (1 - 1e-9) and self.working < self.needed * (1 - 1e-9)

    @property
    def counts(self) -> tuple[int, int, int]:
        """How much it counts against each of `GERMS`."""
        if self.out_of_window or self.taken or self.dose < _SOME * self.low:
            return (0, 0, 0)
        if self.dose < _ENOUGH * self.low:
            bacteria, yeast, mould = (min(1, one) for one in self.against)
            return (bacteria, yeast, mould)
        return self.against


@dataclass(frozen=True, slots=True)
class Keeping:
    """All that keeps germs down in a formula."""

    keepers: tuple[Keeper, ...]
    #: Boosters by key, with their dose; not preservatives in law.
    boosters: tuple[tuple[str, float], ...]
    #: How much there is against each of `GERMS`: 2 or more is enough.
    against: Mapping[str, int]
    ph: float


def ph_of(inputs: Inputs) -> tuple[float, float, float]:
    """Return the pH with its 95 % interval; nan where it is not known."""
    if "ph" not in inputs.given and ("ph" not in quantities() or set(leaves("ph")) - set(inputs.given)):
        return math.nan, math.nan, math.nan
    found = np.atleast_1d(inputs.evaluate("ph")["ph"])
    rest = found[1:] if found.size > 1 else found
    if np.isnan(found[0]) or np.isnan(rest).mean() > 0.025:
        return math.nan, math.nan, math.nan
    low, high = interval(rest)
    return float(found[0]), float(low), float(high)


#: What was worked out last: the rules ask for the same one after another.
_last: list[tuple[Inputs, Keeping]] = []


def keeping_of(inputs: Inputs, shelf: Shelf) -> Keeping:
    """Return what keeps germs down in a formula, by the central values of its inputs."""
    for known, keeping in _last:
        if known is inputs:
            return keeping
    found = _worked_out(inputs, shelf)
    _last[:] = [(inputs, found)]
    return found


def _worked_out(inputs: Inputs, shelf: Shelf) -> Keeping:
    names = inputs.names["preservatives"]
    given = inputs.centre
    ph = ph_of(inputs)[0]
    wanted = ("preservative_dose", "preservative_uncharged", "preservative_in_water", "preservative_working")
    if "preservative_charged" not in given and math.isnan(ph):
        given["preservative_charged"] = np.where(np.isinf(given["preservative_pka"]), 0.0, np.nan)
        found = evaluate(wanted, given)
    else:
        found = inputs.central(*wanted)
    keepers = tuple(_keeper(shelf, inputs, given, found, i, ph) for i in range(len(names)))
    whole = given["mass_fraction"] @ given["material_composition"]
    boosters = _boosters(shelf, dict(zip(inputs.substances, whole.tolist(), strict=True)))
    against = [sum(keeper.counts[g] for keeper in keepers) for g in range(len(GERMS))]
    for key, dose in boosters:
        if dose >= _ENOUGH * _usual(shelf[preserving()[key].works_as])[0]:
            against = [count + min(1, more) for count, more in zip(against, preserving()[key].against, strict=True)]
    return Keeping(keepers, boosters, dict(zip(GERMS, against, strict=True)), ph)


def keeping_in(formula: Formula, shelf: Shelf) -> Keeping:
    """Return what keeps germs down in a formula."""
    return _worked_out(gather(formula, shelf, draws=0), shelf)


def water_in(inputs: Inputs) -> float:
    """Return the least mass fraction of water that there is. [1]"""
    if WATER not in inputs.substances:
        return 0.0
    column = inputs.given["material_composition"][:, inputs.substances.index(WATER)]
    return float(np.nan_to_num(inputs.given["mass_fraction"] @ column))


def _keeper(
    shelf: Shelf, inputs: Inputs, given: Mapping[str, Floats], found: Mapping[str, Floats], i: int, ph: float
) -> Keeper:
    name = inputs.names["preservatives"][i]
    record = shelf[name]
    low, high = _usual(record)
    window = ends_of(record.ph[0], "share") if record.ph else (-math.inf, math.inf)
    pka = float(given["preservative_pka"][i])
    worth = given["preservative_share"][:, i]
    brings = given["material_composition"] @ worth > 0
    at_end = 1 / (1 + 10.0 ** (window[1] - pka))

    def value(what: str) -> float:
        return float(found[what][i])

    return Keeper(
        name, tuple(inputs.positions[line] for line in np.flatnonzero(brings)), value("preservative_dose"), low, high,
        float(given["preservative_limit"][i]), window, math.isfinite(pka), value("preservative_uncharged"),
        value("preservative_in_water"), value("preservative_working"), low * at_end, preserving()[name].against, ph,
    )  # fmt: skip


def _usual(record: Material) -> tuple[float, float]:
    return ends_of(record.usual[0], "share") if record.usual else (0.0, math.inf)


def _boosters(shelf: Shelf, shares: Mapping[str, float]) -> tuple[tuple[str, float], ...]:
    known = preserving()
    return tuple(
        (name, share)
        for name, share in shares.items()
        if share > 0 and name in known and not in_law(shelf[known[name].works_as])
    )
