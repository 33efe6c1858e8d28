"""Does it stay mixed, does it pour, does it feel smooth?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from levigate.formula.model import USUAL_LIFE, plain
from levigate.quantities.graph import evaluate
from levigate.quantities.saying import digits
from levigate.review.findings import Finding, Level, Remedy, Situation, rule
from levigate.review.holding import (
    Powder,
    centre,
    changed,
    coarse_tenth,
    finer,
    ground,
    held_times,
    more_gel,
    nearer_liquid,
)
from levigate.science.grain import grain_diameter
from levigate.science.suspension import yield_stress_to_hold
from levigate.solve.nearest import least_change
from levigate.words import marked, tr

#: Powders' volume over closest packing from which a product is a paste, and from which a stiff solid (rules of thumb).
_PASTE, _STIFF, _EASY = 0.7, 0.9, 0.6
#: Liquid in the room between touching grains below which they are a powder to dust or press, not a stiff solid. [1]
_DAMP = 0.5
#: Grain of the coarse tenth from which a leave-on may feel gritty, and from which most people feel it. [µm]
_GRITTY, _SURELY_GRITTY = 25.0, 50.0
#: Coarse tenth to which a remedy grinds, and what it says of that: a quarter to spare. [µm]
_SMOOTH = 20.0
_THEN_SMOOTH = marked("then the coarse tenth could be 1.25 times as coarse before it is felt")
#: Coarse tenth over median that hardly any powder passes: a geometric standard deviation of 6. [1]
_WIDEST = 10.0
#: Air from which it matters; below, computed densities are not good enough to tell. [%]
_AIRY = 2.0


def _powders(situation: Situation) -> list[Powder] | None:
    """Return the powders with what is foreseen of them; None where the yield stress or a grain is not known."""
    figures = situation.figures
    needed, held, stress = (figures[name] for name in ("yield_needed", "held_share", "yield_stress"))
    if not (needed.known and held.known and stress.known):
        return None
    speed = figures["settling_speed"]
    times = held_times(situation.inputs)
    low = np.nanquantile(times[1:], 0.025, axis=0) if len(times) > 1 else times[0]
    found = []
    for column, position in enumerate(situation.inputs.powder_positions):
        need = needed.rows[column]
        fall = speed.rows[column].value if speed.known else None
        value, least = float(times[0, column]), float(low[column])
        found.append(Powder(position, column, need.name, need.value, value, least, held.rows[column].value, fall))
    return found


@rule("settling", sources=("Beris-1985", "Stokes-1851"))
def powders_stay_where_they_are(situation: Situation) -> Iterator[Finding]:
    """A grain stays put where the yield stress at rest outweighs it; else it sinks or rises and the jar ends uneven."""
    if not situation.inputs.powder_positions or _touching(situation):
        return
    powders = _powders(situation)
    if powders is None:
        if not _held_however_wide(situation):
            yield _not_known(situation)
        return
    for powder in powders:
        if powder.low >= 1:
            continue
        why = tr(
            "The yield stress is {stress}, the coarse tenth needs {needed} Pa; {held} % of its mass is held."
        ).format(
            stress=situation.figures["yield_stress"].say(),
            needed=digits(powder.needed, 2),
            held=f"{powder.held:.0f}",
        )
        level: Level = "note"
        if powder.ratio >= 1:
            title = tr("{name} may not stay up").format(name=powder.name)
            tells = tr("The spread reaches below what is needed: a slump or bead test on the product would tell.")
            why = f"{why} {tells}"
        else:
            level, title = _how_soon(situation, powder)
        ways = (more_gel, finer, nearer_liquid)
        remedies = tuple(remedy for way in ways for remedy in way(situation, powder, level))
        yield Finding("settling", level, title, why, "Beris-1985", "", (powder.line,), remedies)


def _touching(situation: Situation) -> bool:
    """Return whether the grains fill the room in which they touch, so that none can move."""
    crowding = situation.figures["crowding"]
    return crowding.known and crowding.value >= 100


def _held_however_wide(situation: Situation) -> bool:
    """Return whether grains `_WIDEST` times as coarse as the median are held, whatever the coarse tenth is."""
    stress, given = situation.figures["yield_stress"], centre(situation.inputs)
    if not stress.known or np.isnan(given["powder_d50"]).any():
        return False
    found = evaluate(["liquid_density", "material_density"], given)
    liquid, density = found["liquid_density"], found["material_density"][given["powder_pick"].astype(int)]
    needed = yield_stress_to_hold(_WIDEST * given["powder_d50"], density, liquid)
    return bool((needed <= (stress.value if stress.low is None else stress.low)).all())


def _not_known(situation: Situation) -> Finding:
    needed = situation.figures["yield_needed"]
    missing = next(
        figure.unknown
        for name in ("yield_needed", "yield_stress", "held_share")
        if not (figure := situation.figures[name]).known
    )
    why = f"{missing[:1].upper()}{missing[1:]}"
    if needed.known:
        stresses = ", ".join(f"{digits(row.value, 2)} Pa ({row.name})" for row in needed.rows)
        asks = tr("The coarse tenth needs {stresses}.").format(stresses=stresses)
        why = f"{why} {asks}"
    return Finding(
        "settling", "care", tr("Whether the powder stays up is not known"), why, "Beris-1985",
        lines=situation.inputs.powder_positions,
    )  # fmt: skip


def _how_soon(situation: Situation, powder: Powder) -> tuple[Level, str]:
    """Return the level, and what happens how soon: the coarse tenth has fallen through the filling, if known."""
    rises = powder.speed is not None and powder.speed < 0
    height = situation.formula.container.height if situation.formula.container else None
    if height is None or not powder.speed:
        return "care", (tr("{name} rises") if rises else tr("{name} settles")).format(name=powder.name)
    seconds = height / (abs(powder.speed) * 1e-6)
    keeps = situation.formula.keeps or USUAL_LIFE
    level: Level = "stop" if seconds < keeps / 12 else "care" if seconds < keeps else "note"
    soon = tr("{name} rises {within}") if rises else tr("{name} settles {within}")
    return level, soon.format(name=powder.name, within=_within(seconds))


def _within(seconds: float) -> str:
    for size, within in (
        (31557600.0, marked("within {n} years")),
        (2629800.0, marked("within {n} months")),
        (86400.0, marked("within {n} days")),
        (3600.0, marked("within {n} hours")),
        (60.0, marked("within {n} minutes")),
    ):
        if seconds >= 2 * size:
            return tr(within).format(n=f"{seconds / size:.2g}")
    return tr("within {n} seconds").format(n=f"{seconds:.2g}")


@rule("paste", sources=("Krieger-Dougherty-1959", "common-practice"))
def there_is_liquid_enough(situation: Situation) -> Iterator[Finding]:
    """Near closest packing a powder in liquid stops flowing: a stiff solid that no stirring wets."""
    figure, solid = situation.figures.get("crowding"), situation.figures.get("solid_fraction")
    if figure is None or solid is None or not figure.known or figure.value < 100 * _PASTE:
        return
    volume, packing = solid.value / 100, solid.value / figure.value
    wet = (1 - volume) / volume * packing / (1 - packing)
    if wet < _DAMP:  # a powder to dust or to press, if that is what is meant
        if wet > 1e-9:
            yield Finding(
                "paste", "note", tr("A damp powder results, not a paste"),
                tr(
                    "The liquid fills {percent} % of the room between touching grains: to be pressed or dusted on."
                ).format(percent=f"{100 * wet:.0f}"),
                "common-practice", lines=situation.inputs.powder_positions,
            )  # fmt: skip
        return
    stiff = figure.value >= 100 * _STIFF
    yield Finding(
        "paste", "stop" if stiff else "care", tr("A stiff solid results") if stiff else tr("A paste results"),
        tr(
            "The powders fill {percent} % of the room in which they would touch; a paste begins at about 70 %."
        ).format(percent=f"{figure.value:.0f}"),
        "common-practice", lines=situation.inputs.powder_positions, remedies=tuple(_less_powder(situation)),
    )  # fmt: skip


def _less_powder(situation: Situation) -> Iterator[Remedy]:
    formula, inputs = situation.formula, situation.inputs
    for line in inputs.powder_positions:
        percent = least_change(formula, inputs, line, ("crowding",), lambda found: found["crowding"] <= _EASY)
        mended = changed(formula, line, percent) if percent is not None and percent < formula.percents[line] else None
        if percent is not None and mended is not None:
            name = [one.material for _, one in formula.lines()][line]
            says = tr("Lower {name} to {percent} %: then they fill {share} %.")
            yield Remedy(says.format(name=name, percent=plain(percent), share=f"{100 * _EASY:.0f}"), mended)


@rule("grit", sources=("common-practice",))
def it_feels_smooth(situation: Situation) -> Iterator[Finding]:
    """Coarse grains are felt: from about 25 µm by a rule of thumb; for skin no threshold was found in print."""
    if situation.use is not None and not situation.use.leave_on:
        return
    names = [line.material for _, line in situation.formula.lines()]
    for column, position in enumerate(situation.inputs.powder_positions):
        d90, part = (
            coarse_tenth(situation.inputs, column),
            marked(
                "A tenth of it is coarser than {size}; about 25 µm is where grit begins to be felt (rule of thumb)."
            ),
        )
        if d90 is None:
            d90, part = (
                float(centre(situation.inputs)["powder_d50"][column]),
                marked(
                    "Half of it is coarser than {size}; about 25 µm is where grit begins to be felt (rule of thumb)."
                ),
            )
        coarse = 1e6 * d90
        if not coarse > _GRITTY:
            continue
        sure = coarse > _SURELY_GRITTY
        yield Finding(
            "grit", "care" if sure else "note",
            (tr("{name} feels gritty") if sure else tr("{name} may feel gritty")).format(name=names[position]),
            tr(part).format(size=_said(situation, column, coarse)), "common-practice", lines=(position,),
            remedies=tuple(ground(situation, position, column, _SMOOTH * 1e-6, tr(_THEN_SMOOTH))),
        )  # fmt: skip


def _said(situation: Situation, column: int, coarse: float) -> str:
    """Return the coarse tenth, with its spread where the grain is stated only roughly. [µm]"""
    inputs = situation.inputs
    if "powder_d50" not in inputs.drawn or len(inputs.given["powder_d50"]) < 2:
        return f"{digits(coarse, 3)} µm"
    d90 = grain_diameter(0.9, inputs.given["powder_d50"][1:, column], inputs.given["powder_sigma"][1:, column])
    low, high = 1e6 * np.nanquantile(d90, (0.025, 0.975))
    if high <= low * (1 + 1e-9):
        return f"{digits(coarse, 3)} µm"
    spread = tr("{value} µm ({low} to {high})")
    return spread.format(value=digits(coarse, 2), low=digits(low, 2), high=digits(high, 2))


@rule("air", sources=("definition",))
def little_air_is_whipped_in(situation: Situation) -> Iterator[Finding]:
    """A measured density below the computed one is air: it lowers the fill, feeds oxidation and rises in the jar."""
    figure = situation.figures.get("air_share")
    if figure is None or not figure.known or figure.value < _AIRY or (figure.low is not None and figure.low <= 0):
        return
    yield Finding(
        "air", "care", tr("About {percent} % of it is air").format(percent=digits(figure.value, 2)),
        tr("The density measured on the product is below that of its materials."), "definition",
        remedies=(
            Remedy(tr("Stir slower, the blade under the surface; let it stand or draw a vacuum; fill by weight.")),
        ),
    )  # fmt: skip
