"""Water activity and preservation of whole formulas, beside measurements, standards and sums made another way."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest

from levigate.quantities.figure import Figure
from levigate.quantities.inputs import _SUBJECTS
from levigate.quantities.preserved import OFFSETS
from levigate.review.keepers import keeping_in
from levigate.science.preservation import active_concentration
from levigate.shelf.catalogue import catalogue, sources
from levigate.shelf.preserving import GERMS, in_law, preserving
from tests.quantities.formulas import formula, gathered, shown


def at_ph(ph: float | str) -> str:
    return f'[measured]\npH = "{ph}"\n'


def row(figure: Figure, name: str) -> float:
    return next(one.value for one in figure.rows if one.name == name)


# Water activity.


@pytest.mark.parametrize(
    ("percent", "measured"),
    [(5, 0.9885), (10, 0.9759), (20, 0.9470), (30, 0.9117), (40, 0.8677), (50, 0.8117), (60, 0.7382), (70, 0.6387),
     (80, 0.4985), (90, 0.2939)],
)  # fmt: skip
def test_glycerol_lies_within_the_spread(percent: float, measured: float) -> None:
    """Zhang (2022), a fit of Wilson's equation to measurements at 25 °C."""
    found = shown(formula(f"aqua {100 - percent}, glycerin {percent}"), "water_activity")["water_activity"]
    assert found.low is not None and found.high is not None
    assert found.low <= measured <= found.high
    assert (found.high - found.low) < (1 - measured) / 3 or percent >= 60


@pytest.mark.parametrize(
    ("molality", "printed"), [(0.5, 0.98351), (1, 0.96688), (2, 0.93174), (4, 0.85113), (6, 0.75981)]
)
def test_a_salt_counts_by_its_ions(molality: float, printed: float) -> None:
    """Clarke and Glew (1985) as the package aquasol carries it; one particle instead of two would be 0.015 off at 1."""
    percent = round(100 * 58.443 * molality / (1000 + 58.443 * molality), 6)
    found = shown(formula(f"aqua {100 - percent:.6f}, sodium chloride {percent:.6f}"), "water_activity", draws=0)
    assert found["water_activity"].value == pytest.approx(printed, abs=4e-4)


@pytest.mark.parametrize(
    ("lines", "printed"),
    [
        # Norrish's equation worked out apart from this program, constants of Makinen (2010); the product of Ross
        ("aqua 70, sorbitol 30", 0.9567), ("aqua 80, xylitol 20", 0.9699), ("aqua 90, erythritol 10", 0.9835),
        ("aqua 70, sugar 30", 0.9749), ("aqua 85, glycerin 10, propylene glycol 5", 0.9633),
        ("aqua 70, glycerin 20, propylene glycol 10", 0.9121),
        # a solution of 70 % sorbitol is sorbitol and water
        ("aqua 57.142857, sorbitol 70 % 42.857143", 0.9567),
    ],
)  # fmt: skip
def test_polyols_through_a_formula(lines: str, printed: float) -> None:
    found = shown(formula(lines), "water_activity", draws=0)["water_activity"]
    assert found.value == pytest.approx(printed, abs=1.2e-4)


def test_an_unknown_solute_widens_and_never_narrows() -> None:
    """What is dissolved of it may be a light salt or nothing, by Norrish with a K of -2 to 7: the spread holds both."""
    rest = '[materials.brine]\naffinity = "water"\nkind = "extract"\n'
    plain = shown(formula("aqua 95, glycerin 5"), "water_activity")["water_activity"]
    found = shown(formula("aqua 85, glycerin 5, brine 10", rest=rest), "water_activity")["water_activity"]
    assert plain.low is not None and plain.high is not None and found.low is not None and found.high is not None
    ratio = 18.015 / 30 * 10 / 85  # of ions of 30 g/mol
    x = ratio / (1 + ratio)
    assert plain.low * (1 - x) * math.exp(-7 * x**2) < found.low < (1 - x) * plain.value
    assert plain.value - 0.01 < found.high < plain.high
    assert found.grade == "memory"


def test_oils_and_powders_bind_no_water_and_gums_next_to_nothing() -> None:
    base = shown(formula("aqua 76, glycerin 24"), "water_activity", draws=0)["water_activity"].value
    emulsion = formula("aqua 38, glycerin 12, squalane 40, zinc oxide 10")
    assert shown(emulsion, "water_activity", draws=0)["water_activity"].value == pytest.approx(base, rel=1e-12)
    gum = shown(formula("aqua 75, glycerin 24, xanthan gum 1"), "water_activity", draws=0)["water_activity"].value
    assert 0 < base - gum < 1.1e-3


