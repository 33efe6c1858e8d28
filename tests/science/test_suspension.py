"""Laws of settling, a library's terminal velocity beside ours, and slips that must not come back."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from fluids.drag import drag_sphere, v_terminal
from hypothesis import given, settings
from hypothesis import strategies as st

from levigate.science import suspension as subject
from levigate.science.constants import STANDARD_GRAVITY

library_velocity: Callable[..., float] = v_terminal
library_drag: Callable[..., float] = drag_sphere

diameters = st.floats(1e-7, 2e-5)
densities = st.floats(700.0, 6000.0)
fractions = st.floats(0.0, 0.6)


@given(diameters, densities, st.floats(700.0, 1300.0))
@settings(deadline=None, database=None)
def test_heavier_sinks_and_lighter_rises(diameter: float, particle: float, liquid: float) -> None:
    for law in (subject.settling_velocity, subject.settling_velocity_inertial):
        assert np.sign(law(diameter, particle, liquid, 0.01)) == np.sign(particle - liquid)


@given(diameters, densities, st.floats(0.1, 10.0))
@settings(deadline=None, database=None)
def test_twice_as_wide_sinks_four_times_as_fast(diameter: float, particle: float, viscosity: float) -> None:
    one, two = subject.settling_velocity([diameter, 2 * diameter], particle, 1000.0, viscosity)
    assert two == pytest.approx(4 * one, rel=1e-12, abs=0)


@pytest.mark.parametrize(
    ("diameter", "particle", "printed"),
    [
        (1e-6, 5600.0, 2.503e-6),
        (0.25e-6, 4230.0, 1.099e-7),
        (1e-6, 900.0, -5.34e-8),
        (5e-6, 920.0, -1.063e-6),
    ],
)
def test_grains_and_drops_in_water_computed_apart(diameter: float, particle: float, printed: float) -> None:
    found = float(subject.settling_velocity(diameter, particle, 998.2, 1.0016e-3))
    assert found == pytest.approx(printed, rel=1.1e-3, abs=0)


def test_a_centipoise_is_not_a_gram_per_centimetre_and_second() -> None:
    """A worked answer takes it so and gets 2.88e-8 cm/s, 100 times too slow."""
    found = float(subject.settling_velocity(10e-6, 2440.0, 1010.0, 2.7, gravity=9.8)) * 100
    assert found == pytest.approx(100 * 2.88e-8, rel=2e-3)


def test_stokes_stops_where_it_no_longer_holds() -> None:
    """2.725 mm/s at a Reynolds number above 1 would be the blind answer; drag laws give 2.35 to 2.42."""
    assert np.isnan(subject.settling_velocity(0.5e-3, 1020.0, 1000.0, 1e-3))
    assert 2.35e-3 < float(subject.settling_velocity_inertial(0.5e-3, 1020.0, 1000.0, 1e-3)) < 2.42e-3


@given(st.floats(1e-7, 5e-3), st.floats(1100.0, 8000.0), st.floats(5e-4, 1.0))
@settings(deadline=None, database=None)
def test_inertia_only_slows(diameter: float, particle: float, viscosity: float) -> None:
    simple = float(subject.settling_velocity(diameter, particle, 1000.0, viscosity))
    full = float(subject.settling_velocity_inertial(diameter, particle, 1000.0, viscosity))
    assert full > 0
    if not np.isnan(simple):
        assert 0.89 * simple < full <= simple * (1 + 1e-12)


@pytest.mark.parametrize("diameter", [2e-5, 7e-5, 1e-4, 5e-4, 1e-3, 3e-3, 1e-2, 3e-2])
def test_terminal_velocity_is_that_of_a_library(diameter: float) -> None:
    """The package fluids solves the same drag law by another way, and others that lie within 7 %."""
    for particle in (1020.0, 2600.0, 7800.0):
        ours = float(subject.settling_velocity_inertial(diameter, particle, 1000.0, 1e-3))
        same = library_velocity(D=diameter, rhop=particle, rho=1000.0, mu=1e-3, Method="Cheng")
        other = library_velocity(D=diameter, rhop=particle, rho=1000.0, mu=1e-3)
        if float(subject.reynolds_number(ours, diameter, 1000.0, 1e-3)) > 0.02:  # below, fluids takes Stokes
            assert ours == pytest.approx(same, rel=1e-6)
        assert ours == pytest.approx(other, rel=0.07)


@pytest.mark.parametrize(("low", "high", "apart"), [(0.01, 1000.0, 0.03), (1000.0, 2e5, 0.07)])
def test_drag_is_near_that_of_clift(low: float, high: float, apart: float) -> None:
    for reynolds in np.geomspace(low, high, 15):
        theirs = library_drag(float(reynolds), Method="Clift")
        assert float(subject.drag_coefficient(reynolds)) == pytest.approx(theirs, rel=apart)


def test_the_drag_equation_is_solved_to_the_last_digits() -> None:
    archimedes = np.geomspace(1e-14, 1.0e10, 200)
    diameter = np.cbrt(archimedes / (1000.0 * 1000.0 * STANDARD_GRAVITY)) * 1e-2
    velocity = subject.settling_velocity_inertial(diameter, 2000.0, 1000.0, 1e-3)
    reynolds = subject.reynolds_number(velocity, diameter, 1000.0, 1e-3)
    left = subject.drag_coefficient(reynolds) * reynolds**2
    np.testing.assert_allclose(left, 4 / 3 * archimedes, rtol=1e-13)


def test_past_the_drag_law_is_nan() -> None:
    assert np.isnan(subject.settling_velocity_inertial(0.5, 7800.0, 1000.0, 1e-3))
    assert np.all(np.isnan(subject.drag_coefficient([0.0, -1.0, 2.1e5])))


def test_equal_densities_stay() -> None:
    assert subject.settling_velocity(1e-5, 1000.0, 1000.0, 1e-3) == 0
    assert subject.settling_velocity_inertial(1e-5, 1000.0, 1000.0, 1e-3) == 0
    assert subject.yield_stress_to_hold(1e-3, 1000.0, 1000.0) == 0
    assert np.isinf(subject.diameter_held(1.0, 1000.0, 1000.0))
    assert np.isinf(subject.sedimentation_length(1e-6, 1000.0, 1000.0, 293.15))


@given(fractions, st.sampled_from([4.48, 4.65, 5.6]))
@settings(deadline=None, database=None)
def test_neighbours_hinder_and_never_hasten(fraction: float, exponent: float) -> None:
    """A lecture prints that the hindered velocity is larger."""
    assert 0 < float(subject.hindered_factor_richardson_zaki(fraction, exponent)) <= 1


@pytest.mark.parametrize(
    ("exponent", "printed"),
    [
        (4.48, [0.956, 0.795, 0.624, 0.368, 0.202, 0.101]),
        (4.65, [0.954, 0.788, 0.613, 0.354, 0.190, 0.093]),
        (5.6, [0.945, 0.750, 0.554, 0.287, 0.136, 0.057]),
    ],
)
def test_hindrance_computed_apart(exponent: float, printed: list[float]) -> None:
    found = subject.hindered_factor_richardson_zaki([0.01, 0.05, 0.1, 0.2, 0.3, 0.4], exponent)
    np.testing.assert_allclose(found, printed, atol=5e-4)


def test_a_pigment_is_on_the_brownian_branch() -> None:
    peclet = subject.peclet_number([1e-6, 5e-6, 300e-6], 4230.0, 1000.0, 298.15)
    np.testing.assert_array_equal(subject.hindered_exponent(peclet), [5.6, 5.6, 4.48])


@given(diameters, densities, st.floats(0.001, 0.6), st.floats(4.0, 6.0))
@settings(deadline=None, database=None)
def test_one_kind_alone_is_richardson_and_zaki(
    diameter: float, particle: float, fraction: float, exponent: float
) -> None:
    alone = subject.settling_velocity(diameter, particle, 1000.0, 1.0)
    hindered = alone * subject.hindered_factor_richardson_zaki(fraction, exponent)
    found = subject.settling_velocity_polydisperse([diameter], [particle], [fraction], 1000.0, 1.0, exponent)
    assert float(found[0]) == pytest.approx(float(hindered), rel=1e-9, abs=0)


@given(
    st.lists(st.tuples(diameters, densities, st.floats(0.0, 0.15)), min_size=2, max_size=4),
    st.floats(4.0, 6.0),
)
@settings(deadline=None, database=None)
def test_what_sinks_is_made_up_by_liquid_that_rises(kinds: list[tuple[float, float, float]], exponent: float) -> None:
    """Grains and liquid together move no volume; the liquid, without slip, moves at -sum(phi u)."""
    d, rho, phi = np.array(kinds).T
    v = subject.settling_velocity_polydisperse(d, rho, phi, 1000.0, 0.1, exponent)
    mean = (1 - phi.sum()) * 1000.0 + (phi * rho).sum()
    slip = d**2 * (rho - mean) * STANDARD_GRAVITY / 1.8 * (1 - phi.sum()) ** (exponent - 2)
    liquid = -(phi * slip).sum()
    scale = np.abs(phi * slip).sum() + 1e-30
    assert abs((phi * v).sum() + (1 - phi.sum()) * liquid) < 1e-12 * scale


@pytest.mark.parametrize(
    ("exponent", "phi", "ratio", "printed"),
    [
        (4.65, [0.1, 0.1], 0.5, [0.38751, 0.05536]),
        (5.0, [0.2, 0.1], 0.5, [0.18608, 0.00600]),
        (4.65, [0.30, 0.05], 0.25, [0.14464, -0.04994]),
    ],
)
def test_two_sizes_computed_apart(exponent: float, phi: list[float], ratio: float, printed: list[float]) -> None:
    """In the last case the fine grains rise. Velocities over that of the coarse grain alone."""
    d = np.array([1e-6, ratio * 1e-6])
    found = subject.settling_velocity_polydisperse(d, [3000.0, 3000.0], phi, 1000.0, 1e-3, exponent)
    alone = subject.settling_velocity(1e-6, 3000.0, 1000.0, 1e-3)
    np.testing.assert_allclose(found / alone, printed, atol=6e-6)


def test_the_yield_number_is_not_put_before_the_full_weight() -> None:
    """0.143 d drho g is three times too much; 0.0476 (1/21) is the same limit written so."""
    found = float(subject.yield_stress_to_hold(1e-3, 1100.0, 1000.0))
    assert found == pytest.approx(1e-3 * 100 * STANDARD_GRAVITY / 21, rel=2e-3)
    assert found == pytest.approx(0.143 * 1e-3 * 100 * STANDARD_GRAVITY / 3, rel=1e-12)


@pytest.mark.parametrize(
    ("diameter", "particle", "printed", "cautious"),
    [
        (10e-6, 5600.0, 0.0215, 0.090),
        (100e-6, 2500.0, 0.0700, 0.294),
        (500e-6, 1400.0, 0.0934, 0.392),
        (1e-3, 900.0, 0.0467, 0.196),
    ],
)
def test_yield_stresses_computed_apart(diameter: float, particle: float, printed: float, cautious: float) -> None:
    found = subject.yield_stress_to_hold(
        diameter, particle, 1000.0, [subject.YIELD_NUMBER_BERIS, subject.YIELD_NUMBER_CAUTIOUS]
    )
    np.testing.assert_allclose(found, [printed, cautious], rtol=3e-3)


@given(st.floats(1e-6, 5e-3), densities, st.floats(0.1, 1.0))
@settings(deadline=None, database=None)
def test_what_is_held_just_holds(diameter: float, particle: float, criterion: float) -> None:
    if abs(particle - 1000.0) < 1:
        particle += 10
    stress = subject.yield_stress_to_hold(diameter, particle, 1000.0, criterion)
    assert float(subject.diameter_held(stress, particle, 1000.0, criterion)) == pytest.approx(diameter, rel=1e-9, abs=0)


def test_thermal_motion_computed_apart() -> None:
    radius = np.array([0.384e-6, 0.420e-6, 0.496e-6, 1.008e-6])
    peclet = subject.peclet_number(2 * radius, [5600.0, 4230.0, 2650.0, 900.0], 997.05, 298.15)
    np.testing.assert_allclose(peclet, 1.0, rtol=6e-3)  # a radius of three digits to the fourth power
    lengths = subject.sedimentation_length([0.2e-6, 1e-6], [4200.0, 5600.0], 1000.0, 298.15)
    np.testing.assert_allclose(lengths, [31.3e-6, 0.174e-6], rtol=2e-3)
    assert float(subject.diffusion_coefficient(200e-9, 0.8900e-3, 298.15)) == pytest.approx(2.454e-12, rel=3e-4, abs=0)


@given(diameters, st.floats(1001.0, 6000.0), st.floats(1e-4, 10.0))
@settings(deadline=None, database=None)
def test_the_peclet_number_is_velocity_over_diffusion(diameter: float, particle: float, viscosity: float) -> None:
    viscosity = max(viscosity, 1.0)
    velocity = subject.settling_velocity(diameter, particle, 1000.0, viscosity)
    diffusion = subject.diffusion_coefficient(diameter, viscosity, 298.15)
    apart = float(velocity * diameter / 2 / diffusion)
    assert float(subject.peclet_number(diameter, particle, 1000.0, 298.15)) == pytest.approx(apart, rel=1e-9, abs=0)


def test_centrifuge_computed_apart() -> None:
    force = subject.relative_centrifugal_force([0.1, 0.08], [3000 / 60, 3750 / 60])
    np.testing.assert_allclose(force, [1006.4, 1258.0], atol=0.05)
    assert float(subject.equivalent_standing_time(1800.0, force[0])) / 3600 == pytest.approx(503, abs=0.5)
    assert float(subject.equivalent_standing_time(1800.0, force[0])) / 86400 == pytest.approx(21, abs=0.05)


def test_a_spin_lets_go_what_a_gel_holds() -> None:
    """At 1 g a gel of 1 Pa holds a grain of 50 µm; at 1000 g it does not."""
    on_shelf = subject.yield_stress_to_hold(50e-6, 4230.0, 1000.0)
    in_rotor = subject.yield_stress_to_hold(50e-6, 4230.0, 1000.0, gravity=1000 * STANDARD_GRAVITY)
    assert on_shelf < 1.0 < in_rotor


@pytest.mark.parametrize(
    "result",
    [
        subject.settling_velocity(0.0, 2000.0, 1000.0, 1e-3),
        subject.settling_velocity(1e-6, -2000.0, 1000.0, 1e-3),
        subject.settling_velocity(1e-6, 2000.0, 0.0, 1e-3),
        subject.settling_velocity(1e-6, 2000.0, 1000.0, 0.0),
        subject.settling_velocity_inertial(-1e-6, 2000.0, 1000.0, 1e-3),
        subject.reynolds_number(1e-3, 1e-3, 1000.0, 0.0),
        subject.hindered_exponent(-1.0),
        subject.hindered_factor_richardson_zaki(-0.01, 5.6),
        subject.hindered_factor_richardson_zaki(0.64, 5.6),
        subject.hindered_factor_richardson_zaki(1.2, 5.6),
        subject.settling_velocity_polydisperse([1e-6, 1e-6], 2000.0, [0.4, 0.3], 1000.0, 1e-3, 5.6)[0],
        subject.yield_stress_to_hold(1e-3, 900.0, 1000.0, 0.0),
        subject.diameter_held(0.0, 900.0, 1000.0),
        subject.peclet_number(1e-6, 2000.0, 1000.0, 0.0),
        subject.sedimentation_length(0.0, 2000.0, 1000.0, 298.15),
        subject.diffusion_coefficient(1e-6, 1e-3, -1.0),
        subject.relative_centrifugal_force(0.1, -50.0),
        subject.equivalent_standing_time(-1.0, 1000.0),
    ],
)
def test_what_cannot_be_is_nan(result: float) -> None:
    assert np.isnan(result)
