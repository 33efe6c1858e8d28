"""From a formula and a shelf to the inputs of a wash: active matter of each line, its charge, and table salt."""

from __future__ import annotations

import math

import numpy as np

from levigate.quantities.gathered import Contents, Gathered, Materials
from levigate.quantities.graph import Floats
from levigate.quantities.sourced import EXACT, UNKNOWN, Input, ends_of
from levigate.shelf.record import Material

#: Columns of ``line_charge``, by the charge that a record states.
CHARGES = ("anionic", "amphoteric", "nonionic", "cationic")
_COLUMN = {"anionic": 0, "amphoteric": 1, "none": 2, "cationic": 3}
#: Surfactant from which a product is looked at as a wash. [1]
LEAST = 0.01
#: INCI names of table salt.
_SALT = ("sodium chloride", "maris sal", "sea salt")
_POLYMERS = ("polyquaternium", "hydroxypropyltrimonium", "polymer")


def washed(contents: Contents) -> Gathered:
    """Return the inputs of a wash."""
    middle, half, charge, salt, behind = contents.of.once(_lines)
    whole = float(np.nansum(contents.fractions * np.where(charge.any(-1), np.nan_to_num(middle, nan=1.0), 0.0)))
    wash = whole >= LEAST
    doubtful = wash and bool(half.any())
    found = Gathered(names={"charges": CHARGES})
    found.given = {
        "line_active": contents.of.once(_drawn) if doubtful else middle,
        "line_charge": charge,
        "line_salt": salt,
    }
    found.drawn = {"line_active"} if doubtful else set()
    found.behind = {"line_active": behind}
    anionic = charge[:, 0].any()
    found.asked = {
        "active_matter": wash,
        "active_by_charge": wash,
        "salt_share": wash,
        "amphoteric_per_anionic": bool(wash and anionic),
    }
    return found


def _lines(of: Materials) -> tuple[Floats, Floats, Floats, Floats, tuple[Input, ...]]:
    """Return active matter of each line, middle and half-width, its charges and salt, and what that rests on. [1]"""
    count = len(of.names)
    middle, half, charge = np.zeros(count), np.zeros(count), np.zeros((count, len(CHARGES)))
    behind: list[Input] = []
    for i in range(count):
        for s in np.flatnonzero(of.composition[i]):
            record = of.records[of.substances[s]]
            column = _column(record)
            if record is None or column is None:
                continue
            share, (low, high) = float(of.composition[i, s]), _strength(of.substances[s], record)
            active = share * (low + high) / 2
            middle[i] += active
            half[i] += share * (high - low) / 2
            charge[i, column] += 1.0 if math.isnan(active) else active
            behind.append(_input(of, i, of.substances[s], record, (low, high)))
    charge /= np.where(charge.sum(-1, keepdims=True) > 0, charge.sum(-1, keepdims=True), 1.0)
    return middle, half, charge, of.composition @ _salts(of), tuple(behind)


def _column(record: Material | None) -> int | None:
    """Return the charge class of a surfactant; a cationic conditioner counts, a polymer does not."""
    if record is None:
        return None
    small = not any(word in record.inci.casefold() for word in _POLYMERS)
    if record.kind == "surfactant" or (record.kind == "conditioner" and record.charge == "cationic" and small):
        return _COLUMN[record.charge]
    return None


def _strength(name: str, record: Material) -> tuple[float, float]:
    """Return the range of active matter in a substance; nan for a liquid of unstated strength. [1]"""
    if record.solids:
        value = record.solids[0]
        if value.value is None:
            return ends_of(value, "share")
        return value.si("share"), value.si("share")
    diluted = record.kind == "surfactant" and record.form == "liquid" and not name.endswith("(active matter)")
    return (math.nan, math.nan) if diluted else (1.0, 1.0)


def _input(of: Materials, i: int, name: str, record: Material, ends: tuple[float, float]) -> Input:
    low, high = ends
    label, position = f"active matter of {name}", of.positions[i]
    if math.isnan(low):
        return Input(label, position, math.nan, "1", UNKNOWN, "")
    made_of = of.records[of.keys[i]]
    stated = record.solids[0] if record.solids else made_of.made_of if made_of is not None else None
    if stated is None:
        return Input(label, position, (low + high) / 2, "1", EXACT, "definition")
    return Input(
        label, position, (low + high) / 2, "1", stated.grade, stated.source, stated.place, (high - low) / 2 or None
    )


def _salts(of: Materials) -> Floats:
    records = [of.records[name] for name in of.substances]
    return np.array([float(record is not None and record.inci.casefold() in _SALT) for record in records])


def _drawn(of: Materials) -> Floats:
    """Return even draws over each range, the first row of middles: a maker's lots lie anywhere in it."""
    middle, half, *_ = of.once(_lines)
    table = np.tile(middle, (of.draws + 1, 1))
    doubtful = np.flatnonzero(half > 0)
    if doubtful.size:
        kinds = list(dict.fromkeys(of.keys[i] for i in doubtful))
        chance = of.random("washes").uniform(-1, 1, (of.draws, len(kinds)))
        table[1:, doubtful] += chance[:, [kinds.index(of.keys[i]) for i in doubtful]] * half[doubtful]
    return table
