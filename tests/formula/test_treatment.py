"""What is read out of how a phase is treated."""

from __future__ import annotations

import math

import pytest

from levigate.formula.treatment import treatment

#: Words -> heated to, joins at, cooled to [°C], held [min].
SAID = {
    "": (None, None, None, None),
    "stir cold": (None, None, None, None),
    "heat to 75 °C": (75, None, None, None),
    "scatter the gum into the glycerin, add the water, heat to 75 °C, hold 20 min": (75, None, None, 20),
    "melt at 75 °C, hold 20 min; pour A into B, shear 3 min, stir down": (75, None, None, 20),
    "heat to 167 F": (75, None, None, None),
    "melt at 80 °C for half a day": (80, None, None, None),
    "heat to 75 °C for 15 minutes, then cool to 40 °C": (75, None, 40, 15),
    "heat to 75 °C, hold for 1.5 h": (75, None, None, 90),
    "heat to just below 80 °C": (80, None, None, None),
    "70 to 75 °C": (75, None, None, None),
    "at 65 C": (65, None, None, None),
    "below 40 °C, one after the other": (None, 40, None, None),
    "cool to 40 °C and add": (None, 40, None, None),
    "never heat above 60 °C": (None, 60, None, None),
    "stir in at 55 °C, pour at 52 °C, chill": (None, 55, None, None),
    "add once the batch is at 45 °C": (None, 45, None, None),
    "dissolve in the water at 60 °C": (60, None, None, None),
    "heat-sensitive: fold in": (None, None, None, None),
    "do not heat": (None, None, None, None),
    "shear 3 min": (None, None, None, None),
    "melt": (math.nan, None, None, None),
    "in a water bath until all is melted": (math.nan, None, None, None),
}


@pytest.mark.parametrize("how", SAID)
def test_treatment(how: str) -> None:
    heated, joins_at, cooled, minutes = SAID[how]
    found = treatment(how)
    temperatures = (found.heated, found.joins_at, found.cooled)
    for kelvin, said in zip(temperatures, (heated, joins_at, cooled), strict=True):
        assert (kelvin is None) == (said is None)
        if kelvin is not None and said is not None:
            assert kelvin - 273.15 == pytest.approx(said, nan_ok=True)
    assert found.held == (None if minutes is None else 60 * minutes)
