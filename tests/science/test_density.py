"""What the printed cases cannot say: slips in circulation that must not come back, and laws of mixtures."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from levigate.science import density as subject

fractions = st.floats(0, 1)


def kelvin(celsius: float) -> float:
    return celsius + 273.15


def test_the_mean_of_densities_is_not_the_density() -> None:
    """70 % water, 5 % glycerol, 25 % isopropyl myristate: 0.96719 g/mL; weighting by mass gives 0.97509."""
    w, rho = np.array([0.70, 0.05, 0.25]), np.array([998.2, 1261.08, 853.2])
    assert float(subject.density_mixture_ideal(w, rho)) == pytest.approx(967.19, abs=0.01)
    assert float((w * rho).sum()) == pytest.approx(975.09, abs=0.01)


def test_exchanged_digits_in_the_ethanol_table() -> None:
    """A public copy has C(2,3) = -2.170575700563993 for -2.170575700536993: too small to see in kg/m³.

    Two others carry wrong C coefficients, which water and 20 °C do not betray; the cells at 10 and 40 °C do.
    """
    assert -2.170575700536993 in subject._C[1]
    assert [len(row) for row in subject._C] == [11, 10, 9, 4, 2]


@pytest.mark.parametrize("row", range(5))
def test_every_row_of_the_ethanol_table_is_felt(row: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """A coefficient wrong by one part in a hundred must move a strong mixture at one end of the range."""
    for column in range(len(subject._C[row])):
        wrong = [list(entries) for entries in subject._C]
        wrong[row][column] *= 1.01
        with monkeypatch.context() as patch:
            patch.setattr(subject, "_C", tuple(map(tuple, wrong)))
            cold = float(subject.density_ethanol_water(0.95, kelvin(-20)))
            hot = float(subject.density_ethanol_water(0.95, kelvin(40)))
        right = subject.density_ethanol_water(0.95, [kelvin(-20), kelvin(40)])
        assert max(abs(cold - right[0]), abs(hot - right[1])) > 5e-4


def test_ethanol_by_volume_meets_another_table() -> None:
    """OIV-MA-AS312-02 (R2009), table I, 20 °C, 0 to 11 % by volume; its 995.2 at 2 % has one digit only."""
    printed = [998.20, 996.70, 995.2, 993.81, 992.42, 991.06, 989.73, 988.44, 987.17, 985.93, 984.71, 983.52]
    allowed = np.where(np.arange(12) == 2, 0.05, 0.01)
    mass_fraction = subject.mass_fraction_ethanol_water(np.arange(12) / 100)
    ours = subject.density_ethanol_water(mass_fraction, kelvin(20))
    assert np.all(np.abs(ours - printed) <= allowed)


def test_forty_percent_by_volume_is_a_third_by_mass() -> None:
    assert float(subject.mass_fraction_ethanol_water(0.40)) == pytest.approx(0.333, abs=5e-4)


def test_older_glycerol_lines_do_not_come_back() -> None:
    """1277 - 0.654 t gives 1263.9 and the rounded 1273 - 0.612 t gives 1260.76 where Bosart has 1261.08."""
    ours = float(subject.density_glycerol_water(1.0, kelvin(20)))
    assert abs(ours - 1261.08) < 0.05
    assert abs(ours - 1260.76) > 0.25
    assert abs(ours - 1263.92) > 2.5


def test_exchanged_digits_in_the_water_formula_do_not_come_back() -> None:
    """A reprint of Kell's formula divides by 1 + 0.016897850 t, two digits exchanged: 997.936 at 20 °C."""
    t = 20.0
    reprint = 999.83952 + t * (
        16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12)))
    )
    assert reprint / (1 + 0.016897850 * t) == pytest.approx(997.936, abs=0.001)
    assert reprint / (1 + 0.016879850 * t) == pytest.approx(998.204, abs=0.001)
    assert float(subject.density_water(kelvin(t))) == pytest.approx(998.203, abs=0.001)


def test_water_is_densest_near_four_degrees() -> None:
    celsius = np.linspace(0, 10, 1001)
    assert celsius[np.argmax(subject.density_water(celsius + 273.15))] == pytest.approx(3.98, abs=0.03)