def test_where_the_water_is_unknown_so_is_its_activity() -> None:
    found = shown(formula("aqua 50, xqzzkw 50"), "water_activity")["water_activity"]
    assert not found.known and "xqzzkw" in found.unknown
    syrup = shown(formula("aqua 5, glycerin 95"), "water_activity")["water_activity"]
    assert not syrup.known and "water-activity meter" in syrup.unknown


def test_which_germs_are_stopped() -> None:
    """Least water activities after Banwart (1989): 30 % of glycerol and 10 % of propylene glycol leave 0.87."""
    found = shown(formula("aqua 60, glycerin 30, propylene glycol 10"), draws=0)
    room = {one.name: one.value for one in found["growth_room"].rows}
    activity = found["water_activity"].value
    assert room["Pseudomonas aeruginosa"] == pytest.approx(activity - 0.96, abs=1e-12)
    stopped = {name for name, value in room.items() if value < 0}
    assert {"Pseudomonas aeruginosa", "Escherichia coli", "most bacteria"} < stopped
    assert not {"Staphylococcus aureus", "Aspergillus niger", "most moulds"} & stopped
    assert "growth_room" not in shown(formula("aqua 95, glycerin 5"))  # nothing is stopped there


# Preservatives.


@pytest.mark.parametrize(
    ("ph", "benzoic", "sorbic", "dehydroacetic"),
    [
        # 1/(1 + 10^(pH - pKa)) with pKa 4.202, 4.76 and 5.27, worked out apart from this program
        (3, 94.09, 98.29, 99.47), (4, 61.42, 85.19, 94.90), (4.5, 33.49, 64.54, None), (5, 13.74, 36.53, 65.06),
        (5.5, 4.79, 15.40, 37.06), (6, 1.57, 5.44, 15.70), (6.5, 0.50, 1.79, 5.56), (7, 0.16, 0.57, 1.83),
    ],
)  # fmt: skip
def test_what_is_uncharged(ph: float, benzoic: float, sorbic: float, dehydroacetic: float | None) -> None:
    lines = "aqua 99, sodium benzoate 0.4, potassium sorbate 0.3, dehydroacetic acid 0.3"
    found = shown(formula(lines, rest=at_ph(ph)), "preservative_uncharged")["preservative_uncharged"]
    for name, share in (("benzoic acid", benzoic), ("sorbic acid", sorbic), ("dehydroacetic acid", dehydroacetic)):
        if share is not None:
            assert row(found, name) == pytest.approx(share, abs=0.006)
        one = next(one for one in found.rows if one.name == name)
        assert one.low is not None and one.high is not None and one.low < one.value < one.high


@pytest.mark.parametrize(("ph", "printed"), [(3, 93.5), (4, 59.3), (5, 12.8), (6, 1.44)])
def test_the_printed_shares_of_benzoic_acid_lie_in_the_spread(ph: float, printed: float) -> None:
    """Smith and Hong-Shum (2003): their column belongs to a pK of 4.165."""
    one = formula("aqua 99.5, sodium benzoate 0.5", rest=at_ph(ph))
    (found,) = shown(one, "preservative_uncharged")["preservative_uncharged"].rows
    assert found.low is not None and found.high is not None and found.low < printed < found.high


@pytest.mark.parametrize(
    ("salt", "percent", "acid", "as_acid"),
    [
        # 0.5, 0.6, 0.6 and 0.5 % as acid, by molar masses from the atomic weights
        ("sodium benzoate", 0.590, "benzoic acid", 0.5), ("potassium sorbate", 0.804, "sorbic acid", 0.6),
        ("sodium dehydroacetate", 0.678, "dehydroacetic acid", 0.6),
        ("sodium salicylate", 0.580, "salicylic acid", 0.5),
    ],
)  # fmt: skip
def test_a_dose_is_that_of_the_acid(salt: str, percent: float, acid: str, as_acid: float) -> None:
    one = formula(f"aqua {100 - percent:.3f}, {salt} {percent}", head='use = "hand cream"')
    found = shown(one, "preservative_dose", "preservative_of_limit", draws=0)
    assert row(found["preservative_dose"], acid) == pytest.approx(as_acid, rel=1e-3)
    if acid != "salicylic acid":  # which may be more where it is not there to preserve
        assert row(found["preservative_of_limit"], acid) == pytest.approx(100, rel=1e-3)


