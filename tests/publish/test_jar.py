"""The jar: its outline has the volume of the container, its filling that of the product."""

from __future__ import annotations

import numpy as np
import pytest

from levigate.demo import examples
from levigate.formula.text import read_formula
from levigate.publish.jar import Jar, jar_of
from levigate.publish.layers import when
from levigate.review.engine import review
from levigate.shelf.containers import containers

GEL = examples()["lee-shore-azelaic-gel"].read_text(encoding="utf-8")
#: A thin oil with a coarse powder and no gel: it must settle.
FALLS = """levigate = 1
[formula]
name = "Shingle oil"
makes = "1 x 50 mL"
keeps = "2 months"
[container]
shape = "{shape}"
[[phase]]
letter = "A"
lines = [
  {{ material = "squalane", percent = "q.s." }},
  {{ material = "azelaic acid", percent = 10, grain = {{ d50 = "12 um", d90 = "25 um" }} }},
]
"""
SHAPED = [name for name, one in containers().items() if one.sections is not None]


def falling(shape: str) -> Jar:
    return jar_of(review(read_formula(FALLS.format(shape=shape)), draws=0))


def volume_below(outline: tuple[tuple[float, float], ...], level: float) -> float:
    """Return the volume of a turned outline below a level, by thin discs: a path of its own."""
    heights, radii = (np.array(side) for side in zip(*outline, strict=True))
    fine = np.linspace(0, level, 20001)
    return float(np.trapezoid(np.pi * np.interp(fine, heights, radii) ** 2, fine))


@pytest.mark.parametrize("shape", SHAPED)
def test_the_outline_holds_what_the_container_holds(shape: str) -> None:
    jar = falling(shape)
    assert jar.true_shape
    assert volume_below(jar.outline, jar.height) == pytest.approx(containers()[shape].brimful, rel=0.02)


def test_the_filling_has_the_volume_of_the_product() -> None:
    jar = falling("jar 50 mL")
    assert volume_below(jar.outline, jar.filled) == pytest.approx(50e-6, rel=0.01)
    assert jar.headspace is not None and 0 < jar.headspace < 0.2


def test_what_is_not_held_settles_and_is_seen_and_said() -> None:
    jar = falling("jar 50 mL")
    first, last = jar.layers.moments[0], jar.layers.moments[-1]
    assert (first.when, first.says) == ("fresh", "no layer to be seen")
    assert last.clear > 0.5 * jar.filled and "a clear layer of" in last.says and "at the bottom" in last.says
    assert jar.layers.first_seen is not None and 0 < jar.layers.first_seen < 60 * 86400 and jar.layers.still == ""
    cell = jar.filled / 200  # an edge is known to about a cell
    assert np.diff([moment.clear for moment in jar.layers.moments]).min() > -1.5 * cell


def test_a_gel_that_holds_says_so() -> None:
    jar = jar_of(review(read_formula(GEL), draws=0))
    assert jar.layers.still == "Every grain is held where it is." and jar.layers.first_seen is None


def test_without_powder_nothing_can_settle() -> None:
    text = examples()["slack-water-toner"].read_text(encoding="utf-8")
    assert jar_of(review(read_formula(text), draws=0)).layers.still.startswith("No powder")


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(0, "fresh"), (30, "30 seconds"), (86400, "a day"), (2629800 * 9, "9.0 months"), (31557600 * 2, "2.0 years")],
)
def test_times_are_said_as_people_say_them(seconds: float, words: str) -> None:
    assert when(seconds) == words
