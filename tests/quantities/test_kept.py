"""What is kept with the materials of a formula is what a first reading gives, and spreads are those of numpy."""

from __future__ import annotations

from decimal import Decimal

import numpy as np
import pytest

from levigate.demo import examples
from levigate.formula.model import Formula
from levigate.formula.percent import adjust
from levigate.formula.text import own_shelf, read_formula
from levigate.quantities.acids import free_acid
from levigate.quantities.gathered import materials_of
from levigate.quantities.inputs import Inputs, gather
from levigate.quantities.spread import interval

DRAWS = 20


def _changes(formula: Formula) -> list[Formula]:
    """Return the formula with each line that can give way halved, doubled, and set to nought."""
    found = [formula]
    for line, percent in enumerate(formula.percents):
        if line != formula.qs:
            found += [adjust(formula, {line: percent * Decimal(by)}) for by in ("0.5", "2", "0") if percent < 30]
    return found


def _same(kept: Inputs, fresh: Inputs) -> None:
    assert kept.given.keys() == fresh.given.keys()
    for leaf, array in fresh.given.items():
        np.testing.assert_array_equal(kept.given[leaf], array, err_msg=leaf)
    assert repr(kept.behind) == repr(fresh.behind)  # as text, for what is not known is not equal to itself
    assert (kept.drawn, kept.asked, kept.names, kept.unnamed) == (fresh.drawn, fresh.asked, fresh.names, fresh.unnamed)
    assert (kept.powders, kept.thickeners, kept.waxy) == (fresh.powders, fresh.thickeners, fresh.waxy)


@pytest.mark.parametrize("name", list(examples()))
def test_after_a_change_of_percents_all_is_as_if_read_for_the_first_time(name: str) -> None:
    formula = read_formula(examples()[name].read_text(encoding="utf-8"))
    shelf = own_shelf(formula)
    changes = _changes(formula)
    assert len(changes) > 5
    materials_of.cache_clear()
    kept = [gather(one, shelf, draws=DRAWS) for one in changes]  # each after the others
    for one, found in zip(changes, kept, strict=True):
        materials_of.cache_clear()
        _same(found, gather(one, shelf, draws=DRAWS))


def test_what_is_kept_cannot_be_written_to() -> None:
    formula = read_formula(examples()["breakwater-hand-cream"].read_text(encoding="utf-8"))
    with pytest.raises(ValueError, match="read-only"):
        gather(formula, own_shelf(formula), draws=DRAWS).given["density_reading"][0] = 1.0


@pytest.mark.parametrize("shape", [(1,), (2,), (41,), (1000,), (200, 3), (7, 2, 4)])
@pytest.mark.parametrize("blank", [0.0, 0.3])
def test_an_interval_is_that_of_numpy(shape: tuple[int, ...], blank: float) -> None:
    rng = np.random.default_rng(5)
    draws = rng.lognormal(size=shape)
    draws[rng.random(shape) < blank] = np.nan
    draws[0] = 1.0  # so that each has one that is known
    np.testing.assert_allclose(interval(draws), np.nanquantile(draws, (0.025, 0.975), axis=0), rtol=1e-12)


def test_an_interval_of_nothing_is_not_known() -> None:
    assert np.isnan(interval(np.full((5, 2), np.nan))).all()
    assert np.isnan(interval(np.zeros((0, 2)))).all()


def test_without_acids_there_is_no_free_acid() -> None:
    none = free_acid(np.zeros(3), np.full(3, 0.1), np.zeros(0), np.zeros((3, 2, 1)), np.zeros(2), np.full(3, 0.3))
    assert none.shape == (3, 0)
