"""The jar in the units of its drawing: tenths of a millimetre, down from the brim."""

from __future__ import annotations

import json
from dataclasses import dataclass

from levigate.publish.jar import Jar, Outline
from levigate.publish.layers import Moment, Stretch

#: Units of the drawing in a metre.
_UNITS = 10_000.0
#: Thickness of the wall and of the floor, and the air between brim and lid.
_WALL, _FLOOR, _GAP = 18.0, 30.0, 8.0
#: Height of the lid as a share of the mouth, and from, to.
_LID, _LOWEST_LID, _HIGHEST_LID = 0.22, 50.0, 130.0
#: Width and greatest height at which the picture is shown, and the size of its letters. [px]
_SHOWN, _LETTERS = (240.0, 420.0), 11.5
#: Room for a number on either side, in letters.
_BESIDE = 3.8
#: Distances of the marks on the ruler, and how many of them fit. [mm]
_STEPS, _MARKS = (1, 2, 5, 10, 20, 50, 100), 6


@dataclass(frozen=True, slots=True)
class Layers:
    """Layers of one moment: where each begins, and how high it is."""

    clear_y: float
    clear: float
    sediment_y: float
    sediment: float
    cream: float


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark of the ruler."""

    y: float
    millimetres: int
    #: Where the number stands.
    text_y: float


@dataclass(frozen=True, slots=True)
class Warm:
    """The level of a warm filling."""

    y: float
    #: Where its temperature stands: beside the wall.
    text_x: float
    text_y: float
    celsius: float


@dataclass(frozen=True, slots=True)
class Drawing:
    """What the template puts into SVG."""

    jar: Jar
    #: Corner and size of the picture.
    box: str
    #: The inside, the same grown by the wall, and what stands inside of the floor, as points.
    inside: str
    wall: str
    raised: str
    lid: dict[str, float]
    left: float
    width: float
    #: Top of the filling and the floor, measured down from the brim.
    top: float
    floor: float
    depth: float
    #: Where the light falls on the glass.
    shine: dict[str, float]
    #: Where the marks of the ruler begin and end.
    ruler_x: float
    ruler_to: float
    marks: tuple[Mark, ...]
    letters: float
    warm: Warm | None
    #: Layers at the end, for the still picture.
    layers: Layers
    #: Layers of each moment for the slider, as JSON: the numbers of ``Layers``, when it is, and what is to be seen.
    frames: str
    table: tuple[Stretch, ...]

    @property
    def end(self) -> Moment | None:
        """The last moment."""
        return self.jar.layers.moments[-1] if self.jar.layers.moments else None

    @property
    def last(self) -> int:
        """The number of the last moment."""
        return len(self.jar.layers.moments) - 1

    @property
    def headspace_percent(self) -> float | None:
        """Share left empty. [%]"""
        return None if self.jar.headspace is None else 100 * self.jar.headspace


def drawing(jar: Jar) -> Drawing:
    """Return the drawing of a jar."""
    height, floor = jar.height * _UNITS, jar.height * _UNITS
    right = _points(jar.outline, height)
    widest, mouth = max(x for x, _ in right), right[-1][0]
    lid = min(max(2 * _LID * mouth, _LOWEST_LID), _HIGHEST_LID)
    top = height - jar.filled * _UNITS
    tall, wide = height + lid + _GAP + _FLOOR + 2 * _WALL, 2 * (widest + 2 * _WALL)
    # Letters keep their size on the screen whatever the size of the jar, and the picture grows by the room they take.
    letters = max(wide / (_SHOWN[0] / _LETTERS - 2 * _BESIDE), tall * _LETTERS / _SHOWN[1])
    beside = widest + 2 * _WALL
    warm = _warm(jar, height, -beside, letters)
    # The number on the ruler needs room on one side; the other has as much, so that the jar stands in the middle.
    margin = _BESIDE * letters
    box = (-beside - margin, -lid - _GAP - _WALL, 2 * (beside + margin), tall)
    moments = jar.layers.moments
    return Drawing(
        jar,
        " ".join(f"{value:.1f}" for value in box),
        _around(right),
        _around([(right[0][0] + _WALL, floor + _FLOOR), *((x + _WALL, y) for x, y in right)]),
        _around(_points(jar.raised, height)),
        {"x": -mouth - 1.6 * _WALL, "y": -lid - _GAP, "width": 2 * (mouth + 1.6 * _WALL), "height": lid},
        -widest,
        2 * widest,
        top,
        floor,
        floor - top,
        {"x": -0.82 * mouth, "width": 0.09 * mouth},
        beside,
        beside + 0.5 * letters,
        _ruler(jar.height, letters),
        letters,
        warm,
        _layers(moments[-1], top, floor) if moments else Layers(top, 0.0, floor, 0.0, 0.0),
        json.dumps([_frame(moment, top, floor) for moment in moments], separators=(",", ":")),
        jar.layers.stretches(),
    )


def _points(outline: Outline, height: float) -> list[tuple[float, float]]:
    return [(radius * _UNITS, height - level * _UNITS) for level, radius in outline]


def _around(right: list[tuple[float, float]]) -> str:
    points = right + [(-x, y) for x, y in reversed(right)]
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in points)


def _ruler(height: float, letters: float) -> tuple[Mark, ...]:
    """Return marks from the floor up, as far apart as lets them be read."""
    whole = 1000 * height
    step = next((step for step in _STEPS if whole / step <= _MARKS), _STEPS[-1])
    marks = range(0, int(whole) + 1, step)
    return tuple(Mark(10 * (whole - mark), mark, 10 * (whole - mark) + 0.35 * letters) for mark in marks)


def _warm(jar: Jar, height: float, text_x: float, letters: float) -> Warm | None:
    if jar.warm is None or jar.warm.level is None:
        return None
    y = height - jar.warm.level * _UNITS
    return Warm(y, text_x, y + 0.35 * letters, jar.warm.temperature - 273.15)


def _layers(moment: Moment, top: float, floor: float) -> Layers:
    clear, sediment, cream = (round(h * _UNITS, 1) for h in (moment.clear, moment.sediment, moment.cream))
    above = round(floor - moment.clear_from * _UNITS - clear, 1)
    return Layers(max(above, round(top, 1)), clear, round(floor - sediment, 1), sediment, cream)


def _frame(moment: Moment, top: float, floor: float) -> list[float | str]:
    one = _layers(moment, top, floor)
    return [one.clear_y, one.clear, one.sediment_y, one.sediment, one.cream, moment.when, moment.says]