def test_doses_of_two_salts_and_of_a_blend_are_added_up() -> None:
    one = formula("aqua 98; sodium benzoate 0.2; potassium benzoate 0.3; sodium benzoate and potassium sorbate 1.5")
    found = shown(one, "preservative_dose", draws=0)["preservative_dose"]
    by_hand = 0.2 * 122.12 / 144.10 + 0.3 * 122.12 / 160.21 + 1.5 * 0.30 * 122.12 / 144.10
    assert row(found, "benzoic acid") == pytest.approx(by_hand, rel=1e-4)


def test_the_limit_is_that_of_the_use() -> None:
    """Annex V, entry 1: 0.5 % in what stays on, 2.5 % in what is rinsed off."""
    for use, limit in (("hand cream", 0.5), ("body wash", 2.5)):
        one = formula("aqua 99.5, benzoic acid 0.5", head=f'use = "{use}"')
        found = shown(one, "preservative_of_limit", draws=0)["preservative_of_limit"]
        assert row(found, "benzoic acid") == pytest.approx(100 * 0.5 / limit, rel=1e-12)


OILS = {
    # Bean (1972), table VII: soya oil, liquid paraffin
    "methylparaben": (7.5, 0.02), "propylparaben": (80.0, 0.50), "butylparaben": (280.0, 3.0),
}  # fmt: skip


@pytest.mark.parametrize("name", OILS)
def test_printed_coefficients_of_oils_lie_in_their_bounds(name: str) -> None:
    known = preserving()[name]
    assert known.log_kow is not None
    for printed, (low, high) in zip(OILS[name], OFFSETS, strict=False):
        assert low < math.log10(printed) - known.log_kow < high


@pytest.mark.parametrize("name", OILS)
def test_what_a_printed_coefficient_leaves_in_the_water_lies_in_the_spread(name: str) -> None:
    """An emulsion of a third of soya oil, or of liquid paraffin, by the coefficient of Bean (1972) and in the graph."""
    for oil, printed in zip(("soybean oil", "mineral oil"), OILS[name], strict=True):
        one = formula(f"aqua 66.6, {oil} 33.3, {name} 0.1", rest=at_ph(5))
        (found,) = shown(one, "preservative_in_water")["preservative_in_water"].rows
        by_hand = 100 / (1 + printed * 33.3 / 66.7)
        assert found.low is not None and found.high is not None
        assert found.low - 1e-9 <= by_hand <= max(found.high, found.value) + 2, (oil, by_hand, found)


def test_what_works_is_what_the_equation_of_garrett_gives() -> None:
    """Through the graph and by the function of the science that takes volumes, with a gram of water as a millilitre."""
    one = formula("aqua 79.5; squalane 10; sunflower oil 5; polysorbate 80 5; sodium benzoate 0.5", rest=at_ph(4.5))
    found = shown(one, "preservative_working", "preservative_in_water", draws=0)
    water, oil = 79.5 + 0.5 + 5, 15.0
    q, kow = oil / (oil + water), 10**1.87
    partition = (5 * kow * 10**-1.0 + 10 * kow * 10**-2.75) / oil
    dose = 0.5 * 122.12 / 144.10
    by_hand = active_concentration(
        10 * dose * 100 / (oil + water), q, partition, 4.5, 4.202, 5 / water * 1000, kow * 10**-0.25 / 1000
    )
    assert row(found["preservative_working"], "benzoic acid") == pytest.approx(float(by_hand) / 10, rel=1e-4)
    charged = 10 ** (4.5 - 4.202)
    left = row(found["preservative_working"], "benzoic acid") * (1 + charged) * water / 100 / dose * 100
    assert row(found["preservative_in_water"], "benzoic acid") == pytest.approx(left, rel=1e-6)


def test_without_an_acid_no_ph_is_needed_and_with_one_it_is_named() -> None:
    plain = shown(formula("aqua 99, phenoxyethanol 1"))
    assert plain["preservative_working"].known and "preservative_uncharged" not in plain
    lost = shown(formula("aqua 89, carbomer 0.5, sunflower oil 10, sodium benzoate 0.5"))
    for name in ("preservative_uncharged", "preservative_in_water", "preservative_working"):
        assert not lost[name].known and "pH" in lost[name].unknown and "meter" in lost[name].unknown
    assert lost["preservative_dose"].known


