"""Laws of water activity; bounds that hold whatever is between them."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from levigate.science import water_activity as subject
from levigate.shelf.catalogue import sources

GLYCEROL, PROPANEDIOL = 0.09209, 0.07609
fractions = st.floats(0.0, 0.4)
constants = st.floats(-1.5, 7.0)
molar_masses = st.floats(0.03, 0.4)


@pytest.mark.parametrize(
    ("percent", "raoult", "norrish"),
    [(5, 0.9898, 0.9897), (10, 0.9787, 0.9782), (30, 0.9226, 0.9163), (50, 0.8364, 0.8108), (80, 0.5610, 0.4486)],
)
def test_glycerol_by_hand(percent: int, raoult: float, norrish: float) -> None:
    """Moles counted with 92.094 and 18.015 g/mol, and K 1.16."""
    w = percent / 100
    moles, water = w / 92.094, (1 - w) / 18.015
    x = moles / (moles + water)
    assert float(subject.water_activity_raoult(w, 1 - w, 0.092094)) == pytest.approx(1 - x, rel=1e-12)
    assert 1 - x == pytest.approx(raoult, abs=6e-5)
    ours = float(subject.water_activity_norrish(w, 1 - w, 0.092094, 1.16))
    assert ours == pytest.approx((1 - x) * math.exp(-1.16 * x * x), rel=1e-12)
    assert ours == pytest.approx(norrish, abs=6e-5)


def test_eighty_per_cent_of_glycerol_is_where_norrish_fails() -> None:
    """Zhang 2022 has 0.4985; the docstring owns up to 0.05."""
    assert 0.04 < 0.4985 - float(subject.water_activity_norrish(0.8, 0.2, GLYCEROL, 1.16)) < 0.06


@pytest.mark.parametrize(("parts", "product"), [((10, 5, 85), 0.9633), ((20, 10, 70), 0.9121)])
def test_glycerol_and_propanediol_together(parts: tuple[int, int, int], product: float) -> None:
    water = parts[2] / 100
    single = subject.water_activity_norrish(np.array(parts[:2]) / 100, water, [GLYCEROL, PROPANEDIOL], [1.16, 1.0])
    assert float(subject.water_activity_ross(single)) == pytest.approx(product, abs=6e-5)


def test_each_solute_meets_all_the_water() -> None:
    """Counting each solute in its share of the water only would leave far less."""
    shared = subject.water_activity_norrish([0.1, 0.05], 0.85 / 2, [GLYCEROL, PROPANEDIOL], [1.16, 1.0])
    assert float(subject.water_activity_ross(shared)) < 0.93


def test_two_ideal_solutes_show_what_the_product_leaves_out() -> None:
    """A tenth of a mole of each in one of water: 1/1.2 by counting all, 1/1.21 by the product."""
    single = subject.water_activity_raoult([0.1 * 0.1, 0.1 * 0.1], subject.MOLAR_MASS_WATER, 0.1)
    assert float(subject.water_activity_ross(single)) == pytest.approx(1 / 1.21, rel=1e-12)
    bounds = subject.water_activity_bounds(subject.MOLAR_MASS_WATER, [0.01, 0.01], 0.1, 0.1, 0.0, 0.0)
    assert float(bounds.low) == pytest.approx(1 / 1.21, rel=1e-12)
    assert float(bounds.high) == pytest.approx(1 / 1.2, rel=1e-12)


@given(fractions, molar_masses, constants)
@settings(deadline=None, database=None)
def test_without_a_constant_norrish_is_raoult(w: float, molar: float, k: float) -> None:
    plain = float(subject.water_activity_raoult(w, 0.6, molar))
    assert float(subject.water_activity_norrish(w, 0.6, molar, 0.0)) == plain
    pulled = float(subject.water_activity_norrish(w, 0.6, molar, k))
    assert pulled <= plain if k >= 0 else pulled >= plain
    assert 0 <= pulled <= 1 + 1e-12


def test_a_polymer_does_nothing() -> None:
    assert float(subject.water_activity_raoult(0.05, 0.95, math.inf)) == 1.0
    assert float(subject.water_activity_raoult(0.05, 0.95, 1000.0)) == pytest.approx(1.0, abs=1e-6)


@st.composite
def rough_solutes(draw: st.DrawFn) -> dict[str, list[float]]:
    size = draw(st.integers(1, 4))
    lists = {
        "mass_fraction": st.floats(0.0, 0.15),
        "light": molar_masses,
        "heavier": st.floats(1.0, 3.0),
        "k_low": st.floats(-1.0, 4.0),
        "k_more": st.floats(0.0, 3.0),
        "at_mass": st.floats(0.0, 1.0),
        "at_k": st.floats(0.0, 1.0),
    }
    return {name: draw(st.lists(values, min_size=size, max_size=size)) for name, values in lists.items()}


@given(rough_solutes(), st.floats(0.3, 0.9))
@settings(deadline=None, database=None, max_examples=300)
def test_bounds_hold_whatever_lies_between(rough: dict[str, list[float]], water: float) -> None:
    w, light, heavier, k_low, k_more, at_mass, at_k = (np.array(values) for values in rough.values())
    heavy, k_high = light * heavier, k_low + k_more
    bounds = subject.water_activity_bounds(water, w, light, heavy, k_low, k_high)
    if np.isnan(bounds.low):
        assert np.isnan(bounds.high)
        assert (w / light).sum() * subject.MOLAR_MASS_WATER / water > 0.8
        return
    molar, k = light + at_mass * (heavy - light), k_low + at_k * (k_high - k_low)
    ross = float(subject.water_activity_ross(subject.water_activity_norrish(w, water, molar, k)))
    ratio = w / molar * subject.MOLAR_MASS_WATER / water
    x = ratio / (1 + ratio.sum())
    together = (1 - x.sum()) * math.exp(-x.sum() * float((k * x).sum()))
    for value in (ross, together):
        assert float(bounds.low) - 1e-12 <= value <= float(bounds.high) + 1e-12
    # Norrish's own way to mix constants, of which none may be below zero.
    if np.all(k >= 0):
        own = (1 - x.sum()) * math.exp(-(float((np.sqrt(k) * x).sum()) ** 2))
        assert float(bounds.low) - 1e-12 <= own


def test_an_unknown_extract_widens_upwards_to_nothing_at_all() -> None:
    """5 % of something that may be salt or may be gum: the top is that of glycerol alone."""
    bounds = subject.water_activity_bounds(0.85, [0.1, 0.05], [GLYCEROL, 0.029], [GLYCEROL, math.inf], 1.16, 1.16)
    alone = float(subject.water_activity_norrish(0.1, 0.85, GLYCEROL, 1.16))
    assert float(bounds.high) == pytest.approx(alone, rel=1e-12)
    assert float(bounds.low) < alone - 0.03


def test_salt_is_within_the_constants_that_the_notes_name() -> None:
    """-1.5 to 2.5 must hold sodium chloride: Clegg 1997 at 1 to 6 mol/kg."""
    measured = np.array([0.96688, 0.93174, 0.89318, 0.85113, 0.80630, 0.75981])
    molality = np.arange(1, 7)[:, np.newaxis]
    bounds = subject.water_activity_bounds(1.0, 0.05844 * molality, 0.02922, 0.02922, -1.5, 2.5)
    assert np.all((bounds.low <= measured + 1e-4) & (measured - 1e-4 <= bounds.high))


@pytest.mark.parametrize(
    "result",
    [
        subject.water_activity_raoult(0.1, 0.0, 0.1),
        subject.water_activity_raoult(-0.1, 0.9, 0.1),
        subject.water_activity_raoult(0.1, 0.9, 0.0),
        subject.water_activity_norrish(0.1, 0.9, -0.1, 1.0),
        subject.water_activity_ross([0.9, 1.1]),
        subject.water_activity_bounds(0.0, [0.1], 0.1, 0.1, 0.0, 0.0).low,
        subject.water_activity_bounds(0.9, [0.1], 0.2, 0.1, 0.0, 0.0).high,
        subject.water_activity_bounds(0.9, [0.1], 0.1, 0.1, 1.0, 0.0).low,
        subject.water_activity_bounds(0.1, [0.9], 0.05, 0.05, 0.0, 0.0).low,
        subject.water_activity_bounds(0.2, [0.3], 0.06, 0.06, -3.0, 0.0).high,
    ],
)
def test_what_cannot_be_is_nan(result: float) -> None:
    assert np.isnan(result)


def test_growth_needs_less_water_down_the_table() -> None:
    minima = [entry.lowest for entry in subject.GROWTH_MINIMA]
    assert minima == sorted(minima, reverse=True)
    assert all(0.6 <= entry.lowest <= entry.highest < 1 for entry in subject.GROWTH_MINIMA)
    assert {entry.source for entry in subject.GROWTH_MINIMA} <= set(sources())


def test_constants_name_their_source() -> None:
    assert {constant.source for constant in subject.NORRISH_CONSTANTS.values()} <= set(sources())
