"""Salts: saturated solutions seen from two sides, the limiting law, and signs that must not come back."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from levigate.errors import SumError
from levigate.science import salts as subject
from levigate.shelf.catalogue import sources

CELSIUS = 273.15


def test_one_mole_of_salt_is_not_one_particle() -> None:
    """Raoult with one particle leaves 0.9823; Clegg 1997 has 0.96688."""
    ours = float(subject.water_activity_salts(["sodium chloride"], [0.05844], 1.0))
    assert ours == pytest.approx(0.96688, abs=2e-4)
    assert ours < 0.97


@pytest.mark.parametrize(
    ("salt", "saturated"), [("sodium chloride", 6.146), ("potassium chloride", 4.8), ("magnesium chloride", 5.81)]
)
def test_a_saturated_solution_is_the_same_from_both_sides(salt: str, saturated: float) -> None:
    """Pitzer's equation at the molality of saturation (handbooks) against the humidity that Greenspan compiled."""
    w = subject.SALTS[salt].molar_mass * saturated
    ours = float(subject.water_activity_salts([salt], [w], 1.0))
    assert ours == pytest.approx(float(subject.humidity_saturated_salt(salt, 298.15)), abs=0.002)


@pytest.mark.parametrize("salt", subject.SALTS)
def test_every_salt_begins_with_debye_and_hueckel(salt: str) -> None:
    """(1 - phi)/sqrt(I) tends to |z+ z-| A, A = 0.3915 at 25 °C; the plain law of 1923 has 1.1745/3."""
    known = subject.SALTS[salt]
    charges = known.cation_charge * known.anion_charge
    strength = 1e-8
    molality = 2 * strength / (known.cations * known.cation_charge**2 + known.anions * known.anion_charge**2)
    slope = (1 - float(subject.osmotic_coefficient(salt, molality))) / math.sqrt(strength)
    assert slope == pytest.approx(charges * 1.1745 / 3, rel=2e-3)


@pytest.mark.parametrize("salt", subject.SALTS)
def test_every_salt_is_neutral_and_known(salt: str) -> None:
    known = subject.SALTS[salt]
    assert known.cations * known.cation_charge == known.anions * known.anion_charge
    assert known.source in sources()
    inside = subject.osmotic_coefficient(salt, [0.0, known.highest_molality, known.highest_molality + 1e-6])
    assert inside[0] == 1
    assert 0.4 < inside[1] < 4
    assert np.isnan(inside[2])


@given(st.sampled_from(sorted(subject.SALTS)), st.floats(0.01, 1.0), st.floats(0.2, 0.9))
@settings(deadline=None, database=None)
def test_one_salt_alone_is_its_osmotic_coefficient(salt: str, molality: float, water: float) -> None:
    known = subject.SALTS[salt]
    phi = float(subject.osmotic_coefficient(salt, molality))
    ions = known.cations + known.anions
    ours = float(subject.water_activity_salts([salt], [known.molar_mass * molality * water], water))
    assert math.log(ours) == pytest.approx(-ions * molality * phi * 0.018015, rel=1e-12)


@given(st.floats(0.0, 2.0), st.floats(0.0, 2.0))
@settings(deadline=None, database=None)
def test_a_salt_split_in_two_is_the_same_salt(one: float, other: float) -> None:
    names = ["sodium chloride", "sodium chloride"]
    split = subject.water_activity_salts(names, [0.05844 * one, 0.05844 * other], 1.0)
    whole = subject.water_activity_salts(names[:1], [0.05844 * (one + other)], 1.0)
    assert float(split) == pytest.approx(float(whole), rel=1e-12)


def test_the_product_of_two_salts_is_worse_than_the_rule() -> None:
    """2 mol/kg of sodium and 1 of potassium chloride: PHREEQC with pitzer.dat has 0.89772."""
    parts = [2 * 0.05844, 0.074548]
    names = ["sodium chloride", "potassium chloride"]
    together = float(subject.water_activity_salts(names, parts, 1.0))
    singly = [float(subject.water_activity_salts([name], [part], 1.0)) for name, part in zip(names, parts, strict=True)]
    assert abs(together - 0.89772) < 0.0015
    assert math.prod(singly) - 0.89772 == pytest.approx(0.004, abs=5e-4)


