"""The shapes of what the API takes and gives."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Annotated, Any, Literal
from uuid import UUID

from ninja import Path, Query
from pydantic import BaseModel, ConfigDict, Field

from levigate.publish.forms import FigureOut, FindingOut, FormulaOut


class _Out(BaseModel):
    model_config = ConfigDict(extra="forbid", use_attribute_docstrings=True)


#: What a word in an address is made of.
_WORD = r"^[-a-zA-Z0-9_]+$"
#: What the database can count to.
_MOST = 2**31 - 1

Slug = Annotated[str, Path(pattern=_WORD, max_length=80, description="Word of the formula in its address.")]
Code = Annotated[str, Path(pattern=_WORD, max_length=40, description="Code of the batch.")]
Number = Annotated[int, Path(ge=0, le=_MOST)]
Position = Annotated[int, Path(ge=0, le=_MOST, description="Place of the line in the batch, from 1.")]
Offset = Annotated[int, Query(0, ge=0, le=_MOST, description="How many to leave out at the beginning.")]
Limit = Annotated[int, Query(200, ge=1, le=1000, description="How many at most.")]
VersionNumber = Annotated[
    int | None, Query(None, ge=0, le=_MOST, description="Number of a saved version; the draft if not said.")
]
State = Annotated[
    Literal["planned", "weighing", "made", "filled", "released", "held", "discarded"] | None,
    Query(None, description="Only those in this state."),
]
Material = Annotated[
    str | None,
    Query(None, max_length=200, pattern=r"^[^\x00]*$", description="Key of a material; all if not said."),
]
PutAway = Annotated[bool, Query(False, description="Those that were put away, in place of those in use.")]
Closed = Annotated[bool, Query(False, description="Those that are closed, in place of those at hand.")]


class Trouble(_Out):
    """What is wrong."""

    detail: str
    """A sentence for a person."""


class FormulaEntry(_Out):
    """A formula in a list."""

    slug: str
    """Its word in addresses."""
    name: str
    version: int | None
    """Number of the version saved last; null before the first."""
    saved: datetime | None
    changed: bool
    """Whether the draft differs from the version saved last."""
    put_away: bool


class VersionEntry(_Out):
    """A saved version in a list."""

    number: int
    parent: int | None
    """The version it grew from."""
    saved: datetime
    note: str


class FormulaRecord(_Out):
    """A formula with its versions, and its draft as a file."""

    slug: str
    name: str
    note: str
    put_away: bool
    text: str
    """The draft, or the version saved last, as a formula file."""
    versions: list[VersionEntry]


class VersionRecord(_Out):
    """A saved version."""

    number: int
    parent: int | None
    saved: datetime
    note: str
    program: str
    """The program that saved it."""
    text: str
    """Its formula file."""
    formula: FormulaOut


class Figures(_Out):
    """The figures of a formula."""

    levigate: str
    """The program that worked them out."""
    version: int | None
    """Null for the draft."""
    figures: dict[str, FigureOut]


class Findings(_Out):
    """What the review says of a formula."""

    levigate: str
    version: int | None
    findings: list[FindingOut]
    cautions: list[str]


class LotOut(_Out):
    """One delivery of a material."""

    id: int
    material: str
    number: str
    supplier: str
    received: date
    opened: date | None
    best_before: date | None
    grams: str
    """What came, as a decimal number. [g]"""
    pack: str
    price: str
    closed: bool


class BatchEntry(_Out):
    """A batch in a list."""

    code: str
    formula: str
    """Word of the formula in its address."""
    version: int
    state: str
    makes: str
    created: datetime
    best_before: date | None


class WeighingOut(_Out):
    """One reading of the scale."""

    id: int
    key: UUID
    grams: str
    """As a decimal number. [g]"""
    lot: int | None
    at: datetime
    corrects: int | None
    """The reading it takes the place of."""
    why: str
    who: str


class WeighingIn(BaseModel):
    """A reading of the scale to keep: `grams` or `reading`, not both."""

    model_config = ConfigDict(extra="forbid", use_attribute_docstrings=True)

    key: UUID
    """Made anew for each reading; the same one sent again is kept once."""
    grams: Decimal | None = Field(None, max_digits=14, decimal_places=4)
    """What went in; less than nought where some was taken out. [g]"""
    reading: Decimal | None = Field(None, max_digits=14, decimal_places=4)
    """What the scale shows of all that is in the vessel. [g]"""
    lot: int | None = Field(None, ge=0, le=_MOST)
    """Id of the lot it was taken from; the one that is planned if not said."""
    seen: int | None = Field(None, ge=0, le=_MOST)
    """How many readings of the line were known; where another was kept since, this one is refused with 409."""
    who: str = Field("", max_length=80, pattern=r"^[^\x00]*$")
    """Who weighed; the name in the preferences if not said."""


class LineOfBatch(_Out):
    """One line to weigh, with its readings."""

    position: int
    phase: str
    material: str
    percent: str
    planned: str
    """[g]"""
    target: str
    """As it is asked for now. [g]"""
    lot: int | None
    weighings: list[WeighingOut]


class BatchRecord(BatchEntry):
    """A batch with its lines."""

    scale: str
    """One step of the scale. [g]"""
    tare: str
    """`each` where each line is tared, `running` where the readings of a phase run on."""
    note: str
    lines: list[LineOfBatch]


#: What is answered where something is amiss.
TROUBLE: dict[Any, Any] = {401: Trouble, 404: Trouble, 422: Trouble}
