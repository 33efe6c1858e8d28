"""Quick sums of acids beside pH standards, an independent program and the definitions; and what they refuse."""

from __future__ import annotations

import pytest

from levigate.reckon.solutions import MOST_STRENGTH
from levigate.shelf.catalogue import sources
from tests.reckon.told import figure_of, refusal_of, sum_of

#: Primary pH standards at 25 °C, within the 0.015 that an ideal solution misses by 0.055 at least.
STANDARDS = (
    ("potassium hydrogen tartrate 0.0341 mol/kg", 3.557, "Bates-1962"),
    ("potassium dihydrogen citrate 0.05 mol/kg", 3.776, "Staples-Bates-1969"),
    ("potassium hydrogen phthalate 0.05 mol/kg", 4.005, "Hamer-1946"),
    ("potassium dihydrogen phosphate 0.025 mol/kg, disodium phosphate 0.025 mol/kg", 6.865, "Bates-1962"),
    ("potassium dihydrogen phosphate 0.008695 mol/kg, disodium phosphate 0.03043 mol/kg", 7.413, "Bates-1962"),
    ("borax 0.01 mol/kg", 9.180, "Staples-Bates-1969"),
)
#: The same species sets in phreeqpython 1.6.2 (phreeqc.dat with the log K of PHREEQC-minteq4), to its 0.01.
PHREEQC = (
    ("citric acid 0.05 mol/kg, trisodium citrate 0.05 mol/kg", 4.3776),
    ("citric acid 0.01 mol/kg, trisodium citrate 0.01 mol/kg", 4.5250),
    ("citric acid 0.001 mol/kg, trisodium citrate 0.001 mol/kg", 4.6867),
    ("citric acid 0.0052 mol/kg", 2.7855),
    ("citric acid 0.05 mol/kg", 2.2394),
    ("citric acid 0.01 mol/kg, sodium hydroxide 0.01 mol/kg", 3.8716),
    ("citric acid 0.01 mol/kg, sodium hydroxide 0.02 mol/kg", 5.2942),
    ("potassium dihydrogen citrate 0.05 mol/kg", 3.7659),
    ("borax 0.01 mol/kg", 9.1771),
)


@pytest.mark.parametrize(("of", "printed", "source"), STANDARDS, ids=[of.split(" 0")[0] for of, _, _ in STANDARDS])
def test_the_primary_standards_come_out(of: str, printed: float, source: str) -> None:
    assert source in sources()
    found = figure_of(f'ph of="{of}"', "ph")
    assert found.value == pytest.approx(printed, abs=0.015)
    assert found.low is not None and found.high is not None
    assert found.low < printed < found.high


@pytest.mark.parametrize(("of", "printed"), PHREEQC, ids=[of for of, _ in PHREEQC])
def test_another_program_agrees(of: str, printed: float) -> None:
    assert figure_of(f'ph of="{of}"', "ph").value == pytest.approx(printed, abs=0.01)


def test_percents_are_turned_into_moles_in_the_water_that_is_left() -> None:
    """19.212 g of acid beside 980.788 g of water is the same as 0.1/0.980788 mol/kg; hydrates bring their water."""
    one = figure_of('ph of="citric acid 1.9212%"', "ph").value
    assert one == pytest.approx(figure_of('ph of="citric acid 0.101959 mol/kg"', "ph").value, abs=1e-6)
    assert one == pytest.approx(figure_of('ph of="citric acid monohydrate 2.1014%"', "ph").value, abs=1e-4)
    assert one == pytest.approx(figure_of('ph of="1.9212 g citric acid, 98.0788 g water"', "ph").value, abs=1e-6)
    assert one == pytest.approx(figure_of('ph of="1.9212% citric acid, 98.0788% aqua"', "ph").value, abs=1e-6)


def test_a_solution_on_the_shelf_is_taken_apart() -> None:
    dilute = figure_of('ph of="lactic acid 80 % 2.5%"', "ph").value
    assert dilute == pytest.approx(figure_of('ph of="lactic acid 2%"', "ph").value, abs=1e-6)


def test_the_ionic_strength_and_the_buffer_value_are_those_of_the_definitions() -> None:
    """Sodium chloride of m has I = m; Van Slyke: half-neutralised monoprotic acid has β = 2.303 (m/4 + [H])."""
    assert figure_of('ph of="sodium chloride 0.1 mol/kg"', "ionic_strength").value == pytest.approx(0.1, abs=2e-7)
    acetate = figure_of('ph of="acetic acid 0.005 mol/kg, sodium acetate 0.005 mol/kg"', "buffer_value").value
    # Each mole of base also shields, which the plain formula leaves out: 1.5 % at this ionic strength.
    assert acetate == pytest.approx(2.302585 * (0.01 / 4 + 10**-4.73), rel=0.02)


def test_beyond_the_range_one_decimal_is_told_and_said_so() -> None:
    """10 % of glycolic acid at pH 3.8 has an ionic strength of 0.84 mol/kg (a balance of its own)."""
    answer = sum_of('ph of="glycolic acid 10%, sodium hydroxide 3%"')
    shown = answer.figures["ph"]
    assert answer.figures["ionic_strength"].value > MOST_STRENGTH
    assert shown.value == round(shown.value, 1) and shown.say().startswith("3.80 ")
    assert any("one decimal" in note for note in answer.notes)
    assert not any("one decimal" in note for note in sum_of('ph of="glycolic acid 1%"').notes)


def test_the_meter_outranks_and_the_far_ends_are_for_professionals() -> None:
    mild, sharp = sum_of('ph of="citric acid 2%, sodium hydroxide 0.6%"'), sum_of('ph of="citric acid 2%"')
    assert any("outranks" in note for note in mild.notes) and any("outranks" in note for note in sharp.notes)
    assert any("professionals" in note for note in sharp.notes)
    assert not any("professionals" in note for note in mild.notes)


