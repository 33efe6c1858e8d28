"""From a formula and a shelf to the inputs of emulsions: oils and the HLB they ask for, emulsifiers and theirs, drops.

A line that is sold ready-mixed and has an HLB or a system of its own counts as one; any other is taken apart.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np

from levigate.formula.premix import WATER
from levigate.quantities.gathered import Contents, Gathered, Materials
from levigate.quantities.graph import Floats
from levigate.quantities.sourced import NORMAL_95, Input, si_of
from levigate.shelf.emulsifying import emulsifies, sides_of, system_of
from levigate.shelf.record import Value

#: What an oil-loving material of these kinds is there for is not to be emulsified.
_NOT_OIL = ("emulsifier", "solubiliser", "surfactant", "conditioner", "thickener", "film former", "preservative",
            "preservative booster", "powder", "colourant")  # fmt: skip
#: Half-width of the 95 % interval of an HLB, and of one that an oil asks for, by grade, where the print does not differ
#: by more; judged from how far tables differ for one material.
HLB_SPREAD = {"measured": 0.3, "supplier": 0.5, "handbook": 0.5, "typical": 0.7, "memory": 1.0}
ASKED_SPREAD = {"measured": 0.5, "supplier": 1.0, "handbook": 1.0, "typical": 1.5, "memory": 2.0}
#: Least water and least oil of an emulsion, and surfactant from which a product is a wash that dissolves its oils. [1]
LEAST_WATER, LEAST_OIL, WASH = 0.03, 0.005, 0.02
#: Drops as they come, 95 %: sheared by a stick blender or homogeniser, and stirred by hand or overhead. [m]
SHEARED, STIRRED = (1e-6, 10e-6), (3e-6, 50e-6)
_SHEAR = re.compile(r"shear|homogen|blender|rotor|ultra-?sonic", re.IGNORECASE)
#: The figures of this subject, shown only for an emulsion.
FIGURES = ("required_hlb", "emulsifier_hlb", "hlb_gap", "emulsifier_per_oil", "emulsifier_sides", "drops_share",
           "creaming_speed")  # fmt: skip
SIDES = ("oil in water", "water in oil")


class _Lines:
    """What each line brings, by place among the lines of more than 0 %."""

    def __init__(self, count: int) -> None:
        #: Shares of oil with a required HLB and without, of emulsifier that HLB judges and of other. [1]
        self.oil_rated, self.oil_unrated, self.rated, self.own = (np.zeros(count) for _ in range(4))
        #: HLB that the oil asks for and that of the emulsifier, with the half-widths of their 95 % intervals. [1]
        self.asks, self.asks_spread, self.hlb, self.hlb_spread = (np.zeros(count) for _ in range(4))
        #: What makes oil in water, and water in oil. [1]
        self.rated_sides, self.own_sides = np.zeros((count, 2)), np.zeros((count, 2))
        self.asked_inputs: list[Input] = []
        self.hlb_inputs: list[Input] = []


def emulsified(contents: Contents) -> Gathered:
    """Return the inputs of emulsions."""
    lines = contents.of.once(_sorted)
    made = is_emulsion(contents, float(contents.fractions @ (lines.oil_rated + lines.oil_unrated)))
    sheared = any(_SHEAR.search(phase.how) for phase in contents.formula.phases)
    found: Gathered = contents.of.once(_emulsified, made, contents.formula.droplets, sheared)
    return replace(found, asked={**dict.fromkeys(FIGURES, made), **_asked_of(contents, lines, made)})


def _sorted(of: Materials) -> _Lines:
    lines = _Lines(len(of.names))
    soap = _soap_makers(of)
    for i, key in enumerate(of.keys):
        _sort(of, lines, i, key, soap)
    return lines


def _emulsified(of: Materials, made: bool, droplets: float | None, sheared: bool) -> Gathered:
    """Return the inputs of what is an emulsion or not, with drops of such a size or made in such a way."""
    lines, found = of.once(_sorted), Gathered()
    rng, draws = of.random("emulsions"), of.draws if made else 0
    size, entry = _drops(droplets, sheared=sheared)
    found.given = {
        "oil_rated": lines.oil_rated,
        "oil_unrated": lines.oil_unrated,
        "oil_asks": lines.asks + _doubt(lines.asks_spread, of.keys, rng, draws),
        "emulsifier_rated": lines.rated,
        "line_hlb": lines.hlb,
        "hlb_doubt": _doubt(lines.hlb_spread, of.keys, rng, draws),
        "rated_sides": lines.rated_sides,
        "emulsifier_own": lines.own,
        "own_sides": lines.own_sides,
        "drop_diameter": _drawn_size(size, rng, draws),
    }
    if draws:
        found.drawn = {"oil_asks", "hlb_doubt", "drop_diameter"}
    else:
        found.given |= {name: found.given[name][0] for name in ("oil_asks", "hlb_doubt", "drop_diameter")}
    found.behind = {
        "oil_asks": tuple(lines.asked_inputs),
        "line_hlb": tuple(lines.hlb_inputs),
        "drop_diameter": (entry,),
    }
    found.names = {"sides": SIDES, "liquids": ("oil phase", "water phase")}
    return found


def _asked_of(contents: Contents, lines: _Lines, made: bool) -> dict[str, bool]:
    """Return which figures an emulsion asks for: HLB only of what goes by HLB, a type only where something makes it."""
    rated, own = float(contents.fractions @ lines.rated), float(contents.fractions @ lines.own)
    by_hlb = made and rated > 0
    return {
        "emulsifier_hlb": by_hlb,
        "hlb_gap": by_hlb,
        **dict.fromkeys(
            ("emulsifier_per_oil", "emulsifier_sides", "drops_share", "creaming_speed"), made and rated + own > 0
        ),
    }


def is_emulsion(contents: Contents, oil: float) -> bool:
    """Return whether there is oil and water enough for an emulsion, and too little surfactant for a wash."""
    whole = contents.whole()
    water = float(whole[contents.substances.index(WATER)]) if WATER in contents.substances else 0.0
    if not (water >= LEAST_WATER and oil >= LEAST_OIL):
        return False
    wash = sum(
        float(share)
        for name, share in zip(contents.substances, whole, strict=True)
        if (record := contents.records[name]) is not None and record.kind == "surfactant"
    )
    return wash < WASH


def _sort(of: Materials, lines: _Lines, i: int, key: str, soap: set[str]) -> None:
    """Put a line where it belongs: as one where it is an emulsifier or an oil in its own right, else part by part."""
    record = of.records[key]
    maker = record if record is not None and emulsifies(record) else None
    whole = record is not None and (
        bool(record.required_hlb) or (maker is not None and system_of(key, maker) in ("hlb", "lamellar", "polymer"))
    )
    asked: list[tuple[float, float, float]] = []
    numbers: list[tuple[float, float, float]] = []
    for name, share in [(key, 1.0)] if whole else _parts(of, i):
        part = of.records[name]
        if part is None or part.affinity == "unknown":  # it may be an oil
            lines.oil_unrated[i] += share
        elif part.required_hlb:
            asked.append((share, *_number(part.required_hlb, ASKED_SPREAD)))
            lines.asked_inputs.append(_input(f"HLB that {name} asks for", of, i, part.required_hlb, ASKED_SPREAD))
        elif emulsifies(part) and system_of(name, part) == "hlb":
            numbers.append((share, *_number(part.hlb, HLB_SPREAD)))
            lines.rated_sides[i] += share * np.array(sides_of(part))
            lines.hlb_inputs.append(_input(f"HLB of {name}", of, i, part.hlb, HLB_SPREAD))
        elif part.affinity in ("oil", "silicone") and part.kind not in _NOT_OIL and not emulsifies(part):
            lines.oil_unrated[i] += share
        elif name in soap or emulsifies(part) or (maker is not None and name != WATER):
            # The rest of what is sold as an emulsifier with a charge is that emulsifier.
            sides = (1.0, 0.0) if name in soap else sides_of(part if emulsifies(part) else maker or part)
            lines.own[i] += share
            lines.own_sides[i] += share * np.array(sides)
    lines.oil_rated[i], lines.asks[i], lines.asks_spread[i] = _mean(asked)
    lines.rated[i], lines.hlb[i], lines.hlb_spread[i] = _mean(numbers)


def _parts(of: Materials, i: int) -> list[tuple[str, float]]:
    row = of.composition[i]
    return [(of.substances[s], float(row[s])) for s in np.flatnonzero(row)]


def _soap_makers(of: Materials) -> set[str]:
    """Return the bases that make soap, an emulsifier, in the pot: those that stand beside a fatty acid."""
    kinds = {name: record for name, record in of.records.items() if record is not None}
    fatty = any(
        record.kind == "fatty alcohol or acid" and "acid" in record.inci.casefold() for record in kinds.values()
    )
    return {name for name, record in kinds.items() if record.kind == "base"} if fatty else set()


def _number(values: tuple[Value, ...], usual: dict[str, float]) -> tuple[float, float]:
    """Return the first number on record, and how far print disagrees or how far its grade may be off."""
    ends = [
        float(end)
        for value in values
        for end in ((value.low, value.high) if value.value is None else (value.value,))
        if end is not None
    ]
    return si_of(values[0], "share"), max(max(ends) - min(ends), usual[values[0].grade])


def _input(name: str, of: Materials, i: int, values: tuple[Value, ...], usual: dict[str, float]) -> Input:
    number, spread = _number(values, usual)
    first = values[0]
    return Input(name, of.positions[i], number, "-", first.grade, first.source, first.place, spread)


def _mean(found: list[tuple[float, float, float]]) -> tuple[float, float, float]:
    """Return the sum of shares with the mean of numbers and spreads; nought where there are none."""
    share = sum(part for part, _, _ in found)
    if not share:
        return 0.0, 0.0, 0.0
    mean = sum(part * number for part, number, _ in found) / share
    return share, mean, math.sqrt(sum((part * spread) ** 2 for part, _, spread in found)) / share


def _doubt(spread: Floats, keys: tuple[str, ...], rng: np.random.Generator, draws: int) -> Floats:
    """Return normal draws about nought, the first row of noughts; lines of one material share theirs."""
    scatter = np.zeros((draws + 1, len(keys)))
    doubtful = np.flatnonzero(spread)
    if draws and doubtful.size:
        kinds = list(dict.fromkeys(keys[i] for i in doubtful))
        chance = rng.standard_normal((draws, len(kinds)))
        columns = [kinds.index(keys[i]) for i in doubtful]
        scatter[1:, doubtful] = chance[:, columns] * spread[doubtful] / NORMAL_95
    return scatter


def _drops(stated: float | None, *, sheared: bool) -> tuple[tuple[float, float], Input]:
    """Return the 95 % range of the drops' size, with on whose word it stands. [m]"""
    if stated is not None:
        return (stated, stated), Input("size of the drops", None, stated, "m", "measured", "own-word")
    low, high = SHEARED if sheared else STIRRED
    place = "sheared: 1 to 10 µm" if sheared else "stirred without shear: 3 to 50 µm"
    middle = math.sqrt(low * high)
    return (low, high), Input(
        "size of the drops", None, middle, "m", "memory", "common-practice", place, (high - low) / 2
    )


def _drawn_size(size: tuple[float, float], rng: np.random.Generator, draws: int) -> Floats:
    low, high = size
    chance = np.concatenate([[0.0], rng.standard_normal(draws)])
    return np.asarray(math.sqrt(low * high) * np.exp(chance * math.log(high / low) / 2 / NORMAL_95))
