"""What every public function of the science package must do, from the day it appears.

Functions are discovered; `tests.science.examples` gives the arguments. Nothing here names a single function.
"""

from __future__ import annotations

import dataclasses
import inspect
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from levigate.shelf.catalogue import sources
from tests.science.docstrings import BASE, constants, dimension, entries, functions, modules, section
from tests.science.examples import EXAMPLES, Example

FUNCTIONS = functions()
CONSTANTS = list(constants())
NOMENCLATURE = Path(__file__).parents[2] / "docs" / "nomenclature.md"
#: In place of a unit: the argument is a name or a count, not a quantity.
NO_QUANTITY = "-"

every_function = pytest.mark.parametrize("name", sorted(FUNCTIONS))
ran_by_example = pytest.mark.parametrize("name", sorted(set(FUNCTIONS) & set(EXAMPLES)))
in_any_unit = [name for name in sorted(set(FUNCTIONS) & set(EXAMPLES)) if not EXAMPLES[name].by_fit]
in_its_own_unit = [name for name in sorted(set(FUNCTIONS) & set(EXAMPLES)) if EXAMPLES[name].by_fit]


def arrays(example: Example) -> dict[str, np.ndarray[Any, np.dtype[np.float64]]]:
    return {name: np.array(values, dtype=float) for name, values in example.inputs.items()}


def parts(result: Any) -> list[Any]:
    """Return the results of a call as a list, whether it gave one array, a tuple or a frozen value."""
    if dataclasses.is_dataclass(result) and not isinstance(result, type):
        return [getattr(result, entry.name) for entry in dataclasses.fields(result)]
    return list(result) if isinstance(result, tuple) else [result]


def call(name: str, inputs: dict[str, Any]) -> list[Any]:
    return parts(FUNCTIONS[name](**inputs, **EXAMPLES[name].fixed))


def read_nomenclature() -> dict[str, str]:
    page = NOMENCLATURE.read_text(encoding="utf-8")
    rows = re.findall(r"^\| `(\w+)` \|[^|]*\| ([^|]+) \|", page, re.MULTILINE)
    assert len(rows) == len({name for name, _ in rows}), "a name stands twice in the nomenclature"
    return {name: unit.strip() for name, unit in rows}


def test_a_public_function_is_one_that_all_names() -> None:
    for module in modules():
        own = {
            name
            for name, thing in vars(module).items()
            if inspect.isfunction(thing) and thing.__module__ == module.__name__ and not name.startswith("_")
        }
        assert own <= set(module.__all__), module.__name__


def test_every_function_has_an_example() -> None:
    assert sorted(set(FUNCTIONS) - set(EXAMPLES)) == [], "add an entry to tests/science/examples.py"
    assert sorted(set(EXAMPLES) - set(FUNCTIONS)) == [], "an example without its function"


@ran_by_example
def test_example_gives_numbers(name: str) -> None:
    example = EXAMPLES[name]
    parameters = inspect.signature(FUNCTIONS[name]).parameters
    left_out = set(parameters) - set(example.inputs) - set(example.fixed)
    assert all(parameters[key].default is None for key in left_out), "defaults that are numbers are given too"
    cases = {len(values) for values in example.inputs.values()}
    assert len(cases) == 1 and cases.pop() >= 2
    for result in call(name, arrays(example)):
        assert isinstance(result, np.ndarray | np.floating) and result.dtype == np.float64
        assert np.all(np.isfinite(result))


@every_function
def test_docstring_names_every_argument_with_its_unit(name: str) -> None:
    function = FUNCTIONS[name]
    documented = list(entries(function, "Parameters"))
    assert [entry.name for entry in documented] == list(inspect.signature(function).parameters)
    returned = list(entries(function, "Returns"))
    assert returned
    for entry in documented + returned:
        assert entry.unit, f"{entry.name} does not end with its unit in brackets"
        assert entry.unit == NO_QUANTITY or dimension(entry.unit)
    first = (inspect.getdoc(function) or "").partition("\n")[0]
    assert re.match(r"Return .+[.;]", first), "the summary is one line and begins with Return"


@every_function
def test_docstring_says_how_far_it_holds_and_on_whose_word(name: str) -> None:
    notes = section(FUNCTIONS[name], "Notes")
    assert len(notes.split()) > 8
    named = {key for key in sources() if re.search(rf"(?<![\w-]){re.escape(key)}(?![\w-])", notes)}
    assert named, "no source key of sources.toml stands in the Notes"


@every_function
def test_arguments_are_in_the_nomenclature(name: str) -> None:
    known = read_nomenclature()
    for entry in entries(FUNCTIONS[name], "Parameters"):
        assert entry.name in known, f"{entry.name} is not in docs/nomenclature.md"
        assert known[entry.name] == entry.unit, f"{entry.name} has another unit in docs/nomenclature.md"


@ran_by_example
def test_a_scalar_is_an_element_of_an_array(name: str) -> None:
    whole = call(name, arrays(EXAMPLES[name]))
    as_lists = call(name, dict(EXAMPLES[name].inputs))
    for case in range(len(next(iter(EXAMPLES[name].inputs.values())))):
        alone = call(name, {key: values[case] for key, values in EXAMPLES[name].inputs.items()})
        for one, many, listed in zip(alone, whole, as_lists, strict=True):
            assert np.shape(one) == np.shape(many)[1:]
            np.testing.assert_allclose(many[case], one, rtol=1e-13)
            np.testing.assert_array_equal(listed, many)


