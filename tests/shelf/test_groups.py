"""The groups that rules speak of: members that exist, sources that exist, and numbers that the formulas bear out."""

from __future__ import annotations

import pytest
from chemicals.elements import molecular_weight, simple_formula_parser

from levigate.shelf.catalogue import catalogue, sources
from levigate.shelf.groups import Group, Instead, groups, groups_of, instead, members
from levigate.shelf.record import GRADES, Material

GROUPS = list(groups().values())


def mass(formula: str) -> float:
    return float(molecular_weight(simple_formula_parser(formula)))


@pytest.mark.parametrize("group", GROUPS, ids=lambda group: group.name)
def test_a_group_is_of_the_catalogue_and_says_on_whose_word(group: Group) -> None:
    keys = set(catalogue())
    assert group.members and group.members <= keys
    assert set(group.amounts) <= group.members and bool(group.amounts) == bool(group.counts)
    assert all(amount > 0 for amount in group.amounts.values())
    assert group.source in sources() and group.grade in GRADES
    assert (group.source == "memory") <= (group.grade == "memory")
    assert group.members <= members()


@pytest.mark.parametrize("other", instead(), ids=lambda other: f"{other.use} for {other.of}")
def test_what_stands_in_exists_and_is_no_part_of_what_it_replaces(other: Instead) -> None:
    assert other.of in groups() or other.of in set(catalogue())
    assert other.use in set(catalogue()) and other.source in sources() and other.grade in GRADES
    assert other.of not in groups() or other.use not in groups()[other.of].members
    assert (other.percent is None or 0 < other.percent <= 5) and other.factor > 0


#: Releaser -> its formula and the molecules of formaldehyde it is made of (CRC and PubChem formulas; from memory).
BOUND = {
    "dmdm hydantoin": ("C7H12N2O4", 2),
    "diazolidinyl urea": ("C8H14N4O7", 4),
    "imidazolidinyl urea": ("C11H16N8O8", 3),
    "sodium hydroxymethylglycinate": ("C3H6NNaO3", 1),
    "bronopol": ("C3H6BrNO4", 2),
}


@pytest.mark.parametrize("key", BOUND)
def test_the_formaldehyde_a_releaser_binds_follows_from_its_formula(key: str) -> None:
    formula, many = BOUND[key]
    assert groups()["releasers"].amounts[key] == pytest.approx(many * mass("CH2O") / mass(formula), abs=0.0006)


def test_every_releaser_has_its_formaldehyde() -> None:
    assert set(BOUND) == groups()["releasers"].members == set(groups()["releasers"].amounts)


def test_the_base_of_carbomer_follows_from_the_pharmacopoeia() -> None:
    """The International Pharmacopoeia asks for 56.0 to 68.0 % of carboxyl groups, dried; three quarters are charged."""
    low, high = (share / mass("CHO2") * 1000 * 0.75 for share in (0.56, 0.68))
    amount = groups()["acid gels"].amounts["carbomer"]
    assert low < amount < high and amount == pytest.approx((low + high) / 2, rel=0.01)
    # The customary 0.4 g of sodium hydroxide for each gram of carbomer (common practice, no source).
    assert amount / 1000 * mass("NaOH") == pytest.approx(0.4, abs=0.02)


def test_lye_in_place_of_triethanolamine_is_as_much_base() -> None:
    other = next(one for one in instead() if one.of == "triethanolamine")
    assert other.factor == pytest.approx(mass("NaOH") / mass("C6H15NO3") / 0.1, rel=0.002)


def test_a_material_of_ones_own_belongs_by_its_inci_name() -> None:
    mine = Material.model_validate(
        {"inci": "Diazolidinyl Urea", "kind": "preservative", "form": "powder", "affinity": "water"}
    )
    releasers = groups()["releasers"]
    assert groups_of("my keeper", mine.inci) == {"releasers"} and releasers.amount("my keeper", mine) == 0.432
    assert not groups_of("my keeper", "") and releasers.amount("my keeper", None) == 0
