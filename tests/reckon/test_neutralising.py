"""Quick sums of getting to a pH beside strong acid and base, an independent program and a pH standard."""

from __future__ import annotations

import pytest

from tests.reckon.told import figure_of, refusal_of, sum_of

CITRIC = 'neutralise of="citric acid 2%" mass=100g ph=5'


def test_strong_acid_takes_as_many_moles_of_lye() -> None:
    """0.1 mol of hydrogen chloride take 0.1 mol of sodium hydroxide, 3.9997 g, to be neutral."""
    line = 'neutralise of="hydrochloric acid 3.6461 g, water 1000 g" mass=1003.6461g ph=6.9977 stock="sodium hydroxide"'
    assert figure_of(line, "stock").value == pytest.approx(3.9997, abs=1e-3)


@pytest.mark.parametrize(("lye", "ph"), [(0.01, 3.8716), (0.02, 5.2942)])
def test_another_program_takes_as_much_lye(lye: float, ph: float) -> None:
    """phreeqpython 1.6.2 on 0.01 mol/kg of citric acid; half an hundredth of pH is 0.5 % of the lye at most."""
    line = f'neutralise of="citric acid 1.9212 g, water 1000 g" mass=1001.9212g ph={ph} stock="sodium hydroxide"'
    assert figure_of(line, "stock").value == pytest.approx(lye * 39.997, rel=0.005)


@pytest.mark.parametrize("stock", ["sodium hydroxide 10 %", "triethanolamine", "arginine", "sodium bicarbonate 8 %"])
def test_what_it_says_to_add_brings_the_mixture_there(stock: str) -> None:
    grams = figure_of(f'{CITRIC} stock="{stock}"', "stock").value
    name, _, percent = stock.replace(" %", "").rpartition(" ") if stock.endswith("%") else (stock, "", "100")
    share = float(percent) / 100
    parts = f"citric acid 2 g, {name} {grams * share:.9f} g, water {98 + grams * (1 - share):.9f} g"
    assert figure_of(f'ph of="{parts}"', "ph").value == pytest.approx(5, abs=1e-4)


def test_the_first_portion_is_four_fifths_and_a_stock_twice_as_thin_takes_twice_as_much_and_a_little() -> None:
    figures = sum_of(f'{CITRIC} stock="sodium hydroxide 10 %"').figures
    assert figures["first"].value == pytest.approx(0.8 * figures["stock"].value)
    assert figures["stock"].low is not None and figures["stock"].low > figures["first"].value
    thin = figure_of(f'{CITRIC} stock="sodium hydroxide 5 %"', "stock").value
    assert thin / figures["stock"].value == pytest.approx(2, rel=0.01)


def test_a_stock_of_the_shelf_is_read_by_its_name() -> None:
    said = figure_of('neutralise of="sodium hydroxide 1%" mass=100g ph=7 stock="lactic acid 80 %"', "stock").value
    pure = figure_of('neutralise of="sodium hydroxide 1%" mass=100g ph=7 stock="lactic acid"', "stock").value
    assert said * 0.8 == pytest.approx(pure, rel=0.01)


def test_the_cautions_are_said() -> None:
    notes = " ".join(sum_of(f'{CITRIC} stock="sodium hydroxide 10 %"').notes)
    for words in ("never water into acid", "closed container", "Lye burns", "meter reading outranks", "g first"):
        assert words in notes
    assert "Lye burns" not in " ".join(sum_of(f'{CITRIC} stock="arginine"').notes)


def test_the_phosphate_standard_is_weighed_in_equal_moles() -> None:
    """0.025 and 0.025 mol/kg have 6.865 (Bates-1962); 0.015 in pH is 4 % of a partner. Lange-15: 3.39 and 3.53 g/L."""
    pair = 'acid="potassium dihydrogen phosphate" salt="disodium phosphate"'
    line = f'buffer {pair} ph=6.865 strength="0.05 mol/kg" mass=1kg'
    figures = sum_of(line).figures
    assert figures["acid"].value == pytest.approx(3.39, rel=0.04)
    assert figures["salt"].value == pytest.approx(3.53, rel=0.04)
    total = sum(figures[name].value for name in ("acid", "salt", "water"))
    assert total == pytest.approx(1000, abs=1e-6)
    assert figures["buffer_value"].value == pytest.approx(0.029, abs=0.0015)  # Lange-15, table 8.15


def test_the_buffer_that_is_weighed_has_the_ph() -> None:
    figures = sum_of('buffer acid="citric acid" ph=5 strength="0.1 mol/kg" mass=100g').figures
    acid, salt, water = (figures[name].value for name in ("acid", "salt", "water"))
    of = f"citric acid {acid:.9f} g, trisodium citrate dihydrate {salt:.9f} g, water {water:.9f} g"
    assert figure_of(f'ph of="{of}"', "ph").value == pytest.approx(5, abs=1e-4)
    assert figures["salt"].title == "trisodium citrate dihydrate"


def test_an_acetate_recipe_in_print_comes_back() -> None:
    """Acetate buffer of Walpole as printed: 102 mL of 0.1 N acid and 98 mL of 0.1 N salt have pH 4.6, within 0.07."""
    line = 'buffer acid="acetic acid" ph=4.64 strength="0.1 mol/kg" mass=1kg'
    share = figure_of(line, "acid").value / 60.052 / 0.1
    assert share == pytest.approx(102 / 200, abs=0.02)


REFUSED = (
    ('neutralise of="citric acid 2%" mass=100g ph=2 stock="sodium hydroxide 10%"', "take an acid"),
    ('neutralise of="citric acid 2%" mass=100g ph=12 stock="triethanolamine"', "too weak"),
    (f'{CITRIC} stock="lactic acid 80 %"', "take a base"),
    (f'{CITRIC} stock="sodium hydroxide 0 %"', "is none"),
    (f'{CITRIC} stock="sodium hydroxide 1,5 %"', "decimal point"),
    (f'{CITRIC} stock="glycerin"', "no acid, base or salt in water"),
    (f'{CITRIC} stock=""', "No acid, base or salt"),
    (f"{CITRIC}", "neutralise needs stock"),
    ('neutralise of="citric acid 2%" mass=0g ph=5 stock="arginine"', "above nought"),
    ('neutralise of="citric acid 2%" mass=100g ph=15 stock="arginine"', "none that water has"),
    ('buffer acid="borax" ph=9', "no partner"),
    ('buffer acid="citric acid" salt="sodium lactate" ph=5', "no pair"),
    ('buffer acid="trisodium citrate" salt="citric acid" ph=5', "no fewer protons"),
    ('buffer acid="sodium chloride" ph=5', "no partner"),
    ('buffer acid="lactic acid" ph=1', "make no buffer"),
    ('buffer acid="tris" ph=8', "No salt of tromethamine"),
    ('buffer acid="citric acid" ph=5 strength="0 mol/kg"', "above nought"),
)


@pytest.mark.parametrize(("line", "words"), REFUSED, ids=[f"{i}-{line[:30]}" for i, (line, _) in enumerate(REFUSED)])
def test_it_is_refused_with_a_sentence(line: str, words: str) -> None:
    sentence = refusal_of(line)
    assert words in sentence and "\n" not in sentence


def test_a_pair_far_from_its_constant_is_called_weak() -> None:
    assert any("hardly holds" in note for note in sum_of('buffer acid="lactic acid" ph=6').notes)
    assert not any("hardly holds" in note for note in sum_of('buffer acid="lactic acid" ph=4').notes)
