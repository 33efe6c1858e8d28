"""Solubility: published readings in the cold, the mixing of liquids, acids at a pH, and slips not to be made."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest

from levigate.errors import FormulaError, ShelfError
from levigate.formula.premix import WATER
from levigate.quantities.alike import hansen_of, held_against, nearest
from levigate.quantities.capacity import Liquid, capacity, heat_of, held, liquids, of_liquid
from levigate.quantities.figure import Figure
from levigate.quantities.graph import evaluate
from levigate.quantities.solubility import cooled
from levigate.shelf.catalogue import catalogue
from levigate.shelf.record import Material, Solubility
from tests.quantities.formulas import formula, gathered, shown

SHELF = catalogue()
R = 8.31446261815324
MEASURED = "[measured]\npH = {}\n"


def rows(figure: Figure) -> dict[str, float]:
    return {row.name: row.value for row in figure.rows}


def found(lines: str, name: str, *, head: str = "", rest: str = "") -> dict[str, float]:
    return rows(shown(formula(lines, head=head, rest=rest), name, draws=0)[name])


def without_cold(record: Material) -> Material:
    """Return a record with one reading in water, so that its heat of solution must come from its melting."""
    first = next(entry for entry in record.solubility if entry.liquid == "water")
    return record.model_copy(update={"solubility": (first,)})


@pytest.mark.parametrize(
    ("name", "warm", "cold"),
    [("benzoic acid", 3.44, 1.7), ("salicylic acid", 2.48, 1.24), ("boric acid", 57.4, 27.7)],
)
def test_the_heat_of_melting_foresees_the_cold_within_a_fifth(name: str, warm: float, cold: float) -> None:
    """Readings at 25 and 0 °C in g/L: Benzoic-acid-table; salicylic acid from memory; Seidell-organic."""
    heat = heat_of(without_cold(SHELF[name]), "water")
    assert "melting" in heat.how
    limit = cooled(np.array(warm / (warm + 997)), np.array(heat.value), np.array(273.15))
    assert float(limit) == pytest.approx(cold / (cold + 997), rel=0.2)
    assert heat.spread > 0.2 * heat.value


def test_two_readings_give_back_a_third() -> None:
    """Benzoic acid at 18 °C, 2.7 g/L (Benzoic-acid-table), from those at 25 and 0 °C; boric acid at 10 °C, 3.65."""
    for name, kelvin, warm, printed in [("benzoic acid", 291.15, 3.44, 2.7), ("boric acid", 283.15, 57.4, 36.5)]:
        heat = heat_of(SHELF[name], "water")
        assert "readings at 0 and 25 °C" in heat.how
        limit = float(cooled(np.array(warm / (warm + 997)), np.array(heat.value), np.array(kelvin)))
        assert limit * 997 / (1 - limit) == pytest.approx(printed, rel=0.06)


def test_a_solution_and_its_liquid_are_not_the_same_volume() -> None:
    """AqSolDB: urea 545 g in a litre of solution; Seidell and others: about 120 g in 100 g of water at 25 °C.

    Read as per litre of water it would be 55 g in 100 g.
    """
    (entry,) = (one for one in SHELF["urea"].solubility if one.source == "AqSolDB-2019")
    assert entry.per == "solution"
    assert of_liquid(entry, 545.0, 1320.0) == pytest.approx(928.5, rel=1e-3)
    assert of_liquid(entry.model_copy(update={"per": ""}), 545.0, 1320.0) == 545.0
    assert of_liquid(entry, 545.0, None) == 545.0


@pytest.mark.parametrize(
    ("lines", "solute", "percent"),
    [
        ("aqua 90, caffeine 10", "caffeine", 100 * 2.39 / (2.39 + 99.7 * (1 - 23.9 / 1230))),
        ("aqua 99, allantoin 1", "allantoin", 100 * 0.49 / (0.49 + 99.7)),
        ("aqua 99, sodium chloride 1", "sodium chloride", 26.4),
    ],
)
def test_one_solute_in_water_is_what_is_printed(lines: str, solute: str, percent: float) -> None:
    """AqSolDB-2019; sodium chloride 26.4 % at saturation in every handbook.

    From grams in a litre of solution it comes out as 27.1 %: volumes are added, and brine shrinks.
    """
    assert found(lines, "solubility")[solute] == pytest.approx(
        percent, rel=0.03 if solute == "sodium chloride" else 0.01
    )


def test_caffeine_is_not_a_hundred_times_less_soluble() -> None:
    """A page has 0.013 g in 100 mL; the handbooks have 2.2."""
    assert found("aqua 99, caffeine 1", "saturation")["caffeine"] < 60


def test_cosolvents_multiply_by_the_powers_of_their_volumes() -> None:
    """Caffeine in ethanol 15.2 g/L and water 23.9: a blend lies at the powers of its volumes, by hand."""
    one = formula("aqua 60, ethanol 39, caffeine 1")
    inputs = gathered(one, draws=0)
    here = liquids(inputs.substances, inputs.contents.records, inputs.contents.whole())  # type: ignore[union-attr]
    assert [liquid.name for liquid in here] == [WATER, "ethanol"]
    volumes = [liquid.share / liquid.density for liquid in here]
    f = volumes[1] / sum(volumes)
    grams = [capacity(SHELF["caffeine"], liquid).value for liquid in here]  # type: ignore[union-attr]
    by_hand = grams[0] ** (1 - f) * grams[1] ** f
    ratio = by_hand * sum(volumes) / 0.99
    assert found("aqua 60, ethanol 39, caffeine 1", "solubility")["caffeine"] == pytest.approx(
        100 * ratio / (1 + ratio), rel=1e-9
    )
    assert held(SHELF["caffeine"], here) == pytest.approx(by_hand * sum(volumes), rel=1e-9)


def test_the_rule_of_cosolvents_stands_in_where_no_reading_does() -> None:
    """lg Kow of methylparaben 1.96 and polyethylene glycol 400: σ = 0.74 × 1.96 + 1.26 (Li-Yalkowsky-1998)."""
    macrogol = Liquid("peg-400", 0.5, 1126.0, (0,), "peg-400", "", "macrogol 400")
    water = Liquid(WATER, 0.5, 997.0, (1,), "water")
    more = capacity(SHELF["methylparaben"], macrogol)
    less = capacity(SHELF["methylparaben"], water)
    assert more is not None and less is not None and "lg Kow" in more.rough
    assert math.log10(more.value / less.value) == pytest.approx(0.74 * 1.96 + 1.26, abs=0.01)
    assert more.spread > math.log(3) > less.spread


@pytest.mark.parametrize("ph", [2.0, 3.2, 4.2, 5.2])
def test_an_acid_dissolves_by_its_charged_part_too(ph: float) -> None:
    """Benzoic acid 3.44 g/L in its own water is 3.27 free, pKₐ 4.202: S = S₀ (1 + 10^(pH - pKₐ)).

    Forgetting that tables count both parts would give 5 % more; forgetting the charge half of it at the pKₐ.
    """
    k, molar = 10**-4.202, 3.44 / 122.12
    free = 3.44 * (1 - (math.sqrt(k * k + 4 * k * molar) - k) / 2 / molar)
    s = free * (1 + 10 ** (ph - 4.202))
    lines, rest = "aqua 99.5, sodium benzoate 0.5", MEASURED.format(ph)
    assert found(lines, "acid_solubility", rest=rest)["benzoic acid"] == pytest.approx(100 * s / (s + 998), rel=0.003)
    share = 0.5 * 122.12 / 144.10
    assert found(lines, "acid_share", rest=rest)["benzoic acid"] == pytest.approx(
        100 * share / (share + 99.5), rel=1e-3
    )


def test_an_acid_counts_once_however_it_is_brought() -> None:
    rest = MEASURED.format(4.0)
    both = found("aqua 99.2, benzoic acid 0.3, sodium benzoate 0.5", "acid_saturation", rest=rest)
    alone = [found(lines, "acid_share", rest=rest)["benzoic acid"] for lines in
             ("aqua 99.2, benzoic acid 0.3, glycerin 0.5", "aqua 99.2, sodium benzoate 0.5, glycerin 0.3")]  # fmt: skip
    assert list(both) == ["benzoic acid"] and min(alone) > 0


def test_an_acid_of_which_the_ph_is_not_known_is_not_guessed() -> None:
    figure = shown(formula("aqua 99.5, sodium benzoate 0.5"), "acid_saturation")["acid_saturation"]
    assert "pH" in figure.unknown and not figure.rows


def test_ideal_solubility_is_only_a_bound_for_oils() -> None:
    """Naphthalene-like: x = 0.30 at 25 °C (check value 0.30169) in a triglyceride is 6 % by mass; a tenth to all."""
    record = Material.model_validate(
        {
            "inci": "Naphthalene", "kind": "other", "form": "powder", "affinity": "oil",
            **{name: {"value": value, "source": "memory", "grade": "memory"} for name, value in (
                ("melting_point", "80.22 C"), ("melting_heat", "148.32 kJ/kg"), ("molar_mass", "128.17 g/mol"))},
        }
    )  # fmt: skip
    oil = Liquid("oil", 1.0, 915.0, (0,), "oil")
    held_in = capacity(record, oil)
    x = 0.30169
    w = x * 0.12817 / (x * 0.12817 + (1 - x) * 0.88)
    assert held_in is not None and "ideal" in held_in.rough
    most, least = (held_in.value * math.exp(sign * held_in.spread) for sign in (1, -1))
    assert most == pytest.approx(915 * w / (1 - w), rel=2e-3)
    assert least == pytest.approx(most / 10, rel=1e-9)


def test_the_coldest_is_that_of_the_file() -> None:
    lines = "aqua 98, caffeine 2"
    warm, usual, freezing = (
        found(lines, "saturation_cold", head="" if t is None else f'coldest = "{t} C"')["caffeine"]
        for t in (25, None, 0)
    )
    assert warm == pytest.approx(found(lines, "saturation")["caffeine"], rel=1e-12)
    assert warm < usual < freezing
    with pytest.raises(FormulaError, match="no temperature at which a product is kept"):
        formula(lines, head='coldest = "-60 C"')


@pytest.mark.parametrize(
    ("lines", "solutes"),
    [
        ("squalane 90, caprylic/capric triglyceride 10", None),
        ("squalane 95, menthol 5", {"menthol"}),
        ("aqua 95, menthol 5", {"menthol"}),
        ("aqua 90, polysorbate 20 5, menthol 5", None),
        ("aqua 90, xanthan gum 1, zinc oxide 9", None),
        ("aqua 90, azelaic acid 10", None),
        ("aqua 98, phenoxyethanol 2", {"phenoxyethanol"}),
        ("aqua 98, glycerin 2", None),
    ],
)
def test_only_what_is_meant_to_dissolve_is_judged(lines: str, solutes: set[str] | None) -> None:
    figures = shown(formula(lines))
    assert (set(rows(figures["saturation"])) if "saturation" in figures else None) == solutes


def test_the_spread_holds_95_percent() -> None:
    figure = shown(formula("aqua 98, caffeine 2"), "saturation")["saturation"]
    (row,) = figure.rows
    assert row.low is not None and row.high is not None
    assert row.high / row.value == pytest.approx(math.exp(0.15), rel=0.03)
    assert row.value / row.low == pytest.approx(math.exp(0.15), rel=0.03)


NAMES = [f"{kind}{name}" for kind in ("", "acid_") for name in ("solubility", "solubility_cold", "saturation",
         "saturation_cold")] + ["solute_share", "acid_share", "oil_distance"]  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_the_last_number_of_a_working_is_its_row(name: str) -> None:
    one = formula(
        "aqua 60, propylene glycol 10, caffeine 1, niacinamide 3, sorbic acid 0.2, sodium benzoate 0.4, menthol 1; "
        "isopropyl palmitate 24.4".replace(",", ";"),
        rest=MEASURED.format(4.5),
    )
    figure = shown(one, name, draws=0)[name]
    assert figure.known and len(figure.working()) == len(figure.rows) > 0
    for line, row in zip(figure.working(), figure.rows, strict=True):
        last = float(re.findall(r"\d+(?:\.\d+)?", line.rpartition("=")[2])[0])
        assert row.name in line and last == pytest.approx(row.value, rel=6e-4)


def test_solids_and_oils_in_the_space_of_hansen() -> None:
    """Menthol (16.0, 4.7, 9.0) in isopropyl palmitate (16.2, 3.9, 3.7): √(4 × 0.2² + 0.8² + 5.3²) = 5.375."""
    assert found("isopropyl palmitate 95, menthol 5", "oil_distance")["menthol"] == pytest.approx(5.375, abs=1e-3)
    # With the four on the polar term, as a trade article has it, it would be 5.55.
    blend = found("isopropyl palmitate 40, castor oil 55, menthol 5", "oil_distance")["menthol"]
    assert blend < 5.375


#: Hoftyzer and van Krevelen (table in their book): dispersion, polarity, energy of hydrogen bonds.
GROUPS = {"CH3": (420, 0, 0), "CH2": (270, 0, 0), "CH": (80, 0, 0), "C": (-70, 0, 0), "=CH": (200, 0, 0),
          "COO": (390, 490, 7000), "OH": (210, 500, 20000), "O": (100, 400, 3000),
          "phenyl": (1430, 110, 0)}  # fmt: skip
MASSES = {"CH3": 15.035, "CH2": 14.027, "CH": 13.019, "C": 12.011, "=CH": 13.019, "COO": 44.009, "OH": 17.007,
          "O": 15.999, "phenyl": 77.106}  # fmt: skip
ADDED_UP = [key for key in SHELF if any(value.source == "Hoftyzer-van-Krevelen" for value in SHELF[key].hansen)]


def added_up(groups: str, density: float) -> list[float]:
    counted = [part.split() for part in groups.split(", ") if part.split()[0] in GROUPS]
    volume = sum(MASSES[name] * int(many) for name, many in counted) / density
    d, p, h = (sum(GROUPS[name][i] ** (2 if i == 1 else 1) * int(many) for name, many in counted) for i in range(3))
    return [d / volume, math.sqrt(p) / volume, math.sqrt(h / volume)]


@pytest.mark.parametrize("key", ADDED_UP)
def test_parameters_added_up_from_groups(key: str) -> None:
    (value,) = SHELF[key].hansen
    density = SHELF[key].density[0].si("density") / 1000
    assert list(value.values) == pytest.approx(added_up(value.place, density), abs=0.06)


def test_groups_come_near_to_printed_parameters() -> None:
    """Isopropyl palmitate 16.2, 3.9, 3.7; ethyl oleate 16.2, 3.2, 4.0; dodecane 16.0, 0, 0 (Rios-Murcia-2022)."""
    for groups, density, printed in [
        ("CH3 3, CH2 14, CH 1, COO 1", 0.852, (16.2, 3.9, 3.7)),
        ("CH3 2, CH2 15, =CH 2, COO 1", 0.87, (16.2, 3.2, 4.0)),
        ("CH3 2, CH2 10", 0.749, (16.0, 0.0, 0.0)),
    ]:
        ours = added_up(groups, density)
        assert ours[0] == pytest.approx(printed[0], abs=0.7)
        assert ours[1] == pytest.approx(printed[1], abs=2.6)
        assert ours[2] == pytest.approx(printed[2], abs=1.2)


def test_like_for_like_and_why_not() -> None:
    near = nearest(SHELF, "isopropyl myristate", most=5)
    assert near[0].key == "isoamyl laurate" and near[0].alike and near[0].distance < 1
    assert [one.distance for one in near] == sorted(one.distance for one in near)
    gel = held_against(
        SHELF, "caprylic/capric triglyceride", "silica dimethyl silylate 5 % in caprylic/capric triglyceride"
    )
    assert gel.distance == pytest.approx(0, abs=1e-9) and not gel.alike and "gel" in gel.because[0]
    castor = held_against(SHELF, "squalane", "castor oil")
    assert not castor.alike and any("more polar" in clause for clause in castor.because)
    silicone = held_against(SHELF, "squalane", "cyclopentasiloxane")
    assert any("belongs in silicone" in clause for clause in silicone.because)
    unknown = held_against(SHELF, "squalane", "jojoba oil")
    assert math.isnan(unknown.distance) and not unknown.alike and "not on record" in unknown.because[0]
    assert hansen_of(SHELF, "none such") is None
    with pytest.raises(ShelfError, match="not on record"):
        nearest(SHELF, "jojoba oil")
    with pytest.raises(ShelfError, match="No material is called"):
        held_against(SHELF, "squalane", "none such")


def test_the_slip_of_a_table_is_not_in_the_catalogue() -> None:
    """One table has the polarity of oleic acid as 28.0, plainly 2.8."""
    assert SHELF["oleic acid"].hansen[0].values[1] == pytest.approx(2.8)


def test_what_is_said_of_an_entry_is_one_of_a_few() -> None:
    with pytest.raises(ValueError, match="per"):
        Solubility(value="1 g/100 mL", per="bottle", source="memory", grade="memory")


def test_a_million_compositions_take_the_same_path() -> None:
    one = gathered(formula("aqua 90, propylene glycol 7, caffeine 3"), draws=0)
    rng = np.random.default_rng(3)
    many = rng.dirichlet([30.0, 3.0, 1.0], 2000)
    given = {name: array[0] if name in one.drawn else array for name, array in one.given.items()}
    table = evaluate(["saturation_cold"], {**given, "mass_fraction": many})["saturation_cold"]
    alone = evaluate(["saturation_cold"], {**given, "mass_fraction": many[7]})["saturation_cold"]
    np.testing.assert_allclose(table[7], alone, rtol=1e-12)
