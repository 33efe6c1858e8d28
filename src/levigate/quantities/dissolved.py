"""From a formula and a shelf to what its water holds: acids, bases and salts as solutes, and what no sum can tell."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from statistics import NormalDist
from typing import TYPE_CHECKING

import numpy as np

from levigate.formula.premix import WATER
from levigate.quantities.gathered import Contents, Gathered, Materials
from levigate.quantities.graph import Floats
from levigate.quantities.sourced import NORMAL_95, UNKNOWN, Input
from levigate.shelf.record import Material

if TYPE_CHECKING:
    from levigate.shelf.species import Ladders, Substance, System

#: Draws of acid constants and amounts that differ from each other; the balance of charges is solved for these.
DISTINCT = 200
#: Half-width (95 %) of the amount of an acid, base or salt, as a share: its purity and its weighing.
AMOUNT_HALF = 0.01
#: Half-width of the acid or base that comes with water, its gases and its traces. [mol/kg]
WATER_HALF = 1e-4
#: Half-widths of the model: of a pH (recipes of buffers measured to 0.01 are met within 0.025), and of the constant of
#: Davies, for which print has 0.2 and 0.3.
MODEL_HALF, DAVIES_HALF = 0.025, 0.1
#: Kinds whose like gives or takes protons, unless more is known.
_ACTING = ("acid", "base", "salt", "chelator", "extract", "active", "other")
_CHARGED = ("emulsifier", "surfactant", "thickener", "film former", "conditioner", "humectant")
#: Words in the name of what is made of proteins.
_PROTEIN = ("protein", "peptide", "hydrolysed", "amino acids", "ferment", "papain", "gelatin", "collagen")
_FATTY = "fatty alcohol or acid"
#: Steps of an acid that is shown by its free share, and the highest pKa of its first.
_MOST_STEPS, _MOST_PKA = 3, 7.0
_MINERAL = ("carbonate", "sulfite", "sulfate", "phosphate", "borate", "peroxide", "oxalate")

_WHY = {
    "extract": "a mixture with acids and salts of its own",
    "protein": "it takes up acid and base by many groups",
    "charged": "an ion whose acid constants are not at hand",
    "other": "it is not said what it does to a pH",
    "solid": "it is a powder of which a part dissolves",
    "between": "it sits between oil and water",
    "soap": "beside a base it turns into soap",
}


def dissolved(contents: Contents) -> Gathered:
    """Return the solutes of the water: how much of each a substance brings, their constants, and what is not known."""
    return contents.of.once(_dissolved, contents.phases, "pH" in contents.formula.measured)


def _dissolved(of: Materials, phases: tuple[int, ...], measured: bool) -> Gathered:
    """Return the solutes of lines in such phases."""
    found = Gathered()
    wet = WATER in of.substances
    roles: dict[str, str] = {}
    picked: list[tuple[int, Substance]] = []
    if wet:
        from levigate.shelf.species import species

        known = species()
        basic = any(_kind(of, name) == "base" for name in of.substances)
        for i, name in enumerate(of.substances):
            roles[name] = why = unforeseen(of, phases, i, basic=basic)
            substance = None if why or _in_oil(of.records.get(name)) else known.find(name)
            if substance is not None:
                picked.append((i, substance))
    _add_solutes(found, of, picked)
    _add_traces(found, of, wet=wet)
    unknown = [name for name, why in roles.items() if why]
    found.given["substance_acidity"] = np.array([math.nan if roles.get(name) else 0.0 for name in of.substances])
    found.unnamed["substance_acidity"] = tuple(f"{name} ({roles[name]})" for name in unknown)
    found.behind["substance_acidity"] = tuple(
        Input(f"effect of {name} on the pH", None, math.nan, "1", UNKNOWN, "", roles[name]) for name in unknown
    )
    solved = bool(picked) and (measured or not unknown)
    found.asked = {"ph": wet or measured, "ionic_strength": solved, "buffer_value": solved and not measured}
    free = solved and bool(found.names["acids"])
    found.asked |= dict.fromkeys(("free_acid", "free_acid_content", "free_acid_drift"), free)
    return found


def unforeseen(of: Materials, phases: Sequence[int], i: int, *, basic: bool) -> str:
    """Return why no sum can tell what a substance of the formula does to the pH; empty where it is known.

    Parameters
    ----------
    of : Materials
        What the formula is of.
    phases : sequence of int
        Number of the phase of each line.
    i : int
        Place of the substance.
    basic : bool
        Whether there is a base, which makes soap of a fatty acid.
    """
    from levigate.shelf.species import species

    known, name = species(), of.substances[i]
    record = of.records.get(name)
    if record is None or name in known.neutral or name in known.slight:
        return ""  # of what has no record, that its water is not known says so already
    if record.kind == _FATTY:
        return _WHY["soap"] if basic and name in known.unknown else ""
    if name in known.unknown:
        return known.unknown[name].removesuffix(": measure the pH").removesuffix(": neutralise to the meter")
    if known.find(name) is None:
        return _by_kind(record, name)
    if record.affinity == "insoluble":
        return _WHY["solid"]
    return _WHY["between"] if record.affinity == "ethanol" and _beside_oil(of, phases, i) else ""


def _by_kind(record: Material, name: str) -> str:
    if any(word in name for word in _PROTEIN):
        return _WHY["protein"]
    if record.kind in _CHARGED and record.charge in ("anionic", "amphoteric"):
        return _WHY["charged"]
    if record.kind in _ACTING and record.affinity not in ("oil", "silicone", "insoluble"):
        return _WHY.get(record.kind, _WHY["other"])
    return ""


def _kind(of: Materials, name: str) -> str:
    record = of.records.get(name)
    return "" if record is None else str(record.kind)


def _in_oil(record: Material | None) -> bool:
    return record is not None and record.affinity in ("oil", "silicone")


def _beside_oil(of: Materials, phases: Sequence[int], i: int) -> bool:
    """Return whether a substance is put in with oil only: in a phase that holds oil and no water."""
    for row, phase in enumerate(phases):
        if not of.composition[row, i]:
            continue
        mates = [other for other, its in enumerate(phases) if its == phase]
        within = {of.substances[j] for other in mates for j in np.flatnonzero(of.composition[other])}
        if WATER not in within and any(_in_oil(of.records.get(name)) for name in within):
            return True
    return False


def _add_solutes(found: Gathered, of: Materials, picked: Sequence[tuple[int, Substance]]) -> None:
    """Put the solutes, with two more at the end: what traces of base and of acid come along."""
    from levigate.shelf.species import Ladders, species

    substances = [substance for _, substance in picked]
    none = np.zeros((0, 0))
    # The table of acids is not read for what needs none of it.
    ladders = species().ladders(substances) if picked else Ladders((), none, none, none, np.zeros(0), none)
    count = len(ladders.keys)
    constants = np.full((count + 2, max(1, ladders.pka.shape[-1])), np.inf)
    constants[:count, : ladders.pka.shape[-1]] = ladders.pka
    spread, entries = _constants(ladders, constants.shape)
    amounts = np.array([substance.amount_per_mass for substance in substances])
    found.given |= {
        "acid_pick": np.array([i for i, _ in picked], float),
        "acid_solutes": amounts[:, None] * ladders.holds,
        "acid_water": np.array([one.amount_per_mass * one.brought_water for one in substances]),
        "solute_charge": np.concatenate([ladders.charge, [1.0, -1.0]]),
        "measured_ph": np.asarray(math.nan),
    }
    found.behind["acid_solutes"] = tuple(
        Input(f"amount of {of.substances[i]}", None, one.amount_per_mass, "mol/kg", "typical", "common-practice",
              "purity and weighing together", AMOUNT_HALF * one.amount_per_mass)
        for i, one in picked
    )  # fmt: skip
    found.behind["solute_pka"] = entries
    found.names["ladders"] = (*ladders.keys, "traces of base", "traces of acid")
    for leaf, centre, half in (
        ("acid_purity", np.ones(len(picked)), np.full(len(picked), AMOUNT_HALF)),
        ("solute_pka", constants, spread),
        ("davies_constant", np.asarray(0.3), np.asarray(DAVIES_HALF)),
        ("ph_error", np.asarray(0.0), np.asarray(MODEL_HALF)),
    ):
        _draw(found, of, leaf, centre, half)
    _add_acids(found, ladders.keys)


def _constants(ladders: Ladders, shape: tuple[int, ...]) -> tuple[Floats, tuple[Input, ...]]:
    """Return the half-width of each constant, and the constants with their sources."""
    from levigate.shelf.species import species

    spread, entries = np.zeros(shape), []
    systems = species().systems if ladders.keys else {}
    for row, key in enumerate(ladders.keys):
        for column, step in enumerate(systems[key].steps if key in systems else ()):
            spread[row, column] = step.spread or 0.0
            name = f"pKa {column + 1} of {key}"
            entries.append(Input(name, None, step.pka, "1", step.grade, step.source, step.place, step.spread))
    return spread, tuple(entries)


def _draw(found: Gathered, of: Materials, leaf: str, centre: Floats, half: Floats) -> None:
    """Put a leaf with its draws, as many of them different as the balance of charges is solved for."""
    distinct = min(of.draws, DISTINCT)
    if not distinct or not found.given["acid_pick"].size:  # nothing rests on it
        found.given[leaf] = centre
        return
    # One in each slice of the distribution, so that few draws give the ends of an interval well.
    chance = np.repeat(_slices(distinct), centre.size).reshape(distinct, *centre.shape)
    chance = of.random(leaf).permuted(chance, axis=0)
    drawn = np.concatenate([centre[None], centre + half / NORMAL_95 * chance])
    found.given[leaf] = drawn[np.concatenate([[0], 1 + np.arange(of.draws) % distinct])]
    found.drawn.add(leaf)


@lru_cache(maxsize=8)
def _slices(count: int) -> tuple[float, ...]:
    """Return the middles of so many equal slices of the normal distribution."""
    return tuple(NormalDist().inv_cdf((i + 0.5) / count) for i in range(count))


def _add_acids(found: Gathered, keys: Sequence[str]) -> None:
    """Put which solutes are acids whose free share is of interest."""
    places: list[int] = []
    names: list[str] = []
    masses: list[float] = []
    if keys:
        from levigate.shelf.species import species

        for i, key in enumerate(keys):
            system = species().systems.get(key)
            if system is not None and _shown(system):
                places.append(i)
                names.append(_acid_names()[key])
                masses.append(system.molar_mass)
    found.given |= {"free_pick": np.array(places, float), "free_molar_mass": np.array(masses)}
    found.names["acids"] = tuple(names)
    found.names["drifts"] = tuple(f"{name}, pH 0.5 {way}" for way in ("lower", "higher") for name in names)


def _shown(system: System) -> bool:
    steps = system.steps
    acid = system.charge == 0 and len(steps) <= _MOST_STEPS and steps[0].pka < _MOST_PKA
    return acid and system.key not in _MINERAL


def shown_acid(name: str) -> bool:
    """Return whether a substance is an acid, or a salt of one, that is shown by its free share."""
    from levigate.shelf.species import species

    found = species().find(name)
    systems = species().systems
    return found is not None and any(key in systems and _shown(systems[key]) for key, _ in found.holds)


@lru_cache(maxsize=1)
def _acid_names() -> dict[str, str]:
    """Return how the acid of each system is called: as the substance that is nothing but it."""
    from levigate.shelf.species import species

    alone = {one.holds[0][0]: one.key for one in reversed(species().substances.values()) if _is_alone(one)}
    return {key: alone.get(key, key) for key in species().systems}


def _is_alone(one: Substance) -> bool:
    return len(one.holds) == 1 and one.holds[0][1] == 1 and one.strength == 1 and not one.crystal_water


def _add_traces(found: Gathered, of: Materials, *, wet: bool) -> None:
    """Put what acid or base each substance may bring along unsaid, as a charge of either sign about nought."""
    names = of.substances
    half = np.zeros(len(names))
    if wet:
        from levigate.shelf.species import species

        slight = species().slight
        half = np.array([WATER_HALF if name == WATER else slight.get(name, 0.0) for name in names])
    found.given["substance_trace_half"] = half
    _draw(found, of, "substance_trace", np.zeros(len(names)), half)
    found.behind["substance_trace"] = tuple(
        Input(f"acid or base with {name}", None, 0.0, "mol/kg", "memory", "memory", "", float(each))
        for name, each in zip(names, half, strict=True)
        if each
    )
