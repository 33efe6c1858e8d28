"""Figures: value, spread, working, and what is said where a value is not known."""

from __future__ import annotations

import math
import re
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from levigate.errors import UnitError
from levigate.quantities.figure import FIGURE_GRADES, SHOWN, Figure
from levigate.quantities.graph import evaluate, quantities
from levigate.quantities.inputs import gather, read_price
from levigate.quantities.swelling import DENSITY_SPREAD
from levigate.shelf.catalogue import Shelf, catalogue, sources
from tests.quantities.formulas import formula, gathered, shown

#: 70 % water, 5 % glycerol, 25 % isopropyl myristate at 20 °C, volumes added: 0.96719 g/mL. Glycerol shrinks with
#: water, so that propanediol, of which no shrinking is on record, stands in with glycerol's density.
PRINTED = """
[materials.aqua]
density = { value = "0.9982 g/mL", spread = "0.0001 g/mL", grade = "handbook", source = "memory" }
[materials.propanediol]
density = { value = "1.26108 g/mL", spread = "0.02 g/mL", grade = "handbook", source = "memory" }
[materials."isopropyl myristate"]
density = { value = "0.8532 g/mL", spread = "0.01 g/mL", grade = "handbook", source = "memory" }
"""
#: The same with prices; those of propanediol and ester only, since water costs nothing.
PRICED = PRINTED.replace("[materials.propanediol]\n", '[materials.propanediol]\nprice = "4 EUR/kg"\n').replace(
    '[materials."isopropyl myristate"]\n', '[materials."isopropyl myristate"]\nprice = "1.80 EUR/200 g"\n'
)
#: Figures that ask for water beside oil, or for surfactant.
OF_WATER = (
    "required_hlb", "emulsifier_hlb", "hlb_gap", "emulsifier_per_oil", "emulsifier_sides", "drops_share",
    "creaming_speed", "active_matter", "active_by_charge", "amphoteric_per_anionic", "salt_share",
)  # fmt: skip
LINES = "aqua 70, propanediol 5, isopropyl myristate 25"
PRICES = '[materials.propanediol]\nprice = "4 EUR/kg"\n[materials."isopropyl myristate"]\nprice = "1.80 EUR/200 g"\n'


def test_density_of_the_printed_case() -> None:
    figure = shown(formula(LINES, rest=PRINTED))["density"]
    assert figure.value == pytest.approx(0.96719, abs=5e-6)
    assert figure.unit == "g/mL" and figure.grade == "handbook"
    assert [(entry.line, round(entry.value, 2)) for entry in figure.inputs if entry.unit == "kg/m³"] == [
        (0, 998.2),
        (1, 1261.08),
        (2, 853.2),
    ]


@pytest.mark.parametrize(("percent", "printed"), [(10, 1.02070), (30, 1.07070), (60, 1.15105), (80, 1.20545)])
def test_glycerin_shrinks_with_water_as_printed(percent: int, printed: float) -> None:
    """Bosart and Snoddy (1927), 25 °C: volumes added would be 0.3 to 1.1 % too low. The model is good to 0.05 %."""
    ends = ('[materials.aqua]\ndensity = "0.99705 g/mL"', '[materials.glycerin]\ndensity = "1.25802 g/mL"')
    figure = shown(formula(f"aqua {100 - percent}, glycerin {percent}", rest="\n".join(ends)), draws=0)["density"]
    assert figure.value == pytest.approx(printed, rel=5e-4)
    assert figure.value > 1.002 / ((1 - percent / 100) / 0.99705 + percent / 100 / 1.25802)


def test_spread_from_draws_agrees_with_propagation_of_error() -> None:
    """First order, by hand: U(ρ) = ρ² √Σ (wᵢ U(ρᵢ)/ρᵢ²)²; 1000 draws find a quantile within a few percent of it."""
    w, rho, u = np.array([0.70, 0.05, 0.25]), np.array([0.9982, 1.26108, 0.8532]), np.array([0.0001, 0.02, 0.01])
    density = 1 / (w / rho).sum()
    expected = density**2 * math.sqrt(((w * u / rho**2) ** 2).sum())
    figure = shown(formula(LINES, rest=PRINTED), "density", draws=40_000)["density"]
    assert figure.low is not None and figure.high is not None
    assert (figure.high - figure.low) / 2 == pytest.approx(expected, rel=0.02)
    assert (figure.high + figure.low) / 2 == pytest.approx(density, abs=0.03 * expected)
    few = shown(formula(LINES, rest=PRINTED), "density")["density"]
    assert few.low is not None and few.high is not None
    assert (few.high - few.low) / 2 == pytest.approx(expected, rel=0.15)


