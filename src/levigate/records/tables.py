"""The records as tables of text: one row a line of CSV, and long texts in files of their own."""

from __future__ import annotations

import json
import re
import unicodedata
import uuid
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django.core.exceptions import ValidationError
from django.db import connection, models

from levigate.errors import RecordError, came
from levigate.records.models import (
    Attached,
    Attachment,
    Batch,
    BatchEvent,
    BatchLine,
    Draft,
    DraftState,
    Fill,
    FillWeight,
    Formula,
    Jar,
    Journal,
    Lot,
    MaterialText,
    Measured,
    OwnMaterial,
    Preference,
    StockCorrection,
    Token,
    Version,
    Weighing,
)

#: The column that names the file in which the text of a row stands.
FILE = "file"
if TYPE_CHECKING:
    _Field = models.Field[Any, Any]


@dataclass(frozen=True, slots=True)
class Table:
    """One table of the records."""

    name: str
    model: type[models.Model]
    #: Where the text of a row is put; None where a row has no text of its own.
    file: Callable[[Any], str] | None = None
    #: What must be at hand to name that file.
    related: tuple[str, ...] = ()

    @property
    def fields(self) -> list[_Field]:
        """The columns in the database."""
        return list(self.model._meta.concrete_fields)

    @property
    def columns(self) -> list[str]:
        """The columns in the CSV file."""
        return [FILE if self._is_text(field) else field.name for field in self.fields]

    def _is_text(self, field: _Field) -> bool:
        return self.file is not None and field.name == "text"

    def rows(self) -> models.QuerySet[Any]:
        """Return all rows in the order in which they came."""
        return self.model._default_manager.select_related(*self.related).order_by("pk")

    def cells(self, row: models.Model) -> list[str]:
        """Return a row as text."""
        return [
            self.file(row) if self.file is not None and self._is_text(field) else cell(field.value_from_object(row))
            for field in self.fields
        ]

    def values(self, cells: list[str], text: Callable[[str], str]) -> list[Any]:
        """Return what a row of text says, as the database takes it; ``text`` gives what stands in a file.

        Raises
        ------
        RecordError
            When a cell is not what its column holds.
        """
        found: list[Any] = []
        for field, written in zip(self.fields, cells, strict=True):
            try:
                value = text(written) if self._is_text(field) else value_of(field, written)
                found.append(field.get_db_prep_save(value, connection))
            except ValidationError as trouble:
                why = trouble.messages[0]
                why = why if len(why) < 120 else "this cannot stand there."
                raise RecordError(f'"{field.name}" is {came(written)}: {why}') from trouble
            except (ValueError, TypeError, ArithmeticError, RecursionError) as trouble:
                raise RecordError(f'"{field.name}" is {came(written)}, which cannot be read.') from trouble
        return found


def cell(value: Any) -> str:
    """Return a value as text: nothing for None, yes or no, ISO dates, plain decimals, JSON."""
    match value:
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case datetime() | date():
            return value.isoformat()
        case Decimal():
            return f"{value:f}"
        case str() | int() | uuid.UUID():
            return str(value)
    return json.dumps(value, ensure_ascii=False)


def value_of(field: _Field, written: str) -> Any:
    """Return what a cell says, checked as the model would check it."""
    if field.null and written == "":
        return None
    if isinstance(field, (models.ForeignKey, models.AutoField)):
        number = int(written)
        if not (written.isascii() and written.isdigit() and 0 < number < 2**63):
            raise ValueError(written)
        return number
    value: Any = written
    if isinstance(field, models.BooleanField):
        value = {"yes": True, "no": False}.get(written)
    elif isinstance(field, models.DateTimeField):
        value = datetime.fromisoformat(written)
        if value.tzinfo is None:
            raise ValueError(written)
    elif isinstance(field, models.JSONField):
        value = json.loads(written)
    value = field.to_python(value)
    if value is None:
        raise ValueError(written)
    field.run_validators(value)
    return value


def _word(text: str) -> str:
    """Return a text as a word for the name of a file."""
    ascii_text = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", ascii_text.lower()).strip("-")[:50] or "x"


def _version_file(row: Version) -> str:
    return f"formulas/{row.formula.slug}/version-{row.number}.toml"


def _draft_file(row: DraftState) -> str:
    return f"formulas/{row.draft.formula.slug}/draft-{row.number}.toml"


def _material_file(row: MaterialText) -> str:
    return f"materials/{_word(row.material.key)}-{row.material.pk}/text-{row.number}.toml"


#: All tables, each after those it refers to.
TABLES = (
    Table("formulas", Formula),
    Table("versions", Version, _version_file, ("formula",)),
    Table("drafts", Draft),
    Table("draft-states", DraftState, _draft_file, ("draft__formula",)),
    Table("own-materials", OwnMaterial),
    Table("material-texts", MaterialText, _material_file, ("material",)),
    Table("lots", Lot),
    Table("stock-corrections", StockCorrection),
    Table("measured", Measured),
    Table("batches", Batch),
    Table("batch-lines", BatchLine),
    Table("weighings", Weighing),
    Table("batch-events", BatchEvent),
    Table("fills", Fill),
    Table("jars", Jar),
    Table("fill-weights", FillWeight),
    Table("attachments", Attachment),
    Table("attached", Attached),
    Table("journal", Journal),
    Table("preferences", Preference),
)
#: Not in an archive: a key that came in with one would open the workshop to whoever made it.
LEFT_OUT: tuple[type[models.Model], ...] = (Token,)


def described() -> Iterator[str]:
    """Return the tables in words, as rows of a Markdown table."""
    for table in TABLES:
        what = " ".join((table.model.__doc__ or "").split("\n\n")[0].split())
        yield f"| `tables/{table.name}.csv` | {what} | {', '.join(f'`{name}`' for name in table.columns)} |"
