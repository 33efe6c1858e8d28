"""Flow: tables against numpy, the clear liquid by hand, and what is said not to be known."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from levigate.quantities.flow import SQUEEZE, from_table
from levigate.quantities.graph import Floats, evaluate
from levigate.quantities.inputs import Inputs
from levigate.quantities.thickening import NEEDS_BASE, SPOILT_BY_SALT, SWELLS
from levigate.quantities.thinning import VISCOSITY_SPREAD
from levigate.science import rheology
from levigate.shelf.catalogue import catalogue
from tests.quantities.formulas import formula, gathered, shown

SLUMP, CUP = "levigate reckon slump", "levigate reckon flow-cup"


def central(inputs: Inputs, *names: str) -> dict[str, Floats]:
    return evaluate(names, {key: array[0] if key in inputs.drawn else array for key, array in inputs.given.items()})


def value(lines: str, name: str, **more: str) -> float:
    return float(central(gathered(formula(lines, **more), draws=0), name)[name].item())


# Tables of flow curves.

positive = st.floats(1e-3, 1e3)


@st.composite
def tables(draw: st.DrawFn) -> tuple[Floats, Floats, Floats]:
    """Draw doses, knots and values of up to three thickeners with up to five entries, with and without leading axes."""
    thickeners, size = draw(st.integers(1, 3)), draw(st.integers(1, 5))
    knots = np.full((thickeners, size), np.nan)
    for t in range(thickeners):
        entries = draw(st.integers(1, size))
        steps = draw(st.lists(st.floats(0.05, 3.0), min_size=entries, max_size=entries))
        knots[t, :entries] = np.exp(np.cumsum(steps) - 8)
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    leading = draw(st.sampled_from([((), ()), ((7,), ()), ((), (7,)), ((7,), (7,)), ((4, 1), (7,))]))
    values = np.exp(rng.uniform(-6, 6, (*leading[1], thickeners, size)))
    first, last = np.nanmin(knots, -1), np.nanmax(knots, -1)
    doses = np.exp(rng.uniform(np.log(first) - 0.5, np.log(last) + 0.5, (*leading[0], thickeners)))
    exact = rng.random(doses.shape) < 0.3
    entry = knots[np.arange(thickeners), rng.integers(0, np.isfinite(knots).sum(-1))]
    return np.where(exact, entry, doses), knots, values


@given(tables())
@settings(deadline=None, database=None, max_examples=150)
def test_a_table_is_straight_on_paper_with_two_logarithms(drawn: tuple[Floats, Floats, Floats]) -> None:
    """numpy.interp of the logarithms is the outside judge; outside the doses of the table nothing is known."""
    dose, knots, values = drawn
    found = from_table(dose, knots, values)
    shape = np.broadcast_shapes(dose.shape, values.shape[:-1])
    assert found.shape == shape
    dose, values = np.broadcast_to(dose, shape), np.broadcast_to(values, (*shape, knots.shape[-1]))
    for at in np.ndindex(shape):
        entries = np.isfinite(knots[at[-1]])
        own, table = knots[at[-1]][entries], values[at][entries]
        if not own[0] <= dose[at] <= own[-1]:
            assert math.isnan(found[at])
            continue
        expected = math.exp(np.interp(math.log(dose[at]), np.log(own), np.log(table)))
        assert found[at] == pytest.approx(expected, rel=1e-9)


def test_a_table_at_its_ends_at_nought_and_through_nought() -> None:
    knots = np.array([[0.01, 0.03, np.nan], [0.001, 0.01, 0.1]])
    values = np.array([[0.0, 8.0, np.nan], [1.0, 10.0, 1000.0]])
    assert from_table(np.array([0.01, 0.1]), knots, values).tolist() == [0.0, 1000.0]
    assert from_table(np.array([0.0, 0.0]), knots, values).tolist() == [0.0, 0.0]
    # So far outside that the line on the paper leaves what a number can hold: not known, and no warning.
    assert math.isnan(from_table(np.array([1.0]), np.array([[1e-3, 1.0001e-3]]), np.array([[1.0, 1e300]]))[0])
    # A yield stress that begins at nought has no logarithm: straight over the logarithm of the dose.
    middle = from_table(np.array([math.sqrt(0.01 * 0.03), 0.001]), knots, values)
    assert middle[0] == pytest.approx(4.0, rel=1e-12) and middle[1] == 1.0
    assert np.isnan(from_table(np.array([0.0099999, np.nan]), knots, values)).all()


# The clear liquid, by hand.


def test_the_clear_liquid_of_a_lotion_by_hand() -> None:
    """70 water, 10 glycerin, 20 of an oil that is in drops: glycerol to water is 1 to 7."""
    found = value("aqua 70, glycerin 10, squalane 20", "clear_viscosity")
    assert found == pytest.approx(float(rheology.viscosity_glycerol_water(10 / 80, 298.15)), rel=1e-12)
    # Segur and Oberstar (1951) have 1.31 and 1.76 mPa s at 10 and 20 % at 20 °C; at 25 °C an eighth less.
    assert 1.31e-3 / 1.2 < found < 1.76e-3 / 1.1


def test_the_clear_liquid_of_a_blend_of_oils_by_hand() -> None:
    """VBN = 14.534 ln ln(ν + 0.8) + 10.975 by mass, η = ν ρ: worked with the numbers, not with the library."""
    rest = """
