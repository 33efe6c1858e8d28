"""What passes between the cells of a standing column in one step; the inner half of `column`.

Arrays are [class, cell], the lowest cell first. A flux belongs to the face above its cell and counts
downwards; the last face is the lid. Lengths are counted in cells, so a velocity is in cells per second.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from levigate.science.constants import Floats

__all__ = ["Faces", "Particles"]

# Cells that the fastest wave may cross in one step.
_COURANT = 0.9
# A cell takes no more when this share of its packing fraction is missing; less lets full cells trade grains.
_FULL = 1e-6
# Shares of a class's first fraction. Where less than the first is left of a class, it does not shorten the
# step, else the last grains of a coarse class would set it for years; less than the second stays where it is,
# else tails thin out into numbers too small for a processor to handle at full speed.
_COUNTS, _DUST = 1e-2, 1e-12
# Rounding may not make a cell give more than it has; a full one may be overfull by rounding.
_ALL, _MORE = 1 - 1e-12, 1 + 1e-12
# Makes 0/0 into 0 and changes nothing else.
_TINY = 1e-300


@dataclass(frozen=True, slots=True, eq=False)
class Particles:
    """The classes of particles in a column, and the law by which they hinder each other."""

    #: Volume fraction of each class at first; one column. [1]
    first: Floats
    #: Velocity of one particle alone, positive sinks; one column. [cells/s]
    speed: Floats
    #: Diffusion coefficient; one column. [cells²/s]
    spread: Floats
    exponent: float
    packing_fraction: float
    packing_exponent: float
    _mixed: bool = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_mixed", bool(self.speed.min() < 0 <= self.speed.max()))

    def step(self, fraction: Floats, longest: float) -> tuple[Floats, float]:
        """Return the volume fractions after one step and the length of the step. [1, s]"""
        faces = self.faces(fraction)
        wave = faces.wave_speed()
        length = min(longest, _COURANT / wave) if wave else longest
        if not self.spread.any():
            return self._passed(fraction, faces.flux(length) * length), length
        # Half of the thermal motion before and half after keeps a haze nearer to its balance (Strang).
        fraction = self._diffused(fraction, length / 2)
        fraction = self._passed(fraction, self.faces(fraction).flux(length) * length)
        return self._diffused(fraction, length / 2), length

    def faces(self, fraction: Floats) -> Faces:
        """Return the faces, from straight lines through the cells that make no new extremes."""
        total = _over_classes(fraction)
        room = np.maximum(self.packing_fraction - total, 0)
        seen = fraction * (fraction > _DUST * self.first)

        higher = _above(seen)
        rise = higher - seen
        rise[:, -1] = 0
        fall = _below(rise)
        half = np.maximum(rise * fall, 0) / (rise + fall + _TINY)
        # Within a cell the crowd may not come closer to packing than half of what the cell has room for.
        crowd = _over_classes(half)
        gentle = room / np.maximum(np.maximum(room, 2 * np.abs(crowd)), _TINY)
        half *= gentle
        crowd *= gentle

        above, below = _above(seen - half), seen + half
        slip, steepness = self._slip(self._downstream(total + crowd, total - crowd))
        takes = np.where(room > _FULL * self.packing_fraction, 1.0, 0.0)
        slip *= self._downstream(takes, takes)
        return Faces(
            self,
            source=self._upstream(higher, seen),
            donor=self._upstream(above, below),
            below=below,
            above=above,
            slip=self.speed * slip,
            steepness=steepness.max(0),
        )

    def _upstream(self, above: Floats, below: Floats) -> Floats:
        """Return for each class the side of a face that its particles come from."""
        if self._mixed:
            return np.where(self.speed >= 0, above, below)
        return above if self.speed[0, 0] >= 0 else below

    def _downstream(self, upper: Floats, lower: Floats) -> Floats:
        """Return for each class the end of a cell that its particles come to: the upper one if they sink."""
        if self._mixed:
            return np.where(self.speed >= 0, upper, _above(lower))
        return upper if self.speed[0, 0] >= 0 else _above(lower)

    def _slip(self, total: Floats) -> tuple[Floats, Floats]:
        """Return the slip into a crowd over that of one alone, and the share of flux lost to more."""
        free = np.maximum(1 - total, _TINY)
        slip, fall = free ** (self.exponent - 1), np.asarray(self.exponent - 1.0)
        if self.packing_exponent:
            left = np.maximum(self.packing_fraction - total, _TINY)
            slip *= (left / self.packing_fraction) ** self.packing_exponent
            fall = fall + self.packing_exponent * free / left
        return slip, np.maximum(fall, np.ones_like(free))

    def _diffused(self, fraction: Floats, length: float) -> Floats:
        """Return the volume fractions after thermal motion, in as many short steps as it needs."""
        count = int(np.ceil(2 * self.spread.max() * length / _COURANT))
        room = np.maximum(self.packing_fraction - _over_classes(fraction), 0)
        room[room <= _FULL * self.packing_fraction] = 0
        # Off a bed, a full cell or the floor, only a haze is lifted that is thicker than a cell.
        adrift = self._upstream(_below(room), _above(_above(room))) > 0
        share = np.where(adrift | (self.spread > np.abs(self.speed)), self.spread, 0) * (length / count)
        share[:, -1] = 0
        for _ in range(count):
            fraction = self._passed(fraction, share * (_above(fraction) - fraction))
        return fraction

    def _passed(self, fraction: Floats, passed: Floats) -> Floats:
        """Return the volume fractions when this has passed, or what of it cells can give and take."""
        after = fraction + _gained(passed)
        if after.min() < 0:
            passed = passed * _granted(-passed, fraction * _ALL)
            after = fraction + _gained(passed)
        if _over_classes(after).max() > self.packing_fraction * _MORE:
            room = np.maximum(self.packing_fraction - _over_classes(fraction), 0)
            after = fraction + _gained(passed * _granted(_over_classes(passed), room))
        return after


@dataclass(frozen=True, slots=True, eq=False)
class Faces:
    """What stands on both sides of every face, and how fast it slips through."""

    particles: Particles
    #: Mean of the cell that each class comes from, and its value at the face. [1]
    source: Floats
    donor: Floats
    #: Values at the face from below and from above. [1]
    below: Floats
    above: Floats
    #: Velocity against the mixture. [cells/s]
    slip: Floats
    #: Share of the flux lost per volume fraction more beyond the face, at least 1. [1]
    steepness: Floats

    def flux(self, step: float = 0.0) -> Floats:
        """Return the flux through each face, averaged over a step to come. [1/s]"""
        slip, donor = self.slip, self.donor
        if step:
            # Only a trace, which does not count for the step, could cross more than a cell in it.
            slip = np.maximum(np.minimum(slip, _COURANT / step), -_COURANT / step)
            donor = donor + np.abs(slip) * step * (self.source - donor)
        slipped = donor * slip
        backflow = _over_classes(slipped)
        flux = slipped - backflow * np.where(backflow > 0, self.below, self.above)
        # No class moves against its own net velocity: the last of one that has passed would hang above its
        # bed, held up by what flows back.
        net = slip - backflow
        return np.where(flux * net > 0, flux, net * np.where(net > 0, self.above, self.below))

    def rate(self) -> Floats:
        """Return how fast the volume fraction of each cell changes by settling at this instant. [1/s]"""
        return _gained(self.flux())

    def wave_speed(self) -> float:
        """Return an upper bound of the speed of any wave that counts. [cells/s]"""
        pace = np.abs(self.slip)
        pace *= self.donor > _COUNTS * self.particles.first
        crowd = _over_classes(pace * self.source)
        return float((pace.max(0) + crowd * self.steepness).max())


def _gained(passed: Floats) -> Floats:
    """Return what each cell gains by what passes the faces."""
    return passed - _below(passed)


def _granted(passing: Floats, allowance: Floats) -> Floats:
    """Return the share of each passage at which no cell gets more than its allowance."""
    asked = np.maximum(passing, 0) + np.maximum(-_below(passing), 0)
    share = (allowance + _TINY) / (np.maximum(asked, allowance) + _TINY)
    return np.where(passing > 0, share, _above(share))


def _over_classes(values: Floats) -> Floats:
    return np.add.reduce(values, axis=0, keepdims=True)


def _above(values: Floats) -> Floats:
    """Return what stands one cell higher, nothing above the lid; one copy, whatever the number of classes."""
    shifted = np.empty_like(values)
    shifted.reshape(-1)[:-1] = values.reshape(-1)[1:]
    shifted[..., -1] = 0
    return shifted


def _below(values: Floats) -> Floats:
    """Return what stands one cell lower, nothing below the floor."""
    shifted = np.empty_like(values)
    shifted.reshape(-1)[1:] = values.reshape(-1)[:-1]
    shifted[..., 0] = 0
    return shifted
