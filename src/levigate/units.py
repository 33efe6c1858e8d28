"""Read and write values as people write them: ``"30 g"``, ``"1 fl oz"``, ``"75 C"`` <-> SI floats.

The units of the bench stand in a table here, so that a command starts without loading a unit library; each
entry is checked against pint in the tests. Any other unit is handed to pint. Only the outer layers convert:
inside, every number is SI (kg, m, s, K, mol) and every share is a mass fraction from 0 to 1.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from levigate.errors import UnitError, came

#: Dimensions by the names used in messages; the value is the SI unit spelled as pint reads it.
DIMENSIONS: dict[str, str] = {
    "mass": "kg",
    "volume": "m^3",
    "length": "m",
    "area": "m^2",
    "time": "s",
    "temperature": "K",
    "density": "kg/m^3",
    "viscosity": "Pa*s",
    "kinematic viscosity": "m^2/s",
    "pressure": "Pa",
    "share": "dimensionless",
    "molar mass": "kg/mol",
    "concentration": "kg/m^3",
    "amount concentration": "mol/m^3",
    "molality": "mol/kg",
    "speed": "m/s",
    "acceleration": "m/s^2",
    "rotation": "1/s",
    "surface tension": "N/m",
    "heat capacity": "J/(kg*K)",
    "energy": "J",
    "specific energy": "J/kg",
    "thermal expansion": "1/K",
}

_LB = 0.45359237  # kg, exact (international yard and pound agreement, 1959)
_GALLON_US = 231 * 0.0254**3  # m³, exact: 231 cubic inches
_GALLON_IMPERIAL = 4.54609e-3  # m³, exact (UK Weights and Measures Act 1985)

#: unit -> (dimension, factor to SI). Spellings are compared without blanks round them.
TABLE: dict[str, tuple[str, float]] = {
    # mass
    "kg": ("mass", 1.0),
    "g": ("mass", 1e-3),
    "mg": ("mass", 1e-6),
    "ug": ("mass", 1e-9),
    "t": ("mass", 1e3),
    "lb": ("mass", _LB),
    "oz": ("mass", _LB / 16),
    "grain": ("mass", _LB / 7000),
    # volume
    "m3": ("volume", 1.0),
    "L": ("volume", 1e-3),
    "l": ("volume", 1e-3),
    "dL": ("volume", 1e-4),
    "cL": ("volume", 1e-5),
    "mL": ("volume", 1e-6),
    "ml": ("volume", 1e-6),
    "cm3": ("volume", 1e-6),
    "cc": ("volume", 1e-6),
    "uL": ("volume", 1e-9),
    "gal": ("volume", _GALLON_US),
    "qt": ("volume", _GALLON_US / 4),
    "pt": ("volume", _GALLON_US / 8),
    "cup": ("volume", _GALLON_US / 16),
    "fl oz": ("volume", _GALLON_US / 128),
    "tbsp": ("volume", _GALLON_US / 256),
    "tsp": ("volume", _GALLON_US / 768),
    "minim": ("volume", _GALLON_US / 61440),
    "imp gal": ("volume", _GALLON_IMPERIAL),
    "imp fl oz": ("volume", _GALLON_IMPERIAL / 160),
    # length, area
    "m": ("length", 1.0),
    "cm": ("length", 1e-2),
    "mm": ("length", 1e-3),
    "um": ("length", 1e-6),
    "micron": ("length", 1e-6),
    "nm": ("length", 1e-9),
    "km": ("length", 1e3),
    "in": ("length", 0.0254),
    "ft": ("length", 0.3048),
    "m2": ("area", 1.0),
    "cm2": ("area", 1e-4),
    "mm2": ("area", 1e-6),
    # time
    "s": ("time", 1.0),
    "min": ("time", 60.0),
    "h": ("time", 3600.0),
    "day": ("time", 86400.0),
    "days": ("time", 86400.0),
    "week": ("time", 604800.0),
    "weeks": ("time", 604800.0),
    "month": ("time", 31557600.0 / 12),
    "months": ("time", 31557600.0 / 12),
    "year": ("time", 31557600.0),
    "years": ("time", 31557600.0),
    # density; a concentration has the same unit and is asked for by its own name
    "kg/m3": ("density", 1.0),
    "g/mL": ("density", 1e3),
    "g/ml": ("density", 1e3),
    "g/cm3": ("density", 1e3),
    "kg/L": ("density", 1e3),
    "g/L": ("density", 1.0),
    "mg/L": ("density", 1e-3),
    "mg/mL": ("density", 1.0),
    "g/100 mL": ("density", 10.0),
    "g/100mL": ("density", 10.0),
    "lb/gal": ("density", _LB / _GALLON_US),
    # flow
    "Pa.s": ("viscosity", 1.0),
    "mPa.s": ("viscosity", 1e-3),
    "cP": ("viscosity", 1e-3),
    "cps": ("viscosity", 1e-3),
    "P": ("viscosity", 0.1),
    "m2/s": ("kinematic viscosity", 1.0),
    "mm2/s": ("kinematic viscosity", 1e-6),
    "cSt": ("kinematic viscosity", 1e-6),
    "St": ("kinematic viscosity", 1e-4),
    "Pa": ("pressure", 1.0),
    "hPa": ("pressure", 100.0),
    "mbar": ("pressure", 100.0),
    "kPa": ("pressure", 1e3),
    "bar": ("pressure", 1e5),
    "atm": ("pressure", 101325.0),
    "psi": ("pressure", _LB * 9.80665 / 0.0254**2),
    "m/s": ("speed", 1.0),
    "cm/s": ("speed", 1e-2),
    "mm/s": ("speed", 1e-3),
    "um/s": ("speed", 1e-6),
    "mm/day": ("speed", 1e-3 / 86400),
    "m/s2": ("acceleration", 1.0),
    "rpm": ("rotation", 1 / 60),
    "mN/m": ("surface tension", 1e-3),
    "N/m": ("surface tension", 1.0),
    # amounts and shares
    "g/mol": ("molar mass", 1e-3),
    "kg/mol": ("molar mass", 1.0),
    "mol/L": ("amount concentration", 1e3),
    "mol/l": ("amount concentration", 1e3),
    "mmol/L": ("amount concentration", 1.0),
    "mol/kg": ("molality", 1.0),
    "mmol/kg": ("molality", 1e-3),
    "%": ("share", 1e-2),
    "percent": ("share", 1e-2),
    "ppm": ("share", 1e-6),
    "": ("share", 1.0),
    "J": ("energy", 1.0),
    "kJ": ("energy", 1e3),
    "J/kg/K": ("heat capacity", 1.0),
    "kJ/kg/K": ("heat capacity", 1e3),
    "J/g/K": ("heat capacity", 1e3),
    "J/kg": ("specific energy", 1.0),
    "kJ/kg": ("specific energy", 1e3),
    "J/g": ("specific energy", 1e3),
    "1/K": ("thermal expansion", 1.0),
}

_TEMPERATURES = {"K": (1.0, 0.0), "C": (1.0, 273.15), "F": (5 / 9, 459.67 * 5 / 9)}
#: Other spellings of the same units.
_WORDS = {
    "litre": "L",
    "liter": "L",
    "litres": "L",
    "gram": "g",
    "grams": "g",
    "floz": "fl oz",
    "fl. oz": "fl oz",
    "fl. oz.": "fl oz",
    "us fl oz": "fl oz",
    "US fl oz": "fl oz",
    "d": "day",
    "hours": "h",
    "hour": "h",
    "minutes": "min",
    "seconds": "s",
    "lbs": "lb",
    "microns": "micron",
    "gallon": "gal",
    "celsius": "C",
    "fahrenheit": "F",
    "kelvin": "K",
    "imperial fl oz": "imp fl oz",
    "% w/w": "%",
    "mPas": "mPa.s",
    "mPa s": "mPa.s",
    "Pas": "Pa.s",
    "Pa s": "Pa.s",
    "mPa*s": "mPa.s",
    "Pa*s": "Pa.s",
    "g/cc": "g/cm3",
    "g/l": "g/L",
    "kg/l": "kg/L",
    "g / mL": "g/mL",
    "1": "",
    "/K": "1/K",
}
_SAME_UNIT = {"density", "concentration"}
_NUMBER = re.compile(r"\s*([-+−]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?)\s*(.*?)\s*$", re.DOTALL)
_COMMA = re.compile(r"\s*[-+]?\d+,\d+")
#: What pint is handed: words with small powers, their products and quotients. Sums of any other kind are not units, and
#: a tower of powers would keep it busy for ever.
_SPELLED = re.compile(r"[A-Za-z_%(][A-Za-z0-9_%()*/^ .-]{0,39}")
_TOWER = re.compile(r"[^A-Za-z]\s*(\^|\*\*)|\d{3}")
_SPELLINGS = str.maketrans({"µ": "u", "μ": "u", "³": "3", "²": "2", "·": ".", "°": "", "−": "-", "\u00a0": " "})


@dataclass(frozen=True, slots=True)
class Reading:
    """A value with what was written: the SI number, its dimension and the unit the person used."""

    si: float
    dimension: str
    unit: str


def _tidy_unit(unit: str) -> str:
    unit = re.sub(r"\s+", " ", unit.translate(_SPELLINGS)).strip()
    unit = unit.replace("^", "").replace("m**3", "m3")
    unit = re.sub(r"^deg(?:rees?)? ?(?=[CF]$)|(?<=^[CF])(?:elsius|ahrenheit)$", "", unit)
    return _WORDS.get(unit, unit)


def read(text: str | float | int, dimension: str | None = None) -> Reading:
    """Return what was written as an SI number with its dimension.

    Parameters
    ----------
    text : str or number
        A number and a unit, as ``"30 g"``. A bare number is a share, or is refused where another dimension is asked.
    dimension : str, optional
        What is expected, one of `DIMENSIONS`; anything else is refused with a sentence.

    Raises
    ------
    UnitError
        When the number or the unit cannot be read, is not finite, or is of another dimension.
    """
    written = came(str(text))
    number, unit = _split(str(text), dimension)
    offset = 0.0
    if unit in _TEMPERATURES:
        found, (factor, offset) = "temperature", _TEMPERATURES[unit]
    elif unit in TABLE:
        found, factor = TABLE[unit]
    else:
        found, factor = _ask_pint(written, unit, dimension)
    if dimension is not None and found != dimension and not {found, dimension} <= _SAME_UNIT:
        expected = DIMENSIONS.get(dimension, dimension)
        if unit == "":
            raise UnitError(f'{written} has no unit: {_a(dimension)} is needed, for example "{_example(dimension)}".')
        raise UnitError(
            f"{written} is {_a(found)}, but {_a(dimension)} is needed (SI unit {expected}), "
            f'for example "{_example(dimension)}".'
        )
    value = number * factor + offset
    if not math.isfinite(value):
        raise UnitError(f"{written} is too large a number.")
    if found == "temperature" and value < 0:
        raise UnitError(f"{written} is below absolute zero (-273.15 C).")
    return Reading(value, dimension or found, unit)


def si(text: str | float | int, dimension: str) -> float:
    """Return what was written as an SI number of the dimension asked for."""
    return _si_of_text(text, dimension) if type(text) is str else read(text, dimension).si


@lru_cache(maxsize=8192)
def _si_of_text(text: str, dimension: str) -> float:
    """Return a text as an SI number: the shelf is read again and again, and its texts are few."""
    return read(text, dimension).si


def convert(number: float, unit: str, dimension: str) -> float:
    """Return an SI number in a unit of the bench, for printing."""
    factor, offset = _scale_of(unit, dimension)
    return (number - offset) / factor


@lru_cache(maxsize=1024)
def _scale_of(unit: str, dimension: str) -> tuple[float, float]:
    """Return by what a number in a unit is multiplied, and what is then added, to be SI."""
    unit = _tidy_unit(unit)
    if unit in _TEMPERATURES and dimension == "temperature":
        return _TEMPERATURES[unit]
    if unit in TABLE:
        found, factor = TABLE[unit]
    else:
        found, factor = _ask_pint(unit, unit, dimension)
    if found != dimension and not {found, dimension} <= _SAME_UNIT:
        raise UnitError(f'"{unit}" is not a unit of {dimension}.')
    return factor, 0.0


def _split(written: str, dimension: str | None) -> tuple[float, str]:
    shown = came(written)
    if _COMMA.match(written):
        # A comma beside a point parts thousands; alone, it is taken for the decimal comma.
        mended = shown.replace(",", "") if "." in written else shown.replace(",", ".", 1)
        raise UnitError(f"{shown} has a comma in its number; write the decimal point, as in {mended}.")
    match = _NUMBER.match(written.translate(_SPELLINGS))
    if match is None:
        example = _example(dimension) if dimension else "30 g"
        raise UnitError(f'{shown} does not begin with a number; write a number and a unit, as in "{example}".')
    number = float(match.group(1))
    if not math.isfinite(number):
        raise UnitError(f"{shown} is too large a number.")
    return number, _tidy_unit(match.group(2))


def _a(dimension: str) -> str:
    return f"{'an' if dimension[0] in 'aeiou' else 'a'} {dimension}"


def _example(dimension: str) -> str:
    examples = {"mass": "30 g", "volume": "50 mL", "length": "12 um", "time": "20 min", "temperature": "75 C",
                "density": "0.96 g/mL", "viscosity": "5 mPa.s", "kinematic viscosity": "5 mm2/s", "pressure": "12 Pa",
                "share": "5 %", "molar mass": "92.09 g/mol"}  # fmt: skip
    return examples.get(dimension, f"1 {DIMENSIONS.get(dimension, dimension)}")


@lru_cache(maxsize=1)
def registry() -> Any:
    """Return the unit registry of pint, loaded when first needed (it takes a third of a second)."""
    import pint

    return pint.UnitRegistry()


def _ask_pint(written: str, unit: str, dimension: str | None) -> tuple[str, float]:
    """Return dimension and factor of a unit that the table lacks."""
    # "ML" is a megalitre to pint and a millilitre to whoever wrote it: letters in another case are asked about.
    same_letters = [known for known in (*TABLE, *_TEMPERATURES) if known.casefold() == unit.casefold()]
    if same_letters or not _SPELLED.fullmatch(unit) or _TOWER.search(unit):
        raise UnitError(_unknown(written, unit, same_letters))
    import pint

    spelled = re.sub(r"(?<=[A-Za-z])(-?\d)(?=$|[/*. )])", r"^\1", unit).replace("mPa.s", "mPa*s")
    try:
        quantity = registry().Quantity(1.0, spelled)
        turning = "radian" in str(quantity.to_root_units().units)
    except Exception as trouble:
        raise UnitError(_unknown(written, unit)) from trouble
    if quantity.check("[temperature]"):  # a scale with an offset has no factor
        raise UnitError(f"{written} has a temperature unit that is not read here; write it in C, F or K.")
    names = [dimension] if dimension in DIMENSIONS else []
    for name in [*names, *DIMENSIONS]:
        try:
            factor = float(quantity.to(DIMENSIONS[name]).magnitude)
        except pint.DimensionalityError:
            continue
        # pint counts radians; a rotation here counts turns.
        return name, factor / math.tau if name == "rotation" and turning else factor
    raise UnitError(f"{written} has a unit of no kind used here: {came(unit)}.")


def _unknown(written: str, unit: str, close: list[str] | None = None) -> str:
    import difflib

    close = close or difflib.get_close_matches(unit, [*TABLE, *_TEMPERATURES, *_WORDS], n=2, cutoff=0.6)
    hint = f"did you mean {' or '.join(close)}?" if close else "write for example g, mL, C, um, g/mL or mPa.s."
    return f"{written} has a unit that is not known: {came(unit)}; {hint}"
