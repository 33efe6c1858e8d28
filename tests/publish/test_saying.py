"""How a number is said: one formatter for terminal, page and sheet."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from levigate.quantities.saying import bench_unit, digits, to_bench, with_spread


@pytest.mark.parametrize(
    ("value", "figures", "said"),
    [
        (0.967187, 4, "0.9672"),
        (0.967187, 2, "0.97"),
        (9.99996, 4, "10.00"),
        (999.96, 4, "1000"),
        (0.99999, 4, "1.000"),
        (12345.6, 4, "12346"),
        (600.0, 4, "600.0"),
        (0.0003, 4, "0.0003000"),
        (1.5e-7, 3, "1.50e-07"),
        (2.5e10, 3, "2.50e+10"),
        (-0.5, 2, "-0.50"),
        (0.0, 4, "0"),
        (-0.0, 4, "0"),
        (math.nan, 4, "not known"),
        (math.inf, 4, "without bound"),
        (-math.inf, 4, "without bound"),
    ],
)
def test_digits(value: float, figures: int, said: str) -> None:
    assert digits(value, figures) == said


@pytest.mark.parametrize(
    ("value", "low", "high", "said"),
    [
        (0.99252, 0.9896, 0.9952, "0.9925"),  # ± 0.0028: two digits of it
        (595.51, 593.8, 597.1, "595.5"),
        (12345.6, 12000.0, 12700.0, "12350"),  # ± 350
        (12345.6, 12345.0, 12346.0, "12345.60"),
        (0.71, None, None, "0.7100"),
        (0.71, 0.71, 0.71, "0.7100"),
        (3.0e-9, 2.9e-9, 3.1e-9, "3.00e-09"),
        (0.0, -0.001, 0.001, "0.0000"),
        (math.nan, 0.0, 1.0, "not known"),
    ],
)
def test_with_spread(value: float, low: float | None, high: float | None, said: str) -> None:
    assert with_spread(value, low, high) == said


@given(st.floats(1e-5, 1e8), st.integers(2, 8))
def test_what_is_said_is_the_number_within_half_a_digit(value: float, figures: int) -> None:
    size = math.floor(math.log10(value))
    assert abs(float(digits(value, figures)) - value) <= 0.5001 * 10.0 ** (size - figures + 1)


@given(st.floats(1e-3, 1e6), st.floats(1e-4, 0.5))
def test_what_is_said_with_a_spread_loses_none_of_its_meaning(value: float, share: float) -> None:
    half = value * share
    assert abs(float(with_spread(value, value - half, value + half)) - value) <= 0.06 * half


@pytest.mark.parametrize(
    ("value", "unit", "shown", "bench"),
    [
        (967.187, "kg/m³", 0.967187, "g/mL"),
        (6e-4, "m³", 600.0, "mL"),
        (0.5, "kg", 500.0, "g"),
        (0.25, "1", 25.0, "%"),
        (12e-6, "m", 12.0, "µm"),
        (348.15, "K", 75.0, "°C"),
        (5.0, "Pa s", 5.0, "Pa.s"),
        (0.18216, "kg/mol", 182.16, "g/mol"),
        (40.0, "EUR/kg", 40.0, "EUR/kg"),
    ],
)
def test_bench_units(value: float, unit: str, shown: float, bench: str) -> None:
    assert to_bench(value, unit) == pytest.approx(shown, rel=1e-12)
    assert bench_unit(unit) == bench
