"""One time step of particles that sink and rise in a column of cells; the inner half of `column`.

Arrays are [class, cell], the lowest cell first. A flux belongs to the face above its cell and counts downwards; the
last face is the lid. Lengths are counted in cells, so that a velocity is a number of cells per second.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from levigate.science.constants import Floats

__all__ = ["SlipLaw", "fluxes", "half_slopes", "over", "under"]

# Share of a cell that the fastest wave may cross in one step.
_COURANT = 0.9
# A cell is full, and takes no more, when this share of its packing fraction is missing.
_FULL = 1e-9
# What is left of a class in a cell when it stops counting, as a share of the class's first fraction. Without it the
# last grains of a coarse class would set the time step for years.
_TRACE = 1e-10
# Smallest normal numbers: 0/0 becomes 0 and nothing else changes.
_TINY = 1e-300


@dataclass(frozen=True, slots=True, eq=False)
class SlipLaw:
    """How fast each class slips through the mixture, by the volume fraction of all particles."""

    #: Free velocity of each class, positive sinks; one column. [cells/s]
    speed: Floats
    #: Thermal spread of each class; one column. [cells²/s]
    spread: Floats
    hindrance_exponent: float
    packing_fraction: float
    packing_exponent: float = 0.0
    _all_sink: bool = field(init=False)
    _all_rise: bool = field(init=False)
    _ones: Floats = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_all_sink", bool(np.all(self.speed >= 0)))
        object.__setattr__(self, "_all_rise", bool(np.all(self.speed <= 0)))
        object.__setattr__(self, "_ones", np.ones((1, len(self.speed))))

    def total(self, values: Floats) -> Floats:
        """Return the sum over the classes, which stays an axis of length one."""
        return self._ones @ values

    def share(self, total: Floats, is_open: Floats) -> Floats:
        """Return the slip as a share of the free velocity; nothing slips into a full cell."""
        share = np.maximum(1 - total, 0) ** (self.hindrance_exponent - 1)
        if self.packing_exponent:
            share *= np.maximum(1 - total / self.packing_fraction, 0) ** self.packing_exponent
        share *= is_open
        return share
