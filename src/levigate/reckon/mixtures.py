"""Quick sums of mixtures: density, and ethanol with water."""

from __future__ import annotations

import math

import numpy as np

from levigate import units
from levigate.errors import SumError, UnitError
from levigate.quantities.figure import Figure
from levigate.quantities.inputs import Input, density_of
from levigate.quantities.saying import digits
from levigate.reckon.sums import Key, Reckoned, Told, above_nought, figure, need, quick_sum, told_input
from levigate.science import density as science
from levigate.science.metrology import weighing_error
from levigate.shelf.catalogue import catalogue


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
    shelf = catalogue()
    shares: list[float] = []
    parts: list[Input] = []
    for part in text.split(","):
        share, _, name = part.strip().partition("%")
        try:
            shares.append(units.si(f"{share}%", "share"))
        except UnitError as trouble:
            raise SumError(f'"{part.strip()}": {trouble} Write for example "70% aqua".') from trouble
        if name.strip() not in shelf:
            from levigate.shelf.find import closest

            close = closest(shelf, name)
            hint = f' Did you mean "{close[0]}"?' if close else ""
            raise SumError(f'No material is called "{name.strip()}".{hint}')
        parts.append(density_of(shelf, name.strip()))
    total = sum(shares)
    if abs(total - 1) > 1e-9:
        raise SumError(f"The parts add up to {100 * total:.6g} %, not to 100 %.")
    known = np.array([entry.value for entry in parts])
    value = float(science.density_mixture_ideal(np.array(shares), known))
    terms = " + ".join(f"{digits(w)}/{digits(r / 1000)}" for w, r in zip(shares, known, strict=True))
    half = value**2 * math.sqrt(
        sum((w * (e.spread or 0) / e.value**2) ** 2 for w, e in zip(shares, parts, strict=True))
    )
    shown = figure(
        "density",
        "Density",
        value / 1000,
        "g/mL",
        method="1/ρ = Σ wᵢ/ρᵢ",
        source="volumes-added",
        inputs=tuple(parts),
        half=half / 1000,
        grade=_worst(parts),
        holds="no volume change on mixing; every density known",
        seen_off="up to 3.6 % too low (ethanol and water), 1.1 % (glycerol and water)",
    )
    return Reckoned(
        {"density": shown},
        (f"1/ρ = Σ wᵢ/ρᵢ = {terms} = {digits(1000 / value)} mL/g", f"ρ = {digits(value / 1000)} g/mL"),
    )


def _worst(parts: list[Input]) -> str:
    from levigate.shelf.record import GRADES

    return max((entry.grade for entry in parts), key=GRADES.index)


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
    ways = [key for key in ("by_mass", "by_volume") if key in told]
    mixing = "ethanol" in told or "water" in told
    if len(ways) + mixing != 1:
        raise SumError("Say one of by_mass, by_volume, or ethanol with water, for example: ethanol=50mL water=50mL.")
    temperature = told["temperature"]
    if not 253.15 <= temperature <= 313.15:
        raise SumError(f"OIML R 22 holds from -20 to 40 °C; {temperature - 273.15:.4g} °C is outside.")
    for key in ways:
        if not 0 <= told[key] <= 1:
            raise SumError(f"{key} is a share of the whole, 0 to 1 or 0% to 100%; {told[key]:g} is not.")
    working: list[str] = []
    pure = [float(science.density_ethanol_water(p, temperature)) for p in (1.0, 0.0)]
    if mixing:
        need(told, "ethanol-water", "ethanol", "water")
        above_nought(told, "ethanol", "water")
        masses = [told["ethanol"] * pure[0], told["water"] * pure[1]]
        share = masses[0] / sum(masses)
        working.append(
            f"p = {digits(1e3 * masses[0])} g / ({digits(1e3 * masses[0])} g + {digits(1e3 * masses[1])} g) "
            f"= {digits(share)}"
        )
    elif "by_volume" in told:
        share = float(science.mass_fraction_ethanol_water(told["by_volume"]))
        working.append(f"by volume {digits(100 * told['by_volume'])} % at 20 °C is by mass {digits(100 * share)} %")
    else:
        share = told["by_mass"]
    dense = float(science.density_ethanol_water(share, temperature))
    celsius = f"{temperature - 273.15:.4g} °C"
    working.append(f"ρ(p = {digits(share)}, {celsius}) = {digits(dense, 6)} kg/m³")
    told_by = (
        told_input("ethanol by mass", share, "1"),
        told_input("temperature", temperature - 273.15, "C"),
    )
    by_volume = 100 * float(science.volume_fraction_ethanol_water(share))

    def shows(name: str, title: str, value: float, unit: str, method: str) -> None:
        shown[name] = figure(
            name, title, value, unit, method=method, source="OIML-R22-1975", grade="handbook", inputs=told_by,
            holds="-20 to 40 °C",
        )  # fmt: skip

    shown: dict[str, Figure] = {}
    shows("density", f"Density at {celsius}", dense / 1000, "g/mL", "OIML R 22, general formula")
    shows("by_mass", "Ethanol by mass", 100 * share, "%", "p")
    shows("by_volume", "Ethanol by volume at 20 °C", by_volume, "%", "q = ρ(p, 20 °C) p / 789.24")
    if mixing:
        apart = told["ethanol"] + told["water"]
        together = (told["ethanol"] * pure[0] + told["water"] * pure[1]) / dense
        loss = 100 * (1 - together / apart)
        millilitres = f"{digits(1e6 * together)} mL"
        working.append(f"V = {digits(1e3 * together * dense)} g / {digits(dense / 1000, 6)} g/mL = {millilitres}")
        working.append(f"shrinks by 1 - {millilitres} / {digits(1e6 * apart)} mL = {digits(loss, 3)} %")
        shows("volume", "Volume after mixing", 1e6 * together, "mL", "V = (m₁ + m₂)/ρ")
        shows("contraction", "Contraction", loss, "%", "1 - V/(V₁ + V₂)")
    return Reckoned(shown, tuple(working), ("Ethanol burns: no flame, close the cap, air the room.",))
