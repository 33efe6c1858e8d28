"""The pH of formulas: primary standards and published recipes as lines of materials, another program, and honesty."""

from __future__ import annotations

import math

import numpy as np
import pytest
from phreeqpython import PhreeqPython

from levigate.formula.model import Formula
from levigate.quantities import dissolved
from levigate.quantities.figure import Figure
from levigate.quantities.graph import evaluate
from levigate.quantities.inputs import gather
from levigate.shelf.catalogue import catalogue
from levigate.shelf.species import species
from tests.quantities.formulas import formula, gathered, shown
from tests.science.test_acidity import ACCEPTED, STANDARDS

SALT = '[materials."{name}"]\nkind = "salt"\naffinity = "water"\n'


def dissolved_in_water(recipe: dict[str, float]) -> Formula:
    """Return the formula of so many moles of each per kilogram of water, as percents of what is weighed.

    A standard is made up to molality, so crystal water counts as water.
    """
    grams = {name: 1000 * moles * species()[name].molar_mass for name, moles in recipe.items()}
    crystal = sum(1000 * moles * species()[name].crystal_water for name, moles in recipe.items())
    whole = 1000 + sum(grams.values()) - crystal
    lines = "; ".join(f"{name} {100 * mass / whole:.9f}" for name, mass in grams.items())
    own = "".join(SALT.format(name=name) for name in recipe if name not in catalogue())
    water = 100 - sum(round(100 * mass / whole, 9) for mass in grams.values())
    return formula(f"aqua {water:.9f}; {lines}", rest=own)


def ph(one: Formula, draws: int = 0) -> Figure:
    return shown(one, "ph", draws=draws)["ph"]


@pytest.mark.parametrize("name", STANDARDS)
def test_primary_standards_written_as_formulas_have_their_ph(name: str) -> None:
    """Staples and Bates (1969), Hetzer et al. (1977), Bates (1962): see `STANDARDS`."""
    recipe, printed = STANDARDS[name]
    assert ph(dissolved_in_water(recipe)).value == pytest.approx(printed, abs=ACCEPTED)


#: Millilitres of acetic acid and of acetate, 0.1 N each, and the pH: the table of acetate buffers after Gomori. A litre
#: of so thin a solution holds a kilogram of water to 0.5 %.
ACETATE = [(185, 15, 3.6), (147, 53, 4.2), (102, 98, 4.6), (59, 141, 5.0), (19, 181, 5.6)]


@pytest.mark.parametrize(("acid", "salt", "printed"), ACETATE)
def test_acetate_recipes_have_their_ph(acid: int, salt: int, printed: float) -> None:
    recipe = {"acetic acid": 0.1 * acid / 200, "sodium acetate anhydrous": 0.1 * salt / 200}
    assert ph(dissolved_in_water(recipe)).value == pytest.approx(printed, abs=0.07)


@pytest.fixture(scope="module")
def phreeqc() -> PhreeqPython:
    """Return PHREEQC with citrate added, its activities being those of Davies with b = 0.3."""
    program = PhreeqPython(database="phreeqc.dat")
    program.ip.run_string(
        "SOLUTION_MASTER_SPECIES\n Cit Cit-3 3 189.1 189.1\n"
        "SOLUTION_SPECIES\n Cit-3 = Cit-3\n log_k 0\n"
        "H+ + Cit-3 = HCit-2\n log_k 6.396\n2H+ + Cit-3 = H2Cit-\n log_k 11.157\n"
        "3H+ + Cit-3 = H3Cit\n log_k 14.285\nEND"
    )
    return program


@pytest.mark.parametrize(
    ("acid", "salt", "lye"), [(0.96, 1.47, 0), (0.4, 0, 0.05), (0.2, 0.1, 0), (1.0, 0, 0.3), (0.1, 0.05, 0.01)]
)
def test_phreeqc_agrees_on_formulas_of_citrate(phreeqc: PhreeqPython, acid: float, salt: float, lye: float) -> None:
    """Percents of citric acid, trisodium citrate dihydrate and lye, glycerin taking no part; molalities by hand."""
    water = 100 - acid - salt - lye - 5
    crystal = salt * 36.03 / 294.10
    wet = (water + crystal) / 1000
    citrate, sodium = (acid / 192.12 + salt / 294.10) / wet, (3 * salt / 294.10 + lye / 39.997) / wet
    told = phreeqc.add_solution({"-units": "mol/kgw", "-temp": 25, "pH": "7 charge", "Na": sodium, "Cit": citrate})
    parts = [f"aqua {water:.6f}", "glycerin 5", f"citric acid {acid}", f"trisodium citrate dihydrate {salt}"]
    one = formula(", ".join([*parts, f"sodium hydroxide {lye}"]))
    assert ph(one).value == pytest.approx(told.pH, abs=0.01)