def test_one_material_on_two_lines_is_wrong_by_the_same() -> None:
    """Half the oil in each of two lines is the same oil: its error must not average out."""
    split = """{ material = "squalane", percent = 50 }] \n[[phase]]\nletter = "B"\nlines = [
        { material = "squalane", percent = 50 }"""
    one, two = (shown(formula(text), "density")["density"] for text in ("squalane 100", split))
    assert one.low is not None and two.low is not None and one.high is not None and two.high is not None
    assert two.high - two.low == pytest.approx(one.high - one.low, rel=1e-9)


def test_a_premix_without_density_has_that_of_its_parts() -> None:
    """Mass balance by hand: 1/ρ = 0.5/0.9 + 0.5/1.1, U as above; the worst grade of what went in."""
    rest = """
[materials.one]
density = { value = "0.9 g/mL", spread = "0.01 g/mL" }
[materials.other]
density = { value = "1.1 g/mL", spread = "0.02 g/mL" }
[materials.both]
made_of = { one = 50, other = 50 }
"""
    inputs = gathered(formula("both 100", rest=rest))
    entry = inputs.behind["density_reading"][0]
    rho = 1000 / (0.5 / 0.9 + 0.5 / 1.1)
    assert entry.value == pytest.approx(rho, rel=1e-12)
    assert entry.spread == pytest.approx(rho**2 * math.hypot(0.5 * 10 / 900**2, 0.5 * 20 / 1100**2), rel=1e-12)
    assert (entry.grade, entry.source) == ("supplier", "computed-from-parts")


def test_exact_inputs_give_no_spread() -> None:
    found = shown(formula(LINES, head='makes = "12 x 50 mL"', rest=PRICES))
    for name in ("water_content", "oil_phase_share", "cost", "volume", "volume_per_container"):
        assert found[name].known and found[name].low is None and found[name].high is None, name
    for name in ("density", "batch_mass", "mass_per_container", "cost_per_container"):
        low, high = found[name].low, found[name].high
        assert low is not None and high is not None and low < found[name].value < high, name


def test_a_stated_amount_is_stated_not_computed() -> None:
    by_volume = shown(formula("aqua 100", head='makes = "12 x 50 mL"'))
    assert by_volume["volume"].value == 600 and by_volume["volume_per_container"].value == 50
    by_mass = shown(formula("aqua 100", head='makes = "10 x 30 g"'))
    assert by_mass["batch_mass"].value == 300 and by_mass["mass_per_container"].value == 30
    for figure in (by_volume["volume"], by_mass["batch_mass"]):
        assert (figure.grade, figure.source, figure.method) == ("exact", "own-word", "as stated in the formula file")
    assert by_mass["volume"].value == pytest.approx(300 / by_mass["density"].value, rel=1e-12)


#: What a formula without water and without preservatives does not ask for.
OF_KEEPING = (
    "water_activity", "growth_room", "preservative_dose", "preservative_of_limit", "preservative_uncharged",
    "preservative_in_water", "preservative_working",
)  # fmt: skip


