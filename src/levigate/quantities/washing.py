"""Quantities of a wash: active matter, its charge, how mild by a rule of thumb, and table salt."""

from __future__ import annotations

import numpy as np

from levigate.quantities.graph import Floats, quantity


@quantity(
    unit="1",
    title="Active matter",
    equation="A = Σ wᵢ aᵢ",
    source="definition",
    holds="surfactants without the water they come in; emulsifiers and soaps are not counted",
)
def active_matter(mass_fraction: Floats, line_active: Floats) -> Floats:
    """Return the mass fraction of surfactant itself. [1]"""
    return np.asarray((mass_fraction * line_active).sum(-1))


@quantity(
    unit="1",
    title="Active matter by charge",
    equation="A(charge) = Σ wᵢ aᵢ of that charge",
    source="definition",
    holds="amphoteric ones turn cationic in acid",
    each="charges",
)
def active_by_charge(mass_fraction: Floats, line_active: Floats, line_charge: Floats) -> Floats:
    """Return the mass fraction of anionic, amphoteric, nonionic and cationic surfactant. [1]"""
    return np.asarray((mass_fraction * line_active) @ line_charge)


@quantity(
    unit="1",
    title="Amphoteric to anionic",
    equation="m = A(amphoteric)/A(anionic)",
    source="common-practice",
    holds="rule of thumb: from a third on a betaine makes sulfates milder; no measure of mildness",
    seen_off="which anionic it is matters as much: isethionates, glutamates and glycinates are mild by themselves",
    beyond="There is no anionic surfactant to be made milder",
)
def amphoteric_per_anionic(active_by_charge: Floats) -> Floats:
    """Return the mass of amphoteric per mass of anionic surfactant. [1]"""
    return np.asarray(
        active_by_charge[..., 1] / np.where(active_by_charge[..., 0] > 0, active_by_charge[..., 0], np.nan)
    )


@quantity(
    unit="1",
    title="Table salt",
    equation="w(NaCl) = Σ wᵢ cᵢ",
    source="definition",
    holds="added, and brought along by betaines and others whose composition names it",
    seen_off="makers' lots differ by a third; salts from neutralising are not counted",
)
def salt_share(mass_fraction: Floats, line_salt: Floats) -> Floats:
    """Return the mass fraction of sodium chloride. [1]"""
    return np.asarray((mass_fraction * line_salt).sum(-1))
