"""Sums of grains: which way, how much slower among others, what holds them, and a tube read backwards."""

from __future__ import annotations

import re

import numpy as np
import pytest
from scipy.stats import lognorm, norm

from levigate import units
from tests.reckon.told import figure_of, sum_of, value_of

WATER = "liquid_density=1g/mL"


def test_a_grain_sinks_and_a_drop_rises() -> None:
    sand = f"settling diameter=70um particle_density=2.6g/mL {WATER} viscosity=1mPa.s"
    # A second library, fluids 1.3.1, drag after Barati: 4.1425 mm/s.
    assert figure_of(sand, "velocity").value == pytest.approx(4.1425, rel=0.005)
    assert figure_of(sand, "velocity_stokes").value == pytest.approx(4.27, abs=0.005)
    assert figure_of(sand, "reynolds").value == pytest.approx(0.29, abs=0.005)
    oil = "settling diameter=5um particle_density=0.92g/mL liquid_density=0.9982g/mL viscosity=1.0016mPa.s"
    assert value_of(oil, "velocity", "um/s", "speed") == pytest.approx(-1.063, abs=0.0005)
    assert figure_of(oil, "velocity").unit == "mm/day"


def test_past_stokes_only_the_velocity_with_inertia_is_given() -> None:
    answer = sum_of(f"settling diameter=1mm particle_density=2.6g/mL {WATER} viscosity=1mPa.s")
    assert "velocity_stokes" not in answer.figures
    assert any("ends at a Reynolds number of 1" in note for note in answer.notes)


@pytest.mark.parametrize(("diameter", "exponent"), [("2um", 5.6), ("700um", 4.48)])
def test_neighbours_slow_by_the_branch_of_the_grain(diameter: str, exponent: float) -> None:
    line = f"settling diameter={diameter} particle_density=2.6g/mL {WATER} viscosity=1000mPa.s"
    alone = value_of(line, "velocity_stokes", "mm/s", "speed")
    among = value_of(f"{line} solids=20%", "velocity_hindered", "mm/s", "speed")
    assert among / alone == pytest.approx(0.8**exponent, rel=1e-9)


def test_near_the_step_both_branches_are_named() -> None:
    line = f"settling diameter=100um particle_density=2.6g/mL {WATER} viscosity=100mPa.s solids=20%"
    assert any("may as well be" in note for note in sum_of(line).notes)
    assert not any("may as well be" in note for note in sum_of(line.replace("100um", "1um")).notes)


def test_solids_by_mass_are_turned_into_volume() -> None:
    line = f"settling diameter=2um particle_density=4g/mL {WATER} viscosity=10mPa.s"
    by_mass = figure_of(f"{line} solids_by_mass=40%", "velocity_hindered").value
    by_volume = figure_of(f"{line} solids={100 * 10 / 70}%", "velocity_hindered").value
    assert by_mass == pytest.approx(by_volume, rel=1e-9)


def test_the_time_to_fall_is_the_height_over_the_velocity() -> None:
    line = f"settling diameter=2um particle_density=4g/mL {WATER} viscosity=10mPa.s solids=10% height=5cm"
    velocity = value_of(line, "velocity_hindered", "mm/day", "speed")
    assert value_of(line, "time", "day", "time") == pytest.approx(50 / velocity, rel=1e-9)
    (seen,) = (found[1] for note in sum_of(line).notes if (found := re.search("1 mm, .* after about (.*)[.]", note)))
    assert units.si(seen, "time") == pytest.approx(86400 / velocity, rel=0.05)


def test_where_the_densities_leave_the_way_open_no_time_is_given() -> None:
    answer = sum_of(f"settling diameter=50um particle_density=1.001g/mL {WATER} viscosity=1mPa.s height=5cm")
    assert "time" not in answer.figures
    assert any("do not say which way" in note for note in answer.notes)


def test_heat_lifts_what_is_very_fine() -> None:
    """Grains of 0.2 µm in water, 3.2 g/mL heavier: 31.3 um (k T over weight, reckoned apart)."""
    fine = sum_of(f"settling diameter=0.2um particle_density=4.2g/mL {WATER} viscosity=1mPa.s temperature=25C")
    assert any("lifted over about 31 µm" in note for note in fine.notes)
    coarse = sum_of(f"settling diameter=20um particle_density=4.2g/mL {WATER} viscosity=1mPa.s")
    assert not any("Heat stirs" in note for note in coarse.notes)


@pytest.mark.parametrize(
    ("diameter", "density", "least", "cautious"),
    [("10um", "5.6", 0.0215, 0.090), ("100um", "2.5", 0.0700, 0.294), ("500um", "1.4", 0.0934, 0.392)],
)
def test_the_yield_stress_that_holds(diameter: str, density: str, least: float, cautious: float) -> None:
    """0.0476 d Δρ g, and 0.2 d Δρ g, reckoned apart; 0.143 d Δρ g would be three times too much."""
    line = f"suspend diameter={diameter} particle_density={density}g/mL {WATER}"
    assert figure_of(line, "yield_stress").value == pytest.approx(least, rel=0.005)
    cautious_figure = figure_of(line, "yield_stress_cautious")
    assert cautious_figure.value == pytest.approx(cautious, rel=0.005)
    assert cautious_figure.grade == "memory"
    assert any("3 τ/(2 R Δρ g)" in text for text in sum_of(line).working)


