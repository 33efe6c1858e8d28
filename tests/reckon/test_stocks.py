"""Quick sums of stocks beside factors from atomic weights and the definitions; and what they refuse."""

from __future__ import annotations

import pytest

from tests.reckon.told import figure_of, refusal_of, sum_of


@pytest.mark.parametrize(
    ("of", "factor"),
    [
        # molar masses by the package periodictable; retinol of its palmitate as the law's own equivalents
        ("sodium benzoate", 0.8475), ("potassium sorbate", 0.7464), ("sodium dehydroacetate", 0.8844),
        ("methylparaben", 0.9078), ("ethylparaben", 0.8312), ("propylparaben", 0.7665), ("butylparaben", 0.7111),
        ("sodium salicylate", 0.8627), ("retinyl palmitate", 0.5458), ("citric acid monohydrate", 192.12 / 210.14),
    ],
)  # fmt: skip
def test_the_factor_is_that_of_the_molar_masses(of: str, factor: float) -> None:
    assert figure_of(f'as-acid of="{of}"', "factor").value == pytest.approx(factor, abs=6e-5)


@pytest.mark.parametrize(
    ("of", "limit", "weighed", "digit"),
    [
        # limits of Regulation (EC) 1223/2009, Annexes III and V, and the salt or ester that is as much
        ("sodium benzoate", 0.5, 0.590, 5e-4), ("sodium benzoate", 2.5, 2.95, 5e-3),
        ("potassium sorbate", 0.6, 0.804, 5e-4), ("sodium dehydroacetate", 0.6, 0.678, 5e-4),
        ("methylparaben", 0.4, 0.441, 5e-4), ("ethylparaben", 0.4, 0.481, 5e-4), ("propylparaben", 0.14, 0.183, 5e-4),
        ("butylparaben", 0.14, 0.197, 5e-4), ("sodium salicylate", 0.5, 0.580, 5e-4),
        ("retinyl palmitate", 0.3, 0.550, 5e-4),
    ],
)  # fmt: skip
def test_a_limit_as_acid_is_so_much_salt(of: str, limit: float, weighed: float, digit: float) -> None:
    assert figure_of(f'as-acid of="{of}" amount={limit}%', "weighed").value == pytest.approx(weighed, abs=digit)


def test_thinning_keeps_what_is_dissolved() -> None:
    figures = sum_of('dilute stock="sodium hydroxide 50 %" to=10% mass=250g').figures
    assert figures["stock"].value * 0.5 == pytest.approx(25)
    assert figures["stock"].value + figures["water"].value == pytest.approx(250)


def test_a_portion_too_small_for_the_scale_is_said() -> None:
    coarse = sum_of('dilute stock="50 %" to=1% mass=10g scale=0.1g')
    assert any("of doubt in the strength" in note for note in coarse.notes)
    assert not any("of doubt" in note for note in sum_of('dilute stock="50 %" to=10% mass=100g').notes)


def test_a_stock_counted_as_the_dry_acid() -> None:
    """100 g of 50 % citric acid take 54.69 g of monohydrate; 0.2603 mol in 50 g of water is 5.205 mol/kg."""
    figures = sum_of(
        'stock-solution of="citric acid monohydrate" counted_as="citric acid" strength=50% mass=100g'
    ).figures
    assert figures["weighed"].value == pytest.approx(50 * 210.14 / 192.12)
    assert figures["molality"].value == pytest.approx(50 / 192.12 / 0.05, rel=1e-4)
    pure = figure_of('stock-solution of="sodium hydroxide" strength=10% mass=100g purity=98%', "weighed").value
    assert pure == pytest.approx(10 / 0.98)


def test_lye_is_cautioned_against() -> None:
    for line in ('dilute stock="sodium hydroxide 50 %" to=10% mass=100g',
                 'stock-solution of="potassium hydroxide" strength=10% mass=100g'):  # fmt: skip
        notes = " ".join(sum_of(line).notes)
        assert "Lye burns" in notes and "never water into acid" in notes


REFUSED = (
    ('as-acid of="sodium chloride"', "no weak acid"),
    ('as-acid of="glycerin"', "no single acid"),
    ('as-acid of="piroctone olamine"', "say with acid="),
    ('as-acid of="trisodium citrate" acid="lactic acid"', "no salt of lactic acid"),
    ('as-acid of="sodium benzoate" amount=101%', "0 to 100 %"),
    ('as-acid of="sodium benzoat"', 'Did you mean "sodium benzoate"'),
    ("as-acid", "as-acid needs of"),
    ('dilute stock="50 %" to=60% mass=100g', "take a stronger one"),
    ('dilute stock="ethanol" to=1% mass=10g', "how strong"),
    ('dilute stock="citric acid 0 %" to=1% mass=10g', "is none"),
    ('dilute stock="x nan %" to=1% mass=10g', "is none"),
    ('dilute stock="x 2,5 %" to=1% mass=10g', "decimal point"),
    ('dilute stock="50 %" to=0% mass=10g', "above nought"),
    ('dilute stock="50 %" to=0.001% mass=10g', "cannot weigh"),
    (
        'stock-solution of="citric acid monohydrate" counted_as="citric acid" strength=95% mass=100g',
        "no room for water",
    ),
    ('stock-solution of="citric acid" counted_as="lactic acid" strength=5% mass=100g', "does not become"),
    ('stock-solution of="citric acid" strength=5% mass=0.01g', "cannot weigh"),
    ('stock-solution of="citric acid" strength=5% mass=100g purity=120%', "shares of the whole"),
)


@pytest.mark.parametrize(("line", "words"), REFUSED, ids=[f"{i}-{line[:30]}" for i, (line, _) in enumerate(REFUSED)])
def test_it_is_refused_with_a_sentence(line: str, words: str) -> None:
    sentence = refusal_of(line)
    assert words in sentence and "\n" not in sentence
