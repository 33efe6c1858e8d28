"""Quick sums of mixtures: density, and ethanol with water."""

from __future__ import annotations

import math
import re

import numpy as np

from levigate import units
from levigate.errors import SumError, UnitError
from levigate.quantities.graph import quantities
from levigate.quantities.saying import digits
from levigate.quantities.swelling import density_of
from levigate.reckon.sums import Key, Reckoned, Told, above_nought, figure, need, quick_sum, told_input
from levigate.science import density as science
from levigate.science.metrology import weighing_error
from levigate.shelf.catalogue import catalogue
from levigate.shelf.record import GRADES

#: Range of OIML R 22.
_R22 = "-20 to 40 °C"


@quick_sum(
    "density",
    "Density from a weighed volume, or of a mixture with volumes added.",
    "mass=9.52g volume=10mL",
    mass=Key("mass", "net mass of what was filled in"),
    volume=Key("volume", "volume it takes, as a syringe filled to a mark, without bubbles"),
    scale=Key("mass", "one step of the scale", "0.01 g"),
    volume_error=Key("volume", "how far the mark may be off (95 %)"),
    of=Key(None, 'a mixture by mass: "70% aqua, 5% glycerin, 25% isopropyl myristate"'),
)
def density(told: Told) -> Reckoned:
    """Return a density."""
    if "of" in told:
        if "mass" in told or "volume" in told:
            raise SumError("Say either mass and volume, or of a mixture; not both.")
        return _of_mixture(told.texts["of"])
    need(told, "density", "mass", "volume")
    above_nought(told, "mass", "volume", "scale", "volume_error")
    mass, volume = told["mass"] * 1e3, told["volume"] * 1e6
    error = float(weighing_error(told["mass"], told["scale"]))
    mark = told.numbers.get("volume_error", 0.01 * told["volume"]) * 1e6 / volume
    value = mass / volume
    half = value * math.hypot(error, mark)
    notes = (
        ()
        if "volume_error" in told
        else ("The mark of a syringe was taken as true within 1 %; say volume_error to do better.",)
    )
    working = (
        f"ρ = m/V = {digits(mass)} g / {digits(volume)} mL = {digits(value)} g/mL",
        f"U/ρ = √(({digits(100 * error, 2)} %)² + ({digits(100 * mark, 2)} %)²) = {digits(100 * half / value, 2)} %",
    )
    inputs = (told_input("mass", mass, "g", error * mass), told_input("volume", volume, "mL", mark * volume))
    shown = figure(
        "density",
        "Density",
        value,
        "g/mL",
        method="ρ = m/V",
        source="definition",
        inputs=inputs,
        half=half,
        holds="no bubbles, filled to the mark at the temperature it is wanted for",
    )
    return Reckoned({"density": shown}, working, notes)


def _of_mixture(text: str) -> Reckoned:
    shares, parts = [], []
    for share, name in _parts(text):
        entry = density_of(catalogue(), name)
        if math.isnan(entry.value):
            raise SumError(f"The density of {name} is not on the shelf; weigh a volume of it first.")
        shares.append(share)
        parts.append(entry)
    known = np.array([entry.value for entry in parts])
    value = float(science.density_mixture_ideal(np.array(shares), known))
    terms = " + ".join(f"{digits(w)}/{digits(r / 1000)}" for w, r in zip(shares, known, strict=True))
    half = value**2 * math.hypot(*(w * (e.spread or 0) / e.value**2 for w, e in zip(shares, parts, strict=True)))
    mixing = quantities()["density"]
    shown = figure(
        "density",
        "Density",
        value / 1000,
        "g/mL",
        method=mixing.equation,
        source=mixing.source,
        inputs=tuple(parts),
        half=half / 1000,
        grade=max((entry.grade for entry in parts), key=GRADES.index),
        holds=mixing.holds,
        seen_off=mixing.seen_off,
    )
    return Reckoned(
        {"density": shown},
        (f"1/ρ = Σ wᵢ/ρᵢ = {terms} = {digits(1000 / value)} mL/g", f"ρ = {digits(value / 1000)} g/mL"),
    )


def _parts(text: str) -> list[tuple[float, str]]:
    """Return the shares and materials of ``"70% aqua, 30% glycerin"``; a name may hold a comma."""
    found: list[tuple[float, str]] = []
    for part in re.split(r",(?=\s*-?[\d.]+\s*%)", text):
        share, percent, name = part.strip().partition("%")
        name = name.strip()
        if not percent or not name:
            raise SumError(f'"{part.strip()}" is no share of a material; write for example "70% aqua, 30% glycerin".')
        try:
            found.append((units.si(f"{share}%", "share"), name))
        except UnitError as trouble:
            raise SumError(str(trouble)) from trouble
        if name not in catalogue():
            from levigate.shelf.find import closest

            close = closest(catalogue(), name)
            hint = f' Did you mean "{close[0]}"?' if close else ""
            raise SumError(f'No material is called "{name}".{hint}')
    total = sum(share for share, _ in found)
    if abs(total - 1) > 1e-9:
        raise SumError(f"The parts add up to {100 * total:.6g} %, not to 100 %.")
    if below := [name for share, name in found if share < 0]:
        raise SumError(f"A share below nought ({below[0]}) is none.")
    return found


