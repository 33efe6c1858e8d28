"""The graph: each thing computed once, only what is asked, and one composition on the same path as a million."""

from __future__ import annotations

import re
from collections import Counter

import numpy as np
import pytest

from levigate import units
from levigate.quantities import graph
from levigate.quantities.graph import Floats, Quantity, evaluate, leaves, quantities, quantity
from levigate.quantities.inputs import SUPPLY
from levigate.quantities.saying import BENCH_UNITS, to_bench
from levigate.quantities.working import _WORKINGS
from levigate.shelf.catalogue import sources

ALL = list(quantities().values())
GIVEN: dict[str, Floats] = {
    "mass_fraction": np.array([0.70, 0.05, 0.25]),
    "material_density": np.array([998.2, 1261.08, 853.2]),
    "material_price": np.array([0.0, 4.0, 9.0]),
    "material_composition": np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.1, 0.0, 0.9]]),
    "material_water": np.array([1.0, 0.0, 0.1]),
    "material_oil": np.array([0.0, 0.0, 0.9]),
    "filled_volume": np.array(5e-4),
    "container_volume": np.array(5e-5),
}


@pytest.fixture
def registry(monkeypatch: pytest.MonkeyPatch) -> dict[str, Quantity]:
    """Return a copy of the registry that a test may add to."""
    copy = dict(quantities())
    monkeypatch.setattr(graph, "_REGISTRY", copy)
    quantities.cache_clear()
    monkeypatch.setattr(graph, "quantities", lambda: copy)
    return copy


def counted(registry: dict[str, Quantity], calls: Counter[str]) -> None:
    """Make every quantity of the registry count how often it is computed."""
    for name, what in list(registry.items()):

        def function(what: Quantity = what, **arguments: Floats) -> Floats:
            calls[what.name] += 1
            return what.function(**arguments)

        registry[name] = Quantity(
            **{field: getattr(what, field) for field in Quantity.__slots__ if field != "function"}, function=function
        )


def test_each_is_computed_once_and_only_what_is_asked(registry: dict[str, Quantity]) -> None:
    calls: Counter[str] = Counter()
    counted(registry, calls)
    evaluate(["volume", "mass_per_container", "volume_fraction", "density"], GIVEN)
    assert calls == {"density": 1, "batch_mass": 1, "volume": 1, "mass_per_container": 1, "volume_fraction": 1}


def test_what_is_given_outranks_what_would_be_computed(registry: dict[str, Quantity]) -> None:
    calls: Counter[str] = Counter()
    counted(registry, calls)
    found = evaluate(["batch_mass"], {**GIVEN, "density": np.array(950.0)})
    assert float(found["batch_mass"]) == pytest.approx(0.475, rel=1e-15)
    assert calls == {"batch_mass": 1}


def test_a_circle_is_told_by_its_names(registry: dict[str, Quantity]) -> None:
    @quantity(unit="1", title="A", equation="a = b", source="definition")
    def chicken(egg: Floats) -> Floats:
        return egg

    @quantity(unit="1", title="B", equation="b = a", source="definition")
    def egg(chicken: Floats) -> Floats:
        return chicken

    with pytest.raises(ValueError, match="chicken > egg > chicken need each other in a circle"):
        evaluate(["chicken"], GIVEN)
    with pytest.raises(ValueError, match="chicken > egg > chicken need each other in a circle"):
        leaves("chicken")
    assert float(evaluate(["chicken"], {"egg": np.array(2.0)})["chicken"]) == 2.0


def test_a_missing_input_is_named() -> None:
    without = {name: array for name, array in GIVEN.items() if name != "material_density"}
    with pytest.raises(KeyError, match="material_density is neither given nor a quantity"):
        evaluate(["volume"], without)


def test_the_same_name_cannot_be_registered_twice(registry: dict[str, Quantity]) -> None:
    with pytest.raises(ValueError, match="density is registered twice"):

        @quantity(unit="1", title="A", equation="a", source="definition")
        def density(mass_fraction: Floats) -> Floats:
            return mass_fraction


