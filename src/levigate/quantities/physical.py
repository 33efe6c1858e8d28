"""From a formula and a shelf to the inputs of flow and of powders: viscosities, flow curves, grain, packing."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from levigate import units
from levigate.formula.model import Grain, Line
from levigate.formula.premix import WATER
from levigate.quantities.capacity import OIL, Liquid, belongs_in, held, liquids
from levigate.quantities.gathered import Contents, Gathered, Materials
from levigate.quantities.grains import grains
from levigate.quantities.graph import Floats
from levigate.quantities.sourced import NORMAL_95, UNKNOWN, Input, ends_of, si_of
from levigate.quantities.swelling import density_of, melting_range, swelling_of
from levigate.quantities.thickening import OUTER_WATER, Thickening, thickening
from levigate.quantities.thinning import said_of, thinning_arrays, thinning_of
from levigate.shelf.record import Material, Value

#: Closest packing taken for a powder whose own is not on record: between plates and spheres. [1]
_PACKING = Value(low=0.5, high=0.68, source="memory", grade="memory", note="no packing on record for this powder")
#: INCI names of what shrinks with water -> which table: ethanol, glycerol, propylene glycol.
_SHRINKS = {"alcohol": 1, "alcohol denat.": 1, "glycerin": 2, "propylene glycol": 3}
#: INCI names counted as glycerol in the viscosity of the water phase.
_POLYOLS = ("glycerin", "propylene glycol", "propanediol", "butylene glycol", "dipropylene glycol", "pentylene glycol",
            "diglycerin", "methylpropanediol", "sorbitol", "hexylene glycol")  # fmt: skip
#: Half-width of the 95 % interval of a bulk density whose source gives none, as a share of the value, by grade: grades
#: of one powder, and how it was poured, differ far more than readings do.
_BULK_SPREAD = {"measured": 0.05, "handbook": 0.2, "supplier": 0.15, "typical": 0.3, "memory": 0.4}
#: What is more than so many times what the liquids hold stays a powder for all that is seen of it.
_MANY = 3.0
#: pKa below which an acid may be charged, and so dissolve, in a product for the skin.
_WEAK = 7.0


@dataclass
class Physical(Gathered):
    """Inputs of flow and of powders, to be put beside the others."""

    #: Place of each powder among the lines of more than 0 %.
    solid: tuple[int, ...] = ()
    powders: tuple[str, ...] = ()
    thickeners: tuple[str, ...] = ()
    #: Place of each line that brings a thickener among the lines of more than 0 %.
    thickened: tuple[int, ...] = ()
    #: Whether something in it melts and sets.
    waxy: bool = False


def stays_solid(record: Material, line: Line, among: Sequence[Liquid]) -> bool:
    """Return whether a line is a powder that hangs in the product: its grain is stated, or nothing here dissolves it.

    Parameters
    ----------
    record : Material
        Its material.
    line : Line
        The line.
    among : sequence of Liquid
        The liquids of the formula.
    """
    if hangs_by_intent(record, line, among):
        return True
    if record.form != "powder" or record.kind in ("thickener", "film former"):
        return False
    share = float(line.percent) / 100
    # How much of an acid dissolves in water rests on the pH, which is not known here.
    acid = record.pka and record.pka[0].values[0] < _WEAK and any(liquid.name == WATER for liquid in among)
    most = None if acid else _most(record, among)
    if most is not None and not most < share <= _MANY * most:
        return share > most
    # Where no solubility is on record, or somewhat more is in it, what finds less liquid than its own weight is taken
    # to stay a powder.
    dissolving = sum(liquid.share for liquid in among if liquid.name != OIL)
    return record.affinity in ("water", "ethanol") and dissolving < share


def hangs_by_intent(record: Material, line: Line, among: Sequence[Liquid]) -> bool:
    """Return whether a powder is one that is meant to hang: its grain is stated, or it belongs in neither phase."""
    if line.grain is not None:
        return True
    if record.form != "powder" or record.kind in ("thickener", "film former"):
        return False
    if record.kind == "powder" and record.affinity in ("insoluble", "silicone"):
        return True
    if record.affinity != "insoluble":
        return False
    most = _most(record, among)
    return most is None or float(line.percent) / 100 > most


def _most(record: Material, among: Sequence[Liquid]) -> float | None:
    """Return the share of the whole that the liquids a powder belongs in could dissolve; None where not known. [1]"""
    some = [among[i] for i in belongs_in(record, among)]
    return held(record, some) if some else None


def physical(contents: Contents) -> Physical:
    """Return the inputs of flow and of powders."""
    of, fluid, thick = contents.of, contents.of.once(_substances), contents.of.once(_thickening)
    whole = contents.whole()
    network = thick.networks(watery=float(whole @ fluid.given["substance_water"]) >= OUTER_WATER)
    among = contents.once(liquids_of)
    solid = tuple(
        i
        for i, (_, line) in enumerate(contents.lines)
        if i not in network and (record := of.records[of.keys[i]]) is not None and stays_solid(record, line, among)
    )
    grain = of.once(_powders, solid, tuple(contents.lines[i][1].grain for i in solid))
    found = Physical(
        solid=solid,
        powders=tuple(of.names[i] for i in solid),
        thickeners=thick.thickeners,
        thickened=thick.bringing,
        waxy=any(record is not None and record.kind in WAXY for record in map(of.records.get, of.substances)),
    )
    for one in (fluid, thick, grain):
        found.given |= one.given
        found.behind |= one.behind
        found.drawn |= one.drawn
    return found


def liquids_of(contents: Contents) -> tuple[Liquid, ...]:
    """Return the liquids of a formula that solids can dissolve in."""
    return liquids(contents.substances, contents.records, contents.whole())


def _thickening(of: Materials) -> Thickening:
    fluid = of.once(_substances).given
    return thickening(of, fluid["substance_aqueous"], fluid["substance_oil"])


def _powders(of: Materials, solid: tuple[int, ...], stated: tuple[Grain | None, ...]) -> Gathered:
    """Return the inputs of powders that stay solid, with the grain that each line states."""
    found, rng, draws = Gathered(), of.random("powders"), of.draws
    powders = [
        (of.positions[i], of.names[i], grain, record)
        for i, grain in zip(solid, stated, strict=True)
        if (record := of.records[of.keys[i]]) is not None
    ]
    # Numbers of their own: a grain that is drawn must not move what else is.
    grain = grains(powders, rng.spawn(1)[0], draws)
    packings = [record.max_packing[0] if record.max_packing else _PACKING for *_, record in powders]
    bulk = [_bulk(record, name, position) for position, name, _, record in powders]
    liquid = np.ones(len(of.names))
    liquid[list(solid)] = 0.0
    spans = [range_of(value, "share") for value in packings]
    centre, scatter = drawn_ranges(spans, rng, draws)
    found.given = {
        "powder_pick": np.array(solid, float),
        "line_liquid": liquid,
        "powder_d50": grain.d50,
        "powder_sigma": grain.sigma,
        "powder_packing": centre * scatter,
        "powder_bulk": _bulk_drawn(bulk, rng.spawn(1)[0], draws),
    }
    found.drawn = {"powder_packing", "powder_bulk"} | ({"powder_d50", "powder_sigma"} if grain.drawn else set())
    found.behind = {
        "powder_d50": grain.medians,
        "powder_sigma": grain.spreads,
        "powder_bulk": tuple(bulk),
        "powder_packing": tuple(
            Input(
                f"packing of {name}",
                position,
                math.sqrt(low * high),
                "1",
                value.grade,
                value.source,
                value.place,
                (high - low) / 2,
            )
            for (position, name, *_), value, (low, high) in zip(powders, packings, spans, strict=True)
        ),
    }
    return found


def _bulk(record: Material, name: str, position: int) -> Input:
    """Return the bulk density of a powder as poured. [kg/m³]"""
    label = f"bulk density of {name}"
    if not record.bulk_density:
        return Input(label, position, math.nan, "kg/m³", UNKNOWN, "")
    value = record.bulk_density[0]
    number = si_of(value, "density")
    if value.spread is not None:
        half = units.si(value.spread, "density")
    elif value.low is not None and value.high is not None:
        low, high = ends_of(value, "density")
        half = (high - low) / 2
    else:
        half = _BULK_SPREAD[value.grade] * number
    return Input(label, position, number, "kg/m³", value.grade, value.source, value.place, half)


def _bulk_drawn(entries: Sequence[Input], rng: np.random.Generator, draws: int) -> Floats:
    """Return bulk densities with lognormal draws below. [kg/m³]"""
    scatter = np.ones((draws + 1, len(entries)))
    chance = rng.standard_normal((draws, len(entries))) / NORMAL_95
    scatter[1:] = np.exp(chance * np.array([(entry.spread or 0.0) / entry.value for entry in entries]))
    return np.array([entry.value for entry in entries]) * scatter


def _substances(of: Materials) -> Gathered:
    """Return how the substances count in the phases, and how thick the oils are."""
    found, substances = Gathered(), of.substances
    records = [of.records[name] for name in substances]

    def flags(holds: Callable[[str, Material], bool]) -> Floats:
        pairs = zip(substances, records, strict=True)
        return np.array([float(record is not None and holds(name, record)) for name, record in pairs])

    flowing = ("liquid", "gel", "paste")
    oily = flags(lambda _, record: record.affinity in ("oil", "silicone") and record.form in flowing)
    # Only of oils is the thickness blended: of other substances neither is looked up.
    swelling = [
        swelling_of(of.shelf, name).expansion if oil else 0.0 for name, oil in zip(substances, oily, strict=True)
    ]
    density = [
        density_of(of.shelf, name).value if oil else math.nan for name, oil in zip(substances, oily, strict=True)
    ]
    thin = [
        thinning_of(name, record if oil else None, rho, beta)
        for name, record, oil, rho, beta in zip(substances, records, oily, density, swelling, strict=True)
    ]
    found.given |= {
        "substance_water": flags(lambda name, _: name == WATER),
        "substance_wet": flags(lambda name, record: name == WATER or (_is_wet(record) and record.form == "liquid")),
        "substance_aqueous": flags(lambda name, record: name == WATER or _is_wet(record)),
        "substance_polyol": flags(lambda _, record: record.inci.casefold() in _POLYOLS),
        "substance_glycerol": flags(lambda _, record: record.inci.casefold() == "glycerin"),
        "substance_oil": oily,
        "substance_silicone": oily * flags(lambda _, record: record.affinity == "silicone"),
        "substance_shrinks": np.array(
            [float(_SHRINKS.get(record.inci.casefold(), 0)) if record is not None else 0.0 for record in records]
        ),
        "substance_density": np.array(density),
        "substance_expansion": np.array(swelling),
        **thinning_arrays(thin, of.random("flow"), of.draws),
    }
    found.drawn |= {"kinematic_reading", "walther_slope", "flow_activation"}
    read = tuple(one.kinematic for one in thin if not math.isnan(one.kinematic.value))
    found.behind |= {
        "kinematic_reading": read,
        "walther_slope": said_of(thin, oily, of.temperature),
        "clear_viscosity_by_climate": (*read, *said_of(thin, oily, None)),
    }
    _melting(found, records, substances)
    return found


def _is_wet(record: Material) -> bool:
    return record.affinity in ("water", "ethanol")


#: Kinds that melt and set: what makes a balm hard.
WAXY = ("wax", "butter", "fatty alcohol or acid")


def _melting(found: Gathered, records: Sequence[Material | None], substances: Sequence[str]) -> None:
    """Put the melting ranges of what belongs in the oil phase; a liquid without one is taken as liquid."""
    spans, melts, behind = [], [], []
    for name, record in zip(substances, records, strict=True):
        counted = record is not None and record.affinity in ("oil", "silicone") and record.form != "powder"
        melts.append(float(counted))
        low = high = math.nan
        if record is not None and record.melting_point:
            value = record.melting_point[0]
            low, high = melting_range(value)
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


@lru_cache(maxsize=4096)
def range_of(value: Value, dimension: str) -> tuple[float, float]:
    """Return the ends of a range, else those of the spread of a value, SI."""
    if value.low is not None and value.high is not None:
        return ends_of(value, dimension)
    number = si_of(value, dimension)
    half = units.si(value.spread, dimension) if value.spread is not None else 0.05 * number
    return number - half, number + half


def drawn_ranges(ranges: Sequence[tuple[float, float]], rng: np.random.Generator, draws: int) -> tuple[Floats, Floats]:
    """Return the middles of ranges and factors of lognormal draws about them, the first row of ones."""
    centre = np.array([math.sqrt(low * high) for low, high in ranges])
    half = np.array([math.log(high / low) / 2 / NORMAL_95 for low, high in ranges])
    scatter = np.ones((draws + 1, len(ranges)))
    scatter[1:] = np.exp(rng.standard_normal((draws, len(ranges))) * half)
    return centre, scatter
