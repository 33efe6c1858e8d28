"""Which containers a batch fills: as many of each size as leave the least over, in the fewest containers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from levigate.bench.batch import Batch
from levigate.errors import BatchError, UnitError
from levigate.formula.text import read_makes
from levigate.science.filling import containers_best_mix
from levigate.words import tr


@dataclass(frozen=True, slots=True)
class Fill:
    """So many containers of one size. [g]"""

    size: str
    grams: float
    count: int


def best_mix(batch: Batch, sizes: str) -> tuple[tuple[Fill, ...], float]:
    """Return how many containers of each size to fill, and the grams left over.

    Parameters
    ----------
    batch : Batch
        A planned batch.
    sizes : str
        One to three sizes, as ``"50 mL, 30 mL, 15 mL"``.

    Raises
    ------
    BatchError
        When a size is no amount, a volume is asked for and the density is not known, or no container is filled.
    """
    grams = []
    names = [size.strip() for size in sizes.split(",") if size.strip()]
    if not 1 <= len(names) <= 3:
        says = tr('"{sizes}" does not name one to three sizes; write for example --into "50 mL, 30 mL".')
        raise BatchError(says.format(sizes=sizes))
    for name in names:
        try:
            size = read_makes(name)
        except UnitError as trouble:
            raise BatchError(f"--into: {trouble}") from trouble
        if size.mass is not None:
            grams.append(size.mass * 1000)
        elif size.volume is not None and batch.density.known:
            grams.append(size.volume * 1e6 * batch.density.value)
        else:
            says = tr("A volume can be filled by weight only when the density is known: {why}")
            raise BatchError(says.format(why=batch.density.unknown))
    counts = containers_best_mix(batch.yield_grams / 1000, np.array(grams) / 1000)
    if not np.isfinite(counts).all() or not counts.any():
        says = tr("{grams} g fills no container of {sizes}, or far too many to try.")
        raise BatchError(says.format(grams=f"{batch.yield_grams:.4g}", sizes=tr(" or ").join(names)))
    fills = tuple(Fill(name, mass, int(count)) for name, mass, count in zip(names, grams, counts, strict=True))
    return fills, batch.yield_grams - sum(fill.grams * fill.count for fill in fills)
