"""A standing column against exact solutions of the kinematic theory, and against the laws it must keep.

The solutions after Kynch (1952) were derived for these fluxes by hand, and their figures checked by another
scheme, of Godunov; two sizes follow from the jump conditions alone; thermal motion is compared with the error
function and with the barometric law (Perrin).
"""

from __future__ import annotations

import inspect
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from levigate.science.column import Column
from levigate.science.constants import Floats
from tests.science.docstrings import dimension, entries
from tests.science.test_battery import read_nomenclature

LAWS: dict[str, dict[str, float]] = {
    "A": {"exponent": 0.0, "packing_fraction": 0.6, "packing_exponent": 1.0},
    "B": {"exponent": 2.0, "packing_fraction": 1.0},
    "C": {"exponent": 4.65, "packing_fraction": 0.6},
    "fading": {"exponent": 4.65, "packing_fraction": 0.64, "packing_exponent": 1.0},
    "fading fast": {"exponent": 5.6, "packing_fraction": 0.64, "packing_exponent": 2.0},
}
HINDERED = LAWS["C"]


def stand(duration: float, solid: Any, velocity: Any, *, height: float = 1.0, **rest: Any) -> Column:
    return Column.settle(height, duration, solid, velocity, **rest)


def kynch(law: str, at: float, solid: float = 0.2, cells: int = 200) -> Column:
    return stand(at, [solid], [1.0], cells=cells, times=[at], **LAWS[law])


def fan(height: Floats) -> Floats:
    """Return the volume fraction in the fan of case B at time 1: z = (1 - phi)(3 phi - 1), from 0.9 to 1."""
    return (4 + np.sqrt(16 - 12 * (1 + height))) / 6


def kynch_profile(law: str, cells: int) -> Floats:
    """Return the mean of each cell: case A at time 0.5, B and C at time 1, all from 0.2."""
    bed, top = {"A": (1 / 6, 2 / 3), "B": (0.17, 0.36), "C": (0.2 * 0.8**4.65 / 0.4, 1 - 0.8**4.65)}[law]
    parts = 2000
    z = (np.arange(cells * parts) + 0.5) / (cells * parts)
    packed = fan(np.minimum(z, 0.17)) if law == "B" else np.full_like(z, 0.6)
    return np.asarray(np.where(z < bed, packed, np.where(z < top, 0.2, 0)).reshape(cells, parts).mean(1))


@pytest.mark.parametrize(
    ("law", "solid", "at", "top", "bed"),
    [
        ("A", 0.2, 0.5, 0.66667, 0.16667),
        ("A", 0.2, 1.2, 0.33333, 0.33333),
        ("B", 0.2, 1.0, 0.36, 0.17),
        ("C", 0.05, 1.0, 1 - 0.787798, 0.071618),
        ("C", 0.20, 1.0, 1 - 0.354298, 0.177149),
        ("C", 0.05, 1.3, 0.083333, 0.083333),
        ("C", 0.20, 2.0, 0.333333, 0.333333),
    ],
)
def test_interfaces_of_kynch_within_a_cell(law: str, solid: float, at: float, top: float, bed: float) -> None:
    column = kynch(law, at, solid)
    assert 1 - column.clear_layer[0] == pytest.approx(top, abs=1 / 200)
    assert column.sediment[0] == pytest.approx(bed, abs=1 / 200)


@pytest.mark.parametrize(("at", "interface"), [(1.5, 0.207794), (2.0, 0.205592), (4.0, 0.202635)])
def test_interface_on_the_fan_within_a_cell(at: float, interface: float) -> None:
    assert 1 - kynch("B", at).clear_layer[0] == pytest.approx(interface, abs=1 / 200)


@pytest.mark.parametrize(("solid", "end"), [(0.05, 1.163581), (0.20, 1.881656)])
def test_settling_is_complete_when_kynch_says(solid: float, end: float) -> None:
    times = np.linspace(0, 2.2, 441)
    column = stand(2.2, [solid], [1.0], times=times, cells=400, **HINDERED)
    left = column.clear_layer.max() - column.clear_layer
    assert times[np.argmax(left < 1 / 400)] == pytest.approx(end, rel=0.01)


