"""A small workshop for tests of the records: lots, a batch, weighings, jars."""

from __future__ import annotations

import datetime
import uuid
from decimal import Decimal

from levigate.records import formulas, lots, papers, shelf
from levigate.records.models import (
    Batch,
    BatchEvent,
    BatchLine,
    Fill,
    FillWeight,
    Jar,
    Lot,
    Preference,
    Version,
    Weighing,
)
from tests.records.texts import PLAIN, with_glycerin

DAY = datetime.date(2026, 3, 1)


def a_lot(number: str = "G1", material: str = "glycerin", grams: str = "500", **rest: object) -> Lot:
    """Return a lot that was received."""
    return lots.receive(material, number, grams=Decimal(grams), **({"received": datetime.date(2026, 1, 5)} | rest))


def a_version() -> Version:
    """Return version 1 of a new formula."""
    return formulas.save(formulas.create(PLAIN), seen=0, knew=None)


def a_batch(code: str = "T-1", version: Version | None = None, state: str = "weighing") -> Batch:
    """Return a batch with one line of each material of the formula."""
    batch = Batch.objects.create(
        code=code, version=version or a_version(), makes="200 g", scale=Decimal("0.1"), state=state
    )
    for position, (material, percent) in enumerate([("aqua", "94.1"), ("glycerin", "5"), ("phenoxyethanol", "0.9")]):
        grams = Decimal(percent) * 2
        BatchLine.objects.create(
            batch=batch, position=position, phase="A", material=material,
            percent=Decimal(percent), planned=grams, target=grams,
        )  # fmt: skip
    return batch


def weigh(batch: Batch, position: int, grams: str, lot: Lot | None = None, **rest: object) -> Weighing:
    """Return a weighing on a line of a batch."""
    line = BatchLine.objects.get(batch=batch, position=position)
    return Weighing.objects.create(line=line, lot=lot, grams=Decimal(grams), key=uuid.uuid4(), **rest)


def some_jars(batch: Batch, *codes: str) -> list[Jar]:
    """Return jars that a batch was filled into, each with its weight."""
    fill = Fill.objects.create(batch=batch, container="jar 50 mL", nominal="50 g", grams=Decimal(50))
    jars = [Jar.objects.create(fill=fill, code=code) for code in codes]
    for jar in jars:
        FillWeight.objects.create(jar=jar, grams=Decimal("50.2"), key=uuid.uuid4())
    return jars


#: What makes trouble in a table of text, in a TOML file or on a page.
AWKWARD = 'a "quoted", cell;\r\nof\ttwo lines\n=1+1 \\ <b>&amp;</b> ünï ﷽ 🧴'


def fill() -> None:
    """Put something into every table."""
    formula = formulas.create(PLAIN.replace("Tideline lotion", "Tideline ünï"))
    first = formulas.save(formula, seen=0, knew=None, note_text=AWKWARD)
    formulas.edit(formula, with_glycerin("6"), "glycerin to 6 %", seen=0)
    formulas.save(formula, seen=1, knew=1)
    beside = formulas.add_version(formula, with_glycerin("7"), parent=first)
    formulas.edit(formula, with_glycerin("8"), "glycerin to 8 %", seen=1)
    formulas.set_put_away(formulas.create(PLAIN), put_away=True)
    shelf.save_material("kelp gel", 'inci = "Laminaria"\ndensity = "1.02 g/mL"')
    shelf.save_material("kelp gel", 'inci = "Laminaria"\ndensity = "1.05 g/mL"', AWKWARD)
    lot, other = a_lot(note=AWKWARD, best_before=DAY, opened=DAY), a_lot("0012")
    lots.amend(other, "typing", supplier=AWKWARD)
    lots.correct(lot, Decimal("-0.0001"), "spilt")
    wrong = shelf.measure("glycerin", "density", "1.5 g/mL", on=DAY, lot=lot)
    shelf.measure("glycerin", "density", "1.25 g/mL", on=DAY, corrects=wrong, why="read the wrong line")
    batch = a_batch(version=beside)
    misread = weigh(batch, 1, "10.1", lot, who="Å")
    weigh(batch, 1, "11", other, corrects=misread, why=AWKWARD)
    weigh(batch, 1, "-0.5", other)
    BatchEvent.objects.create(batch=batch, state="weighing", note=AWKWARD)
    jar = some_jars(batch, "TIDE-01", "TIDE-02")[0]
    FillWeight.objects.create(jar=jar, grams=50, key=uuid.uuid4(), corrects=jar.weights.get(), why="tare forgotten")
    papers.attach("lot", lot.pk, papers.store([b"certificate"]), "coa.pdf")
    papers.attach("batch", "T-1", papers.store([bytes(range(256)) * 1000]), "photo.png")
    Preference.objects.create(name="decimal", value="comma")
