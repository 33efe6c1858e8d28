"""Preservation: mass balances solved the long way, the criteria of ISO 11930 case by case."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from levigate.science import preservation as subject
from levigate.science.preservation import Grade, OrganismKind

BACTERIUM, YEAST, MOULD = OrganismKind
NO_ACID = math.inf

oil = st.floats(0.0, 0.9)
partition = st.floats(0.0, 300.0)
acidity = st.floats(2.0, 11.0)
surfactant = st.floats(0.0, 100.0)
binding = st.floats(0.0, 2.0)


@given(oil, partition, acidity, acidity, surfactant, binding)
@settings(deadline=None, database=None)
def test_nothing_is_lost_between_oil_micelles_and_water(
    q: float, k: float, ph: float, pka: float, s: float, bound: float
) -> None:
    """The four places filled from a free concentration must hold what was put in; scipy finds that concentration."""
    total = 3.0

    def held(free: float) -> float:
        in_water = free * (1 + 10 ** (ph - pka)) + free * bound * s
        return in_water * (1 - q) + free * k * q

    free = brentq(lambda c: held(c) - total, 0.0, total / (1 - q) * 1.01, xtol=1e-15, rtol=1e-13)
    ours = float(subject.active_concentration(total, q, k, ph, pka, s, bound))
    assert ours == pytest.approx(free, rel=1e-9, abs=1e-12)
    share = float(subject.share_active(q, k, ph, pka, s, bound))
    assert share * total == pytest.approx(free * (1 - q), rel=1e-9, abs=1e-12)


@given(oil, partition, surfactant, binding)
@settings(deadline=None, database=None)
def test_bean_with_emulsifier(q: float, k: float, s: float, bound: float) -> None:
    """Bean 1972, equation v: c (phi + 1)/(K phi + R), with phi oil over water and R = 1 + C S."""
    phi = q / (1 - q)
    ours = float(subject.active_concentration(1.0, q, k, 7.0, NO_ACID, s, bound))
    assert ours == pytest.approx((phi + 1) / (k * phi + 1 + bound * s), rel=1e-12)


@pytest.mark.parametrize(
    ("ph", "benzoic", "sorbic"),
    [(3, 94.09, 98.29), (4, 61.42, 85.19), (5, 13.74, 36.53), (6, 1.57, 5.44), (7, 0.16, 0.57)],
)
def test_without_oil_it_is_dissociation_alone(ph: float, benzoic: float, sorbic: float) -> None:
    for pka, percent in ((4.202, benzoic), (4.76, sorbic)):
        assert 100 * float(subject.share_active(0.0, 5.0, ph, pka)) == pytest.approx(percent, abs=6e-3)


def test_dissociation_alone_overstates_what_works() -> None:
    """Benzoic acid at pH 4.5 in a cream of 30 % oil with a coefficient of 5: a third by pH, a fifth in truth."""
    alone = float(subject.share_active(0.0, 5.33, 4.5, 4.202))
    in_cream = float(subject.share_active(0.3, 5.33, 4.5, 4.202))
    assert alone == pytest.approx(0.335, abs=1e-3)
    assert in_cream == pytest.approx(0.190, abs=1e-3)


def test_one_cell_of_a_printed_table_is_not_ours() -> None:
    """Bean 1972, table VIII, 10 % of soya oil: 0.027 as seen, where the equation above it gives 0.022."""
    ours = float(subject.active_concentration(2.0, 0.1, 80.0, 7.0, NO_ACID)) / 10
    assert ours == pytest.approx(0.0225, abs=5e-5)


def test_an_oil_that_dissolves_none_makes_the_water_richer() -> None:
    assert float(subject.active_concentration(2.0, 0.5, 0.0, 7.0, NO_ACID)) == pytest.approx(4.0)
    assert float(subject.share_active(0.5, 0.0, 7.0, NO_ACID)) == 1.0


@given(oil, partition, acidity, acidity, surfactant, binding)
@settings(deadline=None, database=None)
def test_more_oil_surfactant_or_alkali_never_leaves_more(
    q: float, k: float, ph: float, pka: float, s: float, bound: float
) -> None:
    share = float(subject.share_active(q, k, ph, pka, s, bound))
    assert 0 < share <= 1
    more = [
        subject.share_active(q + 0.05, k, ph, pka, s, bound),
        subject.share_active(q, k, ph + 0.5, pka, s, bound),
        subject.share_active(q, k, ph, pka, s + 10, bound),
    ]
    assert all(float(less) <= share for less in more)


def grade(kind: OrganismKind, counts: list[float], deviation: float = 0.5) -> float:
    return float(subject.challenge_grade(counts, kind, deviation))


def after(start: float, *reductions: float) -> list[float]:
    return [start, *(start - reduction for reduction in reductions)]


NOT_READ = math.nan


@pytest.mark.parametrize(
    ("kind", "reductions", "expected"),
    [
        (BACTERIUM, (3.2, 3.4, 3.4), Grade.A),
        (BACTERIUM, (3.0, 3.0, 3.0), Grade.A),
        (BACTERIUM, (2.9, 3.4, 3.4), Grade.B),
        (BACTERIUM, (2.9, 2.9, 3.4), Grade.FAIL),
        (BACTERIUM, (3.2, 3.4, 2.9), Grade.FAIL),
        (BACTERIUM, (4.0, 3.6, 3.2), Grade.A),
        (BACTERIUM, (4.0, 3.4, 3.2), Grade.B),
        (BACTERIUM, (5.0, 4.6, 3.9), Grade.FAIL),
        (YEAST, (1.1, 1.3, 1.3), Grade.A),
        (YEAST, (0.9, 1.3, 1.3), Grade.B),
        (YEAST, (1.1, 0.8, 1.3), Grade.FAIL),
        (MOULD, (NOT_READ, 0.1, 1.2), Grade.A),
        (MOULD, (NOT_READ, 0.1, 0.4), Grade.B),
        (MOULD, (NOT_READ, -0.4, 1.2), Grade.A),
        (MOULD, (NOT_READ, -0.6, 1.2), Grade.FAIL),
        (MOULD, (NOT_READ, 0.1, -0.6), Grade.FAIL),
        (MOULD, (NOT_READ, 1.8, 1.2), Grade.FAIL),
    ],
)
def test_criteria_case_by_case(kind: OrganismKind, reductions: tuple[float, ...], expected: Grade) -> None:
    """The last mould has fallen far enough but rose by 0.6 since day 14, which B does not allow either."""
    assert grade(kind, after(6.0, *reductions)) == expected


def test_the_product_is_its_weakest_organism() -> None:
    counts = np.array([after(6.1, 3.0, 3.4, 3.4), after(5.8, 1.1, 1.3, 1.3), after(5.2, NOT_READ, 0.1, 0.4)])
    grades = subject.challenge_grade(counts, [BACTERIUM, YEAST, MOULD])
    np.testing.assert_array_equal(grades, [Grade.A, Grade.A, Grade.B])
    assert grades.min() == Grade.B


def test_binary_noise_fails_nobody() -> None:
    """6.1 - 3.1 is less than 3 for a computer."""
    assert 6.1 - 3.1 < 3
    assert grade(BACTERIUM, [6.1, 3.1, 3.1, 3.1]) == Grade.A


def test_a_strict_reading_is_stricter() -> None:
    counts = after(6.0, 4.0, 3.8, 3.8)
    assert grade(BACTERIUM, counts) == Grade.A
    assert grade(BACTERIUM, counts, deviation=0.0) == Grade.B
    assert grade(MOULD, after(5.0, NOT_READ, -0.1, 1.2), deviation=0.0) == Grade.FAIL


def test_a_missing_day_hides_a_pass_but_not_a_failure() -> None:
    assert math.isnan(grade(BACTERIUM, after(6.0, NOT_READ, 3.4, 3.4)))
    assert grade(BACTERIUM, after(6.0, NOT_READ, 2.0, 3.4)) == Grade.FAIL
    assert math.isnan(grade(YEAST, after(6.0, 1.2, NOT_READ, 1.3)))
    assert math.isnan(float(subject.challenge_grade(after(6.0, 3.2, 3.4, 3.4), 3)))


@pytest.mark.parametrize(
    ("reductions", "row", "margin"),
    [
        ((3.2, 3.4, 3.5), [3, 3, 3], 0.2),
        ((2.6, 3.4, 3.5), [3, 3, 3], -0.4),
        ((4.0, 3.8, 3.7), [3, 3, 3], 0.3),
        ((0.0, 3.4, 3.5), [-math.inf, 3, 3], 0.4),
        ((0.0, 0.1, 0.4), [-math.inf, 0, 1], -0.6),
        ((0.0, 0.1, 0.4), [-math.inf, 0, 0], 0.6),
    ],
)
def test_margins_by_hand(reductions: tuple[float, ...], row: list[float], margin: float) -> None:
    assert float(subject.challenge_margin(after(6.0, *reductions), row)) == pytest.approx(margin, abs=1e-12)


@given(st.lists(st.floats(0.0, 7.0), min_size=4, max_size=4), st.sampled_from(list(OrganismKind)), st.floats(0.0, 1.0))
@settings(deadline=None, database=None, max_examples=300)
def test_whatever_meets_a_meets_b(counts: list[float], kind: OrganismKind, deviation: float) -> None:
    a = float(subject.challenge_margin(counts, subject.ISO_11930_A[kind], deviation))
    b = float(subject.challenge_margin(counts, subject.ISO_11930_B[kind], deviation))
    assert a <= b


def test_criteria_are_as_the_laboratories_quote_them() -> None:
    asked = {"A": subject.ISO_11930_A, "B": subject.ISO_11930_B}
    assert asked["A"][BACTERIUM].tolist() == [3, 3, 3]
    assert asked["A"][YEAST].tolist() == [1, 1, 1]
    assert asked["A"][MOULD].tolist() == [-math.inf, 0, 1]
    assert asked["B"][BACTERIUM].tolist() == [-math.inf, 3, 3]
    assert asked["B"][YEAST].tolist() == [-math.inf, 1, 1]
    assert asked["B"][MOULD].tolist() == [-math.inf, 0, 0]


@given(st.floats(1.0, 8.0), st.floats(0.1, 5.0), st.floats(1.0, 1e7))
@settings(deadline=None, database=None)
def test_a_steady_death_gives_back_its_time(start: float, fallen: float, time: float) -> None:
    d = subject.decimal_reduction_time(start, start - fallen, time)
    assert float(subject.log_count_surviving(start, time, d)) == pytest.approx(start - fallen, rel=1e-12, abs=1e-12)
    assert float(subject.log_count_surviving(start, float(d), d)) == pytest.approx(start - 1, rel=1e-12, abs=1e-12)


def test_a_million_in_a_week() -> None:
    """A fall by three powers of ten in 7 days: 2.33 days for each; 14 days leave one of a million."""
    d = float(subject.decimal_reduction_time(6.0, 3.0, 7.0))
    assert d == pytest.approx(7 / 3)
    assert float(subject.log_count_surviving(6.0, 14.0, d)) == pytest.approx(0.0, abs=1e-12)
    assert float(subject.log_count_surviving(6.0, 14.0, math.inf)) == 6.0


@pytest.mark.parametrize(
    "result",
    [
        subject.share_active(1.0, 5.0, 4.0, 4.2),
        subject.share_active(-0.1, 5.0, 4.0, 4.2),
        subject.share_active(0.2, -1.0, 4.0, 4.2),
        subject.share_active(0.2, 5.0, 4.0, 4.2, -1.0, 0.1),
        subject.active_concentration(-1.0, 0.2, 5.0, 4.0, 4.2),
        subject.challenge_margin(after(6.0, 3, 3, 3), [3, 3, 3], -0.5),
        subject.decimal_reduction_time(6.0, 6.0, 7.0),
        subject.decimal_reduction_time(6.0, 7.0, 7.0),
        subject.log_count_surviving(6.0, -1.0, 7.0),
        subject.log_count_surviving(6.0, 1.0, 0.0),
    ],
)
def test_what_cannot_be_is_nan(result: float) -> None:
    assert np.isnan(result)
