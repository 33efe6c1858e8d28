"""What is like a material."""

from __future__ import annotations

import pytest

from levigate.shelf.catalogue import Shelf, catalogue
from levigate.shelf.related import related


@pytest.mark.parametrize("key", ["glycerin", "squalane", "azelaic acid", "polysorbate 80", "olive oil"])
def test_a_stand_in_is_of_the_same_kind_place_form_and_charge_and_shares_half_of_the_purposes(key: str) -> None:
    mine = catalogue()[key]
    for one in related(catalogue(), key, most=50).stand_ins:
        theirs = catalogue()[one.key]
        assert one.key != key
        assert (theirs.kind, theirs.affinity, theirs.form, theirs.charge) == (
            mine.kind,
            mine.affinity,
            mine.form,
            mine.charge,
        )
        assert 2 * len(set(mine.does) & set(theirs.does)) >= len(set(mine.does) | set(theirs.does))


def test_where_nothing_does_the_same_the_nearest_is_said_with_what_differs() -> None:
    own = Shelf(
        {
            "lone": {
                "kind": "active",
                "form": "paste",
                "affinity": "oil",
                "does": ["calms tides", "stills storms", "soothing"],
            },
            "like": {"kind": "active", "form": "powder", "affinity": "oil", "does": ["calms tides", "stills storms"]},
        },
        origin="own-word",
        below=catalogue(),
    )
    found = related(own, "lone")
    assert not found.stand_ins
    assert (found.nearest[0].key, found.nearest[0].differs) == ("like", ("form",))


def test_oils_are_ordered_by_their_fatty_acids() -> None:
    """Sum over |difference| / 2 of the percents, reckoned here from the records by hand."""
    found = related(catalogue(), "olive oil").stand_ins
    mine = catalogue()["olive oil"].fatty_acids
    assert mine is not None
    gaps = []
    for one in found:
        theirs = one.record.fatty_acids
        assert theirs is not None
        acids = set(mine.parts) | set(theirs.parts)
        gaps.append(sum(abs(float(mine.parts.get(acid, 0)) - float(theirs.parts.get(acid, 0))) for acid in acids) / 2)
    assert gaps == sorted(gaps) and gaps[0] < 15
