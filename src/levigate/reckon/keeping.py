"""Quick sums of keeping: water activity and what grows in it, saturated salts, and the challenge test."""

from __future__ import annotations

import math
import re

from levigate.errors import SumError, came
from levigate.quantities.figure import FIGURE_GRADES
from levigate.quantities.saying import digits
from levigate.quantities.sourced import Input
from levigate.quantities.watery_inputs import CHEMICAL
from levigate.reckon.solutions import is_water, read_amounts
from levigate.reckon.sums import Key, Reckoned, Told, figure, need, quick_sum, told_input
from levigate.science import preservation, salts, water_activity
from levigate.shelf.catalogue import catalogue, plain
from levigate.shelf.find import closest

#: Molar masses of solutes that Norrish's constants are known of, from their formulas. [kg/mol]
_MOLAR_MASS = {
    "glycerol": 0.09209,
    "erythritol": 0.12212,
    "xylitol": 0.15215,
    "ribitol": 0.15215,
    "arabitol": 0.15215,
    "sorbitol": 0.18217,
    "mannitol": 0.18217,
    "glucose": 0.18016,
    "fructose": 0.18016,
    "sucrose": 0.34230,
    "propane-1,2-diol": 0.07609,
    "urea": 0.06006,
}
#: How far Norrish's equation is off for glycerol up to half by mass, and the product of several above 0.8.
_MODEL_HALF = 0.005, 0.01
#: And where less than half is water.
_THICK_HALF = 0.05
#: Half-width of a hygrometer check over a saturated salt. [1]
_HUMIDITY_HALF = 0.005
_PROOF = "Only a challenge test proves that a product keeps."


@quick_sum(
    "water-activity",
    "Water activity of a mixture of polyols, sugars and salts with water, and what no longer grows in it.",
    'of="glycerin 30%, propylene glycol 10%"',
    of=Key(None, "what is dissolved, in % of the whole or in g; the rest of 100 % is water"),
)
def of_mixture(told: Told) -> Reckoned:
    """Return a water activity."""
    need(told, "water-activity", "of")
    water, solutes, silent = _solutes(told.texts["of"])
    values, inputs, working = [], [], []
    ions = {name: share for name, share in solutes.items() if name in salts.SALTS}
    for name, share in solutes.items():
        if name in ions:
            continue
        known = water_activity.NORRISH_CONSTANTS[name]
        molar = _MOLAR_MASS[name]
        alone = float(water_activity.water_activity_norrish(share, water, molar, known.value))
        values.append(alone)
        grade = "memory" if known.source == "memory" else "handbook"
        inputs.append(Input(f"Norrish constant of {name}", None, known.value, "1", grade, known.source))
        x = (share / molar) / (share / molar + water / water_activity.MOLAR_MASS_WATER)
        working.append(f"{name}: x = {digits(x)}, (1 - x) exp(-{known.value:g} x²) = {digits(alone)}")
    if ions:
        alone = float(salts.water_activity_salts(list(ions), list(ions.values()), water))
        if math.isnan(alone):
            raise SumError(f"{' and '.join(ions)} would be beyond saturation, or beyond what was measured; take less.")
        values.append(alone)
        inputs.extend(
            Input(f"{name}, by mass", None, 100 * share, "%", "handbook", salts.SALTS[name].source)
            for name, share in ions.items()
        )
        working.append(f"{', '.join(ions)}: {digits(alone)} by Pitzer's equation")
    value = float(water_activity.water_activity_ross(values))
    if not math.isfinite(value):
        raise SumError("This much in this little water is no solution of the equation; look at the amounts.")
    several = len(values) > 1
    working.append(f"a = {' × '.join(digits(each) for each in values)} = {digits(value)}")
    holds = "25 °C, one liquid; half of the mass water or more; above 0.8 for a mixture of several"
    shown = figure(
        "water_activity",
        "Water activity",
        value,
        "",
        method="a = Π aᵢ, aᵢ = xw exp(-K xs²), salts by Pitzer",
        source="Ross-1975" if several else inputs[0].source if ions else "Norrish-1966",
        inputs=tuple(inputs),
        half=_MODEL_HALF[several] if water >= 0.5 else _THICK_HALF,
        grade=max((entry.grade for entry in inputs), key=FIGURE_GRADES.index),
        holds=holds,
        seen_off="0.005 up to 50 % of glycerol, 0.05 too low at 80 %",
    )
    # Only what the upper end of the doubt stops counts as stopped.
    surely = value + (_MODEL_HALF[several] if water >= 0.5 else _THICK_HALF)
    still = [one for one in water_activity.GROWTH_MINIMA if one.lowest <= surely]
    stops = [one for one in water_activity.GROWTH_MINIMA if one.lowest > surely]
    notes = [
        f"May still grow: {', '.join(one.organism for one in still) or 'none of those listed'}.",
        f"No longer grows (from the lowest water activity reported, Banwart 1989): "
        f"{', '.join(one.organism for one in stops) or 'none of those listed'}.",
        "Not growing is not dying: what is thinned by a wet finger or by condensed water grows there. " + _PROOF,
    ]
    if ions:
        notes.insert(0, "Salts are counted without their water of crystallisation.")
    if silent:
        notes.insert(0, f"Taken as binding no water, so that the truth is lower: {', '.join(silent)}.")
    if water < 0.5:
        notes.insert(0, "Less than half is water: the equation may be 0.05 too low there; measure it.")
    return Reckoned({"water_activity": shown}, tuple(working), tuple(notes))