def test_only_what_the_formula_asks_for_is_shown() -> None:
    bare = shown(formula("aqua 100"))
    climates = {"density_by_climate", "clear_viscosity_by_climate"}
    always = {"density", "water_content", "oil_phase_share", "volume_fraction", "substance_fraction"}
    assert set(bare) == always | climates | {"yield_stress", "thickness", "ph"}
    whole = shown(
        formula(
            "squalane 60, isopropyl myristate 20, beeswax 10, zinc oxide 10",
            head='use = "hand cream"\nmakes = "12 x 50 mL"',
            rest=PRICES + '[container]\nshape = "jar 50 mL"\nfill_at = "45 C"\n[measured]\ndensity = "0.9 g/mL"\n',
        )
    )
    hot = shown(
        formula(
            "aqua 70, squalane 29",
            how="heat to 75 C, hold 20 min",
            head='makes = "500 g"',
            rest='[[phase]]\nletter = "B"\nhow = "below 40 C"\nlines = [{ material = "tocopherol", percent = 1 }]\n',
        )
    )
    heat = {"joined_temperature", "cooling_time", "water_evaporated", "water_evaporated_share"}
    assert heat <= set(hot) and not heat & set(whole)
    acids = {"ph", "ionic_strength", "buffer_value", "free_acid", "free_acid_drift", "free_acid_content"}
    assert acids < set(shown(formula("aqua 98, lactic acid 2")))
    left_out = {*heat, *OF_WATER, *OF_KEEPING, *acids}
    left_out |= {name for name in SHOWN if "saturation" in name or name == "oil_distance"}
    assert tuple(whole) == tuple(name for name in SHOWN if name not in left_out) and set(SHOWN) < set(quantities())
    asked = shown(formula("aqua 100"), "volume")["volume"]
    assert asked.unknown == 'The filled volume is not given: write how much you make: makes = "500 g" under [formula].'


def test_cost() -> None:
    """0.05 × 4 + 0.25 × 9 = 2.45 EUR/kg; a container of 50 mL holds 48.36 g at 25 °C, and more at 20 °C."""
    assert "cost" not in shown(formula(LINES, head='makes = "12 x 50 mL"', rest=PRINTED))
    figures = shown(formula(LINES, head='makes = "12 x 50 mL"', rest=PRICED))
    assert figures["cost"].value == pytest.approx(2.45, rel=1e-12)
    assert figures["cost"].unit == "EUR/kg"
    mass = figures["mass_per_container"].value / 1000
    assert 0.0483595 < mass < 0.0483595 * 1.003
    assert figures["cost_per_container"].value == pytest.approx(2.45 * mass, rel=1e-9)
    assert figures["cost_per_container"].unit == "EUR"


def test_two_currencies_are_refused() -> None:
    with pytest.raises(UnitError, match=r"Prices stand in EUR and GBP; write them in one currency\."):
        shown(formula(LINES, rest=PRICES.replace("1.80 EUR", "1.80 GBP")))


@pytest.mark.parametrize(
    ("text", "price"), [("12 EUR/kg", 12.0), ("4.50 GBP/100 g", 45.0), ("3 USD/lb", 3 / 0.45359237), ("0 EUR/kg", 0.0)]
)
def test_prices(text: str, price: float) -> None:
    assert read_price(text)[0] == pytest.approx(price, rel=1e-12)


@pytest.mark.parametrize("text", ["12", "12 EUR", "EUR 12/kg", "twelve EUR/kg", "-1 EUR/kg", "nan EUR/kg", "5 EUR/mL"])
def test_what_is_no_price_is_refused(text: str) -> None:
    with pytest.raises(UnitError, match="is no price; write for example"):
        read_price(text)


UNKNOWN = '{ material = "aqua", percent = 80 }, { material = "kelp jelly", percent = 20 }'


def test_what_is_not_known_names_its_line_and_its_bench_test() -> None:
    figure = shown(formula(UNKNOWN, rest='[materials."kelp jelly"]\n'))["density"]
    assert math.isnan(figure.value) and not figure.known and figure.grade == "unknown"
    assert figure.say() == "not known" and figure.working() == ()
    assert figure.unknown == (
        "The density of kelp jelly is not known: weigh a syringe filled to a mark with kelp jelly, work it out with "
        "`levigate reckon density mass=... volume=...` and write it into the formula file: "
        '[materials."kelp jelly"] density = "... g/mL".'
    )
    assert shown(formula(UNKNOWN, rest='[materials."kelp jelly"]\ndensity = "1.02 g/mL"'))["density"].known


def test_many_unknown_are_counted() -> None:
    lines = ", ".join(f'{{ material = "mud {i}", percent = 20 }}' for i in range(5))
    rest = "".join(f'[materials."mud {i}"]\n' for i in range(5))
    assert shown(formula(lines, rest=rest))["density"].unknown.startswith(
        "The density of mud 0, mud 1, mud 2 and 2 more is not known:"
    )


