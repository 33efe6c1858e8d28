"""The interval of an answer beside what random draws of the readings give, and what its notes say of the errors."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from levigate.quantities.figure import Figure
from levigate.science.benchtests import viscosity_from_falling_ball, viscosity_from_spread, yield_stress_from_slump
from levigate.science.constants import Floats
from levigate.science.heat import cooling_constant, time_to_temperature
from levigate.science.suspension import settling_velocity_inertial
from tests.reckon.told import figure_of, sum_of

DRAWS = 200_000
_NORMAL_95 = 1.959963984540054


def drawn(centre: float, half: float, seed: int) -> Floats:
    """Return draws of a reading of which 95 % lie within the error told."""
    return np.random.default_rng(seed).normal(centre, half / _NORMAL_95, DRAWS)


def agrees(figure: Figure, draws: Floats, factor: float, within: float) -> None:
    """Assert that 95 % of the draws lie in the interval; ``factor`` turns SI into the unit of the figure."""
    low, high = np.quantile(draws * factor, (0.025, 0.975))
    width = high - low
    assert figure.low is not None and figure.high is not None
    assert figure.low == pytest.approx(low, abs=within * width)
    assert figure.high == pytest.approx(high, abs=within * width)


def test_of_a_falling_ball() -> None:
    draws = viscosity_from_falling_ball(
        drawn(2e-3, 5e-5, 1), drawn(7800, 39, 2), drawn(1261, 6.305, 3), drawn(0.1, 1e-3, 4), drawn(11.5, 0.5, 5),
        drawn(0.03, 1e-3, 6),
    )  # fmt: skip
    line = "falling-ball diameter=2mm particle_density=7.8g/mL liquid_density=1.261g/mL distance=100mm time=11.5s"
    agrees(figure_of(f"{line} tube_diameter=30mm", "viscosity"), draws, 1e3, 0.02)


def test_of_a_slump() -> None:
    draws = yield_stress_from_slump(drawn(0.03, 1e-3, 1), drawn(0.05, 1e-3, 2), drawn(1000, 10, 3))
    agrees(figure_of("slump height=50mm slump=30mm density=1g/mL", "yield_stress"), draws, 1.0, 0.03)


def test_of_a_drop_whose_radius_counts_eight_times() -> None:
    draws = viscosity_from_spread(drawn(1e-6, 3e-8, 1), drawn(1000, 10, 2), drawn(0.023, 5e-4, 3), drawn(60, 0.5, 4))
    agrees(figure_of("spread volume=1mL density=1g/mL diameter=46mm time=60s", "viscosity"), draws, 1e3, 0.05)


def test_of_a_settling_grain() -> None:
    draws = settling_velocity_inertial(
        drawn(70e-6, 7e-6, 1), drawn(2600, 13, 2), drawn(1000, 5, 3), drawn(1e-3, 5e-5, 4)
    )
    line = "settling diameter=70um particle_density=2.6g/mL liquid_density=1g/mL viscosity=1mPa.s"
    agrees(figure_of(line, "velocity"), draws, 1e3, 0.05)


def test_of_a_cooling_batch() -> None:
    start, later, ambient = drawn(348.15, 0.5, 1), drawn(333.15, 0.5, 2), drawn(293.15, 0.5, 3)
    draws = time_to_temperature(313.15, start, ambient, cooling_constant(start, later, drawn(600, 10, 4), ambient))
    agrees(figure_of("cooling start=75C later=60C time=10min ambient=20C to=40C", "time"), draws, 1 / 60, 0.03)


@given(st.floats(0.05, 4.0))
@settings(deadline=None, database=None, max_examples=20)
def test_half_the_error_is_half_the_interval(error: float) -> None:
    line = "suspend diameter=10um particle_density=5.6g/mL liquid_density=1g/mL density_error=0%"
    wide = figure_of(f"{line} diameter_error={error:.6f}um", "yield_stress")
    close = figure_of(f"{line} diameter_error={error / 2:.6f}um", "yield_stress")
    assert wide.low is not None and wide.high is not None and close.low is not None and close.high is not None
    assert wide.value == close.value
    # On a scale of ratios: the square of the narrow one.
    assert wide.high / wide.value == pytest.approx((close.high / close.value) ** 2, rel=1e-4)
    assert wide.value / wide.low == pytest.approx(wide.high / wide.value, rel=1e-9)


def test_without_errors_there_is_no_interval() -> None:
    figure = figure_of(
        "suspend diameter=10um particle_density=5.6g/mL liquid_density=1g/mL diameter_error=0% density_error=0%",
        "yield_stress",
    )
    assert figure.low is None and figure.high is None


def test_an_error_is_told_in_the_unit_or_in_percent() -> None:
    line = "slump height=50mm slump=30mm density=1g/mL density_error=0%"
    absolute = figure_of(f"{line} reading_error=1.5mm", "yield_stress")
    assert figure_of(f"{line} reading_error=0.15cm", "yield_stress").low == pytest.approx(absolute.low)
    warm = "cooling start=75C later=60C time=10min ambient=20C to=40C"
    assert figure_of(f"{warm} temperature_error=0.9F", "time").low == pytest.approx(
        figure_of(f"{warm} temperature_error=0.5C", "time").low
    )
    heavy = "density-by-syringe mass=9.52g volume=10mL"
    assert figure_of(f"{heavy} volume_error=1%", "density").low == pytest.approx(
        figure_of(f"{heavy} volume_error=0.1mL", "density").low
    )


def test_the_notes_name_what_was_assumed_and_no_more() -> None:
    line = "slump height=50mm slump=30mm density=1g/mL"
    assert any("slump 1 mm, height 1 mm, density 1 %" in note for note in sum_of(line).notes)
    notes = sum_of(f"{line} reading_error=0.5mm").notes
    assert any("density 1 %" in note and "slump" not in note for note in notes)
    assert not any("Taken as right" in note for note in sum_of(f"{line} reading_error=0.5mm density_error=0.2%").notes)


def test_the_notes_name_the_reading_that_counts_most() -> None:
    line = "suspend diameter=10um particle_density=5.6g/mL liquid_density=1g/mL"
    assert "Most of the doubt comes from the diameter." in sum_of(line).notes
    notes = sum_of(f"{line} diameter_error=0.1% density_error=5%").notes
    assert "Most of the doubt comes from the particle density." in notes
