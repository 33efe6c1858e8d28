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
    ratio = ours / theirs
    what = "density and volume, 1,000,000 × 15, over the bare numpy expression"
    yield Row(what, f"{ratio:.2f} ×", "at most 3 ×", ratio <= 3 and same)
    yield _linear("rows", _ROWS, [_seconds(n, 15) for n in _ROWS])
    yield _linear("lines", _LINES, [_seconds(50_000, n) for n in _LINES])


def _seconds(rows: int, lines: int) -> float:
    return best(lambda: evaluate(["density", "volume"], given_cached(rows, lines)), repeats=7)


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
    what = f"cost by {word}, {' : '.join(f'{n:,}' for n in sizes)}"
    return Row(what, f"{said} (power {power:.2f})", "power at most 1.2", power <= 1.2)
