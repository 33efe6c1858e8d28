"""HLB: worked examples, a general optimiser beside the closed form, and answers in print that must not come back."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from levigate.science import hlb as subject
from levigate.shelf.catalogue import sources

POLYSORBATE_80, SORBITAN_OLEATE = 15.0, 4.3
GROUPS = {name: group.number for name, group in subject.DAVIES_GROUPS.items()}
tenths = st.integers(10, 200).map(lambda tenth: tenth / 10)


def davies(**counts: int) -> float:
    names = {"carbons": "CH, CH2, CH3", "ring_esters": "ester of the sorbitan ring", "amines": "tertiary amine"}
    numbers = [GROUPS[names.get(name, name)] for name in counts]
    return float(subject.hlb_davies(list(counts.values()), numbers))


@pytest.mark.parametrize(
    ("ours", "expected"),
    [
        (davies(SO4Na=1, carbons=12), 40.0),
        (davies(COONa=1, carbons=17), 18.025),
        (davies(COOK=1, carbons=17), 20.025),
        (davies(OH=1, carbons=16), 1.3),
        (davies(COOH=1, carbons=17), 1.025),
        (davies(ester=1, OH=2, carbons=20), 3.7),
        (davies(OH=1, oxyethylene=20, carbons=12), 9.8),
    ],
)
def test_groups_of_davies(ours: float, expected: float) -> None:
    assert ours == pytest.approx(expected, abs=1e-9)


def test_the_sulfate_of_newer_texts_does_not_give_40() -> None:
    assert float(subject.hlb_davies([1, 12], [38.6, -0.475])) == pytest.approx(39.9, abs=1e-9)


def test_signs_of_davies_are_not_exchanged() -> None:
    """A pharmacy text takes the groups that like water from those that like oil: 7 + 5.7 - 38.7 = -26."""
    assert davies(SO4Na=1, carbons=12) > 7
    assert all((number < 0) == (name == "CH, CH2, CH3") for name, number in GROUPS.items())


def test_groups_name_their_source() -> None:
    assert {group.source for group in subject.DAVIES_GROUPS.values()} <= set(sources())


@given(st.floats(0.01, 1.0), st.floats(0.0, 1.0))
@settings(deadline=None, database=None)
def test_the_three_rules_of_griffin_are_one(whole: float, share: float) -> None:
    by_mass = float(subject.hlb_griffin_mass(share * whole, whole))
    assert float(subject.hlb_griffin_ethoxylate(share, 0.0)) == pytest.approx(by_mass, rel=1e-12, abs=1e-12)
    assert float(subject.hlb_griffin_ethoxylate(share / 2, share / 2)) == pytest.approx(by_mass, rel=1e-12, abs=1e-12)
    assert float(subject.hlb_griffin_ester(1 - share, 1.0)) == pytest.approx(by_mass, rel=1e-9, abs=1e-12)
    assert 0 <= by_mass <= 20


def test_percent_over_five() -> None:
    """The rule as texts print it: (E + P)/5 with per cents."""
    assert float(subject.hlb_griffin_ethoxylate(0.7842)) == pytest.approx(78.42 / 5)


def test_liquid_paraffin_of_the_text() -> None:
    """50 g that ask for 10.5, 5 g of emulsifier: 2.9 g and 2.1 g, more exactly 2.897 g and 2.103 g."""
    share = float(subject.emulsifier_fraction(10.5, POLYSORBATE_80, SORBITAN_OLEATE))
    assert 5 * share == pytest.approx(2.897, abs=5e-4)
    assert 5 * (1 - share) == pytest.approx(2.103, abs=5e-4)


def test_wrong_answers_in_print_are_not_ours() -> None:
    """3.51 g and -0.369 g (a wrong total), 57.14 per cent (divided by the share of emulsifier)."""
    share = float(subject.emulsifier_fraction(10.5, POLYSORBATE_80, SORBITAN_OLEATE))
    for wrong in (3.51 / 5, -0.369 / 5, 0.5714):
        assert share != pytest.approx(wrong, abs=2e-3)
        assert 1 - share != pytest.approx(wrong, abs=2e-3)


def test_rounding_each_term_first_is_not_ours() -> None:
    """Paraffin 35, wool fat 1, cetyl alcohol 1: the text adds 11.4 + 0.3 + 0.4 = 12.1, the sum is 12.03."""
    ours = float(subject.hlb_required([0.35, 0.01, 0.01], [12.0, 10.0, 15.0]))
    assert ours == pytest.approx(12.027, abs=5e-4)
    share = float(subject.emulsifier_fraction(ours, POLYSORBATE_80, SORBITAN_OLEATE))
    assert 7 * share == pytest.approx(5.06, abs=5e-3)
    assert 7 * (1 - share) == pytest.approx(1.94, abs=6e-3)
    assert 7 * share != pytest.approx(5.10, abs=5e-3)


def test_the_sum_is_over_the_oils_not_the_formula() -> None:
    """Taking 35, 1 and 1 as they are, of 100, would ask for 4.45."""
    assert float(subject.hlb_required([0.35, 0.01, 0.01], [12.0, 10.0, 15.0])) > 10


@given(tenths, tenths, tenths)
@settings(deadline=None, database=None)
def test_two_emulsifiers_give_back_what_was_asked(required: float, first: float, second: float) -> None:
    share = float(subject.emulsifier_fraction(required, first, second))
    between = min(first, second) <= required <= max(first, second)
    if first == second or not between:
        assert np.isnan(share)
    else:
        assert float(subject.hlb_blend([share, 1 - share], [first, second])) == pytest.approx(required, rel=1e-12)


@given(st.lists(tenths, min_size=1, max_size=6), st.floats(0.0, 1.0))
@settings(deadline=None, database=None, max_examples=200)
def test_several_emulsifiers_meet_it_with_shares(hlb: list[float], place: float) -> None:
    required = min(hlb) + place * (max(hlb) - min(hlb))
    share = subject.emulsifier_fractions(required, hlb)
    assert np.all(share >= 0)
    assert share.sum() == pytest.approx(1, rel=1e-12)
    assert float(share @ np.array(hlb)) == pytest.approx(required, rel=1e-11)


@given(st.lists(tenths, min_size=3, max_size=6), st.floats(0.02, 0.98))
@settings(deadline=None, database=None, max_examples=60)
def test_nothing_nearer_to_equal_is_found_by_an_optimiser(hlb: list[float], place: float) -> None:
    """scipy's SLSQP on the same problem never beats the closed form."""
    h = np.array(hlb)
    assume(np.ptp(h) > 0.5)
    required = h.min() + place * np.ptp(h)
    equal = 1 / len(h)
    found = minimize(
        lambda w: ((w - equal) ** 2).sum(),
        np.full(len(h), equal),
        jac=lambda w: 2 * (w - equal),
        bounds=[(0, 1)] * len(h),
        constraints={
            "type": "eq",
            "fun": lambda w: [w.sum() - 1, w @ h - required],
            "jac": lambda _: np.array([np.ones(len(h)), h]),
        },
        options={"ftol": 1e-14, "maxiter": 300},
    )
    ours = subject.emulsifier_fractions(required, hlb)
    assert found.success
    assert ((ours - equal) ** 2).sum() <= found.fun + 1e-8
    np.testing.assert_allclose(ours, found.x, atol=2e-4)


