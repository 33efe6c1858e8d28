"""Quick sums of stocks: counting a salt as its acid, thinning a stock, and making one."""

from __future__ import annotations

import math

from levigate.errors import SumError, came
from levigate.quantities.saying import digits
from levigate.reckon.acids import find_substance
from levigate.reckon.neutralising import Stock, hazards, read_stock
from levigate.reckon.sizes import said, within_reason
from levigate.reckon.sums import Key, Reckoned, Told, above_nought, figure, need, quick_sum, told_input
from levigate.science.metrology import weighing_error
from levigate.shelf.catalogue import catalogue
from levigate.shelf.species import Substance, species

#: Systems of esters that the law counts as another acid.
_COUNTED = dict.fromkeys(("methylparaben", "ethylparaben", "propylparaben", "butylparaben"), "4-hydroxybenzoic acid")
#: Weighing error beyond which a portion is better taken from a thinner stock.
_ROUGH = 0.02


@quick_sum(
    "as-acid",
    "A salt or ester counted as its acid, as limits are written, and the acid as so much salt.",
    'of="sodium benzoate" amount=0.5%',
    of=Key(None, "the salt, ester or hydrate that is weighed"),
    amount=Key("share", "amount of it, counted as acid; and as acid, what that is of it"),
    acid=Key(None, "what to count it as, where it is not the acid it is a salt of"),
)
def as_acid(told: Told) -> Reckoned:
    """Return the factor between a salt and its acid."""
    need(told, "as-acid", "of")
    name, acid, factor, method, source, line = _factor(told)
    shown = figure(
        "factor",
        f"Grams of {acid} in a gram of {name}",
        factor,
        "g/g",
        method=method,
        source=source,
        grade="handbook",
        holds="the pure substance; of a solution, times its strength",
    )
    figures, working = {"factor": shown}, [line]
    if "amount" in told:
        if not 0 <= told["amount"] <= 1:
            raise SumError("amount is a share of the whole, 0 to 100 %.")
        amount = 100 * told["amount"]
        inputs = (told_input("amount", amount, "%"),)
        for key, title, value, sign in (
            ("counted", f"{digits(amount)} % of {name}, as {acid}", amount * factor, "×"),
            ("weighed", f"{digits(amount)} % as {acid}, of {name}", amount / factor, "/"),
        ):
            figures[key] = figure(key, title, value, "%", method=f"w {sign} factor", source=source, inputs=inputs,
                                  grade="handbook")  # fmt: skip
            working.append(f"{digits(amount)} % {sign} {factor:.4f} = {digits(value)} %")
    notes = ("Which way a limit counts stands in the law itself; check the current text.",)
    return Reckoned(figures, tuple(working), notes)


def _factor(told: Told) -> tuple[str, str, float, str, str, str]:
    """Return name, acid, factor, method, source and working line."""
    text = told.texts["of"].strip()
    if species().find(text) is None:
        return _factor_of_law(text, told)
    salt = find_substance(text)
    known = species()
    held = [(known.systems[key], moles) for key, moles in salt.holds if key in known.systems]
    if not held:
        raise SumError(
            f"{salt.key} is a salt of a strong acid and a strong base; there is no weak acid to count it as."
        )
    if "acid" in told:
        acid = find_substance(told.texts["acid"])
        wanted = _moles_of(acid, salt)
    elif counted := [_COUNTED[system.key] for system, _ in held if system.key in _COUNTED]:
        acid, wanted = known[counted[0]], 1.0
    else:
        acids = [(system, moles) for system, moles in held if system.charge == 0]
        if len(acids) != 1:
            raise SumError(f"Say with acid= what to count {salt.key} as; it holds {len(held)} acids or bases.")
        system, wanted = acids[0]
        acid = _free_form(system.key, system.molar_mass)
    per_salt = salt.molar_mass / salt.strength
    factor = wanted * acid.molar_mass / per_salt
    grams = digits(1000 * acid.molar_mass, 5), digits(1000 * per_salt, 5)
    line = f"factor = {wanted:g} × {grams[0]} g/mol ({acid.key}) / {grams[1]} g/mol ({salt.key}) = {factor:.4f}"
    return salt.key, acid.key, factor, "n M(acid)/M(salt)", "computed-from-formula", line


def _moles_of(acid: Substance, salt: Substance) -> float:
    have = dict(salt.holds)
    for key, moles in acid.holds:
        if key in species().systems and key in have:
            return have[key] / moles
    if any(_COUNTED.get(held) == acid.key for held in have):
        return 1.0
    raise SumError(f"{salt.key} is no salt of {acid.key}; they have no acid or base in common.")


