"""Every quick sum: its example runs and says all that a figure says, and no input makes it fall over."""

from __future__ import annotations

import json
import math
import re
import subprocess
import sys

import pytest

from levigate.errors import LevigateError
from levigate.quantities.figure import FIGURE_GRADES
from levigate.reckon.sums import QuickSum, quick_sums, reckon
from levigate.shelf.catalogue import sources
from tests.cli.calling import call
from tests.reckon.told import told

BENCH_TESTS = (
    "density-by-syringe", "falling-ball", "slump", "spread", "flow-cup", "clear-layer", "centrifuge",
    "grain-by-sieve", "settling", "suspend", "mix-temperature", "cooling", "fill-check", "container",
)  # fmt: skip
ALL = list(quick_sums().values())
#: More of what a sum can be told than its example tells.
MORE = {
    "clear-layer": "height=5cm",
    "container": 'use="face cream" fills=40g',
    "cooling": "at=30min",
    "density-by-syringe": "to=25C expansion=0.0007",
    "fill-check": "nominal=30mL density=1g/mL",
    "flow-cup": "density=0.9g/mL",
    "settling": "solids=5% height=5cm",
    "slump": "diameter=50mm",
    "spread": "load=100g",
    "suspend": "yield_stress=1Pa",
}
ODD_NUMBERS = (
    "0",
    "-1",
    "1e-12",
    "1e-6",
    "1e-3",
    "0.5",
    "1",
    "3",
    "50",
    "99",
    "101",
    "1e4",
    "1e9",
    "1e300",
    "nan",
    "inf",
)
ODD_TEXTS = (
    "",
    "nan",
    "1,5",
    "%",
    ";",
    ":",
    "é",
    "5 parsec",
    "0%",
    "-5%",
    "1e9%",
    "1 mm",
    "-1 C",
    "1 C",
    "1e9 g",
    "30 mL",
)
UNITS = {
    "length": "mm", "density": "g/mL", "time": "s", "viscosity": "mPa.s", "mass": "g", "volume": "mL", "share": "%",
    "temperature": "C", "rotation": "rpm", "pressure": "Pa",
}  # fmt: skip


def test_the_bench_tests_are_all_there() -> None:
    assert set(BENCH_TESTS) <= set(quick_sums())


def test_they_are_listed_with_an_example_each() -> None:
    listed = " ".join(call("reckon").out.split())
    for one in ALL:
        assert f"levigate reckon {one.name} {one.example}" in listed
    assert {one["sum"] for one in call("reckon", "--json").json("levigate reckon")} == set(quick_sums())


@pytest.mark.parametrize("one", ALL, ids=lambda one: one.name)
def test_the_example_runs_and_says_what_it_rests_on(one: QuickSum) -> None:
    answer = reckon(one.name, told(one.example))
    assert answer.figures and answer.working
    assert all(re.search(r"\d", line) or "together nothing" in line for line in answer.working)
    for name, figure in answer.figures.items():
        assert figure.name == name and figure.title and figure.method
        assert math.isfinite(figure.value)
        assert figure.source in sources() and figure.grade in FIGURE_GRADES
        assert all(entry.source in sources() and entry.grade in FIGURE_GRADES for entry in figure.inputs)


@pytest.mark.parametrize("name", BENCH_TESTS)
def test_a_bench_test_gives_its_interval_when_it_holds_and_how_far_off_it_was_seen(name: str) -> None:
    one = quick_sums()[name]
    answer = reckon(name, told(one.example))
    first = next(iter(answer.figures.values()))
    assert first.low is not None and first.high is not None
    assert first.low < first.value < first.high
    assert first.holds and first.inputs and answer.notes
    assert any(figure.seen_off for figure in answer.figures.values()) or name in (
        "centrifuge",
        "fill-check",
        "container",
    )


@pytest.mark.parametrize("one", ALL, ids=lambda one: one.name)
def test_the_command_prints_it_for_people_and_for_programs(one: QuickSum) -> None:
    pairs = [f"{key}={value}" for key, value in told(one.example).items()]
    figures = reckon(one.name, told(one.example)).figures
    printed = call("reckon", one.name, *pairs)
    assert printed.status == 0
    for figure in figures.values():
        assert f"{figure.title}: " in printed.out
    found = call("reckon", one.name, *pairs, "--json").json("levigate reckon NAME key=value")
    assert found["sum"] == one.name
    assert {key: entry["value"] for key, entry in found["figures"].items()} == pytest.approx(
        {key: figure.value for key, figure in figures.items()}
    )


def test_the_real_command_refuses_with_a_sentence_and_answers_with_json() -> None:
    words = [sys.executable, "-m", "levigate", "reckon", "suspend", "diameter=10um", "particle_density=5.6g/mL"]
    good = subprocess.run([*words, "liquid_density=1g/mL", "--json"], capture_output=True, encoding="utf-8", check=True)
    assert json.loads(good.stdout)["figures"]["yield_stress"]["value"] == pytest.approx(0.0215, abs=5e-5)
    bad = subprocess.run([*words, "liquid_density=5.6g/mL"], capture_output=True, encoding="utf-8", check=False)
    assert bad.returncode == 2 and bad.stdout == ""
    assert bad.stderr.startswith("levigate: Both are equally dense") and bad.stderr.count("\n") == 1


@pytest.mark.parametrize("name", BENCH_TESTS)
@pytest.mark.parametrize("more", [False, True], ids=["example", "more"])
def test_no_odd_value_makes_a_number_that_is_none(name: str, more: bool) -> None:
    one = quick_sums()[name]
    base = told(one.example) | (told(MORE.get(name, "")) if more else {})
    assert reckon(name, base).figures
    for key, about in one.keys.items():
        for value in [f"{n}{UNITS[about.dimension]}" for n in ODD_NUMBERS] if about.dimension else ODD_TEXTS:
            try:
                answer = reckon(name, {**base, key: value})
            except LevigateError as trouble:
                assert len(str(trouble)) > 20, (key, value)
                continue
            for figure in answer.figures.values():
                low, high = (figure.value if end is None else end for end in (figure.low, figure.high))
                assert math.isfinite(low) and math.isfinite(high), (key, value, figure.name)
                assert low <= figure.value <= high, (key, value, figure.name)
