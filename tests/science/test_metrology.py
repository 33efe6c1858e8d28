"""Laws of weighing and of the fill ladder, and the slips that must not come back."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from levigate.science import metrology as subject

steps = st.floats(1e-7, 1e-2)


def test_the_rounded_figure_is_two_roundings() -> None:
    """USP <41> prints the floor as 0.41 d."""
    assert round(float(subject.weighing_uncertainty(1.0)), 2) == 0.41


def test_two_roundings_as_thrown() -> None:
    """A million weighings by a perfect scale that shows whole steps scatter by 0.408 steps."""
    rng = np.random.default_rng(20)
    tare, mass = rng.uniform(0, 100, 1_000_000), 30.4
    shown = np.round(tare + mass) - np.round(tare)
    # At one mass the scatter depends on where it falls between steps; over all masses it is sqrt(1/6).
    masses = rng.uniform(30, 31, 1_000_000)
    scatter = np.round(tare + masses) - np.round(tare) - masses
    assert float(scatter.std()) == pytest.approx(math.sqrt(1 / 6), rel=3e-3)
    assert set(np.unique(shown)) == {30.0, 31.0}


def test_three_tenths_of_a_gram_on_a_kitchen_scale() -> None:
    assert float(subject.weighing_error(0.3e-3, 0.1e-3)) == pytest.approx(0.27, abs=0.005)


@given(steps, st.floats(1e-4, 0.5), st.floats(0, 1e-2), st.floats(1, 4))
@settings(deadline=None, database=None)
def test_the_smallest_mass_is_just_within_its_error(d: float, error: float, s: float, k: float) -> None:
    mass = subject.smallest_mass(d, error, s, k)
    assert float(subject.weighing_error(mass, d, s, k)) == pytest.approx(error, rel=1e-12)


@given(steps, st.floats(0, 1e-2))
@settings(deadline=None, database=None)
def test_a_scale_is_never_better_than_its_display(d: float, s: float) -> None:
    both = float(subject.weighing_uncertainty(d, s))
    assert both >= float(subject.weighing_uncertainty(d))
    assert both >= s


@pytest.mark.parametrize(
    "result",
    [
        subject.weighing_uncertainty(0.0),
        subject.weighing_uncertainty(1e-4, -1e-5),
        subject.weighing_error(0.0, 1e-4),
        subject.weighing_error(1e-3, 1e-4, coverage=0.0),
        subject.smallest_mass(1e-4, 0.0),
        subject.tolerable_negative_error(0.0049),
        subject.tolerable_negative_error(10.001),
        subject.tolerable_negative_error_volume(4.9e-6),
    ],
)
def test_what_cannot_be_is_nan(result: float) -> None:
    assert np.isnan(result)


@pytest.mark.parametrize("grams", [50, 100, 200, 300, 500, 1000])
def test_the_ladder_has_no_jump_where_its_steps_meet(grams: int) -> None:
    around = subject.tolerable_negative_error(np.array([grams - 0.01, grams, grams + 0.01]) / 1000)
    assert np.ptp(around) <= 0.1e-3 + 1e-12


def test_a_percentage_is_rounded_up_never_down() -> None:
    """The bare percentage (0.45 g of 5 g, 1.35 g of 15 g, 6.75 g of 150 g) is not what the law allows."""
    ours = subject.tolerable_negative_error(np.array([5, 15, 150]) / 1000) * 1000
    np.testing.assert_allclose(ours, [0.5, 1.4, 6.8], rtol=1e-12)


@given(st.integers(50, 100_000))
@settings(deadline=None, database=None)
def test_rounding_up_adds_less_than_a_tenth(tenths: int) -> None:
    """Exact decimal arithmetic beside the floats, for every tenth of a gram from 5 g to 10 kg."""
    from decimal import ROUND_CEILING, Decimal

    grams = Decimal(tenths) / 10
    ladder = [(50, "0.09", "0"), (100, "0", "4.5"), (200, "0.045", "0"), (300, "0", "9"), (500, "0.03", "0"),
              (1000, "0", "15"), (10000, "0.015", "0")]  # fmt: skip
    share, fixed = next((Decimal(share), Decimal(fixed)) for end, share, fixed in ladder if grams <= end)
    exact = (share * grams + fixed).quantize(Decimal("0.1"), rounding=ROUND_CEILING)
    by_mass = float(subject.tolerable_negative_error(tenths / 10 / 1000)) * 1000
    by_volume = float(subject.tolerable_negative_error_volume(tenths / 10 * 1e-6)) * 1e6
    assert by_mass == pytest.approx(float(exact), abs=1e-9)
    assert by_volume == pytest.approx(float(exact), abs=1e-9)
