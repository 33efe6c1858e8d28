"""The pictures of a review: which charts a formula asks for, and the numbers they are drawn from."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from levigate import units
from levigate.formula.model import USUAL_LIFE
from levigate.publish import charts
from levigate.quantities.figure import Figure
from levigate.quantities.graph import Floats, evaluate
from levigate.quantities.holding import speed_alone
from levigate.quantities.inputs import Inputs
from levigate.review.engine import Review
from levigate.review.keepers import ph_of
from levigate.science import rheology, suspension
from levigate.science.column import Column
from levigate.science.grain import grain_diameter, grain_share_below
from levigate.science.titration import reagent_to_reach, titrate

#: Size classes of each powder in the column.
CLASSES = 8
#: Height of the filling where the file does not say. [m]
_USUAL_HEIGHT = 0.05


def pictures(review: Review) -> Iterator[tuple[str, str]]:
    """Yield the name and the SVG of each chart that the formula asks for and the figures allow."""
    inputs, name = review.inputs, review.formula.name
    if _known(review, "yield_stress", "thickness"):
        yield "flow", charts.svg(charts.flow_curve(*_flow(inputs), name=name))
    if _known(review, "yield_stress", "held_share"):
        yield "grain", charts.svg(charts.grain_sizes(*_grain(inputs), name=name))
    if _known(review, "settling_speed"):
        height = review.formula.container.height if review.formula.container else None
        column = stand(inputs, height or _USUAL_HEIGHT, review.formula.keeps or USUAL_LIFE)
        chart = charts.column_through_time(
            column.times, column.clear_layer, column.sediment + column.cream, height or _USUAL_HEIGHT, name=name
        )
        yield "column", charts.svg(chart)
    if _known(review, "required_hlb", "emulsifier_hlb"):
        yield "hlb", charts.svg(_ruler(review))
    if shares := _dissolved(review):
        yield (
            "dissolved",
            charts.svg(charts.dissolved_shares(*shares, name=name, coldest=float(inputs.given["coldest"]))),
        )
    yield from _preservatives(review)
    if _known(review, "ph", "buffer_value"):
        added, ph, here = titration(inputs)
        amount = "1 mmol is 0.40 g of lye of 10 %"
        yield "titration", charts.svg(charts.titration_curve(added, ph, here, name=name, amount=amount))
    yield from _container(review)


def _preservatives(review: Review) -> Iterator[tuple[str, str]]:
    """Yield the uncharged share of each acid preservative from pH 2 to 9."""
    inputs = review.inputs
    if not inputs.asked.get("preservative_uncharged"):
        return
    pka = central(inputs)["preservative_pka"]
    acids = np.flatnonzero(np.isfinite(pka))
    ph = np.linspace(2, 9, 141)
    share = 1 / (1 + 10.0 ** (ph - pka[acids, None]))
    names = [inputs.names["preservatives"][i] for i in acids for _ in ph]
    found = ph_of(inputs)
    here = None if np.isnan(found[0]) else found
    chart = charts.uncharged_by_ph(np.tile(ph, len(acids)), share.ravel(), names, here, name=review.formula.name)
    yield "preservative", charts.svg(chart)


def titration(inputs: Inputs) -> tuple[Floats, Floats, float]:
    """Return strong base in 100 g of a formula (acid below nought), the pH with it, and the pH as it stands.

    It goes from pH 3 to 10, or two units to either side where the formula stands outside, as far as base and acid
    get it. [mmol], [1]
    """
    given = central(inputs)
    found = evaluate(("charge_balance", "solute_molality", "dissolving_water"), given)
    here, m = float(found["charge_balance"][0]), found["solute_molality"]
    solutes = given["solute_pka"], given["solute_charge"]
    sodium, chloride = np.eye(len(m))[-2], np.eye(len(m))[-1]
    ends = [
        float(reagent_to_reach(to, m, *solutes, ion))
        for to, ion in ((min(3.0, here - 2), chloride), (max(10.0, here + 2), sodium))
    ]
    acid, base = (end if np.isfinite(end) else 0.2 for end in ends)
    moles = np.concatenate([-np.linspace(acid, 0, 80), np.linspace(0, base, 80)[1:]])
    # A mole of acid taken away is one of base: each is put in on its own side.
    with_acid = titrate(np.maximum(-moles, 0), m, *solutes, chloride).ph
    with_base = titrate(np.maximum(moles, 0), m, *solutes, sodium).ph
    ph = np.where(moles < 0, with_acid, with_base)
    keep = np.isfinite(ph)
    return (moles * 100 * float(found["dissolving_water"]))[keep], ph[keep], here


def _dissolved(review: Review) -> tuple[list[str], Floats, Floats, Floats] | None:
    """Return solutes and sparing acids with their shares and limits; None where none of them is known."""
    inputs, names = review.inputs, []
    columns: list[list[Floats]] = [[], [], []]
    for prefix, each in (("", "solutes"), ("acid_", "sparing acids")):
        if not _known(review, f"{prefix}saturation", f"{prefix}saturation_cold"):
            continue
        names += list(inputs.names[each])
        wanted = (f"{prefix}share" if prefix else "solute_share", f"{prefix}solubility", f"{prefix}solubility_cold")
        found = evaluate(wanted, central(inputs))
        for column, one in zip(columns, wanted, strict=True):
            column.append(np.asarray(found[one]))
    if not names:
        return None
    share, warm, cold = (np.concatenate(column) for column in columns)
    return names, share, warm, cold


def _known(review: Review, *names: str) -> bool:
    shown = [review.figures.get(name) for name in names]
    return all(figure is not None and figure.known for figure in shown)


def _flow(inputs: Inputs) -> tuple[Floats, Floats, Floats, Floats]:
    """Return shear rates with the 95 % band of the apparent viscosity."""
    rates = np.logspace(-3, 3.5, 80)
    found = evaluate(("yield_stress", "consistency", "flow_index", "solid_fraction", "packing"), inputs.given)
    draws = {key: np.atleast_1d(array)[:, None] for key, array in found.items()}
    stress = rheology.stress_herschel_bulkley(rates, draws["yield_stress"], draws["consistency"], draws["flow_index"])
    thick = rheology.viscosity_krieger_dougherty(stress / rates, draws["solid_fraction"], draws["packing"])
    low, high = np.quantile(thick[1:], (0.025, 0.975), axis=0) if len(thick) > 1 else (thick[0], thick[0])
    return rates, low, thick[0], high


def central(inputs: Inputs) -> dict[str, Floats]:
    """Return the inputs with their central values only."""
    return {key: array[0] if key in inputs.drawn else array for key, array in inputs.given.items()}


def _grain(
    inputs: Inputs,
) -> tuple[Floats, Floats, list[str], list[tuple[str, float]], tuple[Floats, Floats] | None]:
    """Return sizes, the density of mass by their logarithm, powder of each row, largest grains held, and the spread."""
    given = central(inputs)
    found = evaluate(("yield_stress", "liquid_density", "material_density"), given)
    d50, sigma = given["powder_d50"], given["powder_sigma"]
    edges = np.geomspace(d50.min() / 30, d50.max() * 30, 241)
    middles = np.sqrt(edges[1:] * edges[:-1])

    def density_of_mass(median: Floats, spread: Floats) -> Floats:
        below = grain_share_below(edges, median[..., None], spread[..., None])
        return np.asarray(np.diff(below, axis=-1) / np.diff(np.log(edges)))

    ends = None
    if "powder_d50" in inputs.drawn and len(inputs.given["powder_d50"]) > 1:
        drawn = density_of_mass(inputs.given["powder_d50"][1:], inputs.given["powder_sigma"][1:])
        low, high = np.nanquantile(drawn, (0.025, 0.975), axis=0)
        ends = low.ravel(), high.ravel()
    share = density_of_mass(d50, sigma)
    density = found["material_density"][given["powder_pick"].astype(int)]
    held = suspension.diameter_held(found["yield_stress"], density, found["liquid_density"])
    names = [name for name in inputs.powders for _ in middles]
    return np.tile(middles, len(d50)), share.ravel(), names, list(zip(inputs.powders, held.tolist(), strict=True)), ends


def stand(inputs: Inputs, height: float, duration: float, *, cells: int = 200, times: Floats | None = None) -> Column:
    """Return how the powders of a formula settle in a still column, eight sizes of each.

    Parameters
    ----------
    inputs : Inputs
        Inputs of the formula; their central values are used.
    height : float
        Height of the filling. [m]
    duration : float
        How long it stands. [s]
    cells : int
        Cells of the column. [1]
    times : ndarray, optional
        Moments to keep, from 0 to the duration; evenly spread ones if not given. [s]
    """
    given = central(inputs)
    names = ("yield_stress", "consistency", "flow_index", "liquid_density", "volume_fraction", "packing",
             "material_density")  # fmt: skip
    found = evaluate(names, given)
    pick = given["powder_pick"].astype(int)
    shares = (np.arange(CLASSES) + 0.5) / CLASSES
    size = grain_diameter(shares, given["powder_d50"][:, None], given["powder_sigma"][:, None])
    density = found["material_density"][pick][:, None]
    liquid = found["liquid_density"]
    needed = suspension.yield_stress_to_hold(size, density, liquid)
    speed = speed_alone(size, density, liquid, needed, found["yield_stress"], found["consistency"], found["flow_index"])
    volume = np.repeat(found["volume_fraction"][pick][:, None] / CLASSES, CLASSES, axis=1)
    peclet = suspension.peclet_number(given["powder_d50"], density[:, 0], liquid, given["temperature"])
    return Column.settle(
        height,
        duration,
        volume.ravel(),
        speed.ravel(),
        exponent=float(np.max(suspension.hindered_exponent(peclet))),
        packing_fraction=float(found["packing"]),
        cells=cells,
        times=times,
    )


def _ruler(review: Review) -> Any:
    """Return the chart of HLBs."""
    given, names = central(review.inputs), review.inputs.materials
    required, blend = (review.figures[name] for name in ("required_hlb", "emulsifier_hlb"))

    def single(weight: str, number: str) -> list[tuple[str, float]]:
        return [(names[i], float(given[number][i])) for i in np.flatnonzero(given["mass_fraction"] * given[weight])]

    ends = [
        (figure.value if figure.low is None else figure.low, figure.value,
         figure.value if figure.high is None else figure.high)
        for figure in (required, blend)
    ]  # fmt: skip
    return charts.hlb_ruler(
        ends[0], ends[1], single("oil_rated", "oil_asks"), single("emulsifier_rated", "line_hlb"),
        name=review.formula.name,
    )  # fmt: skip


def _container(review: Review) -> Iterator[tuple[str, str]]:
    container = review.formula.container
    figure: Figure | None = review.figures.get("volume_per_container")
    if container is None or container.brimful is None or figure is None or not figure.known:
        return
    filled = units.si(f"{figure.value!r} mL", "volume")
    chart = charts.container_fill(
        container.brimful, filled, container.headspace, name=review.formula.name, container=container.name
    )
    yield "container", charts.svg(chart)
