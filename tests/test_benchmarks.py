"""The benchmarks exist and can be run; what they measure is printed by ``make bench``."""

from __future__ import annotations

import importlib

import pytest

from benchmarks.__main__ import MODULES


@pytest.mark.parametrize("name", MODULES)
def test_each_benchmark_has_rows(name: str) -> None:
    assert callable(importlib.import_module(f"benchmarks.{name}").rows)
