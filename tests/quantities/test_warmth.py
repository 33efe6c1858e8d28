"""Warmth: densities and viscosities at other temperatures against printed tables, filling hot, readings elsewhere."""

from __future__ import annotations

import math

import numpy as np
import pytest

from levigate.errors import FormulaError
from levigate.formula.text import own_shelf
from levigate.quantities.figure import Figure, figures
from levigate.quantities.inputs import Inputs, gather
from levigate.quantities.swelling import EXPANSION, density_of, swelling_of
from levigate.quantities.thinning import SILICONE_ACTIVATION, THIN_ACTIVATION
from levigate.quantities.warmth import stands_for_all
from levigate.shelf.catalogue import catalogue
from tests.quantities.formulas import formula

ZERO = 273.15


def at(celsius: float, lines: str, *, draws: int = 0, **more: str) -> Inputs:
    one = formula(lines, **more)
    return gather(one, own_shelf(one), draws=draws, temperature=celsius + ZERO)


def figure(celsius: float, lines: str, name: str, *, draws: int = 0, **more: str) -> Figure:
    return figures(at(celsius, lines, draws=draws, **more), [name])[name]


# Density with temperature.


@pytest.mark.parametrize(
    ("celsius", "printed"), [(5, 0.99997), (20, 0.99820), (32, 0.99503), (45, 0.99021), (60, 0.98320)]
)
def test_water_has_the_density_of_the_tables(celsius: float, printed: float) -> None:
    """CRC Handbook, density of standard mean ocean water (IAPWS-95): 5, 20, 32, 45 and 60 °C."""
    assert figure(celsius, "aqua 100", "density").value == pytest.approx(printed, rel=2e-4)


@pytest.mark.parametrize(
    ("share", "celsius", "printed"),
    [(50, 20, 1.12630), (50, 25, 1.12375), (50, 30, 1.12110), (20, 20, 1.04690), (80, 30, 1.20240), (100, 20, 1.26108)],
)
def test_glycerol_solutions_have_the_density_of_the_tables(share: float, celsius: float, printed: float) -> None:
    """Bosart and Snoddy (1927), as the tests of the formula have them; the pure parts move apart from each other."""
    rest = f"glycerin {share}, aqua {100 - share}" if share < 100 else "glycerin 100"
    assert figure(celsius, rest, "density").value == pytest.approx(printed, rel=1e-3)


@pytest.mark.parametrize(("celsius", "printed"), [(10, 0.92162), (25, 0.90985), (40, 0.89750)])
def test_weak_spirit_has_the_density_of_the_tables(celsius: float, printed: float) -> None:
    """Osborne, McKelvy and Bearce (1913): half ethanol and half water by mass."""
    assert figure(celsius, "ethanol 50, aqua 50", "density").value == pytest.approx(printed, rel=5e-4)


def test_vegetable_oil_swells_as_it_was_seen_to() -> None:
    """Noureddini, Teoh and Clements (1992): vegetable oils lose about 0.0007 g/mL a kelvin from 24 to 110 °C."""
    cold, warm = (figure(t, "soybean oil 100", "density").value for t in (23.9, 60))
    assert (cold - warm) / 36.1 == pytest.approx(7e-4, rel=0.1)


def test_usual_expansions_hold_those_that_are_on_record() -> None:
    """Each class against the handbook expansions of the catalogue, and Kaye and Laby's for olive oil and paraffin oil.

    Kaye and Laby, cubic expansion near 20 °C: olive oil 7.0e-4, paraffin oil 7.6e-4, glycerol 4.9e-4, ethanol 1.08e-3.
    """
    for kind, printed in {
        "oil": (7.0e-4, 7.6e-4),
        "watery": (2.07e-4, 4.87e-4, 7.34e-4),
        "alcohol": (1.085e-3,),
    }.items():
        low, high = EXPANSION[kind]
        assert all(low <= one <= high for one in printed), kind
    shelf = catalogue()
    for name in shelf:
        record = shelf[name]
        if record.expansion and record.kind in ("oil", "ester", "silicone") and record.form == "liquid":
            low, high = EXPANSION["silicone" if record.affinity == "silicone" else "oil"]
            one = swelling_of(shelf, name)
            if name not in ("disiloxane", "trisiloxane", "cyclotetrasiloxane") and not name.startswith(
                "dimethicone 1.5"
            ):
                assert low - one.spread <= one.expansion <= high + one.spread, name


