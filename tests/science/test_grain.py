"""Laws of lognormal grain, checked by summing over it, and the sieve sizes of older charts."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from levigate.science import grain as subject

diameters = st.floats(1e-7, 1e-3)
spreads = st.floats(1.01, 4.0)


@pytest.mark.parametrize(("number", "older"), [(100, 149e-6), (200, 74e-6), (325, 44e-6), (400, 37e-6)])
def test_older_charts_are_not_the_standard(number: int, older: float) -> None:
    assert 0.5e-6 < float(subject.sieve_opening(number)) - older < 1.5e-6


def test_sieves_get_finer_with_their_number() -> None:
    assert np.all(np.diff(subject._SIEVE_NUMBER) > 0)
    assert np.all(np.diff(subject._SIEVE_OPENING) < 0)


@pytest.mark.parametrize("number", [0.0, 1.0, 99.0, 636.0, -60.0, np.inf])
def test_a_sieve_that_does_not_exist_is_nan(number: float) -> None:
    assert np.isnan(subject.sieve_opening(number))


@pytest.mark.parametrize(
    "result",
    [
        subject.grain_sigma(5e-6, 4e-6),
        subject.grain_sigma(0.0, 4e-6),
        subject.grain_share_below(-1e-6, 5e-6, 2.0),
        subject.grain_share_below(1e-6, 5e-6, 0.9),
        subject.grain_diameter(0.0, 5e-6, 2.0),
        subject.grain_diameter(1.0, 5e-6, 2.0),
        subject.sauter_diameter(5e-6, 0.9),
        subject.mass_mean_diameter(-5e-6, 2.0),
    ],
)
def test_what_cannot_be_is_nan(result: float) -> None:
    assert np.isnan(result)


@given(diameters, spreads, st.floats(0.001, 0.999))
@settings(deadline=None, database=None)
def test_share_and_diameter_are_inverse(d50: float, sigma: float, share: float) -> None:
    diameter = subject.grain_diameter(share, d50, sigma)
    assert float(subject.grain_share_below(diameter, d50, sigma)) == pytest.approx(share, rel=1e-9)


@given(diameters, spreads)
@settings(deadline=None, database=None)
def test_sigma_comes_back_from_d90(d50: float, sigma: float) -> None:
    d90 = subject.grain_diameter(0.9, d50, sigma)
    assert float(subject.grain_sigma(d50, d90)) == pytest.approx(sigma, rel=1e-12)


@pytest.mark.parametrize("sigma", [1.2, 2.0, 2.8])
def test_means_are_what_summing_over_the_grains_gives(sigma: float) -> None:
    """The definitions: d32 = sum n d³ / sum n d², d43 = sum n d⁴ / sum n d³, half of the number below d_n."""
    d50 = 5e-6
    edges = d50 * sigma ** np.linspace(-12, 12, 200_001)
    d = np.sqrt(edges[1:] * edges[:-1])
    number = np.diff(subject.grain_share_below(edges, d50, sigma)) / d**3

    def moment(power: int) -> float:
        return float((number * d**power).sum())

    assert float(subject.sauter_diameter(d50, sigma)) == pytest.approx(moment(3) / moment(2), rel=1e-6)
    assert float(subject.mass_mean_diameter(d50, sigma)) == pytest.approx(moment(4) / moment(3), rel=1e-6)
    below = np.cumsum(number) / number.sum()
    assert float(subject.count_median_diameter(d50, sigma)) == pytest.approx(float(np.interp(0.5, below, d)), rel=1e-3)


def test_grains_all_alike() -> None:
    assert subject.grain_share_below([4e-6, 5e-6, 6e-6], 5e-6, 1.0).tolist() == [0.0, 0.5, 1.0]
