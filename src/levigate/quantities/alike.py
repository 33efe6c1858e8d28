"""Whether one material can stand in for another like for like, and why not."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from levigate.errors import ShelfError
from levigate.formula.premix import substances
from levigate.quantities.graph import Floats
from levigate.quantities.sourced import ROOM, ends_of, si_of
from levigate.quantities.thinning import kinematic_at_room
from levigate.science.solubility import distance_hansen, hansen_blend
from levigate.shelf.catalogue import Shelf
from levigate.shelf.record import Material

#: Distances up to which two liquids are as alike as tables can tell, near, and apart. [MPa½]
SAME, NEAR, APART = 2.0, 4.0, 8.0
#: Share of the volume of a blend of which the parameters must be known. [1]
_MOST = 0.8
#: What a person notices: thickness, density, HLB asked for, melting, hydrogen bonds.
_THICKER, _DENSER, _HLB, _MELTS, _BONDS = 2.0, 50.0, 2.0, 5.0, 3.0


@dataclass(frozen=True, slots=True)
class Likeness:
    """One material held against another."""

    key: str
    #: Distance in Hansen's space; nan where it is not known. [MPa½]
    distance: float
    #: Whether it can stand in like for like.
    alike: bool
    #: What differs, each a clause.
    because: tuple[str, ...]


def hansen_of(shelf: Shelf, key: str) -> Floats | None:
    """Return the Hansen parameters of a material, of a blend by volume; None where too much is not known. [MPa½]"""
    record = shelf.get(key)
    if record is None:
        return None
    if record.hansen:
        return np.array(record.hansen[0].values)
    if record.made_of is None:
        return None
    known, rows, whole = [], [], 0.0
    for part, share in substances(shelf, key).items():
        of_part = shelf.get(part)
        if of_part is None or not of_part.density:
            return None
        volume = float(share) / si_of(of_part.density[0], "density")
        whole += volume
        if of_part.hansen:
            known.append(volume)
            rows.append(of_part.hansen[0].values)
    return np.asarray(hansen_blend(known, rows)) if known and sum(known) >= _MOST * whole else None


def nearest(shelf: Shelf, name: str, *, most: int = 8) -> list[Likeness]:
    """Return the materials of one form that are nearest to one in Hansen's space, nearest first.

    Raises
    ------
    ShelfError
        When the material is not on the shelf, or its parameters are not on record.
    """
    key = _key(shelf, name)
    here = hansen_of(shelf, key)
    if here is None:
        raise ShelfError(
            f'The Hansen parameters of "{key}" are not on record, so its nearest cannot be told; name the other '
            f'material to compare the rest: levigate shelf like "{key}" "squalane".'
        )
    flows = _flows(shelf[key])
    places = {other: hansen_of(shelf, other) for other in shelf if other != key and _flows(shelf[other]) == flows}
    known = [(other, place) for other, place in places.items() if place is not None]
    apart = distance_hansen(here, np.array([place for _, place in known]))
    order = np.argsort(apart, kind="stable")[:most]
    return [held_against(shelf, key, known[i][0]) for i in order]


def held_against(shelf: Shelf, name: str, other: str) -> Likeness:
    """Return whether another material can stand in for one like for like, and what differs.

    Raises
    ------
    ShelfError
        When one of them is not on the shelf.
    """
    first, second = _key(shelf, name), _key(shelf, other)
    here, there = hansen_of(shelf, first), hansen_of(shelf, second)
    apart = math.nan if here is None or there is None else float(distance_hansen(here, there))
    because = tuple(_differences(shelf[first], shelf[second], here, there, apart))
    return Likeness(second, apart, apart <= NEAR and not because, because)


def _key(shelf: Shelf, name: str) -> str:
    key = shelf.key(name)
    if key is None:
        raise ShelfError(f'No material is called "{name}"; `levigate shelf find` looks for names like it.')
    return key


def _flows(record: Material) -> bool:
    return record.form in ("liquid", "gel")


def _differences(
    one: Material, other: Material, here: Floats | None, there: Floats | None, apart: float
) -> Iterator[str]:
    """Yield what would make the second behave otherwise than the first."""
    if here is None or there is None:
        yield "the Hansen parameters of one of them are not on record, so what they dissolve cannot be compared"
    elif apart > NEAR:
        far = "far apart" if apart > APART else "apart"
        yield f"they stand {apart:.1f} MPa½ {far}: what the one dissolves the other may drop or leave undissolved"
        if abs(there[2] - here[2]) > _BONDS:
            yield f"it holds {'more' if there[2] > here[2] else 'fewer'} hydrogen bonds, so it is " + (
                "more polar" if there[2] > here[2] else "less polar"
            )
    if one.affinity != other.affinity:
        yield f"it belongs in {other.affinity}, the other in {one.affinity}"
    if one.form != other.form:
        brings = ", which brings a thickener of its own" if other.form == "gel" else ""
        yield f"it is a {other.form}{brings}, the other a {one.form}"
    yield from _of_flow(one, other)
    for name, dimension, least, unit, scale in (
        ("density", "density", _DENSER, "g/mL", 1000.0), ("required_hlb", "share", _HLB, "", 1.0),
    ):  # fmt: skip
        first, second = getattr(one, name), getattr(other, name)
        if first and second and abs(si_of(first[0], dimension) - si_of(second[0], dimension)) > least:
            a, b = (si_of(values[0], dimension) / scale for values in (first, second))
            word = {"density": "its density is", "required_hlb": "to be emulsified it asks for an HLB of"}[name]
            yield f"{word} {b:.3g} {unit}".rstrip() + f" against {a:.3g}"


def _of_flow(one: Material, other: Material) -> Iterator[str]:
    thin, thick = kinematic_at_room(one), kinematic_at_room(other)
    ratio = thick / thin
    if ratio > _THICKER or ratio < 1 / _THICKER:
        yield f"it is {ratio if ratio > 1 else 1 / ratio:.2g} times as {'thick' if ratio > 1 else 'thin'}"
    elif math.isnan(ratio) and one.form == other.form == "liquid":
        yield "the viscosity of one of them is not on record"
    melts = [ends_of(record.melting_point[0], "temperature")[1] if record.melting_point and record.melting_point[0].low
             else si_of(record.melting_point[0], "temperature") if record.melting_point else math.nan
             for record in (one, other)]  # fmt: skip
    if max(melts) > ROOM - 20 and abs(melts[1] - melts[0]) > _MELTS:
        yield f"it melts at {melts[1] - 273.15:.0f} °C against {melts[0] - 273.15:.0f} °C"
