"""Charts of a review: one Vega-Lite spec each, drawn to SVG for print and reading; the pages will draw the same specs.

Colours, type and lines are those of the pages: ink on paper, one accent, hairlines.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from levigate.quantities.graph import Floats

INK, QUIET, RULE, PAPER = "#1d2522", "#5c665f", "#dedccf", "#fffefb"
HERB, CLAY, BRASS = "#2f5d50", "#b4552d", "#8a6a1f"
_SERIF, _SANS = "Georgia, serif", "system-ui, sans-serif"
#: Shear rates that a person makes, for the eye. [1/s]
DOINGS = (("standing", 0.01), ("squeezing", 10.0), ("spreading", 1000.0))


def _dressed(chart: Any, title: str, subtitle: str) -> Any:
    return (
        chart.properties(width=520, height=300, title={"text": title, "subtitle": subtitle})
        .configure(background=PAPER, font=_SANS)
        .configure_title(
            font=_SERIF, fontSize=18, color=INK, subtitleColor=QUIET, subtitleFontSize=13, anchor="start", offset=14
        )
        .configure_axis(
            labelColor=QUIET, titleColor=INK, gridColor=RULE, gridOpacity=0.6, domainColor=INK, tickColor=RULE,
            labelFontSize=12, titleFontSize=13, titleFontWeight="normal",
        )
        .configure_view(stroke=None)
        .configure_legend(labelColor=INK, titleColor=QUIET, labelFontSize=12)
    )  # fmt: skip


def _rows(**columns: Sequence[Any] | Floats) -> Any:
    import altair as alt

    names = list(columns)
    table = [
        dict(zip(names, row, strict=True)) for row in zip(*(list(column) for column in columns.values()), strict=True)
    ]
    values = [{k: v.item() if isinstance(v, np.generic) else v for k, v in row.items()} for row in table]
    return alt.InlineData(values=values)


def flow_curve(shear_rate: Floats, low: Floats, middle: Floats, high: Floats, *, name: str) -> Any:
    """Return the chart of thickness against shear rate, with its 95 % band and what a person does at which rate.

    Parameters
    ----------
    shear_rate : ndarray
        Shear rates. [1/s]
    low, middle, high : ndarray
        Apparent viscosity at each. [Pa s]
    name : str
        What the formula is called.
    """
    import altair as alt

    data = _rows(rate=shear_rate, low=low, middle=middle, high=high)
    few = alt.Axis(tickCount=6, grid=False)
    x = alt.X("rate:Q", scale=alt.Scale(type="log", nice=False), title="shear rate, 1/s", axis=few)
    band = alt.Chart(data).mark_area(color=HERB, opacity=0.18).encode(
        x=x, y2="high:Q",
        y=alt.Y("low:Q", scale=alt.Scale(type="log"), title="thickness, Pa.s", axis=alt.Axis(tickCount=6)),
    )  # fmt: skip
    line = alt.Chart(data).mark_line(color=HERB, strokeWidth=2.5).encode(x=x, y="middle:Q")
    marks = _rows(rate=[rate for _, rate in DOINGS], says=[word for word, _ in DOINGS])
    rules = alt.Chart(marks).mark_rule(color=QUIET, strokeDash=[3, 3]).encode(x="rate:Q")
    words = alt.Chart(marks).mark_text(color=QUIET, align="left", dx=5, baseline="top", fontSize=12).encode(
        x="rate:Q", y=alt.value(4), text="says:N"
    )  # fmt: skip
    return _dressed(band + line + rules + words, "How it flows", f"{name}; shaded: 95 % of what is foreseen")


def grain_sizes(
    diameter: Floats,
    share: Floats,
    powder: Sequence[str],
    held: Sequence[tuple[str, float]],
    ends: tuple[Floats, Floats] | None = None,
    *,
    name: str,
) -> Any:
    """Return the chart of grain sizes, with the largest grain that the yield stress holds.

    Parameters
    ----------
    diameter, share : ndarray
        Sizes and the density of mass by logarithm of size. [m], [1]
    powder : sequence of str
        The powder of each row.
    held : sequence of (powder, diameter)
        The largest grain held of each; infinite where all are. [m]
    ends : tuple of ndarray, optional
        Between which the density of mass lies, where a grain is stated only roughly. [1]
    name : str
        What the formula is called.
    """
    import altair as alt

    data = _rows(size=np.asarray(diameter) * 1e6, share=share, powder=list(powder))
    colour = alt.Color(
        "powder:N", scale=alt.Scale(range=[HERB, BRASS, CLAY, QUIET]), title=None, legend=alt.Legend(orient="top-right")
    )
    curves = alt.Chart(data).mark_area(opacity=0.25, line=True).encode(
        x=alt.X("size:Q", scale=alt.Scale(type="log", nice=False), title="grain, µm", axis=alt.Axis(grid=False)),
        y=alt.Y("share:Q", title="share of the mass, by logarithm of size", stack=None), color=colour,
    )  # fmt: skip
    sizes = np.asarray(diameter) * 1e6
    inside = [
        (word, size * 1e6) for word, size in held if math.isfinite(size) and sizes.min() < size * 1e6 < sizes.max()
    ]
    if ends is not None:
        spread = _rows(size=np.asarray(diameter) * 1e6, low=ends[0], high=ends[1], powder=list(powder))
        curves = curves + alt.Chart(spread).mark_area(opacity=0.15).encode(
            x="size:Q", y=alt.Y("low:Q", stack=None), y2="high:Q", color=colour
        )  # fmt: skip
    marks = _rows(size=[size for _, size in inside], says=[f"{word}: finer is held" for word, _ in inside])
    rules = alt.Chart(marks).mark_rule(color=CLAY, strokeWidth=1.5).encode(x="size:Q")
    words = alt.Chart(marks).mark_text(color=CLAY, align="right", dx=-5, baseline="bottom", fontSize=12).encode(
        x="size:Q", y=alt.value(-3), text="says:N"
    )  # fmt: skip
    said = "grains right of the line move" if inside else "no grain is held"
    if all(size * 1e6 >= sizes.max() for _, size in held):
        said = "every grain is held"
    elif not inside and any(size * 1e6 >= sizes.max() for _, size in held):
        said = f"held: {', '.join(word for word, size in held if size * 1e6 >= sizes.max())}"
    if ends is not None:
        said += "; pale: 95 % of what the stated grind may be"
    return _dressed(curves + rules + words, "What is held up", f"{name}; {said}")


def column_through_time(time: Floats, clear: Floats, sediment: Floats, height: float, *, name: str) -> Any:
    """Return the chart of clear layer and sediment against time.

    Parameters
    ----------
    time : ndarray
        Times. [s]
    clear, sediment : ndarray
        Height of the clear liquid and of the bed at each. [m]
    height : float
        Height of the filling. [m]
    name : str
        What the formula is called.
    """
    import altair as alt

    days = np.asarray(time) / 86400
    both = _rows(
        days=np.concatenate([days, days]),
        layer=np.concatenate([np.asarray(clear), np.asarray(sediment)]) * 1e3,
        kind=["clear liquid"] * len(days) + ["settled bed"] * len(days),
    )
    lines = alt.Chart(both).mark_line(strokeWidth=2.5).encode(
        x=alt.X("days:Q", title="days", scale=alt.Scale(nice=False)), y=alt.Y("layer:Q", title="mm"),
        color=alt.Color(
            "kind:N", scale=alt.Scale(range=[HERB, BRASS]), title=None, legend=alt.Legend(orient="top-left")
        ),
    )  # fmt: skip
    seen = alt.Chart(_rows(layer=[1.0])).mark_rule(color=CLAY, strokeDash=[3, 3]).encode(y="layer:Q")
    return _dressed(
        lines + seen,
        "Standing on the shelf",
        f"{name}, filled {height * 1e3:.0f} mm high; dashed: 1 mm, what one first sees",
    )


def titration_curve(added: Floats, ph: Floats, here: float, *, name: str, amount: str) -> Any:
    """Return the chart of the pH against strong base or acid that is added.

    Parameters
    ----------
    added : ndarray
        Strong base in 100 g of product, acid below nought. [mmol]
    ph : ndarray
        pH with so much of it. [1]
    here : float
        pH as it stands. [1]
    name : str
        What the formula is called.
    amount : str
        What a millimole is of what one weighs.
    """
    import altair as alt

    x = alt.X("added:Q", title="← acid      mmol in 100 g      base →", scale=alt.Scale(nice=False))
    y = alt.Y("ph:Q", title="pH", scale=alt.Scale(zero=False, nice=False))
    skin = alt.Chart(_rows(low=[3.5], high=[8.0])).mark_rect(color=HERB, opacity=0.08).encode(y="low:Q", y2="high:Q")
    line = alt.Chart(_rows(added=added, ph=ph)).mark_line(color=HERB, strokeWidth=2.5).encode(x=x, y=y)
    now = alt.Chart(_rows(added=[0.0], ph=[here], says=[f"now {here:.1f}"]))
    dot = now.mark_point(color=CLAY, filled=True, size=60).encode(x="added:Q", y="ph:Q")
    word = now.mark_text(color=CLAY, align="left", dx=8, dy=10, fontSize=12).encode(
        x="added:Q", y="ph:Q", text="says:N"
    )
    return _dressed(skin + line + dot + word, "What acid and base do to its pH", f"{name}; {amount}; shaded: for skin")


def dissolved_shares(
    solute: Sequence[str], share: Floats, warm: Floats, cold: Floats, *, name: str, coldest: float
) -> Any:
    """Return the chart of each solute against what its liquids hold, in a warm room and in the cold.

    Parameters
    ----------
    solute : sequence of str
        What each is called.
    share, warm, cold : ndarray
        Mass fraction in its liquids, and that at saturation at 25 °C and in the cold. [1]
    name : str
        What the formula is called.
    coldest : float
        Coldest that it is kept. [K]
    """
    import altair as alt

    there, most, least = (100 * np.asarray(values) for values in (share, warm, cold))
    order = [solute[i] for i in np.argsort(-there / least)]
    state = np.where(
        there > most, "does not all dissolve", np.where(there > least, "crystals in the cold", "dissolved")
    )
    data = _rows(solute=solute, share=there, state=state)
    y = alt.Y("solute:N", sort=order, title=None, axis=alt.Axis(labelLimit=220))
    everything = np.concatenate([there, most, least])
    scale = alt.Scale(type="log", nice=False, domain=[float(everything.min()) / 1.3, float(everything.max()) * 1.3])
    x = alt.X("share:Q", scale=scale, title="% of its liquids", axis=alt.Axis(tickCount=6))
    words = ["dissolved", "crystals in the cold", "does not all dissolve"]
    dots = alt.Chart(data).mark_circle(size=130, opacity=1).encode(
        x=x, y=y,
        color=alt.Color("state:N", scale=alt.Scale(domain=words, range=[HERB, BRASS, CLAY]), title=None,
                        legend=alt.Legend(orient="bottom")),
    )  # fmt: skip
    span = _rows(solute=solute, low=least, high=most)
    bars = alt.Chart(span).mark_bar(color="#c6d6cc", height=14).encode(x=alt.X("low:Q"), x2="high:Q", y=y)
    ends = alt.Chart(span).mark_tick(color=INK, thickness=2, height=18).encode(x="low:Q", y=y)
    said = f"{name}; bar: the limit, from {coldest - 273.15:.3g} °C (dark end) to 25 °C; dot: what is in it"
    return _dressed(bars + ends + dots, "What dissolves", said).properties(height=60 + 34 * len(solute))


def container_fill(brimful: float, filled: float, headspace: float, *, name: str, container: str) -> Any:
    """Return the chart of a container's volume: filled, and left empty.

    Parameters
    ----------
    brimful, filled : float
        Volumes. [m³]
    headspace : float
        Share of the brimful volume that should stay empty. [1]
    name, container : str
        What the formula and the container are called.
    """
    import altair as alt

    full = filled * 1e6
    room = brimful * 1e6
    data = _rows(part=["filled", "empty"], volume=[full, max(0.0, room - full)], order=[0, 1])
    bar = alt.Chart(data).mark_bar(size=90).encode(
        x=alt.X("sum(volume):Q", title="mL"), order="order:Q",
        color=alt.Color("part:N", scale=alt.Scale(domain=["filled", "empty"], range=[HERB, "#e3ece6"]), legend=None),
    )  # fmt: skip
    wanted = _rows(volume=[room * (1 - headspace), room], says=["headspace", "brim"])
    rules = alt.Chart(wanted).mark_rule(color=CLAY, strokeWidth=1.5).encode(x="volume:Q")
    words = alt.Chart(wanted).mark_text(color=CLAY, align="right", dx=-4, baseline="bottom", fontSize=12).encode(
        x="volume:Q", y=alt.value(-4), text="says:N"
    )  # fmt: skip
    said = f"{name} in a {container}: {full:.3g} mL of {room:.3g} mL to the brim"
    return _dressed(bar + rules + words, "In the container", said).properties(height=120)


def hlb_ruler(
    required: tuple[float, float, float],
    blend: tuple[float, float, float],
    oils: Sequence[tuple[str, float]],
    emulsifiers: Sequence[tuple[str, float]],
    *,
    name: str,
) -> Any:
    """Return the chart of HLBs on one scale: what each oil asks for, what each emulsifier has, and the two means.

    Parameters
    ----------
    required, blend : tuple of float
        Low end, value and high end of what the oil phase asks for, and of the blend of emulsifiers. [1]
    oils, emulsifiers : sequence of (material, HLB)
        Each by itself. [1]
    name : str
        What the formula is called.
    """
    import altair as alt

    rows = ("the oil asks for", "the emulsifiers have")
    scale = alt.Scale(domain=[0, 20])
    y = alt.Y("row:N", title=None, sort=list(rows))
    colour = alt.Color("row:N", scale=alt.Scale(domain=list(rows), range=[BRASS, HERB]), legend=None)
    spans = _rows(row=rows, low=[required[0], blend[0]], middle=[required[1], blend[1]], high=[required[2], blend[2]])
    bands = alt.Chart(spans).mark_bar(opacity=0.25, size=26).encode(
        x=alt.X("low:Q", scale=scale, title="HLB"), x2="high:Q", y=y, color=colour
    )  # fmt: skip
    middles = alt.Chart(spans).mark_tick(thickness=3, size=30).encode(x="middle:Q", y=y, color=colour)
    each = [*((rows[0], *one) for one in oils), *((rows[1], *one) for one in emulsifiers)]
    single = _rows(row=[row for row, _, _ in each], material=[word for _, word, _ in each], hlb=[h for _, _, h in each])
    dots = alt.Chart(single).mark_circle(size=60).encode(x="hlb:Q", y=y, color=colour, tooltip="material:N")
    words = alt.Chart(single).mark_text(color=INK, angle=315, align="left", dx=6, dy=-10, fontSize=11).encode(
        x="hlb:Q", y=y, text="material:N"
    )  # fmt: skip
    said = f"{name}; shaded: 95 % of what tables say, bar: the mean"
    return _dressed(bands + middles + dots + words, "Does the HLB meet?", said).properties(height=240)


def uncharged_by_ph(
    ph: Floats, share: Floats, preservative: Sequence[str], here: tuple[float, float, float] | None, *, name: str
) -> Any:
    """Return the chart of the uncharged share of each preservative against pH, with the pH of the product.

    Parameters
    ----------
    ph, share : ndarray
        pH, and the uncharged share at it. [1]
    preservative : sequence of str
        The preservative of each row.
    here : tuple of float, optional
        pH of the product with its 95 % interval; None where it is not known.
    name : str
        What the formula is called.
    """
    import altair as alt

    data = _rows(ph=ph, share=100 * np.asarray(share), preservative=list(preservative))
    colour = alt.Color(
        "preservative:N", scale=alt.Scale(range=[HERB, BRASS, CLAY, QUIET]), title=None,
        legend=alt.Legend(orient="bottom-left"),
    )  # fmt: skip
    x = alt.X("ph:Q", scale=alt.Scale(domain=[2, 9]), title="pH", axis=alt.Axis(grid=False, tickCount=8))
    chart = alt.Chart(data).mark_line(strokeWidth=2.5).encode(
        x=x, y=alt.Y("share:Q", title="uncharged, %", scale=alt.Scale(domain=[0, 100])), color=colour
    )  # fmt: skip
    said = "the pH of the product is not known"
    if here is not None:
        at, low, high = here
        said = f"line and shade: the pH of the product, {at:.2f}, and where 95 % of it lies"
        mark = _rows(ph=[at], low=[low], high=[high])
        shade = alt.Chart(mark).mark_rect(color=CLAY, opacity=0.15).encode(x="low:Q", x2="high:Q")
        chart = shade + chart + alt.Chart(mark).mark_rule(color=CLAY, strokeWidth=1.5).encode(x="ph:Q")
    return _dressed(chart, "What works of the preservative", f"{name}; {said}")


def svg(chart: Any) -> str:
    """Return a chart drawn as SVG."""
    import vl_convert

    return str(vl_convert.vegalite_to_svg(chart.to_json()))
