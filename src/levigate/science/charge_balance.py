"""The balance of charges in water that acids, bases and salts share; the inner half of `acidity` and `titration`.

Rows run along the last axis and solutes along the first, so that each operation runs over many rows at once. The
unknowns are u = ln(10) pH and s, the root of the ionic strength; g is minus the natural logarithm of the activity
coefficient of a charge of one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from levigate.science.constants import Floats
from levigate.science.ions import _debye_hueckel_slope, pkw_water

__all__ = ["LN10", "Balance", "Search", "Solutes", "Sums", "Water"]

Rows = NDArray[np.intp]

LN10 = float(np.log(10))
# Rows that are done are laid aside when they are this share of those at hand, and these are more than so many.
_WORTH, _FEW_ROWS = 0.2, 512
# A search looks from pH -7 to 22, and begins at the best of these, a quarter of a unit apart, with ions that
# shield each other as in 0.1 mol/kg of salt at 25 °C.
_LOW, _HIGH = -7 * LN10, 22 * LN10
_GRID, _GRID_SHIELDING, _GRID_LN_KW = LN10 * np.arange(-1, 15, 0.25), 0.25, 14 * LN10
_MOST_STEPS = 60
# Molalities at hand below which all solutes are worked on at once.
_FEW = 8192
# Newton's next step would be about the square of the last, and is not taken below this.
_SMALL = 1e-7
# Nearer to the root than this, in u, the ionic strength is searched for as well; before, it stays.
_CLOSE = 1.0
# So far s may go in one step, as a share of itself.
_STRIDE = 0.5
# A change of g moves the root, in u, by less than this many times itself: twice the greatest charge and one.
_SLACK = 25.0


@dataclass(frozen=True, slots=True, eq=False)
class Water:
    """What water does to ions at its temperature: each one number or one per row."""

    #: Slope of the limiting law for natural logarithms.
    slope: Floats
    davies_constant: Floats
    #: Minus the natural logarithm of the ion product.
    ln_kw: Floats

    @classmethod
    def at(cls, temperature: Floats, davies_constant: Floats) -> Water:
        """Return what water does at a temperature; nan where that is not known."""
        return cls(LN10 * _debye_hueckel_slope(temperature), davies_constant, LN10 * pkw_water(temperature))

    def part(self, rows: slice | Rows) -> Water:
        """Return the water of some rows."""
        return Water(*(_part(x, rows) for x in (self.slope, self.davies_constant, self.ln_kw)))

    def shielding(self, s: Floats) -> Floats:
        """Return g."""
        return np.asarray(self.slope * (s / (1 + s) - self.davies_constant * s**2))

    def shielding_slope(self, s: Floats) -> Floats:
        """Return the derivative of g by s."""
        return np.asarray(self.slope * (1 / (1 + s) ** 2 - 2 * self.davies_constant * s))

    def own_ions(self, u: Floats, g: Floats) -> tuple[Floats, Floats]:
        """Return the molalities of hydrogen and of hydroxide ions."""
        return np.exp(g - u), np.exp(u + g - self.ln_kw)


@dataclass(frozen=True, slots=True, eq=False)
class Solutes:
    """What is dissolved. `ladder` and `charge` have one column for all rows, or one per row."""

    #: Molality of each solute that gives or takes protons (solute, row).
    molality: Floats
    #: Minus the natural logarithm of its acid constants (solute, step, row); infinite where there is no such step.
    ladder: Floats
    #: Charge of its most protonated form (solute, row).
    charge: Floats
    #: How many steps each has, in rising order.
    steps: tuple[int, ...]
    #: Whether all rows share ladder and charge, as they were called with.
    shared: bool
    #: Molality times charge, and times its square, of all ions that neither give nor take protons (row).
    ion_charge: Floats
    ion_square: Floats

    def part(self, rows: slice | Rows) -> Solutes:
        """Return the solutes of some rows."""
        molality, *ions = (x[..., rows] for x in (self.molality, self.ion_charge, self.ion_square))
        return Solutes(molality, _part(self.ladder, rows), _part(self.charge, rows), self.steps, self.shared, *ions)

    def groups(self) -> Iterator[tuple[slice, int]]:
        """Yield which solutes have as many steps as each other, which are worked on at once, and how many.

        In few rows all are worked on at once, those with fewer steps as with others that nothing takes: that is more
        sums, but fewer calls, which then are what costs.
        """
        if self.molality.size < _FEW and self.steps:
            yield slice(0, len(self.steps)), max(self.steps)
            return
        first = 0
        for steps, members in groupby(self.steps):
            last = first + sum(1 for _ in members)
            yield slice(first, last), steps
            first = last

    def first_guess(self) -> tuple[Floats, Floats]:
        """Return the u and s at which to begin: looked up where all rows share their acid constants."""
        hydrogen, hydroxide = np.exp(_GRID_SHIELDING - _GRID), np.exp(_GRID + _GRID_SHIELDING - _GRID_LN_KW)
        net, place, width = hydrogen - hydroxide, np.zeros(self.ion_charge.shape, np.intp), len(_GRID) // 2
        charge_at, square_at = self._looked_up() if self.shared else (self._mean_charge, self._mean_square)
        while width:
            middle = place + width
            place, width = np.where(charge_at(middle) + net[middle] > 0, middle, place), width // 2
        return _GRID[place], np.sqrt(0.5 * (square_at(place) + (hydrogen + hydroxide)[place]))

    def _looked_up(self) -> tuple[Callable[[Rows], Floats], Callable[[Rows], Floats]]:
        """Return what gives the charge of all solutes at places of the grid, and molality times its square."""
        groups = [
            _means(self.ladder[at], self.charge[at], steps, _GRID, _GRID_SHIELDING) for at, steps in self.groups()
        ]

        def sums(ions: Floats, power: int) -> Callable[[Rows], Floats]:
            means = [mean for group in groups for mean in group[power]]

            def at(place: Rows) -> Floats:
                total = ions.copy()
                for molality, mean in zip(self.molality, means, strict=True):
                    total += molality * mean[place]
                return total

            return at

        return sums(self.ion_charge, 0), sums(self.ion_square, 1)

    def _mean_charge(self, place: Rows) -> Floats:
        """Return the charge of all solutes at places of the grid, with acid constants of each row's own."""
        total, u = self.ion_charge.copy(), _GRID[place]
        for at, steps in self.groups():
            ladder, z = self.ladder[at], self.charge[at]
            weight, weights, first = np.ones_like(self.molality[at]), np.ones_like(self.molality[at]), z
            for step in range(steps):
                weight = weight * np.exp(u + (1 - 2 * z) * _GRID_SHIELDING - ladder[:, step])
                z = z - 1
                weights, first = weights + weight, first + weight * z
            total += (self.molality[at] * first / weights).sum(axis=0)
        return total

    def _mean_square(self, place: Rows) -> Floats:
        """Return molality times the square of the charge of all solutes at places of the grid."""
        u = _GRID[place]
        return Sums.of(self, u, np.full_like(u, _GRID_SHIELDING)).square


