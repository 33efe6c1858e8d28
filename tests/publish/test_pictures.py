"""The charts of a review are drawn from the numbers of its figures."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pytest

from levigate.formula.text import read_formula
from levigate.publish.pictures import CLASSES, pictures, stand, titration
from levigate.review.engine import review
from levigate.science.suspension import settling_velocity
from tests.cli.calling import call

SUSPENSION = """levigate = 1
[formula]
name = "Tide & <gel>"
use = "face cream"
makes = "4 x 30 mL"
keeps = "3 months"
[container]
shape = "jar 30 mL"
[[phase]]
letter = "A"
lines = [
  { material = "zinc oxide", percent = 5, grain = { d50 = "2 um", d90 = "6 um" } },
  { material = "isoamyl laurate", percent = 20 },
  { material = "squalane", percent = "q.s." },
]
"""
GEL = SUSPENSION.replace(
    '{ material = "isoamyl laurate", percent = 20 },',
    '{ material = "silica dimethyl silylate 5 % in caprylic/capric triglyceride", percent = 50 },',
)


TONER = """levigate = 1
[formula]
name = "Tide & <gel>"
[[phase]]
letter = "A"
lines = [
  { material = "sodium benzoate", percent = 0.5 },
  { material = "phenoxyethanol", percent = 0.5 },
  { material = "aqua", percent = "q.s." },
]
[measured]
pH = "4.60"
"""


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        (SUSPENSION, "flow grain column container"),
        (GEL, "flow grain column container"),
        (TONER, "flow dissolved preservative"),
    ],
)
def test_every_chart_is_an_svg_that_names_the_formula(text: str, wanted: str) -> None:
    drawn = dict(pictures(review(read_formula(text), draws=50)))
    assert list(drawn) == wanted.split()
    for picture in drawn.values():
        root = ET.fromstring(picture)
        assert root.tag.endswith("svg")
        said = "".join(node.text or "" for node in root.iter() if node.tag.endswith(("text", "tspan")))
        assert "Tide & <gel>" in said  # markup in a name comes out as text


LOTION = SUSPENSION.replace(
    '{ material = "squalane", percent = "q.s." },',
    '{ material = "polysorbate 80", percent = 2 }, { material = "aqua", percent = "q.s." },',
)


def test_the_ruler_of_hlb_names_each_oil_and_each_emulsifier() -> None:
    text = LOTION.replace("isoamyl laurate", "mineral oil")
    drawn = dict(pictures(review(read_formula(text), draws=50)))
    root = ET.fromstring(drawn["hlb"])
    said = " ".join(node.text or "" for node in root.iter() if node.tag.endswith(("text", "tspan")))
    assert all(word in said for word in ("the oil asks for", "the emulsifiers have", "mineral oil", "polysorbate 80"))
    assert "hlb" not in dict(pictures(review(read_formula(LOTION), draws=50)))  # the ester's is not on record


def test_the_ph_of_the_product_is_marked_where_it_is_known() -> None:
    known = dict(pictures(review(read_formula(TONER), draws=50)))["preservative"]
    assert "the pH of the product, 4.60" in known and "benzoic acid" in known and "phenoxyethanol" not in known
    carbomer = '{ material = "carbomer", percent = 0.3 },\n  { material = "aqua"'
    text = TONER.replace('{ material = "aqua"', carbomer).replace('pH = "4.60"', 'density = "1.0 g/mL"')
    assert "is not known" in dict(pictures(review(read_formula(text), draws=50)))["preservative"]


BUFFER = """levigate = 1
[formula]
name = "Tide & <gel>"
[[phase]]
letter = "A"
lines = [
  { material = "aqua", percent = "q.s." },
  { material = "lactic acid", percent = 2 },
  { material = "sodium lactate", percent = 2 },
]
"""


def test_a_buffer_gets_its_titration_curve_and_what_has_no_ph_gets_none() -> None:
    """Lactic acid of 222 mmol and 178 mmol of lactate in 1000 g: as much base as acid is where the curve is steep."""
    reviewed = review(read_formula(BUFFER), draws=20)
    drawn = dict(pictures(reviewed))
    assert "titration" in drawn and "for skin" in drawn["titration"]
    added, ph, here = titration(reviewed.inputs)
    assert np.all(np.diff(ph) > 0) and ph[0] == pytest.approx(2.0, abs=1.1) and ph[-1] == pytest.approx(10, abs=0.01)
    assert here == pytest.approx(float(np.interp(0, added, ph)), abs=1e-6)
    assert np.interp(22.2, added, ph) > 6 > np.interp(21.0, added, ph)
    acid = here - float(np.interp(-1.0, added, ph))
    assert acid == pytest.approx(float(np.interp(1.0, added, ph)) - here, rel=0.1)
    carbomer = BUFFER.replace("sodium lactate", "carbomer")
    assert "titration" not in dict(pictures(review(read_formula(carbomer), draws=20)))


def test_solutes_against_their_limits_are_drawn() -> None:
    text = (
        SUSPENSION[: SUSPENSION.index("[[phase]]")].replace("4 x 30 mL", "100 g")
        + """[[phase]]
letter = "A"
lines = [ { material = "caffeine", percent = 1.5 }, { material = "aqua", percent = "q.s." } ]
"""
    )
    drawn = dict(pictures(review(read_formula(text), draws=50)))
    said = "".join(node.text or "" for node in ET.fromstring(drawn["dissolved"]).iter())
    assert "caffeine" in said and "crystals in the cold" in said and "from 5 °C" in said


def test_a_formula_of_unknown_flow_gets_no_flow_chart() -> None:
    text = SUSPENSION.replace("isoamyl laurate", "phenyl trimethicone none such")
    assert "flow" not in dict(pictures(review(read_formula(text), draws=50)))


def test_without_a_gel_the_powder_is_down_by_the_end() -> None:
    """Stokes' velocity of the finest eighth, in a jar 22 mm high, says that it is all down in three months."""
    found = review(read_formula(SUSPENSION), draws=0)
    column = stand(found.inputs, 0.022, 3 * 2629800.0)
    slowest = 2e-6 * math.exp(-1.534 * math.log(3) / 1.2816)  # the middle of the finest eighth of a lognormal
    speed = float(settling_velocity(slowest, 5600.0, 830.0, 0.02))
    assert 0.022 / speed < 3 * 2629800.0
    assert column.clear_layer[-1] > 0.015
    assert float(np.max(column.mass_error)) < 1e-12
    assert column.concentration.shape[1] == CLASSES


def test_with_the_gel_nothing_moves() -> None:
    column = stand(review(read_formula(GEL), draws=0).inputs, 0.022, 3 * 2629800.0)
    assert column.clear_layer[-1] == 0.0
    assert math.isnan(column.clear_time)


def test_the_command_draws_into_a_folder(tmp_path: Path) -> None:
    file = tmp_path / "tide.toml"
    file.write_text(GEL, encoding="utf-8")
    called = call("review", file, "--charts", tmp_path / "deep" / "charts")
    assert called.status == 0
    assert sorted(path.name for path in (tmp_path / "deep" / "charts").iterdir()) == [
        "column.svg", "container.svg", "flow.svg", "grain.svg",
    ]  # fmt: skip
    blocked = call("review", file, "--charts", file)
    assert blocked.status == 2
    assert "cannot be made" in blocked.err
