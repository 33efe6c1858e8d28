"""Heat of a formula beside worked examples, a plain bisection and an integrator; water beside the sum by hand."""

from __future__ import annotations

import re
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from levigate.formula.model import Formula
from levigate.quantities.figure import Figure
from levigate.quantities.graph import evaluate
from levigate.quantities.working import central
from levigate.science.evaporation import evaporation_flux
from tests.quantities.formulas import formula, gathered, shown
from tests.quantities.test_graph import GIVEN

#: Water and an oil with the specific heats of the worked examples, and cetyl alcohol as printed (CRC, 33.6 kJ/mol).
OWN = """
[materials.brine]
affinity = "water"
form = "liquid"
density = { value = "1 g/mL", at = "20 C", source = "own-word", grade = "supplier" }
specific_heat = "4.18 kJ/kg/K"
made_of = { aqua = 100 }
[materials.oak]
affinity = "oil"
form = "liquid"
density = "0.9 g/mL"
specific_heat = "2.0 kJ/kg/K"
[materials.ash]
affinity = "oil"
form = "solid"
kind = "wax"
density = "0.85 g/mL"
specific_heat = "2.3 kJ/kg/K"
melting_point = "49.5 C"
melting_heat = "138.6 kJ/kg"
"""


def phases(*told: tuple[str, str], head: str = "") -> Formula:
    """Return a formula of phases, each of its ``how`` and its lines ``"oak 20, ash 5"``."""
    (how, first), *others = told
    rest = "".join(
        f'[[phase]]\nletter = "{letter}"\nhow = "{treated}"\nlines = ['
        + ", ".join(f'{{ material = "{one.split()[0]}", percent = {one.split()[1]} }}' for one in lines.split(", "))
        + "]\n"
        for letter, (treated, lines) in zip("BCDE", others, strict=False)
    )
    return formula(first, how=how, head=head, rest=rest + OWN)


def joined(one: Formula) -> list[float]:
    """Return the temperatures after joining. [°C]"""
    return [row.value for row in shown(one, "joined_temperature", draws=0)["joined_temperature"].rows]


def test_oil_into_cold_water_as_worked() -> None:
    """80 g of water at 25 °C and 20 g of oil at 75 °C come to 30.34 °C, not to 35."""
    one = phases(("at 25 C", "brine 80"), ("heat to 75 C", "oak 20"))
    assert joined(one) == [pytest.approx(30.34, abs=0.005)]


def test_cold_water_into_a_hot_emulsion_as_worked() -> None:
    """70 g of water (4.19) and 25 g of oil at 75 °C, then 5 g of water at 20 °C: 71.84 °C."""
    one = phases(("heat to 75 C", "brine 70"), ("heat to 75 C", "oak 25"), ("at 20 C", "brine 5"))
    assert joined(one) == [pytest.approx(75.0), pytest.approx(71.84, abs=0.01)]


def test_what_sets_gives_its_heat() -> None:
    """20 g of cetyl alcohol at 75 °C in 80 g of water at 25 °C; all of it sets."""
    one = phases(("at 25 C", "brine 80"), ("melt at 75 C", "ash 20"))
    plain = (80 * 4.18 * 25 + 20 * 2.3 * 75) / (80 * 4.18 + 20 * 2.3)
    assert joined(one) == [pytest.approx(plain + 20 * 138.6 / (80 * 4.18 + 20 * 2.3), abs=1e-6)]


def test_what_stays_melted_gives_none() -> None:
    one = phases(("heat to 70 C", "brine 80"), ("melt at 75 C", "ash 20"))
    assert joined(one) == [pytest.approx((80 * 4.18 * 70 + 20 * 2.3 * 75) / (80 * 4.18 + 20 * 2.3))]


def test_a_batch_is_cooled_before_the_cool_down_joins() -> None:
    one = phases(("heat to 75 C", "oak 80"), ("below 40 C", "oak 20"))
    assert joined(one) == [pytest.approx(0.8 * 40 + 0.2 * 22.5)]
    already = phases(("heat to 75 C, then cool to 35 C", "oak 80"), ("below 40 C", "oak 20"))
    assert joined(already) == [pytest.approx(0.8 * 35 + 0.2 * 22.5)]


shares = st.floats(0.02, 1.0)


