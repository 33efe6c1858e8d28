"""What a batch sheet says of heat: how warm joined phases are, and the water that is to be put back."""

from __future__ import annotations

import numpy as np

from levigate.quantities.saying import digits
from levigate.quantities.working import central
from levigate.review.engine import Review


def heat_by_phase(reviewed: Review) -> dict[str, str]:
    """Return a line for each phase of whose heat something is foreseen."""
    said: dict[str, list[str]] = {}
    inputs, figures = reviewed.inputs, reviewed.figures
    joined = figures.get("joined_temperature")
    if joined is not None and joined.known:
        joins_at = central(inputs, "phase_joins_at")[1:]
        for name, row, cooled in zip(inputs.names["phases"][1:], joined.rows, joins_at, strict=True):
            letter = name.removeprefix("phase ")
            if np.isfinite(cooled):  # the temperature that its own words name
                continue
            said.setdefault(letter, []).append(f"After {letter}: about {row.value:.0f} °C")
    water = figures.get("water_evaporated")
    if water is not None and water.known and water.value > 0:
        held = (central(inputs, "mass_fraction") * central(inputs, "heated_water")) @ central(inputs, "phase_lines").T
        letter = inputs.names["phases"][int(np.argmax(held))].removeprefix("phase ")
        grams = f"Top up with about {digits(float(f'{water.value:.2g}'), 2)} g of water, to the weight before heating"
        said.setdefault(letter, []).insert(0, grams)
    return {letter: " · ".join(lines) for letter, lines in said.items()}
