"""Quick sums of measures: conversion of units, and how sure a weighing is."""

from __future__ import annotations

from levigate import units
from levigate.bench.weighing import Scale, expanded_error, least_grams, read_scale
from levigate.errors import BatchError, SumError, UnitError
from levigate.quantities.figure import Figure
from levigate.quantities.saying import digits
from levigate.quantities.sourced import EXACT
from levigate.reckon.sums import Key, Reckoned, Told, above_nought, figure, need, quick_sum, told_input


@quick_sum(
    "convert",
    "A value in another unit; with a density also between mass and volume.",
    'amount="1 fl oz" to=mL',
    amount=Key(None, "what is to be converted, with its unit"),
    to=Key(None, "the unit wanted"),
    density=Key("density", "needed only between mass and volume"),
)
def convert(told: Told) -> Reckoned:
    """Return an amount in another unit."""
    need(told, "convert", "amount", "to")
    amount, to = told.texts["amount"], told.texts["to"].strip()
    reading = _read("amount", amount)
    wanted = "temperature" if to in ("C", "K", "F", "°C", "°F") else _read("to", f"1 {to}").dimension
    si, dimension, working = reading.si, reading.dimension, []
    if {dimension, wanted} == {"mass", "volume"}:
        si, dimension = _through_density(told, si, dimension), wanted
        sign = "/" if wanted == "volume" else "×"
        working.append(f"{amount} {sign} {digits(told['density'] / 1000)} g/mL")
    try:
        value = units.convert(si, to, dimension)
    except UnitError as trouble:
        raise SumError(f'"{amount}" is a {dimension}, but "{to}" is a unit of {wanted}.') from trouble
    working.append(f"{amount} = {digits(value, 7)} {to}")
    shown = figure(
        dimension.replace(" ", "_"),
        dimension.capitalize(),
        value,
        to,
        method="by definition of the units",
        source="NIST-SP811",
        place="appendix B",
        grade=EXACT,
        inputs=(told_input("amount", units.convert(reading.si, reading.unit, reading.dimension), reading.unit),),
    )
    return Reckoned({shown.name: shown}, tuple(working))


def _read(key: str, text: str) -> units.Reading:
    try:
        return units.read(text)
    except UnitError as trouble:
        raise SumError(f"{key}: {trouble}") from trouble


def _through_density(told: Told, si: float, dimension: str) -> float:
    if "density" not in told:
        raise SumError("Between mass and volume the density is needed, for example density=0.92g/mL.")
    above_nought(told, "density")
    return si / told["density"] if dimension == "mass" else si * told["density"]


@quick_sum(
    "weighing",
    "How sure a weighing is, and the least one should weigh on a scale.",
    "mass=5g scale=0.1g",
    mass=Key("mass", "what is weighed"),
    scale=Key(None, "one step of the scale"),
    repeatability=Key(None, "standard deviation of repeated weighings, where the maker or a test states it"),
    within=Key("share", "the error one puts up with", "5%"),
)
def weighing(told: Told) -> Reckoned:
    """Return the expanded error of one weighing and the least mass for a given error."""
    need(told, "weighing", "scale")
    above_nought(told, "mass", "within")
    try:
        scale = read_scale(told.texts["scale"], told.texts.get("repeatability"))
    except (BatchError, UnitError) as trouble:
        raise SumError(str(trouble)) from trouble
    step = float(scale.resolution)
    half = expanded_error(1.0, scale)
    working = [_floor_words(scale, step, half)]
    shown: dict[str, Figure] = {}
    method = "U = 2 u, u = max(s, d √(2/12))"
    if "mass" in told:
        grams = told["mass"] * 1000
        error = expanded_error(grams, scale)
        working.append(f"{digits(half)} g / {digits(grams)} g = {digits(100 * error, 3)} %")
        shown["error"] = figure(
            "error",
            "Weighing error (95 %)",
            100 * error,
            "%",
            method=method,
            source="USP-41",
            holds="one net weighing, scale true and level",
            inputs=(told_input("mass", grams, "g"),),
        )
    within = told["within"]
    least = least_grams(scale, within)
    working.append(f"{digits(half)} g / {digits(100 * within, 3)} % = {digits(least)} g")
    shown["least_mass"] = figure(
        "least_mass",
        f"Least mass weighed within {100 * within:.3g} %",
        least,
        "g",
        method=method,
        source="USP-41",
        inputs=(told_input("scale", step, "g"),),
    )
    return Reckoned(shown, tuple(working))


def _floor_words(scale: Scale, step: float, half: float) -> str:
    if scale.repeatability is not None and float(scale.repeatability) > step * (2 / 12) ** 0.5:
        return f"U = 2 s = 2 × {digits(float(scale.repeatability), 3)} g = {digits(half)} g"
    return f"u = √2 d/√12 = 0.408 × {digits(step, 3)} g; U = 2 u = {digits(half)} g"
