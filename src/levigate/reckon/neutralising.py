"""Quick sums of getting to a pH: how much of a stock it takes, and buffers made to measure."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from levigate import units
from levigate.errors import SumError, UnitError
from levigate.quantities.figure import Figure
from levigate.quantities.saying import digits
from levigate.reckon.acids import (
    amount_error,
    cautions,
    find_substance,
    ph_figure,
    plain_figure,
    solved,
    within_scale,
    worst_grade,
)
from levigate.reckon.sizes import within_reason
from levigate.reckon.solutions import (
    EXAMPLE,
    MODEL_HALF,
    Case,
    Solution,
    beyond,
    case_of,
    celsius,
    half_of,
    is_water,
    parts_of,
    read_solution,
)
from levigate.reckon.sums import Key, Reckoned, Told, above_nought, figure, need, quick_sum
from levigate.science.acidity import Acidity
from levigate.science.constants import ArrayLike, Floats
from levigate.science.titration import BufferRecipe, buffer_recipe, reagent_to_reach, titrate
from levigate.shelf.catalogue import catalogue
from levigate.shelf.species import Substance, species

#: Share of the computed amount that goes in first.
FIRST = 0.8
#: A buffer of one step holds 0.19 of its strength one unit from its pKa, 2.303 × 10/11².
_WEAK = 0.19
_LYES = ("sodium hydroxide", "potassium hydroxide")
_POURING = "Acid or lye goes into the water, slowly and with stirring, never water into acid or lye."
_OPEN = "Never neutralise in a closed container: it warms, and carbonates give gas."
_LYE = "Lye burns skin and blinds eyes: goggles and gloves, a bowl of water at hand."
_ACID = "Strong acid burns: goggles and gloves, a bowl of water at hand."


@dataclass(frozen=True, slots=True)
class Stock:
    """An acid, a base or a salt in water, as it stands on the shelf."""

    text: str
    substance: Substance
    #: Mass of the substance over that of the stock. [1]
    strength: float

    @property
    def mass_per_mole(self) -> float:
        """Return the mass of stock that holds a mole. [kg/mol]"""
        return self.substance.molar_mass / self.strength

    @property
    def water_per_mole(self) -> float:
        """Return the mass of water that comes with a mole. [kg/mol]"""
        return self.mass_per_mole - self.substance.molar_mass + self.substance.crystal_water


def read_stock(text: str) -> Stock:
    """Return the stock of ``"sodium hydroxide 10 %"``; without a percent the substance as it is sold."""
    parts = [] if species().find(text) is None else [(species()[text], species()[text].strength)]
    match = re.fullmatch(r"(.+?)\s+([-+]?[\d.]\S*?)\s*%", text.strip())
    if not parts and match is not None and species().key(match[1]) is not None:
        parts = [(find_substance(match[1]), _share(text, match[2]))]
    if not parts:
        found = parts_of(text.strip(), 1.0, whole=True)
        if any(not isinstance(part, Substance) and not is_water(part) for part, _ in found):
            raise SumError(f'"{text}" is no acid, base or salt in water; write for example "sodium hydroxide 10 %".')
        parts = [(part, share) for part, share in found if isinstance(part, Substance)]
    if len(parts) != 1:
        raise SumError(f'"{text}" holds {len(parts)} acids, bases or salts; a stock has one.')
    ((substance, strength),) = parts
    if not 0 < strength <= 1:
        raise SumError(f'A stock of {digits(100 * strength)} % is none: "{text}" must lie above 0 and up to 100 %.')
    return Stock(" ".join(text.split()), substance, strength)


def _share(text: str, number: str) -> float:
    try:
        return units.si(f"{number} %", "share")
    except UnitError as trouble:
        raise SumError(f'"{text}": {trouble}') from trouble


def hazards(stocks: Sequence[Stock]) -> tuple[str, ...]:
    """Return what is to be minded when these are poured."""
    said = [_POURING, _OPEN]
    if any(stock.substance.key in _LYES for stock in stocks):
        said.append(_LYE)
    elif any(stock.strength >= 0.1 and _is_acid(stock.substance) for stock in stocks):
        said.append(_ACID)
    return tuple(said)


def _is_acid(substance: Substance) -> bool:
    known = species()
    charges = [(known.systems.get(key) or known.ions[key]).charge for key, _ in substance.holds]
    return max(charges) <= 0


@quick_sum(
    "neutralise",
    "How much of an alkali or acid stock brings a mixture to a pH, and a safe first portion.",
    'of="citric acid 2%" mass=100g ph=5 stock="sodium hydroxide 10 %"',
    of=Key(None, f'what is dissolved, in % or in mol/kg of water: "{EXAMPLE}"'),
    mass=Key("mass", "mass of the mixture"),
    ph=Key("share", "pH to reach"),
    stock=Key(None, 'what one adds: "sodium hydroxide 10 %", "citric acid 50 %", "triethanolamine"'),
    temperature=Key("temperature", "temperature of the mixture, 0 to 100 °C", "25 C"),
    amount_error=Key("share", "how far each amount may be off (95 %)", "1 %"),
)
def neutralise(told: Told) -> Reckoned:
    """Return the grams of a stock that bring a mixture to a pH."""
    need(told, "neutralise", "of", "mass", "ph", "stock")
    above_nought(told, "mass")
    within_reason("mass", told["mass"], "mass")
    within_scale(told["ph"])
    solution, stock = read_solution(told.texts["of"]), read_stock(told.texts["stock"])
    temperature = told["temperature"]
    case = case_of(solution, temperature, amount_error(told), stock.substance)
    before = solved(case, temperature)
    added = _amounts(told["ph"], case, stock, temperature)
    if not np.isfinite(added[0]):
        raise SumError(_cannot(told["ph"], case, stock, before, temperature))
    after = titrate(added[0], case.molality, case.pka, case.charge, case.brings[0], stock.water_per_mole, temperature,
                    case.davies)  # fmt: skip
    water = told["mass"] * solution.water
    scale = 1000 * water * stock.mass_per_mole
    figures = _portions(told, case, stock, added * scale, scale, temperature)
    grams, first = figures["stock"].value, figures["first"].value
    strength = float(after.ionic_strength[0])
    figures["before"] = ph_figure("before", "pH before", before, case.inputs)
    like = figures["before"]
    figures["buffer_value"] = plain_figure(
        "buffer_value", "Buffer value there", float(after.buffer_value[0]), "mol/kg per pH unit", like, "β = dC/dpH"
    )
    working = (
        *solution.working,
        f"pH before: {float(before.ph[0]):.2f} at {celsius(temperature)}",
        f"x = -(Σ mᵢ z̄ᵢ + [H] - [OH]) / (Σ rᵢ z̄ᵢ + w ([H] - [OH])) at pH {told['ph']:.4g} = {digits(float(added[0]))} "
        "mol/kg of water",
        f"{digits(float(added[0]))} mol/kg × {digits(1000 * water)} g of water × {digits(1000 * stock.mass_per_mole)} "
        f"g/mol of {stock.text} = {digits(grams)} g",
        f"first portion: {FIRST:.0%} of it = {digits(first)} g".replace("%", " %"),
    )
    notes = (
        f"Add {digits(first, 3)} g first, stir until it is even, and measure; then go on drop by drop to the meter.",
        *(() if figures["stock"].low is not None else ("How far the amount may be off cannot be told here.",)),
        *beyond(strength),
        *solution.notes(),
        *hazards([stock]),
        *cautions(told["ph"]),
    )
    return Reckoned(figures, working, notes)


def _amounts(ph: ArrayLike, case: Case, stock: Stock, temperature: float, row: int | None = None) -> Floats:
    """Return the moles of the stock's substance per mass of water: of each row of the case, or of one at several pH."""
    rows = slice(None) if row is None else row
    return reagent_to_reach(
        ph,
        case.molality[rows],
        case.pka[rows],
        case.charge,
        case.brings[0],
        stock.water_per_mole,
        temperature,
        case.davies[rows],
    )


