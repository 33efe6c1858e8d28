"""Volumes beside integration of the profile, and the catalogue of containers beside its own measures."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tomli
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import ellipe

from levigate.science import containers as subject
from levigate.science.constants import Floats
from levigate.shelf.catalogue import sources
from levigate.shelf.record import GRADES
from levigate.units import si

CATALOGUE = Path(subject.__file__).parents[1] / "shelf" / "containers.toml"
lengths = st.floats(0.002, 0.2)


def integrated(area: Callable[[float], float], height: float) -> float:
    return float(quad(area, 0, height, epsabs=0, epsrel=1e-11)[0])


@given(lengths, lengths, lengths)
@settings(deadline=None, database=None)
def test_frustum_is_its_profile_turned(bottom: float, top: float, height: float) -> None:
    turned = integrated(lambda z: np.pi / 4 * (bottom + (top - bottom) * z / height) ** 2, height)
    assert float(subject.volume_frustum(bottom, top, height)) == pytest.approx(turned, rel=1e-9)
    stacked = subject.volume_brimful([height], [subject.section_frustum(bottom, top)])
    assert float(stacked) == pytest.approx(turned, rel=1e-9)
    assert float(subject.volume_cylinder(top, height)) == float(subject.volume_frustum(top, top, height))


@given(lengths, lengths)
@settings(deadline=None, database=None)
def test_cap_is_a_slice_of_a_ball(diameter: float, height: float) -> None:
    ball = (diameter**2 / 4 + height**2) / (2 * height)
    turned = integrated(lambda z: np.pi * (2 * ball * z - z * z), height)
    assert float(subject.volume_cap(diameter, height)) == pytest.approx(turned, rel=1e-9)
    bowl = subject.volume_brimful([height], [subject.section_bowl(diameter, height)])
    assert float(bowl) == pytest.approx(turned, rel=1e-9)


@given(lengths, st.floats(0.01, 1.0))
@settings(deadline=None, database=None)
def test_a_raised_bottom_takes_away_its_cap(diameter: float, steepness: float) -> None:
    height = steepness * diameter / 2
    punt = subject.volume_brimful([height], [subject.section_punt(diameter, height)])
    left = subject.volume_cylinder(diameter, height) - subject.volume_cap(diameter, height)
    assert float(punt) == pytest.approx(float(left), rel=1e-9)


def test_half_a_ball() -> None:
    assert float(subject.volume_cap(0.2, 0.1)) == pytest.approx(2 / 3 * np.pi * 1e-3)


@given(lengths, lengths, lengths, st.floats(0, 1))
@settings(deadline=None, database=None)
def test_rounded_box_is_counted_point_by_point(length: float, width: float, height: float, round_: float) -> None:
    radius = round_ * min(length, width) / 2

    def across(x: float) -> float:
        """Return the width of the rounded rectangle at a distance from one end."""
        inset = max(radius - x, x - (length - radius), 0.0)
        return width - 2 * (radius - float(np.sqrt(max(radius**2 - inset**2, 0))))

    corners = [radius, length - radius]
    area = quad(across, 0, length, points=corners, epsabs=0, epsrel=1e-9, limit=200)[0]
    ours = subject.volume_rounded_box(length, width, height, radius)
    assert float(ours) == pytest.approx(area * height, rel=1e-6)
    stacked = subject.volume_brimful([height], [subject.section_rounded_box(length, width, radius)])
    assert float(stacked) == pytest.approx(float(ours), rel=1e-12)


def test_a_box_rounded_all_the_way_is_a_cylinder() -> None:
    box = subject.volume_rounded_box(0.04, 0.04, 0.1, 0.02)
    assert float(box) == pytest.approx(float(subject.volume_cylinder(0.04, 0.1)))


def test_a_flattening_tube_keeps_its_girth() -> None:
    """Straight sides a and half-circles of radius r: 2a + 2 pi r stays pi d, and r falls evenly."""
    d, length = 0.03, 0.12

    def area(z: float) -> float:
        r = d / 2 * (1 - z / length)
        side = (np.pi * d - 2 * np.pi * r) / 2
        return float(np.pi * r**2 + 2 * r * side)

    assert float(subject.volume_tube(d, length)) == pytest.approx(integrated(area, length), rel=1e-9)
    stacked = subject.volume_brimful([length], [subject.section_tube(d)])
    assert float(stacked) == pytest.approx(2 / 3 * float(subject.volume_cylinder(d, length)), rel=1e-12)


def test_a_tube_with_oval_cuts_holds_a_little_less() -> None:
    """Ellipses of the same girth and thickness: the docstring says 5 % less."""
    d, length = 0.03, 0.12

    def area(z: float) -> float:
        b = d / 2 * (1 - z / length)
        low, high = d / 2, np.pi * d / 4 + 1e-12
        for _ in range(60):
            a = (low + high) / 2
            girth = 4 * a * ellipe(1 - min((b / a) ** 2, 1.0))
            low, high = (a, high) if girth < np.pi * d else (low, a)
        return float(np.pi * low * b)

    ratio = quad(area, 0, length, epsrel=1e-6)[0] / float(subject.volume_tube(d, length))
    assert ratio == pytest.approx(0.95, abs=0.005)


sections = st.one_of(
    st.tuples(lengths, lengths).map(lambda pair: subject.section_frustum(*pair)),
    st.tuples(lengths, lengths).map(lambda pair: subject.section_bowl(*pair)),
    st.tuples(lengths, st.floats(0.01, 1)).map(lambda pair: subject.section_punt(pair[0], pair[1] * pair[0] / 2)),
    lengths.map(subject.section_tube),
    lengths.map(lambda d: subject.section_tube(d)[::-1]),
)
stacks = st.lists(st.tuples(lengths, sections), min_size=1, max_size=5)


@given(stacks, st.lists(st.floats(0, 1), min_size=2, max_size=20))
@settings(deadline=None, database=None)
def test_level_and_volume_are_inverse_and_rise_together(stack: list[tuple[float, Floats]], shares: list[float]) -> None:
    height, area = np.array([h for h, _ in stack]), np.stack([a for _, a in stack])
    brim = subject.volume_brimful(height, area)
    volumes = np.sort(shares) * brim
    levels = subject.fill_height(volumes, height, area)
    assert np.all(np.diff(levels) >= 0)
    np.testing.assert_allclose(
        subject.volume_filled(levels, height, area), volumes, rtol=1e-9, atol=1e-13 * float(brim)
    )
    again = subject.fill_height(subject.volume_filled(levels, height, area), height, area)
    # Where a section begins in a point, the level is the cube root of a last bit unsure.
    np.testing.assert_allclose(again, levels, atol=1e-4 * height.sum())


@given(stacks)
@settings(deadline=None, database=None)
def test_a_level_is_what_integrating_up_to_it_gives(stack: list[tuple[float, Floats]]) -> None:
    height, area = np.array([h for h, _ in stack]), np.stack([a for _, a in stack])
    level = 0.7 * height.sum()
    volume, base = 0.0, 0.0
    for own, (bottom, half, top) in zip(height, area, strict=True):
        upto = min(level - base, own)
        if upto > 0:
            through = np.polynomial.Polynomial.fit([0, own / 2, own], [bottom, half, top], 2)
            volume += integrated(through, upto)
        base += own
    assert float(subject.volume_filled(level, height, area)) == pytest.approx(volume, rel=1e-8)


def test_ends_are_exact() -> None:
    height = np.array([0.002, 0.05, 0.01])
    area = np.stack([subject.section_punt(0.03, 0.002), subject.section_frustum(0.03, 0.03),
                     subject.section_frustum(0.03, 0.014)])  # fmt: skip
    brim = subject.volume_brimful(height, area)
    assert float(subject.fill_height(0.0, height, area)) == 0
    assert float(subject.fill_height(brim, height, area)) == pytest.approx(0.062, rel=1e-15)
    assert float(subject.volume_filled(0.062, height, area)) == pytest.approx(float(brim), rel=1e-15)
    assert float(subject.volume_filled(0.0, height, area)) == 0


def test_many_volumes_in_one_jar() -> None:
    """One jar, many volumes: the inverse of a cylinder is a division."""
    volumes = np.linspace(0, 5e-5, 100_001)
    levels = subject.fill_height(volumes, [0.03], [subject.section_frustum(0.05, 0.05)])
    np.testing.assert_allclose(levels, volumes / (np.pi / 4 * 0.05**2), rtol=1e-12, atol=1e-17)


@given(st.floats(1e-6, 1e-3), st.floats(0, 1))
@settings(deadline=None, database=None)
def test_headspace_there_and_back(brim: float, empty: float) -> None:
    filled = subject.volume_under_headspace(brim, empty)
    assert float(subject.headspace(filled, brim)) == pytest.approx(empty, abs=1e-12)
    assert float(subject.volume_dispensed(filled, empty)) <= float(filled)


@pytest.mark.parametrize(
    "result",
    [
        subject.volume_cylinder(-0.01, 0.1),
        subject.volume_frustum(0.01, 0.02, -0.1),
        subject.volume_cap(0.01, -0.001),
        subject.volume_rounded_box(0.04, 0.02, 0.1, 0.011),
        subject.volume_rounded_box(0.04, 0.02, -0.1, 0.01),
        subject.volume_tube(-0.03, 0.1),
        subject.section_punt(0.03, 0.016)[0],
        subject.section_rounded_box(0.04, 0.02, -0.001)[1],
        subject.volume_brimful([0.05, -0.01], [[1e-3, 1e-3, 1e-3]] * 2),
        subject.volume_brimful([0.05], [[1e-3, -1e-4, 1e-3]]),
        subject.volume_brimful([0.05], [[1e-3, 1e-5, 0.0]]),
        subject.volume_filled(0.051, [0.05], [[1e-3, 1e-3, 1e-3]]),
        subject.volume_filled(-0.001, [0.05], [[1e-3, 1e-3, 1e-3]]),
        subject.fill_height(5.1e-5, [0.05], [[1e-3, 1e-3, 1e-3]]),
        subject.fill_height(-1e-6, [0.05], [[1e-3, 1e-3, 1e-3]]),
        subject.headspace(5.1e-5, 5e-5),
        subject.headspace(0.0, 0.0),
        subject.volume_under_headspace(5e-5, 1.1),
        subject.volume_dispensed(5e-5, -0.1),
    ],
)
def test_what_cannot_be_is_nan(result: float) -> None:
    assert np.isnan(result)


def catalogue() -> dict[str, dict[str, Any]]:
    whole: dict[str, dict[str, Any]] = tomli.loads(CATALOGUE.read_text(encoding="utf-8"))
    return whole


def sectioned(part: dict[str, str]) -> Floats:
    """Return the areas of a section as the catalogue writes it."""
    size = {key: si(value, "length") for key, value in part.items() if key not in ("shape", "height")}
    height = si(part["height"], "length")
    match part["shape"]:
        case "frustum":
            return subject.section_frustum(size["bottom_diameter"], size["top_diameter"])
        case "bowl":
            return subject.section_bowl(size["diameter"], height)
        case "punt":
            return subject.section_punt(size["diameter"], height)
        case "tube":
            return subject.section_tube(size["diameter"])
        case "rounded box":
            return subject.section_rounded_box(size["length"], size["width"], size["corner_radius"])
    raise AssertionError(part["shape"])


@pytest.mark.parametrize("name", sorted(catalogue()["containers"]))
def test_a_container_of_the_catalogue_holds_what_it_says(name: str) -> None:
    entry = catalogue()["containers"][name]
    assert entry["kind"] in catalogue()["kinds"]
    nominal, brimful = si(entry["nominal"]["value"], "volume"), si(entry["brimful"]["value"], "volume")
    dips_in = si(entry["dips_in"]["value"], "volume") if "dips_in" in entry else 0.0
    assert name.endswith(entry["nominal"]["value"])
    assert nominal < brimful - dips_in
    if entry["kind"] == "sachet":
        return
    height = [si(part["height"], "length") for part in entry["sections"]["parts"]]
    area = [sectioned(part) for part in entry["sections"]["parts"]]
    assert float(subject.volume_brimful(height, area)) == pytest.approx(brimful, rel=0.01)
    for lower, upper in pairwise(area):
        assert lower[2] >= 0.6 * upper[0], "sections do not meet"


def test_every_value_of_the_catalogue_has_its_source() -> None:
    found = 0
    for group in catalogue().values():
        for entry in group.values():
            for value in entry.values():
                if isinstance(value, dict):
                    assert value["source"] in sources()
                    assert value["grade"] in GRADES
                    found += 1
    assert found > 80


@pytest.mark.parametrize("name", sorted(catalogue()["kinds"]))
def test_a_kind_of_the_catalogue_is_in_order(name: str) -> None:
    kind = catalogue()["kinds"][name]
    for key in ("residue", "headspace"):
        assert 0 <= si(kind[key]["low"], "share") < si(kind[key]["high"], "share") < 0.5
    ends = [si(kind["viscosity"][end], "viscosity") for end in ("low", "high") if end in kind["viscosity"]]
    assert ends and ends == sorted(ends)
