"""Quantities of solubility: how much of each solute its liquids hold, in a warm room and in the cold."""

from __future__ import annotations

import numpy as np

from levigate.quantities.graph import Floats, quantity
from levigate.quantities.sourced import ROOM
from levigate.science.constants import GAS_CONSTANT
from levigate.science.solubility import saturation_ratio

_ALONE = (
    "each solute as if alone in its liquid: salts throw out, surfactants and other solutes take up, neither counted; "
    "all oils as one, as read in a vegetable oil"
)
_SEEN_OFF = "tables differ by 10 to 30 %; with much cosolvent a factor of three to either side is common"
_COLD_OFF = (
    "to 0 °C the heat of melting stood in for that of solution within a fifth for benzoic, salicylic and boric acid; "
    "the usual heat may be off by a factor of two"
)
_SHARE = "its mass over that of itself and the liquids of its phase; none of it in the other phase"
_SLOW = "a solution a little above 100 % may stay clear for months until a seed falls in"
_ACIDS = "acid and salts counted as acid; its charged part at this pH dissolves beside the free acid, at 25 °C"


def liquids(substance_fraction: Floats, solvent_of: Floats, solvent_density: Floats, picked: Floats) -> Floats:
    """Return mass and volume of the liquids of each solute, stacked on a first axis. [kg, m³ a kg of product]"""
    mass = substance_fraction @ solvent_of
    return np.stack([mass @ picked, (mass / solvent_density) @ picked])


def share_in_liquid(substance_fraction: Floats, solute_of: Floats, solvent_of: Floats, picked: Floats) -> Floats:
    """Return the mass of each solute over that of itself and its liquids. [1]"""
    solute = substance_fraction @ solute_of
    return np.asarray(solute / (solute + substance_fraction @ solvent_of @ picked))


def blended(volume: Floats, picked: Floats, capacity: Floats) -> Floats:
    """Return how much the blend of each solute's liquids takes up, logarithms by volume. [kg/m³]"""
    logarithms = np.einsum("...i,...ij->...j", volume, picked * np.log(capacity))
    return np.asarray(np.exp(logarithms / (volume @ picked)))


def _as_share(ratio: Floats) -> Floats:
    return np.asarray(ratio / (1 + ratio))


def cooled(limit: Floats, heat: Floats, temperature: Floats) -> Floats:
    """Return a limit that holds in a warm room at another temperature, by van 't Hoff. [1]"""
    factor = np.exp(-heat / GAS_CONSTANT * (1 / temperature - 1 / ROOM))
    return _as_share(limit / (1 - limit) * factor)


@quantity(
    unit="1",
    title="Solutes in their liquids",
    equation="c = w/(w + w_liquid)",
    source="definition",
    holds=_SHARE,
    each="solutes",
)
def solute_share(substance_fraction: Floats, solute_of: Floats, solvent_of: Floats, solute_in: Floats) -> Floats:
    """Return the mass of each solute over that of itself and its liquids. [1]"""
    return share_in_liquid(substance_fraction, solute_of, solvent_of, solute_in)


@quantity(
    unit="1",
    title="Limit of solutes at 25 °C",
    equation="ln S = Σ fᵢ ln Sᵢ, c_max = S/(S + ρ)",
    source="Yalkowsky-Rubino-1985",
    holds=_ALONE,
    seen_off=_SEEN_OFF,
    each="solutes",
)
def solubility(
    substance_fraction: Floats,
    solvent_of: Floats,
    solvent_density: Floats,
    solute_in: Floats,
    solute_capacity: Floats,
) -> Floats:
    """Return the share of each solute in its liquids at saturation, at 25 °C. [1]"""
    mass, volume = liquids(substance_fraction, solvent_of, solvent_density, solute_in)
    each = (substance_fraction @ solvent_of) / solvent_density
    return _as_share(blended(each, solute_in, solute_capacity) * volume / mass)


@quantity(
    unit="1",
    title="Limit of solutes in the cold",
    equation="r_cold = r exp(-ΔH/R (1/T_cold - 1/T)), c_max = r/(1 + r)",
    source="van-t-Hoff",
    holds="at the coldest that it is kept (coldest), 5 °C where the file does not say; " + _ALONE,
    seen_off=_COLD_OFF,
    each="solutes",
)
def solubility_cold(solubility: Floats, solute_heat: Floats, coldest: Floats) -> Floats:
    """Return the share of each solute in its liquids at saturation, at the coldest that it is kept. [1]"""
    return cooled(solubility, solute_heat, coldest)


