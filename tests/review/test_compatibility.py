"""What rules of compatibility stand on: what is held, how much base and salt is left over, and the cautions."""

from __future__ import annotations

from dataclasses import replace

import pytest

from levigate.bench.weighing import read_scale
from levigate.formula.text import own_shelf, read_formula
from levigate.quantities.figure import figures
from levigate.quantities.inputs import gather
from levigate.review.balance import salt_of, spare_base
from levigate.review.cautions import cautions_of
from levigate.review.engine import Review, review
from levigate.review.findings import Finding, Situation, rules
from levigate.review.held import Held, held
from levigate.shelf.catalogue import catalogue


def text(lines: str) -> str:
    return f'levigate = 1\n[formula]\nname = "Test"\n[[phase]]\nletter = "A"\nlines = [ {lines} ]\n'


def line(material: str, percent: float | str) -> str:
    said = percent if isinstance(percent, float) else f'"{percent}"'
    return f'{{ material = "{material}", percent = {said} }}'


def of(*parts: tuple[str, float]) -> Held:
    lines = ", ".join([line("aqua", "q.s."), *(line(name, percent) for name, percent in parts)])
    formula = read_formula(text(lines))
    return held(formula, own_shelf(formula, catalogue()))


def reviewed(*parts: tuple[str, float]) -> Review:
    lines = ", ".join([line("aqua", "q.s."), *(line(name, percent) for name, percent in parts)])
    return review(read_formula(text(lines)), draws=8)


def test_premixes_are_taken_apart_and_said_with_what_brings_them() -> None:
    found = of(("sodium benzoate and potassium sorbate", 1.0), ("sodium benzoate", 0.2))
    benzoates = found.of("benzoates")
    assert [part.line for part in benzoates] == ["sodium benzoate and potassium sorbate", "sodium benzoate"]
    assert [part.alone for part in benzoates] == [False, True]


@pytest.mark.parametrize(
    ("parts", "spare"),
    [
        # 40.00 g/mol of sodium hydroxide; the pKa are those of the species data.
        ([("sodium hydroxide", 0.4)], 0.1),
        ([("sodium hydroxide 10 %", 4.0)], 0.1),
        # Benzoate, pKa 4.2, holds its sodium and gives no base.
        ([("sodium benzoate", 0.5)], 0.0),
        # Two of the three protons of citric acid are gone at pH 6.3 (pKa 6.396): 2 * 1.9212 % / 192.12 g/mol.
        ([("citric acid", 1.9212)], -0.2),
        # 149.19 g/mol, pKa 7.76: all of it is base.
        ([("triethanolamine", 1.4919)], 0.1),
        ([("sodium hydroxide", 0.4), ("lactic acid", 0.9008)], 0.0),
    ],
)
def test_base_is_counted(parts: list[tuple[str, float]], spare: float) -> None:
    assert spare_base(of(*parts).parts) == pytest.approx(spare, abs=2e-4)


@pytest.mark.parametrize(
    ("part", "salt"),
    [
        (("sodium chloride", 1.0), 1.0),
        # 246.47 g/mol, its magnesium counting 2 squared: 4 * 58.44 / 246.47.
        (("magnesium sulfate heptahydrate", 1.0), 0.948),
        # 294.10 g/mol, three of sodium: 3 * 58.44 / 294.10.
        (("trisodium citrate dihydrate", 1.0), 0.596),
        (("glycerin", 10.0), 0.0),
        (("sodium ascorbyl phosphate", 1.0), 0.543),
    ],
)
def test_salt_is_counted_as_table_salt(part: tuple[str, float], salt: float) -> None:
    assert sum(map(salt_of, of(part).parts)) == pytest.approx(salt, abs=2e-3)


def test_lye_is_warned_of_where_there_is_lye_and_not_where_a_wash_is_merely_alkaline() -> None:
    lye = "Lye burns skin and eyes"
    assert any(lye in one for one in reviewed(("sodium hydroxide 10 %", 1.0)).standing)
    wash = reviewed(("coco-glucoside 52 %", 20.0))
    assert not any(lye in one for one in wash.standing)
    assert any("Can damage eyes" in one for one in wash.standing)
    assert any("Supplied at pH 11" in caution.text for _, caution in wash.cautions)


