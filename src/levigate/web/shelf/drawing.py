"""Flow curves drawn: viscosity against rate, both by powers of ten, a band a dose."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from levigate.shelf.record import Flow, Span

#: Powers of ten of the rate that are drawn: from standing in the jar to being rubbed in. [1/s]
_RATES = (-2, 3)
_LEFT, _RIGHT, _TOP, _BOTTOM = 62.0, 600.0, 10.0, 240.0
_STEPS = 40
_SUPERSCRIPT = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")


@dataclass(frozen=True, slots=True)
class Tick:
    """A line of the grid."""

    at: str
    says: str


@dataclass(frozen=True, slots=True)
class Band:
    """The range of one dose."""

    points: str
    x: str
    y: str
    says: str


@dataclass(frozen=True, slots=True)
class Drawing:
    """Flow curves of one medium."""

    says: str
    across: tuple[Tick, ...]
    up: tuple[Tick, ...]
    bands: tuple[Band, ...]
    box: str = f"0 0 660 {_BOTTOM + 26:.0f}"
    left: str = f"{_LEFT:.0f}"
    right: str = f"{_RIGHT:.0f}"
    top: str = f"{_TOP:.0f}"
    bottom: str = f"{_BOTTOM:.0f}"
    below: str = f"{_BOTTOM + 20:.0f}"
    beside: str = f"{_LEFT - 8:.0f}"
    half_line: str = "4"


def drawing(flows: Sequence[Flow], medium: str) -> Drawing:
    """Return the drawing of the flow curves of one medium."""
    # The least, a middle and the greatest dose: more bands than that hide each other.
    chosen = [flows[i] for i in sorted({0, len(flows) // 2, len(flows) - 1})]
    curves = [(flow, *_ends(flow)) for flow in chosen]
    every = [value for _, low, high in curves for value in (*low, *high) if value > 0]
    least, most = math.floor(math.log10(min(every))), math.ceil(math.log10(max(every)))
    most = max(most, least + 1)

    def height(viscosity: float) -> float:
        power = min(max(math.log10(viscosity) if viscosity > 0 else least, least), most)
        return _BOTTOM - (_BOTTOM - _TOP) * (power - least) / (most - least)

    step = max(1, math.ceil((most - least) / 5))
    up = tuple(Tick(f"{height(10.0**power):.1f}", _power(power, "Pa·s")) for power in range(least, most + 1, step))
    across = tuple(Tick(f"{_across(power):.1f}", _power(power, "/s")) for power in range(_RATES[0], _RATES[1] + 1))
    bands = tuple(
        _band(flow, [height(value) for value in low], [height(value) for value in high]) for flow, low, high in curves
    )
    return Drawing(
        _("Viscosity %(medium)s, from standing still to being rubbed in") % {"medium": medium}, across, up, bands
    )


def _across(power: float) -> float:
    return _LEFT + (_RIGHT - _LEFT) * (power - _RATES[0]) / (_RATES[1] - _RATES[0])


def _powers() -> list[float]:
    return [_RATES[0] + (_RATES[1] - _RATES[0]) * i / _STEPS for i in range(_STEPS + 1)]


def _power(power: int, unit: str) -> str:
    plain = {-2: "0.01", -1: "0.1", 0: "1", 1: "10", 2: "100", 3: "1000"}
    return f"{plain.get(power) or '10' + str(power).translate(_SUPERSCRIPT)} {unit}"


def _ends(flow: Flow) -> tuple[list[float], list[float]]:
    """Return the least and the greatest viscosity at each rate. [Pa·s]"""
    stress, consistency = flow.yield_stress.si("pressure"), flow.consistency.si("pressure")
    rates = [10.0**power for power in _powers()]
    return tuple(  # type: ignore[return-value]
        [(stress[end] + consistency[end] * pick(_raised(rate, flow.index))) / rate for rate in rates]
        for end, pick in ((0, min), (1, max))
    )


def _raised(rate: float, index: Span) -> list[float]:
    return [rate**power for power in index.si("share")]


def _band(flow: Flow, low: list[float], high: list[float]) -> Band:
    across = [_across(power) for power in _powers()]
    around = [*zip(across, high, strict=True), *zip(reversed(across), reversed(low), strict=True)]
    points = " ".join(f"{x:.1f},{y:.1f}" for x, y in around)
    return Band(points, f"{_RIGHT + 6:.0f}", f"{(low[-1] + high[-1]) / 2 + 4:.1f}", flow.dose or "")
