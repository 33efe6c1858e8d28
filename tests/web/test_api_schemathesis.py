"""The API as its own description says: schemathesis asks what nobody would; no answer is a fault of the program."""

from __future__ import annotations

import datetime
from decimal import Decimal
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from levigate.records import formulas as records
from levigate.records.models import Lot
from levigate.web.wsgi import application
from tests.records.texts import PLAIN
from tests.web.test_api import a_batch

CHECKS: list[Any] = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
]
_ALL = list(HealthCheck)
KEY = {"Authorization": "Bearer token-of-the-tests", "Host": "127.0.0.1", "Accept-Encoding": "identity"}


@pytest.fixture
def described(db: None) -> Any:
    made = records.create(PLAIN)
    records.save(made, seen=0, knew=None)
    a_batch(made)
    Lot.objects.create(pk=1, material="glycerin", number="1", received=datetime.date(2026, 1, 5), grams=Decimal(5))
    return schemathesis.openapi.from_wsgi("/api/openapi.json", application, headers=KEY)


#: What is on record, in place of words that no record has.
KNOWN = {"slug": "tideline-lotion", "code": "26-0001", "number": 1, "position": 1}


def test_every_answer_is_as_described(described: Any) -> None:
    asked = 0
    for found in described.get_all_operations():
        operation = found.ok()

        @settings(max_examples=15, deadline=None, derandomize=True, database=None, suppress_health_check=_ALL)
        @given(case=operation.as_strategy())
        def ask(case: Any) -> None:
            nonlocal asked
            case.call_and_validate(checks=CHECKS, headers=KEY)
            if case.path_parameters:
                case.path_parameters = {name: KNOWN[name] for name in case.path_parameters}
                case.call_and_validate(checks=CHECKS, headers=KEY)
            asked += 1

        ask()
    assert asked > 50