@pytest.mark.parametrize(("law", "allowed"), [("A", 0.0008), ("B", 0.004), ("C", 0.0018)])
def test_error_falls_in_step_with_the_cells(law: str, allowed: float) -> None:
    sizes = np.array([50, 100, 200, 400])
    at = 0.5 if law == "A" else 1.0
    found = [kynch(law, at, cells=cells).concentration[0, 0] for cells in sizes]
    errors = [np.abs(column - kynch_profile(law, len(column))).mean() for column in found]
    assert errors[2] < allowed
    assert -np.polyfit(np.log(sizes), np.log(errors), 1)[0] > 0.8


def test_two_sizes_settle_in_the_zones_that_their_jumps_ask_for() -> None:
    """Above the front of the coarse grains the fine ones stand alone; what crosses the fronts places both."""
    coarse, fine, slow, n = 0.1, 0.06, 0.1, 4.65
    slip = (1 - coarse - fine) ** (n - 1)
    mean = coarse + slow * fine
    front, behind = slip * (1 - mean), slip * (slow - mean)

    def unbalanced(alone: float) -> float:
        return float(alone * (slow * (1 - alone) ** n - front) - fine * (behind - front))

    low, high = 0.0, 0.3
    for _ in range(60):
        low, high = ((low + high) / 2, high) if unbalanced((low + high) / 2) > 0 else (low, (low + high) / 2)
    alone = low

    at = 1.5
    column = stand(at, [coarse, fine], [1.0, slow], times=[at], **HINDERED)
    tops = 1 - at * np.array([front, slow * (1 - alone) ** n])
    z, (thick, thin) = column.heights, column.concentration[0]
    between = (z > tops[0] + 0.02) & (z < tops[1] - 0.02)
    assert between.sum() > 100
    np.testing.assert_allclose(thin[between], alone, rtol=2e-3)
    np.testing.assert_allclose(thick[between], 0, atol=1e-5)
    found = [z[thick > coarse / 2].max(), z[thin > alone / 2].max()]
    assert np.array(found) == pytest.approx(tops, abs=1 / 200)


@pytest.mark.parametrize(
    ("at", "solid", "velocity", "law", "cells", "allowed"),
    [
        (6.0, [0.1, 0.06], [1.0, 0.1], HINDERED, 200, 0.0112),
        (3e3, [0.0125] * 8, 0.5 ** np.arange(0, 9, 9 / 8), {**HINDERED, "packing_exponent": 2.0}, 50, 0.17),
    ],
)
def test_a_coarse_grid_comes_near_a_fine_one(
    at: float, solid: list[float], velocity: Any, law: dict[str, float], cells: int, allowed: float
) -> None:
    """So near only because no class is held above its bed, and no cell is taken for fuller than it is."""
    found = stand(at, solid, velocity, times=[at], cells=cells, **law).concentration[0]
    fine = stand(at, solid, velocity, times=[at], cells=8 * cells, **law).concentration[0]
    off = found - fine.reshape(len(solid), cells, 8).mean(2)
    assert np.abs(off).sum(0).mean() / sum(solid) < allowed


def test_fine_grains_rise_where_coarse_ones_displace_them() -> None:
    """Coarse 0.30, fine 0.05 of a quarter of the size: the velocities over that of one coarse grain alone."""
    column = stand(0.5, [0.30, 0.05], [1.0, 1 / 16], times=[0.5], **HINDERED)
    upper = column.concentration[0, :, 100:].mean(1) / 2 - np.array([0.30, 0.05]) / 2
    velocity = -upper / (0.5 * np.array([0.30, 0.05]))
    assert velocity == pytest.approx([0.14464, -0.04994], abs=1e-5)