def _cannot(ph: float, case: Case, stock: Stock, before: Acidity, temperature: float) -> str:
    now = float(before.ph[0])
    little = titrate(
        1e-6, case.molality[0], case.pka[0], case.charge, case.brings[0], stock.water_per_mole, temperature
    )
    moves = float(little.ph) - now
    start = f"{stock.text} cannot bring this from pH {now:.2f} to {ph:.4g}"
    if moves * (ph - now) <= 0:
        way, other = ("lowers", "a base") if ph > now else ("raises", "an acid")
        return f"{start}, for it {way} the pH or leaves it where it is; take {other}."
    strong = "sodium hydroxide" if ph > now else "hydrochloric or citric acid"
    return f"{start}: it is too weak or too thin for that; take a stronger one, such as {strong}."


def _portions(
    told: Told,
    case: Case,
    stock: Stock,
    grams: Floats,
    scale: float,
    temperature: float,
) -> dict[str, Figure]:
    """Return the whole amount with its doubt, and the first portion."""
    value = float(grams[0])
    shifted = scale * _amounts(told["ph"] + MODEL_HALF * np.array([-1.0, 1.0]), case, stock, temperature, row=0)
    half = half_of(grams, float(np.abs(shifted - value).max()))
    doubt = half if np.isfinite(half) else None
    inputs = case.inputs
    shown = figure(
        "stock",
        f"{stock.text} to pH {told['ph']:.4g}",
        value,
        "g",
        method="m = x m(water) M/w, x from the balance of charges at that pH",
        source="mass-action",
        inputs=inputs,
        half=doubt,
        grade=worst_grade(inputs),
        holds="everything dissolved, in water; ionic strength to 0.5 mol/kg; no polymer or soap that takes up lye",
        seen_off="0.025 in pH on measured buffers; how many grams that is, the buffer value says",
    )
    first = replace(
        shown, name="first", title="First portion", value=FIRST * value, low=None, high=None, method="80 % of it"
    )
    return {"stock": shown, "first": first}


