"""Sharing out a batch beside trying everything, the law of packs beside its tables and thrown samples."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from levigate.science import filling as subject
from levigate.science.density import density_ethanol_water, density_water

grams = st.integers(0, 400)
sizes = st.lists(st.integers(5, 120), min_size=1, max_size=3)
DAY = 86400.0


def tried(batch: int, fills: list[int], stock: list[int]) -> tuple[int, int, int]:
    """Return grams left over, containers and sizes of the best mix, found by trying everything."""
    ways = product(*(range(min(batch // fill, most) + 1) for fill, most in zip(fills, stock, strict=True)))
    marks = []
    for way in ways:
        left = batch - sum(count * fill for count, fill in zip(way, fills, strict=True))
        if left >= 0:
            marks.append((left, sum(way), sum(count > 0 for count in way)))
    return min(marks)


def told(
    batch: int, fills: list[int], counts: np.ndarray[tuple[int, ...], np.dtype[np.float64]]
) -> tuple[int, int, int]:
    whole = [round(float(count)) for count in counts]
    left = batch - sum(count * fill for count, fill in zip(whole, fills, strict=True))
    return left, sum(whole), sum(count > 0 for count in whole)


@given(grams, sizes, st.lists(st.integers(0, 12), min_size=3, max_size=3))
@settings(deadline=None, database=None)
def test_no_mix_is_better(batch: int, fills: list[int], stock: list[int]) -> None:
    mine = stock[: len(fills)]
    ours = subject.containers_best_mix(batch / 1000, np.array(fills) / 1000, mine)
    assert told(batch, fills, ours) == tried(batch, fills, mine)
    free = subject.containers_best_mix(batch / 1000, np.array(fills) / 1000)
    assert told(batch, fills, free) == tried(batch, fills, [batch] * len(fills))


@given(grams, st.integers(1, 120))
@settings(deadline=None, database=None)
def test_one_size_is_division_with_remainder(batch: int, fill: int) -> None:
    """Whole grams, said in kilograms, must not lose a container to the last bit."""
    count, left = divmod(batch, fill)
    assert float(subject.containers_filled(batch / 1000, fill / 1000)) == count
    assert float(subject.mass_left_over(batch / 1000, fill / 1000)) == pytest.approx(left / 1000, abs=1e-12)
    assert float(subject.containers_best_mix(batch / 1000, [fill / 1000])[0]) == count


@given(st.floats(0.01, 10), st.lists(st.floats(0.02, 0.2), min_size=2, max_size=3))
@settings(deadline=None, database=None)
def test_a_mix_leaves_no_more_than_one_size_would(batch: float, fills: list[float]) -> None:
    mix = subject.mass_left_over_mix(batch, fills, subject.containers_best_mix(batch, fills))
    single = subject.mass_left_over(batch, fills)
    assert 0 <= float(mix) <= float(single.min()) + 1e-9 * batch
    assert float(mix) < min(fills)


def test_half_a_kilogram_in_jars() -> None:
    """Ten of 50 g; with three of those at hand, one and fifteen of 30 g, for three would leave 20 g over."""
    np.testing.assert_array_equal(subject.containers_best_mix(0.5, [0.03, 0.05]), [0, 10])
    counts = subject.containers_best_mix(0.5, [0.03, 0.05], [100, 3])
    np.testing.assert_array_equal(counts, [15, 1])
    assert float(subject.mass_left_over_mix(0.5, [0.03, 0.05], counts)) == 0


def test_too_many_ways_are_refused() -> None:
    assert np.isnan(subject.containers_best_mix(10.0, [0.002, 0.0021, 0.0022])).all()


def test_sizes_keep_their_order() -> None:
    one = subject.containers_best_mix(0.47, [0.03, 0.05, 0.11])
    other = subject.containers_best_mix(0.47, [0.11, 0.03, 0.05])
    np.testing.assert_array_equal(one, other[[1, 2, 0]])


@given(st.floats(700, 1500), st.floats(270, 360), st.floats(270, 360), st.floats(1e-5, 2e-3))
@settings(deadline=None, database=None)
def test_density_there_and_back(rho: float, one: float, other: float, beta: float) -> None:
    there = subject.density_at_temperature(rho, one, other, beta)
    assert float(subject.density_at_temperature(there, other, one, beta)) == pytest.approx(rho, rel=1e-12)
    grown = subject.volume_at_temperature(1e-4, one, other, beta)
    assert float(grown * there) == pytest.approx(1e-4 * rho, rel=1e-12), "no mass is made"


@pytest.mark.parametrize("celsius", [10.0, 30.0])
def test_ethanol_grows_as_its_table_says(celsius: float) -> None:
    """With the mean coefficient between 20 and 40 °C; its change with temperature leaves 0.05 %."""
    at_20, at_40 = (float(density_ethanol_water(1.0, 273.15 + t)) for t in (20, 40))
    beta = np.log(at_20 / at_40) / 20
    ours = subject.density_at_temperature(at_20, 293.15, 273.15 + celsius, beta)
    assert float(ours) == pytest.approx(float(density_ethanol_water(1.0, 273.15 + celsius)), rel=5e-4)


def test_water_does_not_have_one_coefficient() -> None:
    """The docstring's warning: 0.0002 per kelvin at 20 °C, 0.0006 at 75 °C."""

    def coefficient(celsius: float) -> float:
        low, high = (float(density_water(273.15 + celsius + step)) for step in (-1, 1))
        return float(np.log(low / high) / 2)

    assert coefficient(20) == pytest.approx(2e-4, abs=0.5e-4)
    assert coefficient(75) == pytest.approx(6e-4, abs=0.5e-4)


