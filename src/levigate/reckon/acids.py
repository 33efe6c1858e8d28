"""Quick sums of acids: the pH of a mixture, and how much of an acid is free."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from levigate.errors import SumError, came
from levigate.quantities.figure import FIGURE_GRADES, Figure
from levigate.quantities.saying import digits
from levigate.quantities.sourced import Input
from levigate.reckon.solutions import (
    EXAMPLE,
    MODEL_HALF,
    MOST_STRENGTH,
    Case,
    Solution,
    beyond,
    case_of,
    celsius,
    half_of,
    parts_of,
    read_solution,
)
from levigate.reckon.sums import Key, Reckoned, Told, figure, need, quick_sum, told_input
from levigate.science.acidity import (
    REFERENCE_TEMPERATURE,
    Acidity,
    acidity,
    free_acid_share,
    pka_apparent_davies,
    species_share,
)
from levigate.science.constants import Floats
from levigate.shelf.species import Substance, System, species

METER = "A meter reading outranks a computed pH: measure it, at the temperature of the batch."
_LEAVE_ON = (3.5, 8.0)
_HOLDS = "everything dissolved, in water; no pairs of ions but the forms of each acid; ionic strength to 0.5 mol/kg"
_SEEN_OFF = "0.015 on the primary pH standards, 0.025 on measured buffers, up to 0.07 on citrates with much sodium"


def cautions(ph: float) -> tuple[str, ...]:
    """Return what is to be minded of a pH."""
    if _LEAVE_ON[0] <= ph <= _LEAVE_ON[1]:
        return (METER,)
    return (METER, "A pH outside 3.5 to 8 in what stays on the skin is for professionals.")


def amount_error(told: Told) -> float:
    """Return how far each amount may be off, as a share of it."""
    error = told["amount_error"]
    if not 0 <= error < 1:
        raise SumError("amount_error is a share of each amount, such as 1%.")
    return error


def worst_grade(inputs: tuple[Input, ...]) -> str:
    """Return the grade of the weakest of some inputs."""
    return max((entry.grade for entry in inputs), key=FIGURE_GRADES.index)


def solved(case: Case, temperature: float) -> Acidity:
    """Return the acidity of all rows of a case.

    Raises
    ------
    SumError
        Where there is no such solution.
    """
    found = acidity(case.molality, case.pka, case.charge, temperature, case.davies)
    if not math.isfinite(float(found.ph[0])):
        raise SumError("No water can hold that much: the pH cannot be worked out; look at the amounts and their units.")
    return found


def ph_figure(name: str, title: str, found: Acidity, inputs: tuple[Input, ...]) -> Figure:
    """Return the pH of the first row with the doubt that the others tell, to one decimal beyond the model's range."""
    value, half = float(found.ph[0]), half_of(found.ph, MODEL_HALF)
    seen_off = _SEEN_OFF
    if found.ionic_strength[0] > MOST_STRENGTH:
        # Rounding is part of what is told, and so are the tenths of the interval.
        value, half = round(value, 1), math.ceil(10 * math.hypot(half, 0.05)) / 10
        seen_off = "not compared with measurements beyond an ionic strength of 0.5 mol/kg"
    if not math.isfinite(half):
        raise SumError("The doubt of this pH cannot be worked out: the solution is far beyond the range of the model.")
    return figure(
        name,
        title,
        value,
        "",
        method="Σ mᵢ z̄ᵢ + 10^-pH/γ₁ - Kw 10^pH/γ₁ = 0, log γ = -A z² (√I/(1+√I) - 0.3 I)",
        source="Davies-1962",
        inputs=inputs,
        half=half,
        grade=worst_grade(inputs),
        holds=_HOLDS,
        seen_off=seen_off,
    )


def plain_figure(name: str, title: str, value: float, unit: str, like: Figure, method: str) -> Figure:
    """Return a figure that rests on the same inputs as another, without an interval of its own."""
    return replace(like, name=name, title=title, value=value, low=None, high=None, unit=unit, method=method)


