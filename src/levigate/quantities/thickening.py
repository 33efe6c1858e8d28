"""From a formula and a shelf to the inputs of body: what thickens which phase by which flow curve, and what without.

A thickener is a line with a flow curve of its own (a gel as supplied), or a substance with one that a line is or
brings. What gives body and has no curve for the phase it is in makes flow not known: it is counted here, line by line.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from levigate.quantities.gathered import Gathered, Materials
from levigate.quantities.graph import Floats
from levigate.quantities.sourced import NORMAL_95, Input, ends_of
from levigate.shelf.record import Flow, Material

#: Water, as a share of the whole, from which it is taken for the outer phase. [1]
OUTER_WATER = 0.2
#: Share that may give body without a flow curve before flow is not known. [1]
BODY_AT_MOST = 0.0005
#: Phases that may be outermost, by the number that `outer_phase` has for them.
MEDIA = ("water", "oil", "silicone")
#: Rows of ``line_body``: shares of each line that give body without a curve in each phase; the alcohol of lamellar
#: gels, emulsifier, of that what makes water-in-oil; what is salt in the end, and thickeners that salt spoils.
BODY = (*MEDIA, "gel alcohol", "emulsifier", "water-in-oil emulsifier", "salt", "spoilt by salt")

#: Thickeners that are an acid as supplied and give no body until a base is added.
NEEDS_BASE = ("carbomer", "acrylates/c10-30 alkyl acrylate crosspolymer", "acrylates copolymer 30 %")
#: Thickeners whose curve holds in water without salt, which makes their gel collapse.
SPOILT_BY_SALT = (
    *NEEDS_BASE, "sodium carbomer", "sodium polyacrylate", "ammonium acryloyldimethyltaurate/vp copolymer",
    "hydroxyethyl acrylate/sodium acryloyldimethyl taurate copolymer",
    "sodium acrylate/sodium acryloyldimethyl taurate copolymer and isohexadecane and polysorbate 80",
)  # fmt: skip
#: What swells or strings in water though it is no thickener by kind.
SWELLS = ("sodium hyaluronate", "sodium polyglutamate", "montmorillonite", "green clay", "pink clay", "red clay",
          "rhassoul clay", "fuller's earth", "kaolin")  # fmt: skip
#: First word of the INCI name of what falls apart into ions.
_IONS = ("sodium", "disodium", "trisodium", "tetrasodium", "potassium", "dipotassium", "magnesium", "calcium", "zinc",
         "ammonium", "lithium")  # fmt: skip
_SALT_KINDS = ("active", "antioxidant", "chelator", "humectant", "preservative", "extract")


@dataclass
class Thickening(Gathered):
    """Inputs of body, to be put beside the others."""

    #: Name of each thickener with a curve, one for each phase that it has one for.
    thickeners: tuple[str, ...] = ()
    #: Lines, of those of more than 0 %, that bring one.
    bringing: tuple[int, ...] = ()

    def networks(self, *, watery: bool) -> set[int]:
        """Return the lines that are all thickener of the outer phase: they are its network, not grains in it."""
        own, media = self.given["thickener_share"], self.given["thickener_medium"]
        return set(np.flatnonzero(((own == 1.0) & ((media == 0.0) == watery)).any(-1)).tolist())


@dataclass(frozen=True, slots=True)
class _Phases:
    """Of each substance: what it counts for in the dose of a thickener. [1]"""

    aqueous: Floats
    oily: Floats

    def of(self, medium: str) -> Floats:
        return self.aqueous if medium == "water" else self.oily


def thickening(of: Materials, aqueous: Floats, oily: Floats) -> Thickening:
    """Return the inputs of body.

    Parameters
    ----------
    of : Materials
        What the lines are of.
    aqueous, oily : ndarray
        1 for each substance that counts in the dose of a thickener of water, of oil; else 0. [1]
    """
    records, substances, composition = of.records, of.substances, of.composition
    phases = _Phases(aqueous, oily)
    columns: dict[tuple[str, str], list[Flow]] = {}
    share: list[dict[tuple[str, str], float]] = []
    for i, name in enumerate(of.keys):
        share.append({})
        for key, part in _thickeners_of(records, name, substances, composition[i]):
            record = records[key]
            for medium, entries in _curves(record).items() if record is not None else ():
                columns.setdefault((key, medium), entries)
                share[i][key, medium] = part
    found = Thickening(thickeners=tuple(key for key, _ in columns))
    found.bringing = tuple(i for i, brought in enumerate(share) if brought)
    found.given = _shares(list(columns), share, substances, composition, phases)
    found.given["line_body"] = _body(records, of.keys, substances, composition, share)
    tables, behind = _tables(columns, of.random("thickeners"), of.draws)
    found.given |= tables
    found.drawn = {"flow_yield", "flow_consistency", "flow_exponent"}
    found.behind = dict.fromkeys(found.drawn, behind)
    return found


def _thickeners_of(
    records: Mapping[str, Material | None], name: str, substances: Sequence[str], shares: Floats
) -> list[tuple[str, float]]:
    """Return what a line brings that has a flow curve, with its share: itself whole where it has doses of its own."""
    record = records[name]
    own = record.flow if record is not None else ()
    parts = [
        (substances[s], float(shares[s]))
        for s in np.flatnonzero(shares).tolist()
        if (part := records[substances[s]]) is not None and part.flow
    ]
    if record is None or record.made_of is None:
        return parts
    if any(flow.dose for flow in own) or (own and not parts):
        return [(name, 1.0)]
    return parts


def _curves(record: Material) -> dict[str, list[Flow]]:
    """Return the flow curves of a material by phase, doses rising; a gel as supplied is its own phase, undiluted."""
    own = "silicone" if record.affinity == "silicone" else "oil" if record.affinity == "oil" else "water"
    dosed = next((flow.medium for flow in record.flow if flow.dose), own)
    found: dict[str, list[Flow]] = {}
    for flow in record.flow:
        found.setdefault(dosed if flow.medium == "as supplied" else flow.medium, []).append(flow)
    return {medium: sorted(entries, key=_dose) for medium, entries in found.items()}


def _dose(flow: Flow) -> float:
    share = flow.share()
    return 1.0 if share is None else share


def _shares(
    columns: list[tuple[str, str]],
    share: list[dict[tuple[str, str], float]],
    substances: Sequence[str],
    composition: Floats,
    phases: _Phases,
) -> dict[str, Floats]:
    """Return what each line holds of each thickener, and of the rest of the phase that it thickens. [1]"""
    own = np.zeros((len(share), len(columns)))
    rest = np.zeros((len(share), len(columns)))
    for t, (key, medium) in enumerate(columns):
        flags = phases.of(medium)
        rest[:, t] = composition @ flags
        counted = flags[list(substances).index(key)] if key in substances else 0.0
        for i, brought in enumerate(share):
            if (key, medium) in brought:
                own[i, t] = brought[key, medium]
                rest[i, t] = 0.0 if key not in substances else rest[i, t] - own[i, t] * counted
    return {
        "thickener_share": own,
        "thickener_phase": rest,
        "thickener_medium": np.array([MEDIA.index(medium) for _, medium in columns], float),
    }


def _tables(
    columns: dict[tuple[str, str], list[Flow]], rng: np.random.Generator, draws: int
) -> tuple[dict[str, Floats], tuple[Input, ...]]:
    size = max((len(entries) for entries in columns.values()), default=1)
    doses = np.full((len(columns), size), np.nan)
    tables = {word: np.full((draws + 1, len(columns), size), np.nan) for word in ("yield", "consistency", "exponent")}
    behind: list[Input] = []
    for t, ((name, _), entries) in enumerate(columns.items()):
        doses[t, : len(entries)] = [_dose(entry) for entry in entries]
        # What is strong at one dose is strong at all, and stiff where it yields late: one draw for the whole curve.
        chance = np.concatenate([[0.0], rng.standard_normal(draws)])
        for k, entry in enumerate(entries):
            for word, span, dimension in (
                ("yield", entry.yield_stress, "pressure"),
                ("consistency", entry.consistency, "pressure"),
                ("exponent", entry.index, "share"),
            ):
                tables[word][:, t, k] = _between(*ends_of(span, dimension), chance)
        first = entries[0]
        behind.append(Input(f"flow curve of {name}", None, math.nan, "", first.grade, first.source, first.place))
    return {"flow_dose": doses, **{f"flow_{word}": table for word, table in tables.items()}}, tuple(behind)


def _between(low: float, high: float, chance: Floats) -> Floats:
    """Return lognormal draws whose 95 % lie from low to high; from 0, which has no logarithm, even ones up to high.

    Either way a greater chance gives a greater value, so that what is weak at one dose is weak at all.
    """
    if low <= 0:
        below = np.array([1 + math.erf(one / math.sqrt(2)) for one in chance.tolist()]) / 2  # scipy would load slowly
        return np.asarray(high * below / 0.975)
    return np.asarray(math.sqrt(low * high) * np.exp(chance * math.log(high / low) / 2 / NORMAL_95))


def _body(
    records: Mapping[str, Material | None],
    keys: Sequence[str],
    substances: Sequence[str],
    composition: Floats,
    share: list[dict[tuple[str, str], float]],
) -> Floats:
    """Return the rows of `BODY`, one column a line. [1]"""
    based = any(record is not None and record.kind == "base" for record in records.values())
    table = np.zeros((len(BODY), len(keys)))
    for i, name in enumerate(keys):
        line = records[name]
        if line is None:  # it may be anything
            table[: len(MEDIA), i] = 1.0
            continue
        whole = line.made_of is not None and any(key == name for key, _ in share[i])
        held = np.flatnonzero(composition[i]).tolist()
        parts = [(name, 1.0)] if whole else [(substances[s], float(composition[i, s])) for s in held]
        for key, part in parts:
            record = records[key]
            known = record if record is not None else line  # what no shelf knows is of the kind of what it is in
            table[:, i] += part * _counts(key, known, {medium for owner, medium in share[i] if owner == key}, based)
    return table


def _counts(key: str, record: Material, curves: set[str], based: bool) -> Floats:
    """Return what a substance counts as, by the rows of `BODY`, given the phases that it has a curve for. [1]"""
    usable = curves - {"water"} if key in NEEDS_BASE and not based else curves
    lamellar = record.kind == "fatty alcohol or acid" and "water" in curves
    emulsifies = record.kind == "emulsifier" and not (record.affinity == "water" and record.form == "liquid")
    inverse = emulsifies and record.affinity != "water" and record.form in ("liquid", "paste")
    unseen = [medium not in usable and _gives_body(key, record, medium) for medium in MEDIA]
    found = (*unseen, lamellar, emulsifies, inverse, _is_salt(record), key in SPOILT_BY_SALT)
    return np.array(found, float)


def _gives_body(key: str, record: Material, medium: str) -> bool:
    """Return whether a substance thickens a phase in a way of its own, were it there without a curve."""
    if record.kind in ("thickener", "film former") or record.affinity == "unknown":
        return True
    if record.form == "gel" and record.kind not in ("emulsifier", "solubiliser"):
        return (record.affinity in ("oil", "silicone")) == (medium != "water")
    solid = record.form not in ("liquid", "powder")
    if medium == "water":
        return (
            record.kind == "surfactant"
            or (record.kind == "conditioner" and record.charge == "cationic" and record.form != "liquid")
            or (record.kind == "fatty alcohol or acid" and record.form != "liquid")
            or key in SWELLS
        )
    if record.kind == "silicone":
        return record.form != "liquid"
    if record.kind == "fatty alcohol or acid":
        return record.form != "liquid"
    kinds = ("oil", "ester", "hydrocarbon", "emulsifier", "conditioner")
    return record.kind in ("wax", "butter") or (solid and record.affinity == "oil" and record.kind in kinds)


def _is_salt(record: Material) -> bool:
    """Return whether a substance is a salt, or becomes one once the gel is neutralised."""
    if record.affinity != "water" or record.charge != "none":
        return False
    first = record.inci.casefold().partition(" ")[0]
    return record.kind in ("salt", "acid") or (record.kind in _SALT_KINDS and first in _IONS)