def test_a_wax_swells_on_melting_and_its_melt_was_read_apart() -> None:
    """The catalogue's beeswax is 0.955 g/mL solid and 0.82 g/mL at 80 °C: the second is met within 4 %."""
    melt = catalogue()["beeswax"].density[1]
    assert melt.at == "80 C"
    found = gather(one := formula("beeswax 100"), own_shelf(one), draws=0, temperature=80 + ZERO)
    density = figures(found, ["density"])["density"].value
    assert density == pytest.approx(melt.si("density") / 1000, rel=0.04)
    assert density < 0.93 * figure(25, "beeswax 100", "density").value


def test_a_reading_is_honoured_at_its_own_temperature() -> None:
    own = '[materials.mud]\ndensity = { value = "1.2 g/mL", at = "15 C", source = "own-word", grade = "measured" }\n'
    assert figure(15, "mud 100", "density", rest=own).value == pytest.approx(1.2, rel=1e-12)
    assert figure(25, "mud 100", "density", rest=own).value < 1.2
    shelf = own_shelf(formula("mud 100", rest=own))
    assert density_of(shelf, "mud").value == pytest.approx(1000 * figure(25, "mud 100", "density", rest=own).value)


def test_doubt_grows_away_from_the_reading() -> None:
    near, far = (figure(t, "olive oil 100", "density", draws=4000) for t in (20, 60))
    widths = [(one.high - one.low) / one.value for one in (near, far) if one.high is not None and one.low is not None]
    assert widths[1] > widths[0] * 1.001


# Thickness with temperature.


@pytest.mark.parametrize(
    ("share", "celsius", "printed"),
    [(0, 20, 1.005), (0, 40, 0.656), (20, 40, 1.07), (50, 20, 6.00), (50, 30, 4.21), (50, 40, 3.10), (60, 20, 10.8)],
)
def test_glycerol_solutions_thin_as_the_tables_say(share: float, celsius: float, printed: float) -> None:
    """Segur and Oberstar (1951), mPa.s; Cheng's formula is within 3 % of them."""
    lines = f"glycerin {share}, aqua {100 - share}" if share else "aqua 100"
    found = figure(celsius, lines, "clear_viscosity").value
    assert found * 1e3 == pytest.approx(printed, rel=0.04)


@pytest.mark.parametrize(
    ("oil", "celsius", "printed"),
    [("soybean oil", 23.9, 59.0), ("soybean oil", 37.8, 35.0), ("corn oil", 23.9, 57.0), ("corn oil", 37.8, 34.0),
     ("abyssinian oil", 23.9, 96.0), ("abyssinian oil", 37.8, 55.0), ("sunflower oil", 40, 31.5),
     ("cottonseed oil", 20, 73.0), ("castor oil", 37.8, 297.5)],
)  # fmt: skip
def test_oils_thin_as_the_tables_say(oil: str, celsius: float, printed: float) -> None:
    """Noureddini and others (1992), Ryan and others (1984), Rescorla and Carnahan (1936), in mm²/s."""
    found = at(celsius, f"{oil} 100")
    thin = figures(found, ["clear_viscosity", "density"])
    nu = thin["clear_viscosity"].value / thin["density"].value * 1e3
    assert nu == pytest.approx(printed, rel=0.12)


