"""From a formula and a shelf to the inputs of a wash: active matter of each line, its charge, and table salt."""

from __future__ import annotations

import math

import numpy as np

from levigate.quantities.gathered import Contents, Gathered
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
    count = len(contents.lines)
    middle, half, charge = np.zeros(count), np.zeros(count), np.zeros((count, len(CHARGES)))
    behind: list[Input] = []
    for i, _ in enumerate(contents.keys):
        for s in np.flatnonzero(contents.composition[i]):
            record = contents.records[contents.substances[s]]
            column = _column(record)
            if record is None or column is None:
                continue
            share, (low, high) = float(contents.composition[i, s]), _strength(contents.substances[s], record)
            active = share * (low + high) / 2
            middle[i] += active
            half[i] += share * (high - low) / 2
            charge[i, column] += 1.0 if math.isnan(active) else active
            behind.append(_input(contents, i, contents.substances[s], record, (low, high)))
    charge /= np.where(charge.sum(-1, keepdims=True) > 0, charge.sum(-1, keepdims=True), 1.0)
    whole = float(np.nansum(contents.fractions * np.where(charge.any(-1), np.nan_to_num(middle, nan=1.0), 0.0)))
    wash = whole >= LEAST
    doubtful = wash and bool(half.any())
    found = Gathered()
    found.given = {
        "line_active": _drawn(contents, middle, half) if doubtful else middle,
        "line_charge": charge,
        "line_salt": contents.composition @ _salts(contents),
    }
    found.drawn = {"line_active"} if doubtful else set()
    found.behind, found.names = {"line_active": tuple(behind)}, {"charges": CHARGES}
    anionic = charge[:, 0].any()
    found.asked = {
        "active_matter": wash,
        "active_by_charge": wash,
        "salt_share": wash,
        "amphoteric_per_anionic": bool(wash and anionic),
    }
    return found


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


def _input(contents: Contents, i: int, name: str, record: Material, ends: tuple[float, float]) -> Input:
    low, high = ends
    label, position = f"active matter of {name}", contents.lines[i][0]
    if math.isnan(low):
        return Input(label, position, math.nan, "1", UNKNOWN, "")
    made_of = contents.records[contents.keys[i]]
    stated = record.solids[0] if record.solids else made_of.made_of if made_of is not None else None
    if stated is None:
        return Input(label, position, (low + high) / 2, "1", EXACT, "definition")
    return Input(
        label, position, (low + high) / 2, "1", stated.grade, stated.source, stated.place, (high - low) / 2 or None
    )


def _salts(contents: Contents) -> Floats:
    records = [contents.records[name] for name in contents.substances]
    return np.array([float(record is not None and record.inci.casefold() in _SALT) for record in records])


def _drawn(contents: Contents, middle: Floats, half: Floats) -> Floats:
    """Return even draws over each range, the first row of middles: a maker's lots lie anywhere in it."""
    table = np.tile(middle, (contents.draws + 1, 1))
    doubtful = np.flatnonzero(half > 0)
    if doubtful.size:
        kinds = list(dict.fromkeys(contents.keys[i] for i in doubtful))
        chance = contents.random("washes").uniform(-1, 1, (contents.draws, len(kinds)))
        table[1:, doubtful] += chance[:, [kinds.index(contents.keys[i]) for i in doubtful]] * half[doubtful]
    return table