def test_the_water_is_all_water_and_no_other() -> None:
    """Of two formulas with as much acid, the one with half the water holds it twice as strong."""
    thin, oily = formula("aqua 99, lactic acid 1"), formula("aqua 49.5, squalane 50, lactic acid 0.5")
    assert ph(thin).value == pytest.approx(ph(oily).value, abs=1e-9)
    stock = formula("aqua 98.75, lactic acid 80 % 1.25")
    assert ph(stock).value == pytest.approx(ph(thin).value, abs=1e-9)


def test_crystal_water_and_that_of_a_solution_count() -> None:
    given = gathered(formula("aqua 90, borax 5, ammonia solution 25 % 5"), draws=0).given
    water = float(evaluate(["dissolving_water"], given)["dissolving_water"])
    assert water == pytest.approx(0.90 + 0.05 * 180.15 / 381.37 + 0.05 * 0.75, abs=1e-5)


def test_plain_water_has_no_ph_that_a_sum_could_tell() -> None:
    for lines in ("aqua 100", "aqua 95, glycerin 5", "aqua 99, sodium chloride 1", "aqua 96, niacinamide 4"):
        found = ph(formula(lines), draws=50)
        assert not found.known and "air, gums and traces" in found.unknown and "meter" in found.unknown
    assert "ph" not in shown(formula("squalane 100"))


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("carbomer 0.3", "a polyacid"),
        ("green tea extract powder 1", "a mixture with acids and salts of its own"),
        ("hydrolysed silk 1", "takes up acid and base by many groups"),
        ("phytic acid 0.1", "twelve protons"),
        ("cocamidopropyl betaine (active matter) 5", "acid constants are not at hand"),
        ("azelaic acid 10", "a powder of which a part dissolves"),
        ("zinc oxide 5", "dissolves only as acid takes it up"),
    ],
)
def test_what_no_sum_can_tell_is_not_known_and_says_why(line: str, says: str) -> None:
    one = formula(f"aqua 80; glycerin {19 - float(line.rpartition(' ')[2])}; lactic acid 1; {line}")
    found = ph(one)
    assert not found.known and math.isnan(found.value)
    assert says in found.unknown and "meter" in found.unknown
    assert "ionic_strength" not in shown(one) and "free_acid" not in shown(one)


def test_a_fatty_acid_sits_in_the_oil_until_a_base_makes_soap_of_it() -> None:
    quiet = formula("aqua 80, stearic acid 18, lactic acid 2")
    assert ph(quiet).value == pytest.approx(ph(formula("aqua 80, squalane 18, lactic acid 2")).value, abs=1e-9)
    soap = formula("aqua 80, stearic acid 18, triethanolamine 2")
    assert "soap" in ph(soap).unknown


def test_an_acid_put_in_with_the_oil_is_between_the_two() -> None:
    lines = '[[phase]]\nletter = "B"\nlines = [ {{ material = "{}", percent = 20 }}, '
    lines += '{{ material = "salicylic acid", percent = 0.5 }} ]\n'
    water = '{ material = "aqua", percent = "q.s." }, { material = "lactic acid", percent = 1 }'
    assert "between oil and water" in ph(formula(water, rest=lines.format("squalane"))).unknown
    assert ph(formula(water, rest=lines.format("propanediol"))).known


def test_a_measured_ph_outranks_and_is_as_good_as_its_meter() -> None:
    lines = "aqua 96.7, carbomer 0.3, lactic acid 2, sodium benzoate 1"
    meter, strip = (
        shown(formula(lines, rest=f'[measured]\npH = {{ value = 5.0, how = "{how}" }}'))
        for how in ("glass electrode", "pH strips")
    )
    for found, half in ((meter, 0.1), (strip, 0.5)):
        figure = found["ph"]
        assert (
            figure.value == 5.0
            and figure.grade == "measured"
            and figure.working() == ("5.000, as measured on this product",)
        )
        assert figure.low == pytest.approx(5 - half, abs=0.12 * half) and figure.high is not None
        assert figure.high == pytest.approx(5 + half, abs=0.12 * half)
        assert f"good to {half}" in figure.inputs[0].place
        assert found["ionic_strength"].known and found["free_acid"].known and "buffer_value" not in found
    assert meter["free_acid"].rows[0].value == pytest.approx(100 / (1 + 10 ** (5.0 - 3.863 + 0.07)), abs=1.0)


