"""Speed of a screen: compositions judged for hold or settle, with all flow properties."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from benchmarks.timing import Row, best
from levigate.formula.text import own_shelf, read_formula
from levigate.quantities.graph import Floats, evaluate
from levigate.quantities.inputs import gather

_TEXT = """
levigate = 1
[formula]
name = "Bench suspension"
[[phase]]
letter = "A"
lines = [
  { material = "zinc oxide", percent = 8, grain = { d50 = "2 um", d90 = "6 um" } },
  { material = "isoamyl laurate", percent = 18 },
  { material = "silica dimethyl silylate 5 % in caprylic/capric triglyceride", percent = 50 },
  { material = "squalane", percent = "q.s." },
]
"""
#: What says whether it holds or settles, and how it flows.
WANTED = ("yield_stress", "thickness", "yield_needed", "held_share", "settling_speed", "crowding")
_ROWS = 100_000


def given() -> dict[str, Floats]:
    """Return 100,000 compositions round one formula, central values of everything else."""
    formula = read_formula(_TEXT)
    inputs = gather(formula, own_shelf(formula), draws=0)
    arrays = {name: array[0] if name in inputs.drawn else array for name, array in inputs.given.items()}
    rng = np.random.default_rng(3)
    fractions = arrays["mass_fraction"] * rng.uniform(0.8, 1.25, (_ROWS, len(inputs.materials)))
    return {**arrays, "mass_fraction": fractions / fractions.sum(-1, keepdims=True)}


def rows() -> Iterator[Row]:
    """Yield what was measured."""
    many = given()
    found = evaluate(WANTED, many)
    whole = all(np.isfinite(found[name]).all() for name in WANTED)
    seconds = best(lambda: evaluate(WANTED, many), repeats=5)
    rate = _ROWS / seconds
    what = "compositions screened for hold or settle, all flow properties"
    yield Row(what, f"{rate:,.0f} a second", "at least 100,000 a second", rate >= 1e5 and whole)