@dataclass(frozen=True, slots=True, eq=False)
class Sums:
    """Sums over all forms of all solutes, and how they answer to u and g; each one number per row."""

    #: Molality times charge z, times its size, times its square.
    charge: Floats
    size: Floats
    square: Floats
    #: Minus the derivatives by u.
    charge_u: Floats
    size_u: Floats
    square_u: Floats
    #: The derivatives by g; that of the charge is `square_u`.
    size_g: Floats
    square_g: Floats

    @classmethod
    def of(cls, solutes: Solutes, u: Floats, g: Floats) -> Sums:
        """Return the sums over all forms at a pH and a shielding."""
        charge, square = solutes.ion_charge + np.zeros_like(u), solutes.ion_square + np.zeros_like(u)
        size = np.abs(charge)
        charge_u, size_u, square_u, size_g, square_g = (np.zeros_like(u) for _ in range(5))
        for at, steps in solutes.groups():
            m = solutes.molality[at]
            z, zz, zzz, zzzz = _means(solutes.ladder[at], solutes.charge[at], steps, u, g)
            by_u, by_g, by_gg = zz - z * z, zzz - z * zz, zzzz - zz * zz
            own = np.array(solutes.steps[at])[:, None]
            sizes = _sizes((solutes.charge[at] > 0) & (solutes.charge[at] < own), z, zz, by_u, by_g, by_gg)
            charge += (m * z).sum(axis=0)
            square += (m * zz).sum(axis=0)
            charge_u += (m * by_u).sum(axis=0)
            square_u += (m * by_g).sum(axis=0)
            square_g += (m * by_gg).sum(axis=0)
            size += (m * sizes[0]).sum(axis=0)
            size_u += (m * sizes[1]).sum(axis=0)
            size_g += (m * sizes[2]).sum(axis=0)
        return cls(charge, size, square, charge_u, size_u, square_u, size_g, square_g)