[materials.thin]
inci = "Thin"
kind = "oil"
form = "liquid"
affinity = "oil"
density = "0.85 g/mL"
kinematic_viscosity = "10 mm2/s"
[materials.thick]
inci = "Thick"
kind = "oil"
form = "liquid"
affinity = "oil"
density = "0.95 g/mL"
viscosity = "950 mPa.s"
"""
    number = sum(0.5 * (14.534 * math.log(math.log(nu + 0.8)) + 10.975) for nu in (10.0, 1000.0))
    nu = math.exp(math.exp((number - 10.975) / 14.534)) - 0.8
    assert nu == pytest.approx(56.86, abs=0.01)
    expected = nu * 1e-6 / (0.5 / 850 + 0.5 / 950)
    assert value("thin 50, thick 50", "clear_viscosity", rest=rest) == pytest.approx(expected, rel=1e-12)


def test_a_reading_elsewhere_is_moved_with_its_doubt() -> None:
    """By hand: log log(ν + 0.7) falls by B log(T/T₀), B = 2.9 within 0.4 for vegetable oils; both doubts together."""
    own = '[materials.oilX]\ninci = "X"\nkind = "oil"\nform = "liquid"\naffinity = "oil"\ndensity = "0.9 g/mL"\n'
    far = own + 'kinematic_viscosity = { value = "31 mm2/s", at = "40 C", source = "own-word", grade = "supplier" }\n'
    figure = shown(formula("oilX 100", rest=far), "thickness", draws=20_000)["thickness"]
    assert figure.low is not None and figure.high is not None
    apart = math.log(313.15 / 298.15)
    nu = math.exp(math.exp(math.log(math.log(31.7)) + 2.9 * apart)) - 0.7
    assert figure.value == pytest.approx(nu * 1e-6 * 900, rel=1e-9)
    # Sunflower oil has 31 to 32 at 40 °C (Ryan, 1984) and 50.7 mPa.s at 25 °C (Viswanath and Natarajan, 1989).
    assert nu == pytest.approx(50.7 / 0.916, rel=0.05)
    steep = (nu + 0.7) / nu * math.log(nu + 0.7)
    half = math.hypot(VISCOSITY_SPREAD["supplier"] * steep / (31.7 / 31 * math.log(31.7)), steep * 0.4 * apart)
    assert math.log(figure.high / figure.low) / 2 == pytest.approx(half, rel=0.05)
    assert {entry.name for entry in figure.inputs} >= {"viscosity of oilX", "thinning of oilX"}


def test_the_reading_that_leaves_the_least_doubt_counts() -> None:
    """Castor oil: 2.93 to 3.02 cm²/s at 37.8 °C is narrower than 6 to 8 P at 25 °C, even once it is moved."""
    one = gathered(formula("castor oil 100"), draws=0)
    record = catalogue()["castor oil"]
    assert record.kinematic_viscosity[0].at == "37.8 C" and record.viscosity[0].at == "25 C"
    assert one.behind["kinematic_reading"][0].value == pytest.approx(297.5e-6, rel=1e-12)
    thick = shown(formula("castor oil 100"), "thickness")["thickness"]
    assert 0.6 < thick.value < 0.8  # Merck Index: 6 to 8 P


@pytest.mark.parametrize(
    ("lines", "known"),
    [
        ("squalane 98.1, tocopherol 1.9", True),
        ("squalane 97.9, tocopherol 2.1", False),
        ("aqua 90.1, ethanol 9.9", True),
        ("aqua 89.9, ethanol 10.1", False),
        ("aqua 51, propylene glycol 49", True),
        ("aqua 49, propylene glycol 51", False),
        ("aqua 30, glycerin 70", True),
        ("glycerin 100", True),
        ("ethanol 100", False),
    ],
)
def test_what_the_clear_liquid_may_hold_before_it_is_not_known(lines: str, known: bool) -> None:
    figure = shown(formula(lines))["thickness"]
    assert figure.known == known
    assert known or CUP in figure.unknown


# Which phase is outermost, and which thickener counts there.


@pytest.mark.parametrize(
    ("lines", "phase"),
    [
        ("aqua 20, squalane 80", 0),
        ("aqua 19.9, squalane 80.1", math.nan),
        ("aqua 1.9, squalane 98.1", 1),
        ("aqua 2, squalane 98", math.nan),
        ("glycerin 79, aqua 10, squalane 11", math.nan),
        ("glycerin 90, aqua 9, squalane 1", 0),
        ("squalane 80, dimethicone 5 cst 20", 1),
        ("squalane 79, dimethicone 5 cst 21", 1.5),
        ("squalane 20, dimethicone 5 cst 80", 2),
        ("talc 100", math.nan),
    ],
)
def test_the_outer_phase(lines: str, phase: float) -> None:
    assert value(lines, "outer_phase") == pytest.approx(phase, nan_ok=True)


@pytest.mark.parametrize(
    ("lines", "why"),
    [
        ("aqua 80, squalane 16, polyglyceryl-3 polyricinoleate 4", SLUMP),  # water-in-oil, whatever the water
        ("aqua 76, squalane 16, cetearyl alcohol 4, polyglyceryl-3 polyricinoleate 4", SLUMP),
        ("aqua 76, squalane 16, cetearyl alcohol 4, glycerin 4", SLUMP),  # crystals, no lamellae, without emulsifier
        ("aqua 76, squalane 20, glyceryl stearate 4", SLUMP),
        ("aqua 70, coco-glucoside 52 % 30", SLUMP),
        ("aqua 97, behentrimonium methosulfate 1, cetearyl alcohol 2", SLUMP),
        ("aqua 99, sodium hyaluronate 1", SLUMP),
        ("aqua 90, montmorillonite 10", SLUMP),
        ("squalane 90, shea butter 10", SLUMP),
        ("squalane 50, petrolatum 50", SLUMP),
        ("squalane 99.5, xanthan gum 0.5", SLUMP),
        ("aqua 97, fumed silica 3", SLUMP),
        ("dimethicone 5 cst 97, silica dimethyl silylate 3", SLUMP),  # its curve is for oil
        ("squalane 50, dimethicone 5 cst 47, silica dimethyl silylate 3", SLUMP),
        ("dimethicone and dimethicone crosspolymer gel 50, squalane 50", SLUMP),  # oil collapses it
        ("aqua 99.95, xanthan gum 0.05", SLUMP),  # below the table
        ("aqua 97, xanthan gum 3", SLUMP),  # above it
        ("glycerin 60, aqua 15, squalane 25", "outer phase cannot be told"),
    ],
)
def test_flow_is_not_known_and_the_test_that_would_tell_is_named(lines: str, why: str) -> None:
    figures = shown(formula(lines))
    for name in ("yield_stress", "thickness"):
        assert not figures[name].known and why in figures[name].unknown and SLUMP in figures[name].unknown, name


@pytest.mark.parametrize(
    ("lines", "low", "high"),
    [
        # The ranges are those of the shelf at a dose that stands in its table.
        ("aqua 99.6, xanthan gum 0.4", None, None),
        ("dimethicone and dimethicone crosspolymer gel 60, dimethicone 5 cst 40", 6, 160),
        ("isododecane and dimethicone crosspolymer gel 30, isododecane 70", 0.3, 40),
        ("squalane 97, silica dimethyl silylate 3", 0.5, 25),
        ("silica dimethyl silylate 5 % in caprylic/capric triglyceride 60, squalane 40", 0.5, 25),
        ("petrolatum 100", 40, 500),
        ("aqua 93.5, acrylates copolymer 30 % 6, sodium hydroxide 0.5", 1, 40),
    ],
)
def test_a_yield_stress_lies_in_the_range_of_its_table(lines: str, low: float | None, high: float | None) -> None:
    figure = shown(formula(lines))["yield_stress"]
    assert figure.known and figure.low is not None and figure.high is not None and figure.grade == "memory"
    if low is not None and high is not None:
        assert figure.value == pytest.approx(math.sqrt(low * high), rel=0.02)
        assert math.log(figure.high / figure.low) == pytest.approx(math.log(high / low), rel=0.12)


def test_a_cream_with_a_fatty_alcohol_and_its_emulsifier_has_a_body_that_is_foreseen() -> None:
    """Dose in the water phase: 4 % beside 96 % of what is watery, the emulsifier's water-loving part included."""
    lines = "aqua 71, glycerin 1, squalane 23, cetearyl alcohol 4, cetearyl olivate 1"
    inputs = gathered(formula(lines), draws=0)
    assert float(central(inputs, "thickener_dose")["thickener_dose"][0]) == pytest.approx(4 / 76, rel=1e-12)
    assert shown(formula(lines))["yield_stress"].known
    less = lines.replace("cetearyl olivate 1", "cetearyl olivate 0.9").replace("aqua 71", "aqua 71.1")
    assert not shown(formula(less))["yield_stress"].known


