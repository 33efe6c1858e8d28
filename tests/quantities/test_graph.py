"""The graph: each thing computed once, only what is asked, and one composition on the same path as a million."""

from __future__ import annotations

import math
import re
from collections import Counter

import numpy as np
import pytest

from levigate import units
from levigate.quantities import graph
from levigate.quantities.graph import Floats, Quantity, evaluate, leaves, quantities, quantity
from levigate.quantities.inputs import ALWAYS_GIVEN, SUPPLY
from levigate.quantities.saying import BENCH_UNITS, to_bench
from levigate.quantities.thickening import BODY
from levigate.quantities.working import workings
from levigate.shelf.catalogue import sources
from tests.quantities.formulas import formula, gathered

ALL = list(quantities().values())
#: Water, glycerin, an ester with a tenth of water, zinc oxide and xanthan gum: a lotion with a powder in it. Substances
#: in the same order, the ester's water being the first.
_SHARES = np.array([0.610, 0.05, 0.25, 0.085, 0.005])
_COMPOSITION = np.eye(5)
_COMPOSITION[2, [0, 2]] = 0.1, 0.9
GIVEN: dict[str, Floats] = {
    "mass_fraction": _SHARES,
    "temperature": np.array(298.15),
    "density_reading": np.array([998.2, 1261.08, 853.2, 5600.0, 1500.0]),
    "density_reading_temperature": np.full(5, 293.15),
    "material_expansion": np.array([0.0, 4.9e-4, 8e-4, 3e-5, 2e-4]),
    "material_melt_swelling": np.array([0.0, 0.0, 0.09, 0.0, 0.0]),
    "material_as_water": np.array([1.0, 0.0, 0.1, 0.0, 0.0]),
    "material_melting_start": np.full(5, 276.15),
    "material_melting_end": np.full(5, 280.15),
    "fill_temperature": np.array(318.15),
    "brimful_volume": np.array(6e-5),
    "material_price": np.array([0.0, 4.0, 9.0, 12.0, 30.0]),
    "material_composition": _COMPOSITION,
    "material_water": np.array([1.0, 0.0, 0.1, 0.0, 0.0]),
    "material_oil": np.array([0.0, 0.0, 0.9, 0.0, 0.0]),
    "filled_volume": np.array(5e-4),
    "container_volume": np.array(5e-5),
    "daily_mass": np.array(1.5e-3),
    "residue_share": np.array(0.05),
    "substance_water": np.array([1.0, 0.0, 0.0, 0.0, 0.0]),
    "substance_wet": np.array([1.0, 1.0, 0.0, 0.0, 0.0]),
    "substance_aqueous": np.array([1.0, 1.0, 0.0, 0.0, 1.0]),
    "substance_polyol": np.array([0.0, 1.0, 0.0, 0.0, 0.0]),
    "substance_glycerol": np.array([0.0, 1.0, 0.0, 0.0, 0.0]),
    "substance_oil": np.array([0.0, 0.0, 1.0, 0.0, 0.0]),
    "substance_silicone": np.zeros(5),
    "substance_shrinks": np.array([0.0, 2.0, 0.0, 0.0, 0.0]),
    "kinematic_reading": np.array([np.nan, np.nan, 6.0e-6, np.nan, np.nan]),
    "kinematic_reading_temperature": np.full(5, 310.95),
    "walther_slope": np.array([np.nan, np.nan, 3.1, np.nan, np.nan]),
    "flow_activation": np.full(5, np.nan),
    "substance_expansion": np.full(5, 7e-4),
    "substance_density": np.array([998.2, 1261.08, 853.2, 5600.0, 1500.0]),
    "substance_melts": np.array([0.0, 0.0, 1.0, 0.0, 0.0]),
    "substance_melting_start": np.full(5, 276.15),
    "substance_melting_end": np.full(5, 280.15),
    "powder_pick": np.array([3.0]),
    "powder_d50": np.array([12e-6]),
    "powder_sigma": np.array([1.8]),
    "powder_packing": np.array([0.45]),
    "powder_bulk": np.array([560.0]),
    "line_liquid": np.array([1.0, 1.0, 1.0, 0.0, 1.0]),
    # As if glycerin were acetic acid, and the gum a salt of it.
    "acid_pick": np.array([1.0, 4.0]),
    "acid_purity": np.array([1.0, 0.99]),
    "acid_solutes": np.array([[1.7, 0.0], [5.0, 5.0]]),
    "acid_water": np.array([0.0, 0.1]),
    "substance_trace": np.array([1e-4, 0.0, 0.0, 0.0, -0.1]),
    "substance_trace_half": np.array([1e-4, 0.0, 0.0, 0.0, 0.1]),
    "substance_acidity": np.zeros(5),
    "solute_pka": np.array([[4.757], [np.inf], [np.inf], [np.inf]]),
    "solute_charge": np.array([0.0, 1.0, 1.0, -1.0]),
    "davies_constant": np.array(0.3),
    "ph_error": np.array(0.01),
    "measured_ph": np.array(np.nan),
    "free_pick": np.array([0.0]),
    "free_molar_mass": np.array([0.060052]),
    "line_body": np.zeros((len(BODY), 5)),
    "thickener_share": np.array([[0.0], [0.0], [0.0], [0.0], [1.0]]),
    "thickener_phase": np.array([[1.0], [1.0], [0.1], [0.0], [0.0]]),
    "thickener_medium": np.array([0.0]),
    "flow_dose": np.array([[0.001, 0.01, 0.1]]),
    # A weak gel, so that the grains of some compositions fall and those of others are held.
    "flow_yield": np.array([[0.02, 0.2, 4.0]]),
    "flow_consistency": np.array([[0.1, 2.0, 20.0]]),
    "flow_exponent": np.array([[0.6, 0.3, 0.2]]),
    # The glycerin is taken for an emulsifier of HLB 12, the gum for a polymer that makes oil in water.
    "oil_rated": np.array([0.0, 0.0, 0.9, 0.0, 0.0]),
    "oil_unrated": np.zeros(5),
    "oil_asks": np.array([0.0, 0.0, 11.5, 0.0, 0.0]),
    "emulsifier_rated": np.array([0.0, 1.0, 0.0, 0.0, 0.0]),
    "line_hlb": np.array([0.0, 12.0, 0.0, 0.0, 0.0]),
    "hlb_doubt": np.zeros(5),
    "rated_sides": np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 0.0], [0.0, 0.0], [0.0, 0.0]]),
    "emulsifier_own": np.array([0.0, 0.0, 0.0, 0.0, 0.0001]),
    "own_sides": np.array([[0.0, 0.0], [0.0, 0.0], [0.0, 0.0], [0.0, 0.0], [0.0001, 0.0]]),
    "drop_diameter": np.array(3e-6),
    "line_active": np.array([0.0, 0.2, 0.3, 0.0, 0.0]),
    "line_charge": np.array([[0.0] * 4, [0.0, 1.0, 0.0, 0.0], [0.7, 0.0, 0.3, 0.0], [0.0] * 4, [0.0] * 4]),
    "line_salt": np.array([0.0, 0.0, 0.05, 0.0, 0.0]),
    # Water and gum heated, the ester with the powder heated, the glycerin cold: the ester is one that melts and sets.
    "phase_lines": np.array([[1.0, 0, 0, 0, 1.0], [0, 0, 1.0, 1.0, 0], [0, 1.0, 0, 0, 0]]),
    "phase_temperature": np.array([348.15, 345.15, 295.65]),
    "phase_joins_at": np.array([np.inf, np.inf, 313.15]),
    "phase_held": np.array([1200.0, 1200.0, 0.0]),
    "heated_water": np.array([1.0, 0.0, 0.1, 0.0, 0.0]),
    "material_specific_heat": np.array([4180.0, 2400.0, 1900.0, 500.0, 1400.0]),
    "melting_line": np.array([2.0]),
    "melting_part": np.array([0.9]),
    "melting_temperature": np.array([321.0]),
    "melting_heat": np.array([1.5e5]),
    "room_temperature": np.array(295.65),
    "relative_humidity": np.array(0.5),
    "evaporation_factor": np.array(1.0),
    "cooled_phase": np.array(2.0),
    "cool_down": np.array(313.15),
    "heat_transfer": np.array(15.0),
    "substance_particles": np.array([0.0, 0.1956, 0.0, 0.0, 0.001]),
    "substance_norrish": np.array([0.0, 1.16, 0.0, 0.0, 2.0]),
    "substance_salt": np.zeros(5),
    "water_activity_off": np.array(0.3),
    # As if the gum were a preservative, sold as a salt.
    "preservative_share": np.array([[0.0], [0.0], [0.0], [0.0], [0.85]]),
    "preservative_pka": np.array([4.2]),
    "preservative_log_kow": np.array([1.87]),
    "preservative_limit": np.array([0.005]),
    "substance_takers": np.array([[0.0] * 3, [0.0] * 3, [1.0, 0.0, 0.0], [0.0] * 3, [0.0] * 3]),
    "taker_offset": np.array([-1.0, -2.75, -0.25]),
    # Liquids: water, glycerin, the ester. Glycerin and the gum stand in for a solid and for a sparing acid.
    "solvent_of": np.array([[1.0, 0, 0], [0, 1.0, 0], [0, 0, 1.0], [0, 0, 0], [0, 0, 0]]),
    "solvent_density": np.array([998.2, 1261.08, 853.2]),
    "coldest": np.array(278.15),
    "solute_of": np.array([[0.0, 0], [0, 0], [0, 0], [1.0, 0], [0, 1.0]]),
    "solute_in": np.array([[1.0, 0], [1.0, 0], [0, 1.0]]),
    "solute_capacity": np.array([[5.0, 1.0], [80.0, 1.0], [1.0, 20.0]]),
    "solute_heat": np.array([20e3, 35e3]),
    "acid_of": np.array([[0.0], [0], [0], [0], [0.85]]),
    "acid_in": np.array([[1.0], [1.0], [0]]),
    "acid_capacity": np.array([[2.8], [40.0], [1.0]]),
    "acid_heat": np.array([19e3]),
    "acid_pka": np.array([4.2]),
    "blend_volume": np.array([0.0, 0, 1 / 853.2, 0, 0]),
    "blend_hansen": np.array([[0.0, 0, 0], [0, 0, 0], [16.2, 3.9, 3.7], [0, 0, 0], [0, 0, 0]]),
    "oily_hansen": np.array([[16.0, 4.7, 9.0], [20.0, 12.5, 6.7]]),
}
#: Of what a quantity may have one for each.
EACH = (
    "",
    "lines",
    "substances",
    "powders",
    "thickeners",
    "climates",
    "phases",
    "joins",
    "sides",
    "liquids",
    "charges",
    "organisms",
    "preservatives",
    "solutes",
    "ladders",
    "acidity",
    "acids",
    "drifts",
    "sparing acids",
    "oily solids",
)
#: Units as powers of kilogram, metre, second and coin; what is not here is a pure number or a temperature.
UNITS = {
    "density_reading": (1, -3, 0, 0), "brimful_volume": (0, 3, 0, 0), "material_price": (-1, 0, 0, 1),
    "filled_volume": (0, 3, 0, 0),
    "container_volume": (0, 3, 0, 0), "daily_mass": (1, 0, 0, 0), "kinematic_reading": (0, 2, -1, 0),
    "substance_density": (1, -3, 0, 0), "powder_d50": (0, 1, 0, 0), "flow_yield": (1, -1, -2, 0),
    "flow_consistency": (1, -1, -2, 0), "drop_diameter": (0, 1, 0, 0),
    "shrinkage": (-1, 3, 0, 0), "clear_viscosity": (1, -1, -1, 0),
    "powder_bulk": (1, -3, 0, 0),
    "phase_held": (0, 0, 1, 0), "material_specific_heat": (0, 2, -2, 0), "melting_heat": (0, 2, -2, 0),
    "heat_transfer": (1, 0, -3, 0), "water_evaporated": (1, 0, 0, 0),
    "acid_solutes": (-1, 0, 0, 0), "substance_trace": (-1, 0, 0, 0), "substance_trace_half": (-1, 0, 0, 0),
    "solute_molality": (-1, 0, 0, 0), "free_molar_mass": (1, 0, 0, 0), "ionic_strength": (-1, 0, 0, 0),
    "solvent_density": (1, -3, 0, 0), "solute_capacity": (1, -3, 0, 0), "acid_capacity": (1, -3, 0, 0),
    "stated_density": (1, -3, 0, 0), "warm_volume": (0, 3, 0, 0), "substance_kinematic": (0, 2, -1, 0),
}  # fmt: skip
OF_UNIT = {
    "kg/m³": (1, -3, 0, 0), "m³": (0, 3, 0, 0), "kg": (1, 0, 0, 0), "1": (0, 0, 0, 0), "-": (0, 0, 0, 0),
    "money/kg": (-1, 0, 0, 1), "money": (0, 0, 0, 1), "m³/kg": (-1, 3, 0, 0), "Pa": (1, -1, -2, 0),
    "Pa s": (1, -1, -1, 0), "m/s": (0, 1, -1, 0), "s": (0, 0, 1, 0), "K": (0, 0, 0, 0), "J/(kg K)": (0, 2, -2, 0),
    "mol/kg": (-1, 0, 0, 0),
    "MPa½": (0, 0, 0, 0), "m²/s": (0, 2, -1, 0),
}  # fmt: skip
#: Fits that count in mm²/s, kg/m³ and mol/kg of their own; the others are checked with these given.
IN_UNITS_OF_ITS_OWN = (
    "shrinkage", "clear_viscosity", "water_evaporated", "charge_balance", "ph", "ionic_strength", "buffer_value",
    "model_range_used", "free_acid", "free_acid_drift", "substance_kinematic", "stated_density", "warm_volume",
    "density_by_climate", "clear_viscosity_by_climate",
)  # fmt: skip
#: What compares with a shear rate of 1/s, or with a day: another second is another comparison.
PER_SECOND = ("consistency", "flow_index", "thickness", "settling_speed", "creaming_speed", "lasts")
#: Units that are shown as they are.
AS_THEY_ARE = ("money", "money/kg", "Pa", "-", "m³/kg", "s", "mol/kg", "MPa½")


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
    wanted = ("shrinkage", "density", "batch_mass", "volume", "mass_per_container", "volume_fraction")
    moved = ("stated_density", "material_density", "computed_density")
    elsewhere = Counter(("shrinkage", "density", "material_density", "computed_density"))  # once more, at 20 °C
    assert calls == Counter((*wanted, *moved)) + elsewhere


