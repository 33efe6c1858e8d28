"""From a formula and a shelf to the inputs of solubility: what is meant to dissolve, and in what."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from levigate.formula.model import USUAL_COLD
from levigate.formula.premix import WATER
from levigate.quantities.capacity import (
    OIL,
    USUAL_HEAT,
    Capacity,
    Heat,
    Liquid,
    belongs_in,
    capacities,
    heat_of,
)
from levigate.quantities.gathered import Contents, Gathered
from levigate.quantities.graph import Floats
from levigate.quantities.physical import hangs_by_intent, liquids_of
from levigate.quantities.solubility import acid_share, acid_solubility, cooled
from levigate.quantities.sourced import EXACT, NORMAL_95, Input
from levigate.shelf.catalogue import catalogue
from levigate.shelf.record import Material
from levigate.shelf.species import species

#: Kinds that swell, melt, gather at surfaces or hang as powders, and so are not judged by a solubility.
_NOT_MEANT = ("thickener", "film former", "conditioner", "emulsifier", "surfactant", "solubiliser", "powder",
              "colourant", "wax", "butter", "fatty alcohol or acid", "silicone", "extract", "base")  # fmt: skip
#: Kinds that take oily things up into water.
_TAKES_UP = ("emulsifier", "surfactant", "solubiliser")
#: An acid counts as sparing that dissolves to less than this in water and is half charged below this pH.
_SPARING, _WEAK = 50.0, 7.0
#: Half-width of a pKa whose source gives none. [1]
_PKA_SPREAD = 0.1
#: Where even the free acid alone stays below this share of its limit in the cold, nothing can drop out.
_FAR = 0.7


@dataclass(frozen=True, slots=True)
class Solute:
    """Something that is meant to dissolve."""

    name: str
    record: Material
    #: Place of each of its liquids among the liquids of the formula.
    liquids: tuple[int, ...]
    #: Place of each substance that brings it, and its mass in a mass of that.
    parts: tuple[tuple[int, float], ...]
    capacities: tuple[Capacity, ...]
    heat: Heat
    #: Positions of the lines that bring it.
    lines: tuple[int, ...]
    #: Of a sparing acid.
    pka: float | None = None
    pka_spread: float = 0.0


@dataclass(frozen=True, slots=True)
class Dissolving:
    """What is meant to dissolve in a formula, and the liquids there are for it."""

    liquids: tuple[Liquid, ...]
    solutes: tuple[Solute, ...]
    acids: tuple[Solute, ...]
    #: Name and lines of each whose solubility is not on record.
    unread: tuple[tuple[str, tuple[int, ...]], ...]


def dissolving(contents: Contents) -> Dissolving:
    """Return what is meant to dissolve in a formula, each substance once."""
    whole, among = contents.whole(), contents.once(liquids_of)
    watery = tuple(i for i, liquid in enumerate(among) if liquid.name != OIL)
    takes_up = any(record is not None and record.kind in _TAKES_UP for record in contents.records.values())
    dispersed = {key for (_, line), key in zip(contents.lines, contents.keys, strict=True)
                 if (record := contents.records[key]) is not None and hangs_by_intent(record, line, among)}  # fmt: skip
    solutes: list[Solute] = []
    unread: list[tuple[str, tuple[int, ...]]] = []
    acids: dict[str, list[tuple[int, float, tuple[int, ...]]]] = {}
    for place, name in enumerate(contents.substances):
        record = contents.records.get(name)
        if record is None or not whole[place] > 0 or name in dispersed:
            continue
        lines = _lines(contents, place)
        system = _acid_of(name) if watery else None
        if system is not None and among[watery[0]].name == WATER:
            acids.setdefault(system[0], []).append((place, system[1], lines))
            continue
        where = belongs_in(record, among, takes_up=takes_up)
        if not where or not _meant(record):
            continue
        held = capacities(record, [among[i] for i in where])
        if held is None:
            unread.append((name, lines))
        elif held[0].rough != "miscible":
            heat = heat_of(record, among[where[0]].called)
            solutes.append(Solute(name, record, where, ((place, 1.0),), tuple(held), heat, lines))
    sparing = [_acid(contents, among, watery, system, found) for system, found in acids.items()]
    return Dissolving(among, tuple(solutes), tuple(one for one in sparing if one is not None), tuple(unread))


def _lines(contents: Contents, place: int) -> tuple[int, ...]:
    return tuple(contents.lines[i][0] for i in np.flatnonzero(contents.composition[:, place] > 0))


def _meant(record: Material) -> bool:
    """Return whether a material is a solid that is meant to dissolve, or a liquid that water takes up little of."""
    if record.kind in _NOT_MEANT:
        return False
    if record.form in ("powder", "solid"):
        return True
    in_water = [entry for entry in record.solubility if entry.liquid == "water"]
    return record.form == "liquid" and record.affinity in ("water", "ethanol") and any(
        entry.value not in ("miscible", "insoluble") for entry in in_water
    )  # fmt: skip


@lru_cache(maxsize=1)
def _sparing() -> Mapping[str, tuple[str, float, float, float]]:
    """Return system -> key, molar mass, pKa and its half-width of each acid that water takes up little of."""
    found = {}
    for key, substance in species().substances.items():
        system = species().systems.get(substance.holds[0][0]) if len(substance.holds) == 1 else None
        if system is None or system.charge or key not in catalogue() or system.steps[0].pka > _WEAK:
            continue
        record = catalogue()[key]
        held = None if record.affinity == "insoluble" else capacities(record, [_PLAIN_WATER])
        if held is not None and held[0].value < _SPARING and not held[0].bound:
            step = system.steps[0]
            found[system.key] = (key, system.molar_mass, step.pka, step.spread or _PKA_SPREAD)
    return found


_PLAIN_WATER = Liquid(WATER, 1.0, 997.0, (0,), "water")


@lru_cache(maxsize=4096)
def _acid_of(name: str) -> tuple[str, float] | None:
    """Return the system of the sparing acid that a substance brings, and its mass in a mass of that; else None."""
    substance = species().find(name)
    for system, moles in substance.holds if substance is not None else ():
        if substance is not None and system in _sparing():
            return system, moles * substance.amount_per_mass * _sparing()[system][1]
    return None


def _acid(
    contents: Contents,
    among: Sequence[Liquid],
    watery: tuple[int, ...],
    system: str,
    found: Sequence[tuple[int, float, tuple[int, ...]]],
) -> Solute | None:
    key, molar_mass, pka, spread = _sparing()[system]
    record = contents.shelf.get(key)
    held = None if record is None else capacities(record, [among[i] for i in watery])
    if record is None or held is None:
        return None
    free = _free_in_its_own(held[0].value / molar_mass / 1000, pka)
    freed = [replace(one, value=one.value * (free if getattr(one.basis, "liquid", "water") == "water" else 1.0))
             for one in held]  # fmt: skip
    lines = tuple(dict.fromkeys(line for _, _, lines in found for line in lines))
    parts = tuple((place, mass) for place, mass, _ in found)
    return Solute(key, record, watery, parts, tuple(freed), heat_of(record, "water"), lines, pka, spread)


def _free_in_its_own(molar: float, pka: float) -> float:
    """Return which share of an acid is free in its own saturated water: tables count both. [1]"""
    k = math.pow(10.0, -pka)
    return 1 - (math.sqrt(k * k + 4 * k * molar) - k) / (2 * molar)


def solutes(contents: Contents) -> Gathered:
    """Return the inputs of solubility."""
    found, here = Gathered(), contents.once(dissolving)
    shown = ("saturation", "saturation_cold")
    found.asked = {
        **dict.fromkeys(shown, bool(here.solutes)),
        **dict.fromkeys((f"acid_{name}" for name in shown), False),
    }
    if not here.solutes and not here.acids:
        return found
    rng = contents.random("solutes")
    solvent_of = np.zeros((len(contents.substances), len(here.liquids)))
    for i, liquid in enumerate(here.liquids):
        solvent_of[list(liquid.places), i] = 1.0
    cold = contents.formula.coldest
    found.given = {
        "solvent_of": solvent_of,
        "solvent_density": np.array([liquid.density for liquid in here.liquids]),
        "coldest": np.asarray(USUAL_COLD if cold is None else cold),
    }
    stated = ("typical", "common-practice") if cold is None else (EXACT, "own-word")
    found.behind["coldest"] = (Input("coldest it is kept", None, float(found.given["coldest"]), "K", *stated),)
    if here.solutes:
        _put(found, "solute", here, here.solutes, contents, rng)
        found.names["solutes"] = [one.name for one in here.solutes]
    if here.acids:
        _put(found, "acid", here, here.acids, contents, rng)
        found.names["sparing acids"] = [one.name for one in here.acids]
        chance = np.zeros((contents.draws + 1, len(here.acids)))
        chance[1:] = rng.standard_normal((contents.draws, len(here.acids))) / NORMAL_95
        pka = np.array([one.pka for one in here.acids], float)
        found.given["acid_pka"] = pka + chance * np.array([one.pka_spread for one in here.acids])
        found.drawn.add("acid_pka")
        may = _may_drop_out(found.given, contents.whole())
        found.asked |= dict.fromkeys((f"acid_{name}" for name in shown), may)
    return found


def _may_drop_out(given: Mapping[str, Floats], whole: Floats) -> bool:
    """Return whether an acid could come near its limit in the cold if all of it were free."""
    centre = {name: given[name][0] for name in ("acid_capacity", "acid_heat")}
    free = acid_solubility(whole, given["solvent_of"], given["solvent_density"], given["acid_in"],
                           centre["acid_capacity"], np.asarray(math.inf), np.asarray(0.0))  # fmt: skip
    limit = cooled(free, centre["acid_heat"], given["coldest"])
    return bool((acid_share(whole, given["acid_of"], given["solvent_of"], given["acid_in"]) > _FAR * limit).any())


def _put(
    found: Gathered,
    kind: str,
    here: Dissolving,
    some: Sequence[Solute],
    contents: Contents,
    rng: np.random.Generator,
) -> None:
    """Put the arrays of some solutes under names that begin with their kind."""
    shape = (len(here.liquids), len(some))
    of, picked = np.zeros((len(contents.substances), len(some))), np.zeros(shape)
    centre, width = np.ones(shape), np.zeros(shape)
    for j, one in enumerate(some):
        for place, mass in one.parts:
            of[place, j] = mass
        for i, held in zip(one.liquids, one.capacities, strict=True):
            picked[i, j], centre[i, j], width[i, j] = 1.0, held.value, held.spread
    draws = contents.draws
    scatter = np.zeros((draws + 1, *shape))
    scatter[1:] = rng.standard_normal((draws, *shape)) * width / NORMAL_95
    heat = np.zeros((draws + 1, len(some)))
    heat[1:] = rng.standard_normal((draws, len(some))) * [one.heat.spread for one in some] / NORMAL_95
    found.given |= {
        f"{kind}_of": of,
        f"{kind}_in": picked,
        f"{kind}_capacity": centre * np.exp(scatter),
        f"{kind}_heat": heat + [one.heat.value for one in some],
    }
    found.drawn |= {f"{kind}_capacity", f"{kind}_heat"}
    found.behind |= {
        f"{kind}_capacity": tuple(
            Input(f"solubility of {one.name} in {here.liquids[i].name}", None, held.value, "kg/m³", held.basis.grade,
                  held.basis.source, held.basis.place, held.value * math.sinh(held.spread))
            for one in some
            for i, held in zip(one.liquids, one.capacities, strict=True)
            if held.basis is not None
        ),
        f"{kind}_heat": tuple(_heat_input(one) for one in some),
    }  # fmt: skip


def _heat_input(one: Solute) -> Input:
    label = f"heat of solution of {one.name}, from {one.heat.how}"
    basis = one.capacities[0].basis
    if one.heat.value == USUAL_HEAT or basis is None:
        grade, source, place = "memory", "memory", ""
    elif "melting" in one.heat.how:
        melting = one.record.melting_heat[0]
        grade, source, place = melting.grade, melting.source, melting.place
    else:
        grade, source, place = basis.grade, basis.source, basis.place
    return Input(label, None, one.heat.value, "J/mol", grade, source, place, one.heat.spread)