def test_a_thickener_dose_counts_what_a_premix_brings_and_what_it_thickens() -> None:
    """20 % of a 5 % premix bring 1 % of silica beside 19 % and 79 % of oil: its ester is part of the oil."""
    lines = "silica dimethyl silylate 5 % in caprylic/capric triglyceride 20, squalane 79, titanium dioxide 1"
    assert value(lines, "thickener_dose") == pytest.approx(1 / 99, rel=1e-12)
    both = lines.replace("squalane 79", "squalane 78") + ", silica dimethyl silylate 1"
    assert value(both, "thickener_dose") == pytest.approx(2 / 99, rel=1e-12)
    assert gathered(formula(both), draws=0).thickener_lines == (0, 3)


def test_a_thickener_of_oil_and_of_silicone_is_not_foreseen_in_both_at_once() -> None:
    curve = """[[materials.jelly.flow]]
medium = "{medium}"
dose = "{dose} %"
yield_stress = "{stress} Pa"
consistency = "1 Pa"
index = "0.5"
"""
    rest = '[materials.jelly]\nkind = "thickener"\nform = "powder"\naffinity = "oil"\ndensity = "1 g/mL"\n' + "".join(
        curve.format(medium=medium, dose=dose, stress=stress)
        for medium, dose, stress in (("oil", 1, 2), ("oil", 9, 50), ("silicone", 1, 3), ("silicone", 9, 60))
    )
    for lines, stress in (
        ("squalane 99, jelly 1", 2.0),
        ("dimethicone 5 cst 99, jelly 1", 3.0),
        ("squalane 49, dimethicone 5 cst 50, jelly 1", math.nan),
        ("aqua 99, jelly 1", math.nan),
    ):
        assert value(lines, "yield_stress", rest=rest) == pytest.approx(stress, nan_ok=True), lines