def test_what_is_given_outranks_what_would_be_computed(registry: dict[str, Quantity]) -> None:
    calls: Counter[str] = Counter()
    counted(registry, calls)
    found = evaluate(["batch_mass"], {**GIVEN, "stated_density": np.array(950.0)})
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
    without = {name: array for name, array in GIVEN.items() if name != "density_reading"}
    with pytest.raises(KeyError, match="density_reading is neither given nor a quantity"):
        evaluate(["volume"], without)


def test_the_same_name_cannot_be_registered_twice(registry: dict[str, Quantity]) -> None:
    with pytest.raises(ValueError, match="density is registered twice"):

        @quantity(unit="1", title="A", equation="a", source="definition")
        def density(mass_fraction: Floats) -> Floats:
            return mass_fraction


def test_leaves_stop_at_what_is_given() -> None:
    shrinks = {"material_composition", "substance_water", "substance_shrinks"}
    swells = {name for name in GIVEN if name.startswith("density_reading") or name.startswith("material_melt")}
    swells |= {"material_expansion", "material_as_water", "temperature"}
    assert set(leaves("volume")) == {"filled_volume", "mass_fraction"} | shrinks | swells
    assert set(leaves("volume", ["density", "batch_mass"])) == {"density", "batch_mass"}
    assert leaves("density", ["density"]) == ("density",)


