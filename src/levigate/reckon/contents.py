"""Quick sum of a filling in a container: what stays empty, how high it stands, what comes out, how long it lasts."""

from __future__ import annotations

import difflib
from dataclasses import dataclass

import numpy as np

from levigate.errors import SumError, came
from levigate.formula.uses import use_of, uses
from levigate.quantities.figure import Figure
from levigate.reckon.readings import (
    UNUSED,
    Answer,
    Method,
    Reading,
    answer,
    assumptions,
    error_key,
    exact,
    mass_or_volume,
    shown,
    take,
)
from levigate.reckon.sizes import said
from levigate.reckon.sums import Key, Reckoned, Told, above_nought, need, quick_sum
from levigate.science.constants import Floats
from levigate.science.containers import fill_height, headspace, volume_brimful, volume_dispensed
from levigate.science.filling import time_container_lasts
from levigate.shelf.containers import Container, containers

_DAY = 86400.0


@dataclass(frozen=True, slots=True)
class _Content:
    """What is filled in: a volume or a mass, with the density where it was told."""

    amount: Reading
    density: Reading

    @property
    def by_mass(self) -> bool:
        """Whether it was told as a mass."""
        return self.amount.dimension == "mass"

    @property
    def readings(self) -> tuple[Reading, Reading]:
        """What was read of it."""
        return self.amount, self.density

    @property
    def volume(self) -> float:
        """Its volume. [m³]"""
        return float(self.to_volume(np.asarray(self.amount.value), np.asarray(self.density.value)))

    def to_volume(self, amount: Floats, density: Floats) -> Floats:
        """Return the volume of an amount."""
        return amount / density if self.by_mass else amount

    def to_mass(self, amount: Floats, density: Floats) -> Floats:
        """Return the mass of an amount."""
        return amount if self.by_mass else amount * density

    def __str__(self) -> str:
        """Return its volume as a working line shows it."""
        return said(self.volume, "volume")


@quick_sum(
    "container",
    "How a filling sits in a generic container: headspace, height, what comes out, how long it lasts.",
    'shape="jar 50 mL" fills=50mL density=0.95g/mL daily=0.5g',
    shape=Key(None, 'one of the generic containers, as "jar 50 mL"; any other name lists them'),
    fills=Key(None, "what is filled in, a volume or a mass; without it the nominal volume"),
    density=Key("density", "density of the product, for a filling told by mass and for how long it lasts"),
    daily=Key("mass", "what a person uses in a day"),
    use=Key(None, "use family, in place of daily: its published amount a day"),
    brimful=Key("volume", "volume to the brim as measured (its grams of water), in place of the typical one"),
    brimful_error=error_key("the measured volume", "1 mL"),
    density_error=error_key("the density", "1 %"),
)
def container(told: Told) -> Reckoned:
    """Return how a filling sits in a container."""
    need(told, "container", "shape")
    pack = _pack(told.texts["shape"])
    content = _content(told, pack)
    brim = _of_pack(pack, "brimful volume", pack.brimful, pack.brimful_half)
    if "brimful" in told:
        (brim,) = take(told, "container", brimful="brimful_error")
    dips = _of_pack(pack, "volume of the pump or pipette", pack.dips_in, pack.dips_in_half)
    _goes_in(pack, content, brim, dips)
    empty = answer(
        lambda a, r, b, d: headspace(content.to_volume(a, r), b - d),
        (*content.readings, brim, dips),
        "share",
        signed=True,
    )
    beside = f" - {dips}" if dips.value else ""
    working = [f"V = m/ρ = {content.amount} / {content.density} = {content}"] if content.by_mass else []
    working.append(f"headspace = 1 - V/V_brim = 1 - {content} / ({brim}{beside}) = {empty}")
    of_brim = Method("x = 1 - V/V_brim", "definition", "as good as the brimful volume: measure it", grade=brim.grade)
    figures = {"headspace": shown("headspace", "Headspace", empty, of_brim)}
    notes = [pack.about, *_usual(pack, empty)]
    if pack.sections is None:
        notes.append("It has no level to read, so no height is given.")
    else:
        figures["fill_height"] = _height(pack.sections, content, brim, working)
    stays, figures["comes_out"] = _comes_out(pack, content, working)
    daily = _daily(told)
    if daily is not None:
        figures["lasts"] = _lasts(told, content, stays, daily, working)
    return Reckoned(figures, tuple(working), (*notes, *assumptions((*content.readings, brim))))


