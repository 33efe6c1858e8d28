"""The other bench tests: flow, heat, packs, containers, the syringe."""

from __future__ import annotations

import numpy as np
import pytest

from levigate.science.suspension import settling_velocity
from tests.reckon.told import figure_of, sum_of, value_of


def test_steel_in_glycerol_reckoned_apart() -> None:
    """2 mm of steel in glycerol of 1412 mPa s: 8.683 mm/s in a tube of 30 mm, 10.09 mm/s without a wall."""
    ball = "falling-ball diameter=2mm particle_density=7.8g/mL liquid_density=1.261g/mL"
    tube = f"{ball} distance=86.83mm time=10s tube_diameter=30mm"
    assert figure_of(tube, "viscosity").value == pytest.approx(1412, rel=5e-4)
    assert figure_of(tube, "reynolds").value == pytest.approx(0.0155, abs=5e-4)
    wide = f"{ball} distance=100.9mm time=10s"
    assert figure_of(wide, "viscosity").value == pytest.approx(1412, rel=5e-4)
    assert any("No wall was counted" in note for note in sum_of(wide).notes)


def test_a_light_ball_rises() -> None:
    speed = abs(float(settling_velocity(3e-3, 900.0, 1000.0, 1.5)))
    line = f"falling-ball diameter=3mm particle_density=0.9g/mL liquid_density=1g/mL distance=50mm time={0.05 / speed}s"
    assert figure_of(line, "viscosity").value == pytest.approx(1500, rel=1e-9)


@pytest.mark.parametrize(("slump", "stress"), [("30mm", 32.45), ("10mm", 107.5)])
def test_a_slump_is_solved_exactly(slump: str, stress: float) -> None:
    """From Pashias' formula, solved apart; the short form would give 55.3 and 135.5 Pa."""
    figure = figure_of(f"slump height=50mm slump={slump} density=1g/mL diameter=50mm", "yield_stress")
    assert figure.value == pytest.approx(stress, abs=0.05 if stress > 100 else 0.005)


@pytest.mark.parametrize(
    ("volume", "kinematic", "time", "radius"),
    [
        ("1mL", 1000, "10s", 18.43),
        ("1mL", 1000, "60s", 23.06),
        ("1mL", 10000, "60s", 17.29),
        ("0.5mL", 5000, "30s", 13.33),
    ],
)
def test_a_free_drop_spreads_as_huppert_says(volume: str, kinematic: float, time: str, radius: float) -> None:
    """Radii from the closed form, reckoned apart; the radius has four digits and counts eight times."""
    line = f"spread volume={volume} density=1g/mL diameter={2 * radius}mm time={time} reading_error=0.2mm"
    assert figure_of(line, "viscosity").value == pytest.approx(kinematic, rel=8 * 0.005 / radius)


def test_a_plate_or_a_rest_makes_another_law_of_the_spread() -> None:
    free = "spread volume=1mL density=1g/mL diameter=46mm"
    assert set(sum_of(free).figures) == set(sum_of(f"{free} load=100g").figures) == {"yield_stress"}
    assert set(sum_of(f"{free} load=100g time=60s").figures) == {"viscosity"}
    radius, force, volume = 0.023, 0.1 * 9.80665, 1e-6
    stress = 3 * force * volume / (2 * np.pi**2 * radius**5)
    assert figure_of(f"{free} load=100g", "yield_stress").value == pytest.approx(stress, rel=1e-9)
    viscosity = 8 * force * volume**2 * 60 / (3 * np.pi**3 * radius**8)
    assert figure_of(f"{free} load=100g time=60s", "viscosity").value == pytest.approx(1e3 * viscosity, rel=1e-9)
    puddle = 225 * 1000 * 9.80665 * volume**2 / (128 * np.pi**2 * radius**5)
    assert figure_of(free, "yield_stress").value == pytest.approx(puddle, rel=1e-9)


def test_a_drop_may_be_weighed() -> None:
    by_mass = figure_of("spread mass=0.9g density=0.9g/mL diameter=46mm time=60s", "viscosity")
    by_volume = figure_of("spread volume=1mL density=0.9g/mL diameter=46mm time=60s", "viscosity")
    assert by_mass.value == pytest.approx(by_volume.value, rel=1e-9)


def test_a_cup_that_nobody_checked_is_the_greatest_doubt() -> None:
    ford = sum_of('flow-cup cup="Ford 4" time=80s density=0.9g/mL')
    assert ford.figures["viscosity"].value == pytest.approx(0.9 * 290.7, abs=0.05)
    assert "Most of the doubt comes from the cup." in ford.notes
    zahn = figure_of('flow-cup cup="Zahn 2" time=48s', "kinematic_viscosity")
    checked = figure_of('flow-cup cup="Zahn 2" time=48s cup_error=3%', "kinematic_viscosity")
    assert zahn.high is not None and checked.high is not None
    assert zahn.high / zahn.value == pytest.approx(np.exp(0.23), rel=0.02)
    assert checked.high < zahn.high


