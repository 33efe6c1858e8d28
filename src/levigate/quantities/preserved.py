"""From a formula to the inputs of preservation: its preservatives, their pKa, where they go, what the law allows."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from levigate.formula.premix import WATER
from levigate.formula.uses import speaks_of, use_of
from levigate.quantities.gathered import Contents, Gathered, Materials
from levigate.quantities.graph import Floats
from levigate.quantities.sourced import NORMAL_95, Input, si_of
from levigate.shelf.preserving import Preserving, in_law, preserving
from levigate.shelf.record import Material

#: What takes preservatives out of the water, each with the decimal logarithm of its coefficient over octanol's, from
#: least to most. Seen: soya oil -1.1, -1.1, -1.1 and liquid paraffin -3.7, -3.3, -3.1 for methyl-, propyl- and
#: butylparaben (Bean 1972); the micelles are from memory of polysorbate 80 with the same two.
TAKERS = ("fats and esters", "hydrocarbons and silicones", "nonionic micelles")
OFFSETS = np.array([[-1.5, -0.5], [-4.0, -1.5], [-0.6, 0.1]])
#: Half-width (95 %) of a pKa in a product: salt, temperature, and what print disagrees on. [1]
_PKA_HALF = {"memory": 0.3}
_PKA_USUAL = 0.15
#: pKa above which no product is alkaline enough to charge it. [1]
_ACID = 10.0


def shares(of: Materials, shelf_names: list[str]) -> Floats:
    """Return the grams of each preservative in a gram of each substance, substances by preservatives. [1]"""
    known = preserving()
    table = np.zeros((len(of.substances), len(shelf_names)))
    for row, name in enumerate(of.substances):
        one = known.get(name)
        if one is not None and one.works_as in shelf_names:
            table[row, shelf_names.index(one.works_as)] = worth(of, one)
    return table


def worth(of: Materials, one: Preserving) -> float:
    """Return the grams of what works in a gram of a substance: of the acid in its salt. [1]"""
    if one.works_as == one.key:
        return 1.0
    acid, salt = (of.shelf[key].molar_mass for key in (one.works_as, one.key))
    return si_of(acid[0], "molar mass") / si_of(salt[0], "molar mass") if acid and salt else 1.0


def preserved(contents: Contents) -> Gathered:
    """Return the inputs of preservation."""
    kept = contents.of.once(_preserved, contents.formula.use)
    taking = bool((contents.whole() @ kept.given["substance_takers"] > 0).any())
    return replace(kept, asked={**kept.asked, "preservative_in_water": kept.asked["preservative_working"] and taking})


def _preserved(of: Materials, use: str) -> Gathered:
    """Return the inputs of preservation of what is used so, whatever the doses."""
    known = preserving()
    names = list(dict.fromkeys(known[name].works_as for name in of.substances if name in known))
    names = [name for name in names if in_law(of.shelf[name])]
    records = [of.shelf[name] for name in names]
    pka = [_pka(name, record) for name, record in zip(names, records, strict=True)]
    kow = [_kow(known[name]) for name in names]
    takers = np.array([_takes(of.records.get(name)) for name in of.substances])
    draws = of.draws if names else 0
    chance = of.random("preservatives").standard_normal((2, draws + 1, len(names))) / NORMAL_95
    even = of.random("preservatives, oil").random((draws + 1, len(TAKERS)))
    chance[:, 0], even[0] = 0.0, 0.5
    drawn = {
        "preservative_pka": _spread(pka, chance[0]),
        "preservative_log_kow": _spread(kow, chance[1]),
        "taker_offset": OFFSETS[:, 0] + even * (OFFSETS[:, 1] - OFFSETS[:, 0]),
    }
    found = Gathered(names={"preservatives": names}, drawn=set(drawn) if names else set())
    found.given = {
        "preservative_share": shares(of, names),
        "preservative_limit": np.array([_limit(use, record) for record in records]),
        "substance_takers": takers,
        **(drawn if names else {leaf: rows[0] for leaf, rows in drawn.items()}),
    }
    acids = [entry for entry in pka if math.isfinite(entry.value)]
    found.behind = {"preservative_pka": tuple(acids), "preservative_log_kow": tuple(kow)}
    if names and not acids:  # the pH has no say, so that it need not be known
        found.given["preservative_charged"] = np.zeros(len(names))
    wet = WATER in of.substances and bool(names)
    found.asked = {
        "preservative_dose": bool(names),
        "preservative_of_limit": bool(names) and bool(np.isfinite(found.given["preservative_limit"]).all()),
        "preservative_uncharged": wet and bool(acids),
        "preservative_working": wet,
    }
    return found


def _spread(entries: list[Input], chance: Floats) -> Floats:
    centre = np.array([entry.value for entry in entries])
    return np.asarray(centre + chance * np.array([entry.spread or 0.0 for entry in entries]))


def _pka(name: str, record: Material) -> Input:
    label = f"pKa of {name}"
    if not record.pka or not record.pka[0].values or record.pka[0].values[0] > _ACID:
        return Input(label, None, math.inf, "1", "exact", "definition")
    value = record.pka[0]
    half = _PKA_HALF.get(value.grade, _PKA_USUAL)
    return Input(label, None, value.values[0], "1", value.grade, value.source, value.place, half)


def _kow(one: Preserving) -> Input:
    label = f"log Kow of {one.key}"
    if one.log_kow is None:
        return Input(label, None, math.nan, "1", "unknown", "")
    return Input(label, None, one.log_kow, "1", one.kow_grade, one.kow_source, "", one.spread)


def _takes(record: Material | None) -> tuple[float, float, float]:
    """Return whether a substance is of each of `TAKERS`."""
    if record is None or record.kind in ("powder", "colourant", "thickener", "film former"):
        return 0.0, 0.0, 0.0
    if record.affinity in ("oil", "silicone"):
        plain = record.affinity == "silicone" or record.kind in ("hydrocarbon", "silicone")
        return float(not plain), float(plain), 0.0
    micelles = record.kind in ("surfactant", "emulsifier", "solubiliser") and record.charge == "none"
    return 0.0, 0.0, float(micelles and record.affinity == "water")


def _limit(said: str, record: Material) -> float:
    """Return the lowest limit of the EU that speaks of this use; infinite where none does. [1]"""
    use = use_of(said)
    percents = [
        float(limit.percent) / limit.factor / 100
        for limit in record.limits
        if limit.percent and limit.jurisdiction == "EU" and speaks_of(limit.applies, said, use)
    ]
    return min(percents, default=math.inf)
