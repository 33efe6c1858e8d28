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
    bottom = volume_below(jar.raised, jar.raised[-1][0]) if jar.raised else 0.0
    room = volume_below(jar.outline, jar.height) - bottom
    assert room == pytest.approx(containers()[shape].brimful, rel=0.02)


def test_a_raised_bottom_is_a_cap_in_a_straight_wall() -> None:
    """A spherical cap of height h on a circle of radius r has the volume pi h (3 r^2 + h^2)/6."""
    jar = falling("dropper bottle 30 mL")
    assert jar.raised[0] == pytest.approx((0, 14.5e-3)) and jar.raised[-1] == pytest.approx((2e-3, 0), abs=1e-9)
    assert jar.outline[0][1] == pytest.approx(14.5e-3)
    cap = np.pi * 2e-3 * (3 * 14.5e-3**2 + 2e-3**2) / 6
    assert volume_below(jar.raised, 2e-3) == pytest.approx(cap, rel=0.01)


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


#: An oil alone, so that what it swells is the expansion of oils.
WARM = """levigate = 1
[formula]
name = "Warm oil"
makes = "4 x {makes} mL"
[container]
{box}
fill_at = "{at} C"
[[phase]]
letter = "A"
lines = [{{ material = "sunflower oil", percent = 100 }}]
[materials."sunflower oil"]
kind = "oil"
affinity = "oil"
density = {{ value = "0.919 g/mL", at = "20 C" }}
"""


def warm(box: str = 'shape = "jar 50 mL"', at: int = 60, makes: int = 50) -> Jar:
    return jar_of(review(read_formula(WARM.format(box=box, at=at, makes=makes)), draws=0))


@pytest.mark.parametrize("box", ['shape = "jar 50 mL"', 'brimful = "60 mL"\nheight = "40 mm"'])
def test_a_warm_filling_stands_higher_by_what_the_oil_swells(box: str) -> None:
    """Noureddini, Teoh and Clements (1992): vegetable oils lose about 0.0007 g/mL a kelvin from 24 to 110 °C."""
    jar = warm(box)
    assert jar.warm is not None and jar.warm.level is not None
    ratio = volume_below(jar.outline, jar.warm.level) / volume_below(jar.outline, jar.filled)
    assert ratio == pytest.approx(0.919 / (0.919 - 40 * 0.0007), abs=0.004)
    assert jar.warm.says.startswith("Filled at 60.0 °C it stands ") and "as it cools" in jar.warm.says


def test_a_warm_filling_that_runs_over_says_so() -> None:
    found = warm(at=90, makes=62).warm
    assert found is not None and found.level is None and "runs over the brim" in found.says


def test_a_filling_of_no_said_temperature_has_no_warm_level() -> None:
    assert falling("jar 50 mL").warm is None