def test_a_hand_case_of_three() -> None:
    """15, 4.3 and 10 for 14: the low one is left out, and 14 lies 4/5 of the way from 10 to 15."""
    np.testing.assert_allclose(subject.emulsifier_fractions(14.0, [15.0, 4.3, 10.0]), [0.8, 0, 0.2], atol=1e-15)


def test_alike_emulsifiers_share_alike() -> None:
    """The mean of three times 1.4 is a little below 1.4 in binary."""
    np.testing.assert_array_equal(subject.emulsifier_fractions(1.4, [1.4, 1.4, 1.4]), [1 / 3] * 3)


def test_the_mean_is_met_by_equal_shares() -> None:
    np.testing.assert_allclose(subject.emulsifier_fractions(9.0, [15.0, 4.0, 8.0]), 1 / 3, rtol=1e-14)


@pytest.mark.parametrize(
    ("required", "hlb", "share"),
    [(15.0, [15.0, 4.3], [1, 0]), (4.3, [15.0, 4.3], [0, 1]), (15.0, [15.0, 15.0, 4.0], [0.5, 0.5, 0])],
)
def test_the_ends_of_the_range_are_in_it(required: float, hlb: list[float], share: list[float]) -> None:
    np.testing.assert_allclose(subject.emulsifier_fractions(required, hlb), share, atol=1e-15)


@given(st.permutations([15.0, 4.3, 10.0, 8.6]))
@settings(deadline=None, database=None)
def test_the_order_does_not_matter(order: list[float]) -> None:
    by_hlb = dict(zip(order, subject.emulsifier_fractions(12.0, order), strict=True))
    usual = dict(zip([15.0, 4.3, 10.0, 8.6], subject.emulsifier_fractions(12.0, [15.0, 4.3, 10.0, 8.6]), strict=True))
    assert by_hlb == pytest.approx(usual, rel=1e-12)


@pytest.mark.parametrize(
    "result",
    [
        subject.emulsifier_fraction(16.0, POLYSORBATE_80, SORBITAN_OLEATE),
        subject.emulsifier_fraction(4.0, POLYSORBATE_80, SORBITAN_OLEATE),
        subject.emulsifier_fraction(10.0, 10.0, 10.0),
        subject.emulsifier_fractions(16.0, [15.0, 10.0, 4.3])[0],
        subject.emulsifier_fractions(4.2, [15.0, 10.0, 4.3])[1],
        subject.hlb_griffin_ester(210.0, 200.0),
        subject.hlb_griffin_ester(161.0, 0.0),
        subject.hlb_griffin_mass(0.3, 0.2),
        subject.hlb_griffin_ethoxylate(0.7, 0.4),
        subject.hlb_davies([-1, 12], [38.7, -0.475]),
        subject.hlb_blend([0.0, 0.0], [15.0, 4.3]),
        subject.hlb_required([-0.1, 0.2], [12.0, 10.0]),
    ],
)
def test_what_cannot_be_is_nan_and_never_clipped(result: float) -> None:
    assert np.isnan(result)