def mixtures(shape: tuple[int, ...], seed: int) -> Floats:
    """Return random lotions: two to three quarters of water, up to a sixth of powder, a little gum."""
    rng = np.random.default_rng(seed)
    rest = rng.dirichlet([8.0, 1.0, 4.0], shape)
    powder, gum = rng.uniform(0.001, 0.17, shape), rng.uniform(0.002, 0.008, shape)
    return np.concatenate([rest * (1 - powder - gum)[..., None], powder[..., None], gum[..., None]], axis=-1)


@pytest.mark.parametrize("what", ALL, ids=lambda what: what.name)
def test_one_composition_is_a_row_of_many(what: Quantity) -> None:
    """The same function takes a composition, a table of them, and a stack of tables; nan stays in its own row."""
    many = mixtures((4, 50), seed=5)
    many[2, 7] = np.nan
    densities = np.random.default_rng(6).uniform(700, 2000, (4, 50, 5))
    together = evaluate([what.name], {**GIVEN, "mass_fraction": many, "material_density": densities})[what.name]
    rests_on_shares = "mass_fraction" in leaves(what.name)
    if together.shape[:2] != (4, 50):  # of the materials, whatever their shares
        together = np.broadcast_to(together, (4, 50, *together.shape))
    for i, j in [(0, 0), (1, 13), (2, 7), (2, 8), (3, 49)]:
        alone = evaluate([what.name], {**GIVEN, "mass_fraction": many[i, j], "material_density": densities[i, j]})
        np.testing.assert_allclose(together[i, j], alone[what.name], rtol=1e-13)
    assert np.isnan(together[2, 7]).all() == rests_on_shares
    known = slice(2, 3) if what.name == "substance_kinematic" else slice(None)  # only the oil has one
    assert np.isfinite(np.delete(together.reshape(200, -1), 107, axis=0)[:, known]).all()