def test_an_acid_thickener_without_base_and_one_in_salt_are_not_foreseen() -> None:
    gel = "aqua 99.3, carbomer 0.5, sodium hydroxide 0.2"
    assert shown(formula(gel))["yield_stress"].known
    assert not shown(formula("aqua 99.5, carbomer 0.5"))["yield_stress"].known
    for salt, percent, known in [
        ("sodium lactate", 0.4, True), ("sodium lactate", 0.5, False), ("sodium ascorbyl phosphate", 2, False),
        ("lactic acid", 2, False), ("sodium chloride", 0.5, False), ("panthenol", 2, True), ("niacinamide", 4, True),
    ]:  # fmt: skip
        lines = f"{gel.replace('99.3', str(round(99.3 - percent, 1)))}, {salt} {percent}"
        assert shown(formula(lines))["yield_stress"].known == known, lines
    # Xanthan hardly minds.
    assert shown(formula("aqua 95, xanthan gum 0.5, sodium lactate 4.5"))["yield_stress"].known


def test_the_names_in_the_lists_are_on_the_shelf() -> None:
    for name in (*NEEDS_BASE, *SPOILT_BY_SALT, *SWELLS):
        assert catalogue().key(name) == name


def test_what_is_not_on_the_shelf_may_give_body() -> None:
    figure = shown(formula("aqua 90, kelp jelly 10"))["yield_stress"]
    assert not figure.known
    bare = '[materials."kelp jelly"]\ndensity = "1.02 g/mL"\n'
    assert not shown(formula("aqua 90, kelp jelly 10", rest=bare))["yield_stress"].known
    own = '[materials."kelp jelly"]\ninci = "X"\nkind = "other"\nform = "gel"\naffinity = "water"\n'
    assert not shown(formula("aqua 90, kelp jelly 10", rest=own))["yield_stress"].known
    assert shown(formula("aqua 90, kelp jelly 10", rest=own.replace("gel", "liquid")))["yield_stress"].known


