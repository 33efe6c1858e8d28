"""Remedies for powders that settle and for pastes: solved, with the stated margin, no more than needed, and applied."""

from __future__ import annotations

import re
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from levigate.formula.model import HUNDRED, Formula
from levigate.formula.percent import adjust
from levigate.formula.text import read_formula
from levigate.review.engine import Review, review
from levigate.review.findings import Finding, Remedy
from levigate.review.holding import LOW_MARGIN, MARGIN
from tests.cli.calling import call
from tests.review.test_rules import check_mended, of_rule

HEAD = (
    'levigate = 1\n[formula]\nname = "Test"\nuse = "hand cream"\n{more}\n[[phase]]\nletter = "A"\nlines = [ {lines} ]\n'
)
DRAWS = 200


def text(lines: str, powder: str = "", more: str = "") -> str:
    """Return the text of a formula: ``powder`` is a line with a grain, the others are names with percents."""
    pairs = [part.strip().rpartition(" ") for part in lines.split(";")]
    others = [f'{{ material = "{name}", percent = "{percent}" }}' for name, _, percent in pairs]
    return HEAD.format(more=more, lines=", ".join([powder, *others] if powder else others))


def zinc(percent: object, d50: float = 2, d90: float = 60) -> str:
    return f'{{ material = "zinc oxide", percent = "{percent}", grain = {{ d50 = "{d50} um", d90 = "{d90} um" }} }}'


def looked_at(written: str | Formula) -> Review:
    return review(read_formula(written) if isinstance(written, str) else written, draws=DRAWS)


def holds_times(found: Review, row: int = 0) -> tuple[float, float]:
    """Return the yield stress over what the coarse tenth needs: the middle and the low end."""
    stress, need = found.figures["yield_stress"], found.figures["yield_needed"].rows[row].value
    return stress.value / need, (stress.value if stress.low is None else stress.low) / need


def with_formula(findings: list[Finding]) -> list[tuple[Finding, Remedy, Formula]]:
    return [(f, r, r.formula) for f in findings for r in f.remedies if r.formula is not None]


def check_settling(written: str) -> int:
    """Check every remedy of every settling finding of a formula; return how many there were."""
    before = looked_at(written)
    remedies = with_formula(of_rule(before, "settling"))
    for finding, remedy, mended in remedies:
        after = looked_at(mended)
        check_mended(before, finding, remedy, after, written)
        assert mended.total == HUNDRED and min(mended.percents) >= 0
        middle, low = holds_times(after)
        if finding.level == "note":
            assert low >= LOW_MARGIN * (1 - 1e-4), remedy.says  # percent arithmetic rounds to six places
            assert not of_rule(after, "settling")
        else:
            assert middle >= MARGIN * (1 - 1e-4), remedy.says
    return len(remedies)


@given(
    percent=st.integers(1, 15),
    d90=st.floats(1.0, 3000.0).map(lambda x: float(f"{x:.3g}")),
    thickener=st.sampled_from(
        [
            ("squalane", "silica dimethyl silylate", 100, 750),
            ("squalane", "silica dimethyl silylate 5 % in caprylic/capric triglyceride", 1700, 8000),
            ("isoamyl laurate", "disteardimonium hectorite", 90, 450),
            ("aqua", "xanthan gum", 20, 180),
            ("dimethicone 5 cst", "dimethicone and dimethicone crosspolymer gel", 2700, 8500),
        ]
    ),
    part=st.floats(0.0, 1.0),
    qs=st.booleans(),
    nought=st.booleans(),
)
@settings(deadline=None, database=None, max_examples=60)
def test_every_raise_of_a_gel_holds_with_its_margin(
    percent: int, d90: float, thickener: tuple[str, str, int, int], part: float, qs: bool, nought: bool
) -> None:
    """Whatever the powder, the gel and its dose; with q.s. or all giving way; lines of 0 % do not stand in the way."""
    liquid, gel, least, most = thickener
    dose = Decimal(round(least + part * (most - least))) / 100
    rest = "q.s." if qs else str(100 - percent - dose)
    lines = f"kelp jelly 0; {gel} {dose}; {liquid} {rest}" if nought else f"{gel} {dose}; {liquid} {rest}"
    check_settling(text(lines, zinc(percent, min(2.0, d90 / 2), d90)))


@pytest.mark.parametrize("rest", ["squalane q.s.", "squalane 92", "aqua q.s.", "squalane 82; dimethicone 5 cst 10"])
def test_what_has_no_gel_is_offered_one(rest: str) -> None:
    """In a plain oil or in water: a thickener with a curve for that phase, enough to hold the powder with a margin."""
    written = text(rest, zinc(8), 'keeps = "2 years"') + '[container]\nheight = "40 mm"\n'
    assert check_settling(written) == 1
    ((finding, remedy, mended),) = with_formula(of_rule(looked_at(written), "settling"))
    assert finding.level == "stop"
    assert re.match(r"Add [\d.]+ % (silica dimethyl silylate|xanthan gum) to phase A", remedy.says)
    assert len(mended.percents) == len(rest.split(";")) + 2


