"""What the README shows is what the commands print."""

from __future__ import annotations

import pytest

from tests.tour import README, Block, blocks

TOUR = list(blocks(README.read_text(encoding="utf-8")))


def test_there_is_a_tour() -> None:
    assert len(TOUR) >= 5


@pytest.mark.parametrize("block", TOUR, ids=lambda block: block.command)
def test_the_tour_is_true(block: Block) -> None:
    assert block.now() == block.shown