@given(
    st.lists(st.tuples(shares, st.floats(288.0, 368.0)), min_size=3, max_size=3),
    st.floats(0.0, 2e5),
    st.floats(290.0, 360.0),
)
@settings(deadline=None, database=None)
def test_no_heat_is_made_and_none_is_lost(parts: list[tuple[float, float]], fusion: float, melting: float) -> None:
    """The heat content before and after is the same, and without melting the batch lies between its phases."""
    share = np.array([part for part, _ in parts])
    own = np.array([kelvin for _, kelvin in parts])
    heat = np.array([4180.0, 2000.0, 2300.0])
    inputs: dict[str, Any] = {
        "mass_fraction": share / share.sum(),
        "material_specific_heat": heat,
        "phase_lines": np.eye(3),
        "phase_temperature": own,
        "phase_joins_at": np.full(3, np.inf),
        "melting_line": np.array([2.0]),
        "melting_part": np.array([1.0]),
        "melting_temperature": np.array([melting]),
        "melting_heat": np.array([fusion]),
    }
    last = float(evaluate(["joined_temperature"], inputs)["joined_temperature"][-1])
    mass = inputs["mass_fraction"]
    had = float((mass * heat * own).sum() + mass[2] * fusion * (own[2] >= melting))
    cold, hot = float((mass * heat * last).sum()), float((mass * heat * last).sum() + mass[2] * fusion)
    at_rest = abs(last - melting) < 1e-6
    assert cold - 1e-3 <= had <= hot + 1e-3
    assert at_rest or had == pytest.approx(hot if last > melting else cold, abs=1e-3)
    plain = float(evaluate(["joined_temperature"], {**inputs, "melting_heat": np.zeros(1)})["joined_temperature"][-1])
    assert own.min() - 1e-9 <= plain <= own.max() + 1e-9


def cooled(**changes: Any) -> float:
    """Return the cooling time of the test's composition with other inputs. [s]"""
    inputs = {**GIVEN, **{name: np.asarray(value) for name, value in changes.items()}}
    return float(evaluate(["cooling_time"], inputs)["cooling_time"])


def test_cooling_as_worked() -> None:
    """75 °C falls to 40 °C in 31.77 min in a room of 20 °C at k = 0.031845 per minute."""
    given = {"melting_heat": np.zeros(1), "phase_temperature": np.full(3, 348.15), "room_temperature": 293.15}
    k = np.log(55 / 20) / cooled(**given, heat_transfer=1.0)
    minutes = cooled(**given, heat_transfer=0.031845 / 60 / k) / 60
    assert minutes == pytest.approx(31.77, abs=5e-3)


def test_the_surface_is_that_of_a_beaker_as_high_as_it_is_wide() -> None:
    """Half a litre of water: 8.6 cm wide, 348 cm² in all; from 75 to 40 °C at 22.5 °C and 15 W/(m² K)."""
    inputs = gathered(phases(("heat to 75 C, cool to 40 C", "brine 100"), head='makes = "500 mL"'), draws=0).given
    width = (4 * 5e-4 / np.pi) ** (1 / 3)
    area = 2 * np.pi * width**2 / 4 + np.pi * width * width
    time = 0.5 * 4180 / (15 * area) * np.log((75 - 22.5) / (40 - 22.5))
    found = evaluate(["cooling_time"], {**inputs, "heat_transfer": np.array([15.0])})["cooling_time"]
    assert float(found.item()) == pytest.approx(time, rel=1e-9)


def test_a_wax_that_sets_holds_the_cooling_up() -> None:
    """Integrated through the melting heat, spread here over two kelvins."""
    point, fusion = 321.0, 1.5e5
    inputs = {**GIVEN, "phase_temperature": np.full(3, 348.15)}
    found = evaluate(["cooling_time", "batch_mass", "volume", "phase_heat_capacity"], inputs)
    share = float(GIVEN["mass_fraction"][[0, 2, 3, 4]].sum())
    leaves = 15.0 * 1.5 * np.pi * np.cbrt(4 * float(found["volume"]) * share / np.pi) ** 2
    held = float(found["batch_mass"]) * float(found["phase_heat_capacity"][:2].sum())
    melt = float(found["batch_mass"]) * float(GIVEN["mass_fraction"][2]) * 0.9 * fusion

    def falls(_: float, t: np.ndarray[Any, Any]) -> list[float]:
        return [-leaves * (t[0] - 295.65) / (held + melt / 2.0 * (abs(t[0] - point) < 1.0))]

    def arrives(_: float, t: np.ndarray[Any, Any]) -> float:
        return float(t[0] - 313.15)

    arrives.terminal = True  # type: ignore[attr-defined]
    path = solve_ivp(falls, (0, 1e5), [348.15], events=arrives, max_step=2.0)
    assert float(found["cooling_time"]) == pytest.approx(float(path.t_events[0][0]), rel=5e-3)


def test_a_batch_that_is_cool_already_waits_for_nothing() -> None:
    assert cooled(phase_temperature=[310.0, 310.0, 295.65]) == 0


def test_it_never_gets_colder_than_the_room() -> None:
    one = phases(("heat to 75 C", "oak 80"), ("below 15 C", "oak 20"), head='makes = "100 g"')
    unknown = shown(one)["cooling_time"].unknown
    assert unknown.endswith("stand the beaker in cold water.")


def test_the_most_delicate_says_how_far_to_cool_where_the_words_do_not() -> None:
    one = formula(
        "squalane 99",
        how="heat to 75 C",
        head='makes = "100 g"',
        rest='[[phase]]\nletter = "B"\nhow = "stir in"\nlines = [{ material = "petal", percent = 1 }]\n'
        '[materials.petal]\nheat_limit = "45 C"\n',
    )
    inputs = gathered(one, draws=0)
    assert float(inputs.given["cool_down"]) == pytest.approx(318.15)
    assert inputs.behind["cool_down"][0].name == "heat that petal bears"


