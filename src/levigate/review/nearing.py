"""Remedies that bring a formula to a range of pH: solved at once at the pH wanted, cheap enough for every review."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, Decimal
from functools import cached_property

import numpy as np

from levigate.errors import PercentError
from levigate.formula.model import Formula, plain
from levigate.formula.percent import adjust
from levigate.formula.premix import WATER, substances
from levigate.quantities.acids import FAR_BEYOND, MOST_SHIFT
from levigate.quantities.graph import Floats
from levigate.quantities.inputs import Inputs
from levigate.review.changes import added
from levigate.review.findings import Remedy, Situation
from levigate.science.acidity import REFERENCE_TEMPERATURE
from levigate.science.charge_balance import LN10, Water
from levigate.shelf.catalogue import Shelf
from levigate.shelf.species import species

#: What raises a pH and what lowers it, as a bench has it; the first that can is offered.
RAISING = ("sodium hydroxide 10 %", "arginine")
LOWERING = ("citric acid", "lactic acid 80 %")
#: How far inside a range a remedy leads, so that the next lot is inside too, and how much further at most. [1]
MARGIN, _FURTHER = 0.2, 0.1
#: How much further where a reading and the sum differ, so that one amount serves both. [1]
_FURTHER_READ = 0.6
#: The least room for the answer, where a range is next to none. [1]
_NARROW = 0.02
#: More of an acid or a base is no adjustment any more. [%]
_MOST = Decimal(20)
#: Steps of a percent that are tried, the roundest first. [%]
_STEPS = tuple(Decimal(step) for step in ("0.1", "0.01", "0.001", "0.0001"))
#: Rounds in which the ionic strength settles, and how well. [mol/kg]
_ROUNDS, _SETTLED = 40, 1e-6

#: Said where a reading no longer holds.
READING_GOES = " The pH on file goes, for it is that of the formula before: measure again."


@dataclass(frozen=True, slots=True)
class _Water:
    """What is dissolved in a mass of something, and the water that it is dissolved in."""

    #: Moles of each solute in a mass of it. [mol/kg]
    amount: Floats
    #: [1]
    water: float


@dataclass(frozen=True)
class _Solutes:
    """Constants of the solutes, those of what may be added among them."""

    keys: tuple[str, ...]
    pka: Floats
    charge: Floats
    medium: Water

    @cached_property
    def lost(self) -> Floats:
        """How many protons each form has lost. [1]"""
        return np.arange(self.pka.shape[-1] + 1.0)

    @cached_property
    def ladder(self) -> Floats:
        """Minus the natural logarithm of the constants down to each form. [1]"""
        return np.concatenate([np.zeros((len(self.keys), 1)), LN10 * np.cumsum(self.pka, axis=-1)], axis=-1)


def into_range(
    situation: Situation,
    low: float,
    high: float,
    *,
    margin: float = MARGIN,
    most: int = 1,
) -> tuple[list[Remedy], str]:
    """Return remedies that bring the pH of a formula into a range, and why there is none, empty where there is one.

    A measured pH is believed: what must be in the water unsaid to make it is taken along, and a remedy is offered
    where the formula is inside both with it and without it.

    Parameters
    ----------
    situation : Situation
        A formula whose pH is known, and lies outside.
    low, high : float
        Ends of the range, minus infinity and infinity where there is none. [1]
    margin : float
        How far inside the remedy leads, less in a narrow range. [1]
    most : int
        How many remedies there may be. [1]
    """
    figure = situation.figures.get("ph")
    if figure is None or not figure.known:
        return [], "How much it takes cannot be computed: its pH is not known."
    why = not_computed(situation)
    if why:
        return [], why
    rising = figure.value < low
    read = "pH" in situation.formula.measured
    near, far = _aims(low, high, margin, _FURTHER_READ if read else _FURTHER, rising=rising)
    bench = _Charged.of(situation)
    found, offered = list[Remedy](), [name for name in (RAISING if rising else LOWERING) if name in situation.shelf]
    for name in offered:
        if len(found) == most:
            break
        percent = bench.percent(name, near, far)
        mended = None if percent is None else _with(situation, name, percent)
        if percent is None or mended is None:
            continue
        reaches = low + margin if rising else high - margin
        inside = f", {margin:.2g} inside the range" if abs(near - reaches) < 1e-9 else ""
        goes = READING_GOES if mended.measured != situation.formula.measured else ""
        found.append(
            Remedy(
                f"Bring it to pH {near:.3g}{inside}, with {plain(percent)} % of {name} in all: half of it first, then "
                f"by drops to the meter.{goes}",
                mended,
            )
        )
    return found, "" if found else bench.refusal(offered, near, far)


def not_computed(situation: Situation) -> str:
    """Return why no sum tells how much acid or base a formula takes; empty where one does."""
    if not situation.formula.adds_up:
        return "Mend the sum of its lines first."
    unknown = situation.inputs.unnamed.get("substance_acidity", ())
    if unknown:
        return f"How much it takes cannot be computed, for what {unknown[0]} takes up is not known."
    if not situation.inputs.names.get("ladders", ())[:-2]:
        return "How much it takes cannot be computed: nothing in it that holds a pH is known."
    return ""


def _aims(low: float, high: float, margin: float, further: float, *, rising: bool) -> tuple[float, float]:
    """Return the pH to reach, and the furthest beyond it that will do."""
    inward = min(margin, (high - low) / 2)
    near = low + inward if rising else high - inward
    if high - low < 2 * (margin + _NARROW):
        return (near - _NARROW, near + _NARROW) if rising else (near + _NARROW, near - _NARROW)
    return (near, min(near + further, high - margin)) if rising else (near, max(near - further, low + margin))


def _with(situation: Situation, name: str, percent: Decimal) -> Formula | None:
    """Return the formula with so much of a material, without a pH that was measured before."""
    formula, line = situation.formula, _line(situation, name)
    try:
        grown = added(formula, situation.shelf, name, percent) if line is None else adjust(formula, {line: percent})
    except PercentError:
        return None
    return None if grown is None else unread(grown)


def unread(formula: Formula) -> Formula:
    """Return a formula without the pH that was measured of what it was made from."""
    if "pH" not in formula.measured:
        return formula
    return replace(formula, measured={key: entry for key, entry in formula.measured.items() if key != "pH"})


def _line(situation: Situation, name: str) -> int | None:
    """Return the line that a material stands on."""
    key = situation.shelf.key(name) or name
    for position, _, line, _ in situation.lines():
        if (situation.shelf.key(line.material) or line.material) == key and line.percent > 0:
            return position
    return None


@dataclass(frozen=True, slots=True)
class _Charged:
    """A formula as charges in water."""

    situation: Situation
    inputs: Inputs
    given: dict[str, Floats]
    solutes: _Solutes
    whole: _Water
    #: Charge in a kilogram of water that is not in the sum: none, and what a measured pH calls for. [mol/kg]
    unsaid: tuple[float, ...]

    @classmethod
    def of(cls, situation: Situation) -> _Charged:
        """Return the formula of a situation."""
        inputs = situation.inputs
        given, found = inputs.centre, inputs.central("solute_molality", "dissolving_water")
        water = float(found["dissolving_water"])
        keys = inputs.names["ladders"][:-2]
        medium = Water.at(np.asarray(REFERENCE_TEMPERATURE), given["davies_constant"])
        solutes = _Solutes(keys, given["solute_pka"][:-2], given["solute_charge"][:-2], medium)
        molality = found["solute_molality"][:-2]
        whole = _Water(molality * water, water)
        if "pH" not in situation.formula.measured:
            return cls(situation, inputs, given, solutes, whole, (0.0,))
        at = np.asarray(situation.figures["ph"].value)
        left = _balance(molality, solutes, at[None])
        return cls(situation, inputs, given, solutes, whole, (0.0, -float(left[0])))

    def percent(self, name: str, near: float, far: float, unsaid: tuple[float, ...] | None = None) -> Decimal | None:
        """Return the roundest percent of a material that brings the pH between two; None where none does."""
        formula, unsaid = self.situation.formula, self.unsaid if unsaid is None else unsaid
        brought = _brought(self.situation.shelf, name, self.solutes)
        position = _line(self.situation, name)
        if brought is None or (position is not None and position == formula.qs):
            return None
        solutes, adds = brought
        held = float(formula.percents[position]) / 100 if position is not None else 0.0
        mix = self._mix(solutes, adds, held)
        needed = 100 * _solve(mix, solutes, np.repeat([near, far], len(unsaid)), np.tile(unsaid, 2))
        least, last = needed[: len(unsaid)].max(), needed[len(unsaid) :].min()
        room = _MOST if formula.qs is None else min(_MOST, formula.percents[formula.qs] + Decimal(str(100 * held)))
        if not 100 * held < least <= last or not self._holds(mix, solutes, least / 100, near, far):
            return None
        for step in _STEPS:
            percent = (Decimal(repr(float(least))) / step).to_integral_value(ROUND_CEILING) * step
            if percent <= last:
                return percent if percent < room else None
        return None

    def _holds(self, mix: _Mix, solutes: _Solutes, x: float, near: float, far: float) -> bool:
        """Return whether what comes along unsaid hardly shifts the pH that is reached."""
        water = mix.water + x * mix.water_slope
        left = _balance((mix.amount + x * mix.amount_slope) / water, solutes, np.array([near, far]))
        share = self.given["mass_fraction"] @ self.given["material_composition"]
        shift = share @ self.given["substance_trace_half"] / water * (far - near) / (left[0] - left[1])
        return bool(shift <= MOST_SHIFT)

    def refusal(self, offered: Sequence[str], near: float, far: float) -> str:
        """Return why no amount of what is offered stands in the file."""
        if not offered:
            return "The shelf has nothing for it."
        for name in offered if len(self.unsaid) > 1 else ():
            percent = self.percent(name, near, far, self.unsaid[1:])
            if percent is not None:
                return (
                    f"By what the meter read it takes about {plain(percent)} % of {name}; the sum without that reading "
                    "says another amount, so it is not written for you."
                )
        return (
            f"No amount of {' or '.join(offered)} up to {plain(_MOST)} % does it by computation: what is in it holds "
            "its pH too firmly, nothing gives way, or nothing would hold the new pH."
        )

    def _mix(self, solutes: _Solutes, adds: _Water, held: float) -> _Mix:
        """Return what is in the formula as a straight line in the share of what is added."""
        grown = np.zeros(len(solutes.keys))
        grown[: self.whole.amount.size] = self.whole.amount
        without, water = grown - held * adds.amount, self.whole.water - held * adds.water
        giver = self.situation.formula.qs
        if giver is None:
            without, water = without / (1 - held), water / (1 - held)
            return _Mix(without, adds.amount - without, water, adds.water - water)
        gives = self._giver(giver, len(solutes.keys))
        amount, wet = adds.amount - gives.amount, adds.water - gives.water
        return _Mix(without + held * gives.amount, amount, water + held * gives.water, wet)

    def _giver(self, position: int, count: int) -> _Water:
        """Return what a mass of the line that gives way holds."""
        row = self.inputs.positions.index(position)
        picked = self.given["material_composition"][row, self.given["acid_pick"].astype(int)]
        amount = np.zeros(count)
        amount[: self.whole.amount.size] = (picked * self.given["acid_purity"]) @ self.given["acid_solutes"]
        return _Water(amount, float(self.given["material_water"][row] + picked @ self.given["acid_water"]))


@dataclass(frozen=True, slots=True)
class _Mix:
    """Moles of each solute and water, as they change with the share of what is added."""

    amount: Floats
    amount_slope: Floats
    water: float
    water_slope: float


def _brought(shelf: Shelf, name: str, solutes: _Solutes) -> tuple[_Solutes, _Water] | None:
    """Return the solutes with those of a material among them, and what a mass of it holds; None where unknown."""
    parts = {key: float(share) for key, share in substances(shelf, name).items()}
    water = parts.pop(WATER, 0.0)
    known = [species().find(part) for part in parts]
    acting = [one for one in known if one is not None]
    if len(acting) < len(known) or not acting:
        return None
    ladders = species().ladders(acting)
    moles = np.array([share * one.amount_per_mass for share, one in zip(parts.values(), acting, strict=True)])
    water += float(moles @ [one.brought_water for one in acting])
    new = [i for i, key in enumerate(ladders.keys) if key not in solutes.keys]
    keys = (*solutes.keys, *(ladders.keys[i] for i in new))
    steps = max(solutes.pka.shape[-1], ladders.pka.shape[-1])
    pka = np.full((len(keys), steps), np.inf)
    pka[: len(solutes.keys), : solutes.pka.shape[-1]] = solutes.pka
    pka[len(solutes.keys) :, : ladders.pka.shape[-1]] = ladders.pka[new]
    charge = np.concatenate([solutes.charge, ladders.charge[new]])
    amount = np.zeros(len(keys))
    amount[[keys.index(key) for key in ladders.keys]] = moles @ ladders.holds
    return _Solutes(keys, pka, charge, solutes.medium), _Water(amount, water)


def _solve(line: _Mix, solutes: _Solutes, ph: Floats, unsaid: Floats) -> Floats:
    """Return the share at which the charges cancel at each pH: at a pH the balance is linear in it. [1]"""
    strength = np.full(ph.shape, 0.1)
    with np.errstate(all="ignore"):
        for _ in range(_ROUNDS):
            charge, square, own, net = _charges(solutes, ph, strength)
            net = net + unsaid
            x = -(charge @ line.amount + net * line.water) / (charge @ line.amount_slope + net * line.water_slope)
            water = line.water + x * line.water_slope
            moles = square @ line.amount + x * (square @ line.amount_slope)
            after = np.clip(0.5 * (moles / water + own), 0.0, 2 * FAR_BEYOND)
            if np.nanmax(np.abs(after - strength)) < _SETTLED:
                good = (x >= 0) & (x < 1) & (water > 0) & (after <= FAR_BEYOND)
                return np.where(good, x, np.nan)
            strength = after
    return np.full(ph.shape, np.nan)


def _balance(molality: Floats, solutes: _Solutes, ph: Floats) -> Floats:
    """Return the charge left over at each pH in a kilogram of water. [mol/kg]"""
    strength = np.full(ph.shape, 0.1)
    for _ in range(_ROUNDS):
        charge, square, own, net = _charges(solutes, ph, strength)
        after = 0.5 * (square @ molality + own)
        if np.abs(after - strength).max() < _SETTLED:
            break
        strength = after
    return np.asarray(charge @ molality + net)


def _charges(solutes: _Solutes, ph: Floats, strength: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Return the mean charge of each solute and its mean square; hydrogen and hydroxide ions, and their charge."""
    u, g = LN10 * ph, solutes.medium.shielding(np.sqrt(strength))
    z = solutes.charge[:, None] - solutes.lost
    power = solutes.lost * u[:, None, None] - solutes.ladder + z**2 * g[:, None, None]
    form = np.exp(power - power.max(-1, keepdims=True))
    total = form.sum(-1)
    hydrogen, hydroxide = solutes.medium.own_ions(u, g)
    return (form * z).sum(-1) / total, (form * z * z).sum(-1) / total, hydrogen + hydroxide, hydrogen - hydroxide