@pytest.mark.parametrize("what", ALL, ids=lambda what: what.name)
def test_every_quantity_can_be_judged(what: Quantity) -> None:
    assert what.title and what.equation and "=" in what.equation
    assert what.source in sources()
    assert what.each in EACH
    assert not what.beyond.endswith(".")
    unit = re.search(r"\[([^\]]+)\]\s*$", what.function.__doc__ or "")
    assert unit is not None and unit.group(1) == what.unit
    assert what.name in workings()
    assert {what.unit, what.shown} <= {*BENCH_UNITS, *AS_THEY_ARE}


def test_every_working_is_that_of_a_quantity() -> None:
    assert set(workings()) == set(quantities())


@pytest.mark.parametrize("what", ALL, ids=lambda what: what.name)
def test_every_missing_input_has_a_way_to_supply_it(what: Quantity) -> None:
    for leaf in leaves(what.name):
        if leaf in ALWAYS_GIVEN:
            assert ALWAYS_GIVEN[leaf] and leaf not in SUPPLY
        else:
            assert SUPPLY[leaf].format(names="ash and oak", first="ash")


def test_what_is_always_given_is_given_and_is_asked_for() -> None:
    """A formula of one plain line has every input that is said to be always there, and none is there for nothing."""
    given = gathered(formula("squalane 100"), draws=0).given
    asked = {leaf for what in ALL for leaf in leaves(what.name)}
    assert set(ALWAYS_GIVEN) <= set(given)
    assert set(given) <= asked and set(SUPPLY) | set(ALWAYS_GIVEN) == asked
    assert set(GIVEN) == asked


