"""Every room opens."""

from __future__ import annotations

import pytest
from django.test import Client


@pytest.mark.parametrize("path", ["/", "/shelf/", "/formulas/", "/bench/", "/sums/", "/preferences/", "/api/docs"])
def test_every_room_opens_and_says_where_one_is(client: Client, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 200
    assert answer.content.count(b'aria-current="page"') == 1


def test_a_page_is_never_changed_by_looking(client: Client) -> None:
    assert client.post("/shelf/").status_code == 405
