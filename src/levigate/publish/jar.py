"""The jar: the product in its container, to true proportions, and what has settled or risen as time goes on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from levigate.formula.model import USUAL_LIFE
from levigate.publish.layers import Layers, layers_of
from levigate.quantities.graph import Floats
from levigate.quantities.saying import digits
from levigate.review.engine import Review
from levigate.science.containers import fill_height
from levigate.shelf.containers import Container, containers

#: Height of the filling where nothing says it. [m]
USUAL_HEIGHT = 0.05
#: Width of the plain cylinder drawn where the container is not known, as a share of its height. [1]
_PLAIN = 0.8
#: Points of the outline for each section.
_POINTS = 24


#: Heights above the floor, each with half of the width there. [m]
Outline: TypeAlias = "tuple[tuple[float, float], ...]"


@dataclass(frozen=True, slots=True)
class Warm:
    """Where a filling stands while it is as warm as it is filled."""

    #: How warm it is filled. [K]
    temperature: float
    #: Height above the floor; None where it runs over, or where that is not known. [m]
    level: float | None
    #: That in words.
    says: str


@dataclass(frozen=True, slots=True)
class Jar:
    """What is drawn."""

    container: str
    #: Height of the inside and half of its width, from the floor up. [m]
    outline: Outline
    #: The same of a raised bottom that stands inside; empty where the floor is flat. [m]
    raised: Outline
    #: Height of the filling. [m]
    filled: float
    #: Share of the brimful volume left empty; None where the container or the density is not known. [1]
    headspace: float | None
    #: Whether container and height are those of a known container, not only a plain cylinder.
    true_shape: bool
    #: What settles and rises in it.
    layers: Layers
    #: Where it stands while warm; None where the formula does not say how warm it is filled.
    warm: Warm | None

    @property
    def height(self) -> float:
        """Height of the inside. [m]"""
        return self.outline[-1][0]


def jar_of(review: Review) -> Jar:
    """Return the jar of a formula: its container, its filling, and its layers through the time it should keep."""
    known = _generic(review)
    (outline, raised), true_shape = _outline(known, review)
    filled, headspace = _filled(known, review, outline)
    keeps = review.formula.keeps or USUAL_LIFE
    name = review.formula.container.name if review.formula.container else ""
    return Jar(
        name,
        outline,
        raised,
        filled,
        headspace,
        true_shape,
        layers_of(review, filled, keeps),
        _warm(known, review, outline, filled),
    )


def _generic(review: Review) -> Container | None:
    box = review.formula.container
    return containers().get(box.name) if box is not None else None


def _outline(known: Container | None, review: Review) -> tuple[tuple[Outline, Outline], bool]:
    if known is not None and known.sections is not None:
        return _from_sections(*known.sections, known.raised), True
    box = review.formula.container
    height = box.height if box is not None and box.height is not None else USUAL_HEIGHT
    if box is not None and box.brimful is not None and box.height is None:
        # A cylinder of that volume in ordinary proportions: nothing says more.
        height = float((4 * box.brimful / (np.pi * _PLAIN**2)) ** (1 / 3))
    inside = height / (1 - (box.headspace if box is not None else 0.05))
    return (((0.0, _PLAIN * inside / 2), (inside, _PLAIN * inside / 2)), ()), False


def _from_sections(heights: Floats, areas: Floats, raised: tuple[int, ...]) -> tuple[Outline, Outline]:
    """Return the outline, and that of a raised bottom: through the three areas of each section runs a parabola."""
    part = np.linspace(0.0, 1.0, _POINTS)
    low, middle, high = (areas[:, i, None] for i in range(3))
    area = low * (2 * part - 1) * (part - 1) + middle * 4 * part * (1 - part) + high * part * (2 * part - 1)
    floor = np.concatenate([[0.0], np.cumsum(heights)[:-1]])
    level = floor[:, None] + part * heights[:, None]
    radius = np.sqrt(area / np.pi)
    dome: Outline = ()
    for i in raised:  # the wall goes straight up, and what lacks of the area is the bottom that stands inside
        within = np.sqrt(np.maximum(high[i] - area[i], 0.0) / np.pi)
        dome = tuple(zip(level[i].tolist(), within.tolist(), strict=True))
        radius[i] = np.sqrt(high[i] / np.pi)
    return tuple(zip(level.ravel().tolist(), radius.ravel().tolist(), strict=True)), dome


def _filled(known: Container | None, review: Review, outline: Outline) -> tuple[float, float | None]:
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


def _warm(known: Container | None, review: Review, outline: Outline, filled: float) -> Warm | None:
    """Return where the filling stands while warm, by what its mass takes up then."""
    box, figures = review.formula.container, review.figures
    if box is None or box.fill_at is None:
        return None
    warm, cold = figures.get("warm_volume"), figures.get("volume_per_container")
    at = f"Filled at {digits(box.fill_at - 273.15, 3)} °C"
    if warm is None or cold is None or not (warm.known and cold.known):
        why = warm.unknown if warm is not None else 'Say what goes into one container: makes = "12 x 50 mL"'
        return Warm(box.fill_at, None, f"{at}; how high it stands then is not known. {why.rstrip('.')}.")
    if known is not None and known.sections is not None:
        level = float(fill_height(warm.value * 1e-6, *known.sections))
    else:
        level = filled * warm.value / cold.value
    if not level <= outline[-1][0]:
        return Warm(box.fill_at, None, f"{at} it takes {digits(warm.value, 3)} mL and runs over the brim.")
    higher = digits(1000 * (level - filled), 2)
    return Warm(box.fill_at, level, f"{at} it stands {higher} mm higher, and sinks to its line as it cools.")