@quick_sum(
    "buffer",
    "What to weigh for a buffer of a pH and a strength, from an acid and its salt.",
    'acid="citric acid" salt="trisodium citrate dihydrate" ph=5 strength="0.1 mol/kg" mass=100g',
    acid=Key(None, "the partner with more protons: an acid, an acid salt, or the hydrochloride of a base"),
    salt=Key(None, "the partner with fewer protons, such as the salt of the acid; else one is chosen"),
    ph=Key("share", "pH to hold"),
    strength=Key("molality", "moles of acid and salt together per kg of water", "0.1 mol/kg"),
    mass=Key("mass", "mass of the buffer", "100 g"),
    temperature=Key("temperature", "temperature of the buffer, 0 to 100 °C", "25 C"),
)
def buffer(told: Told) -> Reckoned:
    """Return the grams of two partners for a buffer."""
    need(told, "buffer", "acid", "ph")
    above_nought(told, "strength", "mass")
    within_reason("mass", told["mass"], "mass")
    within_scale(told["ph"])
    acid = find_substance(told.texts["acid"])
    salt = find_substance(told.texts["salt"]) if "salt" in told else _partner(acid)
    system, ions = _pair(acid, salt)
    temperature, strength = told["temperature"], told["strength"]
    case = case_of(Solution((acid, salt), (strength, strength), 1.0, (), ()), temperature, 0.0)
    row = case.keys.index(system)

    def recipe(ph: ArrayLike, rows: slice) -> BufferRecipe:
        pka, davies = case.pka[rows, row], case.davies[rows]
        return buffer_recipe(ph, strength, pka, case.charge[row], *ions, temperature, davies)

    found = recipe(told["ph"], slice(None))
    if not np.isfinite(found.acid_molality[0]):
        raise SumError(
            f"{acid.key} and {salt.key} make no buffer of pH {told['ph']:.4g} at {digits(strength)} mol/kg; "
            "a pair holds within about one unit of a pKa."
        )
    shifted = recipe(told["ph"] + MODEL_HALF * np.array([-1.0, 1.0]), slice(0, 1))
    pairs = (
        (acid, found.acid_molality, shifted.acid_molality),
        (salt, found.base_molality, shifted.base_molality),
    )
    moles = [(one, float(rows[0])) for one, rows, _ in pairs]
    water = 1 - sum(m * one.crystal_water for one, m in moles)
    if not water > 0:
        raise SumError(
            "The water of crystallisation alone is more than that strength leaves room for; make it thinner."
        )
    scale = told["mass"] / (water + sum(m * one.molar_mass / one.strength for one, m in moles))
    figures = {}
    inputs = tuple(entry for entry in case.inputs if entry.name.startswith("pKa"))
    for name, (one, rows, beside) in zip(("acid", "salt"), pairs, strict=True):
        grams = 1000 * scale * one.molar_mass / one.strength
        half = grams * half_of(rows, float(np.abs(beside - rows[0]).max()))
        figures[name] = figure(
            name,
            one.key,
            grams * float(rows[0]),
            "g",
            method="a + b = m, a nₐ + b n_b = -m z̄(pH, I) - [H] + [OH]",
            source="mass-action",
            inputs=inputs,
            half=half if np.isfinite(half) else None,
            grade=worst_grade(inputs),
            holds="in water; ionic strength to 0.5 mol/kg; best within one unit of a pKa",
            seen_off="0.025 in pH on measured buffers; printed recipe tables differ from each other by 0.3",
        )
    like, held = figures["acid"], float(found.ionic_strength[0])
    for name, title, value, unit, method in (
        ("water", "Water", 1000 * scale * water, "g", "what is left of the mass"),
        ("ionic_strength", "Ionic strength", held, "mol/kg", "I = ½ Σ m z²"),
        ("buffer_value", "Buffer value", float(found.buffer_value[0]), "mol/kg per pH unit", "β = dC/dpH"),
    ):
        figures[name] = plain_figure(name, title, value, unit, like, method)
    working = (
        f"pKa {', '.join(f'{x:.3f}' for x in case.pka[0, row] if np.isfinite(x))} at {celsius(temperature)}",
        *(
            f"{one.key}: {digits(m)} mol/kg × {digits(1000 * one.molar_mass / one.strength)} g/mol × "
            f"{digits(1000 * scale)} g of water = {digits(1000 * scale * m * one.molar_mass / one.strength)} g"
            for one, m in moles
        ),
    )
    slack = float(found.buffer_value[0]) < _WEAK * strength
    weak = ("It hardly holds a pH there, more than one unit away from every pKa; take another pair.",) if slack else ()
    return Reckoned(figures, working, (*weak, *beyond(held), *cautions(told["ph"])))


