"""Speed of the charge balance: against PHREEQC on the same mixtures, and a million mixtures of five acids."""

from __future__ import annotations

import time
from collections.abc import Iterator

import numpy as np
from phreeqpython import PhreeqPython

from benchmarks.timing import Row, best
from levigate.science.acidity import acidity
from levigate.science.constants import Floats
from levigate.shelf.species import species

#: Citrate, phosphate and a plain cation, all with the Davies equation, as the sum here has them.
_SOLUTES = """
SOLUTION_MASTER_SPECIES
 Cit Cit-3 3 189.1 189.1
 Pho Pho-3 2 94.97 94.97
 Cat Cat+ 0 22.99 22.99
SOLUTION_SPECIES
 H+ = H+
  log_k 0
 H2O = OH- + H+
  log_k -13.9945
 Cat+ = Cat+
  log_k 0
 Cit-3 = Cit-3
  log_k 0
 H+ + Cit-3 = HCit-2
  log_k 6.396
 2H+ + Cit-3 = H2Cit-
  log_k 11.157
 3H+ + Cit-3 = H3Cit
  log_k 14.285
 Pho-3 = Pho-3
  log_k 0
 H+ + Pho-3 = HPho-2
  log_k 12.375
 2H+ + Pho-3 = H2Pho-
  log_k 19.573
 3H+ + Pho-3 = H3Pho
  log_k 21.721
END
"""
_FIVE = ("citric acid", "phosphoric acid", "lactic acid", "benzoic acid", "azelaic acid", "sodium hydroxide")


def mixtures(rows: int, names: tuple[str, ...]) -> tuple[Floats, Floats, Floats]:
    """Return random mixtures to 0.05 mol/kg of each, as `acidity` takes them."""
    known = species()
    ladders = known.ladders([known[name] for name in names])
    amounts = np.random.default_rng(7).uniform(0.001, 0.05, (rows, len(names)))
    return np.asarray(amounts @ ladders.holds), ladders.pka, ladders.charge


def by_phreeqc(program: PhreeqPython, molality: Floats) -> Floats:
    """Return the pH of each row by PHREEQC, one after the other."""
    found = np.empty(len(molality))
    for row, (citrate, phosphate, cation) in enumerate(molality):
        given = {"units": "mol/kgw", "temp": 25, "pH": "7 charge", "Cit": citrate, "Pho": phosphate, "Cat": cation}
        solution = program.add_solution(given)
        found[row] = solution.pH
        solution.forget()
    return found


def rows() -> Iterator[Row]:
    """Yield what was measured."""
    program = PhreeqPython()
    program.ip.run_string(_SOLUTES)
    molality, pka, charge = mixtures(10_000, ("citric acid", "phosphoric acid", "sodium hydroxide"))
    begun = time.perf_counter()
    theirs = by_phreeqc(program, molality)
    slow = time.perf_counter() - begun
    fast = best(lambda: acidity(molality, pka, charge), repeats=9)
    apart = float(np.abs(acidity(molality, pka, charge).ph - theirs).max())
    yield Row("pH per second over PHREEQC, 10,000 citrate and phosphate mixtures",
              f"{slow / fast:.0f} ×, {10_000 / fast:,.0f}/s", "at least 50 ×", slow / fast >= 50)  # fmt: skip
    yield Row("the same, greatest difference in pH", f"{apart:.4f}", "at most 0.01", apart <= 0.01)
    million = mixtures(1_000_000, _FIVE)
    begun = time.perf_counter()
    whole = np.isfinite(acidity(*million).ph).all()
    taken = time.perf_counter() - begun
    yield Row("pH of 1,000,000 mixtures of five acids", f"{taken:.1f} s", "under 15 s", bool(whole and taken < 15))