def _free_form(system: str, molar_mass: float) -> Substance:
    alone = [
        one for one in species().substances.values() if dict(one.holds) == {system: 1.0} and "." not in one.formula
    ]
    found = [one for one in alone if math.isclose(one.molar_mass, molar_mass, rel_tol=1e-3)]
    if not found:
        raise SumError(f"The free acid of {system} is not known here by itself; say with acid= what to count it as.")
    return found[0]


def _factor_of_law(text: str, told: Told) -> tuple[str, str, float, str, str, str]:
    material = catalogue().get(text)
    limits = [limit for limit in (material.limits if material else ()) if limit.counted_as and limit.factor != 1]
    if "acid" in told or not limits:
        find_substance(text)  # says what is wrong with the name
        raise SumError(f"What {came(text)} is to be counted as is not known here.")
    limit, key = limits[0], catalogue().key(text) or text
    line = f"factor = {limit.factor:.4f}, {key} counted as {limit.counted_as} ({limit.law})"
    return key, limit.counted_as, limit.factor, "M(counted as)/M", limit.source, line


@quick_sum(
    "dilute",
    "How much of a stock and of water make a thinner one, and what the scale leaves of its strength.",
    'stock="sodium hydroxide 50 %" to=10% mass=100g',
    stock=Key(None, 'the stock with its strength by mass: "citric acid 50 %", "50 %"'),
    to=Key("share", "strength wanted, by mass"),
    mass=Key("mass", "mass wanted"),
    scale=Key("mass", "one step of the scale", "0.01 g"),
)
def dilute(told: Told) -> Reckoned:
    """Return the grams of stock and of water."""
    need(told, "dilute", "stock", "to", "mass")
    above_nought(told, "to", "mass", "scale")
    within_reason("mass", told["mass"], "mass")
    name, strong, stock = _strength(told.texts["stock"])
    if not told["to"] < strong:
        raise SumError(
            f"Water makes a stock of {digits(100 * strong)} % thinner, never {digits(100 * told['to'])} %; "
            "take a stronger one."
        )
    mass = told["mass"]
    part = mass * told["to"] / strong
    errors = [float(weighing_error(each, told["scale"])) for each in (part, mass - part)]
    if max(errors) >= 1:
        raise SumError(
            f"A scale with steps of {said(told['scale'], 'mass')} cannot weigh {said(min(part, mass - part), 'mass')}; "
            "make more, or thin it in two steps."
        )
    # The strength moves with the stock by what water is beside it, and against the water by as much.
    rough = (1 - told["to"] / strong) * math.hypot(*errors)
    inputs = (told_input("strength", 100 * strong, "%"), told_input("mass", 1000 * mass, "g"))
    rows = (
        ("stock", name, 1000 * part, errors[0] * 1000 * part, "g", "m w/w₀"),
        ("water", "Water", 1000 * (mass - part), errors[1] * 1000 * (mass - part), "g", "m - m w/w₀"),
        ("strength", "Strength", 100 * told["to"], 100 * told["to"] * rough, "%", "w = w₀ m₀/m"),
    )
    figures = {
        key: figure(
            key, title, value, unit, method=method, source="definition", inputs=inputs, half=half,
            holds="by mass; the interval is that of the scale alone",
        )
        for key, title, value, half, unit, method in rows
    }  # fmt: skip
    working = (
        f"m₀ = {said(mass, 'mass')} × {digits(100 * told['to'])} % / {digits(100 * strong)} % = {said(part, 'mass')}",
        f"water = {said(mass, 'mass')} - {said(part, 'mass')} = {said(mass - part, 'mass')}",
    )
    notes = list(hazards([stock]) if stock else ())
    if rough > _ROUGH:
        notes.append(
            f"The scale leaves {digits(100 * rough, 2)} % of doubt in the strength; make more, or thin it in two steps."
        )
    if name.casefold().startswith(("ethanol", "alcohol")):
        notes.append("This is by mass; of ethanol by volume ask `ethanol-water`.")
    return Reckoned(figures, working, tuple(notes))