def test_where_it_goes_is_not_known_of_what_is_charged() -> None:
    found = shown(formula("aqua 89.9, sunflower oil 10, benzalkonium chloride 0.1"))
    assert not found["preservative_in_water"].known and "laboratory" in found["preservative_in_water"].unknown
    dry = shown(formula("aqua 99.9, benzalkonium chloride 0.1"))
    assert dry["preservative_working"].known


def test_a_balm_costs_nothing() -> None:
    inputs = gathered(formula("squalane 90, beeswax 10"))
    mine = {"substance_particles", "preservative_pka", "taker_offset", "water_activity_off"}
    assert not mine & inputs.drawn and len(_SUBJECTS) >= 2
    assert not any(name.startswith(("preservative", "water_activity")) for name in shown(formula("squalane 100")))


def test_the_working_says_what_the_figure_says() -> None:
    lines = "aqua 58.9; glycerin 10; sodium chloride 1; squalane 20; polysorbate 20 9; sodium benzoate 0.5; "
    one = formula(f"{lines}phenoxyethanol 0.6", rest=at_ph(4.6))
    found = shown(one, draws=0)
    activity = found["water_activity"]
    *_, product, _ = activity.working()
    terms, result = product.removeprefix("a = ").split(" = ")
    assert math.prod(map(float, terms.split(" × "))) == pytest.approx(float(result), abs=2e-5)
    assert float(result) == pytest.approx(activity.value, abs=1e-5)
    for name, symbol in (
        ("preservative_dose", "w"), ("preservative_of_limit", "l"), ("preservative_uncharged", "u"),
        ("preservative_in_water", "s"), ("preservative_working", "c"),
    ):  # fmt: skip
        said = {
            match[1]: 100 * float(match[2])
            for line in found[name].working()
            if (match := re.match(rf"{symbol}\((.*?)\) = .* = (\S+)$", line))
        }
        assert said == {one.name: pytest.approx(one.value, rel=2e-3) for one in found[name].rows}, name


# What keeps germs down.


def test_the_table_fits_the_catalogue() -> None:
    shelf = catalogue()
    for key, one in preserving().items():
        record = shelf[key]
        assert shelf.key(key) == key and record.made_of is None
        assert one.works_as == key or (record.molar_mass and shelf[one.works_as].molar_mass)
        assert shelf[one.works_as].usual and shelf[one.works_as].ph
        assert {one.source, one.kow_source} <= set(sources()) and len(one.against) == len(GERMS)
        assert all(0 <= much <= 2 for much in one.against)
        assert in_law(record) == in_law(shelf[one.works_as]) or one.works_as != key
    for key in shelf:
        record = shelf[key]
        if record.kind in ("preservative", "preservative booster") and record.made_of is None:
            assert key in preserving(), key


def test_what_annex_v_does_not_list_is_no_preservative_in_law() -> None:
    """EU-1223-2009, Annex V as of 31 October 2025: none of these is in it."""
    boosters = ("ethylhexylglycerin", "caprylyl glycol", "pentylene glycol", "anisic acid", "levulinic acid",
                "caprylhydroxamic acid", "glyceryl caprylate")  # fmt: skip
    assert not any(in_law(catalogue()[name]) for name in boosters)
    listed = ("benzoic acid", "sorbic acid", "phenoxyethanol", "benzyl alcohol", "chlorphenesin", "bronopol")
    assert all(in_law(catalogue()[name]) for name in listed)


def test_a_booster_counts_a_little_and_a_chelator_not_at_all() -> None:
    alone = keeping_in(formula("aqua 99.2, phenoxyethanol 0.8"), catalogue())
    boosted = keeping_in(formula("aqua 98.7, phenoxyethanol 0.8, ethylhexylglycerin 0.5"), catalogue())
    chelated = keeping_in(formula("aqua 99.1, phenoxyethanol 0.8, disodium edta 0.1"), catalogue())
    assert alone.against == {"bacteria": 2, "yeast": 1, "mould": 1} == chelated.against
    assert boosted.against == {"bacteria": 3, "yeast": 2, "mould": 1}
    assert [name for name, _ in boosted.boosters] == ["ethylhexylglycerin"] and not chelated.boosters


def test_the_draws_hold_the_centre() -> None:
    inputs = gathered(formula("aqua 79.5, sunflower oil 20, phenoxyethanol 0.5"))
    for leaf in ("taker_offset", "preservative_log_kow", "substance_particles"):
        rows = inputs.given[leaf]
        assert len(rows) == 1001
        low, high = np.quantile(rows[1:], (0.025, 0.975), axis=0)
        assert ((low <= rows[0]) & (rows[0] <= high)).all()