@quick_sum(
    "ph",
    "pH, ionic strength and buffer value of acids, bases and salts in water.",
    f'of="{EXAMPLE}"',
    of=Key(None, 'what is dissolved, in mol/kg of water or in %: "citric acid 2%, sodium hydroxide 0.6%", rest water'),
    temperature=Key("temperature", "temperature of the solution, 0 to 100 °C", "25 C"),
    amount_error=Key("share", "how far each amount may be off (95 %)", "1 %"),
)
def ph(told: Told) -> Reckoned:
    """Return the pH of a mixture."""
    need(told, "ph", "of")
    temperature = told["temperature"]
    solution = read_solution(told.texts["of"])
    case = case_of(solution, temperature, amount_error(told))
    found = solved(case, temperature)
    shown = ph_figure("ph", "pH", found, case.inputs)
    strength, slope = float(found.ionic_strength[0]), float(found.buffer_value[0])
    figures = {
        "ph": shown,
        "ionic_strength": plain_figure(
            "ionic_strength", "Ionic strength", strength, "mol/kg", shown, "I = ½ Σ m z², of the forms that are there"
        ),
        "buffer_value": plain_figure(
            "buffer_value", "Buffer value", slope, "mol/kg per pH unit", shown, "β = dC/dpH of the same balance"
        ),
    }
    working = [
        *solution.working,
        f"I = ½ Σ m z² = {digits(strength)} mol/kg, γ₁ = {digits(float(found.activity_coefficient[0]))} at "
        f"{celsius(temperature)}",
        *_charges(case, found, temperature),
        f"All charges cancel at pH {shown.value:.{1 if strength > MOST_STRENGTH else 2}f}",
    ]
    notes = (*beyond(strength), *_worst(found.ph, case), *solution.notes(), *cautions(shown.value))
    return Reckoned(figures, tuple(working), notes)


def _charges(case: Case, found: Acidity, temperature: float) -> list[str]:
    """Return the mean charge that each solute bears at the pH found."""
    lines = []
    for i, key in enumerate(case.keys):
        shares = species_share(found.ph[0], case.pka[0, i], case.charge[i], found.ionic_strength[0], temperature)
        mean = float(case.charge[i] - (np.arange(shares.size) * shares).sum())
        lines.append(f"{key}: {digits(float(case.molality[0, i]))} mol/kg × a mean charge of {mean:+.3f}")
    return lines


def _worst(rows: Floats, case: Case) -> tuple[str, ...]:
    each = np.abs(rows[1:] - rows[0])
    worst = int(np.argmax(each))
    return (f"Most of the doubt comes from the {case.shifted[worst]}.",) if each[worst] > MODEL_HALF else ()


@quick_sum(
    "free-acid",
    "Share of an acid that is free, at a pH and where the pH drifts to.",
    'acid="benzoic acid" ph=5 amount=0.5%',
    acid=Key(None, "the acid, or a salt of it"),
    ph=Key("share", "pH of the water"),
    amount=Key("share", "how much of what was named is in it, for the free acid in %"),
    ionic_strength=Key("molality", "of all salts in the water, which lowers the pKa; `ph` tells it", "0 mol/kg"),
    ph_error=Key("share", "how far the pH may be off (95 %)", "0.1"),
    drift=Key("share", "how far the pH may drift", "0.5"),
    temperature=Key("temperature", "temperature of the water", "25 C"),
)
def free_acid(told: Told) -> Reckoned:
    """Return the share of an acid that is free."""
    need(told, "free-acid", "acid", "ph")
    substance, system, moles = _one_acid(told.texts["acid"])
    at, drift, error = told["ph"], told["drift"], told["ph_error"]
    within_scale(at)
    if drift < 0 or error < 0 or drift > 14 or error > 14:
        raise SumError("ph_error and drift are told without a sign, in units of pH.")
    strength = told["ionic_strength"]
    if not 0 <= strength <= MOST_STRENGTH:
        raise SumError(f"The pKa is corrected for salt from 0 to {MOST_STRENGTH} mol/kg; beyond, measure.")
    pka, inputs = _constants(system, told["temperature"])
    single = len(pka) == 1

    def share(x: float) -> float:
        return float(species_share(x, pka, system.charge, strength, told["temperature"])[0])

    half = math.hypot(error, system.steps[0].spread or 0.0)
    value = share(at)
    shown = figure(
        "free",
        "Free acid, of all of it",
        100 * value,
        "%",
        method="x = 1/(1 + 10^(pH - pKa'))" if single else "x_j ∝ 10^(j pH - pK₁ - ... - pKⱼ)/γ",
        source="mass-action",
        inputs=(told_input("pH", at, "1", error or None), *inputs),
        grade=worst_grade(inputs),
        holds="in the water; what has gone into oil or micelles is not counted; ionic strength to 0.5 mol/kg",
        seen_off="a printed table for benzoic acid has up to 2.2 points less than its own pKa gives",
    )
    if half:
        shown = replace(shown, low=100 * share(at + half), high=100 * share(at - half))
    figures = {"free": shown}
    apparent = float(pka_apparent_davies(pka[0], system.charge, strength, told["temperature"]))
    working = [f"pKa' = {apparent:.3f} at I = {digits(strength)} mol/kg (pKa = {pka[0]:.3f} without salt)"]
    if single:
        working.append(
            f"x = 1/(1 + 10^({at:.4g} - {apparent:.3f})) = {digits(100 * float(free_acid_share(at, apparent)))} %"
        )
    else:
        steps = ", ".join(f"{step:.3f}" for step in pka)
        working.append(f"pKa {steps}: the form with all its protons is {digits(100 * value)} %")
    for name, x, way in (("lower", at - drift, "down"), ("higher", at + drift, "up")):
        if drift:
            moved = 100 * share(x)
            title = f"Free acid if the pH drifts {way} to {x:.4g}"
            figures[name] = replace(shown, name=name, title=title, value=moved, low=None, high=None)
            working.append(f"at pH {x:.4g}: {digits(moved)} %")
    if "amount" in told:
        figures["amount"], line = _free_amount(told, substance, system, moles, shown)
        working.append(line)
    notes = (f"{system.key}: {system.note}.",) if system.note else ()
    return Reckoned(figures, tuple(working), (*notes, *cautions(at)))


