"""Migrations: from nothing, and from the first state with rows in it, to the state of the models."""

from __future__ import annotations

import datetime
import uuid
from decimal import Decimal
from typing import Any

import pytest
from django.core.management import call_command
from django.db import DatabaseError, connection, transaction
from django.db.migrations.executor import MigrationExecutor

from levigate.records import tracing
from levigate.records.models import Weighing
from levigate.records.triggers import KEPT
from tests.records.texts import PLAIN
from tests.records.workshop import a_batch, weigh

DAY = datetime.date(2026, 1, 5)


def migrate(name: str | None) -> Any:
    """Bring the records to a migration, or to before the first; return the models as they were then."""
    executor = MigrationExecutor(connection)
    executor.migrate([("records", name)])
    return MigrationExecutor(connection).loader.project_state([("records", name)] if name else []).apps


def latest() -> str:
    """Return the last migration there is."""
    ((_, name),) = (node for node in MigrationExecutor(connection).loader.graph.leaf_nodes() if node[0] == "records")
    return str(name)


def tables() -> dict[str, set[str]]:
    """Return the columns of each table of the records."""
    with connection.cursor() as cursor:
        names = [one.name for one in connection.introspection.get_table_list(cursor) if one.name.startswith("records_")]
        return {
            name: {column.name for column in connection.introspection.get_table_description(cursor, name)}
            for name in names
        }


@pytest.mark.django_db
def test_the_models_have_no_change_without_a_migration() -> None:
    call_command("makemigrations", "--check", "--dry-run", verbosity=0)


def test_from_nothing(kept_db: None) -> None:
    before = tables()
    migrate(None)
    assert tables() == {}
    migrate(latest())
    assert tables() == before
    weigh(a_batch(), 1, "10")
    for verb in ("UPDATE records_weighing SET grams = 1", "DELETE FROM records_weighing"):
        with pytest.raises(DatabaseError, match="kept as it was written"), transaction.atomic():
            connection.cursor().execute(verb)


def test_rows_of_the_first_state_come_along(kept_db: None) -> None:
    then = migrate("0001_first")

    def make(model: str, **values: Any) -> Any:
        return then.get_model("records", model).objects.create(**values)

    try:
        formula = make("Formula", name="Tideline lotion", slug="tideline-lotion")
        version = make("Version", formula=formula, number=1, text=PLAIN, program="0.1.0")
        lot = make("Lot", material="glycerin", number="G1", received=DAY, grams=500)
        batch = make("Batch", code="T-1", version=version, makes="200 g", scale=Decimal("0.1"))
        line = make(
            "BatchLine", batch=batch, position=1, phase="A", material="glycerin", percent=5, planned=10, target=10
        )
        weighed = make("Weighing", line=line, lot=lot, grams=Decimal("10.1"), key=uuid.uuid4())
        fill = make("Fill", batch=batch, container="jar", nominal="50 g", grams=50)
        make("Jar", fill=fill, code="TIDE-01")
    finally:
        migrate(latest())
    trace = tracing.jar("TIDE-01")
    assert [(one.lot.number if one.lot else "", one.grams) for one in trace.used] == [("G1", Decimal("10.1"))]
    kept = Weighing.objects.get()
    assert (kept.pk, kept.at, kept.key) == (weighed.pk, weighed.at, weighed.key)
    with pytest.raises(DatabaseError, match="kept as it was written"), transaction.atomic():
        connection.cursor().execute("DELETE FROM records_weighing")


def test_every_kept_table_has_its_triggers_in_the_database(db: None) -> None:
    question = (
        "SELECT tbl_name FROM sqlite_master WHERE type = 'trigger' AND name LIKE '%_kept_%'"
        if connection.vendor == "sqlite"
        else "SELECT relname FROM pg_trigger JOIN pg_class ON tgrelid = pg_class.oid WHERE tgname LIKE '%_kept'"
    )
    with connection.cursor() as cursor:
        cursor.execute(question)
        assert {name for (name,) in cursor.fetchall()} == set(KEPT)
