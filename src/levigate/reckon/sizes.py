"""Sizes of the bench: the unit in which a thing is said, and the least and most that it can be there."""

from __future__ import annotations

from levigate import units
from levigate.errors import SumError
from levigate.quantities.saying import digits

#: Dimension -> units in which it is said, each from this size (SI) upward.
_UNITS: dict[str, tuple[tuple[float, str], ...]] = {
    "mass": ((0, "g"),),
    "volume": ((0, "mL"),),
    "length": ((0, "nm"), (5e-8, "µm"), (0.5e-3, "mm"), (2, "m"), (2e3, "km")),
    "time": ((0, "s"), (120, "min"), (7200, "h"), (172800, "days"), (63115200, "years")),
    "temperature": ((0, "°C"),),
    "density": ((0, "g/mL"),),
    "viscosity": ((0, "mPa.s"),),
    "kinematic viscosity": ((0, "mm²/s"),),
    "pressure": ((0, "Pa"),),
    "speed": ((0, "mm/day"), (1e-5, "mm/s")),
    "rotation": ((0, "rpm"),),
    "share": ((0, "%"),),
    "heat capacity": ((0, "kJ/kg/K"),),
    "specific energy": ((0, "kJ/kg"),),
}
#: Least and most that the thing by this name is on a bench, SI: beyond lies a slip of the pen or of the unit.
_BENCH: dict[str, tuple[float, float]] = {
    "diameter": (1e-9, 0.5),
    "d50": (1e-9, 0.01),
    "d90": (1e-9, 0.01),
    "held": (1e-9, 0.1),
    "sunk": (1e-9, 0.1),
    "particle_density": (0.1, 25000),
    "liquid_density": (100, 15000),
    "density": (10, 10000),
    "viscosity": (1e-5, 1e8),
    "yield_stress": (1e-6, 1e6),
    "distance": (1e-4, 10),
    "height": (1e-4, 10),
    "slump": (1e-6, 10),
    "layer": (1e-6, 10),
    "seen": (1e-6, 1),
    "radius": (5e-3, 2),
    "tube_diameter": (1e-4, 2),
    "time": (0.01, 3.2e9),
    "volume": (1e-9, 0.1),
    "mass": (1e-8, 1000),
    "load": (1e-3, 1000),
    "water": (1e-8, 1000),
    "brimful": (1e-7, 0.1),
    "rotation": (0.01, 2000),
    "solids": (1e-9, 1),
    "solids_by_mass": (1e-9, 1),
    "temperature": (173.15, 573.15),
    "start": (173.15, 573.15),
    "later": (173.15, 573.15),
    "ambient": (173.15, 573.15),
    "to": (173.15, 573.15),
    "at": (0.01, 3.2e9),
}


def in_bench_unit(value: float, dimension: str) -> tuple[float, str]:
    """Return an SI number in the unit of the bench that suits its size."""
    unit = [unit for least, unit in _UNITS[dimension] if abs(value) >= least][-1]
    return units.convert(value, unit, dimension), unit


def said(value: float, dimension: str, figures: int = 4) -> str:
    """Return an SI number as it is said at the bench."""
    number, unit = in_bench_unit(value, dimension)
    return f"{digits(number, figures)} {'°C' if unit == 'C' else unit}"


def within_reason(key: str, value: float, dimension: str) -> None:
    """Raise SumError when a reading is of a size that no bench has."""
    least, most = _BENCH[key]
    if not least <= value <= most:
        raise SumError(
            f"A {key.replace('_', ' ')} of {said(value, dimension)} is not one of the bench, where it lies between "
            f"{said(least, dimension, 2)} and {said(most, dimension, 2)}; look at the unit."
        )