def _pack(text: str) -> Container:
    def key(name: str) -> str:
        return "".join(name.casefold().split())

    known = {key(name): one for name, one in containers().items()}
    if key(text) not in known:
        close = difflib.get_close_matches(key(text), known, n=1)
        hint = f' Did you mean "{known[close[0]].name}"?' if close else ""
        raise SumError(f"No container is called {came(text)}.{hint} There are: {', '.join(containers())}.")
    return known[key(text)]


def _content(told: Told, pack: Container) -> _Content:
    amount, dimension = pack.nominal, "volume"
    if "fills" in told:
        amount, dimension = mass_or_volume("fills", told.texts["fills"])
    needed = dimension == "mass" or "density" in told
    density = take(told, "container", density="density_error")[0] if needed else UNUSED
    return _Content(exact("amount filled in", amount, dimension), density)


def _of_pack(pack: Container, key: str, value: float, half: float) -> Reading:
    return Reading(key, value, half, "volume", grade=pack.grade, source=pack.source)


def _goes_in(pack: Container, content: _Content, brim: Reading, dips: Reading) -> None:
    room = brim.value - dips.value
    if content.volume > room:
        raise SumError(
            f"The {pack.name} takes {said(room, 'volume')} to the brim, give or take "
            f"{said(brim.half + dips.half, 'volume', 2)}; {content} does not go in."
        )


def _usual(pack: Container, empty: Answer) -> list[str]:
    usual = pack.headspace
    if usual.low <= empty.value <= usual.high:
        return []
    word = "less" if empty.value < usual.low else "more"
    return [f"That is {word} headspace than the usual {100 * usual.low:g} to {100 * usual.high:g} %."]


def _height(sections: tuple[Floats, Floats], content: _Content, brim: Reading, working: list[str]) -> Figure:
    drawn = float(volume_brimful(*sections))
    # The drawing is of a typical one: its room is stretched to the brimful volume that this container has.
    found = answer(
        lambda a, r, b: fill_height(content.to_volume(a, r) / b * drawn, *sections),
        (*content.readings, brim),
        "length",
    )
    working.append(f"in the drawing of it {content} stand at a height of {found}")
    drawing = Method(
        "level under which the drawn sections hold V",
        "Machinerys-Handbook-31",
        holds="pump or pipette out; measures of a typical container, from memory",
        grade="memory",
    )
    return shown("fill_height", "Height of the filling", found, drawing)


def _comes_out(pack: Container, content: _Content, working: list[str]) -> tuple[Reading, Figure]:
    """Return the share that stays inside, and what comes out."""
    left = pack.residue
    middle, half = (left.low + left.high) / 2, (left.high - left.low) / 2
    stays = Reading(
        "share that stays inside", middle, half, "share", grade=left.grade, source=left.source, place=left.place
    )
    out = answer(lambda a, r, x: volume_dispensed(content.to_volume(a, r), x), (*content.readings, stays), "volume")
    working.append(f"comes out: (1 - {stays}) × {content} = {out}")
    emptied = Method("V (1 - x), x what stays inside", left.source, left.note, place=left.place, grade=left.grade)
    return stays, shown("comes_out", "What comes out", out, emptied)


def _daily(told: Told) -> Reading | None:
    if "daily" in told:
        above_nought(told, "daily")
        return exact("daily amount", told["daily"], "mass")
    if "use" not in told:
        return None
    use = use_of(told.texts["use"])
    if use is None or use.amount is None:
        known = ", ".join(name for name, one in uses().items() if one.amount is not None)
        raise SumError(
            f"No daily amount is known here for {came(told.texts['use'])}; say daily=0.5g, or one of: {known}."
        )
    grams = use.amount / 1000
    return Reading("daily amount", grams, 0.0, "mass", grade=use.grade, source=use.source, place=use.place)


def _lasts(told: Told, content: _Content, stays: Reading, daily: Reading, working: list[str]) -> Figure:
    if not content.by_mass:
        need(told, "container", "density")
    found = answer(
        lambda a, r, x, m: time_container_lasts(content.to_mass(a, r), x, m / _DAY),
        (*content.readings, stays, daily),
        "time",
    )
    mass = f"{content.amount}" if content.by_mass else f"{content.amount} × {content.density}"
    working.append(f"lasts: (1 - {stays}) × {mass} / {daily} a day = {found}")
    own = daily.source == "own-word"
    how = Method(
        "t = (1 - x) m / daily amount",
        "definition" if own else daily.source,
        holds="every day the same amount" if own else "published amounts are made for safety sums, and high",
        place=daily.place,
        grade=stays.grade,
    )
    return shown("lasts", "Lasts", found, how)