def _solutes(text: str) -> tuple[float, dict[str, float], list[str]]:
    """Return the mass fraction of water, those of solutes by chemical name, and names that are taken to do nothing."""
    kind, parts = read_amounts(text)
    if kind == "molality":
        raise SumError("A water activity is worked out from masses; say all in % of the whole or in g.")
    shares: dict[str, float] = {}
    silent: list[str] = []
    wet = 0.0
    told_water = any(is_water(name) for name, _ in parts)
    for name, amount in parts:
        for part, share in _taken_apart(name):
            chemical = _chemical(part)
            if is_water(part):
                wet += amount * share
            elif chemical is None:
                silent.append(part)
            else:
                shares[chemical] = shares.get(chemical, 0.0) + amount * share
    total = sum(amount for _, amount in parts)
    if kind == "share":
        if total > 1 + 1e-6 or (told_water and total < 1 - 1e-6):
            raise SumError(f"The parts add up to {100 * total:.6g} %, not to 100 %; water is the rest.")
        wet, total = (wet if told_water else wet + 1 - total), 1.0
    if not shares or not sum(shares.values()) > 0:
        raise SumError("Nothing in it is known to lower the water activity; name a polyol, a sugar, urea or a salt.")
    if not wet > 1e-9:
        raise SumError("There is no water in it, so that it has no water activity to work out.")
    return wet / total, {name: amount / total for name, amount in shares.items() if amount > 0}, silent


def _taken_apart(name: str) -> list[tuple[str, float]]:
    material = catalogue().get(name)
    if _chemical(name) is None and material is None:
        close = closest(catalogue(), name)
        hint = f' Did you mean "{close[0]}"?' if close else ""
        raise SumError(f"No material is called {came(name)}.{hint}")
    if _chemical(name) is None and material is not None and material.made_of is not None and material.made_of.complete:
        return [(part, float(share) / 100) for part, share in material.made_of.parts.items()]
    return [(name, 1.0)]


def _chemical(name: str) -> str | None:
    for known in (*water_activity.NORRISH_CONSTANTS, *salts.SALTS):
        if plain(name) == plain(known):
            return known
    key = catalogue().key(name) or ""
    found = CHEMICAL.get(key, key)
    return found if found in water_activity.NORRISH_CONSTANTS or found in salts.SALTS else None


@quick_sum(
    "humidity-salt",
    "Relative humidity over a saturated salt, to check a hygrometer by.",
    'salt="sodium chloride" temperature=25C',
    salt=Key(None, f"the salt: {', '.join(salts.SATURATED_SALTS)}"),
    temperature=Key("temperature", "temperature of the solution and the air alike", "25 C"),
    reads=Key("share", "what the hygrometer shows, for how far it is off"),
)
def humidity_salt(told: Told) -> Reckoned:
    """Return the humidity over a saturated salt."""
    need(told, "humidity-salt", "salt")
    name = " ".join(told.texts["salt"].casefold().split())
    at = told["temperature"]
    value = 100 * float(salts.humidity_saturated_salt(name, at))
    known = salts.SATURATED_SALTS[name]
    if math.isnan(value):
        raise SumError(
            f"{name} was measured from {known.lowest:g} to {known.highest:g} °C; {at - 273.15:.4g} °C is outside."
        )
    inputs = (told_input("temperature", at - 273.15, "C"),)
    shown = figure(
        "humidity",
        f"Relative humidity over saturated {name}",
        value,
        "%",
        method="h = Σ Aᵢ tⁱ",
        source=known.source,
        inputs=inputs,
        half=100 * _HUMIDITY_HALF,
        grade="handbook",
        holds=f"{known.lowest:g} to {known.highest:g} °C, closed vessel, wet crystals to be seen, a day of patience",
        seen_off="public copies of the equations carry wrong signs, by 0.4 to 8 % of humidity",
    )
    terms = " ".join(f"{a:+g}" + (f" t^{i}" if i else "") for i, a in enumerate(known.coefficients))
    figures, working = {"humidity": shown}, [f"h = {terms}, t = {at - 273.15:.4g} °C: {digits(value)} %"]
    if "reads" in told:
        off = 100 * told["reads"] - value
        if not 0 <= told["reads"] <= 1:
            raise SumError("reads is a relative humidity, 0 to 100 %.")
        figures["off"] = figure(
            "off", "Hygrometer shows too much", off, "% of humidity", method="shown - true", source="definition",
            inputs=(told_input("shown", 100 * told["reads"], "%"), *inputs), half=100 * _HUMIDITY_HALF,
        )  # fmt: skip
        working.append(f"{digits(100 * told['reads'])} % - {digits(value)} % = {digits(off)} %")
    return Reckoned(figures, tuple(working), ("One degree between salt and sensor is 6 % of the humidity.",))


