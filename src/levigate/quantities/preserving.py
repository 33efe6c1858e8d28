"""Quantities of preservatives: how much there is, how much of it works at this pH, and what the oil leaves of it."""

from __future__ import annotations

import numpy as np

from levigate.quantities.graph import Floats, quantity

_HOLDS = "thin solutions in balance, the uncharged form alone goes into oil and micelles; glycols and alcohol shift it"


@quantity(
    unit="1",
    title="Preservatives, as what works of them",
    equation="wₚ = Σ wₛ fₛₚ",
    source="definition",
    holds="salts counted as their acids by molar mass; what premixes bring is counted too",
    each="preservatives",
)
def preservative_dose(substance_fraction: Floats, preservative_share: Floats) -> Floats:
    """Return the mass fraction of each preservative; ``preservative_share`` has substances by preservatives. [1]"""
    return np.asarray(substance_fraction @ preservative_share)


@quantity(
    unit="1",
    title="Preservatives, as a share of the legal limit",
    equation="l = wₚ/w_max",
    source="EU-1223-2009",
    place="Annex V",
    holds="each alone against the lowest EU limit that speaks of this use; the finding on law adds up what counts "
    "together",
    each="preservatives",
)
def preservative_of_limit(preservative_dose: Floats, preservative_limit: Floats) -> Floats:
    """Return the dose of each preservative over its legal limit. [1]"""
    return np.asarray(preservative_dose / preservative_limit)


@quantity(
    unit="1",
    title="Charged over uncharged preservative",
    equation="r = 10^(pH - pKa)",
    source="Garrett-1966",
    holds="25 °C; what is no acid has none",
    seen_off="salt lowers a pKa by about 0.1, which the spread holds",
    each="preservatives",
)
def preservative_charged(ph: Floats, preservative_pka: Floats) -> Floats:
    """Return the charged form of each preservative over the uncharged one. [1]"""
    return np.asarray(10.0 ** (ph[..., None] - preservative_pka))


@quantity(
    unit="1",
    title="Uncharged at this pH, which is what works",
    equation="u = 1/(1 + 10^(pH - pKa))",
    source="Garrett-1966",
    holds="25 °C; 100 % for what is no acid",
    seen_off="salt lowers a pKa by about 0.1, which the spread holds",
    each="preservatives",
)
def preservative_uncharged(preservative_charged: Floats) -> Floats:
    """Return the uncharged share of each preservative in the water. [1]"""
    return np.asarray(1 / (1 + preservative_charged))


@quantity(
    unit="1",
    title="Preservative in oil and micelles over free in water",
    equation="b = Σ Kⱼ wⱼ/w_water, log K = log Kow + offset",
    source="Bean-1972",
    place="p. 715, table VII",
    holds=f"{_HOLDS}; offsets -1.5 to -0.5 for fats and esters, -4 to -1.5 for hydrocarbons and silicones, -0.6 to 0.1 "
    "for nonionic micelles; anionic ones are not counted",
    seen_off="the six coefficients of three parabens in print lie within these offsets",
    each="preservatives",
    beyond="Where one of the preservatives here goes is not known: a laboratory can count what is left in the water",
)
def preservative_taken(
    substance_fraction: Floats,
    preservative_log_kow: Floats,
    substance_takers: Floats,
    substance_aqueous: Floats,
    taker_offset: Floats,
) -> Floats:
    """Return what oil and micelles hold of each preservative over what is free and uncharged in the water. [1]"""
    water = (substance_fraction * substance_aqueous).sum(-1)
    share = (substance_fraction @ substance_takers) / water[..., None]
    offset = 10.0**taker_offset
    held = (share * offset).sum(-1)
    return np.asarray(np.where(held[..., None] == 0, 0.0, held[..., None] * 10.0**preservative_log_kow))


@quantity(
    unit="1",
    title="Preservative left in the water",
    equation="s = (1 + r)/(1 + r + b)",
    source="Garrett-1966",
    holds=_HOLDS,
    seen_off="as what oil and micelles take",
    each="preservatives",
)
def preservative_in_water(preservative_charged: Floats, preservative_taken: Floats) -> Floats:
    """Return the share of each preservative that oil and micelles leave in the water. [1]"""
    free = 1 + preservative_charged
    return np.asarray(free / (free + preservative_taken))


@quantity(
    unit="1",
    title="Preservative at work in the water",
    equation="c = wₚ/w_water · 1/(1 + r + b)",
    source="Garrett-1966",
    holds=f"{_HOLDS}; share of the water phase; it cannot pass the solubility, which this does not know of",
    seen_off="as what oil and micelles take",
    each="preservatives",
)
def preservative_working(
    preservative_dose: Floats,
    preservative_charged: Floats,
    preservative_taken: Floats,
    substance_fraction: Floats,
    substance_aqueous: Floats,
) -> Floats:
    """Return the uncharged, free preservative as a mass fraction of the water phase. [1]"""
    water = (substance_fraction * substance_aqueous).sum(-1)[..., None]
    return np.asarray(preservative_dose / water / (1 + preservative_charged + preservative_taken))