@pytest.mark.parametrize(
    ("parts", "celsius"),
    [
        ("200 g water 20 C 4.18 kJ/kg/K, 100 g water 80 C 4.18 kJ/kg/K", 40.00),
        ("70 g water 75 C 4.19 kJ/kg/K, 25 g oil 75 C 2 kJ/kg/K, 5 g water 20 C 4.19 kJ/kg/K", 71.84),
        ("80 g water 25 C 4.18 kJ/kg/K; 20 g oil 75 C 2000 J/kg/K", 30.34),
    ],
)
def test_phases_joined_reckoned_apart(parts: str, celsius: float) -> None:
    assert figure_of(f'mix-temperature parts="{parts}"', "temperature").value == pytest.approx(celsius, abs=0.005)


def test_a_wax_that_melts_takes_its_heat() -> None:
    cold = "20 g wax 20 C 2.2 kJ/kg/K"
    water = "300 g water 80 C 4.18 kJ/kg/K"
    dry = figure_of(f'mix-temperature parts="{water}, {cold}"', "temperature").value
    answer = sum_of(f'mix-temperature parts="{water}, {cold} melts 63 C 180 kJ/kg"')
    wet = answer.figures["temperature"].value
    heat = 300 * 4.18 + 20 * 2.2
    assert dry - wet == pytest.approx(20 * 180 / heat, rel=1e-9)
    assert "(1.00 - 0 melted at 63.00 °C)" in " ".join(answer.working)
    halted = sum_of(f'mix-temperature parts="75 g water 75 C 4.18 kJ/kg/K, {cold} melts 63 C 180 kJ/kg"')
    assert halted.figures["temperature"].value == pytest.approx(63)
    share = (75 * 4.18 * 12 - 20 * 2.2 * 43) / (20 * 180)
    assert f"({share:.3f} - 0 melted" in " ".join(halted.working)


def test_a_wax_that_sets_gives_its_heat() -> None:
    """20 g of melted wax at 70 °C into 100 g of water at 20 °C: what the two take up cancels."""
    parts = "100 g water 20 C 4.18 kJ/kg/K, 20 g wax 70 C 2.2 kJ/kg/K melts 63 C 180 kJ/kg"
    answer = sum_of(f'mix-temperature parts="{parts}"')
    end = (100 * 4.18 * 20 + 20 * 2.2 * 70 + 20 * 180) / (100 * 4.18 + 20 * 2.2)
    assert answer.figures["temperature"].value == pytest.approx(end, rel=1e-9)
    taken = [float(line.split("= ")[-1].removesuffix(" kJ")) for line in answer.working[:2]]
    assert taken[0] > 0
    assert sum(taken) == pytest.approx(0, abs=0.002)


def test_a_batch_cools_as_newton_says() -> None:
    """75 to 60 °C in 10 min at 20 °C: 41.16 °C after 30 min, 40 °C after 31.77 min, reckoned apart."""
    line = "cooling start=75C later=60C time=10min ambient=20C to=40C at=30min"
    assert value_of(line, "time", "min", "time") == pytest.approx(31.77, abs=0.005)
    assert figure_of(line, "temperature").value == pytest.approx(41.16, abs=0.005)
    warming = "cooling start=5C later=10C time=10min ambient=20C to=15C"
    assert value_of(warming, "time", "min", "time") == pytest.approx(10 * np.log(15 / 5) / np.log(15 / 10), rel=1e-9)


def test_packs_are_held_against_each_rule() -> None:
    good = sum_of('fill-check weights="30.1 30.2 30.0" nominal=30g scale=0.01g')
    assert [note.split(":")[0] for note in good.notes[:3]] == ["Kept", "Kept", "Kept"]
    low = sum_of('fill-check weights="29.7 29.6 29.8" nominal=30g scale=0.01g')
    assert [note.split(":")[0] for note in low.notes[:3]] == ["Broken", "Kept", "Kept"]
    short = sum_of('fill-check weights="34 34 27.2" nominal=30g')
    assert [note.split(":")[0] for note in short.notes[:3]] == ["Kept", "Broken", "Kept"]
    far = sum_of('fill-check weights="34 34 34 24.5" nominal=30g')
    assert [note.split(":")[0] for note in far.notes[:3]] == ["Kept", "Broken", "Broken"]
    assert (far.figures["short"].value, far.figures["far_short"].value) == (1, 1)


