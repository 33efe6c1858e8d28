"""Bench tests: there and back, the flow beneath each formula integrated, slips that must not come back."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

from levigate.errors import SumError
from levigate.science import benchtests as subject
from levigate.science.constants import STANDARD_GRAVITY
from levigate.science.flowcups import FLOW_CUPS, kinematic_viscosity_from_flow_cup
from levigate.science.suspension import (
    hindered_factor_richardson_zaki,
    settling_velocity,
    yield_stress_to_hold,
)
from levigate.shelf.catalogue import sources

G = STANDARD_GRAVITY


@given(st.floats(1e-4, 0.29), st.floats(0.001, 0.009))
@settings(deadline=None, database=None)
def test_a_wall_slows_and_a_nearer_wall_slows_more(ratio: float, nearer: float) -> None:
    far, near = subject.wall_factor_faxen([ratio, ratio + nearer], 1.0)
    assert 0 < near < far < 1


def test_no_wall_is_stokes() -> None:
    assert subject.wall_factor_faxen(1e-3, np.inf) == 1
    assert np.all(np.isnan(subject.wall_factor_faxen([0.31, 1.5, -0.1], 1.0)))


def test_the_wall_is_not_ladenburgs() -> None:
    """1/(1 + 2.1 d/D) is 4 % above the series at a tenth."""
    assert float(subject.wall_factor_faxen(0.1, 1.0)) == pytest.approx(1 / 1.21 / 1.0436, rel=1e-3)


@given(st.floats(5e-4, 4e-3), st.floats(1500.0, 8000.0), st.floats(2.0, 500.0), st.floats(0.015, 0.1))
@settings(deadline=None, database=None)
def test_falling_ball_there_and_back(diameter: float, ball: float, viscosity: float, tube: float) -> None:
    velocity = settling_velocity(diameter, ball, 1000.0, viscosity) * subject.wall_factor_faxen(diameter, tube)
    found = float(subject.viscosity_from_falling_ball(diameter, ball, 1000.0, 0.1, 0.1 / velocity, tube))
    if velocity * diameter * 1000.0 / viscosity < 0.249:
        assert found == pytest.approx(viscosity, rel=1e-12)


def test_steel_ball_in_glycerol_computed_apart() -> None:
    """2 mm of steel in glycerol in a tube of 30 mm: 8.683 mm/s with the wall, 10.09 without."""
    for speed, tube in ((8.683e-3, 0.03), (10.09e-3, np.inf)):
        found = subject.viscosity_from_falling_ball(2e-3, 7800.0, 1261.0, speed, 1.0, tube)
        assert float(found) == pytest.approx(1.412, rel=5e-4)


def test_a_ball_too_fast_or_the_wrong_way_is_nan() -> None:
    assert np.isnan(subject.viscosity_from_falling_ball(5e-3, 7800.0, 1000.0, 0.5, 1.0, 0.1))
    assert np.isnan(subject.viscosity_from_falling_ball(2e-3, 900.0, 1000.0, 0.01, 10.0, 0.1))
    assert np.isnan(subject.viscosity_from_falling_ball(2e-3, 1000.0, 1000.0, 0.01, 10.0, 0.1))
    assert float(subject.viscosity_from_falling_ball(2e-3, 900.0, 1000.0, -0.01, 10.0, 0.1)) > 0


@given(st.floats(0.5e-6, 2e-5), st.floats(0.0, 0.5), st.floats(1e-3, 10.0), st.sampled_from([4.48, 5.6]))
@settings(deadline=None, database=None)
def test_clear_layer_there_and_back(diameter: float, fraction: float, viscosity: float, exponent: float) -> None:
    for particle in (4230.0, 920.0):
        alone = settling_velocity(diameter, particle, 1000.0, viscosity)
        layer = np.abs(alone) * hindered_factor_richardson_zaki(fraction, exponent) * 86400.0
        found = subject.viscosity_from_clear_layer(layer, 86400.0, diameter, particle, 1000.0, fraction, exponent)
        if not np.isnan(alone):
            assert float(found) == pytest.approx(viscosity, rel=1e-12)


def test_a_thinner_layer_means_a_thicker_liquid() -> None:
    found = subject.viscosity_from_clear_layer([0.01, 0.001], 86400.0, 2e-6, 4230.0, 1000.0, 0.05, 5.6)
    assert found[1] == pytest.approx(10 * found[0])


def test_beads_bracket_the_yield_stress() -> None:
    found = float(subject.yield_stress_from_beads(1e-3, 2e-3, 2500.0, 1000.0))
    low, high = yield_stress_to_hold([1e-3, 2e-3], 2500.0, 1000.0)
    assert low < found < high
    assert np.isnan(subject.yield_stress_from_beads(2e-3, 1e-3, 2500.0, 1000.0))
    assert np.isnan(subject.yield_stress_from_beads(1e-3, 2e-3, 1000.0, 1000.0))


@given(st.floats(1e-4, 0.999), st.floats(0.02, 0.2), st.floats(500.0, 2000.0))
@settings(deadline=None, database=None)
def test_slump_there_and_back(fraction: float, height: float, density: float) -> None:
    stress = subject.yield_stress_from_slump(fraction * height, height, density)
    assert float(subject.slump_of_cylinder(stress, height, density)) == pytest.approx(fraction * height, rel=1e-9)
    root = brentq(lambda x: 1 - x * (1 - np.log(x)) - fraction, 1e-12, 1, xtol=1e-15)
    assert float(stress) == pytest.approx(root / 2 * density * G * height, rel=1e-7)


@pytest.mark.parametrize("dimensionless", [0.02, 0.1, 0.3, 0.45])
def test_slump_follows_from_the_weight_above(dimensionless: float) -> None:
    """A slice thins until its shear stress, half the pressure of what lies above, is the yield stress."""
    height, density = 0.05, 1000.0
    stress = dimensionless * density * G * height
    firm = 2 * stress / (density * G)
    yielded = quad(lambda depth: firm / depth, firm, height)[0]
    found = float(subject.slump_of_cylinder(stress, height, density))
    assert found == pytest.approx(height - firm - yielded, rel=1e-9)


def test_the_short_slump_formula_is_not_used() -> None:
    """0.5 - 0.5 sqrt(s/H) gives 0.1127 of rho g H at a slump of 0.6, 70 % more than the exact 0.0662."""
    found = float(subject.yield_stress_from_slump(0.03, 0.05, 1000.0)) / (1000.0 * G * 0.05)
    assert found == pytest.approx(0.066174, abs=1e-6)


def test_a_paste_that_stands_tells_only_a_limit() -> None:
    assert subject.slump_of_cylinder(0.5 * 1000 * G * 0.05, 0.05, 1000.0) == 0
    assert np.all(np.isnan(subject.yield_stress_from_slump([0.0, 0.05, 0.06, -0.01], 0.05, 1000.0)))


@given(st.floats(2e-7, 5e-5), st.floats(0.5, 100.0), st.floats(10.0, 600.0))
@settings(deadline=None, database=None)
def test_spread_there_and_back(volume: float, viscosity: float, time: float) -> None:
    radius = subject.spread_radius(volume, 950.0, viscosity, time)
    found = float(subject.viscosity_from_spread(volume, 950.0, radius, time))
    if not np.isnan(radius):
        assert found == pytest.approx(viscosity, rel=1e-10)


def test_twice_the_time_spreads_by_the_eighth_root_of_two() -> None:
    one, two = subject.spread_radius(1e-6, 1000.0, 1.0, [60.0, 120.0])
    assert two / one == pytest.approx(1.0905, abs=5e-5)


def test_the_spread_obeys_the_lubrication_equation() -> None:
    """dh/dt = g/(3 nu) 1/r d/dr(r h³ dh/dr) for the cap (1 - r²/R²)^(1/3) of the drop's own volume."""
    volume, nu, now, r = 1e-6, 1e-3, 60.0, 0.012

    def thickness(radius: float, time: float) -> float:
        front = float(subject.spread_radius(volume, 1000.0, 1000.0 * nu, time))
        return 4 * volume / (3 * np.pi * front**2) * float(np.cbrt(1 - (radius / front) ** 2))

    def flux(radius: float) -> float:
        slope = (thickness(radius + 1e-6, now) - thickness(radius - 1e-6, now)) / 2e-6
        return radius * thickness(radius, now) ** 3 * slope

    rise = (thickness(r, now + 1e-3) - thickness(r, now - 1e-3)) / 2e-3
    spread = G / (3 * nu) / r * (flux(r + 1e-5) - flux(r - 1e-5)) / 2e-5
    assert rise == pytest.approx(spread, rel=1e-4, abs=0)
    front = float(subject.spread_radius(volume, 1000.0, 1000.0 * nu, now))
    whole = quad(lambda x: 2 * np.pi * x * thickness(x, now), 0, front, epsabs=0)[0]
    assert whole == pytest.approx(volume, rel=1e-6, abs=0)


