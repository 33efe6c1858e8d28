"""Speed of the graph: a million compositions, against the bare numpy expression; cost by rows and by lines."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from benchmarks.timing import Row, best
from levigate.quantities.graph import Floats, evaluate


def given(rows: int, lines: int) -> dict[str, Floats]:
    """Return random compositions, with densities and a batch mass."""
    rng = np.random.default_rng(7)
    fractions = rng.random((rows, lines))
    fractions /= fractions.sum(-1, keepdims=True)
    return {
        "mass_fraction": fractions,
        "material_density": rng.uniform(800.0, 2600.0, lines),
        "batch_mass": np.asarray(0.5),
        "material_composition": np.eye(lines),
        "substance_water": np.eye(lines)[0],
        "substance_shrinks": np.zeros(lines),
    }


def rows() -> Iterator[Row]:
    """Yield what was measured."""
    million = given(1_000_000, 15)
    w, r, m = million["mass_fraction"], million["material_density"], million["batch_mass"]

    def bare() -> Floats:
        density = 1 / (w / r).sum(-1)
        return np.asarray(m / density)

    ours = best(lambda: evaluate(["density", "volume"], million), repeats=5)
    theirs = best(bare, repeats=5)
    same = np.allclose(evaluate(["volume"], million)["volume"], bare(), rtol=1e-13)
    yield Row("density and volume, 1,000,000 × 15, over the bare numpy expression", f"{ours / theirs:.2f} ×", "at most 3 ×",
              ours / theirs <= 3 and same)  # fmt: skip
    times = [best(lambda n=n: evaluate(["density", "volume"], given_cached(n, 15)), repeats=7) for n in _ROWS]
    yield _linear("rows", _ROWS, times)
    times = [best(lambda n=n: evaluate(["density", "volume"], given_cached(50_000, n)), repeats=7) for n in _LINES]
    yield _linear("lines", _LINES, times)


_ROWS = (50_000, 100_000, 200_000, 400_000)
_LINES = (8, 16, 32, 64)
_CACHE: dict[tuple[int, int], dict[str, Floats]] = {}


def given_cached(rows: int, lines: int) -> dict[str, Floats]:
    """Return the same compositions each time, so that making them is not timed."""
    if (rows, lines) not in _CACHE:
        _CACHE[rows, lines] = given(rows, lines)
    return _CACHE[rows, lines]


def _linear(word: str, sizes: tuple[int, ...], times: list[float]) -> Row:
    power = float(np.polyfit(np.log(sizes), np.log(times), 1)[0])
    said = " : ".join(f"{time / times[0]:.1f}" for time in times)
    return Row(f"cost by {word}, {' : '.join(f'{n:,}' for n in sizes)}", f"{said} (power {power:.2f})", "power at most 1.2", power <= 1.2)