@quick_sum(
    "ethanol-water",
    "Density, strength and shrinking of ethanol with water (OIML R 22).",
    "ethanol=50mL water=50mL",
    by_mass=Key("share", "ethanol by mass, 0 to 1 or with %"),
    by_volume=Key("share", "ethanol by volume at 20 °C, as a label says it"),
    ethanol=Key("volume", "volume of pure ethanol to mix"),
    water=Key("volume", "volume of water to mix"),
    temperature=Key("temperature", "-20 to 40 °C", "20 C"),
)
def ethanol_water(told: Told) -> Reckoned:
    """Return density, strength and contraction of ethanol with water."""
    mixing = _one_way(told)
    temperature = told["temperature"]
    celsius = f"{temperature - 273.15:.4g} °C"
    share, working = _mixed(told, temperature) if mixing else _strength(told)
    dense = float(science.density_ethanol_water(share, temperature))
    working.append(f"ρ(p = {digits(share)}, {celsius}) = {digits(dense, 6)} kg/m³")
    inputs = (told_input("ethanol by mass", share, "1"), told_input("temperature", temperature - 273.15, "C"))
    by_volume = 100 * float(science.volume_fraction_ethanol_water(share))
    rows = [
        ("density", f"Density at {celsius}", dense / 1000, "g/mL", "OIML R 22, general formula"),
        ("by_mass", "Ethanol by mass", 100 * share, "%", "p"),
        ("by_volume", "Ethanol by volume at 20 °C", by_volume, "%", "q = ρ(p, 20 °C) p / 789.24"),
    ]
    if mixing:
        apart = told["ethanol"] + told["water"]
        together = float(sum(_masses(told, temperature))) / dense
        loss = 100 * (1 - together / apart)
        millilitres = f"{digits(1e6 * together)} mL"
        working.append(f"V = {digits(1e3 * together * dense)} g / {digits(dense / 1000, 6)} g/mL = {millilitres}")
        working.append(f"shrinks by 1 - {millilitres} / {digits(1e6 * apart)} mL = {digits(loss, 3)} %")
        rows.append(("volume", "Volume after mixing", 1e6 * together, "mL", "V = (m₁ + m₂)/ρ"))
        rows.append(("contraction", "Contraction", loss, "%", "1 - V/(V₁ + V₂)"))
    shown = {
        name: figure(
            name, title, value, unit, method=method, source="OIML-R22-1975", grade="handbook", inputs=inputs, holds=_R22
        )
        for name, title, value, unit, method in rows
    }
    return Reckoned(shown, tuple(working), ("Ethanol burns: no flame, close the cap, air the room.",))


def _one_way(told: Told) -> bool:
    """Return whether two volumes are mixed; refuse what says too little, too much, or lies outside the range."""
    ways = [key for key in ("by_mass", "by_volume") if key in told]
    mixing = "ethanol" in told or "water" in told
    if len(ways) + mixing != 1:
        raise SumError("Say one of by_mass, by_volume, or ethanol with water, for example: ethanol=50mL water=50mL.")
    if mixing:
        need(told, "ethanol-water", "ethanol", "water")
        above_nought(told, "ethanol", "water")
    for key in ways:
        if not 0 <= told[key] <= 1:
            raise SumError(f"{key} is a share of the whole, 0 to 1 or 0% to 100%; {told[key]:g} is not.")
    celsius = told["temperature"] - 273.15
    if not -20 - 1e-9 <= celsius <= 40 + 1e-9:
        raise SumError(f"OIML R 22 holds from {_R22}; {celsius:.4g} °C is outside.")
    return mixing


def _masses(told: Told, temperature: float) -> tuple[float, float]:
    pure = science.density_ethanol_water([1.0, 0.0], temperature)
    return told["ethanol"] * float(pure[0]), told["water"] * float(pure[1])


def _mixed(told: Told, temperature: float) -> tuple[float, list[str]]:
    ethanol, water = _masses(told, temperature)
    share = ethanol / (ethanol + water)
    grams = digits(1e3 * ethanol), digits(1e3 * water)
    return share, [f"p = {grams[0]} g / ({grams[0]} g + {grams[1]} g) = {digits(share)}"]


def _strength(told: Told) -> tuple[float, list[str]]:
    if "by_mass" in told:
        return told["by_mass"], []
    share = float(science.mass_fraction_ethanol_water(told["by_volume"]))
    return share, [f"by volume {digits(100 * told['by_volume'])} % at 20 °C is by mass {digits(100 * share)} %"]
