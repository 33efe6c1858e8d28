"""What acids, bases and salts become in water: ladders of forms, ions, and how much of each a substance holds."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import tomli

from levigate.errors import ShelfError, came
from levigate.shelf.catalogue import catalogue, plain

if TYPE_CHECKING:
    from levigate.science.constants import Floats

SPECIES = Path(__file__).parent / "species.toml"


@dataclass(frozen=True, slots=True)
class Step:
    """The loss of one proton."""

    #: pKa at 25 °C and zero ionic strength. [1]
    pka: float
    #: Heat taken up when the proton leaves; None where it is not known. [J/mol]
    enthalpy: float | None
    #: How that grows with temperature; None where it is not known. [J/(mol K)]
    heat_capacity: float | None
    #: Half-width of the 95 % interval; None where print agrees. [1]
    spread: float | None
    source: str
    place: str
    grade: str
    #: Whose the enthalpy and heat capacity are; empty where there are none.
    heat_source: str


@dataclass(frozen=True, slots=True)
class System:
    """A ladder of forms that differ by one proton each."""

    key: str
    #: Of the form with all protons, as are the molar mass and the charge.
    formula: str
    #: [kg/mol]
    molar_mass: float
    #: [1]
    charge: float
    #: In falling number of protons.
    steps: tuple[Step, ...]
    note: str


@dataclass(frozen=True, slots=True)
class Ion:
    """A charge that stays as it is."""

    key: str
    formula: str
    #: [1]
    charge: float


@dataclass(frozen=True, slots=True)
class Substance:
    """What one buys or weighs, and what it becomes."""

    key: str
    formula: str
    #: With its water of crystallisation. [kg/mol]
    molar_mass: float
    #: System or ion, and moles of it per mole.
    holds: tuple[tuple[str, float], ...]
    names: tuple[str, ...]
    #: Mass fraction of the substance in what is sold under the key; the rest is water. [1]
    strength: float
    note: str

    @property
    def amount_per_mass(self) -> float:
        """Return the moles of the substance in a mass of what is sold. [mol/kg]"""
        return self.strength / self.molar_mass

    @property
    def crystal_water(self) -> float:
        """Return the mass of the water of crystallisation in a mole of it. [kg/mol]"""
        from levigate.science.water_activity import MOLAR_MASS_WATER

        found = re.search(r"\.(\d*)H2O$", self.formula)
        return 0.0 if found is None else int(found[1] or 1) * MOLAR_MASS_WATER

    @property
    def brought_water(self) -> float:
        """Return the mass of water in a mole of it as sold, that of its crystals included. [kg/mol]"""
        return self.crystal_water + self.molar_mass * (1 / self.strength - 1)


@dataclass(frozen=True, slots=True, eq=False)
class Ladders:
    """Systems and ions as `levigate.science.acidity` takes them: arrays with one row per solute."""

    keys: tuple[str, ...]
    #: At 25 °C, infinite where there is no step (solute, step). [1]
    pka: Floats
    #: nan where the heat is not known, 0 where there is no step (solute, step). [J/mol]
    enthalpy: Floats
    #: 0 where it is not known (solute, step). [J/(mol K)]
    heat_capacity: Floats
    #: [1]
    charge: Floats
    #: Moles of each solute that a mole of each substance brings (substance, solute). [1]
    holds: Floats


class Species:
    """All that is known of acids, bases and salts."""

    def __init__(self, raw: Mapping[str, Mapping[str, Any]]) -> None:
        self.ions = {key: Ion(key, table["formula"], float(table["charge"])) for key, table in raw["ions"].items()}
        self.systems = {key: _system(key, table) for key, table in raw["systems"].items()}
        self.substances = {key: _substance(key, table) for key, table in raw["substances"].items()}
        #: Materials whose pH no sum can tell, and why not.
        self.unknown: dict[str, str] = dict(raw["unknown"])
        #: Materials that hardly move a pH -> half-width of the acid or base that they may bring. [mol/kg]
        self.slight: dict[str, float] = dict(raw["slight"])
        #: Materials that neither give nor take protons, though their kind might let one think so.
        self.neutral: frozenset[str] = frozenset(raw["neutral"]["names"])
        self._names: dict[str, str] = {}
        for key in (*self.unknown, *self.substances):
            self._names[plain(key)] = key
        for substance in self.substances.values():
            for name in substance.names:
                self._names.setdefault(plain(name), substance.key)

    def key(self, name: str) -> str | None:
        """Return the key of a substance by its own name or any the catalogue has for it, None where there is none."""
        found = self._names.get(plain(name))
        if found is None:
            material = catalogue().key(name)
            found = material if material in self.substances or material in self.unknown else None
        return found

    def find(self, name: str) -> Substance | None:
        """Return the substance that goes by a name, None where there is none or its pH cannot be told."""
        key = self.key(name)
        return None if key is None else self.substances.get(key)

    def __getitem__(self, name: str) -> Substance:
        """Return the substance that goes by a name.

        Raises
        ------
        ShelfError
            When there is none, or no sum can tell what it does to a pH.
        """
        key = self.key(name)
        if key is None:
            raise ShelfError(f"No acid, base or salt is called {came(name)}.")
        if key in self.unknown:
            raise ShelfError(f'What "{key}" does to the pH cannot be computed: {self.unknown[key]}.')
        return self.substances[key]

    def ladders(self, substances: Sequence[Substance]) -> Ladders:
        """Return the systems and ions of some substances as arrays, each solute once."""
        import numpy as np

        keys = tuple(dict.fromkeys(key for substance in substances for key, _ in substance.holds))
        steps = [self.systems[key].steps if key in self.systems else () for key in keys]
        pka = np.full((len(keys), max(map(len, steps), default=0)), np.inf)
        enthalpy, heat_capacity = np.zeros(pka.shape), np.zeros(pka.shape)
        holds = np.zeros((len(substances), len(keys)))
        for row, ladder in enumerate(steps):
            pka[row, : len(ladder)] = [step.pka for step in ladder]
            enthalpy[row, : len(ladder)] = [np.nan if step.enthalpy is None else step.enthalpy for step in ladder]
            heat_capacity[row, : len(ladder)] = [step.heat_capacity or 0.0 for step in ladder]
        for row, substance in enumerate(substances):
            for key, moles in substance.holds:
                holds[row, keys.index(key)] = moles
        charge = [(self.systems.get(key) or self.ions[key]).charge for key in keys]
        return Ladders(keys, pka, enthalpy, heat_capacity, np.array(charge, float), holds)


def _system(key: str, table: Mapping[str, Any]) -> System:
    steps = tuple(_step(step) for step in table["steps"])
    mass, charge = table["molar_mass"] / 1000, float(table["charge"])
    return System(key, table["formula"], mass, charge, steps, table.get("note", ""))


def _step(table: Mapping[str, Any]) -> Step:
    heat = table.get("enthalpy")
    return Step(
        pka=float(table["pka"]),
        enthalpy=None if heat is None else 1000.0 * heat,
        heat_capacity=table.get("heat_capacity"),
        spread=table.get("spread"),
        source=table["source"],
        place=table.get("place", ""),
        grade=table["grade"],
        heat_source="" if heat is None else table.get("heat_source", table["source"]),
    )


def _substance(key: str, table: Mapping[str, Any]) -> Substance:
    return Substance(
        key=key,
        formula=table["formula"],
        molar_mass=table["molar_mass"] / 1000,
        holds=tuple((solute, float(moles)) for solute, moles in table["holds"].items()),
        names=tuple(table.get("names", ())),
        strength=float(table.get("strength", 1.0)),
        note=table.get("note", ""),
    )


@lru_cache(maxsize=1)
def species() -> Species:
    """Return all that is known of acids, bases and salts."""
    return Species(tomli.loads(SPECIES.read_text(encoding="utf-8")))
