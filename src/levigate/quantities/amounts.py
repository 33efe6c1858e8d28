"""How much is made and filled, how much is used in a day, and what stays in the container."""

from __future__ import annotations

import numpy as np

from levigate.formula.model import Formula
from levigate.formula.uses import use_of
from levigate.quantities.graph import Floats
from levigate.quantities.sourced import EXACT, NORMAL_95, Input

#: Half-width (95 %) of the amount of a day, as a share of it: one stated in the file, and the high-end amount of a use
#: family. What stays inside where no container is named, from and to. All judged. [1]
_DAILY_STATED, _DAILY_HIGH, _STAYS = 0.2, 0.33, (0.02, 0.1)


def put_makes(formula: Formula, given: dict[str, Floats], behind: dict[str, tuple[Input, ...]]) -> None:
    """Put what is made and filled, and what it is filled into."""
    makes, container = formula.makes, formula.container
    if container is not None and container.brimful is not None:
        given["brimful_volume"] = np.asarray(container.brimful)
    if container is not None and container.fill_at is not None:
        given["fill_temperature"] = np.asarray(container.fill_at)
    if makes is None:
        return

    def put(name: str, title: str, value: float, unit: str) -> None:
        given[name] = np.asarray(value)
        behind[name] = (Input(title, None, value, unit, EXACT, "own-word"),)

    count = makes.containers or 1
    if makes.mass is not None:
        put("batch_mass", "mass to make", makes.mass * count, "kg")
        if makes.containers:
            put("mass_per_container", "mass in a container", makes.mass, "kg")
    elif makes.volume is not None:
        for name in ("filled_volume", "volume"):
            put(name, "volume to make", makes.volume * count, "m³")
        if makes.containers:
            for name in ("container_volume", "volume_per_container"):
                put(name, "volume in a container", makes.volume, "m³")


def put_use(
    formula: Formula,
    given: dict[str, Floats],
    behind: dict[str, tuple[Input, ...]],
    rng: np.random.Generator,
    draws: int,
) -> tuple[str, ...]:
    """Put how much is used in a day and what stays in the container, where both are known; return their names."""
    use = use_of(formula.use)
    if formula.daily is not None:
        spread = _DAILY_STATED * formula.daily
        daily = Input("used in a day", None, formula.daily, "kg", EXACT, "own-word", "", spread)
    elif use is not None and use.amount is not None:
        high = use.amount / 1000
        name = "used in a day, high-end amount"
        daily = Input(name, None, high, "kg", use.grade, use.source, use.place, _DAILY_HIGH * high)
    else:
        return ()
    low, high = (formula.container.residue if formula.container else None) or _STAYS
    stays = Input("stays in the container", None, (low + high) / 2, "1", "memory", "memory", "", (high - low) / 2)
    for name, entry in (("daily_mass", daily), ("residue_share", stays)):
        chance = np.concatenate([[0.0], rng.standard_normal(draws)]) / NORMAL_95
        given[name] = entry.value * np.exp(chance * (entry.spread or 0.0) / entry.value)
        behind[name] = (entry,)
    return ("daily_mass", "residue_share")