def test_what_no_shelf_knows_may_hold_water() -> None:
    """Neither water nor oil can be told of a material that is not on the shelf; nor of the unnamed rest of a premix."""
    found = shown(formula(UNKNOWN))
    for name, word in [("water_content", "water"), ("oil_phase_share", "affinity")]:
        assert found[name].unknown.startswith(f"The {word} of kelp jelly is not known: describe kelp jelly in")
    assert found["substance_fraction"].known
    parts = '{ parts = { glycerin = 30 }, complete = false, source = "own-word", grade = "supplier" }'
    rest = f'[materials."kelp jelly"]\nmade_of = {parts}\n'
    assert "rest of kelp jelly" in shown(formula(UNKNOWN, rest=rest))["water_content"].unknown
    rest = '[materials."kelp jelly"]\nmade_of = { glycerin = 30, aqua = 69, "kelp solids" = 1 }\n'
    assert shown(formula(UNKNOWN, rest=rest))["water_content"].value == pytest.approx(80 + 0.69 * 20, rel=1e-12)


def test_substances_sum_to_100_and_volume_fractions_to_1() -> None:
    for text in (
        "aqua 60; phenoxyethanol and ethylhexylglycerin 1; cetearyl olivate and sorbitan olivate 4; squalane 35",
        LINES,
    ):
        one = formula(text)
        found = shown(one)
        assert sum(row.value for row in found["substance_fraction"].rows) == pytest.approx(100, abs=1e-9)
        assert sum(row.value for row in found["volume_fraction"].rows) == pytest.approx(100, abs=1e-9)
        assert [row.name for row in found["volume_fraction"].rows] == [line.material for _, line in one.lines()]
        shares = [row.value for row in found["substance_fraction"].rows]
        assert shares == sorted(shares, reverse=True)


def test_a_line_of_nought_changes_nothing() -> None:
    """Its density is not known, its price is in another coin: it is not in there, so neither matters."""
    rest = PRICES + '[materials."kelp jelly"]\nprice = "900 USD/kg"\n'
    without, with_it = (
        shown(formula(f"{LINES}{more}", head='makes = "500 g"', rest=rest)) for more in ("", ", kelp jelly 0")
    )
    assert {name: figure.say() for name, figure in without.items()} == {
        name: figure.say() for name, figure in with_it.items()
    }


@pytest.mark.parametrize(
    ("lines", "reason"),
    [
        ("aqua 70, glycerin 29.5", "The lines add up to 99.5 %, not to 100 %: make the lines sum to 100 %."),
        ("aqua 70, glycerin 30.1", "The lines add up to 100.1 %, not to 100 %: make the lines sum to 100 %."),
        (
            "aqua q.s., glycerin 60, squalane 41",
            "The other lines leave nothing for the q.s. line: make the lines sum to 100 %.",
        ),
    ],
)
def test_a_formula_that_does_not_add_up_has_no_figures(lines: str, reason: str) -> None:
    found = shown(formula(lines, head='makes = "12 x 50 mL"', rest='[materials.glycerin]\nprice = "4 EUR/kg"'))
    stated = {"volume", "volume_per_container"}
    assert {name for name, figure in found.items() if figure.known} == stated
    assert {figure.unknown for name, figure in found.items() if name not in stated} == {reason}
    assert all(math.isnan(figure.value) and not figure.rows for name, figure in found.items() if name not in stated)


def test_a_measured_density_outranks() -> None:
    rest = '[measured]\ndensity = { value = "0.94 g/mL", spread = "0.01 g/mL", how = "syringe", date = 2026-11-03 }\n'
    figure = shown(formula(LINES, head='makes = "500 g"', rest=rest), draws=20_000)
    density = figure["density"]
    assert density.value == pytest.approx(0.94, rel=1e-12)
    assert (density.grade, density.method, density.source) == ("measured", "as measured on this product", "own-word")
    assert density.low == pytest.approx(0.93, abs=0.001) and density.high == pytest.approx(0.95, abs=0.001)
    assert density.inputs[0].place == "syringe, 2026-11-03"
    assert density.working() == ("0.9400 g/mL, as measured on this product",)
    assert figure["volume"].value == pytest.approx(500 / 0.94, rel=1e-12)
    short = shown(formula(LINES, rest='[measured]\ndensity = "0.94 g/mL"\n'))["density"]
    assert short.high == pytest.approx(0.94 * (1 + DENSITY_SPREAD["measured"]), rel=1e-3)


