"""Vapour beside `chemicals` and a steam table, evaporation beside a printed table, water carried through a batch."""

from __future__ import annotations

import numpy as np
import pytest
from chemicals import iapws95_Psat
from hypothesis import given, settings
from hypothesis import strategies as st

from levigate.science import evaporation as subject


@pytest.mark.parametrize("kelvin", [273.16, 293.15, 323.15, 348.15, 372.0, 450.0, 600.0])
def test_vapour_is_that_of_a_second_library(kelvin: float) -> None:
    assert float(subject.vapour_pressure_water(kelvin)) == pytest.approx(iapws95_Psat(kelvin), rel=4e-4)  # type: ignore[no-untyped-call]


def test_evaporation_from_hot_water_is_near_an_older_equation() -> None:
    """ASHRAE (after Carrier), still air: 0.089 W/(m² Pa) over the latent heat, 2321 kJ/kg at 75 °C; from memory."""
    older = 0.089 * (38595 - 0.5 * 2645) / 2321e3
    assert float(subject.evaporation_flux(348.15, 295.15, 0.5)) / older == pytest.approx(1.0, abs=0.35)


@given(st.floats(300.0, 368.0), st.floats(0.1, 4.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
@settings(deadline=None, database=None)
def test_hotter_water_and_drier_air_lose_more(kelvin: float, step: float, damp: float, more: float) -> None:
    flux = float(subject.evaporation_flux(kelvin, 293.15, damp))
    assert float(subject.evaporation_flux(kelvin + step, 293.15, damp)) > flux > 0
    assert float(subject.evaporation_flux(kelvin, 293.15, damp + (1 - damp) * more)) <= flux


@given(st.floats(0.1, 5.0), st.floats(0.0, 0.3), st.floats(0.0, 0.3), st.floats(0.001, 0.2))
@settings(deadline=None, database=None)
def test_topped_up_the_batch_is_what_it_was(mass: float, lost: float, taken: float, salt: float) -> None:
    """Carry the salt, which stays behind, through heating, sampling and topping up."""
    hot = mass * (1 - lost)
    concentrated = salt * mass / hot
    assert float(subject.mass_fraction_after_loss(salt, lost)) == pytest.approx(concentrated)
    sample = taken * hot
    left = hot - sample
    water = float(subject.water_to_add(mass, left, sample))
    assert concentrated * left / (left + water) == pytest.approx(salt, rel=1e-9)
    lost_again = float(subject.water_lost(mass, hot))
    assert float(subject.water_to_add(mass, hot)) == pytest.approx(lost_again, abs=1e-9 * mass)


@pytest.mark.parametrize(
    "result",
    [
        subject.vapour_pressure_water(273.0),
        subject.vapour_pressure_water(650.0),
        subject.evaporation_flux(374.0, 295.15, 0.5),
        subject.evaporation_flux(290.0, 303.15, 0.1),
        subject.evaporation_flux(348.15, 295.15, 1.1),
        subject.water_lost(0.5, 0.501),
        subject.water_to_add(0.5, 0.48, 0.03),
        subject.water_to_add(0.5, 0.48, -0.01),
        subject.mass_fraction_after_loss(0.6, 0.5),
        subject.mass_fraction_after_loss(0.6, -0.1),
    ],
)
def test_what_cannot_be_is_nan(result: float) -> None:
    assert np.isnan(result)