def within_scale(at: float) -> None:
    """Raise SumError when a pH is none that water has."""
    if not 0 <= at <= 14:
        raise SumError(f"A pH of {at:.4g} is none that water has; it lies between 0 and 14.")


def _free_amount(told: Told, substance: Substance, system: System, moles: float, shown: Figure) -> tuple[Figure, str]:
    amount = told["amount"]
    if not 0 < amount <= 1:
        raise SumError("amount is a share of the whole, above 0 and to 100 %.")
    whole = amount * substance.amount_per_mass * moles * system.molar_mass
    low, high = (None if end is None else whole * end for end in (shown.low, shown.high))
    value = whole * shown.value
    line = (
        f"{digits(100 * amount)} % of {substance.key} is {digits(100 * whole)} % as acid, "
        f"of which free {digits(shown.value)} % = {digits(value)} %"
    )
    title = "Free acid in the whole"
    return replace(shown, name="amount", title=title, value=value, low=low, high=high, method="w x M(acid)/M"), line


def _one_acid(name: str) -> tuple[Substance, System, float]:
    """Return a substance, the acid in it, and the moles of that per mole."""
    substance = find_substance(name)
    acids = [(species().systems[key], moles) for key, moles in substance.holds if key in species().systems]
    if not acids:
        raise SumError(f"{substance.key} is wholly split in water at every pH; no part of it is free.")
    uncharged = [(system, moles) for system, moles in acids if system.charge == 0]
    if len(uncharged) != 1:
        raise SumError(f"{substance.key} is no simple acid but a base, or an acid and a base in one; ask `ph` of it.")
    return substance, *uncharged[0]


def find_substance(name: str) -> Substance:
    """Return the acid, base or salt that goes by a name.

    Raises
    ------
    SumError
        When there is none, or what it does to a pH cannot be told.
    """
    ((found, _), *more) = parts_of(name, 1.0, whole=False)
    if more or not isinstance(found, Substance):
        raise SumError(f'{came(name)} is no single acid, base or salt; name the substance itself, as "citric acid".')
    return found


def _constants(system: System, temperature: float) -> tuple[list[float], tuple[Input, ...]]:
    key = next(one for one in species().substances.values() if system.key in dict(one.holds))
    case = case_of(Solution((key,), (1.0,), 1.0, (), ()), temperature, 0.0)
    row = case.keys.index(system.key)
    inputs = tuple(entry for entry in case.inputs if entry.name.endswith(f" of {system.key}") and "pKa" in entry.name)
    return [float(x) for x in case.pka[0, row] if np.isfinite(x)], inputs


def free_acid_form(name: str, at: float, dissolved: float) -> tuple[float, float, tuple[Input, ...]]:
    """Return which share of an acid is free in its own saturated water and at a pH, and what that rests on.

    Parameters
    ----------
    name : str
        The acid.
    at : float
        pH. [1]
    dissolved : float
        Mass of the acid in a volume of its saturated solution. [kg/m³]
    """
    substance, system, _ = _one_acid(name)
    if len(substance.holds) > 1:
        raise SumError(f"{substance.key} is a salt; ask for its acid, which is what drops out.")
    pka, inputs = _constants(system, REFERENCE_TEMPERATURE)
    molar = dissolved / 1000 / substance.molar_mass
    alone = float(acidity([molar], [pka], [system.charge]).ph)
    in_own, there = (species_share(x, pka, system.charge, 0.0, REFERENCE_TEMPERATURE)[0] for x in (alone, at))
    return float(in_own), float(there), inputs