def _pair(acid: Substance, salt: Substance) -> tuple[str, tuple[float, float]]:
    """Return the system that two partners share, and the charge of the ions that each brings."""
    (system, acid_ions), (other, salt_ions) = _as_partner(acid), _as_partner(salt)
    if system != other:
        raise SumError(
            f"{acid.key} and {salt.key} are no pair: both must be of one acid, as citric acid and a citrate."
        )
    if not acid_ions < salt_ions:
        raise SumError(f"{salt.key} has no fewer protons than {acid.key}; change the two about, or take another salt.")
    return system, (acid_ions, salt_ions)


def _as_partner(one: Substance) -> tuple[str, float]:
    """Return the only system of a substance, and the charge of the ions that come with a mole of it."""
    known = species()
    systems = [(key, moles) for key, moles in one.holds if key in known.systems]
    ions = [(known.ions[key].charge, moles) for key, moles in one.holds if key in known.ions]
    if len(systems) != 1 or systems[0][1] != 1 or any(abs(charge) > 1 for charge, _ in ions):
        raise SumError(f"{one.key} is no partner of a buffer: it must be one acid or base, with ions of one charge.")
    return systems[0][0], sum(charge * moles for charge, moles in ions)


def _partner(acid: Substance) -> Substance:
    """Return the salt that goes with an acid, one of the catalogue before others."""
    system, ions = _as_partner(acid)
    found = []
    for one in species().substances.values():
        if dict(one.holds).get(system) == 1 and all(key == system or key in species().ions for key, _ in one.holds):
            charge = sum(species().ions[key].charge * moles for key, moles in one.holds if key != system)
            if charge > ions:
                found.append((catalogue().key(one.key) is not None, charge, one))
    if not found:
        raise SumError(f"No salt of {acid.key} with fewer protons is known here; say it as salt=, or use `neutralise`.")
    return max(found, key=lambda entry: entry[:2])[2]