@st.composite
def suspensions(draw: st.DrawFn) -> dict[str, Any]:
    classes = draw(st.integers(1, 5))
    packing = draw(st.floats(0.3, 1.0))
    parts = np.array(draw(st.lists(st.floats(0.05, 1), min_size=classes, max_size=classes)))
    size = st.floats(-2, 0).flatmap(lambda power: st.sampled_from([10**power, -(10**power)]))
    return {
        "solid": parts / parts.sum() * packing * draw(st.floats(0.01, 0.95)),
        "velocity": draw(st.lists(size, min_size=classes, max_size=classes)),
        "duration": draw(st.sampled_from([0.3, 3.0, 30.0])),
        "exponent": draw(st.sampled_from([1.0, 2.0, 4.65, 5.6])),
        "packing_fraction": packing,
        "packing_exponent": draw(st.sampled_from([0.0, 1.0, 2.0])),
        "diffusion_coefficient": draw(st.sampled_from([0.0, 1e-5, 1e-3])),
    }


@given(suspensions())
@settings(max_examples=40, deadline=None, database=None)
def test_nothing_is_lost_nothing_negative_nothing_overpacked(case: dict[str, Any]) -> None:
    column = stand(cells=30, **case)
    assert column.mass_error.max() < 1e-12
    assert column.concentration.min() >= 0
    assert column.concentration.sum(1).max() <= case["packing_fraction"] * (1 + 1e-9)


def test_mass_is_kept_to_twelve_digits_over_a_thousand_steps() -> None:
    column = stand(1e4, np.full(8, 0.0125), np.geomspace(1, 1 / 256, 8), exponent=5.6, packing_fraction=0.6)
    assert column.steps > 1000
    assert column.mass_error.max() < 1e-12
    np.testing.assert_allclose(column.concentration[-1].mean(1), 0.0125, rtol=1e-12)


@pytest.mark.parametrize("diffusion", [0.0, 2e-3])
def test_creaming_is_settling_upside_down(diffusion: float) -> None:
    solid, velocity = [0.1, 0.05, 0.02], np.array([1.0, 0.3, -0.1])
    down = stand(3.0, solid, velocity, diffusion_coefficient=diffusion, **HINDERED)
    up = stand(3.0, solid, -velocity, diffusion_coefficient=diffusion, **HINDERED)
    np.testing.assert_allclose(up.concentration, down.concentration[..., ::-1], atol=1e-10)
    np.testing.assert_allclose(up.cream, down.sediment, atol=1e-9)
    np.testing.assert_allclose(up.sediment, down.cream, atol=1e-9)
    np.testing.assert_allclose(up.clear_layer, down.clear_layer, atol=1e-9)
    assert up.clear_time == pytest.approx(down.clear_time, rel=1e-9)


def test_what_weighs_as_much_as_the_liquid_stays() -> None:
    column = stand(1e8, [0.1, 0.2], [0.0, 0.0], diffusion_coefficient=1e-9, **HINDERED)
    np.testing.assert_allclose(column.concentration[:, 0], np.full((61, 200), 0.1))
    np.testing.assert_allclose(column.concentration[:, 1], np.full((61, 200), 0.2))
    assert math.isnan(column.clear_time)
    assert column.clear_layer.max() == column.sediment.max() == column.cream.max() == 0
    assert column.steps == 1


def test_a_packed_mixture_stays() -> None:
    column = stand(1e3, [0.4, 0.2], [1.0, 0.1], exponent=4.65, packing_fraction=0.6)
    assert np.ptp(column.concentration[:, 0]) == 0


@pytest.mark.parametrize("diffusion", [0.0, 1e-3])
def test_one_class_split_in_two_gives_the_same(diffusion: float) -> None:
    whole = stand(2.0, [0.2, 0.05], [1.0, -0.2], diffusion_coefficient=diffusion, **HINDERED)
    parts = stand(2.0, [0.06, 0.14, 0.05], [1.0, 1.0, -0.2], diffusion_coefficient=diffusion, **HINDERED)
    both = parts.concentration[:, :2].sum(1)
    np.testing.assert_allclose(both, whole.concentration[:, 0], atol=1e-10)
    np.testing.assert_allclose(parts.concentration[:, 2], whole.concentration[:, 1], atol=1e-10)


