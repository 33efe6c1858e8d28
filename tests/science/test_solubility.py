"""Solubility: a library's eutectic beside ours, measured solutions that are and are not ideal, Hansen by hand."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from chemicals.solubility import solubility_eutectic
from hypothesis import given, settings
from hypothesis import strategies as st

from levigate.errors import SumError
from levigate.science import solubility as subject

# The library says that it is typed and leaves this one untyped.
library_eutectic: Callable[..., float] = solubility_eutectic

#: Solid: heat of fusion in J/mol and melting point in K, CRC Handbook.
SOLIDS = {
    "naphthalene": (19010.0, 353.37),
    "benzoic acid": (18020.0, 395.49),
    "niacinamide": (23200.0, 401.95),
    "stearic acid": (61200.0, 342.45),
    "caffeine": (22000.0, 509.25),
}
WATER, ETHANOL = [15.5, 16.0, 42.3], [15.8, 8.8, 19.4]
ACETONE, TOLUENE, EPOXY = [15.5, 10.4, 7.0], [18.0, 1.4, 2.0], [17.0, 10.0, 8.0]

solids = st.tuples(st.floats(250.0, 600.0), st.floats(5e3, 9e4))
molar_masses = st.floats(0.02, 1.0)
triples = st.lists(st.floats(0.0, 45.0), min_size=3, max_size=3)


@pytest.mark.parametrize(
    ("solid", "share"),
    [("naphthalene", 0.30169), ("benzoic acid", 0.1671), ("niacinamide", 0.0892), ("stearic acid", 0.0410),
     ("caffeine", 0.0253)],
)  # fmt: skip
def test_solids_at_room_temperature(solid: str, share: float) -> None:
    heat, melting = SOLIDS[solid]
    ours = float(subject.solubility_ideal(298.15, melting, heat))
    assert ours == pytest.approx(share, rel=2e-3)
    assert ours == pytest.approx(library_eutectic(T=298.15, Tm=melting, Hm=heat), rel=1e-9)


@given(solids, st.floats(230.0, 600.0))
@settings(deadline=None, database=None)
def test_below_the_melting_point_it_is_the_eutectic_of_the_library(solid: tuple[float, float], t: float) -> None:
    melting, heat = solid
    ours = float(subject.solubility_ideal(t, melting, heat))
    if t < melting:
        assert ours == pytest.approx(library_eutectic(T=t, Tm=melting, Hm=heat), rel=1e-9)
    else:
        assert ours == 1.0


@given(solids, st.floats(1e-6, 1.0))
@settings(deadline=None, database=None)
def test_crystallisation_is_where_the_share_is_just_dissolved(solid: tuple[float, float], x: float) -> None:
    melting, heat = solid
    t = float(subject.crystallisation_temperature(x, melting, heat))
    assert 0 < t <= melting * (1 + 1e-12)
    assert float(subject.solubility_ideal(t, melting, heat)) == pytest.approx(x, rel=1e-9)


@pytest.mark.parametrize(
    ("solvent", "a", "b", "times_below"),
    [("benzene", -2301.9, 6.5066, 1.0), ("ethanol", -4761.8, 12.470, 10.0), ("methanol", -5574.0, 14.998, 12.2)],
)
def test_what_is_ideal_and_what_is_not(solvent: str, a: float, b: float, times_below: float) -> None:
    """Naphthalene at 298 K by the fits ln x = a/T + b of the IUPAC-NIST Solubility Data Series 59."""
    measured = math.exp(a / 298 + b)
    ours = float(subject.solubility_ideal(298.0, 353.37, 19010.0))
    assert ours / measured == pytest.approx(times_below, rel=0.03), solvent


@given(st.floats(0.0, 1.0), molar_masses, molar_masses)
@settings(deadline=None, database=None)
def test_mass_to_moles_and_back(w: float, molar: float, solvent: float) -> None:
    x = subject.mole_fraction_from_mass_fraction(w, molar, solvent)
    assert 0 <= float(x) <= 1 + 1e-12
    back = subject.mass_fraction_from_mole_fraction(np.minimum(x, 1.0), molar, solvent)
    assert float(back) == pytest.approx(w, rel=1e-12, abs=1e-15)


def test_moles_by_hand() -> None:
    """10 g of naphthalene (128.17) and 90 g of benzene (78.11): 0.07802 and 1.15222 mol."""
    assert float(subject.mole_fraction_from_mass_fraction(0.1, 0.12817, 0.07811)) == pytest.approx(0.06342, abs=5e-6)


@pytest.mark.parametrize(
    ("cosolvent", "factor"), [("ethanol", 5.63), ("propane-1,2-diol", 4.97), ("macrogol 400", 7.58), ("glycerol", 2.10)]
)
def test_thirty_per_cent_of_a_cosolvent(cosolvent: str, factor: float) -> None:
    """log Kow 2.26 at 30 % by volume."""
    power = subject.cosolvency_power(cosolvent, 2.26)
    mixed = float(subject.solubility_cosolvent(2.24, [power], [0.3]))
    assert mixed / 2.24 == pytest.approx(factor, abs=6e-3)


@pytest.mark.parametrize(
    ("log_kow", "in_water", "in_ethanol"),
    # Benzoic acid 1 in 2.3, salicylic acid 1 in 3 of ethanol (pharmacopoeias, from memory): grams per litre, roughly.
    [(1.87, 3.4, 350.0), (2.26, 2.24, 270.0)],
)
def test_cosolvency_is_rough(log_kow: float, in_water: float, in_ethanol: float) -> None:
    """A factor of three to either side is what the docstring promises, and no more."""
    ours = float(subject.solubility_cosolvent(in_water, [subject.cosolvency_power("ethanol", log_kow)], [1.0]))
    assert 1 / 3 < ours / in_ethanol < 3
    assert abs(math.log(ours / in_ethanol)) > 0.2


@given(st.floats(0.01, 10.0), st.floats(-1.0, 3.0), st.floats(-1.0, 3.0), st.floats(0.0, 0.5), st.floats(0.0, 0.5))
@settings(deadline=None, database=None)
def test_cosolvents_multiply(water: float, one: float, other: float, f: float, g: float) -> None:
    both = float(subject.solubility_cosolvent(water, [one, other], [f, g]))
    first = float(subject.solubility_cosolvent(water, [one], [f]))
    assert both == pytest.approx(float(subject.solubility_cosolvent(first, [other], [g])), rel=1e-12)
    assert float(subject.solubility_cosolvent(water, [one, other], [0.0, 0.0])) == water


@pytest.mark.parametrize(
    ("one", "other", "distance"),
    [(ACETONE, EPOXY, 3.1875), (ETHANOL, EPOXY, 11.7115), (TOLUENE, EPOXY, 10.6752), (WATER, ETHANOL, 24.0127),
     (ETHANOL, TOLUENE, 19.4134)],
)  # fmt: skip
def test_distances_by_hand(one: list[float], other: list[float], distance: float) -> None:
    """Acetone and epoxy: 4 x 1.5² + 0.4² + 1² = 10.16."""
    assert float(subject.distance_hansen(one, other)) == pytest.approx(distance, abs=5e-5)


def test_the_four_is_not_on_the_polar_term() -> None:
    """A trade article has it there: acetone and epoxy would be 1.972 apart."""
    swapped = math.sqrt(1.5**2 + 4 * 0.4**2 + 1.0**2)
    assert swapped == pytest.approx(1.972, abs=5e-4)
    assert float(subject.distance_hansen(ACETONE, EPOXY)) > 3


def test_two_that_do_not_dissolve_a_resin_may_do_so_together() -> None:
    blend = subject.hansen_blend([0.5, 0.5], [ETHANOL, TOLUENE])
    np.testing.assert_allclose(blend, [16.9, 5.1, 10.7], rtol=1e-12)
    together = float(subject.distance_hansen(blend, EPOXY))
    assert together == pytest.approx(5.5982, abs=5e-5)
    for alone in (ETHANOL, TOLUENE):
        assert float(subject.relative_energy_difference(subject.distance_hansen(alone, EPOXY), 8.0)) > 1
    assert float(subject.relative_energy_difference(together, 8.0)) < 1


@given(triples, triples, triples, st.floats(0.0, 1.0))
@settings(deadline=None, database=None)
def test_hansen_space_is_a_space(a: list[float], b: list[float], c: list[float], f: float) -> None:
    ab, bc, ac = (float(subject.distance_hansen(*pair)) for pair in ((a, b), (b, c), (a, c)))
    assert ab == float(subject.distance_hansen(b, a))
    assert ac <= ab + bc + 1e-9
    # A blend lies on the line between its liquids.
    blend = subject.hansen_blend([f, 1 - f], [a, b])
    to_a, to_b = (float(subject.distance_hansen(blend, end)) for end in (a, b))
    assert to_a + to_b == pytest.approx(ab, rel=1e-9, abs=1e-9)
    assert to_a == pytest.approx((1 - f) * ab, rel=1e-9, abs=1e-9)


def test_grams_per_hundred_millilitres_are_no_mass_fraction() -> None:
    """50 g in 100 g of water: 0.333, so 40 % is over saturated and not under."""
    assert float(subject.saturation_ratio(0.4, 50 / 150)) == pytest.approx(1.2)


def test_unknown_cosolvents_are_told_the_known_ones() -> None:
    with pytest.raises(SumError, match=r"cosolvent \"water\"; known are ethanol"):
        subject.cosolvency_power("water", 1.0)


@pytest.mark.parametrize(
    "result",
    [
        subject.solubility_ideal(0.0, 350.0, 2e4),
        subject.solubility_ideal(298.0, 350.0, 0.0),
        subject.crystallisation_temperature(0.0, 350.0, 2e4),
        subject.crystallisation_temperature(1.1, 350.0, 2e4),
        subject.mole_fraction_from_mass_fraction(1.1, 0.1, 0.1),
        subject.mass_fraction_from_mole_fraction(0.5, 0.0, 0.1),
        subject.solubility_cosolvent(1.0, [2.0, 2.0], [0.6, 0.6]),
        subject.solubility_cosolvent(1.0, [2.0], [-0.1]),
        subject.relative_energy_difference(3.0, 0.0),
        subject.hansen_blend([0.0, 0.0], [ETHANOL, TOLUENE])[0],
        subject.hansen_blend([1.5, -0.5], [ETHANOL, TOLUENE])[0],
        subject.saturation_ratio(0.1, 0.0),
    ],
)
def test_what_cannot_be_is_nan(result: float) -> None:
    assert np.isnan(result)
