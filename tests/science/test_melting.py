"""How hard a blend is: steps by hand, saturation beside `chemicals`, two waxes by repetition."""

from __future__ import annotations

import numpy as np
import pytest
from chemicals.solubility import solubility_eutectic
from hypothesis import given, settings
from hypothesis import strategies as st

from levigate.science import melting as subject


def test_the_usual_climates() -> None:
    assert np.round(subject.FOUR_CLIMATES - 273.15, 9).tolist() == [5, 20, 32, 45]


def test_a_blend_softens_step_by_step() -> None:
    """Beeswax, a butter that melts from 30 to 36 °C, and oil: 20, 30 and 50 parts."""
    start, end = np.array([62.0, 30.0, -10.0]) + 273.15, np.array([64.0, 36.0, -10.0]) + 273.15
    solid = subject.share_solid_blend([0.2, 0.3, 0.5], start, end, subject.FOUR_CLIMATES)
    np.testing.assert_allclose(solid, [0.5, 0.5, 0.2 + 0.3 * 4 / 6, 0.2], rtol=1e-12)


@pytest.mark.parametrize("kelvin", [280.0, 298.15, 320.0, 335.0])
def test_saturation_is_that_of_a_second_library(kelvin: float) -> None:
    """Naphthalene in an oil that stays liquid: what is dissolved makes the ideal mole fraction."""
    solid = float(subject.share_solid_ideal([0.7, 0.3], [0.12817, 0.2], [353.37, 200.0], [148318.8, 1e5], kelvin))
    dissolved = (0.7 - solid) / 0.12817
    expected = solubility_eutectic(kelvin, 353.37, 148318.8 * 0.12817)
    assert dissolved / (dissolved + 0.3 / 0.2) == pytest.approx(expected, rel=1e-9)


def test_two_waxes_dissolve_side_by_side() -> None:
    """Solved here by repetition: melt what dissolves in the melt there is, until nothing changes."""
    w, molar = np.array([0.2, 0.15, 0.65]), np.array([0.2844772, 0.2424406, 0.885])
    melting, fusion = np.array([342.45, 322.65, 268.15]), np.array([215132.0, 138591.0, 120000.0])
    for kelvin in (*subject.FOUR_CLIMATES, 315.0, 330.0):
        moles = w / molar
        limit = np.exp(-fusion * molar / 8.31446261815324 * (1 / kelvin - 1 / melting))
        melt = moles.sum()
        for _ in range(20_000):
            melt = np.where(melting <= kelvin, moles, np.minimum(moles, limit * melt)).sum()
        solid = 1 - (np.where(melting <= kelvin, moles, np.minimum(moles, limit * melt)) * molar).sum()
        ours = subject.share_solid_ideal(w, molar, melting, fusion, kelvin)
        assert float(ours) == pytest.approx(solid, abs=1e-9)


@given(st.lists(st.floats(0.01, 1.0), min_size=3, max_size=3), st.floats(255.0, 345.0), st.floats(0.0, 20.0))
@settings(deadline=None, database=None)
def test_warmer_is_never_harder_and_dissolving_never_hardens(weights: list[float], kelvin: float, step: float) -> None:
    w = np.array(weights) / sum(weights)
    molar, melting = np.array([0.2844772, 0.2424406, 0.885]), np.array([342.45, 322.65, 268.15])
    fusion = np.array([215132.0, 138591.0, 120000.0])
    cool, warm = (subject.share_solid_ideal(w, molar, melting, fusion, t) for t in (kelvin, kelvin + step))
    assert float(warm) <= float(cool) + 1e-12
    assert float(cool) <= float(subject.share_solid_blend(w, melting, melting, kelvin)) + 1e-12


def test_a_blend_all_below_its_eutectic_is_all_solid() -> None:
    solid = subject.share_solid_ideal([0.5, 0.5], [0.25, 0.25], [340.0, 345.0], [2e5, 2e5], 260.0)
    assert float(solid) == 1


@pytest.mark.parametrize(
    "result",
    [
        subject.share_solid_blend([0.5, 0.5], [310, 320], [300, 320], 293.15),
        subject.share_solid_blend([0.0, 0.0], [310, 320], [310, 320], 293.15),
        subject.share_solid_ideal([0.5, 0.5], [0.2, 0.0], [310, 320], [1e5, 1e5], 293.15),
        subject.share_solid_ideal([0.5, 0.5], [0.2, 0.2], [310, 320], [1e5, 1e5], 0.0),
    ],
)
def test_what_cannot_be_is_nan(result: float) -> None:
    assert np.isnan(result)
