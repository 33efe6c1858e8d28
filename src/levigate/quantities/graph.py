"""The graph of quantities: everything that can be computed, one composition or a million on the same path.

A composition is a row of mass fractions. A *quantity* is a plain function on arrays whose arguments are other
quantities or inputs, by name. `evaluate` resolves who needs whom, computes only what is asked, each thing once.
Arrays carry compositions (or random draws) on the leading axes and the lines of the formula on the last.
"""

from __future__ import annotations

import importlib
import inspect
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Quantity:
    """One thing that can be computed, with what a person needs to judge it."""

    name: str
    function: Callable[..., Floats]
    needs: tuple[str, ...]
    #: Unit of the result, SI, as in ``kg/m³``; shares are ``1``.
    unit: str
    #: What people call it.
    title: str
    #: The equation, in the symbols of docs/nomenclature.md.
    equation: str
    #: Key of the source of the method, and the place in it.
    source: str
    place: str
    #: Under what conditions it holds.
    holds: str
    #: How far off it has been seen to be; empty for an identity.
    seen_off: str
    #: "" for one number a composition; else of what there is one for each: lines, substances, powders, thickeners.
    each: str
    #: What is to be said where the inputs are known and the quantity is not: why, and which bench test would tell.
    beyond: str
    #: Key of `saying.BENCH_UNITS` by which it is shown, where that is not its unit: a time in minutes.
    shown: str
    #: Most digits after the point that it is shown with; None where its spread alone decides.
    decimals: int | None = None
    #: Quantity above 1 where it is out of the range of its method, so that one digit less is shown; empty for none.
    coarse: str = ""


_REGISTRY: dict[str, Quantity] = {}
#: Modules that hold quantities, in the order in which they are documented.
_MODULES = (
    "acids",
    "body",
    "composition",
    "emulsion",
    "flow",
    "heating",
    "holding",
    "melting",
    "money",
    "washing",
    "powders",
    "preserving",
    "watery",
    "oil_fit",
    "solubility",
    "warmth",
)


def quantity(
    *,
    unit: str,
    title: str,
    equation: str,
    source: str,
    place: str = "",
    holds: str = "",
    seen_off: str = "",
    each: str = "",
    beyond: str = "",
    shown: str = "",
    decimals: int | None = None,
    coarse: str = "",
    needs: tuple[str, ...] | None = None,
) -> Callable[[Callable[..., Floats]], Callable[..., Floats]]:
    """Register a function as a quantity; its arguments name what it needs. It is returned unchanged.

    One that hands on much of what it needs takes it as keywords, and names it in ``needs``.
    """

    def register(function: Callable[..., Floats]) -> Callable[..., Floats]:
        name = function.__name__
        if name in _REGISTRY:
            raise ValueError(f"the quantity {name} is registered twice")
        named = tuple(inspect.signature(function).parameters) if needs is None else needs
        _REGISTRY[name] = Quantity(
            name, function, named, unit, title, equation, source, place, holds, seen_off, each, beyond, shown or unit,
            decimals, coarse,
        )  # fmt: skip
        return function

    return register


@lru_cache(maxsize=1)
def quantities() -> dict[str, Quantity]:
    """Return all quantities by name, in the order in which they are shown."""
    for module in _MODULES:  # they register themselves
        importlib.import_module(f"levigate.quantities.{module}")
    return _REGISTRY


def leaves(name: str, given: Iterable[str] = ()) -> tuple[str, ...]:
    """Return the inputs that a quantity rests on in the end: the names that are given, or that no quantity computes."""
    return _leaves(name, frozenset(given))


@lru_cache(maxsize=1024)
def _leaves(name: str, stop: frozenset[str]) -> tuple[str, ...]:
    found: dict[str, None] = {}

    def walk(at: str, above: tuple[str, ...]) -> None:
        known = quantities().get(at)
        if at in stop or known is None:
            found[at] = None
            return
        if at in above:
            raise _circle((*above, at))
        for need in known.needs:
            walk(need, (*above, at))

    walk(name, ())
    return tuple(found)


def _circle(names: Iterable[str]) -> ValueError:
    return ValueError(f"the quantities {' > '.join(names)} need each other in a circle")


def evaluate(
    names: Iterable[str], given: Mapping[str, Floats], kept: dict[str, Floats] | None = None
) -> dict[str, Floats]:
    """Return the quantities asked for, each computed once from what is given.

    Parameters
    ----------
    names : iterable of str
        Quantities wanted.
    given : mapping
        Inputs, and any quantity that is already known (a measured density outranks a computed one).
    kept : dict, optional
        What was computed before from the same inputs; what is computed now is put there too.

    Returns
    -------
    dict
        Name -> array; leading axes broadcast over compositions and draws.

    Raises
    ------
    KeyError
        When an input is neither given nor a quantity.
    ValueError
        When quantities need each other in a circle.
    """
    known = quantities()
    done: dict[str, Floats] = {} if kept is None else kept
    if not done:
        done |= given
    wanted = list(names)
    waiting: list[str] = []

    def compute(name: str) -> Floats:
        if name in done:
            return done[name]
        if name in waiting:
            raise _circle([*waiting, name])
        if name not in known:
            raise KeyError(f"{name} is neither given nor a quantity")
        waiting.append(name)
        done[name] = known[name].function(**{need: compute(need) for need in known[name].needs})
        waiting.pop()
        return done[name]

    with np.errstate(invalid="ignore", divide="ignore"):
        return {name: compute(name) for name in wanted}