@pytest.mark.parametrize(("cells", "visible"), [(200, 0.05), (200, 0.0012), (50, 0.0012), (50, 0.013)])
def test_clear_layer_is_seen_when_the_front_has_fallen_so_far(cells: int, visible: float) -> None:
    """Also where the layer is thinner than a cell; the front falls with the hindered velocity."""
    column = stand(1.0, [0.2], [1.0], cells=cells, visible_height=visible, **HINDERED)
    assert column.clear_time == pytest.approx(visible / 0.8**4.65, abs=0.2 / cells)


def test_clear_time_is_nan_where_no_layer_is_seen() -> None:
    assert math.isnan(stand(0.01, [0.2], [1.0], visible_height=0.05, **HINDERED).clear_time)


def test_front_is_blurred_by_thermal_motion_as_the_error_function_says() -> None:
    column = stand(0.3, [1e-6], [1.0], times=[0.3], diffusion_coefficient=1e-3, **HINDERED)
    upper = column.heights > 0.4
    blur = np.array([0.5 * math.erfc((z - 0.7) / math.sqrt(4e-3 * 0.3)) for z in column.heights[upper]])
    np.testing.assert_allclose(column.concentration[0, 0, upper] / 1e-6, blur, atol=2e-3)


@pytest.mark.parametrize(("length", "allowed"), [(0.1, 0.03), (0.5, 0.006)])
def test_haze_above_the_floor_follows_the_barometric_law(length: float, allowed: float) -> None:
    column = stand(15.0, [1e-5], [1.0], times=[15.0], cells=100, diffusion_coefficient=length, **HINDERED)
    law = -np.diff(np.exp(-np.linspace(0, 1, 101) / length)) * 100 / (1 - math.exp(-1 / length))
    assert np.abs(column.concentration[0, 0] / 1e-5 - law).mean() < allowed


def test_a_bed_of_coarse_grains_lifts_no_haze() -> None:
    """A sedimentation length of a thousandth of a cell cannot be drawn."""
    column = stand(50.0, [0.05], [1.0], diffusion_coefficient=5e-6, **HINDERED)
    assert column.concentration[-1, 0, 17:].max() < 1e-9


@pytest.mark.parametrize("ratio", [1e2, 1e4, 1e6])
def test_what_has_settled_does_not_set_the_step(ratio: float) -> None:
    column = stand(30 * ratio, [0.03, 0.07], [1.0, 1 / ratio], cells=100, times=[0], **HINDERED)
    assert column.steps < 400


def test_the_last_grains_of_a_class_do_not_set_the_step() -> None:
    """A crowded mixture that both sinks and rises; 30 000 steps if every trace counted."""
    velocity = 0.5 ** np.arange(0, 9, 9 / 8) * np.array([1, -1] * 4)
    law = {"exponent": 1.0, "packing_fraction": 0.62, "packing_exponent": 2.0}
    assert stand(3e3, [0.3 / 8] * 8, velocity, cells=50, **law).steps < 2000


def test_tails_do_not_thin_out_into_numbers_that_slow_the_processor() -> None:
    column = stand(1e3, [0.02] * 3, [1.0, 0.1, 0.01], **HINDERED)
    assert column.concentration[column.concentration > 0].min() > 1e-50


@pytest.mark.parametrize(("law", "solid"), [("B", 0.2), ("C", 0.45), ("fading", 0.3), ("fading fast", 0.3)])
def test_one_class_is_always_denser_further_down(law: str, solid: float) -> None:
    """Total variation does not grow: no wiggles, fans and shocks alike."""
    column = stand(30.0, [solid], [1.0], **LAWS[law])
    assert np.diff(column.concentration[:, 0], axis=1).max() < 1e-6


def test_a_mixture_that_hardly_moves_takes_hardly_a_step() -> None:
    column = stand(3.15e7, np.full(8, 0.0125), np.geomspace(1e-14, 1e-16, 8), height=0.05, **HINDERED)
    assert column.steps <= 61


