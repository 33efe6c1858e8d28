"""Loss with time and warmth: the differential equation itself, and a factor that belongs to another energy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from levigate.science import decay as subject

CELSIUS = 273.15
WEEK = 604800.0
temperatures = st.floats(260.0, 340.0)
energies = st.floats(1e4, 1.5e5)


@pytest.mark.parametrize("rate", [1e-8, 1e-7, 4e-7])
def test_the_share_left_solves_the_equation_of_first_order(rate: float) -> None:
    """scipy integrates dC/dt = -k C."""
    months = np.array([0.0, 1, 3, 6, 12]) * 2.63e6
    solved = solve_ivp(lambda _, c: -rate * c, (0, months[-1]), [1.0], t_eval=months, rtol=1e-10, atol=1e-12)
    np.testing.assert_allclose(subject.first_order_share(months, rate), solved.y[0], rtol=1e-7)


@given(st.floats(0.0, 1e8), st.floats(0.0, 1e8), st.floats(1e-10, 1e-6))
@settings(deadline=None, database=None)
def test_two_times_after_each_other_multiply(one: float, other: float, rate: float) -> None:
    both = float(subject.first_order_share(one + other, rate))
    product = float(subject.first_order_share(one, rate)) * float(subject.first_order_share(other, rate))
    assert both == pytest.approx(product, rel=1e-9, abs=1e-300)


@pytest.mark.parametrize(("per_day", "nine_tenths", "half"), [(0.68e-2, 15.5, 102), (1.53e-2, 6.9, 45)])
def test_ascorbic_acid_in_creams(per_day: float, nine_tenths: float, half: float) -> None:
    """Rates of a published study (Latin American Journal of Pharmacy, 2015) in days."""
    assert float(subject.first_order_share(nine_tenths, per_day)) == pytest.approx(0.9, abs=5e-4)
    assert float(subject.first_order_share(half, per_day)) == pytest.approx(0.5, abs=4e-3)


@given(temperatures, temperatures, energies, st.floats(1e-10, 1e-5))
@settings(deadline=None, database=None)
def test_arrhenius_there_and_back(one: float, other: float, energy: float, rate: float) -> None:
    there = subject.rate_arrhenius(other, rate, one, energy)
    assert float(subject.rate_arrhenius(one, there, other, energy)) == pytest.approx(rate, rel=1e-9)
    assert (float(there) >= rate) == (other >= one) or float(there) == pytest.approx(rate, rel=1e-9)
    if abs(one - other) > 1:
        found = float(subject.activation_energy_from_two(rate, one, there, other))
        assert found == pytest.approx(energy, rel=1e-7)


@pytest.mark.parametrize(("cool", "kilojoules"), [(25, 52.9), (35, 56.5)])
def test_a_factor_of_two_is_53_kilojoules_and_not_83(cool: int, kilojoules: float) -> None:
    energy = float(subject.activation_energy_from_two(1.0, CELSIUS + cool, 2.0, CELSIUS + cool + 10))
    assert energy / 1000 == pytest.approx(kilojoules, abs=0.06)
    assert energy / 1000 < 60


@pytest.mark.parametrize(("cool", "factor"), [(25, 2.97), (20, 3.08)])
def test_the_83_of_the_pharmacopoeia_is_a_factor_of_three(cool: int, factor: float) -> None:
    """USP <1160> takes 83.144 kJ/mol for the mean kinetic temperature; a page prints it beside a factor of two."""
    ratio = float(subject.rate_arrhenius(CELSIUS + cool + 10, 1.0, CELSIUS + cool, 83144.0))
    assert ratio == pytest.approx(factor, abs=6e-3)


def test_a_constructed_set_of_rates() -> None:
    """40 to 70 °C give 78.5 kJ/mol by a straight line of all four; the ends alone 78.6."""
    ends = float(subject.activation_energy_from_two(0.00066, CELSIUS + 40, 0.0092, CELSIUS + 70))
    assert ends / 1000 == pytest.approx(78.5, abs=0.3)
    at_25 = float(subject.rate_arrhenius(CELSIUS + 25, 0.00066, CELSIUS + 40, 78500.0))
    assert at_25 == pytest.approx(1.46e-4, rel=0.02)


@pytest.mark.parametrize(("celsius", "factors"), [(40, (2.8, 4.0, 5.2)), (45, (4.0, 6.3, 9.0))])
def test_factors_from_25_degrees(celsius: int, factors: tuple[float, ...]) -> None:
    ours = subject.time_equivalent_q10(1.0, CELSIUS + celsius, CELSIUS + 25, [2.0, 2.5, 3.0])
    np.testing.assert_allclose(ours, factors, atol=0.06)


def test_eight_weeks_at_45_degrees_are_a_year_only_at_two_and_a_half() -> None:
    """The trade rule needs 2.55; with 2 it is 32 weeks, with 3 it is 72."""
    weeks = subject.time_equivalent_q10(8 * WEEK, CELSIUS + 45, CELSIUS + 25, [2.0, 2.55, 3.0]) / WEEK
    np.testing.assert_allclose(weeks, [32, 52, 72], atol=0.05)


@given(st.floats(0.0, 1e8), temperatures, temperatures, st.floats(1.1, 5.0))
@settings(deadline=None, database=None)
def test_a_test_stands_for_storage_and_back(time: float, warm: float, cool: float, q10: float) -> None:
    there = subject.time_equivalent_q10(time, warm, cool, q10)
    assert float(subject.time_equivalent_q10(there, cool, warm, q10)) == pytest.approx(time, rel=1e-9, abs=1e-9)


def test_ten_kelvin_are_one_factor_of_arrhenius() -> None:
    energy = float(subject.activation_energy_from_two(1.0, CELSIUS + 25, 2.0, CELSIUS + 35))
    by_arrhenius = float(subject.rate_arrhenius(CELSIUS + 35, 1.0, CELSIUS + 25, energy))
    by_factor = float(subject.time_equivalent_q10(1.0, CELSIUS + 35, CELSIUS + 25, 2.0))
    assert by_arrhenius == pytest.approx(by_factor, rel=1e-12)


def test_an_error_of_ten_kilojoules() -> None:
    """What the docstring says it does between 40 and 25 °C."""
    rates = subject.rate_arrhenius(CELSIUS + 25, 1.0, CELSIUS + 40, [80e3, 90e3])
    assert float(rates[0] / rates[1]) == pytest.approx(1.21, abs=5e-3)


@pytest.mark.parametrize(
    "result",
    [
        subject.first_order_share(-1.0, 1e-7),
        subject.first_order_share(1.0, -1e-7),
        subject.rate_arrhenius(0.0, 1e-7, 298.15, 8e4),
        subject.rate_arrhenius(298.15, -1e-7, 298.15, 8e4),
        subject.activation_energy_from_two(1e-7, 298.15, 2e-7, 298.15),
        subject.activation_energy_from_two(0.0, 298.15, 2e-7, 308.15),
        subject.time_equivalent_q10(-1.0, 318.15, 298.15, 2.0),
        subject.time_equivalent_q10(1.0, 318.15, 298.15, 0.0),
    ],
)
def test_what_cannot_be_is_nan(result: float) -> None:
    assert np.isnan(result)


def test_nothing_decays_at_no_rate() -> None:
    assert float(subject.first_order_share(1e9, 0.0)) == 1.0
    assert math.isclose(float(subject.first_order_share(0.0, 1.0)), 1.0)
