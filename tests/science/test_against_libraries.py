"""Densities, sieves and grain beside two general libraries, `chemicals` and `fluids`."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from chemicals.dippr import EQ105, EQ116
from chemicals.iapws import iapws95_rho
from chemicals.miscdata import CRC_organic_data
from chemicals.volume import rho_data_Perry_8E_105_l, rho_data_VDI_PPDS_2
from fluids.particle_size_distribution import ASTM_E11_sieves, PSDLognormal

from levigate.science import density, grain

# The library says that it is typed and leaves these two untyped.
iapws_95: Callable[[float, float], float] = iapws95_rho
dippr_105: Callable[..., float] = EQ105

ETHANOL, GLYCEROL, PROPYLENE_GLYCOL = "64-17-5", "56-81-5", "57-55-6"


def perry(cas: str, kelvin: float) -> float:
    row = rho_data_Perry_8E_105_l.loc[cas]
    molar = dippr_105(kelvin, row["C1"], row["C2"], row["C3"], row["C4"])
    return molar * {ETHANOL: 46.06844, PROPYLENE_GLYCOL: 76.09442}[cas] / 1000


def vdi(cas: str, kelvin: float) -> float:
    row = rho_data_VDI_PPDS_2.loc[cas]
    return float(EQ116(kelvin, row["Tc"], row["rhoc"], row["A"], row["B"], row["C"], row["D"]))


@pytest.mark.parametrize("celsius", [0.01, 4, 10, 15, 20, 25, 30, 40, 50, 60, 70, 80, 90, 99])
def test_water_is_that_of_iapws_95(celsius: float) -> None:
    """The docstring promises 0.006 kg/m³, and never above."""
    kelvin = 273.15 + celsius
    difference = float(density.density_water(kelvin)) - iapws_95(kelvin, 101325.0)
    assert -0.006 <= difference <= 0


@pytest.mark.parametrize("celsius", [0.01, 4, 15, 20, 25, 40])
def test_water_without_ethanol_is_water(celsius: float) -> None:
    kelvin = 273.15 + celsius
    reference = iapws_95(kelvin, 101325.0)
    assert float(density.density_ethanol_water(0.0, kelvin)) == pytest.approx(reference, abs=0.01)


@pytest.mark.parametrize("celsius", [15, 20, 25, 30])
def test_water_without_glycerol_is_water(celsius: float) -> None:
    """The glycerol model's own line for water is 0.2 kg/m³ off at most."""
    kelvin = 273.15 + celsius
    reference = iapws_95(kelvin, 101325.0)
    assert float(density.density_glycerol_water(0.0, kelvin)) == pytest.approx(reference, abs=0.2)


@pytest.mark.parametrize("celsius", [0, 10, 20, 25, 40])
def test_pure_ethanol_is_that_of_perry(celsius: float) -> None:
    """A correlation from freezing to critical point, seen 0.05 to 0.16 % above the alcohol tables."""
    kelvin = 273.15 + celsius
    ours = float(density.density_ethanol_water(1.0, kelvin))
    assert ours == pytest.approx(perry(ETHANOL, kelvin), rel=2e-3)


@pytest.mark.parametrize("celsius", [15, 20, 25, 30])
def test_pure_glycerol_is_that_of_the_heat_atlas(celsius: float) -> None:
    kelvin = 273.15 + celsius
    ours = float(density.density_glycerol_water(1.0, kelvin))
    assert ours == pytest.approx(vdi(GLYCEROL, kelvin), rel=5e-4)


@pytest.mark.parametrize(
    ("cas", "function", "printed"),
    [(ETHANOL, density.density_ethanol_water, 0.7893), (GLYCEROL, density.density_glycerol_water, 1.2613)],
)
def test_pure_liquids_are_those_of_the_handbook(cas: str, function: Callable[..., object], printed: float) -> None:
    """The copied column runs the temperature into the digits: 789.32 stands for 0.7893 g/mL at 20 °C."""
    assert float(CRC_organic_data.loc[cas]["rho"]) == pytest.approx(1000 * printed + 0.02, abs=1e-6)
    assert np.asarray(function(1.0, 293.15)).item() / 1000 == pytest.approx(printed, abs=3e-4)


def test_pure_propylene_glycol_is_that_of_perry() -> None:
    ours = float(density.density_propylene_glycol_water(1.0))
    assert ours == pytest.approx(perry(PROPYLENE_GLYCOL, 298.15), rel=5e-4)


def test_sieves_are_those_of_fluids() -> None:
    """All openings from 5.6 mm down to 20 µm. Its wire diameters are a thousand times too small: not used."""
    theirs = sorted(sieve.opening for sieve in ASTM_E11_sieves.values() if sieve.opening <= 5.6e-3)
    ours = sorted(grain.sieve_opening(grain._SIEVE_NUMBER).tolist())
    np.testing.assert_allclose(ours, theirs, rtol=1e-12)


@pytest.mark.parametrize(("d50", "s"), [(5e-6, 0.5), (40e-6, 0.9)])
def test_lognormal_grain_is_that_of_fluids(d50: float, s: float) -> None:
    theirs, sigma = PSDLognormal(d_characteristic=d50, s=s), float(np.exp(s))
    assert float(grain.sauter_diameter(d50, sigma)) == pytest.approx(theirs.mean_size(3, 2), rel=1e-6)
    assert float(grain.mass_mean_diameter(d50, sigma)) == pytest.approx(theirs.mean_size(4, 3), rel=1e-6)
    for share in (0.1, 0.5, 0.9):
        assert float(grain.grain_diameter(share, d50, sigma)) == pytest.approx(theirs.dn(share), rel=1e-6)
    assert float(grain.grain_sigma(d50, theirs.dn(0.9))) == pytest.approx(sigma, rel=1e-6)
    for diameter in (0.3 * d50, 2 * d50):
        ours = float(grain.grain_share_below(diameter, d50, sigma))
        assert ours == pytest.approx(theirs.cdf(diameter), rel=1e-9)
