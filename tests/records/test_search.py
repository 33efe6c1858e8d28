"""Search across everything, and which formulas use a material."""

from __future__ import annotations

import datetime
import time
from decimal import Decimal

import pytest

from levigate.records import formulas, shelf
from levigate.records.models import Batch, Fill, Formula, Jar, Lot, MaterialText, OwnMaterial, Version
from levigate.records.search import search
from levigate.records.uses import formulas_with
from tests.records.texts import PLAIN, with_glycerin

pytestmark = pytest.mark.django_db


@pytest.fixture
def workshop() -> Formula:
    formula = formulas.create(PLAIN)
    version = formulas.save(formula, seen=0, knew=None, note_text="first")
    batch = Batch.objects.create(code="TL-0001", version=version, makes="200 g", scale=Decimal("0.1"))
    fill = Fill.objects.create(batch=batch, container="jar", nominal="50 g", grams=50)
    Jar.objects.create(fill=fill, code="TL-0001-1")
    Lot.objects.create(
        material="glycerin", number="G-207", received=datetime.date(2026, 1, 1), grams=100, supplier="Holm"
    )
    shelf.save_material("kelp gel", 'inci = "Laminaria"')
    return formula


@pytest.mark.parametrize(
    ("typed", "kind", "name"),
    [
        ("kelp", "material", "kelp gel"),
        ("56-81-5", "material", "glycerin"),
        ("azelaec acid", "material", "azelaic acid"),
        ("tideline", "formula", "Tideline lotion"),
        ("tidelnie lotoin", "formula", "Tideline lotion"),
        ("tl-0001", "batch", "TL-0001"),
        ("TL-0001-1", "jar", "TL-0001-1"),
        ("g-207", "lot", "G-207"),
        ("holm", "lot", "G-207"),
        ("density by syringe", "sum", "density by syringe"),
    ],
)
def test_everything_is_found_by_what_a_person_types(workshop: Formula, typed: str, kind: str, name: str) -> None:
    found = search(typed)
    assert (found[0].kind, found[0].name) == (kind, name)


@pytest.mark.parametrize("typed", ["", "  ", "%", "_", "x" * 5000, "'; DROP TABLE records_lot; --", "\x00"])
def test_odd_letters_are_only_letters(workshop: Formula, typed: str) -> None:
    assert all(one.kind != "lot" for one in search(typed))
    assert Lot.objects.count() == 1


def test_a_full_workshop_is_searched_in_a_moment() -> None:
    """300 own materials, 500 formulas, 2,000 batches, 10,000 jars: under 50 ms of this process' own time."""
    for number in range(300):
        own = OwnMaterial.objects.create(key=f"own kelp {number}")
        MaterialText.objects.create(material=own, number=1, text=f'inci = "Laminaria {number}"')
    versions = [
        Version.objects.create(
            formula=Formula.objects.create(name=f"Skerry cream {n}", slug=f"s-{n}"), number=1, text=PLAIN, program="x"
        )
        for n in range(500)
    ]
    batches = Batch.objects.bulk_create(
        Batch(code=f"SC-{n:04}", version=versions[n % 500], makes="1 kg", scale=Decimal("0.1")) for n in range(2000)
    )
    fills = Fill.objects.bulk_create(Fill(batch=b, container="jar", nominal="50 g", grams=50) for b in batches)
    Jar.objects.bulk_create(Jar(fill=fill, code=f"{fill.batch.code}-{n}") for fill in fills for n in range(5))
    search("warm")
    for typed in ("g", "kelp 12", "SC-0199", "skerry craem 12", "azelaec acid", "zzzzqq"):
        began = time.thread_time()
        search(typed)
        assert time.thread_time() - began < 0.050, typed


def test_formulas_that_use_a_material_are_found_by_any_of_its_names(workshop: Formula) -> None:
    (use,) = formulas_with("glycerin")
    assert (use.formula, use.saved, use.draft) == (workshop, ("5",), None)
    formulas.edit(workshop, with_glycerin("7"), "more", seen=0)
    (use,) = formulas_with("glycerin")
    assert (use.saved, use.draft) == (("5",), ("7",))
    other = formulas.create(PLAIN.replace('"glycerin"', '"Glycerol"').replace("Tideline", "Ebb"))
    assert [use.formula for use in formulas_with("glycerin")] == [other, workshop]
    assert [use.saved for use in formulas_with("glycerin")] == [(), ("5",)]
    assert formulas_with("urea") == []
