"""The jar: the product in its container, to true proportions, and what has settled or risen as time goes on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from levigate.formula.model import USUAL_LIFE
from levigate.publish.pictures import stand
from levigate.quantities.graph import Floats
from levigate.quantities.saying import digits
from levigate.review.engine import Review
from levigate.science.containers import fill_height
from levigate.shelf.containers import Container, containers

#: Height of the filling where nothing says it. [m]
USUAL_HEIGHT = 0.05
#: Width of the plain cylinder drawn where the container is not known, as a share of its height. [1]
_PLAIN = 0.8
#: Height of a clear layer, or of a bed, from which it is seen. [m]
SEEN = 1e-3
#: Moments shown, and by how much the first comes before the last.
_MOMENTS, _FIRST = 60, 1e4
#: Points of the outline for each section.
_POINTS = 24


@dataclass(frozen=True, slots=True)
class Moment:
    """The jar at one moment; heights above the floor of the container and of layers. [m]"""

    seconds: float
    clear: float
    sediment: float
    cream: float
    #: When it is, and what is to be seen, in words.
    when: str
    says: str


@dataclass(frozen=True, slots=True)
class Jar:
    """What is drawn."""

    container: str
    #: Height of the inside and half of its width, from the floor up. [m]
    outline: tuple[tuple[float, float], ...]
    #: Height of the filling. [m]
    filled: float
    #: Share of the brimful volume left empty; None where the container or the density is not known. [1]
    headspace: float | None
    #: Whether container and height are those of a known container, not only a plain cylinder.
    true_shape: bool
    moments: tuple[Moment, ...]
    #: Why nothing is foreseen to move, or why it is not known; empty where the column was reckoned.
    still: str
    first_seen: float | None

    @property
    def height(self) -> float:
        """Height of the inside. [m]"""
        return self.outline[-1][0]


def jar_of(review: Review) -> Jar:
    """Return the jar of a formula: its container, its filling, and its layers through the time it should keep."""
    known = _generic(review)
    outline, true_shape = _outline(known, review)
    filled, headspace = _filled(known, review, outline)
    keeps = review.formula.keeps or USUAL_LIFE
    moments, still, first = _through_time(review, filled, keeps)
    name = review.formula.container.name if review.formula.container else ""
    return Jar(name, outline, filled, headspace, true_shape, moments, still, first)


def _generic(review: Review) -> Container | None:
    box = review.formula.container
    return containers().get(box.name) if box is not None else None


def _outline(known: Container | None, review: Review) -> tuple[tuple[tuple[float, float], ...], bool]:
    if known is not None and known.sections is not None:
        return _from_sections(*known.sections), True
    box = review.formula.container
    height = box.height if box is not None and box.height is not None else USUAL_HEIGHT
    if box is not None and box.brimful is not None and box.height is None:
        # A cylinder of that volume in ordinary proportions: nothing says more.
        height = float((4 * box.brimful / (np.pi * _PLAIN**2)) ** (1 / 3))
    inside = height / (1 - (box.headspace if box is not None else 0.05))
    return ((0.0, _PLAIN * inside / 2), (inside, _PLAIN * inside / 2)), False


def _from_sections(heights: Floats, areas: Floats) -> tuple[tuple[float, float], ...]:
    """Return the outline: through the three areas of each section runs a parabola."""
    part = np.linspace(0.0, 1.0, _POINTS)
    low, middle, high = (areas[:, i, None] for i in range(3))
    area = low * (2 * part - 1) * (part - 1) + middle * 4 * part * (1 - part) + high * part * (2 * part - 1)
    floor = np.concatenate([[0.0], np.cumsum(heights)[:-1]])
    level = floor[:, None] + part * heights[:, None]
    radius = np.sqrt(area / np.pi)
    return tuple(zip(level.ravel().tolist(), radius.ravel().tolist(), strict=True))


def _filled(
    known: Container | None, review: Review, outline: tuple[tuple[float, float], ...]
) -> tuple[float, float | None]:
    figure, box = review.figures.get("volume_per_container"), review.formula.container
    volume = figure.value * 1e-6 if figure is not None and figure.known else None
    brimful = box.brimful if box is not None else None
    headspace = None if volume is None or not brimful else 1 - volume / brimful
    if known is not None and known.sections is not None:
        level = float(fill_height(known.nominal if volume is None else volume, *known.sections))
        if not np.isnan(level):
            return level, headspace
    if box is not None and box.height is not None:
        return box.height, headspace
    share = 0.05 if headspace is None else max(0.0, headspace)
    return outline[-1][0] * (1 - share), headspace


def _through_time(review: Review, height: float, duration: float) -> tuple[tuple[Moment, ...], str, float | None]:
    speed = review.figures.get("settling_speed")
    if speed is None:
        return (), "No powder hangs in it, so that none can settle.", None
    if not speed.known:
        return (), f"What settles is not known. {speed.unknown}", None
    # What falls falls soon or late: moments spread over the powers of ten show both.
    times = np.concatenate([[0.0], np.geomspace(duration / _FIRST, duration, _MOMENTS)])
    column = stand(review.inputs, height, duration, times=times)
    moments = tuple(
        _moment(seconds, clear, sediment, cream)
        for seconds, clear, sediment, cream in zip(
            column.times.tolist(),
            column.clear_layer.tolist(),
            column.sediment.tolist(),
            column.cream.tolist(),
            strict=True,
        )
    )
    still = "" if any(m.clear or m.sediment or m.cream for m in moments) else "Every grain is held where it is."
    first = None if np.isnan(column.clear_time) else float(column.clear_time)
    return moments, still, first


def _moment(seconds: float, clear: float, sediment: float, cream: float) -> Moment:
    seen = [
        f"{digits(1000 * size, 2)} mm {what}"
        for size, what in (
            (clear, "of clear liquid"),
            (sediment, "of settled powder at the bottom"),
            (cream, "of powder risen to the top"),
        )
        if size >= SEEN
    ]
    return Moment(seconds, clear, sediment, cream, when(seconds), "; ".join(seen) if seen else "no layer to be seen")


def when(seconds: float) -> str:
    """Return how long it has stood, as people say it."""
    for size, one, many in (
        (31557600.0, "a year", "years"),
        (2629800.0, "a month", "months"),
        (86400.0, "a day", "days"),
        (3600.0, "an hour", "hours"),
        (60.0, "a minute", "minutes"),
    ):
        count = seconds / size
        if count >= 0.95:
            return one if round(count, 1) == 1 else f"{digits(count, 2)} {many}"
    return "fresh" if seconds == 0 else f"{digits(seconds, 2)} seconds"
