"""Powders in a liquid: held or falling, against Stokes, Beris and the lognormal curve, alone and by the thousand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from levigate.quantities.graph import Floats, evaluate
from levigate.quantities.holding import held_share, packing, settling_speed, yield_needed
from levigate.quantities.inputs import Inputs
from levigate.science import suspension
from levigate.science.grain import grain_diameter
from tests.quantities.formulas import formula, gathered, shown
from tests.quantities.test_graph import GIVEN, mixtures

OF_POWDERS = ("solid_fraction", "packing", "crowding", "liquid_density", "yield_needed", "held_share", "settling_speed")


@st.composite
def grains(draw: st.DrawFn) -> dict[str, Floats]:
    """Draw two powders, heavy or light, fine or coarse, in a liquid."""
    density = [draw(st.floats(500, 6000)) for _ in range(2)]
    liquid = draw(st.floats(700, 1400).filter(lambda rho: all(abs(rho - one) > 1 for one in density)))
    return {
        "powder_d50": np.array([draw(st.floats(1e-7, 3e-4)) for _ in range(2)]),
        "powder_sigma": np.array([draw(st.floats(1.05, 3.0)) for _ in range(2)]),
        "powder_pick": np.array([0.0, 1.0]),
        "material_density": np.array([*density, liquid]),
        "liquid_density": np.array(liquid),
    }


def needed(of: dict[str, Floats]) -> Floats:
    return yield_needed(**of)


def speed(of: dict[str, Floats], stress: float, consistency: float, index: float, solid: float = 0.0) -> Floats:
    one = [np.array(x) for x in (stress, consistency, index)]
    return settling_speed(needed(of), *one, **of, solid_fraction=np.array(solid), temperature=np.array(298.15))


any_grains = grains()
drawn = settings(deadline=None, database=None, max_examples=80)


@given(any_grains, st.floats(1e-3, 100.0), st.floats(0.0, 0.6))
@drawn
def test_in_a_plain_liquid_it_is_stokes_among_neighbours(of: dict[str, Floats], viscosity: float, solid: float) -> None:
    """Exactly, in sign too: Stokes (1851) times Richardson and Zaki (1954)."""
    d90 = grain_diameter(0.9, of["powder_d50"], of["powder_sigma"])
    density, liquid = of["material_density"][:2], of["liquid_density"]
    alone = suspension.settling_velocity(d90, density, liquid, viscosity)
    exponent = suspension.hindered_exponent(suspension.peclet_number(d90, density, liquid, 298.15))
    expected = alone * suspension.hindered_factor_richardson_zaki(solid, exponent)
    found = speed(of, 0.0, viscosity, 1.0, solid)
    slow = np.isfinite(alone)  # past a Reynolds number of 1 Stokes is not asked
    np.testing.assert_allclose(found[slow], expected[slow], rtol=1e-12)
    assert (np.sign(found) == np.sign(density - liquid)).all()


@given(any_grains, st.floats(0.1, 50.0), st.floats(0.15, 1.0))
@drawn
def test_nothing_moves_from_the_yield_stress_that_holds_it(
    of: dict[str, Floats], consistency: float, index: float
) -> None:
    """Zero exactly at the bound of Beris (1985) and beyond, also where the rest of the flow is not known; not below."""
    for column, need in enumerate(needed(of)):
        for stress in (need, need * (1 + 1e-15), 2 * need):
            assert speed(of, stress, consistency, index)[column] == 0.0
            assert speed(of, stress, math.nan, math.nan)[column] == 0.0
        below = speed(of, need * (1 - 1e-3), consistency, index)[column]
        assert below != 0.0 or abs(below) < 1e-300
        assert np.sign(below) in (0.0, np.sign(of["material_density"][column] - of["liquid_density"]))
        assert math.isnan(speed(of, need * 0.9, math.nan, index)[column])
        assert math.isnan(speed(of, math.nan, consistency, index)[column])


@given(any_grains, st.floats(0.1, 50.0), st.floats(0.15, 1.0), st.lists(st.floats(0.0, 1.5), min_size=2, max_size=6))
@drawn
def test_a_stronger_gel_never_lets_a_grain_fall_faster(
    of: dict[str, Floats], consistency: float, index: float, parts: list[float]
) -> None:
    for column, need in enumerate(needed(of)):
        speeds = [abs(speed(of, part * need, consistency, index)[column]) for part in sorted(parts)]
        assert speeds == sorted(speeds, reverse=True)


@given(any_grains, st.floats(0.0, 1e4))
@drawn
def test_what_is_held_is_a_share_and_nine_tenths_at_the_bound(of: dict[str, Floats], stress: float) -> None:
    share = held_share(np.array(stress), **of)
    assert ((share >= 0) & (share <= 1)).all()
    for column, need in enumerate(needed(of)):
        assert held_share(np.array(need), **of)[column] == pytest.approx(0.9, rel=1e-9)
    assert held_share(np.array(0.0), **of).tolist() == [0.0, 0.0]
    assert np.isnan(held_share(np.array(math.nan), **of)).all()
    assert (held_share(np.array(stress * 1.1 + 1e-9), **of) >= share).all()


def test_a_grain_as_dense_as_the_liquid_needs_nothing_and_stays() -> None:
    of = {
        "powder_d50": np.array([1e-5]), "powder_sigma": np.array([2.0]), "powder_pick": np.array([0.0]),
        "material_density": np.array([1000.0]), "liquid_density": np.array(1000.0),
    }  # fmt: skip
    assert needed(of).tolist() == [0.0] and speed(of, 0.0, 1e-3, 1.0).tolist() == [0.0]
    with np.errstate(divide="ignore"):  # as the graph does: the largest grain that is held has no bound
        assert held_share(np.array(0.1), **of).tolist() == [1.0]


@given(st.lists(st.floats(0.001, 0.3), min_size=1, max_size=4), st.lists(st.floats(0.05, 0.7), min_size=4, max_size=4))
@drawn
def test_powders_pack_between_the_least_and_the_best_of_them(shares: list[float], packings: list[float]) -> None:
    most = np.array(packings[: len(shares)])
    pick, share = np.arange(len(shares), dtype=float), np.array(shares)
    found = float(packing(share, pick, most, np.array(share.sum())))
    assert most.min() * (1 - 1e-12) <= found <= most.max() * (1 + 1e-12)
    for i, one in enumerate(most):  # one powder packs as it does
        alone = packing(share, pick[i : i + 1], most[i : i + 1], share[i])
        assert float(alone) == pytest.approx(one, rel=1e-14)
    assert math.isnan(float(packing(share * np.nan, pick, most, np.array(math.nan))))
    assert float(packing(0 * share, pick, most, np.array(0.0))) == 0.64


# Formulas.

ZINC = '{{ material = "zinc oxide", percent = {percent}, grain = {{ d50 = "2 um", d90 = "{d90} um" }} }}'


def powdery(rest: str, percent: float = 8, d90: float = 6) -> str:
    lines = [part.strip().rpartition(" ") for part in rest.split(",")]
    others = ", ".join(f'{{ material = "{name}", percent = "{share}" }}' for name, _, share in lines)
    return f"{ZINC.format(percent=percent, d90=d90)}, {others}"


def central(inputs: Inputs, *names: str) -> dict[str, Floats]:
    return evaluate(names, {key: array[0] if key in inputs.drawn else array for key, array in inputs.given.items()})


def test_the_yield_stress_that_is_needed_by_hand() -> None:
    """0.143 × 6 µm × (5600 - ρ) × 9.80665 / 3; the liquid is what is not powder."""
    one = formula(powdery("squalane 92"))
    squalane = float(central(gathered(one, 0), "material_density")["material_density"][1])
    figure = shown(one, "yield_needed", draws=0)["yield_needed"]
    assert figure.rows[0].value == pytest.approx(0.143 * 6e-6 * (5600 - squalane) * 9.80665 / 3, rel=1e-12)


def test_lines_that_are_no_grains_in_what_they_thicken() -> None:
    """Bentonite gels water and hangs in oil; silica gels oil; a powder that dissolves does not hang."""
    for lines, powders in [
        ("aqua 95, bentonite 5", ()), ("squalane 95, bentonite 5", ("bentonite",)),
        ("squalane 97, silica dimethyl silylate 3", ()), ("squalane 90, ascorbic acid 10", ("ascorbic acid",)),
        ("squalane 89, aqua 1, ascorbic acid 10", ("ascorbic acid",)), ("aqua 90, ascorbic acid 10", ()),
        ("glycerin 90, niacinamide 10", ()), ("squalane 90, niacinamide 10", ("niacinamide",)),
        ("dimethicone 5 cst 90, polymethylsilsesquioxane 10", ("polymethylsilsesquioxane",)),
        ("squalane 99, bht 1", ()), ("aqua 20, sugar 80", ("sugar",)), ("aqua 40, sugar 60", ()),
        ("aqua 90, azelaic acid 10", ("azelaic acid",)), ("ethanol 98, azelaic acid 2", ()),
        ("aqua 98, allantoin 2", ("allantoin",)), ("aqua 99, allantoin 1", ()), ("aqua 98, caffeine 2", ()),
        ("squalane 90, coenzyme q10 10", ("coenzyme q10",)), ("aqua 98, salicylic acid 2", ()),
    ]:  # fmt: skip
        assert gathered(formula(lines), draws=0).powders == powders, lines


def test_a_grain_is_put_together_from_line_and_shelf() -> None:
    """A coarse tenth on the line goes with the median of the shelf, unless it is finer than that."""
    line = (
        '{{ material = "zinc oxide", percent = 10, grain = {{ {grain} }} }}, {{ material = "squalane", percent = 90 }}'
    )
    for grain, d50, known in [
        ('d90 = "2 um"', 0.4e-6, True), ('d90 = "0.1 um"', math.nan, False), ('d50 = "1 um"', 1e-6, False),
        ('d50 = "1 um", d90 = "2 um"', 1e-6, True),
    ]:  # fmt: skip
        inputs = gathered(formula(line.format(grain=grain)), draws=0)
        assert inputs.given["powder_d50"][0] == pytest.approx(d50, nan_ok=True)
        assert shown(formula(line.format(grain=grain)), "yield_needed")["yield_needed"].known == known


def test_what_is_missing_of_a_grain_names_the_powder() -> None:
    figure = shown(formula("squalane 90, zinc oxide 10"))["yield_needed"]
    assert figure.unknown.startswith("The spread of the grain of zinc oxide is not known: write the coarse tenth too:")
    figure = shown(formula("squalane 90, benzoyl peroxide 10"))["yield_needed"]
    assert figure.unknown.startswith("The grain of benzoyl peroxide is not known: write it on the line: grain = {")


def test_a_packing_has_the_grade_of_its_record() -> None:
    (entry,) = gathered(formula("squalane 90, talc 10"), draws=0).behind["powder_packing"]
    assert (entry.grade, entry.line) == ("memory", 1) and entry.spread == pytest.approx(0.1, rel=1e-12)
    own = '[materials.talc]\nmax_packing = { value = "40 %", grade = "measured", source = "own-word" }\n'
    (entry,) = gathered(formula("squalane 90, talc 10", rest=own), draws=0).behind["powder_packing"]
    assert entry.grade == "measured" and entry.value == pytest.approx(0.4, rel=2e-3)


def test_unknown_flow_leaves_what_is_held_unknown_and_a_measured_yield_stress_tells() -> None:
    wash = powdery("aqua 72, coco-glucoside 52 % 20")
    figures = shown(formula(wash))
    for name in ("held_share", "settling_speed"):
        assert not figures[name].known and "levigate reckon slump" in figures[name].unknown
    measured = shown(formula(wash, rest='[measured]\nyield_stress = "2 Pa"\n'))
    assert measured["yield_stress"].grade == "measured" and measured["yield_stress"].value == pytest.approx(2)
    assert measured["held_share"].rows[0].value == pytest.approx(100, abs=0.1)
    assert measured["settling_speed"].rows[0].value == 0.0
    weak = shown(formula(wash, rest='[measured]\nyield_stress = "0.001 Pa"\n'))
    assert weak["held_share"].known and not weak["settling_speed"].known


def test_a_measured_yield_stress_outranks_that_of_the_gel() -> None:
    gel = powdery("squalane 89, silica dimethyl silylate 3")
    assert shown(formula(gel))["yield_stress"].value > 1
    figure = shown(formula(gel, rest='[measured]\nyield_stress = { value = "0.2 Pa", how = "slump" }\n'))[
        "yield_stress"
    ]
    assert figure.value == pytest.approx(0.2, rel=1e-12)
    assert (figure.grade, figure.inputs[0].place) == ("measured", "slump")


# A hundred thousand compositions on the same path.


def test_a_hundred_thousand_compositions_are_what_each_is_alone() -> None:
    many = mixtures((100_000,), seed=11)
    together = evaluate((*OF_POWDERS, "outer_phase"), {**GIVEN, "mass_fraction": many})
    held, unsettled = together["held_share"][:, 0], np.isnan(together["outer_phase"])
    assert 0 < np.mean(held > 0.9) < 1 and 0 < unsettled.sum() < 100
    np.testing.assert_array_equal(np.isnan(together["settling_speed"][:, 0]), unsettled)
    for row in [0, 99_999, *np.random.default_rng(2).integers(0, 100_000, 60)]:
        alone = evaluate(OF_POWDERS, {**GIVEN, "mass_fraction": many[row]})
        for name in OF_POWDERS:
            np.testing.assert_allclose(together[name][row], alone[name], rtol=1e-12, err_msg=name)


def test_held_and_falling_tell_the_same_story_over_a_hundred_thousand() -> None:
    found = evaluate(OF_POWDERS, {**GIVEN, "mass_fraction": mixtures((100_000,), seed=12)})
    stands = found["settling_speed"][:, 0] == 0
    np.testing.assert_array_equal(stands, found["held_share"][:, 0] >= 0.9)


def test_each_draw_is_one_evaluation() -> None:
    inputs = gathered(formula(powdery("squalane 91, silica dimethyl silylate 1", d90=60)), draws=40)
    together = evaluate(OF_POWDERS, inputs.given)
    for row in range(41):
        one = {key: array[row] if key in inputs.drawn else array for key, array in inputs.given.items()}
        for name, array in evaluate(OF_POWDERS, one).items():
            np.testing.assert_allclose(together[name][row], array, rtol=1e-12, err_msg=name)
    assert 0 < np.mean(together["settling_speed"] == 0) < 1


def test_the_working_of_held_and_falling_gives_them() -> None:
    figures = shown(formula(powdery("squalane 91, silica dimethyl silylate 1", d90=60)), draws=0)
    stress, need = figures["yield_stress"].value, figures["yield_needed"].rows[0].value
    (line,) = figures["yield_needed"].working()
    left, right = line.partition(": ")[2] if ": " in line else line, line.rpartition(" = ")[2]
    assert "0.143 × 60.0 µm" in left and float(right.removesuffix(" Pa")) == pytest.approx(need, rel=5e-3)
    (line,) = figures["held_share"].working()
    assert f"{60 * stress / need:.0f} µm" in line
    assert float(line.rpartition("F = ")[2].removesuffix(" %")) == pytest.approx(
        figures["held_share"].rows[0].value, 5e-3
    )