def test_a_straight_line_differs_by_what_the_docstring_says() -> None:
    curved = subject.volume_at_temperature(1.0, 293.15, 343.15, 7e-4)
    assert float(curved) / (1 + 7e-4 * 50) - 1 == pytest.approx(6e-4, abs=0.5e-4)


def test_fifty_millilitres_filled_hot() -> None:
    """Balm of 0.880 g/mL at 70 °C: 50 mL at 20 °C weigh 45.7 g, not 44 g, and fill 51.9 mL while hot."""
    mass = subject.mass_for_volume(5e-5, 880.0, 343.15, 7.5e-4)
    assert float(mass) * 1000 == pytest.approx(44 * np.exp(0.0375), rel=1e-12)
    hot = float(mass) / 880.0
    assert hot == pytest.approx(float(subject.volume_at_temperature(5e-5, 293.15, 343.15, 7.5e-4)), rel=1e-12)
    assert (hot - 5e-5) * 1e6 == pytest.approx(1.91, abs=0.005)


@pytest.mark.parametrize("count", [2, 5, 12, 20, 99])
def test_student_factor_is_that_of_the_distribution(count: int) -> None:
    """`stats.t.ppf` goes another way than the quantile used."""
    expected = stats.t.ppf(0.995, count - 1) / np.sqrt(count)
    assert float(subject.mean_criterion_factor(float(count))) == pytest.approx(expected, rel=1e-9)


def test_a_batch_just_at_its_nominal_quantity_is_turned_away_once_in_two_hundred() -> None:
    """That is what 0.995 means; thrown 40 000 times."""
    rng = np.random.default_rng(76211)
    packs = rng.normal(0.03, 0.0004, (40_000, 20))
    verdict = subject.judge_fill_mass(packs, 0.03)
    assert float(1 - verdict.mean_accepted.mean()) == pytest.approx(0.005, abs=0.0015)
    assert float(verdict.average_kept.mean()) == pytest.approx(0.5, abs=0.01)


def test_packs_just_at_the_limits_keep_them() -> None:
    """30 g may be 2.7 g short, 5.4 g at the very most: 27.3 g and 24.6 g, which no double holds exactly."""
    verdict = subject.judge_fill_mass([0.0273, 0.0246, 0.0327, 0.0354], 0.03)
    assert float(verdict.tolerable_error) == pytest.approx(0.0027)
    assert (float(verdict.short), float(verdict.far_short)) == (1, 0)
    assert (float(verdict.none_far_short), float(verdict.few_short)) == (1, 0)
    assert float(verdict.average_kept) == 1
    below = subject.judge_fill_mass([0.0273, 0.02459, 0.0327, 0.0354], 0.03)
    assert (float(below.far_short), float(below.none_far_short), float(below.average_kept)) == (1, 0, 0)