def test_the_same_file_gives_the_same_figures() -> None:
    one, two = (shown(formula(LINES))["density"] for _ in range(2))
    assert (one.value, one.low, one.high) == (two.value, two.low, two.high)


def test_every_source_behind_a_figure_resolves_and_every_grade_is_one() -> None:
    rest = PRICES + '[materials."kelp jelly"]\n'
    for figure in shown(
        formula(f"aqua 60, {LINES[9:]}, kelp jelly 10", head='makes = "12 x 50 mL"', rest=rest)
    ).values():
        assert figure.source in sources()
        assert figure.grade in FIGURE_GRADES
        for entry in figure.inputs:
            assert entry.grade in FIGURE_GRADES
            assert entry.source in sources() if entry.grade != "unknown" else entry.source == ""


# The working: what is printed is read back and worked out again.

NUMBER = r"-?\d+(?:\.\d+)?(?:e[-+]?\d+)?"


def half_digit(number: str) -> float:
    """Return half a unit of the last digit of a number as printed."""
    mantissa, _, exponent = number.partition("e")
    places = len(mantissa.partition(".")[2])
    return float(0.5 * 10.0 ** (int(exponent or 0) - places))


def worked_out(expression: str) -> tuple[float, float]:
    """Return the value of a printed sum of products and quotients, and how far rounding of its numbers may move it."""
    total = error = 0.0
    signed = re.split(r"(?:^| )([+-]) ", "+ " + re.sub(r" \([^()]*[a-z][^()]*\)", "", expression))[1:]
    for side, term in zip(signed[::2], signed[1::2], strict=True):
        numbers = re.findall(NUMBER, term)
        signs = ["×", *re.findall(r"[×/]", re.sub(NUMBER, "", re.sub(r"(g|mL|EUR)/(mL|g|kg)", "", term)))]
        value = math.prod(float(n) if sign == "×" else 1 / float(n) for n, sign in zip(numbers, signs, strict=True))
        total += value if side == "+" else -value
        error += abs(value) * sum(half_digit(n) / abs(float(n)) for n in numbers if float(n))
    return total, error * 1.01


def recheck(line: str, scale: float = 1.0) -> float:
    """Check the last equals sign of a line of working; return its printed result."""
    *_, expression, result = line.split(" = ")
    numbers = re.findall(NUMBER, result)
    value, error = worked_out(expression)
    assert value * scale == pytest.approx(float(numbers[0]), abs=error * scale + half_digit(numbers[0]) * 1.01), line
    return float(numbers[0])


def working_formula() -> dict[str, Figure]:
    rest = PRICED + '[materials."stock"]\nmade_of = { aqua = 90, propanediol = 10 }\nprice = "2 EUR/kg"\n'
    lines = "aqua 63.21, stock 7, propanediol 4.79, isopropyl myristate 25"
    return shown(formula(lines, head='makes = "12 x 50 mL"', rest=rest))


def test_the_working_of_a_density_that_shrinks_gives_the_density() -> None:
    figure = shown(formula("aqua 60, glycerin 25, ethanol 15"), draws=0)["density"]
    inverse, _ = figure.working()
    assert " - 0.0" in inverse
    assert 1 / recheck(inverse) == pytest.approx(figure.value, abs=1e-4)


def test_the_working_of_the_density_gives_the_density() -> None:
    figure = working_formula()["density"]
    inverse, result = figure.working()
    assert 1 / recheck(inverse) == pytest.approx(figure.value, abs=1e-4)
    assert re.findall(NUMBER, result) == [f"{figure.value:.5f}"]
    assert inverse.count("/") - inverse.count("mL/g") - inverse.count("1/ρ") - inverse.count("wᵢ/ρᵢ") == 4