def test_a_salt_that_is_absent_does_not_narrow_the_range() -> None:
    """Sodium hydrogencarbonate is known to 1.3 mol/kg only."""
    names = ["sodium chloride", "sodium hydrogencarbonate"]
    assert float(subject.water_activity_salts(names, [0.3, 0.0], 1.0)) == pytest.approx(0.802, abs=0.005)
    assert np.isnan(subject.water_activity_salts(names, [0.3, 0.001], 1.0))


@pytest.mark.parametrize(
    ("salt", "constant", "kelvin"),
    [("lithium chloride", 14.53, -75), ("magnesium chloride", 29.26, 34), ("sodium chloride", 69.20, 25),
     ("potassium chloride", 49.38, 159), ("potassium sulfate", 86.75, 34), ("potassium nitrate", 43.22, 225)],
)  # fmt: skip
def test_humidities_are_those_of_the_other_fit(salt: str, constant: float, kelvin: float) -> None:
    """CRC Handbook, Constant Humidity Solutions: A exp(B/T), good to 2 % relative humidity."""
    for celsius in (20, 25):
        t = CELSIUS + celsius
        assert float(subject.humidity_saturated_salt(salt, t)) == pytest.approx(
            constant * math.exp(kelvin / t) / 100, abs=0.02
        )


@pytest.mark.parametrize(
    ("salt", "copied", "slip"),
    [
        ("lithium chloride", (11.2323, -0.00824245, -2.1489e-4), 10.89),
        ("potassium carbonate", (43.1315, -0.00147523), 43.09),
        ("potassium acetate", (22.4388, 0.156288, 6.12268e-3), 30.17),
    ],
)
def test_signs_of_public_copies_are_not_ours(salt: str, copied: tuple[float, ...], slip: float) -> None:
    wrong = np.polynomial.polynomial.polyval(25.0, copied)
    assert float(wrong) == pytest.approx(slip, abs=0.006)
    right = {"lithium chloride": 11.3, "potassium carbonate": 43.2, "potassium acetate": 22.5}[salt]
    ours = 100 * float(subject.humidity_saturated_salt(salt, 298.15))
    assert ours == pytest.approx(right, abs=0.05)
    assert abs(ours - wrong) > 0.07


def test_sodium_chloride_at_20_degrees_is_not_what_one_copy_prints() -> None:
    """75.7 between 75.6 at 15 °C and 75.3 at 25 °C cannot be; the polynomial has 75.5."""
    ours = subject.humidity_saturated_salt("sodium chloride", CELSIUS + np.array([15.0, 20.0, 25.0]))
    assert np.all(np.diff(ours) < 0)
    assert float(ours[1]) == pytest.approx(0.755, abs=5e-4)


@pytest.mark.parametrize("salt", subject.SATURATED_SALTS)
def test_humidity_ends_where_the_measurements_do(salt: str) -> None:
    known = subject.SATURATED_SALTS[salt]
    assert known.source in sources()
    edges = CELSIUS + np.array([known.lowest, known.highest, known.lowest - 0.1, known.highest + 0.1])
    ours = subject.humidity_saturated_salt(salt, edges)
    assert np.all((ours[:2] > 0) & (ours[:2] < 1))
    assert np.all(np.isnan(ours[2:]))


def test_unknown_names_are_told_the_known_ones() -> None:
    with pytest.raises(SumError, match=r"salt \"sugar\"; known are sodium chloride"):
        subject.osmotic_coefficient("sugar", 1.0)
    with pytest.raises(SumError, match=r"saturated salt called \"sugar\"; known are lithium chloride"):
        subject.humidity_saturated_salt("sugar", 298.15)
    with pytest.raises(SumError, match="2 salts were named"):
        subject.water_activity_salts(["sodium chloride", "potassium chloride"], [0.1, 0.1, 0.1], 0.7)


@pytest.mark.parametrize(
    "result",
    [
        subject.osmotic_coefficient("sodium chloride", -0.1),
        subject.water_activity_salts(["sodium chloride"], [0.1], 0.0),
        subject.water_activity_salts(["sodium chloride"], [-0.1], 0.9),
        subject.water_activity_salts(["sodium chloride"], [0.4], 0.6),
    ],
)
def test_what_cannot_be_is_nan(result: float) -> None:
    assert np.isnan(result)
