"""Quick sums of emulsifiers: the HLB of one, and the blend of two that meets an oil phase."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from levigate.errors import SumError, came
from levigate.quantities.figure import FIGURE_GRADES, Figure
from levigate.quantities.saying import digits
from levigate.quantities.sourced import Input
from levigate.reckon.sizes import said
from levigate.reckon.solutions import read_amounts
from levigate.reckon.sums import Key, Reckoned, Told, above_nought, figure, need, quick_sum, told_input
from levigate.science import hlb as science
from levigate.shelf.catalogue import catalogue
from levigate.shelf.find import closest

_HOLDS = "uncharged emulsifiers that are no polymers and build no liquid crystals"
_SEEN_OFF = "tables differ by 1 to 3 for one oil; a blend within 1 of what is asked is as good as one that meets it"
#: What an emulsifier of an HLB up to this does, by the scale of Griffin (1954).
_USES = (
    (3.5, "too oily to make an emulsion: antifoam, spreading"),
    (6.0, "water in oil"),
    (7.0, "neither clearly one nor the other"),
    (9.0, "wetting and spreading"),
    (13.0, "oil in water"),
    (15.0, "oil in water, washing"),
    (20.0, "oil in water, dissolving oils in water"),
)


@quick_sum(
    "hlb",
    "HLB of an emulsifier or of a blend, and what it is good for.",
    "saponification=45.5 acid=276",
    saponification=Key("share", "saponification number of the ester, mg KOH/g"),
    acid=Key("share", "acid number of its fatty acid, mg KOH/g"),
    oxyethylene=Key("share", "oxyethylene in the emulsifier, by mass: 78.4%"),
    polyol=Key("share", "polyol bound in it, by mass"),
    of=Key(None, 'emulsifiers by mass: "polysorbate 80 60%, sorbitan oleate 40%"'),
)
def hlb(told: Told) -> Reckoned:
    """Return an HLB."""
    ways = [name for name in ("saponification", "oxyethylene", "of") if name in told]
    if "acid" in told and "saponification" not in told:
        raise SumError("acid goes with saponification: say both numbers of the ester.")
    if len(ways) != 1 or ("polyol" in told and ways != ["oxyethylene"]):
        raise SumError(
            "Say one of: saponification and acid, oxyethylene (with polyol), or of a blend; for example: "
            "saponification=45.5 acid=276."
        )
    inputs: tuple[Input, ...]
    if ways == ["of"]:
        value, method, inputs, line = _of_blend(told.texts["of"])
    elif ways == ["saponification"]:
        value, method, inputs, line = _of_ester(told)
    else:
        value, method, inputs, line = _of_ethoxylate(told)
    use = next(words for most, words in _USES if value <= most + 1e-9)
    shown = _figure("hlb", "HLB", value, "", method, inputs)
    return Reckoned({"hlb": shown}, (line,), (f"An emulsifier of this HLB is for: {use}.",))


def _of_ester(told: Told) -> tuple[float, str, tuple[Input, ...], str]:
    need(told, "hlb", "saponification", "acid")
    above_nought(told, "saponification", "acid")
    s, a = told["saponification"], told["acid"]
    value = float(science.hlb_griffin_ester(s, a))
    if math.isnan(value):
        raise SumError(
            f"A saponification number of {digits(s)} above an acid number of {digits(a)} is none of an ester of a "
            "polyol: acid is that of the fatty acid split off, about 200 for stearic acid."
        )
    inputs = (told_input("saponification number", s, "1"), told_input("acid number", a, "1"))
    return value, "HLB = 20 (1 - S/A)", inputs, f"HLB = 20 × (1 - {digits(s)}/{digits(a)}) = {digits(value)}"


def _of_ethoxylate(told: Told) -> tuple[float, str, tuple[Input, ...], str]:
    e, p = told["oxyethylene"], told.numbers.get("polyol", 0.0)
    value = float(science.hlb_griffin_ethoxylate(e, p))
    if math.isnan(value):
        raise SumError("oxyethylene and polyol are shares of the emulsifier, with %, and together no more than 100 %.")
    inputs = (told_input("oxyethylene", 100 * e, "%"), told_input("polyol", 100 * p, "%"))
    return value, "HLB = (E + P)/5", inputs, f"HLB = ({digits(100 * e)} + {digits(100 * p)})/5 = {digits(value)}"


def _of_blend(text: str) -> tuple[float, str, tuple[Input, ...], str]:
    kind, parts = read_amounts(text)
    if kind == "molality":
        raise SumError("Emulsifiers are blended by mass; say their shares in % or their grams.")
    entries = [hlb_entry(name) for name, _ in parts]
    amounts = [amount for _, amount in parts]
    value = float(science.hlb_blend(amounts, [entry.value for entry in entries]))
    if math.isnan(value):
        raise SumError("A blend of nothing has no HLB; say how much of each.")
    total = sum(amounts)
    terms = " + ".join(f"{digits(a / total)} × {digits(e.value)}" for a, e in zip(amounts, entries, strict=True))
    return value, "HLB = Σ wᵢ HLBᵢ / Σ wᵢ", tuple(entries), f"HLB = {terms} = {digits(value)}"


def hlb_entry(name: str) -> Input:
    """Return the HLB of a material of the shelf.

    Raises
    ------
    SumError
        When there is no such material, or Griffin's scale is not for it.
    """
    material = catalogue().get(name)
    if material is None:
        close = closest(catalogue(), name)
        hint = f' Did you mean "{close[0]}"?' if close else ""
        raise SumError(f"No material is called {came(name)}.{hint}")
    key = catalogue().key(name) or name
    if material.charge != "none":
        raise SumError(f"{key} has a charge, which Griffin's scale is not made for; go by its own usual share.")
    if not material.hlb:
        raise SumError(f"No HLB is known for {key}; tell it as a number where the sum takes one.")
    first = material.hlb[0]
    ends = [entry.si("share") for entry in material.hlb]
    half = (max(ends) - min(ends)) or None
    return Input(f"HLB of {key}", None, ends[0], "1", first.grade, first.source, first.place, half)


def _figure(
    name: str, title: str, value: float, unit: str, method: str, inputs: Sequence[Input], half: float | None = None
) -> Figure:
    grade = max((entry.grade for entry in inputs), key=FIGURE_GRADES.index)
    return figure(
        name, title, value, unit, method=method, source="Griffin-1954", inputs=tuple(inputs), half=half or None,
        grade=grade, holds=_HOLDS, seen_off=_SEEN_OFF,
    )  # fmt: skip


@quick_sum(
    "hlb-blend",
    "How much of two emulsifiers meets the HLB that an oil phase asks for.",
    'required=10.5 high="polysorbate 80" low="sorbitan oleate" total=5g',
    required=Key("share", "HLB that the oil phase asks for"),
    oils=Key(None, 'or the oil phase itself: "mineral oil 35%, cetyl alcohol 1%"'),
    high=Key(None, "emulsifier of high HLB, or its HLB as a number"),
    low=Key(None, "emulsifier of low HLB, or its HLB as a number"),
    total=Key("mass", "mass of both together", "5 g"),
    required_error=Key("share", "how far the HLB asked for may be off (95 %)", "1"),
)
def hlb_blend(told: Told) -> Reckoned:
    """Return the grams of two emulsifiers."""
    need(told, "hlb-blend", "high", "low")
    above_nought(told, "total")
    if ("required" in told) == ("oils" in told):
        raise SumError("Say either required, as required=10.5, or the oils it follows from; not both.")
    high, low = _said_or_known("high", told), _said_or_known("low", told)
    if "oils" in told:
        required, oils, lines = _asked_by(told.texts["oils"])
    else:
        required, oils, lines = told["required"], (told_input("required HLB", told["required"], "1"),), []
    share = float(science.emulsifier_fraction(required, high.value, low.value))
    if not high.value > low.value:
        raise SumError(f"high has an HLB of {digits(high.value)} and low of {digits(low.value)}; change the two about.")
    if math.isnan(share):
        end, other = ("high", "higher") if required > high.value else ("low", "lower")
        raise SumError(
            f"An HLB of {digits(required)} is not met by these two, which reach from {digits(low.value)} to "
            f"{digits(high.value)}; take one of {other} HLB as {end}."
        )
    inputs = (*oils, high, low)
    # The slopes of w in the three values, each times what that value may be off.
    doubts = (told["required_error"], share * (high.spread or 0.0), (1 - share) * (low.spread or 0.0))
    if not 0 <= doubts[0] <= 20:
        raise SumError("required_error is told in units of HLB, without a sign.")
    half = math.hypot(*doubts) / (high.value - low.value)
    grams = 1000 * told["total"]
    method = "w = (rHLB - HLB₂)/(HLB₁ - HLB₂)"
    names = [entry.name.removeprefix("HLB of ") for entry in (high, low)]
    figures = {
        "high": _figure("high", names[0], grams * share, "g", method, inputs, grams * half),
        "low": _figure("low", names[1], grams * (1 - share), "g", "the rest", inputs, grams * half),
        "share": _figure("share", f"Share of {names[0]}", 100 * share, "%", method, inputs, 100 * half),
        "required": _figure("required", "HLB met", required, "", "Σ wᵢ rHLBᵢ / Σ wᵢ" if lines else "as told", inputs),
    }
    working = (
        *lines,
        f"w = ({digits(required)} - {digits(low.value)})/({digits(high.value)} - {digits(low.value)}) "
        f"= {digits(share)}",
        f"{digits(share)} × {said(told['total'], 'mass')} = {digits(grams * share)} g, "
        f"and {digits(grams * (1 - share))} g",
    )
    known = [entry for entry in inputs if entry.source != "own-word" and entry.spread]
    apart = [f"{entry.name} (by {digits(entry.spread or 0.0, 2)})" for entry in known]
    notes = (
        *((f"Tables disagree on the {', the '.join(apart)}.",) if apart else ()),
        "Make it also 1 to either side of this HLB, and keep the one that stays whole in the warm and the cold.",
    )
    return Reckoned(figures, working, notes)


def _said_or_known(key: str, told: Told) -> Input:
    text = told.texts[key].strip()
    try:
        value = float(text)
    except ValueError:
        return hlb_entry(text)
    if not 0 <= value <= 20:
        raise SumError(f"{key}: Griffin's scale runs from 0 to 20; {text} is none of it.")
    return told_input(f"HLB of the {key} one", value, "1")


def _asked_by(text: str) -> tuple[float, tuple[Input, ...], list[str]]:
    """Return the HLB that an oil phase asks for, what it rests on, and its working."""
    kind, parts = read_amounts(text)
    if kind == "molality":
        raise SumError("Oils are counted by mass; say their shares in % or their grams.")
    entries = []
    for name, _ in parts:
        material = catalogue().get(name)
        if material is None or not material.required_hlb:
            raise SumError(f"What HLB {came(name)} asks for is not known here; tell required= as a number.")
        first = material.required_hlb[0]
        ends = [entry.si("share") for entry in material.required_hlb]
        spread = (max(ends) - min(ends)) or None
        entries.append(
            Input(f"HLB that {name} asks for", None, ends[0], "1", first.grade, first.source, first.place, spread)
        )
    amounts = np.array([amount for _, amount in parts])
    value = float(science.hlb_required(amounts, [entry.value for entry in entries]))
    if math.isnan(value):
        raise SumError("An oil phase of nothing asks for nothing; say how much of each oil.")
    terms = " + ".join(
        f"{digits(a)} × {digits(e.value)}" for a, e in zip(amounts / amounts.sum(), entries, strict=True)
    )
    return value, tuple(entries), [f"rHLB = {terms} = {digits(value)}"]