@dataclass(frozen=True, slots=True, eq=False)
class Balance:
    """How far a solution is from its balance, and the derivatives of that by u and s."""

    #: Charge too many, which must be nothing, and all charges of either sign.
    charge: Floats
    size: Floats
    #: Ionic strength that follows from the forms, and by how much s² is above it, which must be nothing.
    ionic_strength: Floats
    excess: Floats
    charge_u: Floats
    charge_s: Floats
    size_u: Floats
    size_s: Floats
    excess_u: Floats
    excess_s: Floats

    @classmethod
    def of(cls, solutes: Solutes, water: Water, u: Floats, s: Floats) -> Balance:
        """Return how far solutions are from their balance."""
        g, g_s = water.shielding(s), water.shielding_slope(s)
        hydrogen, hydroxide = water.own_ions(u, g)
        own, net = hydrogen + hydroxide, hydrogen - hydroxide
        of = Sums.of(solutes, u, g)
        strength = 0.5 * (of.square + own)
        return cls(
            charge=of.charge + net,
            size=of.size + own,
            ionic_strength=strength,
            excess=s * s - strength,
            charge_u=-of.charge_u - own,
            charge_s=g_s * (of.square_u + net),
            size_u=-of.size_u - net,
            size_s=g_s * (of.size_g + own),
            excess_u=0.5 * (of.square_u + net),
            excess_s=2 * s - 0.5 * g_s * (of.square_g + own),
        )

    def u_by_base(self) -> Floats:
        """Return how far u moves per strong base added, whose own ions count in the ionic strength."""
        determinant = self.charge_u * self.excess_s - self.charge_s * self.excess_u
        return np.asarray(-(self.excess_s + 0.5 * self.charge_s) / determinant)


@dataclass(slots=True, eq=False)
class Search:
    """Newton's method on ln(positive charges / negative charges) and on the ionic strength, kept in bounds.

    While the pH is far off, the ionic strength stays as it is: then the charge falls steadily with the pH, and what
    has been seen bounds the root. Close to it both unknowns move together. A row that is done does not move again,
    so that it does not depend on the rows beside it.
    """

    solutes: Solutes
    water: Water
    u: Floats
    s: Floats
    low: Floats
    high: Floats
    last: Floats
    done: NDArray[np.bool_]

    @classmethod
    def run(cls, solutes: Solutes, water: Water) -> tuple[Floats, Floats]:
        """Return u and s of every row, nan where the search does not end."""
        count = len(solutes.ion_charge)
        found_u, found_s, at_hand = np.full(count, np.nan), np.full(count, np.nan), np.arange(count)
        search = cls.start(solutes, water)
        for _ in range(_MOST_STEPS):
            search.step()
            done = search.done
            found_u[at_hand[done]], found_s[at_hand[done]] = search.u[done], search.s[done]
            if done.all():
                break
            if done.size > _FEW_ROWS and done.mean() > _WORTH:
                open_rows = np.flatnonzero(~done)
                at_hand, search = at_hand[open_rows], search.part(open_rows)
        return found_u, found_s

    @classmethod
    def start(cls, solutes: Solutes, water: Water) -> Search:
        """Return the beginning of a search."""
        shape = solutes.ion_charge.shape
        low, high, last = (np.full(shape, x) for x in (_LOW, _HIGH, np.inf))
        return cls(solutes, water, *solutes.first_guess(), low, high, last, np.zeros(shape, bool))

    def part(self, rows: Rows) -> Search:
        """Return the search of some rows."""
        u, s, low, high, last = (x[rows] for x in (self.u, self.s, self.low, self.high, self.last))
        solutes, water = self.solutes.part(rows), self.water.part(rows)
        return Search(solutes, water, u, s, low, high, last, self.done[rows])

    def step(self) -> None:
        """Go one step."""
        at = Balance.of(self.solutes, self.water, self.u, self.s)
        shielding = self.water.shielding(self.s)
        self.low = np.where(at.charge > 0, np.maximum(self.low, self.u), self.low)
        self.high = np.where(at.charge < 0, np.minimum(self.high, self.u), self.high)
        x = at.charge / at.size
        log = 2 * np.arctanh(x)
        scale = 2 / ((1 - x * x) * at.size)
        log_u, log_s = scale * (at.charge_u - x * at.size_u), scale * (at.charge_s - x * at.size_s)

        alone = -log / log_u
        outside = ~((self.u + alone >= self.low) & (self.u + alone <= self.high))
        # Steps that do not shrink run to and fro between two flat ends of the curve.
        idle = (np.abs(alone) > _CLOSE) & (np.abs(alone) > 0.5 * self.last)
        alone = np.where(outside | idle, 0.5 * (self.low + self.high) - self.u, alone)

        determinant = log_u * at.excess_s - log_s * at.excess_u
        both_u = (log_s * at.excess - log * at.excess_s) / determinant
        both_s = (at.excess_u * log - log_u * at.excess) / determinant
        close = np.abs(alone) < _CLOSE
        slack = self.slack(both_s, shielding)
        inside = (self.u + both_u >= self.low - slack) & (self.u + both_u <= self.high + slack)
        together = close & inside & (np.abs(both_u) < _CLOSE) & (np.abs(both_s) < _STRIDE * self.s)
        plain_s = np.clip(np.sqrt(at.ionic_strength), (1 - _STRIDE) * self.s, (1 + _STRIDE) * self.s) - self.s
        by_u = np.where(self.done, 0, np.where(together, both_u, alone))
        by_s = np.where(self.done, 0, np.where(together, both_s, np.where(close, plain_s, 0)))

        slack = self.slack(by_s, shielding)
        self.low, self.high, self.last = self.low - slack, self.high + slack, np.abs(by_u)
        self.u, self.s = self.u + by_u, self.s + by_s
        self.done = self.done | (together & (np.abs(by_u) < _SMALL) & (np.abs(by_s) < _SMALL * self.s))

    def slack(self, by_s: Floats, shielding: Floats) -> Floats:
        """Return by how much, at most, the root in u moves when s does, from where the shielding is so much."""
        return np.asarray(_SLACK * np.abs(self.water.shielding(self.s + by_s) - shielding))