def test_a_puddle_at_rest_carries_its_yield_stress() -> None:
    """rho g h dh/dr = -tau all over: the profile sqrt(2 tau (R - r)/(rho g)) must hold the volume."""
    volume, density, radius = 3e-6, 950.0, 0.035
    stress = float(subject.yield_stress_from_spread(volume, density, radius))

    def ring(r: float) -> float:
        return float(2 * np.pi * r * np.sqrt(2 * stress * (radius - r) / (density * G)))

    held = quad(ring, 0, radius, epsabs=0)[0]
    assert held == pytest.approx(volume, rel=1e-7, abs=0)


@pytest.mark.parametrize("start", [0.0, 0.008])
def test_squeeze_follows_from_stefans_law(start: float) -> None:
    """F = 3 pi mu R⁴/(2 h³) (-dh/dt), integrated in time at constant volume."""
    volume, force, viscosity, time = 1e-6, 1.2, 50.0, 60.0
    first = max(start, 1e-3)

    def closing(_: float, height: np.ndarray) -> np.ndarray:
        radius = np.sqrt(volume / (np.pi * height))
        return np.asarray(-2 * height**3 * force / (3 * np.pi * viscosity * radius**4))

    path = solve_ivp(closing, (0, time), [volume / (np.pi * first**2)], method="LSODA", rtol=1e-10, atol=1e-14)
    radius = float(np.sqrt(volume / (np.pi * path.y[0, -1])))
    found = float(subject.viscosity_from_squeeze(volume, force, radius, time, start))
    assert found == pytest.approx(viscosity, rel=1e-6)


