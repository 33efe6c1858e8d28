"""The jar in the units of its drawing: tenths of a millimetre, down from the brim."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from levigate.publish.jar import Jar
from levigate.publish.layers import Moment

#: Units of the drawing in a metre.
_UNITS = 10_000.0
#: Room about the jar for its wall and lid.
_WALL, _LID = 18.0, 60.0
#: Rows of the table.
_ROWS = 9


@dataclass(frozen=True, slots=True)
class Drawing:
    """What the template puts into SVG."""

    jar: Jar
    #: Corner and size of the picture.
    box: str
    #: The inside, and the same grown by the wall, as points.
    inside: str
    wall: str
    lid: dict[str, float]
    left: float
    width: float
    #: Top of the filling and the floor, measured down from the brim.
    top: float
    floor: float
    depth: float
    #: Layers of each moment for the slider, as JSON: clear, sediment and cream in units of the drawing, and the words.
    frames: str
    last: int
    table: tuple[Moment, ...]

    @property
    def end(self) -> Moment | None:
        """The last moment."""
        return self.jar.layers.moments[-1] if self.jar.layers.moments else None

    @property
    def layers(self) -> dict[str, float]:
        """Layers at the end, for the still picture."""
        end = self.end
        if end is None:
            return {"clear": 0.0, "sediment": 0.0, "cream": 0.0}
        return {"clear": end.clear * _UNITS, "sediment": end.sediment * _UNITS, "cream": end.cream * _UNITS}

    @property
    def bed_top(self) -> float:
        """Top of the settled bed at the end."""
        return self.floor - self.layers["sediment"]

    @property
    def headspace_percent(self) -> float | None:
        """Share left empty. [%]"""
        return None if self.jar.headspace is None else 100 * self.jar.headspace


def drawing(jar: Jar) -> Drawing:
    """Return the drawing of a jar."""
    height = jar.height * _UNITS
    right = [(radius * _UNITS, height - level * _UNITS) for level, radius in jar.outline]
    widest = max(x for x, _ in right)
    inside = _around(right)
    wall = _around([(x + _WALL, y + (_WALL if y >= height else 0.0)) for x, y in right])
    mouth = right[-1][0]
    lid = {"x": -mouth - _WALL, "y": -_LID, "width": 2 * (mouth + _WALL), "height": _LID - 10.0}
    box = (-widest - 2 * _WALL, -_LID - _WALL, 2 * widest + 4 * _WALL, height + _LID + 3 * _WALL)
    step = max(1, len(jar.layers.moments) // (_ROWS - 1))
    return Drawing(
        jar,
        " ".join(f"{value:.1f}" for value in box),
        inside,
        wall,
        lid,
        -widest,
        2 * widest,
        height - jar.filled * _UNITS,
        height,
        jar.filled * _UNITS,
        json.dumps([_frame(moment) for moment in jar.layers.moments]),
        len(jar.layers.moments) - 1,
        (*jar.layers.moments[:-1:step], *jar.layers.moments[-1:]),
    )


def _around(right: list[tuple[float, float]]) -> str:
    points = right + [(-x, y) for x, y in reversed(right)]
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in points)


def _frame(moment: Moment) -> dict[str, Any]:
    layers = {"clear": moment.clear, "sediment": moment.sediment, "cream": moment.cream}
    return {name: round(height * _UNITS, 2) for name, height in layers.items()} | {
        "when": moment.when,
        "says": moment.says,
    }
