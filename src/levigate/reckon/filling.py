"""Quick sum of filled packs: whether their weights keep the law."""

from __future__ import annotations

import math
import re

from levigate import units
from levigate.errors import SumError, UnitError
from levigate.quantities.figure import Figure
from levigate.quantities.saying import digits
from levigate.reckon.readings import (
    UNUSED,
    Answer,
    Method,
    Reading,
    answer,
    counted,
    doubts,
    error_key,
    mass_or_volume,
    shown,
    take,
)
from levigate.reckon.sizes import in_bench_unit, said
from levigate.reckon.sums import Key, Reckoned, Told, above_nought, need, quick_sum
from levigate.science.constants import Floats
from levigate.science.filling import FillVerdict, judge_fill_mass, judge_fill_volume, mean_criterion_factor
from levigate.science.metrology import weighing_uncertainty

#: Of fewer packs than this all are weighed; of more, a sample.
_WHOLE_BATCH = 100
_MOST_PACKS = 10000
#: Least sample of which the law judges the mean.
_LEAST_SAMPLE = 20


@quick_sum(
    "fill-check",
    "Whether the weights of filled packs keep the rules of the e mark (76/211/EEC).",
    'weights="30.1 29.8 30.4 30.0 30.2 29.9 30.3 30.1 30.0 30.2" nominal=30g',
    weights=Key(None, 'what the packs hold, in grams: "30.1 29.8 30.4"; gross where a tare is told'),
    nominal=Key(None, "what is printed on the pack: 30g or 30mL"),
    density=Key("density", "density at 20 °C, where a volume is printed"),
    tare=Key("mass", "mass of the empty pack with its cap"),
    scale=Key("mass", "one step of the scale", "0.1 g"),
    density_error=error_key("the density", "0.5 %"),
    allowed=Key("share", "share of packs that may be short by more than the tolerable error", "2.5 %"),
)
def fill_check(told: Told) -> Reckoned:
    """Return what weighed packs say about the rules."""
    need(told, "fill-check", "weights", "nominal")
    above_nought(told, "tare", "scale")
    nominal, dimension = mass_or_volume("nominal", told.texts["nominal"])
    masses = _weights(told)
    if not 0 <= told["allowed"] < 1:
        raise SumError("allowed is a share of the packs, such as 2.5%.")
    rho = UNUSED
    if dimension == "volume":
        (rho,) = take(told, "fill-check", density="density_error")
        verdict = judge_fill_volume(masses, nominal, rho.value, told["allowed"])
    else:
        verdict = judge_fill_mass(masses, nominal, told["allowed"])
    if math.isnan(float(verdict.tolerable_error)):
        raise SumError(
            f"The ladder of 76/211/EEC goes from 5 g or mL to 10 kg or L; {said(nominal, dimension)} lies outside."
        )
    doubt = 2 * float(weighing_uncertainty(told["scale"]))
    mean_mass = Reading("mean of the weights", sum(masses) / len(masses), doubt / math.sqrt(len(masses)), "mass")
    mean = answer(lambda mass, density: mass / density, (mean_mass, rho), dimension)
    error = float(verdict.tolerable_error)
    first = " + ".join(digits(1000 * mass) for mass in masses[:3]) + (" + ..." if len(masses) > 3 else "")
    working = [
        f"mean = ({first}) g / {len(masses)}{f' / {rho}' if rho.key else ''} = {mean}",
        f"tolerable error of {said(nominal, dimension)}: {said(error, dimension)}; "
        f"few below {said(nominal - error, dimension)}, none below {said(nominal - 2 * error, dimension)}",
    ]
    figures = {
        "mean": shown("mean", "Mean content", mean, Method("Σ m/n", source="EU-76-211-II", holds="net contents")),
        **_counts(verdict, dimension, len(masses)),
    }
    if len(masses) >= _LEAST_SAMPLE:
        factor = float(mean_criterion_factor(len(masses)))
        working.append(
            f"a sample passes with a mean from {said(nominal, dimension)} - {digits(factor, 3)} × "
            f"{said(float(verdict.deviation), dimension)} = {said(float(verdict.mean_limit), dimension)} up"
        )
    notes = [*_rules(verdict, mean, nominal, len(masses), told["allowed"])]
    if doubt > error / 5:
        notes.append("This scale is too coarse: guides ask for an error of at most a fifth of the tolerable one.")
    return Reckoned(figures, tuple(working), (*notes, *doubts(mean)))


