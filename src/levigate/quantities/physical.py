"""From a formula and a shelf to the inputs of flow and of powders: viscosities, flow curves, grain, packing."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from levigate import units
from levigate.formula.model import Formula, Line
from levigate.formula.premix import WATER
from levigate.quantities.graph import Floats
from levigate.quantities.sourced import EXACT, NORMAL_95, UNKNOWN, Input
from levigate.science.grain import grain_sigma
from levigate.shelf.catalogue import Shelf
from levigate.shelf.record import Flow, Material, Value

#: Closest packing taken for a powder whose own is not on record: between plates and spheres. [1]
_PACKING = Value(low=0.5, high=0.68, source="memory", grade="memory", note="no packing on record for this powder")
#: INCI names of what shrinks with water -> which table: ethanol, glycerol, propylene glycol.
_SHRINKS = {"alcohol": 1, "alcohol denat.": 1, "glycerin": 2, "propylene glycol": 3}
#: INCI names counted as glycerol in the viscosity of the water phase.
_POLYOLS = ("glycerin", "propylene glycol", "propanediol", "butylene glycol", "dipropylene glycol", "pentylene glycol",
            "diglycerin", "methylpropanediol", "sorbitol", "hexylene glycol")  # fmt: skip


@dataclass
class Physical:
    """Inputs of flow and of powders, to be put beside the others."""

    given: dict[str, Floats] = field(default_factory=dict)
    behind: dict[str, tuple[Input, ...]] = field(default_factory=dict)
    drawn: set[str] = field(default_factory=set)
    #: Place of each powder among the lines of more than 0 %.
    solid: tuple[int, ...] = ()
    powders: tuple[str, ...] = ()
    thickeners: tuple[str, ...] = ()
    #: Whether something in it melts and sets.
    waxy: bool = False


def stays_solid(record: Material, line: Line, *, dry: bool) -> bool:
    """Return whether a line is a powder that hangs in the product: its grain is stated, or nothing here dissolves it."""
    if line.grain is not None:
        return True
    if record.form != "powder" or record.kind in ("thickener", "film former"):
        return False
    return record.affinity == "insoluble" or (dry and record.affinity in ("water", "ethanol"))


def physical(
    formula: Formula,
    shelf: Shelf,
    lines: Sequence[tuple[int, Line]],
    substances: Sequence[str],
    rng: np.random.Generator,
    draws: int,
) -> Physical:
    """Return the inputs of flow and of powders.

    Parameters
    ----------
    formula : Formula
        The formula.
    shelf : Shelf
        Its shelf.
    lines : sequence of (position, Line)
        Lines of more than 0 %, in the order of the last axis of ``mass_fraction``.
    substances : sequence of str
        Substances, in the order of the last axis of ``substance_fraction``.
    rng, draws
        Source and number of random draws.
    """
    found = Physical()
    dry = WATER not in substances
    _powders(found, shelf, lines, dry=dry, rng=rng, draws=draws)
    _substances(found, shelf, substances)
    _thickeners(found, shelf, substances, rng, draws)
    height = formula.container.height if formula.container and formula.container.height else None
    if height is not None:
        found.given["fall_height"] = np.asarray(height)
        found.behind["fall_height"] = (Input("height of the filling", None, height, "m", EXACT, "own-word"),)
    return found


def _powders(
    found: Physical, shelf: Shelf, lines: Sequence[tuple[int, Line]], *, dry: bool, rng: np.random.Generator, draws: int
) -> None:
    solid: list[int] = []
    grains: list[Input] = []
    packings: list[tuple[float, float]] = []
    sigmas: list[float] = []
    for i, (position, line) in enumerate(lines):
        record = shelf.get(line.material)
        if record is None or not stays_solid(record, line, dry=dry):
            continue
        solid.append(i)
        d50, sigma, entry = _grain(record, line, position)
        grains.append(entry)
        sigmas.append(sigma if not math.isnan(d50) else math.nan)
        value = record.max_packing[0] if record.max_packing else _PACKING
        packings.append(_range(value, "share"))
    found.solid = tuple(solid)
    found.powders = tuple(lines[i][1].material for i in solid)
    liquid = np.ones(len(lines))
    liquid[solid] = 0.0
    centre, scatter = _drawn_ranges(packings, rng, draws)
    found.given |= {
        "powder_pick": np.array(solid, float),
        "line_liquid": liquid,
        "powder_d50": np.array([entry.value for entry in grains]),
        "powder_sigma": np.array(sigmas),
        "powder_packing": centre * scatter,
    }
    found.drawn.add("powder_packing")
    found.behind |= {
        "powder_d50": tuple(grains),
        "powder_packing": tuple(
            Input(f"packing of {name}", None, math.sqrt(low * high), "1", "memory", "memory", "", (high - low) / 2)
            for name, (low, high) in zip(found.powders, packings, strict=True)
        ),
    }


def _grain(record: Material, line: Line, position: int) -> tuple[float, float, Input]:
    """Return median, geometric standard deviation and provenance of a powder's grain. [m]"""
    label = f"grain of {line.material}"
    if line.grain is not None and line.grain.d50 is not None:
        sigma = float(grain_sigma(line.grain.d50, line.grain.d90)) if line.grain.d90 is not None else math.nan
        return line.grain.d50, sigma, Input(label, position, line.grain.d50, "m", "supplier", "own-word")
    if record.particle_d50:
        value = record.particle_d50[0]
        return value.si("length"), math.nan, Input(
            label, position, value.si("length"), "m", value.grade, value.source, value.place
        )  # fmt: skip
    return math.nan, math.nan, Input(label, position, math.nan, "m", UNKNOWN, "")


