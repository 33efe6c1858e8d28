"""What is kept cannot be changed: the model refuses, and so does the database."""

from __future__ import annotations

import datetime
import uuid
from decimal import Decimal

import pytest
from django.apps import apps
from django.db import DatabaseError, connection, transaction
from django.db.models import Model

from levigate.errors import RecordError
from levigate.records import formulas, journal, shelf
from levigate.records.models import (
    Attachment,
    Batch,
    BatchEvent,
    BatchLine,
    Fill,
    FillWeight,
    Jar,
    Kept,
    Lot,
    StockCorrection,
    Weighing,
)
from levigate.records.triggers import KEPT
from tests.records.texts import PLAIN

pytestmark = pytest.mark.django_db

KEPT_MODELS = [model for model in apps.get_models() if issubclass(model, Kept)]


def one_of_each() -> dict[type[Model], Model]:
    """Return one row of each kind that is kept."""
    formula = formulas.create(PLAIN)
    version = formulas.save(formula, seen=0, knew=None)
    lot = Lot.objects.create(material="glycerin", number="G1", received=datetime.date(2026, 1, 5), grams=500)
    batch = Batch.objects.create(code="T-1", version=version, makes="200 g", scale=Decimal("0.1"))
    line = BatchLine.objects.create(
        batch=batch, position=1, phase="A", material="glycerin", percent=5, planned=10, target=10
    )
    jar = Jar.objects.create(fill=Fill.objects.create(batch=batch, container="jar", nominal="50 g", grams=50), code="J")
    with transaction.atomic():
        entry = journal.note("lot", lot.pk, "lot G1 received")
    rows: list[Model] = [
        version,
        entry,
        Weighing.objects.create(line=line, lot=lot, grams=10, key=uuid.uuid4()),
        BatchEvent.objects.create(batch=batch, state="planned"),
        FillWeight.objects.create(jar=jar, grams=50, key=uuid.uuid4()),
        StockCorrection.objects.create(lot=lot, grams=-1, why="spilt"),
        Attachment.objects.create(sha256="0" * 64, size=1),
        shelf.save_material("kelp gel", 'density = "1.02 g/mL"'),
        shelf.measure("glycerin", "density", "1.255 g/mL", on=datetime.date(2026, 1, 6)),
    ]
    return {type(row): row for row in rows}


def test_every_kept_model_has_its_triggers() -> None:
    assert sorted(model._meta.db_table for model in KEPT_MODELS) == sorted(KEPT)


def test_there_is_a_row_of_each() -> None:
    assert set(one_of_each()) == set(KEPT_MODELS)


@pytest.mark.parametrize("model", KEPT_MODELS, ids=lambda model: model.__name__)
def test_the_model_refuses(model: type[Kept]) -> None:
    row = one_of_each()[model]
    refusals = (
        row.save,
        row.delete,
        lambda: model.objects.filter(pk=row.pk).update(at=None),
        model.objects.filter(pk=row.pk).delete,
        lambda: model.objects.bulk_update([row], ["at"]),
    )
    for refused in refusals:
        with pytest.raises(RecordError, match="kept as it was written"):
            refused()


@pytest.mark.parametrize("model", KEPT_MODELS, ids=lambda model: model.__name__)
@pytest.mark.parametrize("statement", ["UPDATE {} SET at = at", "DELETE FROM {}"])
def test_the_database_refuses(model: type[Kept], statement: str) -> None:
    one_of_each()
    before = model.objects.count()
    with pytest.raises(DatabaseError, match="kept as it was written"), transaction.atomic():
        connection.cursor().execute(statement.format(model._meta.db_table))
    assert model.objects.count() == before > 0


def test_a_line_of_the_journal_needs_a_transaction(transactional_db: None) -> None:
    with pytest.raises(RecordError, match="in one transaction"):
        journal.note("lot", 1, "received")


def test_a_row_cannot_be_replaced_by_one_of_the_same_key() -> None:
    if connection.vendor != "sqlite":
        pytest.skip("a statement of SQLite")
    row = one_of_each()[Attachment]
    with pytest.raises(DatabaseError, match="kept as it was written"), transaction.atomic():
        connection.cursor().execute(
            "REPLACE INTO records_attachment VALUES (%s, '2026-01-01', %s, 2)", [row.pk, "0" * 64]
        )
    assert Attachment.objects.get().size == 1
