"""Heat balances beside a plain bisection, cooling beside an integrator."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from levigate.science import heat as subject

Part = tuple[float, float, float, float, float, float]

masses = st.floats(0.001, 5.0)
temperatures = st.floats(250.0, 370.0)
heats = st.floats(800.0, 4300.0)
parts = st.lists(
    st.tuples(masses, temperatures, heats, heats, temperatures, st.just(0.0) | st.floats(1e3, 4e5)),
    min_size=1,
    max_size=6,
)


def celsius(kelvin: object) -> float:
    return float(np.asarray(kelvin)) - 273.15


def content(part: Part, temperature: float, melted: bool) -> float:
    mass, _, solid, liquid, melting, fusion = part
    above = temperature - melting
    return mass * (fusion + liquid * above if melted else solid * above)


def bisected(mixture: list[Part]) -> float:
    """Return the settled temperature by halving on the heat content just above a temperature."""
    had = sum(content(part, part[1], part[1] >= part[4]) for part in mixture)
    low, high = 1.0, 3000.0
    for _ in range(200):
        middle = (low + high) / 2
        if sum(content(part, middle, middle >= part[4]) for part in mixture) < had:
            low = middle
        else:
            high = middle
    return high


def test_water_in_water() -> None:
    assert celsius(subject.temperature_joined([0.2, 0.1], [4180, 4180], [293.15, 353.15])) == pytest.approx(40)


def test_equal_masses_do_not_meet_half_way() -> None:
    """Oil at 75 °C in four times its mass of water at 25 °C: 30.34 °C, not 35 °C."""
    joined = subject.temperature_joined([0.8, 0.2], [4180, 2000], [298.15, 348.15])
    assert celsius(joined) == pytest.approx(30.34, abs=0.005)


def test_cold_water_in_a_hot_emulsion() -> None:
    joined = subject.temperature_joined([0.7, 0.25, 0.05], [4190, 2000, 4190], [348.15, 348.15, 293.15])
    assert celsius(joined) == pytest.approx(71.84, abs=0.005)


@given(parts)
@settings(deadline=None, database=None)
def test_melting_is_what_bisection_finds(mixture: list[Part]) -> None:
    ours = float(subject.temperature_joined_melting(*np.array(mixture).T))
    assert ours == pytest.approx(bisected(mixture), abs=1e-6)


@given(parts)
@settings(deadline=None, database=None)
def test_no_heat_is_made_or_lost(mixture: list[Part]) -> None:
    columns = np.array(mixture).T
    settled = float(subject.temperature_joined_melting(*columns))
    share = subject.share_melted_joined(*columns)
    had = sum(content(part, part[1], part[1] >= part[4]) for part in mixture)
    scale = sum(part[0] * (part[5] + 1e5) for part in mixture)
    has = sum(
        (1 - melted) * content(part, settled, False) + melted * content(part, settled, True)
        for part, melted in zip(mixture, share, strict=True)
    )
    assert has == pytest.approx(had, abs=1e-8 * scale)
    assert np.all((share >= 0) & (share <= 1))


@given(parts)
@settings(deadline=None, database=None)
def test_a_joined_temperature_lies_between(mixture: list[Part]) -> None:
    """Only where nothing melts: setting wax can warm a mixture beyond its warmest part."""
    mass, temperature, _, liquid, melting, _ = np.array(mixture).T
    plain = float(subject.temperature_joined(mass, liquid, temperature))
    assert temperature.min() - 1e-9 <= plain <= temperature.max() + 1e-9
    same = subject.temperature_joined_melting(mass, temperature, liquid, liquid, melting, 0 * mass)
    assert float(same) == pytest.approx(plain, rel=1e-12)


def test_ice_that_does_not_all_melt_stays_at_its_melting_point() -> None:
    """0.2 kg of ice at 0 °C in 0.25 kg of water at 20 °C: 250 x 4186 x 20 / 334000 = 62.66 g melt."""
    ice = ([0.2, 0.25], [273.1499999, 293.15], [2090, 2090], [4186, 4186], [273.15, 273.15], [334e3, 0])
    assert celsius(subject.temperature_joined_melting(*ice)) == 0
    assert float(subject.share_melted_joined(*ice)[0]) * 200 == pytest.approx(62.66, abs=0.01)


def test_cold_water_sets_the_wax() -> None:
    """20 g of cetyl alcohol (33.6 kJ/mol, 242.44 g/mol) give heat that the plain balance does not know of."""
    mass, start = [0.02, 0.08], [348.15, 298.15]
    plain = subject.temperature_joined(mass, [2300, 4180], start)
    with_wax = subject.temperature_joined_melting(
        mass, start, [2300, 4180], [2300, 4180], [322.65, 273.15], [33600 / 0.24244, 0]
    )
    assert celsius(with_wax) - celsius(plain) == pytest.approx(0.02 * 138591 / (0.02 * 2300 + 0.08 * 4180), rel=1e-4)


def test_many_mixtures_at_once_are_the_same_as_one_by_one() -> None:
    rng = np.random.default_rng(4)
    low, high = [0.01, 260, 900, 900, 260, 0], [2, 360, 4200, 4200, 360, 3e5]
    many = rng.uniform(low, high, (200, 5, 6))
    columns = [many[..., place] for place in range(6)]
    whole = subject.temperature_joined_melting(*columns)
    for row in range(0, 200, 20):
        alone = bisected([tuple(part) for part in many[row]])
        assert float(whole[row]) == pytest.approx(alone, abs=1e-9)


@pytest.mark.parametrize(("minutes", "printed"), [(0, 75.0), (10, 60.0), (30, 41.16)])
def test_cooling_by_hand(minutes: float, printed: float) -> None:
    """75 °C falls to 60 °C in 10 min in a room at 20 °C: k = ln(55/40)/10 = 0.031845 per minute."""
    k = subject.cooling_constant(348.15, 333.15, 600, 293.15)
    assert float(k) * 60 == pytest.approx(0.031845, abs=5e-7)
    assert celsius(subject.temperature_cooling(60 * minutes, 348.15, 293.15, k)) == pytest.approx(printed, abs=5e-3)
    assert float(subject.time_to_temperature(313.15, 348.15, 293.15, k)) / 60 == pytest.approx(31.77, abs=5e-3)


def test_cooling_is_what_the_rate_law_integrates_to() -> None:
    path = solve_ivp(lambda _, t: -7e-4 * (t - 291.0), (0, 5000), [350.0], rtol=1e-10, atol=1e-10)
    assert float(subject.temperature_cooling(5000, 350.0, 291.0, 7e-4)) == pytest.approx(path.y[0, -1], abs=1e-6)


@given(st.floats(1.0, 90.0), st.floats(0.01, 0.99), st.floats(1.0, 1e5), st.booleans())
@settings(deadline=None, database=None)
def test_time_and_temperature_are_inverse(gap: float, share: float, time: float, warms: bool) -> None:
    start = 290.0 - gap if warms else 290.0 + gap
    later = 290.0 + share * (start - 290.0)
    k = subject.cooling_constant(start, later, time, 290.0)
    assert float(subject.temperature_cooling(time, start, 290.0, k)) == pytest.approx(later, rel=1e-12)
    assert float(subject.time_to_temperature(later, start, 290.0, k)) == pytest.approx(time, rel=1e-9)


@pytest.mark.parametrize(
    "result",
    [
        subject.temperature_joined([0.0, 0.0], [4180, 2000], [300, 310]),
        subject.temperature_joined([0.1, 0.1], [4180, 0], [300, 310]),
        subject.temperature_joined([0.1, -0.1], [4180, 2000], [300, 310]),
        subject.temperature_joined_melting([0.1], [300], [2000], [2000], [310], [-1]),
        subject.cooling_constant(348.15, 350.0, 600, 293.15),
        subject.cooling_constant(348.15, 293.15, 600, 293.15),
        subject.cooling_constant(348.15, 280.0, 600, 293.15),
        subject.cooling_constant(348.15, 333.15, 0, 293.15),
        subject.temperature_cooling(-1, 348.15, 293.15, 1e-3),
        subject.time_to_temperature(293.15, 348.15, 293.15, 1e-3),
        subject.time_to_temperature(290.0, 348.15, 293.15, 1e-3),
        subject.time_to_temperature(350.0, 348.15, 293.15, 1e-3),
        subject.time_to_temperature(320.0, 348.15, 293.15, 0.0),
    ],
)
def test_what_cannot_be_is_nan(result: float) -> None:
    assert np.isnan(result)