def test_where_no_gel_is_known_none_is_offered() -> None:
    """Oil and silicone mixed half and half: no thickener has a curve for that."""
    found = of_rule(looked_at(text("squalane 46; dimethicone 5 cst 46", zinc(8))), "settling")
    assert [finding.level for finding in found] == ["care"] and not with_formula(found)


def test_a_raise_is_the_least_that_holds() -> None:
    """A hundredth of a percent less does not reach the margin."""
    before = looked_at(text("silica dimethyl silylate 1.5; squalane q.s.", zinc(8, 40, 1500)))
    ((_, _, mended), _) = with_formula(of_rule(before, "settling"))  # the other grinds finer
    least = mended.percents[1]
    assert holds_times(looked_at(mended))[0] >= MARGIN > 1 > holds_times(before)[0]
    assert holds_times(looked_at(adjust(before.formula, {1: least - Decimal("0.01")})))[0] < MARGIN


def test_of_two_gels_each_is_a_way() -> None:
    lines = "xanthan gum 0.3; sclerotium gum 0.3; aqua q.s."
    before = looked_at(text(lines, zinc(8, 40, 900)))
    remedies = with_formula(of_rule(before, "settling"))
    found = [word for _, remedy, _ in remedies for word in ("xanthan", "sclerotium", "Grind") if word in remedy.says]
    assert found == ["xanthan", "sclerotium", "Grind"]
    assert check_settling(text(lines, zinc(8, 40, 900))) == 3


def test_grinding_finer_is_said_and_holds() -> None:
    """The size that is named, put into the file, clears the finding."""
    written = text("silica dimethyl silylate 1.5; squalane q.s.", zinc(8, 40, 1500))
    (finding,) = of_rule(looked_at(written), "settling")
    (said,) = (remedy.says for remedy in finding.remedies if "Grind" in remedy.says)
    finer = float(re.findall(r"finer than ([\d.]+) µm", said)[0])
    middle, _ = holds_times(looked_at(written.replace('"40 um"', '"1 um"').replace('"1500 um"', f'"{finer} um"')))
    assert MARGIN * (1 - 1e-9) <= middle < 1.1 * MARGIN  # it is said in two digits, rounded down


@given(
    st.integers(300, 960),
    st.sampled_from(["squalane", "aqua", "castor oil"]),
    st.booleans(),
    st.booleans(),
    st.sampled_from(["zinc oxide", "talc", "corn starch", "silica microspheres"]),
)
@settings(deadline=None, database=None, max_examples=60)
def test_less_powder_leaves_room(percent: int, liquid: str, powder_qs: bool, nought: bool, name: str) -> None:
    """Whether the powder or the liquid is the q.s. line, or neither."""
    share = Decimal(percent) / 10
    lines = f"{name} {'q.s.' if powder_qs else share}; {liquid} {100 - share}"
    written = text(f"kelp jelly 0; {lines}" if nought else lines)
    before = looked_at(written)
    findings = of_rule(before, "paste")
    for finding, remedy, mended in with_formula(findings):
        after = looked_at(mended)
        check_mended(before, finding, remedy, after, written)
        assert after.figures["crowding"].value <= 60 * (1 + 1e-6) and not of_rule(after, "paste")
    paste = [finding for finding in findings if finding.level != "note"]
    assert len(with_formula(findings)) == len(paste)
    crowding = before.figures["crowding"].value
    assert bool(findings) == (crowding >= 70)


def test_a_remedy_of_settling_is_applied_by_its_id(tmp_path: Path) -> None:
    file = tmp_path / "paste.toml"
    file.write_text(text("silica dimethyl silylate 1.5; squalane q.s.", zinc(8, 40, 1500)), encoding="utf-8")
    assert "settling-1a" in call("review", file, "--json").out
    called = call("adjust", file, "--remedy", "settling-1a", "--write")
    assert called.status == 0, called.err
    after = read_formula(file.read_text(encoding="utf-8"))
    assert after.total == HUNDRED and after.percents[1] > Decimal("1.5") and after.qs == 2
    assert holds_times(looked_at(after))[0] >= MARGIN
    assert 'percent = "q.s."' in file.read_text(encoding="utf-8")


def test_a_thickener_that_is_added_is_added_by_its_id(tmp_path: Path) -> None:
    file = tmp_path / "oil.toml"
    file.write_text(text("squalane q.s.", zinc(8)), encoding="utf-8")
    called = call("adjust", file, "--remedy", "settling-1a", "--write")
    assert called.status == 0, called.err
    after = read_formula(file.read_text(encoding="utf-8"))
    assert [line.material for _, line in after.lines()] == ["zinc oxide", "squalane", "silica dimethyl silylate"]
    assert after.total == HUNDRED and holds_times(looked_at(after))[0] >= MARGIN