SCALED = [what for what in ALL if what.name not in IN_UNITS_OF_ITS_OWN]


@pytest.mark.parametrize("what", SCALED, ids=lambda what: what.name)
def test_units_are_consistent(what: Quantity) -> None:
    """Scale kilogram, metre and second as if another had defined them: a result must scale as its unit says.

    Gravity must stay the number that it is, so seconds go as the root of metres.
    """
    factors = (3.0, 1.0, 1.0, 11.0) if what.name in PER_SECOND else (3.0, 7.0, math.sqrt(7.0), 11.0)
    here = {**GIVEN, **evaluate(IN_UNITS_OF_ITS_OWN, GIVEN)}
    there = {name: array * scale(UNITS.get(name, (0, 0, 0, 0)), factors) for name, array in here.items()}
    ours, theirs = (evaluate([what.name], given)[what.name] for given in (there, here))
    np.testing.assert_allclose(ours, theirs * scale(OF_UNIT[what.unit], factors), rtol=1e-12)


def scale(powers: tuple[int, ...], factors: tuple[float, ...]) -> float:
    return math.prod(factor**power for factor, power in zip(factors, powers, strict=True))


@pytest.mark.parametrize("unit", BENCH_UNITS)
def test_bench_units_are_units(unit: str) -> None:
    shown, dimension = BENCH_UNITS[unit]
    assert units.convert(units.si(f"12.5 {shown}", dimension), shown, dimension) == pytest.approx(12.5, rel=1e-12)
    assert to_bench(units.si(f"12.5 {shown}", dimension), unit) == pytest.approx(12.5, rel=1e-12)