def test_a_mean_too_near_for_the_scale_is_said_to_be() -> None:
    assert "leave that open" in sum_of('fill-check weights="30.0 30.1" nominal=30g scale=1g').notes[0]
    assert any("too coarse" in note for note in sum_of('fill-check weights="30.0 30.1" nominal=30g scale=1g').notes)
    assert "leave that open" not in sum_of('fill-check weights="31.0 31.1" nominal=30g').notes[0]


def test_the_error_of_a_mean_falls_with_the_number_of_weighings() -> None:
    """Two roundings of 0.1 g are 0.0408 g; twice that over √10 is 0.0258 g."""
    mean = figure_of(f'fill-check weights="{"30.0 " * 10}" nominal=30g scale=0.1g', "mean")
    assert mean.high is not None
    assert mean.high - mean.value == pytest.approx(0.0258, abs=5e-5)


def test_gross_weights_and_volumes() -> None:
    gross = figure_of('fill-check weights="52.1 51.9" nominal=30g tare=22g', "mean")
    assert gross.value == pytest.approx(30.0) and gross.unit == "g"
    volume = figure_of('fill-check weights="28.5 28.7" nominal=30mL density=0.95g/mL', "mean")
    assert volume.value == pytest.approx(28.6 / 0.95) and volume.unit == "mL"


def test_a_sample_is_judged_by_its_mean_from_twenty_on() -> None:
    few, many = (sum_of(f'fill-check weights="{"29.9 30.0 " * pairs}" nominal=30g') for pairs in (5, 10))
    assert "mean_limit" not in few.figures and "mean_limit" in many.figures
    assert any("would fail" in note for note in many.notes)


def test_a_filling_in_a_jar() -> None:
    line = 'container shape="jar 50 mL" fills=50mL density=0.95g/mL daily=0.5g'
    assert figure_of(line, "headspace").value == pytest.approx(100 / 6)
    # The drawing is a cylinder of 50 mm by 30.5 mm, its room stretched to the brimful 60 mL.
    assert figure_of(line, "fill_height").value == pytest.approx(30.5 * 50 / 60, rel=1e-9)
    assert figure_of(line, "comes_out").value == pytest.approx(48.5)
    assert value_of(line, "lasts", "day", "time") == pytest.approx(0.97 * 50 * 0.95 / 0.5, rel=1e-9)
    measured = f"{line} brimful=57mL brimful_error=0.5mL"
    assert figure_of(measured, "headspace").value == pytest.approx(100 * (1 - 50 / 57))
    assert figure_of(measured, "headspace").grade == "measured"


def test_a_pump_takes_room_and_a_mass_needs_no_density_to_last() -> None:
    pump = 'container shape="pump bottle 100 mL" fills=98g density=0.98g/mL daily=2g'
    assert figure_of(pump, "headspace").value == pytest.approx(100 * (1 - 100 / 112))
    loose = figure_of(f"{pump} density_error=20%", "lasts")
    assert (loose.low, loose.high) == pytest.approx((figure_of(pump, "lasts").low, figure_of(pump, "lasts").high))


def test_a_sachet_has_no_level() -> None:
    answer = sum_of('container shape="sachet 3 mL"')
    assert "fill_height" not in answer.figures
    assert any("no level to read" in note for note in answer.notes)


def test_every_container_holds_its_nominal_volume() -> None:
    from levigate.shelf.containers import containers

    for name in containers():
        assert sum_of(f'container shape="{name}"').figures["headspace"].value > 0


def test_a_syringe_beside_water_loses_the_error_of_its_mark() -> None:
    by_mark = figure_of("density-by-syringe full=14.63g empty=5.11g volume=10mL", "density")
    assert by_mark.value == pytest.approx(0.952, rel=1e-9)
    # A mark that is 2 % off shows in the water too: 9.52 g beside 9.782628 g of water at 20 °C.
    by_water = figure_of("density-by-syringe mass=9.52g water=9.782628g temperature=20C", "density")
    assert by_water.value == pytest.approx(9.52 / 9.782628 * 0.998207, abs=6e-6)
    assert by_mark.low is not None and by_mark.high is not None
    assert by_water.low is not None and by_water.high is not None
    assert by_water.high - by_water.low < (by_mark.high - by_mark.low) / 4


def test_a_density_is_carried_to_another_temperature() -> None:
    line = "density-by-syringe mass=9.2g volume=10mL temperature=25C to=20C expansion=0.0007"
    assert figure_of(line, "density_to").value == pytest.approx(0.92 * np.exp(0.0007 * 5), rel=1e-9)