@ran_by_example
def test_arrays_broadcast(name: str) -> None:
    """One argument down, the others across, must give the table of all pairs."""
    inputs = arrays(EXAMPLES[name])
    first = next(iter(inputs))
    cases = len(inputs[first])
    table = call(name, {**inputs, first: inputs[first][:, np.newaxis]})
    for row in range(cases):
        alone = call(name, {**inputs, first: inputs[first][row : row + 1]})
        for many, one in zip(table, alone, strict=True):
            assert many.shape[:2] == (cases, cases if len(inputs) > 1 else 1)
            np.testing.assert_allclose(many[row], one, rtol=1e-13)


@ran_by_example
def test_nan_stays_nan_and_where_it_was(name: str) -> None:
    example = EXAMPLES[name]
    before = call(name, arrays(example))
    for key in example.inputs:
        inputs = arrays(example)
        inputs[key].reshape(len(inputs[key]), -1)[1, 0] = np.nan
        for clean, result in zip(before, call(name, inputs), strict=True):
            holes = np.isnan(result[1])
            assert np.any(holes) if example.axes else np.all(holes), key
            np.testing.assert_array_equal(np.delete(result, 1, axis=0), np.delete(clean, 1, axis=0))


@ran_by_example
@pytest.mark.parametrize("impossible", [np.inf, -np.inf, 1e300, -1.0, 0.0])
def test_an_impossible_element_harms_no_other(name: str, impossible: float) -> None:
    """No exception, and no warning either: pytest turns those into errors."""
    before = call(name, arrays(EXAMPLES[name]))
    for key in EXAMPLES[name].inputs:
        inputs = arrays(EXAMPLES[name])
        inputs[key].reshape(len(inputs[key]), -1)[1, 0] = impossible
        for clean, result in zip(before, call(name, inputs), strict=True):
            np.testing.assert_array_equal(np.delete(result, 1, axis=0), np.delete(clean, 1, axis=0))


@ran_by_example
def test_inputs_are_left_as_they_were(name: str) -> None:
    inputs = arrays(EXAMPLES[name])
    kept = {key: values.copy() for key, values in inputs.items()}
    for values in inputs.values():
        values.flags.writeable = False
    for result in call(name, inputs):
        assert not any(np.shares_memory(result, values) for values in inputs.values())
    for key, values in inputs.items():
        np.testing.assert_array_equal(values, kept[key])


def scale(unit: str, factors: tuple[float, ...]) -> float:
    """Return what a number of this unit grows by when the base units are made smaller by the factors."""
    if unit == NO_QUANTITY:
        return 1.0
    powers = zip(factors, dimension(unit), strict=True)
    return float(np.prod([factor ** float(exponent) for factor, exponent in powers]))


def told_in_other_units(name: str, factors: tuple[float, ...]) -> tuple[list[Any], list[Any]]:
    """Return results turned into other units, and results of inputs and constants turned into them."""
    function = FUNCTIONS[name]
    here = {key: np.array(value, float) for key, value in EXAMPLES[name].inputs.items()}
    units = {entry.name: entry.unit for entry in entries(function, "Parameters")}
    there = {key: value * scale(units[key], factors) for key, value in here.items()}
    results = zip(call(name, here), entries(function, "Returns"), strict=True)
    expected = [part * scale(entry.unit, factors) for part, entry in results]
    with pytest.MonkeyPatch.context() as patch:
        for owner, constant, unit in CONSTANTS:
            value = getattr(owner, constant)
            for module in modules():
                if hasattr(module, constant) and getattr(module, constant) is value:
                    patch.setattr(module, constant, value * scale(unit, factors))
        return expected, call(name, there)


@pytest.mark.parametrize("name", in_any_unit)
@given(st.tuples(*[st.floats(-1.5, 1.5).map(lambda power: 10.0**power) for _ in BASE]))
@settings(max_examples=15, deadline=None, database=None)
def test_physics_does_not_know_our_units(name: str, factors: tuple[float, ...]) -> None:
    for expected, found in zip(*told_in_other_units(name, factors), strict=True):
        np.testing.assert_allclose(found, expected, rtol=1e-9)


@pytest.mark.parametrize("name", in_its_own_unit)
def test_a_formula_said_to_hold_in_its_own_units_only_does(name: str) -> None:
    """An exemption that is no longer needed must go."""
    pairs = zip(*told_in_other_units(name, (3.0, 5.0, 7.0, 1.01, 11.0)), strict=True)
    assert not all(np.allclose(found, expected, rtol=1e-9) for expected, found in pairs)


@pytest.mark.parametrize(
    ("unit", "exponents"),
    [
        ("1", (0, 0, 0, 0, 0)),
        ("kg/m³", (1, -3, 0, 0, 0)),
        ("J/(mol K)", (1, 2, -2, -1, -1)),
        ("Pa s", (1, -1, -1, 0, 0)),
        ("1/s", (0, 0, -1, 0, 0)),
        ("m⁻² s", (0, -2, 1, 0, 0)),
    ],
)
def test_units_are_read(unit: str, exponents: tuple[int, ...]) -> None:
    assert dimension(unit) == exponents


@pytest.mark.parametrize("unit", ["cP", "g/mL", "%", "kg/", "degC", "m^2"])
def test_other_units_are_refused(unit: str) -> None:
    with pytest.raises(ValueError, match=r"unit|read|stroke"):
        dimension(unit)