def _strength(text: str) -> tuple[str, float, Stock | None]:
    """Return the name, the strength and, of an acid, base or salt, the stock itself."""
    words = text.strip().removesuffix("%").split()
    if not text.strip().endswith("%") or not words:
        raise SumError(f'{came(text)} does not say how strong it is; write for example "citric acid 50 %", or "50 %".')
    *name, number = words
    if name and species().find(" ".join(name)) is not None:
        stock = read_stock(text)
        return stock.text, stock.strength, stock
    try:
        strong = float(number) / 100
    except ValueError as trouble:
        raise SumError(f"{came(text)} has no number before its %; write the decimal point, as in 2.5 %.") from trouble
    if not 0 < strong <= 1:
        raise SumError(f"A stock of {number} % is none; it lies above 0 and up to 100 %.")
    return " ".join([*name, number, "%"]) if name else f"Stock of {number} %", strong, None


@quick_sum(
    "stock-solution",
    "What to weigh for a stock of an acid, a base or a salt in water.",
    'of="sodium hydroxide" strength=10% mass=100g',
    of=Key(None, "what is weighed, as it is sold: a hydrate by its name"),
    strength=Key("share", "strength wanted, by mass"),
    mass=Key("mass", "mass of stock wanted"),
    counted_as=Key(None, 'what the strength counts: "citric acid" when the monohydrate is weighed'),
    purity=Key("share", "of what is weighed, the rest taken as water", "100 %"),
    scale=Key("mass", "one step of the scale", "0.01 g"),
)
def stock_solution(told: Told) -> Reckoned:
    """Return the grams for a stock."""
    need(told, "stock-solution", "of", "strength", "mass")
    above_nought(told, "strength", "mass", "purity", "scale")
    within_reason("mass", told["mass"], "mass")
    weighed = find_substance(told.texts["of"])
    counted = find_substance(told.texts["counted_as"]) if "counted_as" in told else weighed
    if dict(counted.holds) != dict(weighed.holds):
        raise SumError(f"{weighed.key} does not become {counted.key} in water; count it as itself or as its hydrate.")
    if told["purity"] > 1 or told["strength"] > 1:
        raise SumError("strength and purity are shares of the whole, above 0 and to 100 %.")
    content = told["purity"] * weighed.strength * counted.molar_mass / weighed.molar_mass
    if told["strength"] >= content:
        raise SumError(
            f"{weighed.key} itself holds {digits(100 * content)} % of {counted.key}; a stock of "
            f"{digits(100 * told['strength'])} % leaves no room for water."
        )
    mass = told["mass"]
    grams = mass * told["strength"] / content
    moles = mass * told["strength"] / counted.molar_mass
    wet = mass - moles * (weighed.molar_mass - weighed.crystal_water)
    error = float(weighing_error(grams, told["scale"]))
    if error >= 1:
        raise SumError(
            f"A scale with steps of {said(told['scale'], 'mass')} cannot weigh {said(grams, 'mass')}; make more, "
            "or a stronger stock to be thinned."
        )
    inputs = (
        told_input("strength", 100 * told["strength"], "%"),
        told_input("mass", 1000 * mass, "g"),
        told_input("purity", 100 * told["purity"], "%"),
    )
    rows = (
        ("weighed", weighed.key, 1000 * grams, 1000 * grams * error, "g", "m w/(p M(counted)/M(weighed))"),
        ("water", "Water", 1000 * (mass - grams), None, "g", "the rest"),
        ("molality", "Molality", moles / wet, moles / wet * error, "mol/kg", "n/m(water), with that of crystals"),
    )
    figures = {
        key: figure(
            key, title, value, unit, method=method, source="computed-from-formula", inputs=inputs, half=half,
            grade="handbook", holds="by mass; the interval is that of the scale alone",
        )
        for key, title, value, half, unit, method in rows
    }  # fmt: skip
    working = (
        f"content = {digits(100 * told['purity'] * weighed.strength)} % × {digits(1000 * counted.molar_mass, 5)} / "
        f"{digits(1000 * weighed.molar_mass, 5)} g/mol = {digits(100 * content)} %",
        f"m = {said(mass, 'mass')} × {digits(100 * told['strength'])} % / {digits(100 * content)} % "
        f"= {said(grams, 'mass')}",
        f"n/m(water) = {digits(moles)} mol / {digits(1000 * wet)} g = {digits(moles / wet)} mol/kg",
    )
    notes = (
        *((f"{weighed.key}: {weighed.note}.",) if weighed.note else ()),
        *hazards([Stock(weighed.key, weighed, told["strength"])]),
        "Label it: what, how strong and counted as what, the day, the hazard.",
    )
    return Reckoned(figures, working, notes)
