"""Quick sum of sieves: how coarse a powder is, from what stays on each sieve."""

from __future__ import annotations

import re

import numpy as np

from levigate import units
from levigate.errors import SumError, UnitError, came
from levigate.formula.grinds import read_sieve
from levigate.quantities.saying import digits
from levigate.reckon.readings import Method, Reading, answer, counted, doubts, error_key, half_width, shown
from levigate.reckon.sizes import said
from levigate.reckon.sums import Key, Reckoned, Told, above_nought, need, quick_sum
from levigate.science.constants import Floats
from levigate.science.grain import (
    grain_diameter,
    grain_median_by_sieves,
    grain_share_below,
    grain_sigma_by_sieves,
)
from levigate.science.metrology import weighing_uncertainty

#: Standard normal deviate below which nine tenths lie.
_NINE_TENTHS = 1.2815515655446004
_LEAST_OPENING, _WIDEST_OPENING = 5e-6, 0.125
_PROBITS = Method(
    "straight line through the probits of the shares finer, over ln of the opening",
    "Hatch-Choate-1929",
    holds="sizes spread lognormally; dry, sieved until nothing more goes through, nothing lost",
    seen_off="the largest gap shows it; a sieved cut or a mixture of two powders is not lognormal",
)
_EXAMPLE = '"150um: 1.2g, 75um: 6.3g, 45um: 8.1g, pan: 4.4g"'


@quick_sum(
    "grain-by-sieve",
    "Sizes d50 and d90 and their spread from what stayed on each sieve.",
    f"retained={_EXAMPLE}",
    retained=Key(None, "mass on each sieve, named by its opening or as No. 100, and in the pan"),
    scale=Key("mass", "one step of the scale", "0.01 g"),
    opening_error=error_key("the opening of a sieve", "5 %"),
)
def grain_by_sieve(told: Told) -> Reckoned:
    """Return the lognormal sizes that fit the sieves best."""
    need(told, "grain-by-sieve", "retained")
    above_nought(told, "scale")
    openings, masses = _stack(told.texts["retained"])
    total = sum(masses)
    finer = [sum(masses[i + 1 :]) / total for i in range(len(openings))]
    inside = [i for i, share in enumerate(finer) if 0 < share < 1]
    if len({finer[i] for i in inside}) < 2:
        raise SumError(
            "Two sieves at least must each let through some of the powder and hold some back, with something between "
            "them; take sieves nearer to the size of the powder."
        )
    readings = _readings(told, openings, masses)

    def line(*of: Floats) -> tuple[Floats, Floats]:
        return _line(np.stack(of[: len(openings)], axis=-1), np.stack(of[len(openings) :], axis=-1), inside)

    outside = "No straight line with a rising slope goes through these sieves."
    middle = answer(lambda *of: line(*of)[0], readings, "length", outside=outside)
    high = answer(lambda *of: grain_diameter(0.9, *line(*of)), readings, "length", outside=outside)
    sigma = float(line(*(np.asarray(reading.value) for reading in readings))[1])
    fitted = grain_share_below([openings[i] for i in inside], middle.value, sigma)
    misfit = float(np.abs(fitted - [finer[i] for i in inside]).max())
    figures = {
        "d50": shown("d50", "Half of the mass is finer than", middle, _PROBITS),
        "d90": shown("d90", "Nine tenths of the mass are finer than", high, _PROBITS),
        "sigma": counted("sigma", "Geometric standard deviation", sigma, "", _PROBITS),
    }
    if len(inside) > 2:
        figures["misfit"] = counted("misfit", "Largest gap between a sieve and the line", 100 * misfit, "%", _PROBITS)
    notes = _notes(openings, finer, inside, (middle.value, high.value, misfit))
    errors = (
        f"Openings were taken as right within {told.texts['opening_error']} (95 %), masses by the step of the scale."
    )
    working = _working(openings, finer, inside, (middle.value, sigma))
    return Reckoned(figures, working, (*notes, errors, *doubts(middle)))


