"""Valid arguments for each public function of the science package; the battery runs on these.

A new function needs one entry here. Each input is a list with one element per case, at least two cases.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True)
class Example:
    """Arguments for which a function must give numbers."""

    inputs: dict[str, list[Any]]
    #: Whether a case has axes of its own, as a composition has.
    axes: bool = False
    #: Arguments that are no quantities (the name of a method, a count), passed as they stand.
    fixed: dict[str, Any] = field(default_factory=dict)
    #: Why the formula holds in its own units only, so that other units would give another number.
    by_fit: str = ""


_CELSIUS = "fitted to measurements in degrees Celsius and kg/m³"

EXAMPLES: dict[str, Example] = {
    "density.density_mixture_ideal": Example(
        {
            "mass_fraction": [[0.7, 0.05, 0.25], [0.2, 0.2, 0.6], [0.0, 0.5, 0.5]],
            "material_density": [[998.2, 1261.1, 853.2], [997.0, 1258.0, 920.0], [998.2, 1261.1, 5600.0]],
        },
        axes=True,
    ),
    "density.volume_change_on_mixing": Example(
        {
            "density_real": [935.15, 1153.8],
            "mass_fraction": [[0.4, 0.6], [0.6, 0.4]],
            "material_density": [[789.24, 998.2], [1261.08, 998.23]],
        },
        axes=True,
    ),
    "density.density_water": Example({"temperature": [273.15, 293.15, 348.15, 373.15]}, by_fit=_CELSIUS),
    "density.density_ethanol_water": Example(
        {"mass_fraction": [0.0, 0.5, 0.96], "temperature": [293.15, 313.15, 263.15]}, by_fit=_CELSIUS
    ),
    "density.volume_fraction_ethanol_water": Example({"mass_fraction": [0.0, 0.333, 0.94, 1.0]}),
    "density.mass_fraction_ethanol_water": Example({"volume_fraction": [0.0, 0.4, 0.96, 1.0]}),
    "density.volume_after_mixing_ethanol_water": Example(
        {
            "volume_ethanol": [50e-6, 70e-6, 0.0],
            "volume_water": [50e-6, 30e-6, 1e-4],
            "temperature": [293.15, 298.15, 288.15],
        },
        by_fit=_CELSIUS,
    ),
    "density.density_glycerol_water": Example(
        {"mass_fraction": [0.0, 0.5, 1.0], "temperature": [288.15, 293.15, 303.15]}, by_fit=_CELSIUS
    ),
    "density.density_propylene_glycol_water": Example({"mass_fraction": [0.0, 0.3, 1.0]}),
    "metrology.weighing_uncertainty": Example(
        {"resolution": [1e-5, 1e-4, 1e-3], "repeatability": [3e-5, 1e-5, 1e-3]}
    ),
    "metrology.weighing_error": Example(
        {
            "mass": [3e-4, 0.05, 1.0],
            "resolution": [1e-4, 1e-5, 1e-3],
            "repeatability": [2e-4, 1e-6, 1e-4],
            "coverage": [2.0, 3.0, 2.0],
        }
    ),
    "metrology.smallest_mass": Example(
        {
            "resolution": [1e-4, 1e-5, 1e-3],
            "error": [0.001, 0.05, 0.01],
            "repeatability": [2e-4, 1e-6, 1e-4],
            "coverage": [2.0, 3.0, 2.0],
        }
    ),
    "metrology.tolerable_negative_error": Example(
        {"nominal_mass": [0.005, 0.03, 0.15, 1.0, 10.0]}, by_fit="the steps of the law are in grams"
    ),
    "metrology.tolerable_negative_error_volume": Example(
        {"nominal_volume": [5e-6, 3e-5, 1.5e-4, 1e-3, 1e-2]}, by_fit="the steps of the law are in millilitres"
    ),
    "grain.sieve_opening": Example({"sieve_number": [3.5, 60.0, 100.0, 635.0]}),
    "grain.grain_sigma": Example({"d50": [5e-6, 1e-6], "d90": [1.2e-5, 1e-6]}),
    "grain.grain_share_below": Example(
        {"diameter": [1e-5, 5e-6, 0.0], "d50": [5e-6, 5e-6, 5e-6], "sigma": [1.8, 1.0, 2.5]}
    ),
    "grain.grain_diameter": Example(
        {"share": [0.1, 0.5, 0.99], "d50": [5e-6, 1e-6, 2e-5], "sigma": [1.8, 1.0, 2.5]}
    ),
    "grain.sauter_diameter": Example({"d50": [5e-6, 1e-6], "sigma": [1.8, 1.0]}),
    "grain.mass_mean_diameter": Example({"d50": [5e-6, 1e-6], "sigma": [1.8, 1.0]}),
    "grain.count_median_diameter": Example({"d50": [5e-6, 1e-6], "sigma": [1.8, 1.0]}),
}
