"""How a number is said: one formatter, which knows unit and significant digits, for terminal, page and sheet."""

from __future__ import annotations

import math

from levigate import units

#: SI unit of a quantity -> (unit of the bench, dimension for the conversion).
BENCH_UNITS: dict[str, tuple[str, str]] = {
    "kg/m³": ("g/mL", "density"),
    "m³": ("mL", "volume"),
    "kg": ("g", "mass"),
    "1": ("%", "share"),
    "m": ("µm", "length"),
    "K": ("°C", "temperature"),
    "Pa s": ("Pa.s", "viscosity"),
    "kg/mol": ("g/mol", "molar mass"),
    "m/s": ("µm/s", "speed"),
    "s": ("days", "time"),
    "min": ("min", "time"),
    "J/(kg K)": ("kJ/kg/K", "heat capacity"),
    "m²/s": ("mm²/s", "kinematic viscosity"),
}


def bench_unit(unit: str) -> str:
    """Return the unit in which a quantity is shown."""
    return BENCH_UNITS.get(unit, (unit, ""))[0]


def to_bench(value: float, unit: str) -> float:
    """Return an SI number in the unit in which it is shown."""
    if unit not in BENCH_UNITS:
        return value
    shown, dimension = BENCH_UNITS[unit]
    return units.convert(value, shown, dimension)


def digits(value: float, figures: int = 4) -> str:
    """Return a number to so many significant figures, without exponent where it can be read without."""
    if math.isnan(value):
        return "not known"
    if math.isinf(value):
        return "without bound"
    if value == 0:
        return "0"
    with_exponent = f"{value:.{figures - 1}e}"
    size = int(with_exponent.partition("e")[2])  # after rounding: 9.9996 to four figures is 10.00
    if size < -5 or size > 8:
        return with_exponent
    return f"{value:.{max(0, figures - 1 - size)}f}"


def with_spread(value: float, low: float | None, high: float | None) -> str:
    """Return a value with as many digits as its spread leaves meaning: down to the second of the half-width."""
    half = (high - low) / 2 if low is not None and high is not None else 0.0
    if not math.isfinite(value) or not half > 0:
        return digits(value)
    last = math.floor(math.log10(half)) - 1
    rounded = round(value, -last)
    if -6 <= last < 0:
        return f"{rounded:.{-last}f}"
    if last >= 0 and abs(rounded) < 1e9:
        return f"{rounded:.0f}"
    return digits(value, max(2, math.floor(math.log10(abs(value) or 1)) - last + 1))