def test_a_formula_of_unknown_lines_that_do_not_add_up_has_no_flow() -> None:
    figure = shown(formula("aqua 90, xanthan gum 0.5"))["yield_stress"]
    assert not figure.known and "add up to 90.5 %" in figure.unknown


# What was measured outranks.


def test_a_measured_viscosity_of_a_plain_liquid_stands_for_the_liquid_too() -> None:
    """Grains thicken the product that was timed; the liquid between them is thinner by Krieger and Dougherty."""
    rest = '[measured]\nviscosity = "80 mPa.s"\n'
    unknown = "tocopherol 90, zinc oxide 10"
    assert not shown(formula(unknown))["thickness"].known
    inputs = gathered(formula(unknown, rest=rest), draws=0)
    found = central(inputs, "thickness", "clear_viscosity", "consistency", "flow_index", "solid_fraction", "packing")
    assert float(found["thickness"]) == pytest.approx(0.08, rel=1e-12)
    thicker = rheology.viscosity_krieger_dougherty(found["clear_viscosity"], found["solid_fraction"], found["packing"])
    assert float(thicker) == pytest.approx(0.08, rel=1e-12)
    assert float(found["consistency"]) == float(found["clear_viscosity"]) and float(found["flow_index"]) == 1


def test_a_measured_viscosity_of_a_thickened_product_says_nothing_of_its_liquid() -> None:
    rest = '[measured]\nviscosity = "800 mPa.s"\n'
    for lines in ("aqua 70, coco-glucoside 52 % 30", "aqua 99.5, xanthan gum 0.5"):
        inputs = gathered(formula(lines, rest=rest), draws=0)
        assert "clear_viscosity" not in inputs.given
        assert shown(formula(lines, rest=rest))["thickness"].value == pytest.approx(0.8, rel=1e-12)