def test_propylene_glycol_is_densest_inside_and_ideal_mixing_cannot_show_it() -> None:
    w = np.linspace(0, 1, 201)
    ours = subject.density_propylene_glycol_water(w)
    ideal = subject.density_mixture_ideal(np.stack([w, 1 - w], axis=-1), [1032.41, 997.0])
    assert 0.65 < w[np.argmax(ours)] < 0.75
    assert w[np.argmax(ideal)] == 1.0
    assert float((ideal / ours - 1).min()) == pytest.approx(-0.0200, abs=2e-4)


def test_propylene_glycol_lies_between_two_other_laboratories() -> None:
    """George and Sastry (2003) and Khattab (2017) at 25 °C and 20.6 % by mass: 1014.9 and 1011.3 kg/m³."""
    assert 1011.3 < float(subject.density_propylene_glycol_water(0.2064)) < 1014.9


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (subject.density_water, (kelvin(-0.1),)),
        (subject.density_water, (kelvin(100.1),)),
        (subject.density_ethanol_water, (0.5, kelvin(40.1))),
        (subject.density_ethanol_water, (0.5, kelvin(-20.1))),
        (subject.density_ethanol_water, (1.001, kelvin(20))),
        (subject.density_ethanol_water, (-0.001, kelvin(20))),
        (subject.volume_fraction_ethanol_water, (1.001,)),
        (subject.mass_fraction_ethanol_water, (-0.001,)),
        (subject.volume_after_mixing_ethanol_water, (-1e-12, 1e-6, kelvin(20))),
        (subject.volume_after_mixing_ethanol_water, (0.0, 0.0, kelvin(20))),
        (subject.density_glycerol_water, (0.5, kelvin(14.9))),
        (subject.density_glycerol_water, (0.5, kelvin(30.1))),
        (subject.density_propylene_glycol_water, (1.001,)),
        (subject.density_mixture_ideal, ([0.5, 0.5], [1000.0, 0.0])),
        (subject.density_mixture_ideal, ([-0.1, 1.1], [1000.0, 900.0])),
        (subject.density_mixture_ideal, ([0.0, 0.0], [1000.0, 900.0])),
        (subject.volume_change_on_mixing, (0.0, [0.5, 0.5], [1000.0, 900.0])),
    ],
)
def test_outside_its_range_is_nan(function: object, arguments: tuple[object, ...]) -> None:
    assert callable(function)
    assert np.isnan(function(*arguments))


@pytest.mark.parametrize("edge", [-1e-12, 1 + 1e-12])
def test_a_fraction_off_the_edge_by_its_last_bits_is_inside(edge: float) -> None:
    assert np.isfinite(subject.density_ethanol_water(edge, kelvin(20)))
    assert np.isfinite(subject.density_glycerol_water(edge, kelvin(20)))
    assert np.isfinite(subject.density_propylene_glycol_water(edge))


@pytest.mark.parametrize("fahrenheit", [-4.0, 104.0])
def test_the_edge_itself_is_inside(fahrenheit: float) -> None:
    assert np.isfinite(subject.density_ethanol_water(0.95, (fahrenheit + 459.67) * 5 / 9))


@given(fractions, st.floats(700, 1500), st.floats(700, 1500))
@settings(deadline=None, database=None)
def test_an_ideal_mixture_lies_between_its_parts(w: float, one: float, other: float) -> None:
    ours = float(subject.density_mixture_ideal([w, 1 - w], [one, other]))
    assert min(one, other) * (1 - 1e-12) <= ours <= max(one, other) * (1 + 1e-12)


@given(fractions)
@settings(deadline=None, database=None)
def test_strength_by_volume_and_by_mass_are_inverse(q: float) -> None:
    p = subject.mass_fraction_ethanol_water(q)
    assert float(subject.volume_fraction_ethanol_water(p)) == pytest.approx(q, abs=1e-12)
    assert float(p) <= q + 1e-12


@given(st.floats(1e-6, 1e-3), st.floats(1e-6, 1e-3), st.floats(-20, 40))
@settings(deadline=None, database=None)
def test_ethanol_and_water_shrink_and_keep_their_mass(ethanol: float, water: float, celsius: float) -> None:
    t = kelvin(celsius)
    volume = float(subject.volume_after_mixing_ethanol_water(ethanol, water, t))
    assert 0.95 * (ethanol + water) < volume <= (ethanol + water) * (1 + 1e-12)
    parts = ethanol * subject.density_ethanol_water(1, t), water * subject.density_ethanol_water(0, t)
    mixed = subject.density_ethanol_water(parts[0] / sum(parts), t)
    assert float(volume * mixed) == pytest.approx(float(sum(parts)), rel=1e-12)
