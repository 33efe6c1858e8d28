"""Quick sums of dissolving: how much a liquid holds, and how alike two substances are."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np

from levigate import units
from levigate.errors import SumError, UnitError, came
from levigate.quantities.saying import digits
from levigate.quantities.sourced import Input
from levigate.reckon.acids import free_acid_form, within_scale
from levigate.reckon.sums import Key, Reckoned, Told, figure, need, quick_sum, told_input
from levigate.science import solubility as science
from levigate.science.constants import Floats
from levigate.science.density import density_water
from levigate.shelf.catalogue import catalogue
from levigate.shelf.find import closest
from levigate.shelf.record import Material, Solubility

_ROUGH = "A cosolvent is rough, to a factor of three either way; it says what is hopeless, never what is safe."
_COLD = "Solids dissolve less in the cold, where what is clear at the bench may drop crystals: keep a jar at 4 °C."
#: A factor of three to either side, as common for the log-linear rule.
_FACTOR = 3.0


@quick_sum(
    "solubility",
    "How much of a material a liquid holds, at a pH or with a cosolvent, and how near a share is to it.",
    'of="benzoic acid" ph=4.5 share=0.5%',
    of=Key(None, "the material, by a name of the shelf"),
    liquid=Key(None, "the liquid it dissolves in", "water"),
    share=Key("share", "share of it in the water phase, to be compared"),
    ph=Key("share", "pH of the water, for an acid: its charged part dissolves on top of the free acid"),
    cosolvent=Key(None, f"liquid mixed with the water: {', '.join(science.COSOLVENTS)}"),
    fraction=Key("share", "volume of the cosolvent, of the whole liquid"),
    log_kow=Key("share", "log Kow of the material, for a cosolvent"),
)
def solubility(told: Told) -> Reckoned:
    """Return a solubility."""
    need(told, "solubility", "of")
    material, key = _material(told.texts["of"])
    liquid = " ".join(told.texts["liquid"].casefold().split())
    entry = _entry(material, key, liquid)
    grams = _grams(entry, key, liquid)
    name = f"{key} in {liquid}"
    basis = Input(f"solubility of {name}", None, grams, "g/100 mL", entry.grade, entry.source, entry.place)
    inputs, working, notes = [basis], [f"{name}: {digits(grams)} g/100 mL {entry.note}".rstrip()], [_COLD]
    factor, wide, method, holds = 1.0, 1.0, "as printed", f"at {entry.at or '15 to 30 °C, not told more closely'}"
    if liquid != "water" and {"ph", "cosolvent", "share"} & {*told.numbers, *told.texts}:
        raise SumError("ph, cosolvent and share go with liquid=water; of other liquids only what is printed is known.")
    if "ph" in told:
        within_scale(told["ph"])
        if "cosolvent" in told:
            raise SumError("Say ph or a cosolvent, not both: the rule of cosolvents is not for charged acids.")
        own, free, acid_inputs = free_acid_form(key, told["ph"], 10 * grams)
        factor, method = own / free, "S = S₀ x₀/x, x the free share, x₀ that in its own saturated water"
        inputs.extend((told_input("pH", told["ph"], "1"), *acid_inputs))
        working.append(f"{digits(own)} of it free by itself, {digits(free)} at pH {told['ph']:.4g}: × {digits(factor)}")
        notes.append("Its salt has a limit of its own, which this passes over.")
    if "cosolvent" in told or "fraction" in told or "log_kow" in told:
        many, line = _cosolvency(told)
        factor, wide, method = factor * many, _FACTOR, "log S = log S₀ + σ f"
        working.append(line)
        notes.append(_ROUGH)
    value = grams * factor
    shown = figure("solubility", f"Solubility of {name}", value, "g/100 mL", method=method, source=entry.source,
                   inputs=tuple(inputs), grade=entry.grade, place=entry.place, holds=holds,
                   seen_off="tables differ by 10 to 30 %" if wide == 1 else "a factor of three")  # fmt: skip
    if wide > 1:
        shown = replace(shown, low=value / wide, high=value * wide)
    figures = {"solubility": shown}
    if "share" in told:
        if not 0 < told["share"] <= 1:
            raise SumError("share is a share of the water phase, above 0 and to 100 %.")
        # Per 100 mL of water or of solution: of the two readings the one that holds less.
        dense = float(density_water(298.15))
        limit = 10 * value / (10 * value + dense)
        ratio = float(science.saturation_ratio(told["share"], limit))
        figures["saturation"] = figure(
            "saturation", "Times over saturated", ratio, "", method="w/w(saturated)", source="definition",
            inputs=tuple(inputs), grade=entry.grade, holds=holds,
        )  # fmt: skip
        working.append(f"{digits(100 * told['share'])} % / {digits(100 * limit)} % at saturation = {digits(ratio)}")
        if wide > 1:
            figures["saturation"] = replace(figures["saturation"], low=ratio / wide, high=ratio * wide)
        # Tables differ by 10 to 30 %.
        near = 0.8 / wide < ratio < 1.2 * wide
        clear = "It will not all dissolve." if ratio > 1 else "It dissolves, at that temperature and in time."
        notes.insert(0, "Too near to tell: try it." if near else clear)
    return Reckoned(figures, tuple(working), tuple(notes))


def _material(name: str) -> tuple[Material, str]:
    material = catalogue().get(name)
    if material is None:
        close = closest(catalogue(), name)
        hint = f' Did you mean "{close[0]}"?' if close else ""
        raise SumError(f"No material is called {came(name)}.{hint}")
    return material, catalogue().key(name) or name


def _entry(material: Material, key: str, liquid: str) -> Solubility:
    found = [entry for entry in material.solubility if entry.liquid == liquid]
    if not found:
        known = ", ".join(dict.fromkeys(entry.liquid for entry in material.solubility))
        raise SumError(f"How much {liquid} dissolves of {key} is not known here; " + (f"known: {known}." if known else
                       "try a pinch in a jar."))  # fmt: skip
    return found[0]


def _grams(entry: Solubility, key: str, liquid: str) -> float:
    if entry.value in ("miscible", "insoluble"):
        how = "mixes with it in all shares" if entry.value == "miscible" else "does not dissolve in it"
        raise SumError(f"{key} and {liquid}: it {how}, so that there is no limit to reckon with.")
    try:
        return entry.si("concentration") / 10
    except UnitError as trouble:
        raise SumError(f"The solubility of {key} in {liquid} is known in words only: {entry.value}.") from trouble


def _cosolvency(told: Told) -> tuple[float, str]:
    need(told, "solubility", "cosolvent", "fraction", "log_kow")
    name, f, log_kow = told.texts["cosolvent"].casefold().strip(), told["fraction"], told["log_kow"]
    if not 0 <= f <= 1:
        raise SumError("fraction is a share of the liquid by volume, 0 to 100 %.")
    if not -10 <= log_kow <= 15:
        raise SumError(f"A log Kow of {log_kow:g} is none that a substance has; it lies between -10 and 15.")
    power = float(science.cosolvency_power(name, log_kow))
    many = float(science.solubility_cosolvent(1.0, [power], [f]))
    return many, f"σ = {digits(power)}, f = {digits(100 * f)} %: × 10^(σ f) = × {digits(many)}"


@quick_sum(
    "hansen",
    "Distance of two substances in Hansen's space, and whether one is likely to dissolve the other.",
    'one="15.5 10.4 7.0" other="17 10 8" radius=8',
    one=Key(None, 'dispersion, polarity, hydrogen bonds in MPa½; of a blend "50% 15.8 8.8 19.4; 50% 18 1.4 2"'),
    other=Key(None, "the three of the other substance"),
    radius=Key("share", "radius of interaction of the other, in MPa½"),
)
def hansen(told: Told) -> Reckoned:
    """Return a distance in Hansen's space."""
    need(told, "hansen", "one", "other")
    points = [_point(key, told.texts[key]) for key in ("one", "other")]
    value = float(science.distance_hansen(*points))
    inputs = tuple(
        told_input(f"{what} of {key}", float(x), "MPa½")
        for key, point in zip(("one", "the other"), points, strict=True)
        for what, x in zip(("dispersion", "polarity", "hydrogen bonds"), point, strict=True)
    )
    apart = points[0] - points[1]
    shown = figure(
        "distance", "Distance", value, "MPa½", method="Ra² = 4 ΔD² + ΔP² + ΔH²", source="Hansen-1967", inputs=inputs,
        holds="near 25 °C; size of the molecules left out", seen_off="tables differ by 1 to 2 MPa½ for one liquid",
    )  # fmt: skip
    figures = {"distance": shown}
    terms = f"4 × {digits(abs(apart[0]))}² + {digits(abs(apart[1]))}² + {digits(abs(apart[2]))}²"
    working = [f"{key}: {', '.join(digits(x) for x in point)} MPa½" for key, point in zip(("one", "other"), points,
               strict=True)]  # fmt: skip
    working.append(f"Ra = √({terms}) = {digits(value)} MPa½")
    notes = ["Below 2 MPa½ two substances are as alike as the tables can tell."]
    if "radius" in told:
        if not 0 < told["radius"] <= 100:
            raise SumError("radius is told in MPa½, above 0 and to 100.")
        red = float(science.relative_energy_difference(value, told["radius"]))
        figures["red"] = figure("red", "Relative energy difference", red, "", method="RED = Ra/R₀",
                                source="Hansen-1967", inputs=(*inputs, told_input("radius", told["radius"], "MPa½")),
                                holds="for the test that the radius was found with")  # fmt: skip
        working.append(f"RED = {digits(value)} / {digits(told['radius'])} = {digits(red)}")
        notes.insert(0, "Likely to dissolve or swell it." if red < 1 else "Not likely to dissolve it.")
    return Reckoned(figures, tuple(working), tuple(notes))


def _point(key: str, text: str) -> Floats:
    shares, rows = [], []
    for part in re.split(r"[;]", text):
        words = part.replace(",", " ").split()
        share = words.pop(0) if words and words[0].endswith("%") else "100%"
        try:
            shares.append(units.si(share, "share"))
            rows.append([float(word) for word in words])
        except (UnitError, ValueError) as trouble:
            raise SumError(f'{key}: {came(part.strip())} is not three numbers, as "15.5 10.4 7.0".') from trouble
        if len(words) != 3 or not all(math.isfinite(x) and 0 <= x <= 100 for x in rows[-1]):
            raise SumError(f'{key}: {came(part.strip())} is not three numbers from 0 to 100 MPa½, as "15.5 10.4 7.0".')
    if (len(rows) > 1 and abs(sum(shares) - 1) > 1e-6) or min(shares) < 0:
        raise SumError(f"{key}: the shares of the blend by volume add up to {100 * sum(shares):.6g} %, not to 100 %.")
    return np.asarray(science.hansen_blend(shares, rows))