def test_moments_are_those_asked_for() -> None:
    column = stand(2.0, [0.2], [1.0], times=[0.0, 0.5, 0.5, 1.0], **HINDERED)
    assert column.times == pytest.approx([0.0, 0.5, 0.5, 1.0])
    assert np.all(column.concentration[0] == 0.2)
    np.testing.assert_array_equal(column.concentration[1], column.concentration[2])
    assert column.clear_layer == pytest.approx(column.times * 0.8**4.65, abs=1 / 200)
    assert column.heights == pytest.approx((np.arange(200) + 0.5) / 200)


@pytest.mark.parametrize(("metre", "second"), [(1e-2, 1.0), (1.0, 3.15e7), (0.3048, 60.0)])
def test_physics_does_not_know_our_units(metre: float, second: float) -> None:
    here = stand(2.0, [0.2, 0.1], [1.0, -0.1], diffusion_coefficient=1e-3, visible_height=0.1, **HINDERED)
    there = stand(
        2.0 * second, [0.2, 0.1], np.array([1.0, -0.1]) * metre / second, height=metre,
        diffusion_coefficient=1e-3 * metre**2 / second, visible_height=0.1 * metre, **HINDERED,
    )  # fmt: skip
    np.testing.assert_allclose(there.concentration, here.concentration, atol=1e-8)
    np.testing.assert_allclose(there.sediment, here.sediment * metre, atol=1e-7 * metre)
    assert there.clear_time == pytest.approx(here.clear_time * second, rel=1e-7)


def test_inputs_are_left_as_they_were() -> None:
    solid, velocity = np.array([0.2, 0.1]), np.array([1.0, -0.1])
    for values in (solid, velocity):
        values.flags.writeable = False
    column = stand(1.0, solid, velocity, **HINDERED)
    assert not np.shares_memory(column.concentration, solid)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"solid": [0.1, np.nan]}, "finite"),
        ({"velocity": [np.inf, 1.0]}, "finite"),
        ({"velocity": [1.0, 1.0, 1.0]}, "as many numbers"),
        ({"solid": [[0.1, 0.1]]}, "as many numbers"),
        ({"solid": [0.1, -0.1]}, "0 or more"),
        ({"solid": [0.0, 0.0]}, "above 0"),
        ({"solid": [0.5, 0.2]}, "packed"),
        ({"diffusion_coefficient": -1e-9}, "diffusion"),
        ({"packing_fraction": 1.1}, "packing fraction"),
        ({"packing_fraction": np.nan}, "packing fraction"),
        ({"packing_exponent": 0.5}, "packing exponent"),
        ({"exponent": 0.5}, "exponent"),
        ({"exponent": np.nan}, "exponent"),
        ({"height": 0.0}, "column height"),
        ({"duration": np.nan}, "duration"),
        ({"visible_height": -1.0}, "visible height"),
        ({"cells": 2}, "cells"),
        ({"cells": 20.5}, "cells"),
        ({"cells": np.nan}, "cells"),
        ({"times": [0.0, 2.0]}, "times"),
        ({"times": [0.5, 0.1]}, "times"),
        ({"times": [np.nan]}, "times"),
    ],
)
def test_impossible_input_is_refused_in_one_sentence(wrong: dict[str, Any], said: str) -> None:
    good: dict[str, Any] = {"duration": 1.0, "solid": [0.1, 0.1], "velocity": [1.0, 0.5], **HINDERED}
    with pytest.raises(ValueError, match=said) as refusal:
        stand(**{**good, **wrong})
    assert str(refusal.value).count(". ") == 0 and str(refusal.value).endswith(".")


def test_docstring_names_every_argument_with_its_unit() -> None:
    documented = list(entries(Column.settle, "Parameters"))
    assert [entry.name for entry in documented] == list(inspect.signature(Column.settle).parameters)
    known = read_nomenclature()
    for entry in documented:
        assert dimension(entry.unit) is not None
        assert known[entry.name] == entry.unit, entry.name