def test_a_remedy_of_a_paste_is_applied_by_its_id(tmp_path: Path) -> None:
    file = tmp_path / "paste.toml"
    file.write_text(text("talc 60; squalane 40"), encoding="utf-8")
    called = call("adjust", file, "--remedy", "paste-1a", "--write")
    assert called.status == 0, called.err
    after = looked_at(file.read_text(encoding="utf-8"))
    assert after.formula.total == HUNDRED and after.figures["crowding"].value <= 60 and not of_rule(after, "paste")


def test_a_remedy_in_words_is_said_not_applied(tmp_path: Path) -> None:
    file = tmp_path / "paste.toml"
    more = '[measured]\nyield_stress = "0.1 Pa"\n'
    file.write_text(text("squalane q.s.", zinc(8, 40, 1500)) + more, encoding="utf-8")
    called = call("adjust", file, "--remedy", "settling-1a")
    assert called.status == 2 and "is not a change of the formula: Thicken it and measure again" in called.err


@pytest.mark.parametrize("remedy", ["settling-1b", "grit-1a"])
@pytest.mark.parametrize(
    "grain",
    [
        '{ d50 = "40 um", d90 = "1500 um" }',
        '{ sieve = "850 um", passing = "80 %" }  # from the bag',
        '{ sieves = [["425 um", "60 %"], ["1 mm", "90 %"]] }',
        '{ ground = "coffee grinder" }',
    ],
)
def test_a_finer_grind_is_written_into_the_file_and_clears_the_finding(tmp_path: Path, grain: str, remedy: str) -> None:
    file = tmp_path / "paste.toml"
    lines = [
        f'{{ material = "zinc oxide", percent = 8, grain = {grain.partition("  #")[0]} }}',
        '{ material = "silica dimethyl silylate", percent = 1.2 }', '{ material = "squalane", percent = "q.s." }',
    ]  # fmt: skip
    written = HEAD.format(more="# kept", lines=", ".join(lines))
    file.write_text(written, encoding="utf-8")
    before = review(read_formula(written))  # with as many draws as the command takes
    called = call("adjust", file, "--remedy", remedy, "--write")
    assert called.status == 0, called.err
    changed = file.read_text(encoding="utf-8")
    start, _, end = written.partition(grain.partition("  #")[0])
    assert changed.startswith(start) and changed.endswith(end)  # nothing but the grain is another
    rule = remedy.partition("-")[0]
    after = review(read_formula(changed))
    (finding,) = of_rule(before, rule)
    assert not [one for one in of_rule(after, rule) if one.level == finding.level]
    (line,) = (line for _, line in after.formula.lines() if line.grain is not None)
    assert line.grain is not None and line.grain.d50 is not None and line.grain.d90 is not None
    assert not line.grain.sieves and not line.grain.ground
    if rule == "grit":
        assert line.grain.d90 == pytest.approx(20e-6) and not of_rule(after, "grit")
    else:
        middle, low = holds_times(after)
        assert (low >= LOW_MARGIN * (1 - 1e-4)) if finding.level == "note" else (middle >= MARGIN * (1 - 1e-4))


@pytest.mark.parametrize(
    ("shape", "lines", "most", "least"),
    [
        ("dropper bottle 30 mL", "silica dimethyl silylate 4.5; squalane q.s.", 1.0, None),
        ("jar 50 mL", "silica dimethyl silylate 1.5; squalane q.s.", None, 2.0),
        ("jar 50 mL", "squalane q.s.", None, 2.0),
    ],
)
def test_what_a_container_cannot_give_out_is_brought_inside_with_its_margin(
    shape: str, lines: str, most: float | None, least: float | None
) -> None:
    """The bound is 1.5 times away, and one step of the dose back towards what was would not reach that."""
    written = text(lines, more='makes = "2 x 30 mL"') + f'[container]\nshape = "{shape}"\n'
    before = looked_at(written)
    ((finding, remedy, mended),) = with_formula(of_rule(before, "dispensing"))
    after = looked_at(mended)
    check_mended(before, finding, remedy, after, written)
    thick = after.figures["thickness"].value
    assert not of_rule(after, "dispensing")
    assert thick <= most / 1.5 * (1 + 1e-4) if most is not None else thick >= (least or 0) * 1.5 * (1 - 1e-4)
    place = next(i for i, (_, line) in enumerate(mended.lines()) if "silica" in line.material)
    back = mended.percents[place] + Decimal("0.1" if most is not None else "-0.1")
    nearer = looked_at(adjust(mended, {place: back})).figures["thickness"].value
    assert nearer > most / 1.5 if most is not None else nearer < (least or 0) * 1.5


def test_a_fuller_jar_is_written_into_the_file(tmp_path: Path) -> None:
    file = tmp_path / "jar.toml"
    written = text("squalane q.s.", more='makes = "12 x 30 mL"') + '[container]\nbrimful = "60 mL"\n'
    file.write_text(written, encoding="utf-8")
    called = call("adjust", file, "--remedy", "container-1a", "--write")
    assert called.status == 0, called.err
    changed = file.read_text(encoding="utf-8")
    assert changed == written.replace("12 x 30 mL", "12 x 45 mL")
    assert not of_rule(looked_at(changed), "container")
