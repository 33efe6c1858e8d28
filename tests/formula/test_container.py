"""A container named by its generic shape brings its measures; what the file says outranks them."""

from __future__ import annotations

import math

import pytest

from levigate.errors import FormulaError
from levigate.formula.model import Container, Formula
from levigate.formula.text import read_formula

TEXT = """levigate = 1
[formula]
name = "Jar"
makes = "4 x 50 mL"
{head}
[container]
{box}
[[phase]]
letter = "A"
lines = [{{ material = "squalane", percent = "q.s." }}]
"""


def formula(box: str, head: str = "") -> Formula:
    return read_formula(TEXT.format(box=box, head=head), file="jar.toml")


def container(box: str) -> Container:
    found = formula(box).container
    assert found is not None
    return found


def test_a_jar_by_name() -> None:
    jar = container('shape = "jar 50 mL"')
    assert jar.name == "jar 50 mL"
    assert jar.kind == "jar"
    assert jar.brimful == pytest.approx(60e-6)
    # A cylinder of 50 mm bore: 50 mL stand 4 V/(pi d²) high.
    assert jar.height == pytest.approx(4 * 50e-6 / (math.pi * 0.05**2), rel=1e-6)
    assert jar.pours == (2.0, None)


def test_what_the_file_says_outranks_the_shape() -> None:
    jar = container('shape = "jar 50 mL"\nname = "my jar"\nbrimful = "58 mL"\nheadspace = "10 %"\nheight = "25 mm"')
    assert (jar.name, jar.headspace, jar.height) == ("my jar", 0.1, 0.025)
    assert jar.brimful == pytest.approx(58e-6)


def test_keeps_and_daily() -> None:
    read = formula('shape = "jar 50 mL"', 'keeps = "12 months"\ndaily = "0.4 g"')
    assert read.keeps == pytest.approx(31557600.0)
    assert read.daily == pytest.approx(4e-4)


@pytest.mark.parametrize(
    ("box", "head", "says"),
    [
        ('shape = "jar 51 mL"', "", r'line 7: \[container\]: there is no "jar 51 mL"; did you mean "?jar'),
        ('height = "3 km"', "", "no height of a filling"),
        ('height = "0 mm"', "", "no height of a filling"),
        ('shape = "jar 50 mL"', 'keeps = "0 months"', "no time to keep"),
        ('shape = "jar 50 mL"', 'daily = "5 kg"', "no amount a person uses"),
    ],
)
def test_refused(box: str, head: str, says: str) -> None:
    with pytest.raises(FormulaError, match=says):
        formula(box, head)
