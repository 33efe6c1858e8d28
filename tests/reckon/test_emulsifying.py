"""Quick sums of emulsifiers beside the worked examples of texts; and what they refuse."""

from __future__ import annotations

import pytest

from levigate.shelf.catalogue import sources
from tests.reckon.told import figure_of, refusal_of, sum_of


@pytest.mark.parametrize(
    ("told", "printed"),
    [
        # Griffin-1954, and the structures of pure adducts with 44.053 g/mol of oxyethylene
        ("saponification=161 acid=198", 3.74), ("saponification=45.5 acid=276", 16.70), ("oxyethylene=78.42%", 15.68),
        ("oxyethylene=48.60%", 9.72), ("oxyethylene=84.47%", 16.89), ("oxyethylene=24.57%", 4.91),
        ("oxyethylene=61.96%", 12.39), ("oxyethylene=77.38%", 15.48), ("oxyethylene=93.93%", 18.79),
        ("oxyethylene=50% polyol=20%", 14.0),
    ],
)  # fmt: skip
def test_the_hlb_of_one_emulsifier(told: str, printed: float) -> None:
    assert figure_of(f"hlb {told}", "hlb").value == pytest.approx(printed, abs=0.0051)


PAIR = 'high="polysorbate 80" low="sorbitan oleate"'
BLENDS = (
    # liquid paraffin, 5 g of emulsifier: 2.9 g and 2.1 g; never 3.51 g with a mass below nought, nor 57.14 g
    ("required-hlb-table-27.5", f"required=10.5 {PAIR} total=5g", 2.9, 2.1, 0.05),
    # paraffin, mineral oil, lanolin, cetyl alcohol with 12.03: 72.2 %, 3.6 % and 1.4 % of 5 %
    ("required-hlb-table-27.5", f"required=12.027 {PAIR} total=5g", 3.6, 1.4, 0.05),
    # the first cream of the paper: 10.33 with polysorbate 80 and sorbitan stearate of 4.7, 3 % in all
    ("OCL-2022", 'required=10.33 high="polysorbate 80" low=4.7 total=3g', 1.64, 1.36, 0.005),
)


@pytest.mark.parametrize(("source", "told", "high", "low", "digit"), BLENDS)
def test_a_blend_of_two(source: str, told: str, high: float, low: float, digit: float) -> None:
    assert source in sources()
    figures = sum_of(f"hlb-blend {told}").figures
    assert figures["high"].value == pytest.approx(high, abs=digit)
    assert figures["low"].value == pytest.approx(low, abs=digit)
    assert figures["high"].value >= 0 and figures["low"].value >= 0


def test_the_blend_has_the_hlb_it_was_made_for() -> None:
    figures = sum_of(f"hlb-blend required=9 {PAIR} total=10g").figures
    of = f"polysorbate 80 {figures['high'].value:.9f} g, sorbitan oleate {figures['low'].value:.9f} g"
    assert figure_of(f'hlb of="{of}"', "hlb").value == pytest.approx(9, abs=1e-6)


def test_the_doubt_of_what_is_asked_for_is_that_of_the_share() -> None:
    """One of HLB is 1/(15 - 4.3) of the blend."""
    share = figure_of(f"hlb-blend required=9 {PAIR}", "share")
    assert share.high is not None and share.high - share.value == pytest.approx(100 / 10.7, rel=1e-6)


def test_the_oil_phase_asks_by_its_oils_alone() -> None:
    """0.5 × 15 + 0.5 × 10.5, the first values of the shelf for cetyl alcohol and mineral oil."""
    one, other = (figure_of(f'hlb-blend oils="{oil} 10%" {PAIR} total=1g', "required").value
                  for oil in ("mineral oil", "castor oil"))  # fmt: skip
    both = figure_of(f'hlb-blend oils="mineral oil 10%, castor oil 30%" {PAIR} total=1g', "required").value
    assert both == pytest.approx(0.25 * one + 0.75 * other)


REFUSED = (
    (f"hlb-blend required=16 {PAIR}", "take one of higher HLB as high"),
    (f"hlb-blend required=2 {PAIR}", "take one of lower HLB as low"),
    ("hlb-blend required=4.5 high=4 low=5", "change the two about"),
    ("hlb-blend required=4.5 high=25 low=5", "0 to 20"),
    ("hlb-blend required=4.5 high=nan low=5", "0 to 20"),
    (f'hlb-blend required=9 oils="mineral oil 5%" {PAIR}', "not both"),
    (f"hlb-blend {PAIR}", "not both"),
    (f'hlb-blend oils="water 5%" {PAIR}', "tell required="),
    (f"hlb-blend required=9 {PAIR} total=0g", "above nought"),
    ('hlb-blend required=9 high="polysorbat 80" low=4', 'Did you mean "polysorbate 80"'),
    ('hlb-blend required=9 high="water" low=4', "No HLB is known"),
    ("hlb-blend required=9 high=12", "hlb-blend needs low"),
    ("hlb saponification=300 acid=276", "fatty acid split off"),
    ("hlb saponification=45", "hlb needs acid"),
    ("hlb acid=45", "goes with saponification"),
    ("hlb oxyethylene=101%", "no more than 100 %"),
    ('hlb of="cetrimonium chloride 60%"', "has a charge"),
    ('hlb of="polysorbate 80 0%"', "blend of nothing"),
    ("hlb", "Say one of"),
)


@pytest.mark.parametrize(("line", "words"), REFUSED, ids=[f"{i}-{line[:30]}" for i, (line, _) in enumerate(REFUSED)])
def test_it_is_refused_with_a_sentence(line: str, words: str) -> None:
    sentence = refusal_of(line)
    assert words in sentence and "\n" not in sentence
