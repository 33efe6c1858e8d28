"""The record of a batch: what was really weighed, filled and decided, for the file, as data and as PDF."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass

from levigate.publish.sheet import TEMPLATES


@dataclass(frozen=True, slots=True)
class RecordLine:
    """One line as planned and as weighed, in words as they are printed."""

    material: str
    inci: str
    percent: str
    asked: str
    weighed: str
    true_percent: str
    lots: str
    #: Whether it is off by more than a step of the scale.
    off: bool


@dataclass(frozen=True, slots=True)
class RecordPhase:
    """One phase with its treatment."""

    letter: str
    how: str
    lines: tuple[RecordLine, ...]


@dataclass(frozen=True, slots=True)
class RecordEvent:
    """Something that was done, with when."""

    at: str
    what: str
    says: str


@dataclass(frozen=True, slots=True)
class RecordFill:
    """One filling with the weight of each jar, and what they say."""

    title: str
    jars: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BatchRecord:
    """All that the record of a batch says."""

    name: str
    code: str
    version: str
    state: str
    #: Facts in the order they are printed: what it is, and what it says.
    facts: tuple[tuple[str, str], ...]
    phases: tuple[RecordPhase, ...]
    total: tuple[str, str]
    fills: tuple[RecordFill, ...]
    corrections: tuple[RecordEvent, ...]
    events: tuple[RecordEvent, ...]
    standing: str
    program: str


def pdf_record(record: BatchRecord) -> bytes:
    """Return the record as PDF, set by typst; all text goes in as data, never as markup."""
    import typst

    data = json.dumps(asdict(record))
    return bytes(typst.compile(str(TEMPLATES / "batch-record.typ"), sys_inputs={"record": data}))
