"""How much base or acid is left over in a formula, and how much salt: counted at one pH, not solved."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from levigate.review.held import Part
from levigate.shelf.groups import groups
from levigate.shelf.species import Substance, species

#: pH at which acids and bases are counted: what gives its proton up below it has given it up. [1]
_AT = 6.3
#: Grams of sodium chloride that hold a mole of positive charge, times 100 for percent. [g/mol]
_TABLE_SALT = 58.44


@lru_cache(maxsize=512)
def _substance(key: str) -> Substance | None:
    return species().substances.get(key)


@lru_cache(maxsize=512)
def _charge(key: str) -> float:
    """Return the charge that a kilogram of a substance brings at the pH of the count. [mol/kg]"""
    substance = _substance(key)
    if substance is None:
        return 0.0
    moles = 0.0
    for solute, many in substance.holds:
        system = species().systems.get(solute)
        if system is None:
            moles += many * species().ions[solute].charge
        else:
            moles += many * (system.charge - sum(step.pka < _AT for step in system.steps))
    return moles * substance.amount_per_mass


def spare_base(parts: Iterable[Part]) -> float:
    """Return the base left over once the acids are neutralised to pH 6.3; negative where acid is. [mol/kg]"""
    return sum(part.percent / 100 * _charge(part.key) for part in parts)


def not_counted(parts: Iterable[Part]) -> tuple[Part, ...]:
    """Return the parts whose acid or base no sum can tell."""
    return tuple(part for part in parts if part.key in species().unknown)


def salt_of(part: Part) -> float:
    """Return the salt that a part brings, as percent of sodium chloride with as many positive ions. [%]

    Each ion counts with its charge squared: calcium and magnesium screen a charged polymer far better than sodium.
    """
    substance = _substance(part.key)
    if substance is None:
        moles = groups()["electrolytes"].amount(part.key, part.record)
    else:
        ions = [(species().ions[solute].charge, many) for solute, many in substance.holds if solute in species().ions]
        moles = sum(many * charge**2 for charge, many in ions if charge > 0) * substance.amount_per_mass
    return part.percent / 100 * moles * _TABLE_SALT / 10