def test_acid_goes_into_water() -> None:
    assert any("acid into water, never water into acid" in one for one in reviewed(("lactic acid 80 %", 5.0)).standing)
    assert not any("acid into water" in one for one in reviewed(("glycerin", 5.0)).standing)


def test_no_closed_container_where_acid_meets_base() -> None:
    closed = "Never neutralise in a closed container"
    assert any(closed in one for one in reviewed(("citric acid", 1.0), ("triethanolamine", 1.0)).standing)
    assert not any(closed in one for one in reviewed(("citric acid", 1.0)).standing)
    lye = reviewed(("citric acid", 1.0), ("sodium hydroxide 10 %", 1.0)).standing
    assert sum("never neutralise in a closed container" in one.lower() for one in lye) == 1


def test_acid_on_a_carbonate_gives_gas() -> None:
    assert any("gives gas" in one for one in reviewed(("citric acid", 1.0), ("sodium bicarbonate", 1.0)).standing)
    assert not any("gives gas" in one for one in reviewed(("sodium bicarbonate", 1.0)).standing)


def at(ph: float, *parts: tuple[str, float]) -> Situation:
    """Return a situation whose pH is known."""
    lines = ", ".join([line("aqua", "q.s."), *(line(name, percent) for name, percent in parts)])
    formula = read_formula(text(lines))
    shelf = own_shelf(formula, catalogue())
    inputs = gather(formula, shelf, draws=8)
    shown = figures(inputs)
    known = replace(shown["water_content"], name="ph", title="pH", value=ph, low=None, high=None, unit="-", unknown="")
    return Situation(formula, shelf, None, inputs, {**shown, "ph": known}, read_scale("0.1 g"))


def found(rule: str, situation: Situation) -> list[Finding]:
    return list(rules()[rule].check(situation))


@pytest.mark.parametrize(("ph", "many"), [(4.0, 1), (5.5, 0), (8.0, 1)])
def test_niacinamide_where_the_ph_is_known(ph: float, many: int) -> None:
    one = found("niacinamide-acid", at(ph, ("niacinamide", 4.0), ("lactic acid", 2.0)))
    assert [finding.level for finding in one] == ["care"] * many
    assert all(finding.title == f"Niacinamide at pH {ph:.3f}" for finding in one)


@pytest.mark.parametrize(("ph", "word"), [(3.5, "a base by drops"), (6.0, ""), (11.0, "less base")])
def test_a_gel_where_the_ph_is_known(ph: float, word: str) -> None:
    one = found("gel-and-base", at(ph, ("carbomer", 0.4)))
    assert len(one) == bool(word) and all(word in finding.remedies[-1].says for finding in one)


def test_a_ph_outside_a_window_names_what_fails_and_where_to_go() -> None:
    parts = (("sodium benzoate", 0.5), ("panthenol", 1.0))
    (one,) = found("ph-windows", at(6.0, *parts))
    assert one.level == "care" and one.lines == (1,) and "sodium benzoate keeps and works at pH 2.5 to 5" in one.why
    assert "Bring it to pH 4.8, 0.2 inside the range, with" in one.remedies[0].says
    assert not found("ph-windows", at(4.8, *parts))


def test_a_computed_ph_yields_to_a_meter() -> None:
    situation = at(5.0, ("citric acid", 0.1))
    assert any("meter" in one for one in cautions_of(situation)[0])
    measured = replace(situation, formula=replace(situation.formula, measured={"pH": {"value": 5}}))
    assert not any("meter" in one for one in cautions_of(measured)[0])


def test_what_serves_every_small_line_is_said_before_what_serves_one() -> None:
    lines = ", ".join([line("aqua", "q.s."), line("panthenol", 0.5), line("allantoin", 0.2)])
    written = text(lines).replace('name = "Test"', 'name = "Test"\nmakes = "100 g"')
    (small,) = (one for one in review(read_formula(written), draws=8).findings if one.rule == "small-line")
    says = [remedy.says for remedy in small.remedies]
    serves = ["then every line is within" in one for one in says]
    assert True in serves and False in serves and serves == sorted(serves, reverse=True)
