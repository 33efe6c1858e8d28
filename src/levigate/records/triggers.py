"""Triggers that make the database itself refuse to change or delete what is kept.

The model refuses too, with a sentence; the triggers stand for whoever writes to the database past the model.
"""

from __future__ import annotations

from collections.abc import Collection

from django.apps.registry import Apps
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

#: Tables whose rows are written once.
KEPT = (
    "records_attachment",
    "records_batchevent",
    "records_fillweight",
    "records_journal",
    "records_materialtext",
    "records_measured",
    "records_stockcorrection",
    "records_version",
    "records_weighing",
)
_SAYS = "this row is kept as it was written"


def statements(vendor: str, tables: Collection[str] = KEPT) -> list[str]:
    """Return the statements that set the triggers up on those of the tables that are kept."""
    kept = [table for table in KEPT if table in tables]
    if vendor == "sqlite":
        return [
            f"CREATE TRIGGER {table}_kept_{verb} BEFORE {verb} ON {table} BEGIN SELECT RAISE(ABORT, '{_SAYS}'); END"
            for table in kept
            for verb in ("UPDATE", "DELETE")
        ]
    if vendor == "postgresql":
        function = (
            "CREATE OR REPLACE FUNCTION records_kept() RETURNS trigger LANGUAGE plpgsql AS "
            f"$$ BEGIN RAISE EXCEPTION '{_SAYS}'; END $$"
        )
        return [function] + [
            f"CREATE TRIGGER {table}_kept BEFORE UPDATE OR DELETE ON {table} "
            "FOR EACH ROW EXECUTE FUNCTION records_kept()"
            for table in kept
        ]
    raise ValueError(f"no triggers are written for {vendor}")


def undoing(vendor: str) -> list[str]:
    """Return the statements that take the triggers away: for a migration that must change a kept table, and a wipe."""
    if vendor == "sqlite":
        return [f"DROP TRIGGER IF EXISTS {table}_kept_{verb}" for table in KEPT for verb in ("UPDATE", "DELETE")]
    return [f"DROP TRIGGER IF EXISTS {table}_kept ON {table}" for table in KEPT]


def set_up(_: Apps, editor: BaseDatabaseSchemaEditor) -> None:
    """Set the triggers up, in a migration."""
    for statement in statements(editor.connection.vendor):
        editor.execute(statement)


def take_away(_: Apps, editor: BaseDatabaseSchemaEditor) -> None:
    """Take the triggers away, in a migration."""
    for statement in undoing(editor.connection.vendor):
        editor.execute(statement)
