"""Every rule by cases that pass and cases that fail, and what holds of every remedy."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
import tomli
from hypothesis import given, settings
from hypothesis import strategies as st

from levigate.bench.weighing import read_scale
from levigate.formula.model import HUNDRED, Formula, Grain, Line
from levigate.formula.percent import deal_out
from levigate.formula.premix import substances
from levigate.formula.text import read_formula
from levigate.formula.write import rewrite
from levigate.review.engine import Review, _letters, review
from levigate.review.findings import LEVELS, Finding, Remedy, rules
from levigate.shelf.catalogue import catalogue, sources

CASES = Path(__file__).parent / "cases"


@dataclass(frozen=True)
class Case:
    """One formula, and what one rule finds in it."""

    rule: str
    says: str
    body: str
    #: Levels of the findings of this rule, in order.
    finds: list[str]
    head: str = ""
    scale: str = "0.1"
    today: date | None = None
    #: Text within the title and the reason of the first finding, and within one of its remedies.
    title: str = ""
    why: str = ""
    remedy: str = ""
    #: How many remedies of all its findings carry a formula.
    mends: int | None = None
    extra: dict[str, Any] = field(default_factory=dict)

    @property
    def text(self) -> str:
        return f'levigate = 1\n[formula]\nname = "Test"\n{self.head}\n[[phase]]\nletter = "A"\n{self.body}\n'

    def review(self, formula: Formula | None = None) -> Review:
        one = read_formula(self.text) if formula is None else formula
        return review(one, scale=read_scale(self.scale), today=self.today, draws=8)


def cases() -> list[Case]:
    found = []
    for path in sorted(CASES.glob("*.toml")):
        for entry in tomli.loads(path.read_text(encoding="utf-8"))["case"]:
            found.append(Case(path.stem, **entry))
    return found


ALL = cases()


def of_rule(reviewed: Review, rule: str) -> list[Finding]:
    return [finding for finding in reviewed.findings if finding.rule == rule]


def test_every_rule_has_cases_that_pass_and_cases_that_fail() -> None:
    assert {path.stem for path in CASES.glob("*.toml")} == set(rules())
    for name in rules():
        finds = [bool(case.finds) for case in ALL if case.rule == name]
        assert True in finds and False in finds, name


@pytest.mark.parametrize("case", ALL, ids=[f"{case.rule}: {case.says}" for case in ALL])
def test_case(case: Case) -> None:
    found = of_rule(case.review(), case.rule)
    assert [finding.level for finding in found] == case.finds
    if not found:
        return
    assert case.title in found[0].title
    assert case.why in found[0].why
    remedies = [remedy for finding in found for remedy in finding.remedies]
    assert not case.remedy or any(case.remedy in remedy.says for remedy in remedies)
    if case.mends is not None:
        assert sum(remedy.formula is not None for remedy in remedies) == case.mends


@pytest.mark.parametrize("case", ALL, ids=[f"{case.rule}: {case.says}" for case in ALL])
def test_a_remedy_mends(case: Case) -> None:
    before = case.review()
    for finding in of_rule(before, case.rule):
        for remedy in finding.remedies:
            if remedy.formula is not None:
                check_mended(before, finding, remedy, case.review(remedy.formula), case.text)


def check_mended(before: Review, finding: Finding, remedy: Remedy, after: Review, text: str) -> None:
    """A remedy gives a formula that sums to exactly 100, can be written and read back, and is rid of the finding."""
    assert remedy.formula is not None and before.remedy(remedy.id) == remedy
    assert (remedy.formula.qs is None) == (before.formula.qs is None)
    assert remedy.formula.total == HUNDRED and min(remedy.formula.percents) >= 0
    again = read_formula(rewrite(text, remedy.formula))
    assert [(line.material, line.percent, sizes(line)) for _, line in again.lines()] == [
        (line.material, line.percent, sizes(line)) for _, line in remedy.formula.lines()
    ]
    assert count(after, before, finding) < count(before, before, finding), remedy.says


def sizes(line: Line) -> tuple[object, ...]:
    """Return the grain of a line, without the last bits of its sizes."""
    grain = line.grain or Grain()
    return grain.sieves, grain.ground, *(size and float(f"{size:.9g}") for size in (grain.d50, grain.d90))


def count(reviewed: Review, before: Review, finding: Finding) -> int:
    """Return how often a review finds the same of the same, as bad or worse."""
    wanted, level = subject(before, finding), LEVELS.index(finding.level)
    return sum(subject(reviewed, one) == wanted and LEVELS.index(one.level) <= level for one in reviewed.findings)


def subject(reviewed: Review, finding: Finding) -> tuple[object, ...]:
    names = [line.material for _, line in reviewed.formula.lines()]
    return finding.rule, finding.source, finding.place, tuple(names[i] for i in finding.lines)


def test_what_is_said_can_be_read() -> None:
    for case in ALL:
        for finding in case.review().findings:
            assert finding.source in sources()
            assert finding.title and not finding.title.endswith(".")
            assert finding.why.endswith(".") and ".." not in finding.why.replace("...", ""), finding.why
            for remedy in finding.remedies:
                assert remedy.says.endswith("."), remedy.says
                assert remedy.says[0].isupper(), remedy.says


@pytest.mark.parametrize("name", list(rules()))
def test_a_rule_says_why_and_on_whose_word(name: str) -> None:
    rule = rules()[name]
    assert len(rule.why) > 40 and rule.why.endswith(".")
    assert rule.sources and set(rule.sources) <= set(sources())


def test_the_rules_are_asked_in_the_order_in_which_one_would_mend() -> None:
    assert list(rules())[:2] == ["sum", "unknown-material"]


def test_findings_come_worst_first_and_remedies_have_ids_of_their_own() -> None:
    text = Case("", "", UNRULY, []).text
    found = review(read_formula(text), draws=8)
    levels = [LEVELS.index(finding.level) for finding in found.findings]
    assert levels == sorted(levels) and len(set(levels)) == 3
    ids = [remedy.id for finding in found.findings for remedy in finding.remedies]
    assert len(set(ids)) == len(ids)
    assert found.remedy("usual-range-1a") is not None and found.remedy("usual-range-9z") is None
    assert found.stopped


UNRULY = """lines = [ { material = "aqua", percent = "q.s." }, { material = "ash", percent = 5 },
  { material = "oak", percent = 0.1 } ]