def _stack(text: str) -> tuple[list[float], list[float]]:
    """Return the openings, coarsest first, and the masses on them with that in the pan last."""
    found: dict[float, float] = {}
    for part in re.split(r"[,;]", text):
        where, colon, mass = part.partition(":")
        if not colon:
            raise SumError(f"{came(part.strip())} is no sieve with its mass; write for example retained={_EXAMPLE}.")
        try:
            grams = units.si(mass.strip(), "mass")
            opening = 0.0 if where.strip().casefold() == "pan" else _opening(where.strip())
        except UnitError as trouble:
            raise SumError(str(trouble)) from trouble
        if grams < 0 or opening in found:
            raise SumError(f"{came(part.strip())}: each sieve stands once, with a mass that is not below nought.")
        found[opening] = grams
    if 0.0 not in found:
        raise SumError('Say also what went through the finest sieve, "pan: 0g" if nothing did.')
    if not sum(found.values()) > 0:
        raise SumError("Nothing was sieved: all masses are nought.")
    sizes = sorted(found, reverse=True)
    return sizes[:-1], [found[size] for size in sizes]


def _opening(where: str) -> float:
    opening = read_sieve(where)
    if not _LEAST_OPENING <= opening <= _WIDEST_OPENING:
        raise SumError(f"There is no test sieve with an opening of {said(opening, 'length')}; look at the unit.")
    return opening


def _readings(told: Told, openings: list[float], masses: list[float]) -> tuple[Reading, ...]:
    text = told.texts["opening_error"]
    doubt = 2 * float(weighing_uncertainty(told["scale"]))
    places = [said(opening, "length", 3) for opening in openings]
    return (
        *(
            Reading(f"opening {place}", opening, half_width("opening_error", text, opening, "length"), "length")
            for place, opening in zip(places, openings, strict=True)
        ),
        *(
            Reading(f"mass on {place}", mass, doubt, "mass")
            for place, mass in zip([*places, "the pan"], masses, strict=True)
        ),
    )


def _line(openings: Floats, masses: Floats, inside: list[int]) -> tuple[Floats, Floats]:
    """Return median and geometric standard deviation of the straight line of probits. [m], [1]"""
    finer = 1 - np.cumsum(masses, axis=-1) / masses.sum(axis=-1, keepdims=True)
    seen = openings[..., inside], finer[..., inside]
    return grain_median_by_sieves(*seen), grain_sigma_by_sieves(*seen)


def _working(openings: list[float], finer: list[float], inside: list[int], fit: tuple[float, float]) -> tuple[str, ...]:
    from scipy.special import ndtri

    rows = [
        f"finer than {said(openings[i], 'length', 3)}: {digits(100 * finer[i], 3)} %, probit {ndtri(finer[i]):+.3f}"
        for i in inside
    ]
    middle, sigma = fit
    last = f"d90 = d50 σ^1.2816 = {said(middle * sigma**_NINE_TENTHS, 'length')}"
    return (*rows, f"z = ln(d/d50)/ln σ: d50 = {said(middle, 'length')}, σ = {digits(sigma)}", last)


def _notes(
    openings: list[float], finer: list[float], inside: list[int], fit: tuple[float, float, float]
) -> tuple[str, ...]:
    middle, high, misfit = fit
    notes = []
    if len(inside) == 2:
        notes.append("Two sieves always make a straight line; a third would show whether the sizes are lognormal.")
    if misfit > 0.05:
        notes.append("The sieves do not lie on the line; look at each share rather than at d50 and d90.")
    left = [said(openings[i], "length", 3) for i in range(len(openings)) if i not in inside]
    if left:
        notes.append(f"Left out, since all or nothing went through: {', '.join(left)}.")
    ends = [openings[i] for i in inside]
    beyond = [name for name, size in (("d50", middle), ("d90", high)) if not min(ends) <= size <= max(ends)]
    if beyond:
        notes.append(f"Beyond the sieves, so drawn out along the line and not measured: {' and '.join(beyond)}.")
    return tuple(notes)