def test_a_spread_of_the_constant_widens_the_interval() -> None:
    """Glycolic acid half neutralised: the pKa is printed 0.05 apart, and a half-neutralised pH moves as its pKa."""
    wide = figure_of('ph of="glycolic acid 0.01 mol/kg, sodium glycolate 0.01 mol/kg" amount_error=0%', "ph")
    assert wide.low is not None and wide.high is not None
    assert (wide.high - wide.low) / 2 == pytest.approx((0.05**2 + 0.025**2) ** 0.5, rel=0.1)


@pytest.mark.parametrize(
    ("acid", "ph", "percent"),
    [
        # 1/(1 + 10^(pH - pKa)) with the pKa printed beside it (benzoic 4.202, sorbic 4.76)
        ("benzoic acid", 3, 94.09), ("benzoic acid", 4, 61.42), ("benzoic acid", 5, 13.74), ("benzoic acid", 6, 1.57),
        ("sodium benzoate", 5.5, 4.79), ("sorbic acid", 5, 36.53), ("potassium sorbate", 4.5, 64.54),
        ("dehydroacetic acid", 5.5, 37.06), ("glycolic acid", 3.5, 68.1), ("glycolic acid", 4.5, 17.6),
    ],
)  # fmt: skip
def test_the_free_share_is_that_of_henderson_and_hasselbalch(acid: str, ph: float, percent: float) -> None:
    """Shares worked out apart from this program; up to 0.01 of difference in the pKa moves them by 0.6 points."""
    assert figure_of(f'free-acid acid="{acid}" ph={ph}', "free").value == pytest.approx(percent, abs=0.6)


@pytest.mark.parametrize(("ph", "printed"), [(3, 93.5), (4, 59.3), (5, 12.8), (6, 1.44)])
def test_a_printed_table_for_benzoic_acid_is_met_as_far_as_it_meets_its_own_constant(ph: float, printed: float) -> None:
    """Food-additive data book: labelled pKa 4.19, its numbers are those of 4.165."""
    assert figure_of(f'free-acid acid="benzoic acid" ph={ph}', "free").value == pytest.approx(printed, abs=2.5)


def test_salt_lowers_the_pka_and_with_it_the_free_acid() -> None:
    """Benzoic acid: 4.202 -> 4.095 at 0.1 mol/kg (Davies)."""
    salty = figure_of('free-acid acid="benzoic acid" ph=4.095 ionic_strength="0.1 mol/kg"', "free")
    assert salty.value == pytest.approx(50, abs=0.3)


def test_free_acid_of_a_salt_is_counted_as_acid() -> None:
    """0.590 % of sodium benzoate is 0.5 % as benzoic acid."""
    answer = sum_of('free-acid acid="sodium benzoate" ph=4.203 amount=0.59%')
    assert answer.figures["amount"].value == pytest.approx(0.25, abs=1e-3)
    assert answer.figures["lower"].value > answer.figures["free"].value > answer.figures["higher"].value


REFUSED = (
    ('free-acid acid="sodium hydroxide" ph=5', "wholly split"),
    ('free-acid acid="triethanolamine" ph=5', "no simple acid"),
    ('free-acid acid="benzoic acid" ph=15', "none that water has"),
    ('free-acid acid="benzoic acid" ph=5 drift=-1', "without a sign"),
    ('free-acid acid="benzoic acid" ph=5 ionic_strength="2 mol/kg"', "beyond, measure"),
    ('free-acid acid="benzoic acid" ph=5 amount=0%', "above 0"),
    ('free-acid acid="glycerin" ph=5', "no single acid"),
    ('free-acid acid="phytic acid" ph=5', "measure the pH"),
    ('free-acid acid="benzoic acid"', "free-acid needs ph"),
    ('ph of="citrate 0.1 mol/kg"', "counter-ion"),
    ('ph of="citric acid -1%"', "below nought"),
    ('ph of="citric acid 5 mL"', "in mol/kg of water, in % of the whole or in g"),
    ('ph of="citric acid 1M"', "per kilogram of water"),
    ('ph of="carbomer 1%"', "neutralise to the meter"),
    ('ph of="citic acid 1%"', 'Did you mean "citric acid"'),
    ('ph of="citric acid 101%"', "leave no water"),
    ('ph of="citric acid 10%, water 80%"', "not to 100 %"),
    ('ph of=""', "no amount of a substance"),
    ('ph of="glycerin 5%"', "is an acid, a base or a salt"),
    ('ph of="citric acid 1e300 mol/kg"', "no solution"),
    ('ph of="citric acid 2,5%"', "decimal point"),
    ('ph of="citric acid nan%"', "does not begin with a number"),
    ('ph of="citric acid 1%, tris 1 g"', "all amounts alike"),
    ('ph of="citric acid 2 g"', "no water"),
    ('ph of="citric acid 0.1 mol/kg, glycerin 0.1 mol/kg"', "Only acids, bases and salts"),
    ('ph of="mandelic acid 1%" temperature=40C', "moves with temperature"),
    ('ph of="citric acid 1%" temperature=105C', "from 0 to 100 °C"),
    ('ph of="citric acid 1%" amount_error=-1%', "share of each amount"),
    ("ph", "ph needs of"),
)


@pytest.mark.parametrize(("line", "words"), REFUSED, ids=[f"{i}-{line[:30]}" for i, (line, _) in enumerate(REFUSED)])
def test_it_is_refused_with_a_sentence(line: str, words: str) -> None:
    sentence = refusal_of(line)
    assert words in sentence and "\n" not in sentence
