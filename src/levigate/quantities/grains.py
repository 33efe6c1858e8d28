"""The grain of each powder as the graph takes it: median and spread, drawn where they are stated only roughly."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from levigate.formula.grinds import grind_of
from levigate.formula.model import Grain
from levigate.quantities.graph import Floats
from levigate.quantities.sourced import NORMAL_95, UNKNOWN, Input, si_of
from levigate.science.grain import grain_median_by_sieves, grain_sigma, grain_sigma_by_sieves
from levigate.shelf.record import Material

#: What passes a sieve that is named without a share: the pharmacopoeia asks for 97 %, a mesh in the trade for less. [1]
_PASSES = (0.90, 0.995)
#: Geometric standard deviation of a milled powder, from and to. [1]
USUAL_SIGMA = (1.6, 3.2)
#: Half-width (95 %) of the opening of a sieve, as a share of it: between a new one of the standard and a worn one. [1]
_OPENING = 0.05


@dataclass(frozen=True, slots=True)
class _Powder:
    """Median and geometric standard deviation in row 0, draws below, and on whose word. [m], [1]"""

    d50: Floats
    sigma: Floats
    median: Input
    spread: Input | None = None


@dataclass(frozen=True, slots=True)
class Grains:
    """The grain of all powders: arrays with draws on the leading axis only where one of them is drawn."""

    d50: Floats
    sigma: Floats
    drawn: bool
    medians: tuple[Input, ...]
    spreads: tuple[Input, ...]


def grains(powders: Sequence[tuple[int, str, Grain | None, Material]], rng: np.random.Generator, draws: int) -> Grains:
    """Return the grain of powders.

    Parameters
    ----------
    powders : sequence of (position, name, Grain or None, Material)
        Position and name of each powder that stays solid, the grain that its line states, and its record.
    rng, draws
        Source and number of random draws.
    """
    found = [_grain(*powder, rng, draws) for powder in powders]
    drawn = any(one.d50.ndim for one in found)

    def stacked(arrays: Sequence[Floats]) -> Floats:
        rows = [np.broadcast_to(one, draws + 1) for one in arrays] if drawn else arrays
        return np.stack(rows, axis=-1) if rows else np.zeros(0)

    return Grains(
        stacked([one.d50 for one in found]),
        stacked([one.sigma for one in found]),
        drawn,
        tuple(one.median for one in found),
        tuple(one.spread for one in found if one.spread is not None),
    )


def _grain(
    position: int, name: str, stated: Grain | None, record: Material, rng: np.random.Generator, draws: int
) -> _Powder:
    label, grain = f"grain of {name}", stated or Grain()
    if grain.ground:
        return _ground(grain.ground, label, position, rng, draws)
    if grain.sieves:
        return _sieved(grain, label, position, rng, draws)
    d90 = grain.d90 if grain.d90 is not None else math.nan
    if grain.d50 is not None:
        entry = Input(label, position, grain.d50, "m", "supplier", "own-word")
    elif record.particle_d50 and not d90 < si_of(record.particle_d50[0], "length"):
        value = record.particle_d50[0]
        entry = Input(label, position, si_of(value, "length"), "m", value.grade, value.source, value.place)
    else:
        entry = Input(label, position, math.nan, "m", UNKNOWN, "")
    return _Powder(np.asarray(entry.value), grain_sigma(entry.value, d90), entry)


def _ground(word: str, label: str, position: int, rng: np.random.Generator, draws: int) -> _Powder:
    """Return the grain that a way of grinding usually gives."""
    grind = grind_of(word)
    low, high = grind.d50
    d50 = math.sqrt(low * high) * np.exp(_chance(rng, draws) * math.log(high / low) / 2)
    sigma = _sigma(grind.sigma, rng, draws)
    words = (grind.grade, grind.source, f"{grind.name}: {grind.says}" + (f"; {grind.place}" if grind.place else ""))
    return _Powder(
        d50,
        sigma,
        Input(label, position, float(d50[0]), "m", *words, (high - low) / 2),
        Input(f"spread of the {label}", position, float(sigma[0]), "1", *words, _half(grind.sigma)),
    )


def _sieved(grain: Grain, label: str, position: int, rng: np.random.Generator, draws: int) -> _Powder:
    """Return the grain that fits what passes sieves; from a single one, with the spread that milled powders have."""
    points = [(one.opening, one.passing) for one in grain.sieves]
    points += [(size, share) for size, share in ((grain.d50, 0.5), (grain.d90, 0.9)) if size is not None]
    names = " and ".join(one.says for one in grain.sieves)
    entry = Input(label, position, math.nan, "m", "supplier", "own-word", f"what passes {names}")
    # The sieves of one set are off together; sizes that are stated beside them are taken as they stand.
    opening = np.exp(_chance(rng, draws) * _OPENING)
    if len(points) > 1:
        shares = [_passing_usually() if share is None else share for _, share in points]
        sizes = np.stack([
            size * (opening if i < len(grain.sieves) else np.ones_like(opening)) for i, (size, _) in enumerate(points)
        ], axis=-1)  # fmt: skip
        d50, sigma = grain_median_by_sieves(sizes, shares), grain_sigma_by_sieves(sizes, shares)
        return _Powder(d50, sigma, replace(entry, value=float(d50[0]), spread=_OPENING * float(d50[0])))
    ((size, share),) = points
    probit = _probit(share, rng, draws)
    sigma = _sigma(USUAL_SIGMA, rng, draws)
    d50 = size * opening * sigma**-probit
    usual = Input(f"spread of the {label}", position, float(sigma[0]), "1", "memory", "memory", "milled powders",
                  _half(USUAL_SIGMA))  # fmt: skip
    grade, source, place = ("typical", "Ph-Eur-2.9.12", f"97 % taken to pass {names}") if share is None else (
        "supplier", "own-word", entry.place,
    )  # fmt: skip
    low, high = np.quantile(d50[1:], (0.025, 0.975)) if draws else (d50[0], d50[0])
    middle = replace(entry, value=float(d50[0]), grade=grade, source=source, place=place, spread=float(high - low) / 2)
    return _Powder(d50, sigma, middle, usual)


def _probit(share: float | None, rng: np.random.Generator, draws: int) -> Floats:
    """Return the normal deviate of what passes a sieve; drawn where the share is not said."""
    from scipy.special import ndtri

    if share is not None:
        return np.asarray(ndtri(share))
    low, high = ndtri(_PASSES)
    return np.asarray((low + high) / 2 + _chance(rng, draws) * (high - low) / 2)


def _passing_usually() -> float:
    """Return what passes a sieve of which no share is said. [1]"""
    from scipy.special import ndtr, ndtri

    return float(ndtr(ndtri(_PASSES).mean()))


def _sigma(ends: tuple[float, float], rng: np.random.Generator, draws: int) -> Floats:
    """Return geometric standard deviations above 1, of which nineteen in twenty lie between the ends. [1]"""
    low, high = (math.log(end) for end in ends)
    return np.exp(math.sqrt(low * high) * np.exp(_chance(rng, draws) * math.log(high / low) / 2))


def _chance(rng: np.random.Generator, draws: int) -> Floats:
    """Return 0 and then normal draws of which nineteen in twenty lie between -1 and 1."""
    found = np.zeros(draws + 1)
    found[1:] = rng.standard_normal(draws) / NORMAL_95
    return found


def _half(ends: tuple[float, float]) -> float:
    return (ends[1] - ends[0]) / 2
