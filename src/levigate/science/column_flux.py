"""What passes between the cells of a standing column in one time step; the inner half of `column`.

Arrays are [class, cell], the lowest cell first. A flux belongs to the face above its cell and counts downwards; the
last face is the lid. Lengths are counted in cells, so a velocity is a number of cells per second.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from levigate.science.constants import Floats

__all__ = ["Faces", "Particles", "faces", "gained", "step"]

# Cells that the fastest wave may cross in one step.
_COURANT = 0.9
# A cell takes no more when this share of its packing fraction is missing.
_FULL = 1e-6
# Shares of a class's first fraction. A flux weaker than the first does not shorten the step, else the last grains of
# a coarse class would set it for years; less than the second stays where it is, else tails thin out into numbers too
# small for a processor to handle at full speed.
_COUNTS, _DUST = 1e-2, 1e-12
# Rounding may not make a cell give more than it has; a full one may be overfull by rounding.
_ALL, _MORE = 1 - 1e-12, 1 + 1e-12
# Makes 0/0 into 0 and changes nothing else.
_TINY = 1e-300


@dataclass(frozen=True, slots=True, eq=False)
class Particles:
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
    #: Largest diffusivity. [cells²/s]
    widest: float = field(init=False)
    _ones: Floats = field(init=False)
    _sinks: NDArray[np.bool_] = field(init=False)
    _all_alike: bool = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "widest", float(self.spread.max()))
        sinks = self.speed >= 0
        object.__setattr__(self, "_ones", np.ones((1, len(sinks))))
        object.__setattr__(self, "_sinks", sinks)
        object.__setattr__(self, "_all_alike", bool(np.all(sinks == sinks[0])))

    def total(self, values: Floats) -> Floats:
        """Return the sum over the classes as one row."""
        return self._ones @ values

    def upstream(self, above: Floats, below: Floats) -> Floats:
        """Return for each class the side that its particles come from."""
        if self._all_alike:
            return above if self._sinks[0] else below
        return np.where(self._sinks, above, below)

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
    #: Relative fall of the slip with volume fraction. [1]
    steepness: Floats

    def flux(self, step: float = 0.0) -> Floats:
        """Return the flux through each face, averaged over a step to come. [1/s]"""
        slip, donor = self.slip, self.donor
        if step:
            slip = np.maximum(np.minimum(slip, _COURANT / step), -_COURANT / step)
            donor = donor + np.abs(slip) * step * (self.source - donor)
        slipped = donor * slip
        backflow = self.particles.total(slipped)
        carried = self.below if (backflow >= 0).all() else np.where(backflow > 0, self.below, self.above)
        flux = slipped - backflow * carried
        # No class moves against its own net velocity: the last of it in a cell would hang on what backs up from a bed.
        net = slip - backflow
        return np.where(flux * net > 0, flux, net * np.where(net > 0, self.above, self.below))

    def wave_speed(self) -> float:
        """Return an upper bound of the speed of any wave that counts. [cells/s]"""
        pace = np.abs(self.slip)
        pace *= np.abs(self.flux()) > _COUNTS * self.particles.first * pace
        crowd = self.particles.total(pace * self.source)
        return float((pace.max(0) + crowd * self.steepness).max())


def faces(particles: Particles, fraction: Floats) -> Faces:
    """Return the faces of a column, from straight lines through the cells that make no new extremes."""
    total = particles.total(fraction)
    room = np.maximum(particles.packing_fraction - total, 0)
    seen = fraction * (fraction > _DUST * particles.first)

    higher = _above(seen)
    rise = higher - seen
    rise[:, -1] = 0
    fall = _below(rise)
    half = np.maximum(rise * fall, 0) / (rise + fall + _TINY)
    # Within a cell the crowd may not come closer to packing than half of what the cell has room for.
    crowd = particles.total(half)
    gentle = room / np.maximum(np.maximum(room, 2 * np.abs(crowd)), _TINY)
    half *= gentle
    crowd *= gentle

    above, below = _above(seen - half), seen + half
    takes = room > _FULL * particles.packing_fraction
    into = np.concatenate((total + crowd, total - crowd))
    slip, steepness = particles.slip(into) * takes, particles.steepness(into)
    return Faces(
        particles,
        source=particles.upstream(higher, seen),
        donor=particles.upstream(above, below),
        below=below,
        above=above,
        slip=particles.speed * particles.upstream(slip[:1], _above(slip[1:])),
        steepness=np.maximum(steepness[:1], _above(steepness[1:])),
    )


def step(particles: Particles, fraction: Floats, longest: float) -> tuple[Floats, float]:
    """Return the volume fractions after one step and the length of the step. [1, s]"""
    through = faces(particles, fraction)
    wave = through.wave_speed()
    length = min(longest, _COURANT / wave) if wave else longest
    if not particles.widest:
        return _passed(particles, fraction, through.flux(length) * length), length
    fraction = _diffused(particles, fraction, length / 2)
    fraction = _passed(particles, fraction, faces(particles, fraction).flux(length) * length)
    return _diffused(particles, fraction, length / 2), length


def _diffused(particles: Particles, fraction: Floats, length: float) -> Floats:
    count = int(np.ceil(2 * particles.widest * length / _COURANT))
    exchange = thermal_exchange(particles, fraction) * (length / count)
    for _ in range(count):
        fraction = _passed(particles, fraction, exchange * (_above(fraction) - fraction))
    return fraction


def thermal_exchange(particles: Particles, fraction: Floats) -> Floats:
    """Return what thermal motion exchanges through each face per difference of volume fraction. [1/s]"""
    takes = particles.packing_fraction - particles.total(fraction) > _FULL * particles.packing_fraction
    adrift = particles.upstream(_below(takes), _above(_above(takes)))
    # Off a bed only a haze is lifted that is thicker than a cell.
    exchange = particles.spread * (adrift | (particles.spread > np.abs(particles.speed)))
    exchange[:, -1] = 0
    return exchange


def _passed(particles: Particles, fraction: Floats, passed: Floats) -> Floats:
    """Return the volume fractions when all this has passed the faces, or what cells can give and take of it."""
    after = fraction + gained(passed)
    if after.min() < 0:
        passed = passed * _granted(-passed, fraction * _ALL)
        after = fraction + gained(passed)
    if particles.total(after).max() > particles.packing_fraction * _MORE:
        room = np.maximum(particles.packing_fraction - particles.total(fraction), 0)
        after = fraction + gained(passed * _granted(particles.total(passed), room))
    return after


def gained(passed: Floats) -> Floats:
    """Return what each cell gains by what passes the faces."""
    return passed - _below(passed)


def _granted(passing: Floats, allowance: Floats) -> Floats:
    """Return the share of each passage at which no cell gets more than its allowance."""
    asked = np.maximum(passing, 0) + np.maximum(-_below(passing), 0)
    share = (allowance + _TINY) / (np.maximum(asked, allowance) + _TINY)
    return np.where(passing > 0, share, _above(share))


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
