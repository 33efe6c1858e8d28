"""A small workshop for tests of the records: lots, a batch, weighings, jars."""

from __future__ import annotations

import datetime
import uuid
from decimal import Decimal

from levigate.records import formulas, lots
from levigate.records.models import Batch, BatchLine, Fill, FillWeight, Jar, Lot, Version, Weighing
from tests.records.texts import PLAIN

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