def test_leaves_stop_at_what_is_given() -> None:
    assert set(leaves("volume")) == {"filled_volume", "mass_fraction", "material_density"}
    assert set(leaves("volume", ["density", "batch_mass"])) == {"density", "batch_mass"}
    assert leaves("density", ["density"]) == ("density",)


@pytest.mark.parametrize("what", ALL, ids=lambda what: what.name)
def test_one_composition_is_a_row_of_many(what: Quantity) -> None:
    """The same function takes a composition, a table of them, and a stack of tables; nan stays in its own row."""
    rng = np.random.default_rng(5)
    many = rng.dirichlet([1.0, 1.0, 1.0], size=(4, 50))
    many[2, 7] = np.nan
    densities = rng.uniform(700, 2000, (4, 50, 3))
    together = evaluate([what.name], {**GIVEN, "mass_fraction": many, "material_density": densities})[what.name]
    for i, j in [(0, 0), (1, 13), (2, 7), (2, 8), (3, 49)]:
        alone = evaluate([what.name], {**GIVEN, "mass_fraction": many[i, j], "material_density": densities[i, j]})
        np.testing.assert_allclose(together[i, j], alone[what.name], rtol=1e-13)
    rests_on_shares = "mass_fraction" in leaves(what.name)
    assert np.isnan(together[2, 7]).all() == rests_on_shares
    assert np.isfinite(np.delete(together.reshape(200, -1), 107, axis=0)).all()


@pytest.mark.parametrize("what", ALL, ids=lambda what: what.name)
def test_every_quantity_can_be_judged(what: Quantity) -> None:
    assert what.title and what.equation and "=" in what.equation
    assert what.source in sources()
    assert what.each in ("", "lines", "substances")
    unit = re.search(r"\[([^\]]+)\]\s*$", what.function.__doc__ or "")
    assert unit is not None and unit.group(1) == what.unit
    assert what.name in _WORKINGS
    assert what.unit in {*BENCH_UNITS, "money", "money/kg"}


def test_every_working_is_that_of_a_quantity() -> None:
    assert set(_WORKINGS) == set(quantities())


@pytest.mark.parametrize("what", ALL, ids=lambda what: what.name)
def test_every_missing_input_has_a_way_to_supply_it(what: Quantity) -> None:
    for leaf in leaves(what.name):
        assert SUPPLY[leaf].format(names="ash and oak", first="ash")


@pytest.mark.parametrize("what", ALL, ids=lambda what: what.name)
def test_units_are_consistent(what: Quantity) -> None:
    """Scale kilogram and metre as if another had defined them: a result must scale as its unit says."""
    kg, m, money = 3.0, 7.0, 11.0
    scaled = {
        **GIVEN,
        "material_density": GIVEN["material_density"] * kg / m**3,
        "material_price": GIVEN["material_price"] * money / kg,
        "filled_volume": GIVEN["filled_volume"] * m**3,
        "container_volume": GIVEN["container_volume"] * m**3,
    }
    factor = {"kg/m³": kg / m**3, "m³": m**3, "kg": kg, "1": 1.0, "money/kg": money / kg, "money": money}[what.unit]
    ours, theirs = (evaluate([what.name], given)[what.name] for given in (scaled, GIVEN))
    np.testing.assert_allclose(ours, theirs * factor, rtol=1e-13)


@pytest.mark.parametrize("unit", BENCH_UNITS)
def test_bench_units_are_units(unit: str) -> None:
    shown, dimension = BENCH_UNITS[unit]
    assert units.convert(units.si(f"12.5 {shown}", dimension), shown, dimension) == pytest.approx(12.5, rel=1e-12)
    assert to_bench(units.si(f"12.5 {shown}", dimension), unit) == pytest.approx(12.5, rel=1e-12)
