"""Read what the docstrings and comments of the science modules promise: entries, units, dimensions."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from types import ModuleType
from typing import Any

import levigate.science

#: Exponents of kg, m, s, K and mol.
Dimension = tuple[Fraction, ...]
BASE = ("kg", "m", "s", "K", "mol")

_DERIVED = {"N": "kg m/s²", "Pa": "kg/(m s²)", "J": "kg m²/s²", "W": "kg m²/s³", "Hz": "1/s"}
_SUPERSCRIPT = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻", "0123456789-")
_FACTOR = re.compile(r"([A-Za-z]+|1)([⁻⁰¹²³⁴⁵⁶⁷⁸⁹]*)")
_UNIT = re.compile(r"\[([^\[\]]+)\]$")


@dataclass(frozen=True)
class Entry:
    """One parameter or result of a docstring."""

    name: str
    unit: str


def dimension(unit: str) -> Dimension:
    """Return the dimension of a unit such as ``"J/(mol K)"``; ValueError where it cannot be read."""
    above, slash, below = unit.partition("/")
    below = below.removeprefix("(").removesuffix(")")
    if slash and not below:
        raise ValueError(f"[{unit}] has nothing below its stroke")
    total = [Fraction(0)] * len(BASE)
    for part, sign in ((above, 1), (below, -1)):
        for factor in part.split():
            match = _FACTOR.fullmatch(factor)
            if match is None:
                raise ValueError(f"[{unit}] cannot be read at {factor!r}")
            power = sign * int(match.group(2).translate(_SUPERSCRIPT) or "1")
            for place, exponent in enumerate(_symbol(match.group(1))):
                total[place] += power * exponent
    return tuple(total)


def _symbol(symbol: str) -> Dimension:
    if symbol in BASE:
        return tuple(Fraction(int(symbol == base)) for base in BASE)
    if symbol in _DERIVED:
        return dimension(_DERIVED[symbol])
    if symbol == "1":
        return (Fraction(0),) * len(BASE)
    raise ValueError(f"{symbol!r} is not a unit of the SI as used here")


def modules() -> list[ModuleType]:
    """Return every module of the science package."""
    found = pkgutil.walk_packages(levigate.science.__path__, "levigate.science.")
    return [importlib.import_module(info.name) for info in found]


def functions() -> dict[str, Callable[..., Any]]:
    """Return every public function of the science package by "module.function"."""
    public = {}
    for module in modules():
        for name in getattr(module, "__all__", ()):
            if inspect.isfunction(getattr(module, name)):
                public[f"{module.__name__.removeprefix('levigate.science.')}.{name}"] = getattr(module, name)
    return public


def section(function: Callable[..., Any], title: str) -> str:
    """Return one section of a numpy docstring, empty if there is none."""
    text = inspect.getdoc(function) or ""
    match = re.search(rf"^{title}\n-+\n(.*?)(?=^[^\n]+\n-+\n|\Z)", text, re.MULTILINE | re.DOTALL)
    return match.group(1).strip("\n") if match else ""


def entries(function: Callable[..., Any], title: str) -> Iterator[Entry]:
    """Yield the entries of a section with their units; an entry without a unit has ``""``."""
    for block in re.split(r"\n(?=\S)", section(function, title)):
        head, _, body = block.partition("\n")
        unit = _UNIT.search(body.strip())
        for name in head.partition(" : ")[0].split(","):
            if block:
                yield Entry(name.strip(), unit.group(1) if unit else "")


def constants() -> Iterator[tuple[ModuleType, str, str]]:
    """Yield module, name and unit of each constant whose ``#:`` comment ends in a unit."""
    for module in modules():
        source = inspect.getsource(module)
        for comment, name in re.findall(r"((?:^#:.*\n)+)^(\w+)\b.*=", source, re.MULTILINE):
            unit = _UNIT.search(comment.strip())
            if unit:
                yield module, name, unit.group(1)
