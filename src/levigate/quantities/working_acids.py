"""Workings of acids and bases in the water."""

from __future__ import annotations

import numpy as np

from levigate.quantities.acids import DRIFT, MOST_STRENGTH
from levigate.quantities.graph import Floats
from levigate.quantities.inputs import Inputs
from levigate.quantities.saying import digits
from levigate.quantities.working import central, number, works
from levigate.science.acidity import REFERENCE_TEMPERATURE, species_share
from levigate.science.ions import activity_coefficient_davies


@works("dissolving_water")
def _water(inputs: Inputs) -> list[str]:
    plain, whole = number(inputs, "water_content"), number(inputs, "dissolving_water")
    return [f"w = {digits(plain)} + {digits(whole - plain)} of crystals and stocks = {digits(whole)}"]


@works("solute_molality")
def _molality(inputs: Inputs) -> list[str]:
    water = number(inputs, "dissolving_water")
    share = central(inputs, "substance_fraction")[central(inputs, "acid_pick").astype(int)]
    names = [inputs.substances[int(i)] for i in central(inputs, "acid_pick")]
    brings, solutes = central(inputs, "acid_solutes"), inputs.names["ladders"]
    return [
        f"m({solutes[j]}) of {name} = {digits(w)} × {digits(brings[i, j])}/{digits(water)} = "
        f"{digits(w * brings[i, j] / water)} mol/kg"
        for i, (name, w) in enumerate(zip(names, share, strict=True))
        for j in np.flatnonzero(brings[i])
    ]


@works("charge_balance")
def _balance(inputs: Inputs) -> list[str]:
    at, strength, slope = central(inputs, "charge_balance")
    gamma = float(activity_coefficient_davies(1.0, strength, REFERENCE_TEMPERATURE))
    lines = [f"I = {digits(strength)} mol/kg, γ₁ = {digits(gamma)}, β = {digits(slope)} mol/kg"]
    shares = zip(
        inputs.names["ladders"], central(inputs, "solute_molality"), _charges(inputs, at, strength), strict=True
    )
    lines += [f"{name}: {digits(m)} mol/kg × a mean charge of {z:+.3f}" for name, m, z in shares if m]
    return [*lines, f"all charges cancel at pH {at:.{1 if strength > MOST_STRENGTH else 2}f}"]


def _charges(inputs: Inputs, at: float, strength: float) -> list[float]:
    """Return the mean charge that each solute bears."""
    pka, charge = central(inputs, "solute_pka"), central(inputs, "solute_charge")
    shares = species_share(at, pka, charge, strength, REFERENCE_TEMPERATURE)
    return [float(z) for z in charge - (shares * np.arange(shares.shape[-1])).sum(-1)]


@works("ph")
def _ph(inputs: Inputs) -> list[str]:
    return [*_molality(inputs), *_balance(inputs)]


@works("ionic_strength")
def _strength(inputs: Inputs) -> list[str]:
    at, strength, _ = central(inputs, "charge_balance")
    terms = " + ".join(f"{digits(m)} × {digits(zz)}" for m, zz in _squares(inputs, at, strength) if m)
    return [
        f"I = ½ Σ m z², z² the mean over the forms at pH {at:.2f}",
        f"2 I = {terms} = {digits(2 * strength)} mol/kg",
    ]


def _squares(inputs: Inputs, at: float, strength: float) -> list[tuple[float, float]]:
    """Return the molality of each solute, and of water's own ions, with the mean square of its charge."""
    pka, charge, m = (central(inputs, name) for name in ("solute_pka", "solute_charge", "solute_molality"))
    shares = species_share(at, pka, charge, strength, REFERENCE_TEMPERATURE)
    forms: Floats = charge[:, None] - np.arange(shares.shape[-1])
    square = (shares * forms**2).sum(-1)
    own = 2 * strength - float(m @ square)
    return [*((float(a), float(b)) for a, b in zip(m, square, strict=True)), (own, 1.0)]


@works("model_range_used")
def _range(inputs: Inputs) -> list[str]:
    strength = number(inputs, "ionic_strength")
    return [f"I/I_max = {digits(strength)}/{MOST_STRENGTH} = {digits(strength / MOST_STRENGTH)}"]


@works("buffer_value")
def _buffer(inputs: Inputs) -> list[str]:
    at, _, slope = central(inputs, "charge_balance")
    return [f"β = dC/dpH at pH {at:.2f} = {digits(slope)} mol/kg"]


@works("free_acid")
def _free(inputs: Inputs) -> list[str]:
    at, strength = number(inputs, "ph"), number(inputs, "ionic_strength")
    lines = [f"at pH {at:.2f} and I = {digits(strength)} mol/kg"]
    pka = central(inputs, "solute_pka")[central(inputs, "free_pick").astype(int)]
    for name, steps, share in zip(inputs.names["acids"], pka, central(inputs, "free_acid"), strict=True):
        told = ", ".join(f"{step:.3f}" for step in steps if np.isfinite(step))
        lines.append(f"{name}, pKa {told}: {digits(100 * share, 3)} % is free")
    return lines


@works("free_acid_drift")
def _drift(inputs: Inputs) -> list[str]:
    at, shares = number(inputs, "ph"), central(inputs, "free_acid_drift")
    names = inputs.names["drifts"]
    half = len(names) // 2
    return [
        f"{name}: {digits(100 * share, 3)} % at pH {at + (-DRIFT if i < half else DRIFT):.2f}"
        for i, (name, share) in enumerate(zip(names, shares, strict=True))
    ]


@works("free_acid_content")
def _content(inputs: Inputs) -> list[str]:
    pick, water = central(inputs, "free_pick").astype(int), number(inputs, "dissolving_water")
    rows = zip(
        inputs.names["acids"],
        central(inputs, "free_acid"),
        central(inputs, "solute_molality")[pick],
        central(inputs, "free_molar_mass"),
        strict=True,
    )
    return [
        f"w({name}) = {digits(x)} × {digits(m)} × {digits(mass)} × {digits(water)} = {digits(x * m * mass * water)}"
        for name, x, m, mass in rows
    ]
