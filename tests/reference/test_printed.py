"""Every published number kept here is met within half a unit of its last printed digit, or within a stated reason."""

from __future__ import annotations

import pytest

from levigate.shelf.catalogue import sources
from tests.reference.printed import SEEN, Case, cases

ALL = list(cases())


@pytest.mark.parametrize("case", ALL, ids=[f"{case.name}-{i}" for i, case in enumerate(ALL)])
def test_printed(case: Case) -> None:
    assert case.source in sources()
    assert case.seen in SEEN
    assert abs(case.difference()) <= case.tolerance, f"printed {case.expected}, ours {case.ours():.8g}"


def test_a_wider_tolerance_gives_its_reason() -> None:
    from tests.reference.printed import half_last_digit

    loose = [case for case in ALL if case.tolerance > 1.01 * half_last_digit(case.expected)]
    assert [case.name for case in loose if not case.why] == []