def test_beyond_the_range_of_the_model_one_decimal_is_printed() -> None:
    """10 % glycolic acid half neutralised: I = 0.84 mol/kg, where Davies ends at 0.5."""
    strong = shown(formula("aqua 87.2, glycolic acid 10, sodium hydroxide 2.8"))
    assert strong["ionic_strength"].value > 0.5
    figure = strong["ph"]
    assert figure.value == round(figure.value, 1) and figure.low is not None and figure.high is not None
    assert figure.say() == f"{figure.value:.1f} ({figure.low:.1f} to {figure.high:.1f})"
    assert figure.high - figure.low >= 0.2
    mild = ph(formula("aqua 98, glycolic acid 1.5, sodium hydroxide 0.5"), draws=200)
    assert mild.say().count(".") == 3 and len(mild.say().split()[0].partition(".")[2]) == 2


def test_the_spread_is_that_of_the_constants_the_amounts_and_the_model() -> None:
    """Glycolic acid half neutralised: pKa ± 0.05, the model ± 0.025 and 1 % of either amount, in quadrature."""
    found = ph(formula("aqua 98.7, glycolic acid 0.95, sodium hydroxide 0.25, glycerin 0.1"), draws=1000)
    assert found.low is not None and found.high is not None
    half = (found.high - found.low) / 2
    assert half == pytest.approx(math.hypot(0.05, 0.025, 2 * 0.01 * 1.41 / 2.303), rel=0.15)


def test_gum_makes_a_weak_buffer_less_sure_and_a_strong_one_not() -> None:
    weak, gum = (
        ph(formula(f"aqua 99.4, sodium benzoate 0.2, citric acid 0.02, {more}"), draws=1000)
        for more in ("glycerin 0.38", "xanthan gum 0.38")
    )
    strong = ph(formula("aqua 96.62, lactic acid 2, sodium lactate 1, xanthan gum 0.38"), draws=1000)

    def width(one: Figure) -> float:
        assert one.high is not None and one.low is not None
        return one.high - one.low

    assert width(gum) > 2 * width(weak) > 0
    assert width(strong) < 0.1


def test_free_acid_moves_as_the_ph_drifts() -> None:
    found = shown(formula("aqua 98.5, sodium benzoate 0.5, citric acid 0.2, potassium sorbate 0.3, glycerin 0.5"))
    drift, free = found["free_acid_drift"].rows, {row.name: row.value for row in found["free_acid"].rows}
    assert [row.name for row in drift[:3]] == [f"{name}, pH 0.5 lower" for name in free]
    for row in drift:
        now = free[row.name.partition(",")[0]]
        assert (row.value > now) == row.name.endswith("lower")
    content = {row.name: row.value for row in found["free_acid_content"].rows}
    # Of 0.5 % of benzoate 0.8475 is benzoic acid (atomic weights).
    assert content["benzoic acid"] == pytest.approx(0.5 * 0.8475 * free["benzoic acid"] / 100, rel=1e-3)


def test_draws_that_are_alike_are_solved_once_and_rightly(monkeypatch: pytest.MonkeyPatch) -> None:
    """With as many draws as are different each is solved by itself: a thousand repeat the first two hundred."""
    one = formula("aqua 98, lactic acid 1.5, sodium hydroxide 0.3, sodium benzoate 0.2")
    many = evaluate(["ph", "free_acid"], gathered(one, draws=1000).given)
    few = evaluate(["ph", "free_acid"], gathered(one, draws=dissolved.DISTINCT).given)
    for name, array in few.items():
        np.testing.assert_array_equal(many[name][: len(array)], array)
        assert len(np.unique(many[name].reshape(1001, -1)[:, 0])) == dissolved.DISTINCT + 1


def test_rows_that_differ_are_not_taken_for_alike() -> None:
    """Compositions along the axis of draws: the same constants, other amounts."""
    given = gathered(formula("aqua 98, lactic acid 1.5, sodium hydroxide 0.5"), draws=400).given
    rows = np.repeat(given["mass_fraction"][None], 401, axis=0)
    rows[:, 2] = np.linspace(0.0, 0.005, 401)
    rows[:, 0] += 0.005 - rows[:, 2]
    found = evaluate(["ph"], {**given, "mass_fraction": rows, "ph_error": np.zeros(401)})["ph"]
    assert (np.diff(found) > -0.3).all() and found[-1] - found[0] > 1.5
    assert len(np.unique(found)) == 401


def test_a_formula_without_water_or_acid_draws_nothing() -> None:
    for lines in ("squalane 100", "aqua 95, glycerin 5"):
        inputs = gather(formula(lines), catalogue(), draws=1000)
        assert not {leaf for leaf in inputs.drawn if leaf.startswith(("acid", "solute", "davies"))}


def test_every_name_of_a_kind_is_a_material() -> None:
    known = species()
    for name in (*known.slight, *known.neutral):
        assert name in catalogue(), name
        assert name not in known.substances, name