@pytest.mark.parametrize("name", ["batch_mass", "mass_per_container", "water_content", "oil_phase_share", "cost"])
def test_the_working_of_a_single_figure_gives_the_figure(name: str) -> None:
    figure = working_formula()[name]
    (line,) = figure.working()
    result = recheck(line)
    scale = 100 if figure.unit == "%" else 1
    assert result * scale == pytest.approx(figure.value, rel=1e-3)


def test_the_working_of_a_container_of_money_gives_it() -> None:
    figure = working_formula()["cost_per_container"]
    (line,) = figure.working()
    assert recheck(line, scale=1e-3) == pytest.approx(figure.value, rel=1e-3)  # money/kg times g


@pytest.mark.parametrize("name", ["volume", "volume_per_container"])
def test_the_working_of_a_volume_gives_it(name: str) -> None:
    figure = shown(formula(LINES, head='makes = "7 x 30 g"', rest=PRINTED))[name]
    (line,) = figure.working()
    assert recheck(line) == pytest.approx(figure.value, rel=1e-3)


@pytest.mark.parametrize("name", ["volume_fraction", "substance_fraction"])
def test_the_working_of_every_row_gives_the_row(name: str) -> None:
    figure = working_formula()[name]
    rows = {row.name: row.value for row in figure.rows}
    named = [line for line in figure.working() if "(" in line.partition("=")[0]]
    for line in named:
        match = re.match(r"[φw]\((.*?)\) = ", line)
        assert match is not None
        assert 100 * recheck(line) == pytest.approx(rows[match.group(1)], rel=1e-3)
    if name == "substance_fraction":
        assert len(named) == 2 and figure.working()[-1] == "1 others are a line each, with that line's percent"
    else:
        assert len(named) == len(rows)


def test_where_nothing_holds_any_the_working_says_so() -> None:
    found = shown(formula("squalane 100", rest='[materials.squalane]\nprice = "0 EUR/kg"'))
    assert found["water_content"].working() == ("w(water) = 0: no line holds any",)
    assert found["cost"].working() == ("k = 0 EUR/kg: no line costs anything",)


def test_rows_are_said_by_the_largest() -> None:
    figure = shown(formula("aqua 69.9, glycerin 5, squalane 24, tocopherol 1, bisabolol 0.1"))["substance_fraction"]
    assert figure.say() == "aqua 69.90 %, squalane 24.00 %, glycerin 5.000 % and 2 more"


KEYS = ["aqua", "glycerin", "squalane", "cetearyl alcohol", "phenoxyethanol and ethylhexylglycerin", "lactic acid 80 %"]


@given(st.lists(st.integers(0, 1000), min_size=6, max_size=6).filter(any))
@settings(deadline=None, database=None, max_examples=40)
def test_laws_of_any_mixture(parts: list[int]) -> None:
    """Density between the extremes, water and oil within the whole, substances as the exact composition has them."""
    from levigate.formula.percent import deal_out
    from levigate.formula.premix import composition

    percents = deal_out([Fraction(100 * n, sum(parts)) for n in parts], 6)
    lines = ", ".join(f'{{ material = "{key}", percent = {p} }}' for key, p in zip(KEYS, percents, strict=True))
    one = formula(lines)
    found = shown(one, draws=0)
    densities = evaluate(["material_density"], gathered(one, 0).given)["material_density"][0] / 1000
    assert min(densities) * (1 - 1e-12) <= found["density"].value <= max(densities) * (1 + 1e-12)
    exact = composition(one, catalogue())
    for row in found["substance_fraction"].rows:
        assert row.value == pytest.approx(float(exact[row.name]), abs=1e-9)
    water = found["water_content"].value
    assert water == pytest.approx(float(exact.get("aqua", 0)), abs=1e-9)
    assert 0 <= found["oil_phase_share"].value <= 100 - water + 1e-9


def test_gather_asks_for_nothing_on_the_shelf_it_does_not_need() -> None:
    """A review reads the records of its own lines and their parts, not the whole catalogue."""
    shelf = Shelf({}, below=catalogue())
    gather(formula(LINES), shelf)
    assert len(shelf._records) <= 3