def test_a_squeezed_cream_at_rest_carries_the_load() -> None:
    """The pressure falls by 2 tau/h outward; over the circle it must carry the plate."""
    volume, force, radius = 1e-6, 1.2, 0.03
    stress = float(subject.yield_stress_from_squeeze(volume, force, radius))
    height = volume / (np.pi * radius**2)
    carried = quad(lambda r: 2 * np.pi * r * 2 * stress / height * (radius - r), 0, radius)[0]
    assert carried == pytest.approx(force, rel=1e-9)


@pytest.mark.parametrize(
    "result",
    [
        subject.viscosity_from_falling_ball(0.0, 7800.0, 1000.0, 0.1, 10.0, 0.1),
        subject.viscosity_from_falling_ball(2e-3, 7800.0, 1000.0, 0.0, 10.0, 0.1),
        subject.viscosity_from_clear_layer(0.0, 86400.0, 2e-6, 4230.0, 1000.0, 0.05, 5.6),
        subject.viscosity_from_clear_layer(0.01, 86400.0, 2e-6, 1000.0, 1000.0, 0.05, 5.6),
        subject.viscosity_from_clear_layer(0.01, 86400.0, 2e-6, 4230.0, 1000.0, 0.7, 5.6),
        subject.slump_of_cylinder(0.0, 0.05, 1000.0),
        subject.yield_stress_from_spread(1e-6, 1000.0, 0.012),
        subject.spread_radius(1e-6, 1000.0, 1e5, 1.0),
        subject.viscosity_from_spread(1e-6, 1000.0, 0.012, 60.0),
        subject.viscosity_from_squeeze(1e-6, 1.2, 0.03, 60.0, 0.03),
        subject.viscosity_from_squeeze(1e-6, 1.2, 0.01, 60.0),
        subject.yield_stress_from_squeeze(1e-6, 0.0, 0.03),
        subject.yield_stress_from_squeeze(1e-6, 1.2, 0.01),
    ],
)
def test_what_cannot_be_is_nan(result: float) -> None:
    assert np.isnan(result)


