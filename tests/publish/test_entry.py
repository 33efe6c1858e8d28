"""A material as an entry: every value beside the others, with its source."""

from __future__ import annotations

import pytest

from levigate.publish.entry import apart, entry_of, printed
from levigate.shelf.catalogue import catalogue, sources
from levigate.shelf.record import PROPERTIES, Value


def value(text: str | float | None = None, **rest: object) -> Value:
    return Value.model_validate({"value": text, "source": "memory", "grade": "memory", **rest})


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ("106.5 C", "106.5 °C"),
        ("20 C to 25 C", "20 °C to 25 °C"),
        ("18 um", "18 µm"),
        ("906 mPa.s", "906 mPa·s"),
        ("47 mm2/s", "47 mm²/s"),
        ("4.87e-4 1/K", "4.87 · 10⁻⁴ 1/K"),
        ("from vitamin C", "from vitamin C"),
    ],
)
def test_units_are_printed_as_in_a_book(given: str, said: str) -> None:
    assert printed(given) == said


@pytest.mark.parametrize(
    ("values", "dimension", "says"),
    [
        ([value("1.00 g/mL")], "density", ""),
        ([value("1.00 g/mL"), value("1.00 g/mL")], "density", ""),
        ([value("0.95 g/mL"), value("1.05 g/mL")], "density", "10 %"),
        ([value("0.95 g/mL"), value("1.05 g/mL", spread="0.2 g/mL")], "density", ""),
        ([value("0.95 g/mL", at="20 C"), value("1.05 g/mL", at="25 C")], "density", ""),
        ([value("84"), value(None, low="75", high="94")], "share", ""),
        ([value("132 C"), value("89 C")], "temperature", "43 °C"),
        ([value("132 F"), value("132 F", spread="2 F")], "temperature", ""),
        ([value("18 um"), value("100 um")], "length", "a factor of 5.6"),
        ([value(None, values=(4.52, 5.4)), value(None, values=(4.55, 5.333))], "share", "0.067"),
    ],
)
def test_how_far_sources_are_apart(values: list[Value], dimension: str, says: str) -> None:
    assert apart(values, dimension, absolute=bool(values[0].values)) == says


def test_every_material_of_the_catalogue_has_an_entry_whose_marks_lead_to_its_sources() -> None:
    for key in catalogue():
        record = catalogue()[key]
        entry = entry_of(record)
        marks = {mark: source.key for mark, source in entry.sources}
        assert set(marks.values()) <= set(sources())
        for known in entry.values:
            given = getattr(record, known.name)
            assert [marks[told.mark] for told in known.values] == [one.source for one in given]
        assert {known.name for known in entry.values} == {n for n in ("cas", *PROPERTIES) if getattr(record, n)}
        assert [marks[told.mark] for _, told in entry.limits] == [limit.source for limit in record.limits]
        assert [marks[told.mark] for _, told in entry.cautions] == [caution.source for caution in record.cautions]