def _weights(told: Told) -> list[float]:
    """Return the net contents of the packs. [kg]"""
    pieces = [piece for piece in re.split(r"[\s;]+", told.texts["weights"].replace("g", " ")) if piece]
    if not 0 < len(pieces) <= _MOST_PACKS:
        raise SumError('fill-check needs the weights of the packs, for example weights="30.1 29.8 30.4".')
    masses = []
    for piece in pieces:
        try:
            mass = units.si(f"{piece} g", "mass") - told.numbers.get("tare", 0.0)
        except UnitError as trouble:
            raise SumError(f'weights: {trouble} Write grams with blanks between, as in "30.1 29.8 30.4".') from trouble
        if not mass > 0:
            raise SumError(f"A pack of {piece} g leaves nothing inside{' after the tare' if 'tare' in told else ''}.")
        masses.append(mass)
    return masses


def _counts(verdict: FillVerdict, dimension: str, count: int) -> dict[str, Figure]:
    """Return what the ladder allows and how many packs fall short of it; of two packs or more also their spread."""

    def amount(name: str, title: str, value: Floats, how: Method) -> Figure:
        number, unit = in_bench_unit(float(value), dimension)
        return counted(name, title, number, unit, how)

    ladder = Method("ladder of 76/211/EEC", "EU-76-211", holds="5 g or mL to 10 kg or L")
    packs, of = Method("counted", "EU-76-211"), f"of {count} packs"
    figures = {
        "tolerable_error": amount("tolerable_error", "Tolerable error of one pack", verdict.tolerable_error, ladder),
        "short": counted("short", "Short by more than that", float(verdict.short), of, packs),
        "far_short": counted("far_short", "Short by more than twice that", float(verdict.far_short), of, packs),
    }
    if count > 1:
        spread = Method("√(Σ (m - mean)²/(n - 1))", "EU-76-211-II", place="2.3")
        figures["deviation"] = amount("deviation", "Standard deviation", verdict.deviation, spread)
    if count >= _LEAST_SAMPLE:
        sample = Method("Qₙ - t₀.₉₉₅ s/√n", "EU-76-211-II", holds="samples of 20, 30 or 50", place="2.3")
        figures["mean_limit"] = amount("mean_limit", "Mean that a sample must reach", verdict.mean_limit, sample)
    return figures


def _rules(verdict: FillVerdict, mean: Answer, nominal: float, count: int, allowed: float) -> list[str]:
    """Return what each rule says of the packs."""
    kept = {True: "Kept", False: "Broken"}
    average, few, far = (bool(rule) for rule in (verdict.average_kept, verdict.few_short, verdict.none_far_short))
    said_nominal = said(nominal, mean.dimension)
    near = mean.low < nominal < mean.high
    sure = "; the errors of scale and density leave that open" if near else ""
    share = f"{digits(100 * allowed, 2)} %"
    notes = [
        f"{kept[average]}: the mean is {'not ' if average else ''}below {said_nominal}{sure}.",
        f"{kept[few]}: {int(verdict.short)} of {count} packs are short by more than the tolerable error, "
        f"{'no more' if few else 'more'} than {share}.",
        f"{kept[far]}: {int(verdict.far_short) or 'none'} of them by more than twice that.",
    ]
    if count >= _LEAST_SAMPLE:
        passes = "pass" if verdict.mean_accepted else "fail"
        notes.append(f"As an inspector's sample from a batch of {_WHOLE_BATCH} packs or more its mean would {passes}.")
    else:
        notes.append(f"Of a batch of fewer than {_WHOLE_BATCH} packs weigh all; of more, a sample of 20, 30 or 50.")
    return notes
