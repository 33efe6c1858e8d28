"""From a formula to the inputs of water activity: what each substance does to the water, or between what bounds."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from levigate.formula.premix import WATER
from levigate.quantities.gathered import Contents, Gathered, Materials
from levigate.quantities.graph import Floats
from levigate.quantities.sourced import EXACT, NORMAL_95, Input, si_of
from levigate.quantities.watery import ORGANISMS, SALT_NAMES
from levigate.science.water_activity import MOLAR_MASS_WATER, NORRISH_CONSTANTS
from levigate.shelf.record import Material
from levigate.shelf.species import species

#: Key on the shelf -> chemical name in the tables of constants.
CHEMICAL = {
    "glycerin": "glycerol",
    "sugar": "sucrose",
    "propylene glycol": "propane-1,2-diol",
    "disodium phosphate": "disodium hydrogenphosphate",
    "monosodium phosphate": "sodium dihydrogenphosphate",
    "sodium bicarbonate": "sodium hydrogencarbonate",
    "magnesium sulfate anhydrous": "magnesium sulfate",
    "sodium acetate anhydrous": "sodium acetate",
}
#: Most particles in a kilogram of what binds little (chains, micelles), and of what may be a salt of light ions.
#: [mol/kg]
_CHAINS, _MICELLES, _ANYTHING = 1.0, 7.0, 33.0
#: Bounds of Norrish's constant: of small solutes, of glycols and other humectants, of split salts, of ethanol. [1]
_K_ANY, _K_GLYCOL, _K_SALT, _K_ETHANOL = (-2.0, 7.0), (0.0, 4.1), (-1.5, 2.5), (-2.5, -1.5)
#: Half-width of a Norrish constant from a table, and of one from memory. [1]
_K_TABLE, _K_MEMORY = 0.2, 0.5
_BINDS_LITTLE = {
    **dict.fromkeys(("thickener", "film former", "powder", "colourant"), _CHAINS),
    **dict.fromkeys(("surfactant", "emulsifier", "solubiliser", "conditioner"), _MICELLES),
}
#: Particles over molecules of water, in the middle of what is known, from which a first organism may be stopped. [1]
_MUCH = 0.035
#: Ions in a kilogram of sodium chloride, for the same. [mol/kg]
_IONS = 34.0


@dataclass(frozen=True, slots=True)
class Solute:
    """What one substance does to the water: particles in its mass, and Norrish's constant, each from least to most."""

    #: [mol/kg]
    osmoles: tuple[float, float]
    norrish: tuple[float, float] = (0.0, 0.0)
    #: Norrish's constant where it is known; else the middle is taken.
    known: float | None = None
    #: Place among `SALT_NAMES`, from 1; 0 for none of them.
    salt: int = 0
    source: str = "memory"
    grade: str = "memory"


_NOTHING = Solute((0.0, 0.0))
_MIDDLE = np.full((2, 1, 1), 0.5)


def solute(name: str, record: Material | None) -> Solute:
    """Return what a substance does to the water."""
    chemical = CHEMICAL.get(name, name)
    if name == WATER or (record is not None and record.affinity in ("oil", "silicone", "insoluble")):
        return _NOTHING
    if chemical in SALT_NAMES:
        return Solute((0.0, 0.0), salt=SALT_NAMES.index(chemical) + 1, source="May-2011", grade="handbook")
    kind = record.kind if record is not None and record.affinity != "unknown" else ""
    if record is None or not kind or kind in _BINDS_LITTLE or not record.molar_mass:
        return Solute((0.0, _BINDS_LITTLE.get(kind, _ANYTHING)), _K_ANY)
    one = 1 / si_of(record.molar_mass[0], "molar mass")
    known = NORRISH_CONSTANTS.get(chemical)
    if known is None:
        return _of_its_molecules(name, record, one)
    memory = known.source == "memory"
    half = _K_MEMORY if memory else _K_TABLE
    # A constant of 4 is remembered for propane-1,2-diol beside that of 1.
    high = _K_GLYCOL[1] if chemical == "propane-1,2-diol" else known.value + half
    grade = "memory" if memory else "handbook"
    return Solute((one, one), (known.value - half, high), known.value, source=known.source, grade=grade)


def _of_its_molecules(name: str, record: Material, one: float) -> Solute:
    acid = species().find(name)
    ions = sum(moles for _, moles in acid.holds) if acid is not None else 1.0
    if ions > 1:  # some of the ions of a salt go about in pairs
        return Solute((0.7 * ions * one, ions * one), _K_SALT)
    if name == "ethanol":
        return Solute((one, one), _K_ETHANOL)
    bounds = _K_GLYCOL if record.kind in ("humectant", "solvent") else _K_ANY
    return Solute((one if record.affinity == "water" else 0.0, one), bounds)


def water_binding(contents: Contents) -> Gathered:
    """Return the inputs of water activity."""
    found, acting_of, entries = contents.of.once(_water_binding)
    wet, whole = WATER in contents.substances, contents.whole()
    behind = {"substance_particles": tuple(one for one, share in zip(entries, whole, strict=True) if share > 0)}
    acting = float(whole @ acting_of) * MOLAR_MASS_WATER
    water = float(whole[contents.substances.index(WATER)]) if wet else 0.0
    asked = {"water_activity": wet and acting > 0, "growth_room": wet and acting > _MUCH * water}
    return replace(found, behind=behind, asked=asked)


def _water_binding(of: Materials) -> tuple[Gathered, Floats, tuple[Input, ...]]:
    """Return the inputs, the particles in a mass of each substance in the middle, and what is known of each."""
    each = [solute(name, of.records.get(name)) for name in of.substances]
    wet = WATER in of.substances
    osmoles = np.array([one.osmoles for one in each]).reshape(-1, 2)
    norrish = np.array([one.norrish for one in each]).reshape(-1, 2)
    salts = np.array([one.salt for one in each], float)
    found = Gathered(names={"organisms": ORGANISMS}, given={"substance_salt": salts})
    chance = of.random("water activity").random((2, of.draws + 1, len(each))) if wet else _MIDDLE
    particles = _between(osmoles * MOLAR_MASS_WATER, chance[0])
    constants = _between(norrish, chance[1])
    off = of.random("water activity, model").standard_normal(len(particles)) / NORMAL_95
    particles[0] = osmoles.mean(axis=1) * MOLAR_MASS_WATER
    constants[0] = [sum(one.norrish) / 2 if one.known is None else one.known for one in each]
    off[0] = 0.0
    drawn = {"substance_particles": particles, "substance_norrish": constants, "water_activity_off": off}
    if wet:
        found.given, found.drawn = found.given | drawn, set(drawn)
    else:  # nothing is asked
        found.given |= {leaf: rows[0] for leaf, rows in drawn.items()}
    entries = tuple(_input(name, one) for name, one in zip(of.substances, each, strict=True))
    return found, osmoles.mean(axis=1) + _IONS * (salts > 0), entries


def _between(bounds: Floats, chance: Floats) -> Floats:
    return np.asarray(bounds[:, 0] + chance * (bounds[:, 1] - bounds[:, 0]))


def _input(name: str, one: Solute) -> Input:
    low, high = one.osmoles
    if one.salt:
        return Input(f"parameters of {name}", None, float(one.salt), "1", one.grade, one.source)
    if not high:
        return Input(f"particles of {name}", None, 0.0, "mol/kg", EXACT, "definition")
    spread = (high - low) / 2 or None
    return Input(f"particles of {name}", None, (low + high) / 2, "mol/kg", one.grade, one.source, "", spread)