@given(st.lists(st.floats(0.02, 0.04), min_size=2, max_size=30), st.floats(0, 0.2))
@settings(deadline=None, database=None)
def test_verdict_by_hand(packs: list[float], allowed: float) -> None:
    """Counted one by one, nominal 30 g; a reading within a millionth of a limit is left out."""
    mean, deviation = float(np.mean(packs)), float(np.std(packs, ddof=1))
    short, far = sum(x < 0.0273 for x in packs), sum(x < 0.0246 for x in packs)
    limit = 0.03 - stats.t.ppf(0.995, len(packs) - 1) * deviation / np.sqrt(len(packs))
    close = [x - edge for x in packs for edge in (0.0273, 0.0246)] + [mean - 0.03, mean - limit]
    if min(abs(gap) for gap in close) < 3e-8 or abs(short / len(packs) - allowed) < 1e-6:
        return
    verdict = subject.judge_fill_mass(packs, 0.03, allowed)
    assert float(verdict.mean) == pytest.approx(mean)
    assert float(verdict.deviation) == pytest.approx(deviation, abs=1e-12)
    assert float(verdict.mean_limit) == pytest.approx(limit)
    assert (float(verdict.short), float(verdict.far_short)) == (short, far)
    flags = [verdict.average_kept, verdict.few_short, verdict.none_far_short, verdict.mean_accepted]
    expected = [mean >= 0.03, short / len(packs) <= allowed, far == 0, mean >= limit]
    assert [float(flag) for flag in flags] == [float(truth) for truth in expected]


def test_a_volume_is_judged_by_its_density() -> None:
    packs = np.array([[0.0481, 0.0479, 0.0480], [0.0425, 0.0400, 0.0480]])
    by_volume = subject.judge_fill_volume(packs, 5e-5, 960.0)
    by_mass = subject.judge_fill_mass(packs / 0.96, 0.05)
    for flag in ("average_kept", "few_short", "none_far_short", "mean_accepted", "short", "far_short"):
        np.testing.assert_array_equal(getattr(by_volume, flag), getattr(by_mass, flag))
    np.testing.assert_allclose(by_volume.mean, by_mass.mean / 1000)


def test_one_pack_has_a_mean_but_no_spread() -> None:
    verdict = subject.judge_fill_mass([0.0301], 0.03)
    assert float(verdict.average_kept) == 1
    assert np.isnan([verdict.deviation, verdict.mean_limit, verdict.mean_accepted]).all()


@pytest.mark.parametrize(
    ("grams_filled", "grams_a_day", "days"),
    [(30, 1.54, 19), (50, 1.54, 32), (200, 7.82, 26), (50, 2.16, 23), (5, 0.057, 88), (250, 18.67, 13)],
)
def test_how_long_a_pack_lasts(grams_filled: float, grams_a_day: float, days: int) -> None:
    """Amounts a day of the SCCS Notes of Guidance, 12th revision, table 3A; the days worked out by hand."""
    lasts = subject.time_container_lasts(grams_filled / 1000, 0.0, grams_a_day / 1000 / DAY)
    assert round(float(lasts) / DAY) == days
    with_residue = subject.time_container_lasts(grams_filled / 1000, 0.2, grams_a_day / 1000 / DAY)
    assert float(with_residue) == pytest.approx(0.8 * float(lasts))


@pytest.mark.parametrize(
    "result",
    [
        subject.containers_filled(-0.1, 0.03),
        subject.containers_filled(0.1, 0.0),
        subject.mass_left_over(0.1, -0.03),
        subject.mass_left_over_mix(0.1, [0.03, 0.05], [3, 1]),
        subject.mass_left_over_mix(0.1, [0.03, 0.05], [1, -1]),
        subject.containers_best_mix(-0.1, [0.03])[0],
        subject.containers_best_mix(np.inf, [0.03])[0],
        subject.containers_best_mix(0.1, [0.03, 0.0])[0],
        subject.containers_best_mix(0.1, [0.03, 0.05], [3, -1])[0],
        subject.density_at_temperature(0.0, 293.15, 303.15, 1e-3),
        subject.density_at_temperature(900.0, 0.0, 303.15, 1e-3),
        subject.volume_at_temperature(-1e-5, 293.15, 303.15, 1e-3),
        subject.mass_for_volume(-1e-5, 900.0, 293.15, 1e-3),
        subject.mean_criterion_factor(1.0),
        subject.mean_criterion_factor(20.5),
        subject.judge_fill_mass([0.004, 0.004], 0.004).average_kept,
        subject.judge_fill_mass([0.03, -0.03], 0.03).average_kept,
        subject.judge_fill_mass([0.03, np.nan], 0.03).none_far_short,
        subject.judge_fill_mass([0.03, 0.03], 0.03, 1.5).few_short,
        subject.judge_fill_mass([], 0.03).short,
        subject.judge_fill_volume([0.03, 0.03], 3e-5, 0.0).short,
        subject.time_container_lasts(0.03, 0.0, 0.0),
        subject.time_container_lasts(0.03, 1.0, 1e-8),
    ],
)
def test_what_cannot_be_is_nan(result: float) -> None:
    assert np.isnan(result)
