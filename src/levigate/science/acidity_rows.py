"""Arrays of solutions as `acidity` and `titration` are called with, laid out as rows and back."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from levigate.science.charge_balance import LN10, Solutes, Water
from levigate.science.constants import ArrayLike, Floats

__all__ = ["Chunk", "Given"]

# Beyond these there is no solution in water: mol/kg, pKa, elementary charges, kg/mol.
_MOST_MOLAL, _MOST_PKA, _MOST_CHARGED, _MOST_DAVIES = 100.0, 40.0, 12.0, 1.0
# So many rows at a time stay in the cache of a processor.
_CHUNK = 8192


@dataclass(frozen=True, slots=True, eq=False)
class Chunk:
    """Some rows, worked on at once."""

    #: Where they belong in the result.
    place: NDArray[np.intp]
    solutes: Solutes
    #: Another mixture of the same solutes.
    reagent: Solutes
    water: Water
    #: The further arguments of which there is one number per row.
    beside: tuple[Floats, ...]


class Given:
    """What a call came with. A row that holds something impossible is left out, and is nan in the result."""

    def __init__(
        self,
        solutes: tuple[ArrayLike, ArrayLike, ArrayLike],
        temperature: ArrayLike,
        davies_constant: ArrayLike,
        *beside: ArrayLike,
        reagent: ArrayLike = (0.0,),
    ) -> None:
        """Take molality (..., solute), pKa (..., solute, step) and charge (..., solute), and one number per row."""
        m, k, z, r = (np.asarray(x, float) for x in (*solutes, reagent))
        singles = [np.asarray(x, float) for x in (temperature, davies_constant, *beside)]
        leads = (m.shape[:-1], k.shape[:-2], z.shape[:-1], r.shape[:-1])
        self.shape = np.broadcast_shapes(*leads, *(x.shape for x in singles))
        (count,) = np.broadcast_shapes(m.shape[-1:], k.shape[-2:-1], z.shape[-1:], r.shape[-1:])

        m, r = (_rows(np.broadcast_to(x, (*self.shape, count)), self.shape, 1) for x in (m, r))
        k = _rows(np.broadcast_to(k, (*k.shape[:-2], count, k.shape[-1])), self.shape, 2)
        z = _rows(np.broadcast_to(z, (*z.shape[:-1], count)), self.shape, 1)
        kelvin, b, *rest = (_rows(x, self.shape, 0) for x in singles)

        water = Water.at(kelvin, b)
        sound = np.ones(math.prod(self.shape), bool)
        for possible in (
            ((m >= 0) & (m <= _MOST_MOLAL)).all(axis=0),
            (np.abs(r) <= _MOST_MOLAL).all(axis=0),
            (np.abs(z) <= _MOST_CHARGED).all(axis=0),
            _is_ladder(k).all(axis=0),
            np.isfinite(water.slope),
            np.abs(b) <= _MOST_DAVIES,
            *(np.isfinite(x) for x in rest),
        ):
            sound &= possible
        self._place = np.flatnonzero(sound)
        self._solutes, self._reagent, self._water, self._beside = _gather(m, k, z), _gather(r, k, z), water, rest

    def chunks(self) -> Iterator[Chunk]:
        """Yield the possible rows, some at a time."""
        for start in range(0, len(self._place), _CHUNK):
            rows = self._place[start : start + _CHUNK]
            beside = tuple(x[rows] if x.shape[-1] > 1 else x for x in self._beside)
            yield Chunk(rows, self._solutes.part(rows), self._reagent.part(rows), self._water.part(rows), beside)

    def empty(self) -> Floats:
        """Return a result that is nan in every row, to be filled with what the chunks give."""
        return np.full(math.prod(self.shape), np.nan)


def _rows(x: Floats, shape: tuple[int, ...], inner: int) -> Floats:
    """Return an array with its rows along the last axis: one column where all rows share it."""
    own = x.shape[x.ndim - inner :]
    shared = math.prod(x.shape[: x.ndim - inner]) == 1
    flat = x.reshape(1, *own) if shared else np.broadcast_to(x, (*shape, *own)).reshape(math.prod(shape), *own)
    return np.ascontiguousarray(np.moveaxis(flat, 0, -1))


def _is_ladder(pka: Floats) -> NDArray[np.bool_]:
    """Return whether each solute's constants are known: numbers first, then infinite ones for steps that it has not."""
    number = np.abs(pka) <= _MOST_PKA
    missing = np.logical_or.accumulate(~number, axis=1)
    return np.asarray((np.where(missing, pka == np.inf, number)).all(axis=1))


def _gather(molality: Floats, pka: Floats, charge: Floats) -> Solutes:
    """Return the solutes by rising number of steps, those that never give nor take protons as sums."""
    steps = np.isfinite(pka).any(axis=-1).sum(axis=-1)
    weak = np.argsort(steps, kind="stable")[(steps == 0).sum() :]
    ions, bare = molality[steps == 0], charge[steps == 0]
    with np.errstate(all="ignore"):
        sums = (ions * bare).sum(axis=0), (ions * bare**2).sum(axis=0)
    shared = pka.shape[-1] == 1 and charge.shape[-1] == 1
    return Solutes(molality[weak], LN10 * pka[weak], charge[weak], tuple(int(n) for n in steps[weak]), shared, *sums)