def test_thickness_is_herschel_and_bulkley_where_there_is_no_powder() -> None:
    found = central(gathered(formula("aqua 99.5, xanthan gum 0.5"), draws=0), "yield_stress", "consistency",
                    "flow_index", "thickness", "packing")  # fmt: skip
    stress = found["yield_stress"] + found["consistency"] * SQUEEZE ** found["flow_index"]
    assert float(found["thickness"]) == pytest.approx(float(stress) / SQUEEZE, rel=1e-12)
    assert float(found["packing"]) == 0.64


def test_powders_without_room_do_not_flow_and_say_why() -> None:
    figure = shown(formula("squalane 10, zinc oxide 90"), "thickness")["thickness"]
    assert not figure.known and "take all the room" in figure.unknown and "slump" not in figure.unknown
    # Between: packed at 83 % in the middle of what is on record, past it in some draws.
    figure = shown(formula("squalane 20, zinc oxide 80"), "thickness")["thickness"]
    assert not figure.known and figure.unknown.startswith("The spread of its inputs reaches to where it is not known.")
    known = shown(formula("squalane 40, zinc oxide 60"), "thickness")["thickness"]
    assert known.low is not None and known.high is not None and known.low < known.value < known.high


def test_each_draw_is_one_evaluation() -> None:
    """The rows of the draws are what each would give alone."""
    inputs = gathered(formula("squalane 60, titanium dioxide 10, disteardimonium hectorite 2, castor oil 28"), draws=40)
    names = ("yield_stress", "consistency", "flow_index", "thickness", "crowding", "liquid_density")
    together = evaluate(names, inputs.given)
    for row in range(41):
        one = {key: array[row] if key in inputs.drawn else array for key, array in inputs.given.items()}
        for name, array in evaluate(names, one).items():
            assert together[name][row] == pytest.approx(float(array), rel=1e-13), name
    assert len(set(together["thickness"])) == 41


@pytest.mark.parametrize(
    "lines",
    [
        "aqua 71, glycerin 1, squalane 22, cetearyl alcohol 4, cetearyl olivate 1, talc 1",
        "squalane 60, titanium dioxide 10, disteardimonium hectorite 2, castor oil 28",
        "dimethicone 5 cst 60, dimethicone and polysilicone-11 gel 40",
        "aqua 70, coco-glucoside 52 % 30",
    ],
)
def test_whatever_is_known_shows_its_working(lines: str) -> None:
    """The last number of a working is the figure, in whatever unit it is reckoned."""
    names = ("outer_phase", "clear_viscosity", "unforeseen_body", "yield_stress", "consistency", "flow_index",
             "thickness", "solid_fraction", "packing", "crowding", "liquid_density")  # fmt: skip
    found = shown(formula(lines), *names, draws=0)
    assert sum(figure.known for figure in found.values()) >= 6
    for name, figure in found.items():
        if not figure.known:
            continue
        last = re.findall(r"-?\d+(?:\.\d+)?(?:e[-+]?\d+)?", figure.working()[-1].partition(", the powders")[0])[-1]
        shares = ("unforeseen_body", "solid_fraction", "packing", "crowding")
        assert float(last) * (100 if name in shares else 1) == pytest.approx(figure.value, rel=6e-3, abs=1e-12), name
    for each in ("thickener_dose", "yield_needed", "held_share", "settling_speed"):
        figure = shown(formula(lines), each, draws=0)[each]
        assert not figure.known or len(figure.working()) == len(figure.rows)