@quantity(
    unit="1",
    title="Solutes, of what dissolves at 25 °C",
    equation="s = c/c_max",
    source="definition",
    holds=f"above 100 % some of it does not dissolve; {_SLOW}",
    seen_off=_SEEN_OFF,
    each="solutes",
)
def saturation(solute_share: Floats, solubility: Floats) -> Floats:
    """Return the share of each solute in its liquids over that at saturation, at 25 °C. [1]"""
    return saturation_ratio(solute_share, solubility)


@quantity(
    unit="1",
    title="Solutes, of what dissolves in the cold",
    equation="s = c/c_max",
    source="definition",
    holds=f"above 100 % crystals may come; {_SLOW}",
    seen_off=_COLD_OFF,
    each="solutes",
)
def saturation_cold(solute_share: Floats, solubility_cold: Floats) -> Floats:
    """Return the share of each solute in its liquids over that at saturation, in the cold. [1]"""
    return saturation_ratio(solute_share, solubility_cold)


@quantity(
    unit="1",
    title="Sparing acids in the water",
    equation="c = w/(w + w_liquid)",
    source="definition",
    holds=f"free acid and salts, as acid; {_SHARE}",
    each="sparing acids",
)
def acid_share(substance_fraction: Floats, acid_of: Floats, solvent_of: Floats, acid_in: Floats) -> Floats:
    """Return the mass of each sparing acid, its salts counted as acid, over that of itself and its liquids. [1]"""
    return share_in_liquid(substance_fraction, acid_of, solvent_of, acid_in)


@quantity(
    unit="1",
    title="Limit of sparing acids at 25 °C",
    equation="S = S_free + S_water 10^(pH - pKₐ), c_max = S/(S + ρ)",
    source="Krebs-Speakman-1945",
    holds=f"{_ACIDS}; {_ALONE}",
    seen_off="a tenth of a unit of pH or pKₐ moves the charged part by a quarter",
    each="sparing acids",
)
def acid_solubility(
    substance_fraction: Floats,
    solvent_of: Floats,
    solvent_density: Floats,
    acid_in: Floats,
    acid_capacity: Floats,
    acid_pka: Floats,
    ph: Floats,
) -> Floats:
    """Return the share of each acid, free and charged, in its liquids at saturation, at 25 °C. [1]"""
    mass, volume = liquids(substance_fraction, solvent_of, solvent_density, acid_in)
    each = (substance_fraction @ solvent_of) / solvent_density
    free = blended(each, acid_in, acid_capacity)
    charged = acid_capacity[..., 0, :] * 10 ** (ph[..., None] - acid_pka)
    return _as_share((free + charged) * volume / mass)


@quantity(
    unit="1",
    title="Limit of sparing acids in the cold",
    equation="r_cold = r exp(-ΔH/R (1/T_cold - 1/T)), c_max = r/(1 + r)",
    source="van-t-Hoff",
    holds="at the coldest that it is kept (coldest), 5 °C where the file does not say; pH and pKₐ as at 25 °C",
    seen_off=_COLD_OFF,
    each="sparing acids",
)
def acid_solubility_cold(acid_solubility: Floats, acid_heat: Floats, coldest: Floats) -> Floats:
    """Return the share of each acid in its liquids at saturation, at the coldest that it is kept. [1]"""
    return cooled(acid_solubility, acid_heat, coldest)


@quantity(
    unit="1",
    title="Sparing acids, of what dissolves at 25 °C",
    equation="s = c/c_max",
    source="definition",
    holds=f"above 100 % the free acid drops out; {_SLOW}",
    seen_off=_SEEN_OFF,
    each="sparing acids",
)
def acid_saturation(acid_share: Floats, acid_solubility: Floats) -> Floats:
    """Return the share of each acid in its liquids over that at saturation, at 25 °C. [1]"""
    return saturation_ratio(acid_share, acid_solubility)


@quantity(
    unit="1",
    title="Sparing acids, of what dissolves in the cold",
    equation="s = c/c_max",
    source="definition",
    holds=f"above 100 % crystals of the free acid may come; {_SLOW}",
    seen_off=_COLD_OFF,
    each="sparing acids",
)
def acid_saturation_cold(acid_share: Floats, acid_solubility_cold: Floats) -> Floats:
    """Return the share of each acid in its liquids over that at saturation, in the cold. [1]"""
    return saturation_ratio(acid_share, acid_solubility_cold)
