"""Numbers that stand in print, reached by typing what the print gives."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from levigate.shelf.catalogue import sources
from tests.reckon.told import figure_of, value_of
from tests.reference.printed import half_last_digit


@dataclass(frozen=True)
class Printed:
    """A sum, which figure of it, and what is printed in a unit; why the tolerance is more than half a last digit."""

    line: str
    figure: str
    expected: str
    unit: str
    dimension: str
    source: str
    place: str
    tolerance: float | None = None
    why: str = ""


CASES = (
    Printed(
        "falling-ball diameter=3.7mm particle_density=7.7295g/mL liquid_density=1.26g/mL distance=39mm time=1s "
        "time_error=0.01s",
        "viscosity", "1.237", "Pa.s", "viscosity", "worked-exercises", "physics: ball of 205 mg in glycerol, no wall",
    ),
    Printed('flow-cup cup="Ford 4" time=80s', "kinematic_viscosity", "290.7", "mm2/s", "kinematic viscosity",
            "ASTM-D1200", "formula at 80 s"),
    Printed('flow-cup cup="Zahn no. 2" time=35s', "kinematic_viscosity", "73.5", "mm2/s", "kinematic viscosity",
            "ASTM-D4212", "formula at 35 s"),
    Printed("flow-cup cup='DIN cup 4' time=97s", "kinematic_viscosity", "438.6", "mm2/s", "kinematic viscosity",
            "DIN-53211", "formula at 97 s"),
    Printed("flow-cup cup='iso 3' time=57s", "kinematic_viscosity", "21.74", "mm2/s", "kinematic viscosity",
            "ISO-2431", "formula at 57 s"),
    Printed('flow-cup cup="Zahn 2" time=48s', "kinematic_viscosity", "120", "mm2/s", "kinematic viscosity",
            "flow-cup-oil", "Zahn 2", 2.0, "times in whole seconds, half of which is 1.75 mm²/s"),
    Printed('flow-cup cup="Ford 4" time=36s', "kinematic_viscosity", "120", "mm2/s", "kinematic viscosity",
            "flow-cup-oil", "Ford 4", 2.0, "times in whole seconds, half of which is 1.9 mm²/s"),
    Printed(
        "settling diameter=10um particle_density=2.44g/mL liquid_density=1.01g/mL viscosity=2700cP",
        "velocity_stokes", "2.9e-6", "cm/s", "speed", "worked-exercises", "pharmacy: keyed answer",
    ),
    Printed(
        "settling diameter=0.5mm particle_density=1.02g/mL liquid_density=1g/mL viscosity=1mPa.s",
        "velocity", "2.420", "mm/s", "speed", "worked-exercises", "sphere of 0.5 mm, by a formula of Cheng", 0.025,
        "a formula for the velocity itself, not this drag law solved",
    ),
    Printed(
        "suspend diameter=100um particle_density=2g/mL liquid_density=1g/mL",
        "yield_stress", "0.0467", "Pa", "pressure", "Beris-1985", "as 2 R g Δρ/21 in a work that quotes it, R 50 µm",
    ),
    Printed("centrifuge radius=5cm rotation=10000rpm", "force", "5590", "", "", "worked-exercises",
            "laboratory: 5 cm, 10 000 turns a minute", 5.0, "printed in round tens"),
    Printed("centrifuge radius=1cm rotation=1rpm", "force", "1.118e-5", "", "", "worked-exercises",
            "laboratory: constant for centimetres and turns a minute"),
    Printed(
        'mix-temperature parts="250 g water 20 C 4.186 kJ/kg/K, 500 g pan 150 C 0.9 kJ/kg/K"',
        "temperature", "59.1", "C", "temperature", "OpenStax-Physics", "section 14.2: water in an aluminium pan",
    ),
    Printed(
        'mix-temperature parts="250 g soda 20 C 4.186 kJ/kg/K, 18 g ice -0.001 C 4.186 kJ/kg/K melts 0 C 334 kJ/kg"',
        "temperature", "13", "C", "temperature", "OpenStax-Physics", "section 14.3: three ice cubes in a soda (memory)",
    ),
    Printed(
        "cooling start=165F later=150F time=10min ambient=35F to=70F", "time", "106.68", "min", "time",
        "OpenStax-Algebra", "a cheesecake at 70 °F", 0.4, "printed with the constant rounded to 0.0123, 0.3 %",
    ),
    Printed("cooling start=40F later=45F time=1h ambient=70F to=60F", "time", "6.026", "h", "time",
            "OpenStax-Algebra", "a pitcher at 60 °F"),
    Printed("density-by-syringe mass=9.5g water=9.5g temperature=25C", "density", "997.048", "kg/m3", "density",
            "IAPWS-95", "water against itself at 25 °C", 0.006, "another formula, never more than 0.006 below"),
)  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=[f"{case.line.split()[0]}-{i}" for i, case in enumerate(CASES)])
def test_what_is_printed_comes_out(case: Printed) -> None:
    assert case.source in sources()
    if case.unit:
        ours = value_of(case.line, case.figure, case.unit, case.dimension)
    else:
        ours = figure_of(case.line, case.figure).value
    allowed = half_last_digit(case.expected) * 1.0001 if case.tolerance is None else case.tolerance
    assert case.tolerance is None or case.why
    assert ours == pytest.approx(float(case.expected), abs=allowed, rel=0)


def test_the_sizes_of_a_lognormal_powder_come_back() -> None:
    """Hatch and Choate, p. 18: 84.13 % lie below the size that is σ times the median."""
    line = 'grain-by-sieve retained="200um: 15.87g, 100um: 34.13g, 50um: 34.13g, pan: 15.87g"'
    assert figure_of(line, "d50").value == pytest.approx(100, abs=0.05)
    assert figure_of(line, "sigma").value == pytest.approx(2, abs=0.002)
    assert figure_of(line, "d90").value == pytest.approx(100 * 2**1.28155, abs=0.3)


@pytest.mark.parametrize(("count", "factor"), [(20, 0.640), (30, 0.503), (50, 0.379)])
def test_the_mean_of_a_sample_is_judged_with_the_factors_of_the_regulations(count: int, factor: float) -> None:
    """UK SI 2006/659, schedule 2, 4.5 and 4.6."""
    weights = " ".join("30.2" if i % 2 else "29.8" for i in range(count))
    line = f'fill-check weights="{weights}" nominal=30g'
    deviation = figure_of(line, "deviation").value
    assert (30 - figure_of(line, "mean_limit").value) / deviation == pytest.approx(factor, abs=5e-4)


@pytest.mark.parametrize(
    ("nominal", "error"), [(10, 0.9), (15, 1.4), (50, 4.5), (75, 4.5), (200, 9), (250, 9), (400, 12), (1000, 15)]
)
def test_the_tolerable_error_is_that_of_the_ladder(nominal: int, error: float) -> None:
    """76/211/EEC, annex I, 2.4; percentages rounded up to 0.1 as FPackV section 9 (3) has it."""
    line = f'fill-check weights="{nominal}" nominal={nominal}g'
    assert figure_of(line, "tolerable_error").value == pytest.approx(error)


def test_the_published_amount_of_face_cream_empties_a_jar_in_three_weeks() -> None:
    """SCCS/1647/22, table 3A: 1.54 g a day; 30 g less 3 % last 18.9 days."""
    line = 'container shape="jar 30 mL" fills=30g density=1g/mL use="face cream"'
    assert value_of(line, "lasts", "day", "time") == pytest.approx(0.97 * 30 / 1.54, rel=1e-9)