def test_of_a_powder_99_percent_are_held() -> None:
    powder = lognorm(s=np.log(20 / 10) / norm.ppf(0.9), scale=10)
    line = f"suspend d50=10um d90=20um particle_density=5.6g/mL {WATER}"
    coarse = f"suspend diameter={powder.ppf(0.99)}um particle_density=5.6g/mL {WATER}"
    assert figure_of(line, "yield_stress").value == pytest.approx(figure_of(coarse, "yield_stress").value, rel=1e-9)


@pytest.mark.parametrize(
    ("stress", "verdict"), [("0.01Pa", "does not hold"), ("0.05Pa", "computed limit"), ("0.1Pa", "cautious figure too")]
)
def test_what_a_gel_holds(stress: str, verdict: str) -> None:
    line = f"suspend diameter=10um particle_density=5.6g/mL {WATER} yield_stress={stress}"
    answer = sum_of(line)
    assert verdict in answer.notes[0]
    held = answer.figures["diameter_held"]
    assert held.unit == "µm"
    back = figure_of(f"suspend diameter={held.value!r}um particle_density=5.6g/mL {WATER}", "yield_stress")
    assert back.value == pytest.approx(float(stress.removesuffix("Pa")), rel=1e-9)


@pytest.mark.parametrize("grain", ["diameter=2um particle_density=4.2g/mL", "diameter=8um particle_density=0.9g/mL"])
def test_a_tube_read_backwards_gives_the_viscosity_that_made_its_layer(grain: str) -> None:
    forwards = f"settling {grain} {WATER} viscosity=800mPa.s solids=10%"
    layer = abs(value_of(forwards, "velocity_hindered", "mm/day", "speed")) * 30
    backwards = f"clear-layer {grain} {WATER} solids=10% layer={layer}mm time=30days"
    assert figure_of(backwards, "viscosity").value == pytest.approx(800, rel=1e-6)


def test_no_layer_is_a_bound_and_not_a_value() -> None:
    line = f"clear-layer diameter=2um particle_density=4.2g/mL {WATER} layer=0mm time=30days"
    bound = figure_of(line, "viscosity")
    assert "at least" in bound.title and bound.low is None
    seen = figure_of(line.replace("layer=0mm", "layer=1mm") + " reading_error=0.1mm", "viscosity")
    assert bound.value == pytest.approx(seen.value)
    assert any("held for good" in note for note in sum_of(line).notes)


def test_what_stayed_and_what_sank_bracket_the_yield_stress() -> None:
    line = f"clear-layer held=100um sunk=200um particle_density=2.5g/mL {WATER} density_error=0% diameter_error=0%"
    figure = figure_of(line, "yield_stress")
    ends = [
        figure_of(f"suspend diameter={size} particle_density=2.5g/mL {WATER}", "yield_stress").value
        for size in ("100um", "200um")
    ]
    assert [figure.low, figure.high] == pytest.approx(ends)
    assert figure.value == pytest.approx(sum(ends) / 2)


def test_a_centrifuge_makes_up_for_standing_but_proves_nothing_of_gels() -> None:
    """30 min at 10 cm and 3000 rpm stand for 503 h, reckoned apart."""
    line = "centrifuge radius=10cm rotation=3000rpm time=30min"
    assert value_of(line, "standing_time", "h", "time") == pytest.approx(503, abs=0.5)
    notes = " ".join(sum_of(line).notes)
    assert "What it proves" in notes and "What it does not prove" in notes and "1006 times" in notes


def test_sieves_are_fitted_as_a_straight_line_of_probits() -> None:
    line = 'grain-by-sieve retained="No. 100: 1.2g, 75um: 6.3g, 45um: 8.1g, pan: 4.4g"'
    finer = np.array([18.8, 12.5, 4.4]) / 20
    slope, intercept = np.polyfit(np.log([150, 75, 45]), norm.ppf(finer), 1)
    assert figure_of(line, "d50").value == pytest.approx(np.exp(-intercept / slope), rel=1e-9)
    assert figure_of(line, "d90").value == pytest.approx(np.exp((norm.ppf(0.9) - intercept) / slope), rel=1e-9)
    fitted = norm.cdf(slope * np.log([150, 75, 45]) + intercept)
    assert figure_of(line, "misfit").value == pytest.approx(100 * np.abs(fitted - finer).max(), rel=1e-6)


def test_sieves_that_say_little_say_so() -> None:
    two = sum_of('grain-by-sieve retained="300um: 0g, 150um: 1g, 75um: 6g, pan: 1g"')
    assert "misfit" not in two.figures
    notes = " ".join(two.notes)
    assert "Two sieves always make a straight line" in notes and "Left out" in notes and "300 µm" in notes
    coarse = sum_of('grain-by-sieve retained="150um: 6g, 75um: 6g, 45um: 1g, pan: 1g"')
    assert any("Beyond the sieves" in note and "d90" in note for note in coarse.notes)
    two_powders = sum_of('grain-by-sieve retained="300um: 10g, 150um: 0g, 75um: 0g, 38um: 10g, pan: 1g"')
    assert any("do not lie on the line" in note for note in two_powders.notes)
