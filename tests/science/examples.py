"""Valid arguments for each public function of the science package; the battery runs on these.

A new function needs one entry here. Each input is a list with one element per case, at least two cases.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np


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


_STEAM = "the critical point and the pressures are those of water"
_CELSIUS = "fitted to measurements in degrees Celsius and kg/m³"

#: Wax into warm oil, and ice into water: the first comes to rest between melting points, the second at one.
_JOINED_MELTING: dict[str, list[Any]] = {
    "mass": [[0.2, 0.05, 0.75], [0.2, 0.25, 0.0]],
    "temperature": [[298.15, 348.15, 348.15], [253.15, 293.15, 300.0]],
    "specific_heat_solid": [[2000.0, 2000.0, 2000.0], [2090.0, 4186.0, 2000.0]],
    "specific_heat_liquid": [[2300.0, 2300.0, 2100.0], [4186.0, 4186.0, 2000.0]],
    "melting_temperature": [[336.15, 323.15, 268.15], [273.15, 273.15, 273.15]],
    "heat_of_fusion": [[180000.0, 139000.0, 0.0], [334000.0, 0.0, 0.0]],
}
_BOTTLES: dict[str, list[Any]] = {
    "section_height": [[0.04, 0.01, 0.01], [0.05, 0.006, 0.012]],
    "section_area": [
        [[7e-4, 7e-4, 7e-4], [7e-4, 4.1e-4, 2e-4], [2e-4, 2e-4, 2e-4]],
        [[0.0, 5e-4, 7e-4], [7e-4, 4.1e-4, 2e-4], [2e-4, 2e-4, 2e-4]],
    ],
}
_KELVIN = "fitted with temperatures in kelvin and viscosities in micropascal seconds"
_CUP = "the formula of each cup is for seconds and mm²/s"

_GRAVITY = [9.80665, 9.8, 1e3]
_GRAIN = {
    "diameter": [1e-6, 1e-5, 1e-6],
    "particle_density": [5600.0, 2440.0, 900.0],
    "liquid_density": [998.2, 1010.0, 998.2],
}
_BALL = {
    "diameter": [2e-3, 3e-3],
    "particle_density": [7800.0, 700.0],
    "liquid_density": [1261.0, 960.0],
    "distance": [0.1, -0.05],
    "time": [11.5, 20.0],
    "tube_diameter": [0.03, np.inf],
}
_LAYER = {
    "layer_height": [0.01, 0.002],
    "time": [86400.0, 604800.0],
    "diameter": [2e-6, 5e-6],
    "particle_density": [4230.0, 920.0],
    "liquid_density": [1000.0, 1000.0],
    "solid_fraction": [0.05, 0.2],
}
_BEADS = {
    "diameter_held": [5e-4, 1e-3],
    "diameter_sunk": [1e-3, 2e-3],
    "particle_density": [2500.0, 900.0],
    "liquid_density": [1000.0, 1000.0],
}
_SLUMP = {"slump": [0.03, 0.01], "height": [0.05, 0.05], "density": [1000.0, 950.0]}
_PUDDLE = {"volume": [1e-6, 5e-6], "density": [1000.0, 950.0], "radius": [0.023, 0.04]}
_SQUEEZE = {"volume": [1e-6, 5e-7], "force": [1.2, 5.0], "radius": [0.03, 0.025]}

_FREE: dict[str, list[Any]] = {
    "oil_fraction": [0.2, 0.0, 0.5],
    "partition_coefficient": [5.33, 80.0, 0.02],
    "ph": [4.0, 5.5, 7.0],
    "pka": [4.2, 4.76, 8.4],
    "surfactant_concentration": [10.0, 0.0, 30.0],
    "binding_constant": [0.07, 0.4, 0.0],
}
_COUNTS: list[Any] = [[6.0, 2.8, 2.6, 2.6], [5.8, 5.0, 4.7, 4.9], [5.0, 5.0, 4.9, 3.8]]
_FITTED_TO_MOLALITY = "Pitzer's parameters are in powers of kg/mol"
#: Citric acid half neutralised; arginine hydrochloride beside acetic acid.
_SOLUTION: dict[str, list[Any]] = {
    "molality": [[0.05, 0.02, 0.0], [0.03, 0.04, 0.06]],
    "pka": [
        [[3.128, 4.761, 6.396], [np.inf] * 3, [np.inf] * 3],
        [[1.823, 8.991, 12.48], [np.inf] * 3, [4.757, np.inf, np.inf]],
    ],
    "charge": [[0.0, 1.0, -1.0], [2.0, -1.0, 0.0]],
    "temperature": [298.15, 310.15],
    "davies_constant": [0.3, 0.2],
}
#: Lye of 10 %; and arginine without water.
_REAGENT: dict[str, list[Any]] = {"reagent": [[0.0, 1.0, 0.0], [1.0, 0.0, 0.0]], "reagent_water": [0.36, 0.0]}
_ACTIVITY = "pH counts from one mole of hydrogen ions per kilogram"


def _doubted(readings: dict[str, list[Any]], **uncertainties: float) -> dict[str, list[Any]]:
    """Return the readings, each followed by its uncertainty: half of it after the first case."""
    beside = {
        f"{name}_uncertainty": [size, *[size / 2] * (len(readings[name]) - 1)] for name, size in uncertainties.items()
    }
    return {**readings, **beside}


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
    "metrology.weighing_uncertainty": Example({"resolution": [1e-5, 1e-4, 1e-3], "repeatability": [3e-5, 1e-5, 1e-3]}),
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
    "grain.grain_diameter": Example({"share": [0.1, 0.5, 0.99], "d50": [5e-6, 1e-6, 2e-5], "sigma": [1.8, 1.0, 2.5]}),
    "grain.grain_median_by_sieves": Example(
        {"opening": [[4.5e-5, 9e-5], [6.3e-5, 1.25e-4]], "share": [[0.6, 0.98], [0.5, 0.9]]}, axes=True
    ),
    "grain.grain_sigma_by_sieves": Example(
        {"opening": [[4.5e-5, 9e-5], [6.3e-5, 1.25e-4]], "share": [[0.6, 0.98], [0.5, 0.9]]}, axes=True
    ),
    "grain.sauter_diameter": Example({"d50": [5e-6, 1e-6], "sigma": [1.8, 1.0]}),
    "grain.mass_mean_diameter": Example({"d50": [5e-6, 1e-6], "sigma": [1.8, 1.0]}),
    "grain.count_median_diameter": Example({"d50": [5e-6, 1e-6], "sigma": [1.8, 1.0]}),
    "heat.temperature_joined": Example(
        {
            "mass": [[0.7, 0.25, 0.05], [0.2, 0.1, 0.0]],
            "specific_heat": [[4190.0, 2000.0, 4190.0], [4186.0, 4186.0, 2000.0]],
            "temperature": [[348.15, 348.15, 293.15], [293.15, 353.15, 300.0]],
        },
        axes=True,
    ),
    "heat.temperature_joined_melting": Example(_JOINED_MELTING, axes=True),
    "heat.share_melted_joined": Example(_JOINED_MELTING, axes=True),
    "heat.cooling_constant": Example(
        {
            "temperature_start": [348.15, 278.15, 350.0],
            "temperature_later": [333.15, 283.15, 350.0],
            "time": [600.0, 1800.0, 60.0],
            "temperature_ambient": [293.15, 295.15, 290.0],
        }
    ),
    "heat.temperature_cooling": Example(
        {
            "time": [0.0, 1800.0, 7200.0],
            "temperature_start": [348.15, 348.15, 278.15],
            "temperature_ambient": [293.15, 295.15, 293.15],
            "cooling_rate": [5.3e-4, 5.3e-4, 1e-4],
        }
    ),
    "heat.time_to_temperature": Example(
        {
            "temperature": [313.15, 290.15, 348.15],
            "temperature_start": [348.15, 278.15, 348.15],
            "temperature_ambient": [293.15, 293.15, 293.15],
            "cooling_rate": [5.3e-4, 1e-4, 2e-4],
        }
    ),
    "evaporation.vapour_pressure_water": Example({"temperature": [293.15, 348.15, 373.15]}, by_fit=_STEAM),
    "evaporation.evaporation_flux": Example(
        {
            "temperature": [348.15, 301.15, 340.0],
            "temperature_ambient": [293.15, 302.15, 298.15],
            "relative_humidity": [0.5, 0.5, 1.0],
        },
        by_fit="the coefficient has the units of its print, and the vapour pressure is that of water",
    ),
    "evaporation.water_lost": Example({"mass_before": [0.75, 1.2, 0.5], "mass_after": [0.73, 1.2, 0.48]}),
    "evaporation.water_to_add": Example(
        {"mass_before": [0.5, 0.5, 1.0], "mass_after": [0.48, 0.46, 0.9], "mass_taken": [0.0, 0.02, 0.1]}
    ),
    "evaporation.mass_fraction_after_loss": Example({"mass_fraction": [0.01, 0.3], "share_lost": [0.03, 0.0]}),
    "melting.share_solid_blend": Example(
        {
            "mass_fraction": [[0.2, 0.3, 0.5], [0.1, 0.4, 0.5]],
            "melting_start": [[335.15, 303.15, 260.0], [335.15, 299.0, 263.15]],
            "melting_end": [[337.15, 309.15, 260.0], [335.15, 309.0, 263.15]],
            "temperature": [305.15, 293.15],
        },
        axes=True,
    ),
    "melting.share_solid_ideal": Example(
        {
            "mass_fraction": [[0.15, 0.85], [0.3, 0.7]],
            "molar_mass": [[0.2844772, 0.885], [0.2424406, 0.885]],
            "melting_temperature": [[342.45, 268.15], [322.65, 268.15]],
            "heat_of_fusion": [[215132.0, 120000.0], [138591.0, 120000.0]],
            "temperature": [293.15, 305.15],
        },
        axes=True,
    ),
    "containers.volume_cylinder": Example({"inner_diameter": [0.05, 0.03], "inner_height": [0.03, 0.05]}),
    "containers.volume_frustum": Example(
        {
            "bottom_diameter": [0.05, 0.03, 0.02],
            "top_diameter": [0.04, 0.03, 0.0],
            "inner_height": [0.03, 0.05, 0.01],
        }
    ),
    "containers.volume_cap": Example({"inner_diameter": [0.05, 0.03], "cap_height": [0.01, 0.015]}),
    "containers.volume_rounded_box": Example(
        {
            "inner_length": [0.06, 0.05],
            "inner_width": [0.03, 0.05],
            "inner_height": [0.1, 0.04],
            "corner_radius": [0.015, 0.0],
        }
    ),
    "containers.volume_tube": Example({"inner_diameter": [0.03, 0.025], "inner_length": [0.12, 0.1]}),
    "containers.section_frustum": Example({"bottom_diameter": [0.05, 0.03], "top_diameter": [0.04, 0.03]}),
    "containers.section_bowl": Example({"inner_diameter": [0.05, 0.03], "cap_height": [0.01, 0.015]}),
    "containers.section_punt": Example({"inner_diameter": [0.05, 0.03], "cap_height": [0.005, 0.003]}),
    "containers.section_rounded_box": Example(
        {"inner_length": [0.06, 0.05], "inner_width": [0.03, 0.05], "corner_radius": [0.015, 0.0]}
    ),
    "containers.section_tube": Example({"inner_diameter": [0.03, 0.025]}),
    "containers.volume_brimful": Example(_BOTTLES, axes=True),
    "containers.volume_filled": Example({"level": [0.02, 0.055], **_BOTTLES}, axes=True),
    "containers.fill_height": Example({"volume": [1e-5, 2.5e-5], **_BOTTLES}, axes=True),
    "containers.headspace": Example({"volume": [5e-5, 3e-5], "brimful_volume": [6e-5, 3e-5]}),
    "containers.volume_under_headspace": Example({"brimful_volume": [6e-5, 3e-5], "headspace_share": [0.05, 0.0]}),
    "containers.volume_dispensed": Example({"volume": [5e-5, 3e-5], "residue_share": [0.2, 0.0]}),
    "filling.containers_filled": Example({"batch_mass": [0.3, 1.0, 0.0], "fill_mass": [0.1, 0.03, 0.05]}),
    "filling.mass_left_over": Example({"batch_mass": [0.3, 1.0, 0.0], "fill_mass": [0.1, 0.03, 0.05]}),
    "filling.mass_left_over_mix": Example(
        {
            "batch_mass": [0.5, 1.0],
            "fill_mass": [[0.03, 0.05, 0.1], [0.03, 0.05, 0.1]],
            "container_count": [[1.0, 3.0, 2.0], [0.0, 0.0, 9.0]],
        },
        axes=True,
    ),
    "filling.containers_best_mix": Example(
        {
            "batch_mass": [0.5, 0.48],
            "fill_mass": [[0.03, 0.05, 0.11], [0.03, 0.05, 0.11]],
            "container_stock": [[20.0, 20.0, 20.0], [3.0, 20.0, 2.0]],
        },
        axes=True,
    ),
    "filling.density_at_temperature": Example(
        {
            "density": [920.0, 1261.08],
            "density_temperature": [293.15, 293.15],
            "temperature": [343.15, 303.15],
            "expansion": [7.4e-4, 5e-4],
        }
    ),
    "filling.volume_at_temperature": Example(
        {
            "volume": [5e-5, 0.0],
            "volume_temperature": [293.15, 293.15],
            "temperature": [343.15, 303.15],
            "expansion": [7.4e-4, 5e-4],
        }
    ),
    "filling.mass_for_volume": Example(
        {
            "nominal_volume": [5e-5, 3e-5],
            "density": [880.0, 1261.08],
            "density_temperature": [343.15, 303.15],
            "expansion": [7.4e-4, 5e-4],
            "stated_temperature": [293.15, 298.15],
        }
    ),
    "filling.mean_criterion_factor": Example({"sample_size": [2.0, 20.0, 50.0]}),
    "filling.judge_fill_mass": Example(
        {
            "fill_mass": [[0.0301, 0.0299, 0.0272], [0.0503, 0.0502, 0.0409]],
            "nominal_mass": [0.03, 0.05],
            "share_short_allowed": [0.025, 0.5],
        },
        axes=True,
        by_fit="the steps of the law are in grams",
    ),
    "filling.judge_fill_volume": Example(
        {
            "fill_mass": [[0.0291, 0.0289, 0.0272], [0.0503, 0.0502, 0.0409]],
            "nominal_volume": [3e-5, 5e-5],
            "density": [960.0, 1010.0],
            "share_short_allowed": [0.025, 0.5],
        },
        axes=True,
        by_fit="the steps of the law are in millilitres",
    ),
    "filling.time_container_lasts": Example(
        {"fill_mass": [0.03, 0.05], "residue_share": [0.0, 0.2], "mass_rate": [1.78e-8, 9.05e-8]}
    ),
    "rheology.viscosity_water": Example({"temperature": [253.15, 293.15, 373.15]}, by_fit=_KELVIN),
    "rheology.viscosity_glycerol_water": Example(
        {"mass_fraction": [0.0, 0.5, 1.0], "temperature": [273.15, 293.15, 373.15]}, by_fit=_CELSIUS
    ),
    "rheology.viscosity_blending_number": Example({"kinematic_viscosity": [2.234e-6, 4.6e-5, 1e-3]}),
    "rheology.viscosity_blend": Example(
        {"mass_fraction": [[0.6, 0.4], [0.2, 0.1]], "kinematic_viscosity": [[5e-6, 2e-5], [1e-5, 1e-3]]},
        axes=True,
    ),
    "rheology.viscosity_walther": Example(
        {
            "temperature": [333.15, 298.15],
            "first_temperature": [313.15, 310.15],
            "first_kinematic_viscosity": [30e-6, 34e-6],
            "second_temperature": [373.15, 371.15],
            "second_kinematic_viscosity": [5.23e-6, 8e-6],
        }
    ),
    "rheology.activation_energy_of_flow": Example(
        {
            "first_temperature": [293.15, 313.15],
            "first_viscosity": [1.41, 0.656e-3],
            "second_temperature": [303.15, 293.15],
            "second_viscosity": [0.612, 1.005e-3],
        }
    ),
    "rheology.walther_slope": Example(
        {
            "first_temperature": [313.15, 310.15],
            "first_kinematic_viscosity": [30e-6, 34e-6],
            "second_temperature": [373.15, 371.15],
            "second_kinematic_viscosity": [5.23e-6, 8e-6],
        }
    ),
    "rheology.viscosity_walther_slope": Example(
        {
            "temperature": [333.15, 298.15],
            "reference_temperature": [313.15, 310.15],
            "reference_kinematic_viscosity": [30e-6, 34e-6],
            "slope": [3.73, 2.9],
        }
    ),
    "rheology.viscosity_arrhenius": Example(
        {
            "temperature": [298.15, 313.15],
            "reference_temperature": [293.15, 293.15],
            "reference_viscosity": [1.41, 1e-3],
            "activation_energy": [61.7e3, 16.3e3],
        }
    ),
    "rheology.viscosity_krieger_dougherty": Example(
        {
            "viscosity": [1e-3, 1.4, 0.02],
            "solid_fraction": [0.0, 0.3, 0.5],
            "packing_fraction": [0.64, 0.5, 0.71],
            "intrinsic_viscosity": [2.5, 4.0, 2.5],
        }
    ),
    "rheology.viscosity_maron_pierce": Example(
        {"viscosity": [1e-3, 1.4], "solid_fraction": [0.0, 0.3], "packing_fraction": [0.64, 0.5]}
    ),
    "rheology.stress_herschel_bulkley": Example(
        {
            "shear_rate": [0.0, 10.0, 100.0],
            "yield_stress": [5.69, 30.0, 0.0],
            "consistency": [178.49, 12.0, 2.0],
            "flow_index": [0.3547, 0.5, 1.0],
        }
    ),
    "rheology.viscosity_apparent": Example({"stress": [0.0, 50.0], "shear_rate": [0.1, 10.0]}),
    "rheology.viscosity_carreau": Example(
        {
            "shear_rate": [0.0, 10.0, 1e4],
            "zero_viscosity": [0.056, 19.776, 0.056],
            "infinite_viscosity": [0.0035, 0.1871, 0.0],
            "relaxation_time": [3.3, 21.731, 3.3],
            "flow_index": [0.36, 0.1295, 0.36],
            "transition": [2.0, 21.873, 1.0],
        }
    ),
    "suspension.reynolds_number": Example(
        {
            "velocity": [1e-3, -2e-3],
            "diameter": [1e-3, 5e-4],
            "liquid_density": [1000.0, 920.0],
            "viscosity": [1e-3, 0.06],
        }
    ),
    "suspension.settling_velocity": Example({**_GRAIN, "viscosity": [1e-3, 2.7, 1e-3], "gravity": _GRAVITY}),
    "suspension.drag_coefficient": Example({"reynolds": [1e-4, 1.0, 1e5]}),
    "suspension.settling_velocity_inertial": Example({**_GRAIN, "viscosity": [1e-6, 2.7, 1e-3], "gravity": _GRAVITY}),
    "suspension.hindered_exponent": Example({"peclet": [0.0, 1e-3, 1e12]}),
    "suspension.hindered_factor_richardson_zaki": Example(
        {"solid_fraction": [0.0, 0.2, 0.6], "exponent": [5.6, 4.48, 0.0]}
    ),
    "suspension.settling_velocity_polydisperse": Example(
        {
            "diameter": [[1e-6, 5e-7], [2e-6, 1e-6]],
            "particle_density": [[4230.0, 5600.0], [1500.0, 900.0]],
            "solid_fraction": [[0.1, 0.1], [0.3, 0.0]],
            "liquid_density": [1000.0, 950.0],
            "viscosity": [1e-3, 0.02],
            "exponent": [5.6, 4.65],
            "gravity": [9.80665, 9.8],
        },
        axes=True,
    ),
    "suspension.yield_stress_to_hold": Example({**_GRAIN, "criterion": [0.143, 0.6, 0.2], "gravity": _GRAVITY}),
    "suspension.diameter_held": Example(
        {
            "yield_stress": [0.05, 1.0, 20.0],
            "particle_density": [5600.0, 900.0, 1.2],
            "liquid_density": [1000.0, 1000.0, 950.0],
            "criterion": [0.143, 0.6, 0.2],
            "gravity": _GRAVITY,
        }
    ),
    "suspension.peclet_number": Example({**_GRAIN, "temperature": [293.15, 298.15, 313.15], "gravity": _GRAVITY}),
    "suspension.sedimentation_length": Example(
        {**_GRAIN, "temperature": [293.15, 298.15, 313.15], "gravity": _GRAVITY}
    ),
    "suspension.diffusion_coefficient": Example(
        {"diameter": [2e-7, 1e-8], "viscosity": [0.89e-3, 1.4], "temperature": [298.15, 293.15]}
    ),
    "suspension.relative_centrifugal_force": Example({"rotor_radius": [0.05, 0.1], "rotation_rate": [50.0, 0.0]}),
    "suspension.equivalent_standing_time": Example({"spinning_time": [1800.0, 0.0], "relative_force": [1006.4, 500.0]}),
    "benchtests.wall_factor_faxen": Example({"diameter": [2e-3, 1e-3], "tube_diameter": [0.03, np.inf]}),
    "benchtests.viscosity_from_falling_ball": Example(_BALL),
    "benchtests.viscosity_from_clear_layer": Example({**_LAYER, "exponent": [5.6, 4.48]}),
    "benchtests.yield_stress_from_beads": Example({**_BEADS, "criterion": [0.143, 0.6]}),
    "benchtests.slump_of_cylinder": Example(
        {"yield_stress": [32.45, 1e3, 5.0], "height": [0.05, 0.05, 0.06], "density": [1000.0, 950.0, 1100.0]}
    ),
    "benchtests.yield_stress_from_slump": Example(_SLUMP),
    "benchtests.yield_stress_from_spread": Example(_PUDDLE),
    "benchtests.spread_radius": Example(
        {
            "volume": [1e-6, 5e-7],
            "density": [1000.0, 950.0],
            "viscosity": [1.0, 4.75],
            "time": [60.0, 30.0],
        }
    ),
    "benchtests.viscosity_from_spread": Example({**_PUDDLE, "time": [60.0, 10.0]}),
    "benchtests.viscosity_from_squeeze": Example({**_SQUEEZE, "time": [60.0, 30.0], "start_radius": [0.0, 0.01]}),
    "benchtests.yield_stress_from_squeeze": Example(_SQUEEZE),
    "flowcups.kinematic_viscosity_from_flow_cup": Example({"time": [30.0, 80.0]}, fixed={"cup": "iso 4"}, by_fit=_CUP),
    "uncertainty.propagate": Example(
        {"values": [[2.0, 3.0], [5.0, 7.0]], "uncertainties": [[0.1, 0.2], [0.0, 0.3]]},
        axes=True,
        fixed={"function": np.multiply},
    ),
    "uncertainty.viscosity_from_falling_ball_uncertainty": Example(
        _doubted(
            {**_BALL, "tube_diameter": [0.03, 0.1]},
            diameter=1e-5,
            particle_density=20.0,
            liquid_density=1.0,
            distance=5e-4,
            time=0.2,
            tube_diameter=2e-4,
        )
    ),
    "uncertainty.viscosity_from_clear_layer_uncertainty": Example(
        {
            **_doubted(
                _LAYER,
                layer_height=5e-4,
                time=3600.0,
                diameter=2e-7,
                particle_density=50.0,
                liquid_density=1.0,
                solid_fraction=0.005,
            ),
            "exponent": [5.6, 4.48],
        }
    ),
    "uncertainty.yield_stress_from_beads_uncertainty": Example(
        {
            **_doubted(_BEADS, diameter_held=2e-5, diameter_sunk=2e-5, particle_density=20.0, liquid_density=1.0),
            "criterion": [0.143, 0.6],
        }
    ),
    "uncertainty.yield_stress_from_slump_uncertainty": Example(_doubted(_SLUMP, slump=5e-4, height=2e-4, density=5.0)),
    "uncertainty.yield_stress_from_spread_uncertainty": Example(
        _doubted(_PUDDLE, volume=2e-8, density=5.0, radius=2e-4)
    ),
    "uncertainty.viscosity_from_spread_uncertainty": Example(
        _doubted({**_PUDDLE, "time": [60.0, 10.0]}, volume=2e-8, density=5.0, radius=2e-4, time=0.5)
    ),
    "uncertainty.viscosity_from_squeeze_uncertainty": Example(
        {
            **_doubted({**_SQUEEZE, "time": [60.0, 30.0]}, volume=2e-8, force=0.01, radius=3e-4, time=0.5),
            "start_radius": [0.0, 0.01],
        }
    ),
    "uncertainty.yield_stress_from_squeeze_uncertainty": Example(
        _doubted(_SQUEEZE, volume=2e-8, force=0.01, radius=3e-4)
    ),
    "uncertainty.kinematic_viscosity_from_flow_cup_uncertainty": Example(
        {"time": [40.0, 70.0], "time_uncertainty": [0.2, 0.5]}, fixed={"cup": "iso 4"}, by_fit=_CUP
    ),
    "water_activity.water_activity_raoult": Example(
        {
            "mass_fraction": [0.3, 0.05, 0.0],
            "water_fraction": [0.7, 0.6, 0.9],
            "molar_mass": [0.09209, 0.05844, 0.1],
            "particle_count": [1.0, 2.0, 1.0],
        }
    ),
    "water_activity.water_activity_norrish": Example(
        {
            "mass_fraction": [0.3, 0.2],
            "water_fraction": [0.7, 0.5],
            "molar_mass": [0.09209, 0.18217],
            "norrish_constant": [1.16, 1.65],
        }
    ),
    "water_activity.water_activity_ross": Example({"solute_activity": [[0.97693, 0.98608], [0.9, 1.0]]}, axes=True),
    "water_activity.water_activity_bounds": Example(
        {
            "water_fraction": [0.7, 0.5],
            "mass_fraction": [[0.1, 0.05], [0.3, 0.0]],
            "osmole_mass_low": [[0.09209, 0.03], [0.09209, 0.03]],
            "osmole_mass_high": [[0.09209, 1.0], [0.09209, 0.5]],
            "norrish_low": [[1.1, 0.0], [1.16, -1.0]],
            "norrish_high": [[1.2, 7.0], [1.16, 2.0]],
        },
        axes=True,
    ),
    "salts.osmotic_coefficient": Example(
        {"molality": [0.1, 1.0, 6.0]}, fixed={"salt": "sodium chloride"}, by_fit=_FITTED_TO_MOLALITY
    ),
    "salts.water_activity_salts": Example(
        {"mass_fraction": [[0.02, 0.03, 0.05], [0.1, 0.0, 0.0]], "water_fraction": [0.7, 0.9]},
        axes=True,
        fixed={"salts": ["sodium chloride", "potassium chloride", "magnesium sulfate"]},
        by_fit=_FITTED_TO_MOLALITY,
    ),
    "salts.humidity_saturated_salt": Example(
        {"temperature": [278.15, 298.15, 313.15]}, fixed={"salt": "sodium chloride"}, by_fit=_CELSIUS
    ),
    "hlb.hlb_griffin_mass": Example({"hydrophile_mass": [0.88106, 0.0], "molar_mass": [1.12349, 0.2]}),
    "hlb.hlb_griffin_ethoxylate": Example(
        {"oxyethylene_fraction": [0.7842, 0.0, 0.5], "polyol_fraction": [0.0, 0.2, 0.1]}
    ),
    "hlb.hlb_griffin_ester": Example({"saponification_number": [161.0, 45.5], "acid_number": [198.0, 276.0]}),
    "hlb.hlb_davies": Example(
        {"group_count": [[1.0, 12.0], [2.0, 20.0]], "group_number": [[38.7, -0.475], [1.9, -0.475]]}, axes=True
    ),
    "hlb.hlb_blend": Example(
        {"mass_fraction": [[0.03, 0.02], [0.5, 0.0]], "hlb": [[15.0, 4.3], [16.7, 8.6]]}, axes=True
    ),
    "hlb.hlb_required": Example(
        {"mass_fraction": [[0.35, 0.01], [0.1, 0.1]], "required_hlb": [[12.0, 15.0], [10.0, 7.0]]}, axes=True
    ),
    "hlb.emulsifier_fraction": Example(
        {"required_hlb": [10.5, 15.0], "first_hlb": [15.0, 15.0], "second_hlb": [4.3, 4.7]}
    ),
    "hlb.emulsifier_fractions": Example(
        {"required_hlb": [10.5, 14.5], "hlb": [[15.0, 4.3, 8.6, 9.6], [15.0, 4.3, 8.6, 3.8]]}, axes=True
    ),
    "solubility.solubility_ideal": Example(
        {
            "temperature": [298.15, 293.15, 360.0],
            "melting_temperature": [353.37, 342.45, 353.37],
            "molar_heat_of_fusion": [19010.0, 61200.0, 19010.0],
        }
    ),
    "solubility.crystallisation_temperature": Example(
        {
            "mole_fraction": [0.3, 1.0],
            "melting_temperature": [353.37, 342.45],
            "molar_heat_of_fusion": [19010.0, 61200.0],
        }
    ),
    "solubility.mole_fraction_from_mass_fraction": Example(
        {"mass_fraction": [0.1, 0.0], "molar_mass": [0.12817, 0.2], "solvent_molar_mass": [0.07811, 0.885]}
    ),
    "solubility.mass_fraction_from_mole_fraction": Example(
        {"mole_fraction": [0.1, 1.0], "molar_mass": [0.12817, 0.2], "solvent_molar_mass": [0.07811, 0.885]}
    ),
    "solubility.cosolvency_power": Example({"log_partition": [2.26, -0.5]}, fixed={"cosolvent": "ethanol"}),
    "solubility.solubility_cosolvent": Example(
        {
            "solubility_water": [2.24, 0.5],
            "cosolvency": [[2.5, 1.07], [2.0, 0.9]],
            "volume_fraction": [[0.3, 0.1], [0.0, 0.5]],
        },
        axes=True,
    ),
    "solubility.distance_hansen": Example(
        {"hansen": [[15.5, 10.4, 7.0], [15.8, 8.8, 19.4]], "other_hansen": [[17.0, 10.0, 8.0], [15.5, 16.0, 42.3]]},
        axes=True,
    ),
    "solubility.relative_energy_difference": Example({"separation": [3.1875, 0.0], "interaction_radius": [8.0, 5.0]}),
    "solubility.hansen_blend": Example(
        {
            "volume_fraction": [[0.5, 0.5], [0.2, 0.0]],
            "hansen": [[[15.8, 8.8, 19.4], [18.0, 1.4, 2.0]], [[15.5, 10.4, 7.0], [14.9, 0.0, 0.0]]],
        },
        axes=True,
    ),
    "solubility.saturation_ratio": Example({"mass_fraction": [0.02, 0.0], "solubility": [0.0021, 0.33]}),
    "preservation.share_active": Example(_FREE),
    "preservation.active_concentration": Example({"concentration": [2.0, 0.0, 5.0], **_FREE}),
    "preservation.challenge_margin": Example(
        {
            "log_count": _COUNTS,
            "required_reduction": [[3.0, 3.0, 3.0], [1.0, 1.0, 1.0], [-np.inf, 0.0, 1.0]],
            "deviation": [0.5, 0.0, 0.5],
        },
        axes=True,
    ),
    "preservation.challenge_grade": Example(
        {"log_count": _COUNTS, "organism_kind": [0.0, 1.0, 2.0], "deviation": [0.5, 0.0, 0.5]}, axes=True
    ),
    "preservation.log_count_surviving": Example(
        {"log_count_start": [6.0, 5.0], "time": [604800.0, 0.0], "decimal_reduction": [201600.0, np.inf]}
    ),
    "preservation.decimal_reduction_time": Example(
        {"log_count_start": [6.0, 5.7], "log_count_later": [3.0, 5.0], "time": [604800.0, 86400.0]}
    ),
    "decay.first_order_share": Example({"time": [0.0, 2592000.0], "rate_constant": [1e-7, 4e-8]}),
    "decay.rate_arrhenius": Example(
        {
            "temperature": [313.15, 298.15],
            "reference_rate": [1e-8, 3e-7],
            "reference_temperature": [298.15, 318.15],
            "activation_energy": [83144.0, 50000.0],
        }
    ),
    "decay.activation_energy_from_two": Example(
        {
            "first_rate": [2e-3, 1e-7],
            "first_temperature": [298.0, 298.15],
            "second_rate": [4e-3, 5e-7],
            "second_temperature": [308.0, 318.15],
        }
    ),
    "decay.time_equivalent_q10": Example(
        {
            "time": [4838400.0, 0.0],
            "temperature": [318.15, 313.15],
            "storage_temperature": [298.15, 293.15],
            "q10": [2.0, 3.0],
        }
    ),
    "ions.permittivity_water": Example({"temperature": [273.15, 298.15, 373.15]}, by_fit=_CELSIUS),
    "ions.pkw_water": Example({"temperature": [273.15, 298.15, 373.15]}, by_fit=_CELSIUS),
    "ions.activity_coefficient_davies": Example(
        {
            "charge": [1.0, -2.0, 0.0],
            "ionic_strength": [0.1, 0.0, 0.5],
            "temperature": [298.15, 278.15, 323.15],
            "davies_constant": [0.3, 0.2, 0.3],
        },
        by_fit=_CELSIUS,
    ),
    "acidity.pka_at_temperature": Example(
        {
            "pka": [8.076, 4.757],
            "enthalpy": [47450.0, -410.0],
            "temperature": [298.15, 278.15],
            "heat_capacity": [-59.0, -142.0],
        }
    ),
    "acidity.pka_apparent_davies": Example(
        {
            "pka": [4.202, 9.244, 12.375],
            "charge": [0.0, 1.0, -2.0],
            "ionic_strength": [0.1, 0.0, 0.5],
            "temperature": [298.15, 278.15, 323.15],
            "davies_constant": [0.3, 0.2, 0.3],
        },
        by_fit=_CELSIUS,
    ),
    "acidity.free_acid_share": Example({"ph": [3.8, 7.0, 4.2], "pka": [3.83, 4.2, 4.2]}),
    "acidity.species_share": Example(
        {
            "ph": [4.0, 7.4],
            "pka": [[3.128, 4.761, 6.396], [4.757, np.inf, np.inf]],
            "charge": [0.0, 0.0],
            "ionic_strength": [0.1, 0.0],
            "temperature": [298.15, 310.15],
            "davies_constant": [0.3, 0.2],
        },
        axes=True,
        by_fit=_CELSIUS,
    ),
    "acidity.acidity": Example(_SOLUTION, axes=True, by_fit=_ACTIVITY),
    "acidity.ionic_strength_at_ph": Example({"ph": [4.0, 7.0], **_SOLUTION}, axes=True, by_fit=_ACTIVITY),
    "acidity.buffer_value_at_ph": Example(
        {"ph": [4.0, 7.0], "ionic_strength": [0.1, 0.03], **_SOLUTION}, axes=True, by_fit=_ACTIVITY
    ),
    "titration.titrate": Example({"added": [0.02, 0.3], **_SOLUTION, **_REAGENT}, axes=True, by_fit=_ACTIVITY),
    "titration.reagent_to_reach": Example({"ph": [5.0, 6.0], **_SOLUTION, **_REAGENT}, axes=True, by_fit=_ACTIVITY),
    "titration.buffer_recipe": Example(
        {
            "ph": [4.6, 8.1],
            "total_molality": [0.1, 0.05],
            "pka": [[3.128, 4.761, 6.396], [8.076, np.inf, np.inf]],
            "charge": [0.0, 1.0],
            "acid_ions": [0.0, -1.0],
            "base_ions": [3.0, 0.0],
            "temperature": [298.15, 310.15],
            "davies_constant": [0.3, 0.2],
        },
        axes=True,
        by_fit=_ACTIVITY,
    ),
}