@quick_sum(
    "challenge-test",
    "Criteria A and B of ISO 11930 from log counts of a challenge test.",
    'counts="bacterium 6.0 2.8 2.6 2.6; yeast 5.5 4.4 4.2 4.2; mould 5.0 - 4.9 3.8"',
    counts=Key(None, "kind (bacterium, yeast, mould) and log counts on days 0, 7, 14, 28 of each organism; - for none"),
    deviation=Key("share", "rise in log count that still counts as no increase", "0.5"),
)
def challenge_test(told: Told) -> Reckoned:
    """Return the grade of a product by its counts."""
    need(told, "challenge-test", "counts")
    deviation = told["deviation"]
    if not 0 <= deviation <= 1:
        raise SumError("deviation is a rise in log count from 0 to 1 that still counts as no increase.")
    organisms = [_organism(part) for part in re.split(r"[;,]", told.texts["counts"]) if part.strip()]
    if not organisms:
        raise SumError('No counts were told; write for example "bacterium 6.0 2.8 2.6 2.6".')
    grades, working = [], []
    for name, kind, counts in organisms:
        grade = float(preservation.challenge_grade(counts, kind, deviation))
        if math.isnan(grade):
            raise SumError(f"{name}: the counts of days 14 and 28 are asked for, and of day 7 where A is to be met.")
        fallen = ", ".join("-" if math.isnan(n) else f"{counts[0] - n:.2f}" for n in counts[1:])
        word = _WORDS[int(grade)]
        working.append(f"{name}: falls by {fallen} on days 7, 14, 28: {word}")
        grades.append(int(grade))
    least = min(grades)
    shown = figure(
        "grade", "Criterion met (A is 2, B is 1, neither is 0)", float(least), "", method="least of all organisms",
        source="ISO-11930", grade="handbook",
        inputs=tuple(told_input(f"{name}, day 0", counts[0], "1") for name, _, counts in organisms),
        holds="counts by the method of the standard, this formula in this pack",
        seen_off="the rise that counts as none is from memory; ask the laboratory for that of its edition",
    )  # fmt: skip
    kinds = {kind for _, kind, _ in organisms}
    missing = [kind.name.lower() for kind in preservation.OrganismKind if kind not in kinds]
    notes = [_VERDICTS[least]]
    if missing:
        notes.append(f"No {' or '.join(missing)} was counted: the standard asks for bacteria, a yeast and a mould.")
    return Reckoned({"grade": shown}, tuple(working), (*notes, "A test speaks for one formula in one pack."))


_WORDS = ("meets neither", "meets B", "meets A")
_VERDICTS = (
    "It fails: at least one organism meets neither criterion.",
    "It meets B: the risk needs a written reason, such as a pack that keeps fingers out.",
    "It meets A: the product is protected.",
)


def _organism(text: str) -> tuple[str, int, list[float]]:
    """Return the name, the kind and the log counts of ``"yeast 5.5 4.4 4.2 4.2"``."""
    words = text.split()
    days = len(preservation.CHALLENGE_DAYS)
    if len(words) < days + 1:
        raise SumError(f'{came(text.strip())} is not a kind and {days} log counts, as "yeast 5.5 4.4 4.2 4.2".')
    *name, kind = words[:-days]
    kinds = {one.name.lower(): int(one) for one in preservation.OrganismKind}
    if kind.casefold() not in kinds:
        raise SumError(f"{came(kind)} is no kind of organism here; it is one of {', '.join(kinds)}.")
    counts = []
    for word in words[-days:]:
        try:
            count = math.nan if word == "-" else float(word)
        except ValueError as trouble:
            raise SumError(f"{came(word)} is no log count; write it as 5.5, or - for none.") from trouble
        if word != "-" and not 0 <= count <= 12:
            raise SumError(f"A log count of {word} is none; write the decimal logarithm of the count, 0 to 12, as 5.5.")
        counts.append(count)
    if math.isnan(counts[0]):
        raise SumError("The count of day 0 is needed: all reductions are from there.")
    return " ".join([*name, kind]), kinds[kind.casefold()], counts
