"""The record of a batch as PDF: what a person typed comes out as text."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

from levigate.publish.batch_record import BatchRecord, RecordEvent, RecordFill, RecordLine, RecordPhase, pdf_record

TRAP = '#panic("no") *b* [x] $y$ <i>z</i>'
RECORD = BatchRecord(
    name=f"Skerry {TRAP}",
    code="26-0012",
    version="version 3",
    state="released",
    facts=(("Makes", "12 x 50 mL"), ("Note", TRAP)),
    phases=(RecordPhase("A", TRAP, (RecordLine(TRAP, "Aqua", "95", "95.0", "96.7", "95.1", f"G-1, {TRAP}", True),)),),
    total=("100.0", "101.7"),
    fills=(RecordFill(f"2 x 50 g, {TRAP}", (("26-0012-01", "50.1 g"), ("26-0012-02", "–")), (TRAP,)),),
    corrections=(RecordEvent("2026-11-25 10:00", TRAP, f"100 g → 10 g, {TRAP}"),),
    events=(RecordEvent("2026-11-25 09:00", "planned", TRAP),),
    standing="This does not replace a safety assessment.",
    program="0",
)


def test_what_was_typed_is_text_on_the_record(tmp_path: Path) -> None:
    pdf = pdf_record(RECORD)
    assert pdf.startswith(b"%PDF")
    if shutil.which("pdftotext") is None:
        pytest.skip("no reader of PDF here")
    path = tmp_path / "record.pdf"
    path.write_bytes(pdf)
    text = subprocess.run(["pdftotext", "-layout", str(path), "-"], capture_output=True, text=True, check=True).stdout
    assert '#panic("no")' in text.replace("“", '"').replace("”", '"')
    for word in ("26-0012", "96.7", "26-0012-02", "released", "*b*", "<i>z</i>"):
        assert word in text