def _substances(found: Physical, shelf: Shelf, substances: Sequence[str]) -> None:
    records = [shelf.get(name) for name in substances]
    oily = [
        record is not None and record.affinity in ("oil", "silicone") and record.form in ("liquid", "gel", "paste")
        for record in records
    ]
    thin = [_kinematic(record) if record is not None else math.nan for record in records]
    density = [_density(record) if record is not None else math.nan for record in records]
    found.given |= {
        "substance_water": np.array([float(name == WATER) for name in substances]),
        "substance_polyol": np.array(
            [float(record is not None and record.inci.casefold() in _POLYOLS) for record in records]
        ),
        "substance_oil": np.array(oily, float),
        "substance_aqueous": np.array(
            [
                float(name == WATER or (record is not None and record.affinity in ("water", "ethanol")))
                for name, record in zip(substances, records, strict=True)
            ]
        ),
        "substance_shrinks": np.array(
            [float(_SHRINKS.get(record.inci.casefold(), 0)) if record is not None else 0.0 for record in records]
        ),
        "substance_unforeseen": _unforeseen(records),
        "substance_kinematic": np.array(thin),
        "substance_density": np.array(density),
    }
    _melting(found, records, substances)
    found.waxy = any(record is not None and record.kind in WAXY for record in records)
    found.behind["substance_kinematic"] = tuple(
        Input(f"viscosity of {name}", None, nu, "m²/s", *_word(record))
        for name, record, nu, oil in zip(substances, records, thin, oily, strict=True)
        if oil and not math.isnan(nu)
    )


def _unforeseen(records: Sequence[Material | None]) -> Floats:
    """Return 1 for each substance that gives body and has no flow curve for the outer phase, else 0."""
    dry = not any(record is not None and record.inci.casefold() == "aqua" for record in records)
    media = ("oil", "silicone") if dry else ("water",)
    curved = [record is not None and any(flow.medium in media for flow in record.flow) for record in records]
    lamellar = not dry and any(
        flows and record is not None and record.kind == "fatty alcohol or acid"
        for flows, record in zip(curved, records, strict=True)
    )
    kinds = {"thickener", "film former"}
    kinds |= {"wax", "butter", "fatty alcohol or acid"} if dry else {"surfactant", "conditioner"}
    if not dry and not lamellar:  # with a fatty alcohol the emulsifier is part of the curve of the two
        kinds |= {"emulsifier"}
    return np.array(
        [
            float(record is not None and record.kind in kinds and not flows and record.form != "liquid")
            if record is None or record.kind != "emulsifier"
            else float(record.kind in kinds and not flows)
            for flows, record in zip(curved, records, strict=True)
        ]
    )


#: Kinds that melt and set: what makes a balm hard.
WAXY = ("wax", "butter", "fatty alcohol or acid")


def _melting(found: Physical, records: Sequence[Material | None], substances: Sequence[str]) -> None:
    """Put the melting ranges of what belongs in the oil phase; a liquid without one is taken as liquid."""
    spans, melts, behind = [], [], []
    for name, record in zip(substances, records, strict=True):
        counted = record is not None and record.affinity in ("oil", "silicone") and record.form != "powder"
        melts.append(float(counted))
        low = high = math.nan
        if record is not None and record.melting_point:
            value = record.melting_point[0]
            low, high = _melting_range(value)
            if counted:
                behind.append(
                    Input(f"melting of {name}", None, (low + high) / 2, "K", value.grade, value.source, value.place)
                )
        elif record is not None and record.form in ("liquid", "gel"):
            low = high = 200.0
        spans.append((low, high))
    found.given |= {
        "substance_melts": np.array(melts),
        "substance_melting_start": np.array([low for low, _ in spans]),
        "substance_melting_end": np.array([high for _, high in spans]),
    }
    found.behind["substance_melting_start"] = tuple(behind)


