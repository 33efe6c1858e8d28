"""Quick sums of dissolving beside Hansen's distance worked out by hand and the law of mass action."""

from __future__ import annotations

import math

import pytest

from tests.reckon.told import figure_of, refusal_of, sum_of

EPOXY = "17 10 8"


@pytest.mark.parametrize(
    ("one", "other", "distance"),
    [
        # Hansen-1967, the three of each liquid as listed in tables of his parameters; by hand
        ("15.5 10.4 7.0", EPOXY, 3.1875), ("15.8 8.8 19.4", EPOXY, 11.7115), ("18 1.4 2", EPOXY, 10.6752),
        ("15.5 16 42.3", "15.8 8.8 19.4", 24.0127), ("15.8 8.8 19.4", "18 1.4 2", 19.4134),
        ("50% 15.8 8.8 19.4; 50% 18 1.4 2", EPOXY, 5.5982),
    ],
)  # fmt: skip
def test_hansens_distance(one: str, other: str, distance: float) -> None:
    """A trade article that puts the four before the polar term would have 1.972 for the first."""
    assert figure_of(f'hansen one="{one}" other="{other}"', "distance").value == pytest.approx(distance, abs=6e-5)


def test_the_relative_energy_difference() -> None:
    assert figure_of(f'hansen one="15.5 10.4 7" other="{EPOXY}" radius=8', "red").value == pytest.approx(
        0.398, abs=5e-4
    )
    assert figure_of(f'hansen one="18 1.4 2" other="{EPOXY}" radius=8', "red").value == pytest.approx(1.334, abs=5e-4)


@pytest.mark.parametrize(
    ("of", "printed"),
    [("caffeine", 2.39), ("salicylic acid", 0.209), ("sodium benzoate", 55.6)],
)
def test_what_is_printed_is_told(of: str, printed: float) -> None:
    """AqSolDB-2019."""
    found = figure_of(f'solubility of="{of}"', "solubility")
    assert found.value == pytest.approx(printed, rel=0.002) and found.source == "AqSolDB-2019"


def test_an_acid_dissolves_more_as_its_charged_part_does() -> None:
    """S = S₀ (1 + 10^(pH - pKa)): from pH 4.203 to 5.203 of benzoic acid by 11/2, and at its own pH as printed."""
    low, high = (figure_of(f'solubility of="benzoic acid" ph={at}', "solubility").value for at in (4.203, 5.203))
    assert high / low == pytest.approx(11 / 2, rel=0.003)
    own = figure_of('ph of="benzoic acid 0.0282 mol/kg"', "ph").value
    assert figure_of(f'solubility of="benzoic acid" ph={own}', "solubility").value == pytest.approx(0.344, rel=0.005)


@pytest.mark.parametrize(
    ("cosolvent", "times"), [("ethanol", 5.63), ("propane-1,2-diol", 4.97), ("macrogol 400", 7.58), ("glycerol", 2.10)]
)
def test_a_cosolvent_by_the_log_linear_rule(cosolvent: str, times: float) -> None:
    """Yalkowsky-Rubino-1985, log Kow 2.26 and 30 % by volume, by hand; told as no better than a factor of three."""
    line = f'solubility of="salicylic acid" cosolvent="{cosolvent}" fraction=30% log_kow=2.26'
    found = figure_of(line, "solubility")
    assert found.value == pytest.approx(0.209 * times, rel=0.003)  # printed to three figures
    assert found.low is not None and found.value / found.low == pytest.approx(3)


def test_the_verdict_is_careful() -> None:
    first = [sum_of(f'solubility of="caffeine" share={share}%').notes[0] for share in (1, 2.3, 5)]
    assert first == ["It dissolves, at that temperature and in time.", "Too near to tell: try it.",
                     "It will not all dissolve."]  # fmt: skip
    ratio = figure_of('solubility of="caffeine" share=5%', "saturation").value
    assert ratio == pytest.approx(5 / (100 * 23.9 / (23.9 + 997.05)), rel=1e-3)
    assert math.isfinite(ratio)


REFUSED = (
    ('solubility of="glycerin"', "in all shares"),
    ('solubility of="caffeine" liquid=mercury', "is not known here"),
    ('solubility of="sodium benzoate" ph=4', "ask for its acid"),
    ('solubility of="caffeine" ph=4', "cannot be computed"),
    ('solubility of="cafeine"', "Did you mean"),
    ('solubility of="caffeine" share=0%', "above 0"),
    ('solubility of="caffeine" liquid=ethanol share=1%', "go with liquid=water"),
    ('solubility of="caffeine" cosolvent=ethanol fraction=30%', "solubility needs log_kow"),
    ('solubility of="caffeine" cosolvent=petrol fraction=30% log_kow=1', "no numbers for the cosolvent"),
    ('solubility of="caffeine" cosolvent=ethanol fraction=130% log_kow=1', "0 to 100 %"),
    ('solubility of="benzoic acid" ph=4 cosolvent=ethanol fraction=30% log_kow=1', "not both"),
    ("solubility", "solubility needs of"),
    (f'hansen one="x" other="{EPOXY}"', "three numbers"),
    (f'hansen one="1 2" other="{EPOXY}"', "three numbers"),
    (f'hansen one="1 2 nan" other="{EPOXY}"', "three numbers"),
    (f'hansen one="50% 1 2 3; 40% 3 4 5" other="{EPOXY}"', "not to 100 %"),
    (f'hansen one="1 2 3" other="{EPOXY}" radius=0', "above 0"),
    ('hansen one="1 2 3"', "hansen needs other"),
)


@pytest.mark.parametrize(("line", "words"), REFUSED, ids=[f"{i}-{line[:30]}" for i, (line, _) in enumerate(REFUSED)])
def test_it_is_refused_with_a_sentence(line: str, words: str) -> None:
    sentence = refusal_of(line)
    assert words in sentence and "\n" not in sentence
