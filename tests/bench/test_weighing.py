"""Rounding to the scale, the batch plan, how sure a weighing is, and the ways out of a line that is too small."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from levigate.bench.batch import Batch, plan
from levigate.bench.ways import Stock, WayOut, ways_out
from levigate.bench.weighing import (
    Scale,
    expanded_error,
    in_steps,
    least_grams,
    least_shown,
    line_error,
    read_scale,
    round_to_scale,
)
from levigate.errors import BatchError, UnitError
from levigate.formula.model import Formula
from levigate.formula.text import own_shelf, read_makes
from levigate.quantities.swelling import density_of
from tests.quantities.formulas import formula

STEPS = ["0.01", "0.1", "0.5", "1", "2"]
masses = st.lists(st.fractions(0, 300, max_denominator=997), min_size=1, max_size=12)
few_masses = st.lists(st.integers(0, 40).map(lambda n: Fraction(n, 16)), min_size=1, max_size=5)


def planned(one: Formula, makes: str, step: str = "0.1", *, loss: float = 0.0, within: float = 0.05) -> Batch:
    return plan(one, own_shelf(one), read_makes(makes), read_scale(step), loss=loss, within=within)


# Rounding.


@given(masses, st.sampled_from(STEPS))
@settings(deadline=None, database=None)
def test_the_total_is_exact_and_every_mass_can_be_shown(exact: list[Fraction], step: str) -> None:
    rounded = round_to_scale(exact, Decimal(step))
    assert all(mass % Decimal(step) == 0 and mass >= 0 for mass in rounded)
    assert abs(Fraction(sum(rounded, Decimal(0))) - sum(exact)) <= Fraction(step) / 2
    assert all(mass == 0 for mass, wanted in zip(rounded, exact, strict=True) if wanted == 0)


def cost(steps: tuple[int, ...], exact: list[Fraction]) -> Fraction:
    """Sum of squared relative changes, in steps; a line of nought must stay nought."""
    return sum((((n - x) / x) ** 2 for n, x in zip(steps, exact, strict=True) if x), Fraction(0))


def allocations(total: int, exact: list[Fraction]) -> Iterator[tuple[int, ...]]:
    """Yield every way to share out so many steps; what is nought gets none."""
    if not exact:
        if total == 0:
            yield ()
        return
    for first in range(total + 1 if exact[0] else 1):
        for rest in allocations(total - first, exact[1:]):
            yield first, *rest


@given(few_masses)
@example([Fraction(n, 10) for n in (6, 16, 26, 12)])
@example([Fraction(3, 2), Fraction(3, 2), Fraction(1, 2)])
@example([Fraction(3, 10), Fraction(3, 10), Fraction(3, 10)])
@example([Fraction(1, 2)] * 4)
@settings(deadline=None, database=None, max_examples=250)
def test_no_other_allocation_is_better(exact: list[Fraction]) -> None:
    """Every allocation of the same number of steps is tried; none has a smaller sum of squared relative changes."""
    rounded = tuple(int(mass) for mass in round_to_scale(exact, Decimal(1)))
    total = sum(rounded)
    assert total == int(sum(exact) + Fraction(1, 2))
    best = min(cost(steps, exact) for steps in allocations(total, exact))
    assert cost(rounded, exact) == best


def test_rounding_falls_on_the_large_lines() -> None:
    """0.45 g must not become 0.4 g for the sake of a total that 200 g can carry."""
    rounded = round_to_scale([Fraction("199.96"), Fraction("0.46"), Fraction("0.46"), Fraction("0.06")], Decimal("0.1"))
    assert [str(mass) for mass in rounded] == ["199.8", "0.5", "0.5", "0.1"]


@pytest.mark.parametrize(
    ("text", "resolution", "places"),
    [
        ("0.1", "0.1", 1),
        ("0.01 g", "0.01", 2),
        ("1", "1", 0),
        ("5 mg", "0.005", 3),
        ("0.50", "0.5", 1),
        ("1 kg", "1000", 0),
    ],
)
def test_scales(text: str, resolution: str, places: int) -> None:
    scale = read_scale(text)
    assert scale.resolution == Decimal(resolution)
    assert scale.places == places


@pytest.mark.parametrize("text", ["0", "-0.1", "2 kg", "0.0000001"])
def test_what_is_no_scale_is_refused(text: str) -> None:
    with pytest.raises(BatchError, match=r'is no resolution of a scale; write for example "0\.1 g"'):
        read_scale(text)


@pytest.mark.parametrize("text", ["0,1", "ten", "1 mL"])
def test_what_is_no_mass_is_refused(text: str) -> None:
    with pytest.raises(UnitError):
        read_scale(text)


# How sure.


@pytest.mark.parametrize("step", [0.001, 0.1, 1.0])
@pytest.mark.parametrize("mass", [0.3, 5.0, 436.6])
def test_error_is_that_of_two_roundings(step: float, mass: float) -> None:
    """U = 2 √(2/12) d/m: each rounding, before and after, is a uniform distribution d wide, of deviation d/√12."""
    assert expanded_error(mass, Scale(Decimal(repr(step)))) == pytest.approx(
        2 * math.sqrt(2 / 12) * step / mass, rel=1e-12
    )


def test_a_stated_repeatability_counts_where_it_is_the_larger() -> None:
    """USP <41>: a standard deviation below 0.41 d is replaced by 0.41 d."""
    good, poor = (read_scale("0.1", s) for s in ("0.01 g", "0.2 g"))
    assert expanded_error(5.0, good) == pytest.approx(2 * math.sqrt(2 / 12) * 0.1 / 5, rel=1e-12)
    assert expanded_error(5.0, poor) == pytest.approx(2 * 0.2 / 5, rel=1e-12)
    assert least_grams(poor, 0.05) == pytest.approx(8.0, rel=1e-12)


@given(st.sampled_from(STEPS), st.floats(0.001, 1.0))
@settings(deadline=None, database=None)
def test_the_least_that_is_shown_is_weighed_well_enough_and_a_step_less_is_not(step: str, within: float) -> None:
    scale = read_scale(step)
    least = least_shown(scale, within)
    assert least % scale.resolution == 0
    assert expanded_error(float(least), scale) <= within * (1 + 1e-9)
    if least > scale.resolution:
        assert expanded_error(float(least - scale.resolution), scale) > within


def test_a_line_that_rounds_to_nothing_has_no_error() -> None:
    scale = read_scale("0.1")
    assert line_error(0.049, scale) is None
    assert line_error(0.05, scale) == expanded_error(0.1, scale)


@pytest.mark.parametrize(
    ("grams", "shown"), [(0.05, "0.1"), (0.15, "0.2"), (0.25, "0.3"), (0.0499, "0.0"), (2.675, "2.7")]
)
def test_halves_go_up(grams: float, shown: str) -> None:
    assert in_steps(grams, read_scale("0.1")) == Decimal(shown)


# The plan.

CREAM = "aqua q.s., glycerin 5, xanthan gum 0.3, squalane 20, tocopherol 0.1, phenoxyethanol 0.9"


def test_a_plan_of_a_mass() -> None:
    batch = planned(formula(CREAM), "500 g")
    assert [str(line.grams) for line in batch.lines] == ["368.5", "25.0", "1.5", "100.0", "0.5", "4.5"]
    assert batch.total == 500 and batch.yield_grams == 500
    assert batch.volume == pytest.approx(500 / batch.density.value, rel=1e-12)
    assert [str(line.running) for line in batch.lines][-1] == "500.0"
    assert batch.lines[4].too_small and not batch.lines[1].too_small
    assert batch.lines[4].error_percent == pytest.approx(100 * 2 * math.sqrt(2 / 12) * 0.1 / 0.5, rel=1e-12)
    assert sum(line.grams for line in batch.lines) == batch.total


def test_a_loss_is_made_as_well() -> None:
    """485 g to fill after 3 % are lost: 500 g are made."""
    batch = planned(formula(CREAM), "485 g", loss=0.03)
    assert batch.total == 500
    assert batch.yield_grams == pytest.approx(485, rel=1e-12)


def test_containers_and_volumes_go_through_the_density() -> None:
    one = formula(CREAM)
    for makes in ("12 x 50 mL", "600 mL"):
        batch = planned(one, makes)
        assert float(batch.total) == pytest.approx(600 * batch.density.value, abs=0.05)
        assert batch.volume == pytest.approx(600, abs=0.06)
    assert planned(one, "10 x 30 g").total == 300


def test_a_volume_needs_a_density() -> None:
    mud = formula("mud 100", rest="[materials.mud]\n")
    assert planned(mud, "500 g").total == 500
    with pytest.raises(BatchError, match=r"only when the density is known, and it is not\. The density of mud is not"):
        planned(mud, "500 mL")


@pytest.mark.parametrize(
    ("lines", "makes", "loss", "within", "says"),
    [
        (
            "aqua 99",
            "500 g",
            0.0,
            0.05,
            r"The lines add up to 99 %, not to 100 %; mend the formula before weighing it\.",
        ),
        ("aqua q.s., glycerin 60, squalane 41", "5 g", 0.0, 0.05, "leave nothing for the q.s. line; mend the formula"),
        ("aqua 100", "500 g", 1.0, 0.05, r"A loss of 100 % leaves nothing sensible; write for example --loss 3%\."),
        ("aqua 100", "500 g", -0.1, 0.05, r"A loss of -10 % leaves nothing sensible"),
        ("aqua 100", "500 g", 0.0, 0.0, r"A weighing error of 0 % is none to keep within"),
        ("aqua 100", "0.05 g", 0.0, 0.05, r"The whole batch is smaller than one step of the scale \(0\.1 g\)\."),
    ],
)
def test_what_cannot_be_planned_says_why(lines: str, makes: str, loss: float, within: float, says: str) -> None:
    with pytest.raises(BatchError, match=says):
        planned(formula(lines), makes, loss=loss, within=within)


def test_a_line_of_nought_is_weighed_as_nought() -> None:
    line = planned(formula("aqua 100, glycerin 0"), "500 g").lines[1]
    assert line.grams == 0 and line.error_percent is None and not line.too_small


@given(st.floats(0.5, 5000), st.sampled_from(STEPS), st.floats(0, 0.5))
@settings(deadline=None, database=None, max_examples=30)
def test_any_plan_adds_up(grams: float, step: str, loss: float) -> None:
    assume(grams > 2 * float(step))
    batch = planned(formula(CREAM), f"{grams!r} g", step, loss=round(loss, 3))
    assert sum(line.grams for line in batch.lines) == batch.total
    assert abs(float(batch.total) - grams / (1 - round(loss, 3))) <= float(step) / 2 * (1 + 1e-9)
    assert [line.running for line in batch.lines] == list(itertools.accumulate(line.grams for line in batch.lines))


def test_the_running_total_begins_again_with_each_phase() -> None:
    two = """{ material = "aqua", percent = 60 }]
        [[phase]]
        letter = "B"
        lines = [ { material = "squalane", percent = 40 }"""
    assert [str(line.running) for line in planned(formula(two), "100 g").lines] == ["60.0", "40.0"]


# The smallest batch and the ways out.

SMALL = "aqua q.s.; glycerin 5; xanthan gum 0.3; squalane 20; tocopherol 0.1; phenoxyethanol 0.9; citric acid 0.05"


@pytest.mark.parametrize("step", ["0.01", "0.1", "0.5"])
@pytest.mark.parametrize("within", [0.01, 0.05, 0.2])
def test_the_smallest_batch_is_the_smallest(step: str, within: float) -> None:
    one = formula(SMALL)
    batch = planned(one, "500 g", step, within=within)
    assert batch.smallest_for == "citric acid"
    assert not planned(one, f"{batch.smallest!r} g", step, within=within).small
    less = planned(one, f"{batch.smallest - 2 * float(step) / 0.0005} g", step, within=within)
    assert "citric acid" in {small.material for small in less.small}


def only(ways: tuple[WayOut, ...], kind: str) -> WayOut:
    (found,) = (way for way in ways if way.kind == kind)
    return found


@given(st.floats(20, 2000), st.sampled_from(["0.01", "0.1", "0.5", "1"]), st.sampled_from([0.01, 0.05, 0.1]))
@settings(deadline=None, database=None, max_examples=25)
def test_every_way_out_meets_the_error_when_planned_again(grams: float, step: str, within: float) -> None:
    one = formula(SMALL)
    batch = planned(one, f"{grams!r} g", step, within=within)
    for small in batch.small:
        bigger = only(small.ways, "bigger batch")
        assert bigger.batch is not None
        again = planned(one, f"{bigger.batch} g", step, within=within).lines[small.position]
        assert again.error_percent is not None and again.error_percent <= 100 * within * (1 + 1e-9)
        for way in small.ways:
            if way.scale is not None:
                finer = planned(one, f"{grams!r} g", str(way.scale.resolution), within=within).lines[small.position]
                assert finer.error_percent is not None and finer.error_percent <= 100 * within * (1 + 1e-9)
            if way.stock is not None:
                check_stock(batch, small.position, way.stock, within)


def check_stock(batch: Batch, position: int, stock: Stock, within: float) -> None:
    """A stock must bring what the line asks for, be weighable, dissolve, and leave the carrier above nought."""
    step = batch.scale.resolution
    line = batch.lines[position]
    assert stock.material == line.material
    assert all(mass % step == 0 and mass > 0 for mass in (stock.neat, stock.carrier_grams, stock.takes))
    assert stock.neat + stock.carrier_grams == stock.neat * stock.parts >= stock.takes
    wanted = Fraction(line.percent) / 100 * Fraction(batch.total)
    assert abs(Fraction(stock.takes) / stock.parts - wanted) <= Fraction(step) / 2 / stock.parts + Fraction(1, 10**9)
    for mass in (stock.neat, stock.takes):
        assert expanded_error(float(mass), batch.scale) <= within * (1 + 1e-9)
    (carrier,) = (other for other in batch.lines if other.material == stock.carrier)
    assert carrier.phase == line.phase
    left = float(carrier.grams - stock.less)
    assert left >= 0 and (left < 2 * float(step) or expanded_error(left, batch.scale) <= within * 1.1)
    assert abs(stock.takes - stock.less - line.grams) <= step  # the total stays what it was, but for one step


def test_a_stock_by_its_numbers() -> None:
    """0.1 % tocopherol of 200 g is 0.2 g; a 1 in 10 stock takes 2.0 g, so 1.8 g less squalane; 1.7 g is the least."""
    batch = planned(formula("squalane q.s., tocopherol 0.1, jojoba oil 10"), "200 g")
    (small,) = batch.small
    way = only(small.ways, "stock")
    assert way.says == (
        "mix 1.7 g tocopherol with 15.3 g squalane; weigh 2 g of this 1 in 10 stock and 1.8 g less of the squalane"
    )
    assert way.extra_grams == pytest.approx(15.0)
    assert [one.kind for one in small.ways] == ["stock", "bigger batch", "finer scale"]
    assert only(small.ways, "bigger batch").says == "make 1700 g or more"
    assert only(small.ways, "finer scale").says == "weigh it on a scale that shows 0.01 g"


def test_no_stock_is_offered_for_what_is_not_small() -> None:
    """2 g can be weighed as it is."""
    one = formula("squalane q.s., tocopherol 0.1")
    assert not any(way.kind == "stock" for way in ways_out(one, own_shelf(one), 1, 2003.0, read_scale("0.1")))


def test_a_stock_is_made_in_a_carrier_of_its_own_phase() -> None:
    apart = """{ material = "tocopherol", percent = 0.1 }, { material = "aqua", percent = 10 } ]
        [[phase]]
        letter = "B"
        lines = [ { material = "squalane", percent = "q.s." }"""
    (small,) = planned(formula(apart), "200 g").small
    assert [way.kind for way in small.ways] == ["bigger batch", "finer scale"]


def test_stocks_share_a_carrier_without_using_it_up() -> None:
    """Six small lines want 2.7 g each off 12 g of squalane: three can have it, and 1.7 g can still be weighed."""
    oils = ["tocopherol", "bisabolol", "jojoba oil", "castor oil", "olive oil", "argan oil"]
    text = ", ".join(["squalane 12", *(f"{oil} 0.3" for oil in oils), "aqua q.s."])
    batch = planned(formula(text), "100 g")
    stocks = [way.stock for small in batch.small for way in small.ways if way.stock is not None]
    assert [(stock.carrier, stock.less) for stock in stocks] == [("squalane", Decimal("2.7"))] * 3


@pytest.mark.parametrize(
    ("small", "carrier", "parts"),
    [
        ("tocopherol", "squalane", 10),  # two oils
        ("citric acid", "aqua", 10),  # 592 g/L on record
        ("salicylic acid", "aqua", None),  # 2 g/L on record: not even 1 in 100 dissolves
        ("xanthan gum", "squalane", None),  # a powder without solubility in oil
        ("zinc oxide", "aqua", None),
        ("dimethicone 350", "squalane", None),  # silicone in oil: not known
        ("xanthan gum", "glycerin", None),
        ("kelp jelly", "aqua", None),  # not on the shelf
    ],
)
def test_a_stock_is_offered_only_for_what_is_known_to_dissolve(small: str, carrier: str, parts: int | None) -> None:
    assert offered(formula(f"{carrier} q.s., {small} 0.1")) == parts


SALT = """[materials.salt]
form = "powder"
solubility = [{{ liquid = "{liquid}", value = "{value}", source = "own-word", grade = "measured" }}]
"""


def offered(one: Formula) -> int | None:
    """Return in how many parts a stock is offered for the second line of 200 g; None where none is."""
    ways = ways_out(one, own_shelf(one), 1, 200.0, read_scale("0.1"))
    return next((way.stock.parts for way in ways if way.stock is not None), None)


@pytest.mark.parametrize(
    ("liquid", "value", "parts"),
    [
        ("water", "140 g/L", 10),  # a tenth is 111 g to a litre of water; a fifth more is 133
        ("water", "130 g/L", 20),
        ("water", "5 g/L", None),  # a hundredth is 10 g to a litre
        ("water", "miscible", 10),
        ("water", "insoluble", None),
        ("water", "<500 g/L", None),
        ("ethanol", "500 g/L", None),  # says nothing of water
    ],
)
def test_a_solubility_on_record_decides(liquid: str, value: str, parts: int | None) -> None:
    assert offered(formula("aqua q.s., salt 0.1", rest=SALT.format(liquid=liquid, value=value))) == parts


def test_the_bound_for_a_stock_goes_by_the_density_of_the_carrier() -> None:
    """One part in ten of glycerin, 1.26 g/mL, is 140 g to a litre; with a fifth to spare 168."""
    for value, parts in [("160 g/L", 20), ("175 g/L", 10)]:
        one = formula("glycerin q.s., salt 0.1", rest=SALT.format(liquid="glycerin", value=value))
        assert density_of(own_shelf(one), "glycerin").value == pytest.approx(1260, abs=5)
        assert offered(one) == parts


def test_a_solubility_on_record_outranks_a_likeness() -> None:
    rest = SALT.format(liquid="oil", value="insoluble").replace('"powder"', '"liquid"\naffinity = "oil"')
    one = formula("squalane q.s., salt 0.1", rest=rest)
    ways = ways_out(one, own_shelf(one), 1, 200.0, read_scale("0.1"))
    assert [way.kind for way in ways] == ["bigger batch", "finer scale"]
