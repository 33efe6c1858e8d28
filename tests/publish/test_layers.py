"""Layers of drops: by the law of Richardson and Zaki and by the balance of volumes, on paths that are not ours."""

from __future__ import annotations

import itertools
import math
from typing import Any

import numpy as np
import pytest

from levigate.formula.text import read_formula
from levigate.publish.jar import Jar, jar_of
from levigate.publish.layers import SEEN
from levigate.review.engine import review
from levigate.science.constants import BOLTZMANN, STANDARD_GRAVITY

#: A milk of stated drops in a liquid of measured flow, a Newtonian one of 100 mPa s; densities are said, not looked up.
MILK = """levigate = 1
[formula]
name = "Spindrift milk"
keeps = "24 months"
{droplets}
[container]
height = "50 mm"
[[phase]]
letter = "A"
lines = [
  {{ material = "aqua", percent = "q.s." }},
  {{ material = "pale oil", percent = {oil} }},
  {{ material = "{emulsifier}", percent = 1 }},
{more}
]
[materials."pale oil"]
kind = "oil"
affinity = "oil"
density = "0.90 g/mL"
required_hlb = 15
{measured}
"""
MEASURED = '[measured]\nyield_stress = "{tau} Pa"\nconsistency = "{thick} Pa"\nflow_index = 1'


def milk(**words: object) -> str:
    usual = {"droplets": 'droplets = "5 um"', "oil": 5, "emulsifier": "polysorbate 80", "more": "", "thick": 0.1,
             "tau": "0.000000001"}  # fmt: skip
    asked = {**usual, **words}
    asked.setdefault("measured", MEASURED.format(**asked))
    return MILK.format(**asked)


def jar(draws: int = 0, **words: object) -> Jar:
    return jar_of(review(read_formula(milk(**words)), draws=draws))


def drops_by_hand(oil: float, diameter: float, viscosity: float, outer: float) -> tuple[float, float]:
    """Return the share of the drops by volume, and the speed of one alone by Stokes (1851)."""
    share = oil / 0.90 / (oil / 0.90 + (100 - oil) / (outer / 1000))
    return share, diameter**2 * (outer - 900) * STANDARD_GRAVITY / (18 * viscosity)


def test_a_cream_rises_as_fast_as_stokes_says_and_ends_as_high_as_it_packs() -> None:
    found = jar(oil=1)
    share, alone = drops_by_hand(1, 5e-6, 0.1, 999.0)  # water with 1 % of an emulsifier a little heavier than it
    early = [one for one in found.layers.moments if SEEN < one.clear < 0.5 * found.filled]
    speeds = [one.clear / one.seconds for one in early]
    # Neighbours slow it by n times their share: n is 4.65 to Richardson and Zaki (1954), 5.5 to later measurements.
    assert len(early) > 5 and np.allclose(speeds, alone * (1 - 5.1 * share), rtol=0.03)
    last = found.layers.moments[-1]
    assert last.clear == pytest.approx(found.filled * (1 - share / 0.64), rel=0.01) and last.clear_from == 0
    assert last.sediment == 0 and last.says.startswith("a clear layer of")
    assert found.layers.first_seen == pytest.approx(SEEN / alone, rel=0.3)


def test_a_dense_layer_lies_above_the_clear_one_and_no_volume_is_lost() -> None:
    last = jar(oil=20).layers.moments[-1]
    share, _ = drops_by_hand(20, 5e-6, 0.1, 999.0)
    assert last.cream == pytest.approx(0.05 * share / 0.64, rel=0.03)
    assert "at the bottom" in last.says and "of cream on top" in last.says
    assert last.clear + last.cream == pytest.approx(0.05, abs=0.05 / 200)


def test_drops_that_sink_leave_the_clear_layer_on_top() -> None:
    heavy = milk(oil=10).replace('"0.90 g/mL"', '"1.20 g/mL"')
    last = jar_of(review(read_formula(heavy), draws=0)).layers.moments[-1]
    assert last.cream == 0 and last.sediment > SEEN
    assert last.clear_from + last.clear == pytest.approx(0.05)
    assert "on top" in last.says and "of dense drops sunk to the bottom" in last.says


