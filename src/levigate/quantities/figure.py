"""A figure: what a person sees of a quantity. Value, spread, unit, working, where each input came from."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

from levigate.quantities.graph import Floats, Quantity, evaluate, leaves, quantities
from levigate.quantities.inputs import EXACT, SUPPLY, Input, Inputs
from levigate.quantities.saying import bench_unit, to_bench, with_spread
from levigate.quantities.working import working
from levigate.shelf.record import GRADES

#: Grades of a figure: as those of a value, and ``exact`` where every input is stated or by definition.
FIGURE_GRADES = (EXACT, *GRADES)


@dataclass(frozen=True, slots=True)
class Row:
    """One entry of a figure that has a value for each line or each substance."""

    name: str
    value: float
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Figure:
    """A computed quantity as shown to a person, in units of the bench.

    ``value`` is nan where it is not known; ``unknown`` then says what is missing and what would supply it.
    ``low`` and ``high`` hold 95 % of the draws; None where every input is exact.
    """

    name: str
    title: str
    value: float
    low: float | None
    high: float | None
    unit: str
    grade: str
    method: str
    holds: str
    seen_off: str
    source: str
    place: str
    inputs: tuple[Input, ...]
    rows: tuple[Row, ...] = ()
    unknown: str = ""
    basis: Inputs | None = field(default=None, repr=False, compare=False)

    @property
    def known(self) -> bool:
        """Whether there is a number."""
        return not self.unknown

    def working(self) -> tuple[str, ...]:
        """Return the equation with the numbers put in; empty where the figure is not known."""
        if self.unknown or self.basis is None:
            return ()
        return working(self.name, self.basis)

    def say(self) -> str:
        """Return the figure in one line."""
        if self.unknown:
            return "not known"
        if self.rows:
            return f"{len(self.rows)} entries"
        text = f"{with_spread(self.value, self.low, self.high)} {self.unit}"
        if self.low is None or self.high is None:
            return text
        return f"{text} ({with_spread(self.low, self.low, self.high)} to {with_spread(self.high, self.low, self.high)})"


#: Figures of a review, in the order in which they are shown.
SHOWN = (
    "density",
    "batch_mass",
    "volume",
    "mass_per_container",
    "volume_per_container",
    "water_content",
    "oil_phase_share",
    "cost",
    "cost_per_container",
    "volume_fraction",
    "substance_fraction",
)


def figures(inputs: Inputs, names: Iterable[str] = SHOWN) -> dict[str, Figure]:
    """Return figures of the quantities named; one that the formula's ``makes`` does not ask for is left out."""
    wanted = [name for name in names if _asked_for(name, inputs)]
    arrays = evaluate([name for name in wanted if not _lacking(name, inputs)], inputs.given)
    found = {}
    for name in wanted:
        found[name] = _figure(quantities()[name], arrays.get(name), inputs)
    return found


def _asked_for(name: str, inputs: Inputs) -> bool:
    if name in ("cost", "cost_per_container") and not inputs.currency:
        return False
    if name in ("batch_mass", "volume") and inputs.formula.makes is None:
        return False
    if name in ("mass_per_container", "volume_per_container", "cost_per_container"):
        return bool(inputs.formula.makes and inputs.formula.makes.containers)
    return True


def _lacking(name: str, inputs: Inputs) -> list[str]:
    return [leaf for leaf in leaves(name, inputs.given) if leaf not in inputs.given]


def _figure(what: Quantity, array: Floats | None, inputs: Inputs) -> Figure:
    behind = _behind(what.name, inputs)
    unit = bench_unit(what.unit).replace("money", inputs.currency or "money")
    unknown = _what_is_missing(what.name, inputs)
    low = high = None
    value = math.nan
    rows: tuple[Row, ...] = ()
    if array is not None and not unknown:
        if what.each:
            rows = _rows(what, array, inputs)
        else:
            value, low, high = _spread(array, what.unit)
    grades = [entry.grade for entry in behind] or [EXACT]
    measured = what.name in inputs.formula.measured and what.name in inputs.given
    return Figure(
        name=what.name,
        title=what.title,
        value=value,
        low=low,
        high=high,
        unit=unit,
        grade=max(grades, key=FIGURE_GRADES.index),
        method="as measured on this product" if measured else what.equation,
        holds="" if measured else what.holds,
        seen_off="" if measured else what.seen_off,
        source="own-word" if measured else what.source,
        place=what.place,
        inputs=behind,
        rows=rows,
        unknown=unknown,
        basis=inputs,
    )


def _spread(array: Floats, unit: str) -> tuple[float, float | None, float | None]:
    flat = np.atleast_1d(array)
    value = to_bench(float(flat[0]), unit)
    if flat.size == 1:
        return value, None, None
    low, high = np.quantile(flat[1:], (0.025, 0.975))
    if high - low <= 1e-9 * abs(high):  # the draws cancel: what was stated comes back
        return value, None, None
    return value, to_bench(float(low), unit), to_bench(float(high), unit)


def _rows(what: Quantity, array: Floats, inputs: Inputs) -> tuple[Row, ...]:
    names = inputs.materials if what.each == "lines" else inputs.substances
    table = np.atleast_2d(array)
    scale = to_bench(1.0, what.unit)
    if len(table) == 1:
        rows = [Row(name, float(value) * scale) for name, value in zip(names, table[0], strict=True)]
    else:
        low, high = np.quantile(table[1:], (0.025, 0.975), axis=0) * scale
        rows = [Row(name, float(table[0, i]) * scale, float(low[i]), float(high[i])) for i, name in enumerate(names)]
    return tuple(sorted(rows, key=lambda row: -row.value)) if what.each == "substances" else tuple(rows)


def _behind(name: str, inputs: Inputs) -> tuple[Input, ...]:
    if name in inputs.behind:
        return inputs.behind[name]
    return tuple(entry for leaf in leaves(name, inputs.given) for entry in inputs.behind.get(leaf, ()))


def _what_is_missing(name: str, inputs: Inputs) -> str:
    """Return a sentence on the missing inputs and the cheapest way to supply them; empty where nothing is missing."""
    if name in inputs.given:
        return ""
    for leaf in _lacking(name, inputs):
        return f"{leaf.replace('_', ' ')} is not given: {SUPPLY.get(leaf, 'give it')}."
    for leaf in leaves(name, inputs.given):
        array = np.atleast_2d(inputs.given[leaf])
        if not np.isnan(array).any():
            continue
        if leaf == "mass_fraction":
            return f"the lines add up to {inputs.formula.total} %, not to 100 %: {SUPPLY[leaf]}."
        if leaf in ("material_oil", "material_composition"):
            names = [part for part in inputs.substances if part not in inputs.materials] or list(inputs.materials)
            return (
                'part of the composition is not on the shelf: write it into the formula file under [materials."..."].'
            )
        blanks = [inputs.materials[i] for i in np.flatnonzero(np.isnan(array[0]))]
        names = blanks[:3]
        more = f" and {len(blanks) - 3} more" if len(blanks) > 3 else ""
        said = SUPPLY[leaf].format(names=" and ".join(names), first=names[0])
        return f"the {leaf.removeprefix('material_')} of {', '.join(names)}{more} is not known: {said}."
    return ""