[materials.ash]
usual = { low = "0.7 %", high = "1.4 %" }
[materials.oak]
usual = { low = "0.5 %", high = "2.9 %" }
"""


def test_there_are_letters_enough() -> None:
    assert [_letters(i) for i in (0, 25, 26, 27, 52)] == ["a", "z", "za", "zb", "zza"]
    assert len({_letters(i) for i in range(200)}) == 200


def test_no_premix_counts_twice_under_one_limit() -> None:
    """The limits of a premix and those of its parts must not fall into one sum."""
    shelf = catalogue()
    for key in shelf:
        if shelf[key].made_of is None:
            continue
        mine = {(one.jurisdiction, one.counted_as or key, one.applies, one.percent) for one in shelf[key].limits}
        for part in substances(shelf, key):
            record = shelf.get(part)
            for one in record.limits if record is not None else ():
                assert (one.jurisdiction, one.counted_as or part, one.applies, one.percent) not in mine, (key, part)


# Any formula at all.

KEYS = [
    "aqua", "glycerin", "squalane", "sodium benzoate", "benzoic acid", "phenoxyethanol", "salicylic acid", "retinol",
    "zinc oxide", "tocopherol", "phenoxyethanol and ethylhexylglycerin", "urea", "ethanol", "potassium sorbate",
    "citric acid", "cyclopentasiloxane", "xqzzkw", "carbomer", "triethanolamine", "sodium chloride", "xanthan gum",
    "sodium ascorbyl phosphate", "ascorbic acid", "cetrimonium chloride 29 %", "bronopol", "dmdm hydantoin 55 %",
    "sodium laureth sulfate 27 %", "polyquaternium-10", "hydrogen peroxide 30 %", "red iron oxide", "niacinamide",
    "sodium benzoate and potassium sorbate", "titanated mica",
]  # fmt: skip
USES = ["hand cream", "body lotion", "body wash", "face oil", "lip balm", "paint"]


@given(
    st.dictionaries(st.sampled_from(KEYS), st.integers(0, 400), min_size=1, max_size=7).filter(
        lambda parts: any(parts.values())
    ),
    st.sampled_from(USES),
    st.booleans(),
    st.sampled_from([Fraction(1), Fraction(99, 100), Fraction(103, 100)]),
)
@settings(deadline=None, database=None, max_examples=60)
def test_every_remedy_of_any_formula_mends(parts: dict[str, int], use: str, qs: bool, short: Fraction) -> None:
    """Sum kept at exactly 100, nothing below nought, the file can be read again, and the finding is gone or lower."""
    whole = sum(parts.values())
    percents = deal_out([Fraction(100 * n, whole) for n in parts.values()], 2)
    if short != 1:
        percents = [
            Decimal(round(float(short * Fraction(percent)), 2)).quantize(Decimal("0.01")) for percent in percents
        ]
    lines = [f'{{ material = "{key}", percent = {percent} }}' for key, percent in zip(parts, percents, strict=True)]
    if qs and len(lines) > 1:
        lines[0] = f'{{ material = "{next(iter(parts))}", percent = "q.s." }}'
    case = Case("", "", f"lines = [ {', '.join(lines)} ]", [], head=f'use = "{use}"\nmakes = "100 g"')
    if any(percent > 100 for percent in percents):
        return
    before = case.review()
    for finding in before.findings:
        for remedy in finding.remedies:
            if remedy.formula is not None:
                check_mended(before, finding, remedy, case.review(remedy.formula), case.text)
