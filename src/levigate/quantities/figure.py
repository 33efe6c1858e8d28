"""A figure: what a person sees of a quantity. Value, spread, unit, working, where each input came from."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from levigate.formula.model import HUNDRED, plain
from levigate.formula.premix import WATER
from levigate.quantities.graph import Floats, Quantity, evaluate, leaves, quantities
from levigate.quantities.inputs import SUPPLY, Inputs
from levigate.quantities.melting import CLIMATES
from levigate.quantities.saying import bench_unit, digits, to_bench, with_spread
from levigate.quantities.sourced import EXACT, UNKNOWN, Input
from levigate.quantities.spread import interval
from levigate.quantities.working import as_given, working
from levigate.shelf.record import GRADES

#: Grades of a figure: as those of a value, ``exact`` where every input is stated or by definition, and ``unknown``.
FIGURE_GRADES = (EXACT, *GRADES, UNKNOWN)
#: Leaf of the graph -> how it is called where it is not its own name.
_LEAF_WORDS = {
    "line_active": "active matter",
    "material_oil": "affinity",
    "material_water": "water",
    "phase_temperature": "temperature",
    "cool_down": "cool-down temperature",
    "heated_water": "water",
    "density_reading": "density",
    "powder_d50": "grain",
    "substance_acidity": "effect on the pH",
    "powder_sigma": "spread of the grain",
    "powder_bulk": "bulk density",
    "ph": "pH",
}
#: Entries of a figure with rows that are named when it is said in one line.
_NAMED = 3
#: Draws that may lie outside the range of a method before the figure is not known. [1]
_MAY_BE_OUTSIDE = 0.025
#: Draws behind a figure with a row for each climate.
_FEW = 200
#: High end over low end from which each is said with digits of its own.
_WIDE = 2.0


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
    #: Most digits after the point that it deserves; None where its spread alone decides.
    decimals: int | None = None
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
        unit = f" {self.unit}" if self.unit not in ("", "-") else ""
        if self.rows:
            most = sorted(self.rows, key=lambda row: -row.value)[:_NAMED] if len(self.rows) > _NAMED + 1 else self.rows
            named = [
                f"{row.name} {with_spread(row.value, row.low, row.high)}{'' if math.isnan(row.value) else unit}"
                for row in most
            ]
            more = len(self.rows) - len(most)
            return ", ".join(named) + (f" and {more} more" if more else "")
        if self.decimals is not None:
            ends = [end for end in (self.value, self.low, self.high) if end is not None]
            value, *spread = (f"{end:.{self.decimals}f}" for end in ends)
            return f"{value}{unit}" + (f" ({' to '.join(spread)})" if spread else "")
        if self.low is None or self.high is None:
            return f"{with_spread(self.value, None, None)}{unit}"
        if self.low <= 0 or self.high > _WIDE * self.low:  # so wide that the two ends do not share their digits
            return f"{digits(self.value, 2)}{unit} ({digits(self.low, 2)} to {digits(self.high, 2)})"
        value, low, high = (with_spread(end, self.low, self.high) for end in (self.value, self.low, self.high))
        return f"{value}{unit} ({low} to {high})"


#: Figures of a review, in the order in which they are shown.
SHOWN = (
    "density",
    "density_by_climate",
    "batch_mass",
    "volume",
    "mass_per_container",
    "volume_per_container",
    "warm_volume",
    "warm_level",
    "lasts",
    "water_content",
    "oil_phase_share",
    "required_hlb",
    "emulsifier_hlb",
    "hlb_gap",
    "emulsifier_per_oil",
    "emulsifier_sides",
    "drops_share",
    "creaming_speed",
    "active_matter",
    "active_by_charge",
    "amphoteric_per_anionic",
    "salt_share",
    "ph",
    "ionic_strength",
    "buffer_value",
    "free_acid",
    "free_acid_drift",
    "free_acid_content",
    "cost",
    "cost_per_container",
    "joined_temperature",
    "cooling_time",
    "water_evaporated",
    "water_evaporated_share",
    "yield_stress",
    "thickness",
    "clear_viscosity_by_climate",
    "solid_fraction",
    "crowding",
    "yield_needed",
    "held_share",
    "settling_speed",
    "bulk_density",
    "poured_air",
    "poured_volume",
    "air_share",
    "solid_share",
    "water_activity",
    "growth_room",
    "preservative_dose",
    "preservative_of_limit",
    "preservative_uncharged",
    "preservative_in_water",
    "preservative_working",
    "saturation",
    "saturation_cold",
    "acid_saturation",
    "acid_saturation_cold",
    "oil_distance",
    "volume_fraction",
    "substance_fraction",
)
#: Figures that are shown only where the formula holds a powder that stays solid.
_OF_POWDERS = ("solid_fraction", "crowding", "yield_needed", "held_share", "settling_speed",
               "bulk_density", "poured_air")  # fmt: skip
#: Inputs of which some entries may be unknown; what rests on them says so itself.
_MAY_BE_BLANK = frozenset(
    {
        "kinematic_reading",
        "walther_slope",
        "flow_activation",
        "substance_density",
        "flow_dose",
        "flow_yield",
        "flow_consistency",
        "flow_exponent",
        "substance_melting_start",
        "substance_melting_end",
        "preservative_log_kow",
        "measured_ph",
    }
)


def figures(inputs: Inputs, names: Iterable[str] | None = None) -> dict[str, Figure]:
    """Return figures of the quantities named, else of all that the formula asks for by its ``makes`` and its prices."""
    wanted = [name for name in SHOWN if _asked_for(name, inputs)] if names is None else list(names)
    judges = [quantities()[name].coarse for name in wanted if quantities()[name].coarse and name not in inputs.given]
    able = [name for name in (*wanted, *judges) if not _lacking(name, inputs)]
    rare = [name for name in able if quantities()[name].each == "climates"]
    arrays = inputs.evaluate(*(name for name in able if name not in rare))
    if rare:  # four rows each: with all draws they would cost as much as all other figures together
        few = {key: value[: _FEW + 1] if key in inputs.drawn else value for key, value in inputs.given.items()}
        arrays |= evaluate(rare, few)
    coarse = {name for name in judges if name in arrays and np.atleast_1d(arrays[name])[0] > 1}
    return {
        name: _figure(quantities()[name], arrays.get(name), inputs, coarse=quantities()[name].coarse in coarse)
        for name in wanted
    }


def _asked_for(name: str, inputs: Inputs) -> bool:
    """Return whether the formula asks for a figure: by its prices, its powders, what it makes, what was measured."""
    makes = inputs.formula.makes
    contained = makes is not None and bool(makes.containers)
    asked = {
        "cost": bool(inputs.currency),
        "cost_per_container": bool(inputs.currency) and contained,
        "batch_mass": makes is not None,
        "volume": makes is not None,
        "mass_per_container": contained,
        "volume_per_container": contained,
        "warm_volume": contained and "fill_temperature" in inputs.given,
        "warm_level": contained and {"fill_temperature", "brimful_volume"} <= set(inputs.given),
        "lasts": contained and "daily_mass" in inputs.given,
        "solid_share": inputs.waxy and WATER not in inputs.substances,
        "air_share": "density" in inputs.formula.measured,
        "poured_volume": bool(inputs.powders) and makes is not None,
        **dict.fromkeys(_OF_POWDERS, bool(inputs.powders)),
        **inputs.asked,
    }
    return asked.get(name, True)


def _lacking(name: str, inputs: Inputs) -> list[str]:
    return [leaf for leaf in leaves(name, inputs.given) if leaf not in inputs.given]


def _figure(what: Quantity, array: Floats | None, inputs: Inputs, *, coarse: bool) -> Figure:
    behind = _behind(what.name, inputs)
    unknown = _what_is_missing(what.name, inputs)
    value, low, high = math.nan, None, None
    rows: tuple[Row, ...] = ()
    if array is not None and not unknown:
        unknown = _outside(what, array, inputs)
    if array is not None and not unknown:
        if what.each:
            rows = _rows(what, array, inputs)
        else:
            value, low, high = _spread(array, what.shown)
    decimals = what.decimals
    if decimals is not None and coarse:
        decimals -= 1
        value, low, high = _rounded(value, low, high, decimals)
    grade = UNKNOWN if unknown else max((entry.grade for entry in behind), key=FIGURE_GRADES.index, default=EXACT)
    stated = as_given(what.name, inputs)
    return Figure(
        name=what.name,
        title=what.title,
        value=value,
        low=low,
        high=high,
        unit=bench_unit(what.shown).replace("money", inputs.currency or "money"),
        grade=grade,
        method=stated or what.equation,
        holds="" if stated else what.holds,
        seen_off="" if stated else what.seen_off,
        source="own-word" if stated else what.source,
        place="" if stated else what.place,
        inputs=behind,
        rows=rows,
        unknown=unknown,
        decimals=decimals,
        basis=inputs,
    )


def _rounded(
    value: float, low: float | None, high: float | None, decimals: int
) -> tuple[float, float | None, float | None]:
    """Return a value rounded, and its ends rounded away from it."""
    scale = 10.0**decimals
    down = None if low is None else math.floor(low * scale) / scale
    up = None if high is None else math.ceil(high * scale) / scale
    return round(value, decimals), down, up


def _outside(what: Quantity, array: Floats, inputs: Inputs) -> str:
    """Return why a quantity is not known though its inputs are; empty where it is, for nearly all draws too."""
    table = np.atleast_2d(array) if what.each else np.atleast_1d(array)[:, None]
    missing = np.isnan(table)
    # A balm may have set in one climate and be liquid in the next: each row says so for itself.
    blank = np.asarray(missing.all(-1) if what.each == "climates" else missing.any(-1))
    why = "The spread of its inputs reaches to where it is not known. " if not blank[0] else ""
    if blank[0] or (blank.size > 1 and blank[1:].mean() > _MAY_BE_OUTSIDE):
        beyond = _beyond(what, inputs)
        return why + (f"{beyond}." if beyond else "It lies outside the range of its method.")
    return ""


def _beyond(what: Quantity, inputs: Inputs) -> str:
    """Return why a quantity is not known though its inputs are: what the first quantity that is not known says."""
    for need in what.needs:
        known = quantities().get(need)
        if known is None or need in inputs.given or not _explains(need):
            continue
        if np.isnan(inputs.central(need)[need]).any() and (why := _beyond(known, inputs)):
            return why
    return what.beyond


@lru_cache(maxsize=256)
def _explains(name: str) -> bool:
    """Return whether a quantity, or one that it needs, says why it may not be known."""
    known = quantities().get(name)
    return known is not None and (bool(known.beyond) or any(map(_explains, known.needs)))


def _spread(array: Floats, unit: str) -> tuple[float, float | None, float | None]:
    flat = np.atleast_1d(array)
    if flat.size == 1:
        return to_bench(float(flat[0]), unit), None, None
    low, high = interval(flat[1:])
    return _spread_of(float(flat[0]), float(low), float(high), unit)


def _spread_of(value: float, low: float, high: float, unit: str) -> tuple[float, float | None, float | None]:
    shown = to_bench(value, unit)
    if math.isnan(value) or high - low <= 1e-9 * abs(high):  # the draws cancel: what was stated comes back
        return shown, None, None
    return shown, to_bench(low, unit), to_bench(high, unit)


def _rows(what: Quantity, array: Floats, inputs: Inputs) -> tuple[Row, ...]:
    names = {
        "lines": inputs.materials,
        "substances": inputs.substances,
        "powders": inputs.powders,
        "thickeners": inputs.thickeners,
        "climates": CLIMATES,
        **inputs.names,
    }[what.each]
    table = np.atleast_2d(array)
    if len(table) == 1:
        rows = [Row(name, to_bench(float(value), what.shown)) for name, value in zip(names, table[0], strict=True)]
    else:
        blank = np.isnan(table)
        table = np.where(np.isnan(table[0]) | (blank[1:].mean(0) > _MAY_BE_OUTSIDE), np.nan, table)
        centre, (low, high) = table[0].tolist(), (end.tolist() for end in interval(table[1:]))
        each = zip(names, centre, low, high, strict=True)
        rows = [Row(name, *_spread_of(value, least, most, what.shown)) for name, value, least, most in each]
    return tuple(sorted(rows, key=lambda row: -row.value)) if what.each == "substances" else tuple(rows)


def _behind(name: str, inputs: Inputs) -> tuple[Input, ...]:
    if name in inputs.behind:
        return inputs.behind[name]
    return tuple(entry for leaf in leaves(name, inputs.given) for entry in inputs.behind.get(leaf, ()))


def _what_is_missing(name: str, inputs: Inputs) -> str:
    """Return a sentence on the missing inputs and the cheapest way to supply them; empty where nothing is missing."""
    if lacking := _lacking(name, inputs):
        return f"The {_words(lacking[0])} is not given: {SUPPLY[lacking[0]]}."
    for leaf in leaves(name, inputs.given):
        if leaf not in _MAY_BE_BLANK and inputs.is_blank(leaf):
            return _blank(leaf, inputs)
    return ""


def _blank(leaf: str, inputs: Inputs) -> str:
    if leaf == "mass_fraction":
        total = inputs.formula.total
        if total == HUNDRED:  # the q.s. line is below nought
            return f"The other lines leave nothing for the q.s. line: {SUPPLY[leaf]}."
        return f"The lines add up to {plain(total)} %, not to 100 %: {SUPPLY[leaf]}."
    if leaf in inputs.unnamed:
        names = list(inputs.unnamed[leaf])
    else:
        table = np.atleast_2d(inputs.given[leaf])
        called = inputs.powders if leaf.startswith("powder_") else inputs.materials
        called = inputs.names["phases"] if leaf.startswith("phase_") else called
        names = list(dict.fromkeys(called[i] for i in np.flatnonzero(np.isnan(table[0]))))
    more = f" and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
    how = SUPPLY[leaf].format(names=" and ".join(names[:_NAMED]), first=names[0])
    return f"The {_words(leaf)} of {', '.join(names[:_NAMED])}{more} is not known: {how}."


def _words(leaf: str) -> str:
    return _LEAF_WORDS.get(leaf, leaf.removeprefix("material_").replace("_", " "))
