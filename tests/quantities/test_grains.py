"""Grain by sieve and by grind, and powders as poured: against scipy, the standard sieves and the pharmacopoeia."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from levigate.errors import UnitError
from levigate.formula.grinds import grind_of, grinds, read_sieve
from levigate.quantities.graph import Floats
from levigate.quantities.inputs import Inputs
from levigate.quantities.sourced import EXACT
from levigate.shelf.catalogue import plain, sources
from levigate.shelf.record import GRADES
from tests.quantities.formulas import formula, gathered, shown


def powder(grain: str, *, draws: int = 2000, percent: float = 8) -> Inputs:
    line = f'{{ material = "zinc oxide", percent = {percent}, grain = {grain} }}'
    return gathered(formula(f'{line}, {{ material = "squalane", percent = "q.s." }}'), draws=draws)


def sizes(inputs: Inputs) -> tuple[Floats, Floats]:
    """Return median and geometric standard deviation, the central row first. [m], [1]"""
    return inputs.given["powder_d50"][..., 0], inputs.given["powder_sigma"][..., 0]


def finer(diameter: float, d50: Floats, sigma: Floats) -> Floats:
    """Return the share finer than a diameter, from the lognormal distribution of scipy."""
    return np.asarray(stats.lognorm.cdf(diameter, s=np.log(sigma), scale=d50))


@given(
    st.lists(st.sampled_from([20, 25, 32, 38, 45, 53, 63, 75, 90, 125, 150]), min_size=2, max_size=2, unique=True),
    st.lists(st.integers(2, 98), min_size=2, max_size=2, unique=True),
)
@settings(deadline=None, database=None, max_examples=40)
def test_two_sieves_give_the_powder_that_passes_them_so(openings: list[int], shares: list[int]) -> None:
    pairs = list(zip(sorted(openings), sorted(shares), strict=True))
    stack = json.dumps([[f"{size} um", f"{share} %"] for size, share in pairs])
    d50, sigma = sizes(powder(f"{{ sieves = {stack} }}", draws=0))
    for size, share in pairs:
        assert float(finer(size * 1e-6, d50, sigma)[0]) == pytest.approx(share / 100, rel=1e-9)


def test_three_sieves_are_fitted_by_a_straight_line_of_probits() -> None:
    """The line of `numpy.polyfit` through the probits of `scipy.stats.norm`."""
    d50, sigma = sizes(powder('{ sieves = [["45 um", "30 %"], ["75 um", "72 %"], ["150 um", "97 %"]] }', draws=0))
    slope, at_nought = np.polyfit(np.log([45e-6, 75e-6, 150e-6]), stats.norm.ppf([0.30, 0.72, 0.97]), 1)
    assert float(d50[0]) == pytest.approx(math.exp(-at_nought / slope), rel=1e-9)
    assert float(sigma[0]) == pytest.approx(math.exp(1 / slope), rel=1e-9)


def test_a_median_and_a_sieve_are_two_points() -> None:
    d50, sigma = sizes(powder('{ d50 = "12 um", sieve = "45 um", passing = "99 %" }', draws=0))
    assert float(d50[0]) == pytest.approx(12e-6, rel=1e-9)
    assert float(finer(45e-6, d50, sigma)[0]) == pytest.approx(0.99, rel=1e-9)


def test_of_one_sieve_what_passes_is_held_and_the_rest_has_a_spread() -> None:
    d50, sigma = sizes(powder('{ sieve = "63 um", passing = "95 %" }'))
    passing = finer(63e-6, d50, sigma)
    assert float(passing[0]) == pytest.approx(0.95, rel=1e-9)
    low, high = np.quantile(passing[1:], (0.025, 0.975))
    assert 0.90 < low < 0.95 < high < 0.98  # only the opening of the sieve is in doubt
    low, high = np.quantile(sigma[1:], (0.025, 0.975))
    assert low == pytest.approx(1.6, rel=0.03) and high == pytest.approx(3.2, rel=0.05)
    assert (sigma > 1).all()


def test_a_mesh_without_a_share_passes_what_the_pharmacopoeia_asks() -> None:
    """Method 2.9.12: where a single sieve is named, not less than 97 % of the powder passes."""
    d50, sigma = sizes(powder("{ mesh = 200 }"))
    passing = finer(75e-6, d50, sigma)
    assert float(passing[0]) == pytest.approx(0.97, abs=0.005)
    assert np.quantile(passing[1:], 0.025) == pytest.approx(0.89, abs=0.03)


@pytest.mark.parametrize(("says", "opening"), [
    ("200 mesh", 75e-6), ("No. 200", 75e-6), ("#200", 75e-6), ("325 mesh", 45e-6), ("mesh 400", 38e-6),
    ("60-mesh", 250e-6), ("3.5 mesh", 5.6e-3), ("63 um", 63e-6), ("0.045 mm", 45e-6),
])  # fmt: skip
def test_a_sieve_is_read_by_number_or_opening(says: str, opening: float) -> None:
    """Openings of ASTM E11, table 1."""
    assert read_sieve(says) == pytest.approx(opening, rel=1e-12)


@pytest.mark.parametrize(
    ("says", "near"), [("210 mesh", "200 or 230"), ("2 mesh", "3.5 or 4"), ("9999 mesh", "500 or 635")]
)
def test_a_sieve_that_is_not_there_is_told_from_its_neighbours(says: str, near: str) -> None:
    with pytest.raises(UnitError, match=f"the nearest are {near}"):
        read_sieve(says)


@pytest.mark.parametrize("name", list(grinds()))
def test_a_grind_in_words_is_as_wide_as_its_table_says(name: str) -> None:
    grind = grind_of(name)
    inputs = powder(f'{{ ground = "{name}" }}')
    d50, sigma = sizes(inputs)
    assert float(d50[0]) == pytest.approx(math.sqrt(grind.d50[0] * grind.d50[1]), rel=1e-12)
    assert np.quantile(d50[1:], (0.025, 0.975)) == pytest.approx(np.array(grind.d50), rel=0.12)
    assert np.quantile(sigma[1:], (0.025, 0.975)) == pytest.approx(np.array(grind.sigma), rel=0.06)
    (median,) = inputs.behind["powder_d50"]
    (spread,) = inputs.behind["powder_sigma"]
    assert {median.source, spread.source} == {grind.source} <= set(sources())
    assert median.grade == grind.grade != EXACT and grind.grade in GRADES
    assert median.spread is not None and spread.spread is not None


def test_no_word_for_a_grind_means_two() -> None:
    words = [plain(word) for grind in grinds().values() for word in (grind.name, *grind.names)]
    assert len(set(words)) == len(words)
    assert all(1 < grind.sigma[0] < grind.sigma[1] and grind.d50[0] < grind.d50[1] for grind in grinds().values())


def test_the_medians_of_the_pharmacopoeia_are_its_own() -> None:
    """USP 811, table: moderately fine 180 to 355 µm, fine 125 to 180 µm, very fine to 125 µm."""
    ends = [grind_of(name).d50 for name in ("moderately fine powder", "fine powder", "very fine powder")]
    assert ends[0] == pytest.approx((180e-6, 355e-6)) and ends[1] == pytest.approx((125e-6, 180e-6))
    assert ends[2][1] == pytest.approx(125e-6)


def test_a_grain_that_is_drawn_moves_nothing_else() -> None:
    exact, rough = powder('{ d50 = "40 um", d90 = "90 um" }', draws=50), powder('{ ground = "mortar" }', draws=50)
    for leaf, array in exact.given.items():
        if leaf not in ("powder_d50", "powder_sigma"):
            np.testing.assert_array_equal(array, rough.given[leaf])
    assert "powder_d50" in rough.drawn and "powder_d50" not in exact.drawn


def test_a_rough_grain_gives_a_rough_need() -> None:
    """The yield stress needed goes as the coarse tenth, so its spread is that of d90 of the draws."""
    inputs = powder('{ ground = "mortar" }', draws=1000)
    d50, sigma = sizes(inputs)
    d90 = stats.lognorm.ppf(0.9, s=np.log(sigma), scale=d50)
    (row,) = shown(inputs.formula, "yield_needed")["yield_needed"].rows
    assert row.low is not None and row.high is not None
    low, high = np.quantile(d90[1:], (0.025, 0.975))
    assert row.high / row.low == pytest.approx(high / low, rel=0.02)


def test_powders_as_poured() -> None:
    """100 g with a fifth of a powder of 0.5 g/mL whose grains are of 2.5 g/mL: 40 mL, four fifths of it air."""
    own = '[materials."rock flour"]\nform = "powder"\naffinity = "insoluble"\ndensity = "2.5 g/mL"\n{bulk}'
    lines = (
        '{ material = "rock flour", percent = 20, grain = { d50 = "9 um" } }, { material = "squalane", percent = 80 }'
    )
    head = 'makes = "100 g"'
    known = shown(formula(lines, head=head, rest=own.format(bulk='bulk_density = "0.5 g/mL"')))
    for name, value in (("bulk_density", 0.5), ("poured_air", 80.0), ("poured_volume", 40.0)):
        (row,) = known[name].rows
        assert row.value == pytest.approx(value, rel=1e-9)
        assert row.low is not None and row.high is not None and row.low < value < row.high
    unknown = shown(formula(lines, head=head, rest=own.format(bulk="")))
    for name in ("bulk_density", "poured_air", "poured_volume"):
        assert unknown[name].unknown.startswith("The bulk density of rock flour is not known: pour rock flour loosely")
    wrong = shown(formula(lines, head=head, rest=own.format(bulk='bulk_density = "2.6 g/mL"')))
    assert "above the density of the grains themselves cannot be" in wrong["poured_air"].unknown


def test_without_a_powder_or_a_batch_nothing_is_poured() -> None:
    assert not {"bulk_density", "poured_air", "poured_volume"} & set(shown(formula("squalane 100")))
    unmade = set(shown(formula('{ material = "talc", percent = 5 }, { material = "squalane", percent = 95 }')))
    assert {"bulk_density", "poured_air"} <= unmade and "poured_volume" not in unmade
