"""What was measured on the product itself: it outranks what would be computed, and is moved to other temperatures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from levigate import units
from levigate.formula.model import MEASURABLE, Formula
from levigate.quantities.graph import Floats, evaluate
from levigate.quantities.sourced import NORMAL_95, ROOM, Input
from levigate.quantities.thickening import BODY_AT_MOST
from levigate.quantities.warmth import STATED

#: A flow measured further than this from the temperature of the figures does not stand for it. [K]
FLOW_NEAR = 5.5
#: Measured values that are of flow.
_FLOW = ("viscosity", "yield_stress", "consistency", "flow_index")
#: Half-width (95 %) of a pH where none is stated: read with a meter, or off a strip.
PH_HALF, PH_STRIP_HALF = 0.1, 0.5
_STRIP = ("strip", "paper", "stick", "indicator", "litmus")
#: Growth of a product with each kelvin where that of its materials is not known, from that of water to that of oil,
#: and the half-width of its 95 % interval; from memory. [1/K]
_GROWTH = (5e-4, 4e-4)


@dataclass(frozen=True, slots=True)
class Measured:
    """What was put in place of computed quantities."""

    #: Quantities given, with draws.
    names: tuple[str, ...]
    #: Measured values that do not stand for the temperature of the figures, as they are called in the file.
    left_out: tuple[str, ...]


def put_measured(
    formula: Formula,
    given: dict[str, Floats],
    behind: dict[str, tuple[Input, ...]],
    kinds: Mapping[str, tuple[str, str, float]],
    temperature: float,
    rng: np.random.Generator,
    draws: int,
) -> Measured:
    """Put what was measured on the product in place of what would be computed.

    Parameters
    ----------
    formula : Formula
        The formula.
    given, behind : dict
        Inputs of the graph, and what they rest on; both are added to.
    kinds : mapping
        What is measured -> the quantity it stands for, its unit, and the usual half-width as a share.
    temperature : float
        Temperature of the figures. [K]
    rng, draws
        Source and number of random draws.
    """
    found, left_out = [], []
    for name, entry in formula.measured.items():
        quantity, unit, usual = kinds.get(name, ("", "", 0.0))
        if not quantity:
            continue
        at = units.si(str(entry["at"]), "temperature") if "at" in entry else ROOM
        if name in _FLOW and abs(at - temperature) > FLOW_NEAR:
            left_out.append(name)
            continue
        dimension = MEASURABLE[name]
        number = units.si(str(entry["value"]), dimension)
        said = [str(entry[word]) for word in ("how", "date") if word in entry]
        how = ", ".join([*said, f"at {at - 273.15:.4g} °C"] if "at" in entry or at != temperature else said)
        if "spread" in entry:
            spread = units.si(str(entry["spread"]), dimension)
        elif name == "pH":
            spread, how = _ph_half(how)
        else:
            spread = number * usual
        behind[quantity] = (Input(f"measured {name}", None, number, unit, "measured", "own-word", how, spread),)
        scatter = np.concatenate([[0.0], rng.standard_normal(draws)])
        given[quantity] = number * np.exp(scatter * (spread / number / NORMAL_95 if number else 0.0))
        found.append(quantity)
        if name == "pH":  # what rests on the pH, but is not computed from it alone, goes by the reading too
            given["measured_ph"], behind["measured_ph"] = given[quantity], behind[quantity]
            found.append("measured_ph")
        if name == "density":
            found += _moved(given, behind, at, temperature, rng, draws)
    return Measured(tuple(found), tuple(left_out))


def _ph_half(how: str) -> tuple[float, str]:
    """Return the half-width of a measured pH by how it was read, and that with what it was taken for."""
    if any(word in how.casefold() for word in _STRIP):
        return PH_STRIP_HALF, f"{how}; off a strip, so good to {PH_STRIP_HALF}"
    return PH_HALF, f"{how or 'not said how'}; taken as a meter's, good to {PH_HALF}"


def _moved(
    given: dict[str, Floats],
    behind: dict[str, tuple[Input, ...]],
    at: float,
    temperature: float,
    rng: np.random.Generator,
    draws: int,
) -> list[str]:
    """Move a measured density to the temperature of the figures; return what else had to be given to do so."""
    known = not (np.isnan(given["density_reading"]).any() or np.isnan(given["mass_fraction"]).any())
    if known:
        if at != temperature:
            computed = {word: value for word, value in given.items() if word != "density"}
            here, there = (evaluate(["density"], {**computed, "temperature": np.asarray(t)})["density"]
                           for t in (temperature, at))  # fmt: skip
            given["density"] = given["density"] * here / there
        return []
    growth, half = _GROWTH
    growths = growth + np.concatenate([[0.0], rng.standard_normal(draws)]) * half / NORMAL_95
    read = given["density"]
    given["density"] = read * np.exp(-growths * (temperature - at))
    given["stated_density"] = read * np.exp(-growths * (STATED - at))
    usual = Input("expansion of the product", None, growth, "1/K", "memory", "memory", "from water to oil", half)
    behind["stated_density"] = (*behind["density"], usual)
    return ["stated_density"]


def plain_liquid(given: dict[str, Floats], behind: dict[str, tuple[Input, ...]]) -> tuple[str, ...]:
    """Put the viscosity of the liquid between the grains from that measured on a product without thickener."""
    found = evaluate(["unforeseen_body", "solid_fraction", "packing"], given)
    if not float(found["unforeseen_body"]) <= BODY_AT_MOST:
        return ()
    phi, most = found["solid_fraction"], found["packing"]
    with np.errstate(invalid="ignore"):
        given["clear_viscosity"] = np.asarray(given["thickness"] * (1 - phi / most) ** (2.5 * most))
    behind["clear_viscosity"] = behind["thickness"]
    return ("clear_viscosity",)