def test_two_readings_of_an_own_oil_are_the_line_of_the_standard() -> None:
    """ASTM D341, worked apart: 30 mm²/s at 40 °C and 5.23 at 100 °C make 14.447 at 60 °C and 60.41 at 25 °C."""
    word = 'source = "own-word", grade = "measured"'
    own = (
        '[materials.oilX]\ninci = "X"\nkind = "hydrocarbon"\nform = "liquid"\naffinity = "oil"\ndensity = "0.9 g/mL"\n'
        f'kinematic_viscosity = [{{ value = "30 mm2/s", at = "40 C", {word} }}, '
        f'{{ value = "5.23 mm2/s", at = "100 C", {word} }}]\n'
    )
    for celsius, printed in ((25, 60.41), (60, 14.447)):
        found = figures(at(celsius, "oilX 100", rest=own), ["clear_viscosity", "density"])
        nu = found["clear_viscosity"].value / found["density"].value * 1e3
        assert nu == pytest.approx(printed, rel=3e-3)  # the density of the blend is moved by its expansion


def test_thin_liquids_and_silicones_thin_less_than_oils() -> None:
    """CRC Handbook: dodecane 2.277, 1.383 and 0.930 mPa.s at 0, 25 and 50 °C; and what is printed of silicone fluid.

    Silicone fluid of 100 mm²/s at 25 °C: 763.1/T in the decimal logarithm (Barry, 1946, from memory): 14.6 kJ/mol.
    """
    cold, room, warm = (2.277, 1.383, 0.930)
    for other, celsius in ((cold, 0), (warm, 50)):
        energy = 8.314 * math.log(other / room) / (1 / (celsius + ZERO) - 1 / 298.15)
        assert abs(energy - THIN_ACTIVATION[0]) < THIN_ACTIVATION[1]
    assert abs(763.1 * math.log(10) * 8.314 - SILICONE_ACTIVATION[0]) < SILICONE_ACTIVATION[1]
    ratio = [
        figure(5, lines, "clear_viscosity").value / figure(45, lines, "clear_viscosity").value
        for lines in ("dimethicone 100 cst 100", "sunflower oil 100")
    ]
    assert ratio[0] < 2.5
    assert ratio[1] > 4


def test_an_oil_that_sets_has_no_thickness() -> None:
    """Jojoba oil melts at 7 to 10.6 °C (Merck Index)."""
    assert figure(15, "jojoba oil 100", "thickness").known
    assert "have set" in figure(5, "jojoba oil 100", "thickness").unknown
    rows = figure(25, "jojoba oil 100", "clear_viscosity_by_climate", draws=100).rows
    assert [math.isnan(row.value) for row in rows] == [True, False, False, False]


def test_a_gel_is_foreseen_only_where_its_curve_was_read() -> None:
    lines = "aqua 99, xanthan gum 1"
    assert figure(15, lines, "yield_stress").known and figure(30, lines, "thickness").known
    for celsius in (5, 32, 45):
        told = figure(celsius, lines, "yield_stress").unknown
        assert "15 to 30 °C" in told and "levigate reckon slump" in told
        assert figure(celsius, "aqua 100", "yield_stress").value == 0  # nothing thickens it


# Four climates are the same graph.


def test_four_climates_are_four_reviews() -> None:
    lines = "aqua 60, glycerin 10, ethanol 10, sunflower oil 19.9, lecithin 0.1"
    for name, one in (("density_by_climate", "density"), ("clear_viscosity_by_climate", "clear_viscosity")):
        text = lines if one == "density" else "sunflower oil 70, isopropyl myristate 30"
        rows = figure(25, text, name, draws=100).rows
        alone = [figure(t, text, one, draws=100).value for t in (5, 20, 32, 45)]
        np.testing.assert_allclose([row.value for row in rows], alone, rtol=1e-12)


def test_the_lists_hold_all_that_the_figures_rest_on() -> None:
    assert stands_for_all()


# What was measured, elsewhere.


def test_a_measured_density_is_moved_as_the_computed_one() -> None:
    rest = '[measured]\ndensity = { value = "0.90 g/mL", at = "20 C" }\n'
    lines = "sunflower oil 100"
    assert figure(20, lines, "density", rest=rest).value == pytest.approx(0.90, rel=1e-12)
    moved = figure(45, lines, "density", rest=rest)
    there, here = (figure(t, lines, "density").value for t in (45, 20))
    assert moved.value == pytest.approx(0.90 * there / here, rel=1e-12)
    assert "moved" in moved.method
    rows = figure(20, lines, "density_by_climate", draws=50, rest=rest).rows
    assert rows[1].value == pytest.approx(0.90, rel=1e-12) and rows[3].value == pytest.approx(moved.value, rel=1e-12)


