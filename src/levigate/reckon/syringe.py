"""Quick sum of a density by weighing what fills a syringe to a mark, better still beside water to the same mark."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from levigate.errors import SumError
from levigate.quantities.figure import Figure
from levigate.reckon.readings import Method, Reading, answer, doubts, error_key, shown, take
from levigate.reckon.sizes import said
from levigate.reckon.sums import Key, Reckoned, Told, above_nought, need, quick_sum
from levigate.science.constants import Floats
from levigate.science.density import density_water
from levigate.science.filling import density_at_temperature
from levigate.science.metrology import weighing_uncertainty

#: Most that a liquid grows in a kelvin, as a share: near three times ethanol.
_MOST_EXPANSION = 0.003
#: What anything weighed in a syringe is between, from foam to a slurry of zinc oxide. [kg/m³]
_LEAST, _MOST = 50.0, 5000.0
#: Density from mass, what stands for the mark, and temperature.
_Law = Callable[[Floats, Floats, Floats], Floats]


@quick_sum(
    "density-by-syringe",
    "Density from the mass that fills a syringe to a mark, or beside the mass of water that fills it to the same mark.",
    "full=14.63g empty=5.11g volume=10mL temperature=22C",
    full=Key("mass", "syringe filled to the mark"),
    empty=Key("mass", "the same syringe empty and dry"),
    mass=Key("mass", "net mass, in place of full and empty"),
    volume=Key("volume", "volume at the mark"),
    water=Key("mass", "net mass of water to the same mark, in place of the volume"),
    temperature=Key("temperature", "temperature of what was filled in, and of the water", "20 C"),
    to=Key("temperature", "temperature at which the density is wanted"),
    expansion=Key("share", "growth of the volume per kelvin, such as 0.0007 for oils; needed with to"),
    scale=Key("mass", "one step of the scale", "0.01 g"),
    volume_error=error_key("the mark", "1 %"),
    temperature_error=error_key("the temperature", "1 C"),
)
def density_by_syringe(told: Told) -> Reckoned:
    """Return a density with the interval that the readings leave."""
    above_nought(told, "scale")
    if ("volume" in told) == ("water" in told):
        raise SumError("Say either the volume at the mark or the mass of water to it: volume=10mL or water=9.95g.")
    mass, working = _net(told)
    (warm,) = take(told, "density-by-syringe", temperature="temperature_error")
    by_water = "water" in told
    law, other = _by_water(told) if by_water else _by_mark(told)
    readings = (mass, other, warm)
    found = answer(law, readings, "density", outside="Water is liquid, and its density known here, from 0 to 100 °C.")
    if not _LEAST <= found.value <= _MOST:
        raise SumError(f"A density of {found} is not one of the bench; look at the units.")
    if by_water:
        water = said(float(density_water(warm.value)), "density", 6)
        working.append(f"ρ = m ρ_water/m_water = {mass} × {water} / {other} = {found}")
    else:
        working.append(f"ρ = m/V = {mass} / {other} = {found}")
    figures = {
        "density": shown(
            "density",
            f"Density at {warm}",
            found,
            Method(
                "ρ = m ρ_water/m_water" if by_water else "ρ = m/V",
                source="Bettin-Spieweck-1990" if by_water else "definition",
                holds="no bubbles, filled to the mark; the air that is weighed with it is left out",
                seen_off=f"air makes 0.1 % of the mass{', nearly the same for both' if by_water else ''}",
            ),
        )
    }
    notes = [f"Masses were taken as right within {said(mass.half, 'mass', 2)} (95 %), two roundings of the scale."]
    if not by_water:
        notes.append(
            "Water to the same mark, told as water=9.95g in place of the volume, takes the error of the mark out."
        )
    if "to" in told:
        figures["density_to"] = _moved(told, law, readings, working)
    return Reckoned(figures, tuple(working), (*notes, *doubts(found)))


def _net(told: Told) -> tuple[Reading, list[str]]:
    """Return the net mass, and how it follows from full and empty."""
    half = 2 * float(weighing_uncertainty(told["scale"]))
    if "mass" in told:
        if "full" in told or "empty" in told:
            raise SumError("Say either the net mass, or full and empty; not both.")
        (mass,) = take(told, "density-by-syringe", mass="")
        return replace(mass, half=half), []
    need(told, "density-by-syringe", "full", "empty")
    above_nought(told, "full", "empty")
    net = told["full"] - told["empty"]
    if net <= 0:
        raise SumError("The full syringe must be heavier than the empty one.")
    line = f"m = {said(told['full'], 'mass')} - {said(told['empty'], 'mass')} = {said(net, 'mass')}"
    return Reading("mass", net, half, "mass"), [line]


def _by_mark(told: Told) -> tuple[_Law, Reading]:
    (volume,) = take(told, "density-by-syringe", volume="volume_error")
    return lambda mass, mark, temperature: mass / mark, volume


def _by_water(told: Told) -> tuple[_Law, Reading]:
    (water,) = take(told, "density-by-syringe", water="")
    half = 2 * float(weighing_uncertainty(told["scale"]))
    return lambda mass, mark, temperature: mass * density_water(temperature) / mark, replace(water, half=half)


def _moved(told: Told, law: _Law, readings: tuple[Reading, ...], working: list[str]) -> Figure:
    """Return the density at another temperature."""
    need(told, "density-by-syringe", "expansion")
    if abs(told["expansion"]) > _MOST_EXPANSION:
        raise SumError(
            "No liquid grows by that much in a kelvin; oils grow by 0.0007, ethanol by 0.0011, water by 0.0002."
        )
    (aim,) = take(told, "density-by-syringe", to="")
    beta = Reading("expansion per kelvin", told["expansion"], 0.1 * abs(told["expansion"]), "share")
    found = answer(
        lambda mass, mark, warm, wanted, growth: density_at_temperature(law(mass, mark, warm), warm, wanted, growth),
        (*readings, aim, beta),
        "density",
        outside="There is no density at that temperature.",
    )
    working.append(f"ρ({aim}) = ρ exp(-{told['expansion']:g}/K × ({aim} - {readings[-1]})) = {found}")
    return shown(
        "density_to",
        f"Density at {aim}",
        found,
        Method(
            "ρ(T) = ρ₀ exp(-β (T - T₀))",
            source="definition",
            holds="one expansion (taken as right within 10 %) over the whole range; nothing melts, sets or loses air",
            seen_off="for water, whose expansion trebles from 20 to 75 °C, not to be used",
        ),
    )
