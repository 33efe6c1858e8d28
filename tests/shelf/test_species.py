"""The data of acids, bases and salts: formulas that add up, sources that exist, and one voice with the catalogue."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
from chemicals.elements import molecular_weight, simple_formula_parser

from levigate.errors import ShelfError
from levigate.science.acidity import acidity
from levigate.shelf.catalogue import DATA, catalogue, load, sources
from levigate.shelf.record import GRADES
from levigate.shelf.species import Substance, System, species

KNOWN = species()
systems = pytest.mark.parametrize("system", KNOWN.systems.values(), ids=lambda system: system.key)
substances = pytest.mark.parametrize("substance", KNOWN.substances.values(), ids=lambda substance: substance.key)

#: Where these differ from the catalogue by more than 0.03, and why.
OTHER_CONSTANTS = {
    "arginine": "the last step was measured anew in 2015 and found 1.3 higher",
    "ascorbate": "the second step of the catalogue's first source is 1 below all other print",
}


def atoms(formula: str) -> Counter[str]:
    """Return the atoms of a formula such as "MgSO4.7H2O"."""
    total: Counter[str] = Counter()
    for part in formula.split("."):
        body = part.lstrip("0123456789")
        times = int(part.removesuffix(body) or 1)
        for element, count in simple_formula_parser(body).items():
            total[element] += times * int(count)
    return total


@systems
def test_a_system_is_a_ladder_with_sources(system: System) -> None:
    constants = [step.pka for step in system.steps]
    assert constants == sorted(constants) and constants
    assert system.charge == int(system.charge)
    assert system.molar_mass * 1000 == pytest.approx(molecular_weight(dict(atoms(system.formula))), abs=0.01)
    for step in system.steps:
        assert step.source in sources() and step.grade in GRADES
        assert (step.source == "memory") == (step.grade == "memory")
        assert step.spread is None or 0 < step.spread <= 0.5
        assert step.grade != "memory" or step.spread is not None, "what is from memory says how far to trust it"
        if step.enthalpy is None:
            assert step.heat_capacity is None and not step.heat_source
        else:
            assert abs(step.enthalpy) < 80_000 and step.heat_source in sources()


@systems
def test_a_system_is_held_by_something(system: System) -> None:
    assert any(system.key == key for substance in KNOWN.substances.values() for key, _ in substance.holds)


@substances
def test_a_substance_is_what_it_turns_into(substance: Substance) -> None:
    """Formula = forms with all protons + ions - as many hydrogens as there are charges too many + some water."""
    rest, charge = atoms(substance.formula), 0.0
    for key, moles in substance.holds:
        part = KNOWN.systems.get(key) or KNOWN.ions[key]
        charge += moles * part.charge
        for element, count in atoms(part.formula).items():
            rest[element] -= int(moles) * count
    rest["H"] += int(charge)
    water = rest.pop("O", 0)
    assert rest.pop("H", 0) == 2 * water
    assert not any(rest.values())


@substances
def test_a_molar_mass_is_that_of_the_formula_and_of_the_catalogue(substance: Substance) -> None:
    computed = molecular_weight(dict(atoms(substance.formula)))
    assert substance.molar_mass * 1000 == pytest.approx(computed, rel=1e-4)
    material = catalogue().get(substance.key) if substance.key in catalogue() else None
    if material is not None and material.molar_mass:
        assert substance.molar_mass == pytest.approx(material.molar_mass[0].si("molar mass"), rel=2e-4)


@substances
def test_names_are_not_those_of_another_material(substance: Substance) -> None:
    own = catalogue().key(substance.key)
    assert own in (None, substance.key), "the key is the catalogue's where the catalogue has it"
    for name in substance.names:
        assert catalogue().key(name) in (None, substance.key)
        assert KNOWN.key(name) == substance.key
    assert 0 < substance.strength <= 1


@substances
def test_constants_are_those_of_the_catalogue(substance: Substance) -> None:
    """A catalogue record may name several sets; one of them must agree."""
    material = catalogue().get(substance.key)
    held = [KNOWN.systems[key] for key, _ in substance.holds if key in KNOWN.systems]
    if material is None or not material.pka or len(held) != 1:
        return
    ours = [step.pka for step in held[0].steps]
    near = [len(entry.values) == len(ours) and np.allclose(entry.values, ours, atol=0.031) for entry in material.pka]
    assert any(near) != (held[0].key in OTHER_CONSTANTS), (ours, [entry.values for entry in material.pka])


def test_every_acid_base_and_salt_of_the_catalogue_is_here() -> None:
    """Premixes are split before; what has a pKa counts as an acid or base whatever its kind."""
    missing = []
    for path in sorted(DATA.glob("*.toml")):
        for key, table in load(path).items():
            plain = path.stem == "acids" and table["kind"] in ("acid", "base", "salt")
            if "made_of" in table or key == "aqua" or not (plain or "pka" in table or path.stem == "chelators"):
                continue
            if key not in KNOWN.substances and key not in KNOWN.unknown:
                missing.append(f"{path.stem}: {key}")
    assert missing == []


def test_hydrates_of_the_catalogue_are_here_too() -> None:
    hydrates = [key for key in load(DATA / "acids.toml") if "hydrate" in key]
    assert hydrates and set(hydrates) <= set(KNOWN.substances)


def test_what_is_unknown_is_a_material_and_says_why() -> None:
    for key, why in KNOWN.unknown.items():
        assert key in catalogue()
        assert key not in KNOWN.substances
        with pytest.raises(ShelfError, match="cannot be computed"):
            KNOWN[key]
        assert why[0].islower() and not why.endswith(".")
    assert KNOWN.find("phytic acid") is None and KNOWN.key("phytic acid") == "phytic acid"


def test_a_name_that_is_nothing_is_told() -> None:
    with pytest.raises(ShelfError, match='"moon dust"'):
        KNOWN["moon dust"]


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("TEA", "triethanolamine"),
        ("baking soda", "sodium bicarbonate"),
        ("trisodium citrate", "trisodium citrate dihydrate"),
        ("Tris HCl", "tromethamine hydrochloride"),
        ("cream of tartar", "potassium hydrogen tartrate"),
        ("77-92-9", "citric acid"),
    ],
)
def test_substances_are_found_by_what_people_call_them(name: str, key: str) -> None:
    assert KNOWN[name].key == key


@pytest.mark.parametrize(
    ("acid", "salt", "factor"),
    [
        ("benzoic acid", "sodium benzoate", 0.8475),
        ("sorbic acid", "potassium sorbate", 0.7464),
        ("dehydroacetic acid", "sodium dehydroacetate", 0.8844),
        ("4-hydroxybenzoic acid", "methylparaben", 0.9078),
        ("4-hydroxybenzoic acid", "propylparaben", 0.7665),
        ("salicylic acid", "sodium salicylate", 0.8627),
    ],
)
def test_factors_for_limits_counted_as_acid(acid: str, salt: str, factor: float) -> None:
    assert KNOWN[acid].molar_mass / KNOWN[salt].molar_mass == pytest.approx(factor, abs=5e-5)


@pytest.mark.parametrize(
    ("acid", "protons", "grams"),
    [
        ("lactic acid", 1, 0.444),
        ("glycolic acid", 1, 0.526),
        ("citric acid", 3, 0.625),
        ("salicylic acid", 1, 0.290),
        ("azelaic acid", 2, 0.425),
        ("ascorbic acid", 1, 0.227),
        ("mandelic acid", 1, 0.263),
    ],
)
def test_lye_per_gram_of_acid(acid: str, protons: int, grams: float) -> None:
    lye = KNOWN["sodium hydroxide"].molar_mass
    assert protons * lye / KNOWN[acid].molar_mass == pytest.approx(grams, abs=5e-4)


def test_ladders_are_arrays_for_the_science() -> None:
    ladders = KNOWN.ladders([KNOWN["citric acid"], KNOWN["disodium phosphate"], KNOWN["sodium hydroxide"]])
    assert ladders.keys == ("citrate", "phosphate", "sodium")
    np.testing.assert_array_equal(ladders.holds, [[1, 0, 0], [0, 1, 2], [0, 0, 1]])
    np.testing.assert_array_equal(ladders.pka[2], [np.inf] * 3)
    assert np.isfinite(acidity([0.1, 0.1, 0.1] @ ladders.holds, ladders.pka, ladders.charge).ph)
    assert KNOWN.ladders([]).pka.shape == (0, 0)


def test_a_solution_sold_by_strength_counts_as_less() -> None:
    """25 % ammonia is 14.7 mol in a kilogram."""
    assert KNOWN["ammonia solution 25 %"].amount_per_mass == pytest.approx(14.68, abs=0.01)