def _strength_at(solutes: Solutes, water: Water, u: Floats) -> Floats:
    """Return the ionic strength at a pH, by Newton's method in its root; nan where the search does not end."""
    u = u + np.zeros_like(solutes.ion_charge)
    s = np.sqrt(0.5 * Sums.of(solutes, u, np.full_like(u, _GRID_SHIELDING)).square + _SMALL)
    done = np.zeros(s.shape, bool)
    for _ in range(_MOST_STEPS):
        g, g_s = water.shielding(s), water.shielding_slope(s)
        own, of = np.add(*water.own_ions(u, g)), Sums.of(solutes, u, g)
        strength = 0.5 * (of.square + own)
        step = -(s * s - strength) / (2 * s - 0.5 * g_s * (of.square_g + own))
        # Where that would leave the ground, the ionic strength as it follows.
        plain = np.clip(np.sqrt(strength), (1 - _STRIDE) * s, (1 + _STRIDE) * s) - s
        step = np.where(np.abs(step) < _STRIDE * s, step, plain)
        s, done = np.where(done, s, s + step), done | (np.abs(step) < _SMALL * s)
        if done.all():
            break
    return np.asarray(np.where(done, s * s, np.nan))


def _means(ladder: Floats, charge: Floats, steps: int, u: Floats, g: Floats | float) -> tuple[Floats, ...]:
    """Return the means of z, z², z³ and z⁴ over the forms of solutes with so many steps (solute, row)."""
    shape = np.broadcast_shapes(charge.shape, ladder[:, 0].shape, u.shape)
    weight, weights, z = np.ones(shape), np.ones(shape), charge
    first, second, third, fourth = (weight * z**power for power in (1, 2, 3, 4))
    for step in range(steps):
        weight *= np.exp(u + (1 - 2 * z) * g - ladder[:, step])
        weights += weight
        z = z - 1
        term = weight * z
        first += term
        term *= z
        second += term
        term *= z
        third += term
        term *= z
        fourth += term
    return first / weights, second / weights, third / weights, fourth / weights


def _sizes(both: NDArray[np.bool_], *means: Floats) -> tuple[Floats, Floats, Floats]:
    """Return the mean size of a charge, minus its derivative by u, and its derivative by g.

    It only leads the search, which ends where the charges cancel. The size of the mean charge is right for forms of one
    sign; where both occur it would vanish between them, and the root of the mean square serves.
    """
    z, zz, by_u, by_g, by_gg = means
    sign = np.sign(z)
    size, size_u, size_g = sign * z, sign * by_u, sign * by_g
    if both.any():
        root = np.sqrt(zz)
        size = np.where(both, root, size)
        size_u = np.where(both, by_g / (2 * root), size_u)
        size_g = np.where(both, by_gg / (2 * root), size_g)
    return size, size_u, size_g


def _part(x: Floats, rows: slice | Rows) -> Floats:
    return x[..., rows] if x.shape[-1] > 1 else x