def _melting_range(value: Value) -> tuple[float, float]:
    """Return start and end of melting; a single value stands for two kelvins to either side. [K]"""
    if value.low is not None and value.high is not None:
        return units.si(value.low, "temperature"), units.si(value.high, "temperature")
    middle = value.si("temperature")
    return middle - 2.0, middle + 2.0


def _word(record: Material | None) -> tuple[str, str]:
    values = record.kinematic_viscosity or record.viscosity if record is not None else ()
    return (values[0].grade, values[0].source) if values else (UNKNOWN, "")


def _kinematic(record: Material) -> float:
    if record.form not in ("liquid", "gel", "paste"):
        return math.nan
    if record.kinematic_viscosity:
        return record.kinematic_viscosity[0].si("kinematic viscosity")
    if record.viscosity and record.density:
        return record.viscosity[0].si("viscosity") / record.density[0].si("density")
    return math.nan


def _density(record: Material) -> float:
    return record.density[0].si("density") if record.density else math.nan


def _thickeners(found: Physical, shelf: Shelf, substances: Sequence[str], rng: np.random.Generator, draws: int) -> None:
    dry = WATER not in substances
    picked: list[tuple[int, str, list[Flow]]] = []
    for i, name in enumerate(substances):
        record = shelf.get(name)
        if record is None or not record.flow:
            continue
        media = ("oil", "silicone") if dry else ("water",)
        for medium in media:
            entries = sorted((e for e in record.flow if e.medium == medium), key=lambda e: e.share() or 0.0)
            if entries:
                picked.append((i, name, entries))
                break
    found.thickeners = tuple(name for _, name, _ in picked)
    size = max((len(entries) for _, _, entries in picked), default=1)
    doses = np.full((len(picked), size), np.nan)
    tables = {word: np.full((draws + 1, len(picked), size), np.nan) for word in ("yield", "consistency", "exponent")}
    behind: list[Input] = []
    for t, (_, name, entries) in enumerate(picked):
        doses[t, : len(entries)] = [entry.share() for entry in entries]
        chance = np.concatenate([[0.0], rng.standard_normal(draws)])
        for k, entry in enumerate(entries):
            for word, span, dimension in (
                ("yield", entry.yield_stress, "pressure"),
                ("consistency", entry.consistency, "pressure"),
                ("exponent", entry.index, "share"),
            ):
                low, high = span.si(dimension)
                tables[word][:, t, k] = _between(low, high, chance)
        first = entries[0]
        behind.append(Input(f"flow curve of {name}", None, math.nan, "", first.grade, first.source, first.place))
    in_water = 0.0 if dry else 1.0
    found.given |= {
        "thickener_pick": np.array([i for i, _, _ in picked], float),
        "thickener_in_water": np.full(len(picked), in_water),
        "flow_dose": doses,
        "flow_yield": tables["yield"],
        "flow_consistency": tables["consistency"],
        "flow_exponent": tables["exponent"],
    }
    found.drawn |= {"flow_yield", "flow_consistency", "flow_exponent"}
    for leaf in ("flow_yield", "flow_consistency", "flow_exponent"):
        found.behind[leaf] = tuple(behind)


def _between(low: float, high: float, chance: Floats) -> Floats:
    """Return lognormal draws whose 95 % lie from low to high; 0 draws evenly, for it has no logarithm."""
    if low <= 0:
        middle, half = (low + high) / 2, (high - low) / 2
        return np.asarray(np.abs(middle + half * chance / NORMAL_95))
    return np.asarray(math.sqrt(low * high) * np.exp(chance * math.log(high / low) / 2 / NORMAL_95))


def _range(value: Value, dimension: str) -> tuple[float, float]:
    if value.low is not None and value.high is not None:
        return units.si(value.low, dimension), units.si(value.high, dimension)
    number = value.si(dimension)
    half = units.si(value.spread, dimension) if value.spread is not None else 0.05 * number
    return number - half, number + half


def _drawn_ranges(ranges: Sequence[tuple[float, float]], rng: np.random.Generator, draws: int) -> tuple[Floats, Floats]:
    """Return the middles of ranges and factors of lognormal draws about them, the first row of ones."""
    centre = np.array([math.sqrt(low * high) for low, high in ranges])
    half = np.array([math.log(high / low) / 2 / NORMAL_95 for low, high in ranges])
    scatter = np.ones((draws + 1, len(ranges)))
    scatter[1:] = np.exp(rng.standard_normal((draws, len(ranges))) * half)
    return centre, scatter
