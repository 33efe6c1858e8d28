"""The standing column: its speed against LSODA, and its error against the solutions of Kynch (1952).

``python -m benchmarks.settling`` prints the rows and the table of error by cells.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np
from scipy.integrate import solve_ivp

from benchmarks.timing import Row, best
from levigate.science.column import Column
from levigate.science.column_flux import Particles
from levigate.science.constants import Floats

YEAR = 365.25 * 86400
HEIGHT, CELLS, CLASSES = 0.05, 200, 8
SOLID = np.full(CLASSES, 0.0125)
#: Speeds of eight classes over that of the fastest, as of diameters from 1 to 1/16.
SPREAD = np.geomspace(1, 1 / 256, CLASSES)
#: Speed of the fastest class: all settle within the year; most hang through it. [m/s]
CASES = {"all settle": 1e-6, "most hang": 1e-9}
SUDDEN = (5.6, 0.62, 0.0)
#: The slip fades towards packing, so that an integrator of ordinary equations meets no jump.
GENTLE = (5.6, 0.62, 1.0)
#: Relative tolerances tried; the third is the default.
TOLERANCES = (1e-2, 1e-4, 1e-3)

#: Exponent, packing fraction and packing exponent.
KYNCH = {"A": (0.0, 0.6, 1.0), "B": (2.0, 1.0, 0.0), "C": (4.65, 0.6, 0.0)}
SIZES = (50, 100, 200, 400, 800)


def rows() -> Iterator[Row]:
    """Yield what was measured."""
    for name, fastest in CASES.items():
        time = best(partial(year, fastest, SUDDEN))
        said = f"{time:.3f} s, {year(fastest, SUDDEN).steps} steps"
        yield Row(f"a year of 8 classes in 200 cells, {name}", said, "at most 0.3 s", time <= 0.3)
    ratio, said = against_lsoda(CASES["all settle"], cells=100, banded=False)
    yield Row("LSODA as it comes over the column, 100 cells, all settle", said, "at least 10 ×", ratio >= 10)
    for name, fastest in CASES.items():
        said = against_lsoda(fastest, cells=CELLS, banded=True)[1]
        yield Row(f"LSODA told the band of its Jacobian, 200 cells, {name}", said, "", None)
    for law in KYNCH:
        power = order(law)
        yield Row(f"order of convergence, Kynch {law}", f"{power:.2f}", "at least 0.8", power >= 0.8)


def year(
    fastest: float,
    law: tuple[float, float, float],
    cells: int = CELLS,
    times: list[float] | None = None,
) -> Column:
    """Return a year of eight classes."""
    n, packed_at, p = law
    return Column.settle(
        HEIGHT, YEAR, SOLID, fastest * SPREAD, exponent=n, packing_fraction=packed_at, packing_exponent=p,
        cells=cells, times=times,
    )  # fmt: skip


def against_lsoda(fastest: float, *, cells: int, banded: bool) -> tuple[float, str]:
    """Return how often the column is done while LSODA, at its best, comes as near to a finer grid."""
    fine = year(fastest, GENTLE, 8 * cells, [YEAR]).concentration[0]
    true = fine.reshape(CLASSES, cells, -1).mean(2)

    def off(found: Floats) -> float:
        return float(np.abs(found - true).sum(0).mean() / SOLID.sum())

    time = best(partial(year, fastest, GENTLE, cells, [YEAR]))
    error = off(year(fastest, GENTLE, cells, [YEAR]).concentration[0])
    runs = []
    for tolerance in TOLERANCES if banded else TOLERANCES[-1:]:
        integrate = partial(integrated, fastest, tolerance, cells, banded)
        runs.append((best(integrate, repeats=2), off(integrate())))
    near = [run for run in runs if run[1] <= 1.05 * error]
    spent, missed = min(near) if near else min(runs, key=lambda run: run[1])
    said = f"{spent / time:.1f} × ({time:.3f} s, error {error:.3f}; {spent:.2f} s, {missed:.3f})"
    return spent / time, said


def integrated(fastest: float, tolerance: float, cells: int, banded: bool) -> Floats:
    """Return the same year by LSODA, from the same differences in height."""
    speed = fastest * SPREAD[:, np.newaxis] * cells / HEIGHT
    particles = Particles(SOLID[:, np.newaxis], speed, 0 * speed, *GENTLE)

    def rate(_: float, flat: Floats) -> Floats:
        fraction = np.ascontiguousarray(flat.reshape(cells, CLASSES).T)
        return particles.faces(fraction).rate().T.ravel()

    # A cell is changed by the two next to it on either side.
    reach = 3 * CLASSES - 1
    band = {"lband": reach, "uband": reach} if banded else {}
    found = solve_ivp(
        rate, (0, YEAR), np.tile(SOLID, cells), method="LSODA", t_eval=[YEAR],
        rtol=tolerance, atol=tolerance * 1e-3, **band,
    )  # fmt: skip
    return np.asarray(found.y[:, -1].reshape(cells, CLASSES).T)


def error(law: str, cells: int) -> float:
    """Return the mean error over the first fraction, 0.2; A half way, B and C after height over velocity."""
    at, bed, top = {
        "A": (0.5, 1 / 6, 2 / 3),
        "B": (1.0, 0.17, 0.36),
        "C": (1.0, 0.2 * 0.8**4.65 / 0.4, 1 - 0.8**4.65),
    }[law]
    parts = 2000
    z = (np.arange(cells * parts) + 0.5) / (cells * parts)
    packed = (4 + np.sqrt(4 - 12 * np.minimum(z, 0.17))) / 6 if law == "B" else np.full_like(z, 0.6)
    exact = np.where(z < bed, packed, np.where(z < top, 0.2, 0)).reshape(cells, parts).mean(1)
    n, packed_at, p = KYNCH[law]
    found = Column.settle(
        1.0, at, [0.2], [1.0], exponent=n, packing_fraction=packed_at, packing_exponent=p,
        cells=cells, times=[at],
    )  # fmt: skip
    return float(np.abs(found.concentration[0, 0] - exact).mean() / 0.2)


def order(law: str) -> float:
    """Return the power of the cell height that the error goes with."""
    return -float(np.polyfit(np.log(SIZES), np.log([error(law, cells) for cells in SIZES]), 1)[0])


def main() -> None:
    """Print the rows and the table of errors."""
    for row in rows():
        mark = "" if row.holds is None else "holds" if row.holds else "MISSED"
        print(f"{row.what:60s} {row.measured:52s} {row.goal:14s} {mark}", flush=True)
    print("\nmean error over the first fraction, by cells")
    print("law " + "".join(f"{cells:>11d}" for cells in SIZES) + "      order")
    for law in KYNCH:
        print(f"{law:4s}" + "".join(f"{error(law, cells):11.2e}" for cells in SIZES) + f"{order(law):11.2f}")


if __name__ == "__main__":
    main()