def test_drops_so_fine_that_heat_lifts_them_never_leave_a_sharp_layer_of_cream() -> None:
    """The barometric law: a drop of 60 nm in water is lifted by kT over its weight, 37 mm, most of the jar."""
    weight = math.pi / 6 * (60e-9) ** 3 * 98 * STANDARD_GRAVITY
    assert BOLTZMANN * 298 / weight == pytest.approx(0.037, rel=0.05)
    fine = jar(droplets='droplets = "60 nm"', oil=2, thick=0.001).layers
    coarse = jar(droplets='droplets = "600 nm"', oil=2, thick=0.001).layers
    assert fine.moments[-1].says == "no layer to be seen" and "cream on top" in coarse.moments[-1].says


def test_how_soon_and_how_late_it_may_be_is_said_with_the_size_it_rests_on() -> None:
    stated, usual = jar(draws=300).layers.notes, jar(draws=300, droplets="").layers.notes
    assert "5.0 µm as stated" in stated[0] and "A layer may be seen as soon as after" in stated[1]
    assert "not stated" in usual[0] and "microscope" in usual[0] and "days" in usual[1]


def test_what_is_held_stays() -> None:
    gel: dict[str, Any] = {"measured": "", "droplets": "", "more": '  { material = "xanthan gum", percent = 0.6 },'}
    found = jar(draws=300, **gel).layers
    assert found.known and found.moments == () and found.still == "Every drop is held where it is."


def test_drops_that_touch_stay() -> None:
    thickened: dict[str, Any] = {"measured": "", "more": '{ material = "sorbitan oleate", percent = 0.5 },'}
    for words in (dict[str, Any](), thickened):
        assert jar(oil=70, **words).layers.still == "The drops touch and stay where they are."


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ({"measured": "", "more": '{ material = "sorbitan oleate", percent = 0.5 },'}, "reckon slump"),
        ({"measured": "", "emulsifier": "glycerin"}, "shake 20 g"),
    ],
)
def test_what_is_not_known_is_said_with_the_test_that_tells_it(words: dict[str, Any], says: str) -> None:
    found = jar(**words).layers
    assert not found.known and found.moments == () and says in found.still


def test_drops_too_fine_to_be_seen_in_time_stay_whatever_the_flow() -> None:
    more = '{ material = "sorbitan oleate", percent = 0.5 },'  # what it does to the flow is not on record
    found = jar(measured="", droplets='droplets = "20 nm"', more=more).layers
    assert found.known and "no layer to be seen in 2.0 years" in found.still


ZINC = '  { material = "zinc oxide", percent = 5, grain = { d50 = "2 um", d90 = "5 um" } },'
FINE = '  { material = "azelaic acid", percent = 5, grain = { d50 = "1 um", d90 = "2 um" } },'


@pytest.mark.parametrize(("powder", "drawn", "other"), [(ZINC, "powder", "drops"), (FINE, "drops", "powder")])
def test_of_powder_and_drops_the_one_that_is_seen_first_is_drawn(powder: str, drawn: str, other: str) -> None:
    found = jar(more=powder).layers
    both = found.notes[0]
    assert f"drawn is the {drawn}, seen first" in both and f"own the {other} show" in both
    assert found.moments[-1].clear_from == (0 if drawn == "drops" else pytest.approx(0.05 - found.moments[-1].clear))


def test_a_powder_that_settles_beside_drops_that_are_not_known_is_not_drawn_as_all_there_is() -> None:
    found = jar(measured="", droplets="", more=ZINC + '\n  { material = "sorbitan oleate", percent = 0.5 },').layers
    assert not found.known


def test_what_shows_the_same_is_one_stretch() -> None:
    found = jar().layers
    stretches = found.stretches()
    assert 3 < len(stretches) <= 9
    assert stretches[0].when.startswith("from the first day to ") and stretches[0].says == "no layer to be seen"
    assert stretches[-1].says == found.moments[-1].says and "2.0 years" in stretches[-1].when
    assert all(one.says != after.says for one, after in itertools.pairwise(stretches))
    still = jar(oil=5, thick=1e9).layers.stretches()
    assert [(one.when, one.says) for one in still] == [("from the first day to 2.0 years", "no layer to be seen")]