def water(one: Formula, draws: int = 0) -> Figure:
    """Return the water that leaves. [g]"""
    return shown(one, "water_evaporated", draws=draws)["water_evaporated"]


def test_water_by_hand() -> None:
    """Flux of the printed table's equation, times the top of the beaker, times twenty minutes."""
    one = phases(("heat to 75 C, hold 20 min", "brine 100"), head='makes = "500 mL"')
    inputs = gathered(one, draws=0)
    factor, damp = (float(central(inputs, name)) for name in ("evaporation_factor", "relative_humidity"))
    flux = float(evaporation_flux(348.15, 295.65, damp))
    grams = 1000 * factor * flux * np.pi / 4 * (4 * 5e-4 / np.pi) ** (2 / 3) * 1200
    assert water(one).value == pytest.approx(grams, rel=1e-9)
    assert 3 < grams < 30


def test_twice_as_long_loses_twice_as_much_and_without_words_it_is_twenty_minutes() -> None:
    def told(how: str) -> Formula:
        return phases((how, "brine 100"), head='makes = "500 mL"')

    twenty, forty, silent = (water(told(f"heat to 75 C{how}")) for how in (", hold 20 min", ", hold 40 min", ""))
    assert forty.value == pytest.approx(2 * twenty.value) and silent.value == pytest.approx(twenty.value)
    assert silent.grade == "memory"
    wide, narrow = (water(told(f"heat to 75 C{how}"), draws=1000) for how in ("", ", hold 20 min"))
    assert wide.low is not None and narrow.low is not None and wide.low < narrow.low


def test_glycerin_holds_water_back_and_oil_has_none() -> None:
    head = 'makes = "500 g"'
    plain = water(phases(("heat to 75 C", "brine 100"), head=head)).value
    mixed = water(phases(("heat to 75 C", "brine 40, glycerin 60"), head=head)).value
    assert 0.5 * plain < mixed < 0.85 * plain
    assert "water_evaporated" not in shown(phases(("heat to 75 C", "oak 100"), head=head), draws=0)


def test_what_boils_is_not_foreseen() -> None:
    one = phases(("heat to 100 C, hold 20 min", "brine 100"), head='makes = "500 g"')
    assert water(one).unknown.endswith("weigh the beaker before and after.")


def test_a_cold_formula_costs_nothing_and_says_nothing() -> None:
    inputs = gathered(phases(("stir cold", "brine 80"), ("fold in", "oak 20"), head='makes = "500 g"'), draws=0)
    assert "phase_lines" not in inputs.given and not any(inputs.asked[name] for name in ("joined_temperature",))
    assert "joined_temperature" not in shown(inputs.formula, draws=0)


def test_a_temperature_that_is_not_said_is_asked_for() -> None:
    one = phases(("melt", "oak 80"), ("at 40 C", "oak 20"))
    assert shown(one, draws=0)["joined_temperature"].unknown == (
        'The temperature of phase A is not known: write it into its how, for example how = "heat to 75 °C".'
    )


def test_what_nothing_is_known_of_widens_the_spread_only() -> None:
    known, vague = (
        shown(phases(("heat to 75 C", f"brine 60, {name} 20"), ("stir in", "oak 20")), "joined_temperature")
        for name in ("oak", "xqzzkw")
    )
    wide, narrow = vague["joined_temperature"].rows[0], known["joined_temperature"].rows[0]
    assert wide.low is not None and wide.high is not None and narrow.low is not None and narrow.high is not None
    assert wide.high - wide.low > narrow.high - narrow.low


def test_the_workings_end_in_the_figures() -> None:
    one = phases(
        ("heat to 75 C, hold 20 min", "brine 70"),
        ("melt at 70 C", "oak 15, ash 10"),
        ("below 40 C", "oak 5"),
        head='makes = "400 g"',
    )
    found = shown(one, draws=0)
    names = ("cooling_time", "water_evaporated", "water_evaporated_share")
    for name in names:
        last = re.findall(r"-?\d+(?:\.\d+)?", found[name].working()[-1])[-1]
        assert float(last) == pytest.approx(found[name].value, rel=6e-3), name
    joins = found["joined_temperature"]
    said = [float(re.findall(r"T = (-?[\d.]+)", line)[0]) for line in joins.working() if "T = " in line]
    assert said == [pytest.approx(row.value, abs=0.051) for row in joins.rows]
    capacity = shown(one, "phase_heat_capacity", draws=0)["phase_heat_capacity"]
    for line, row in zip(capacity.working(), capacity.rows, strict=True):
        sums = sum(float(a) * float(b) for a, b in re.findall(r"([\d.]+) × ([\d.]+)", line))
        assert sums == pytest.approx(row.value, rel=6e-3)
