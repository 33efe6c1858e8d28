"""What passes between the cells of a standing column in one time step; the inner half of `column`.

Arrays are [class, cell], the lowest cell first. A flux belongs to the face above its cell and counts downwards; the
last face is the lid. Lengths are counted in cells, so a velocity is a number of cells per second.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from levigate.science.constants import Floats

__all__ = ["Faces", "Suspension", "faces", "moved"]

# Cells that the fastest wave may cross in one step.
_COURANT = 0.9
# A cell takes no more when this share of its packing fraction is missing.
_FULL = 1e-9
# Shares of a class's first fraction. A flux weaker than the first does not shorten the step, else the last grains of
# a coarse class would set it for years; less than the second stays where it is, else tails thin out into numbers too
# small for a processor to handle at full speed.
_COUNTS, _DUST = 1e-4, 1e-12
# Rounding may not make a cell give more than it has.
_ALL = 1 - 1e-12
# Makes 0/0 into 0 and changes nothing else.
_TINY = 1e-300


@dataclass(frozen=True, slots=True, eq=False)
class Suspension:
    """The classes of particles in a column and the law by which they hinder each other."""

    #: Volume fraction of each class at first; one column. [1]
    first: Floats
    #: Velocity of one particle alone, positive sinks; one column. [cells/s]
    speed: Floats
    #: Diffusivity; one column. [cells²/s]
    spread: Floats
    hindrance_exponent: float
    packing_fraction: float
    packing_exponent: float
    _sinks: bool | None = field(init=False)
    _ones: Floats = field(init=False)

    def __post_init__(self) -> None:
        sinks = self.speed >= 0
        object.__setattr__(self, "_sinks", bool(sinks[0]) if np.all(sinks == sinks[0]) else None)
        object.__setattr__(self, "_ones", np.ones((1, len(self.first))))

    def total(self, values: Floats) -> Floats:
        """Return the sum over the classes as one row."""
        return self._ones @ values

    def upstream(self, above: Floats, below: Floats) -> Floats:
        """Return for each class the side its particles come from."""
        if self._sinks is None:
            return np.where(self.speed >= 0, above, below)
        return above if self._sinks else below

    def slip(self, total: Floats) -> Floats:
        """Return how fast particles slip into a crowd, as a share of the slip of one alone."""
        share = np.maximum(1 - total, 0) ** (self.hindrance_exponent - 1)
        if self.packing_exponent:
            share *= np.maximum(1 - total / self.packing_fraction, 0) ** self.packing_exponent
        return share

    def steepness(self, total: Floats) -> Floats:
        """Return the share by which the slip falls per volume fraction added, at least 1."""
        fall = (self.hindrance_exponent - 1) / np.maximum(1 - total, _TINY)
        if self.packing_exponent:
            fall = fall + self.packing_exponent / np.maximum(self.packing_fraction - total, _TINY)
        return np.maximum(np.abs(fall), 1)


@dataclass(frozen=True, slots=True, eq=False)
class Faces:
    """The state at both sides of every face, and what it drives through."""

    law: Suspension
    #: Mean of the cell that each class comes from, its value at the face, and the values from below and above. [1]
    source: Floats
    donor: Floats
    below: Floats
    above: Floats
    #: Velocity against the mixture. [cells/s]
    slip: Floats
    #: Relative fall of the slip with volume fraction. [1]
    steepness: Floats

    def flux(self, step: float = 0.0) -> Floats:
        """Return the flux through each face, at half the step ahead. [1/s]"""
        pace = np.abs(self.slip)
        crossed = np.minimum(pace * step, _COURANT)
        slipped = (self.donor + crossed * (self.source - self.donor)) * self.slip
        return self._with_backflow(slipped)

    def _with_backflow(self, slipped: Floats) -> Floats:
        backflow = self.law.total(slipped)
        flux = slipped - backflow * self._carried(backflow)
        flux *= flux * (self.slip - backflow) > 0
        return flux