def test_a_measured_density_stands_where_the_materials_have_none() -> None:
    """Then it is moved by what liquids grow: from 0.01 to 0.09 % a kelvin."""
    rest = '[measured]\ndensity = { value = "1.00 g/mL", at = "25 C" }\n'
    found = figure(25, "mud 100", "batch_mass", rest=rest, head='makes = "100 mL"', draws=4000)
    assert found.value == pytest.approx(100 * math.exp(5e-4 * 5), rel=1e-9)
    assert found.low is not None and found.low < found.value


def test_a_flow_measured_elsewhere_is_left_out_and_said() -> None:
    rest = '[measured]\nyield_stress = { value = "12 Pa", at = "5 C" }\n'
    cold, room = (at(t, "aqua 99, xanthan gum 1", rest=rest) for t in (5, 25))
    assert cold.left_out == () and room.left_out == ("yield_stress",)
    assert figures(cold, ["yield_stress"])["yield_stress"].value == 12
    assert figures(room, ["yield_stress"])["yield_stress"].value != 12


def test_a_measured_thickness_is_said_to_be_measured() -> None:
    found = figure(25, "sunflower oil 100", "thickness", rest='[measured]\nviscosity = "40 mPa.s"\n')
    assert found.method == "as measured on this product" and found.working()[0].endswith(found.method)


@pytest.mark.parametrize(
    ("rest", "told"),
    [
        ('[measured]\ndensity = { value = "1 g/mL", at = "20 g" }\n', "temperature"),
        ('[measured]\ndensity = { value = "1 g/mL", at = "-40 C" }\n', 'at = "20 C"'),
        ('[container]\nshape = "jar 50 mL"\nfill_at = "450 C"\n', "to fill at"),
        ('[container]\nshape = "jar 50 mL"\nfill_at = "45 g"\n', "temperature"),
    ],
)
def test_what_is_no_temperature_is_told(rest: str, told: str) -> None:
    with pytest.raises(FormulaError) as trouble:
        formula("aqua 100", rest=rest)
    assert told in str(trouble.value)


# Filling hot.


def test_filled_hot_by_weight() -> None:
    """By hand: 30 mL of squalane at 20 °C is 30 × ρ(20) grams, and stands at 30 × ρ(20)/ρ(75) mL while hot."""
    rest = '[container]\nshape = "jar 30 mL"\nfill_at = "75 C"\n'
    head = 'makes = "10 x 30 mL"'
    stated, warm = (figure(t, "squalane 100", "density").value for t in (20, 75))
    found = figures(at(25, "squalane 100", rest=rest, head=head), ["mass_per_container", "warm_volume", "warm_level"])
    assert found["mass_per_container"].value == pytest.approx(30 * stated, rel=1e-12)
    assert found["warm_volume"].value == pytest.approx(30 * stated / warm, rel=1e-12)
    assert 1.03 < stated / warm < 1.06
    brimful = 36.0
    assert found["warm_level"].value == pytest.approx(100 * 30 * stated / warm / brimful, rel=1e-12)


def test_how_long_it_lasts_has_the_spread_of_its_amounts() -> None:
    """30 g, a stated 1 g a day within a fifth, 2 to 10 % left inside: low end over high end by first order."""
    head = 'makes = "10 x 30 g"\ndaily = "1 g"'
    found = figure(25, "squalane 100", "lasts", head=head, draws=20_000)
    assert found.value == pytest.approx(30 * 0.94, rel=1e-9)
    assert found.low is not None and found.high is not None
    assert math.log(found.high / found.low) / 2 == pytest.approx(math.hypot(0.2, 0.04 / 0.94), rel=0.05)


def test_shares_of_the_volume_add_up() -> None:
    rows = figure(25, "ethanol 50, aqua 50", "volume_fraction").rows
    assert sum(row.value for row in rows) == pytest.approx(100, rel=1e-12)