@pytest.mark.parametrize("cup", FLOW_CUPS)
def test_a_cup_is_silent_outside_its_times(cup: str) -> None:
    known = FLOW_CUPS[cup]
    inside = kinematic_viscosity_from_flow_cup(cup, [known.shortest, known.longest])
    assert 0 < inside[0] < inside[1]
    outside = kinematic_viscosity_from_flow_cup(cup, [known.shortest - 0.1, known.longest + 0.1, np.nan])
    assert np.all(np.isnan(outside))
    assert known.source in sources()


def test_an_unknown_cup_is_said_to_be_unknown() -> None:
    with pytest.raises(SumError, match='no flow cup called "ford 9"'):
        kinematic_viscosity_from_flow_cup("ford 9", 50.0)


def test_slips_of_a_public_module_of_cups_do_not_come_back() -> None:
    """It has 0.567 for Shell 2 beside a table with 0.576, and prints 28.35 as the answer for 2.5 at 55 s."""
    assert FLOW_CUPS["shell 2"].slope == 0.576
    assert float(kinematic_viscosity_from_flow_cup("shell 2", 55.0)) == pytest.approx(28.8e-6, rel=1e-9, abs=0)
    assert float(kinematic_viscosity_from_flow_cup("shell 2.5", 55.0)) == pytest.approx(48.1e-6, rel=1e-9, abs=0)


@pytest.mark.parametrize("low", ["1", "2", "3", "4"])
def test_a_larger_cup_is_for_thicker_liquids(low: str) -> None:
    for family in ("zahn", "shell", "ford"):
        one, next_one = f"{family} {low}", f"{family} {int(low) + 1}"
        assert kinematic_viscosity_from_flow_cup(one, 70.0) < kinematic_viscosity_from_flow_cup(next_one, 70.0)


def test_tables_computed_apart_from_this_code() -> None:
    """Arithmetic of the same formulas by another hand, not print: series, slump and spread."""
    series = subject.wall_factor_faxen([0.02, 0.05, 0.1, 0.2, 0.3], 1.0)
    np.testing.assert_allclose(series, [0.95794, 0.89506, 0.79168, 0.59562, 0.42292], atol=5.1e-6)
    slump = subject.slump_of_cylinder(np.array([0.01, 0.02, 0.05, 0.1, 0.2, 0.3, 0.4]) * 1000 * G, 1.0, 1000.0)
    np.testing.assert_allclose(slump, [0.9018, 0.8312, 0.6697, 0.4781, 0.2335, 0.0935, 0.0215], atol=5.1e-5)
    paste = subject.yield_stress_from_slump([0.03, 0.01], 0.05, 1000.0)
    np.testing.assert_allclose(paste, [32.45, 107.5], rtol=5e-4)
    drops = subject.spread_radius([1e-6, 1e-6, 1e-6, 5e-7], 1000.0, [1.0, 1.0, 10.0, 5.0], [10.0, 60.0, 60.0, 30.0])
    np.testing.assert_allclose(drops, [18.43e-3, 23.06e-3, 17.29e-3, 13.33e-3], atol=5e-6)
