"""Damaged archives and files: refused in a sentence with nothing brought in, or taken in and given out the same."""

from __future__ import annotations

import csv
import io
import random
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import LazySettings
from hypothesis import HealthCheck, given, settings

from levigate.demo import examples
from levigate.errors import FormulaError, LevigateError, RecordError
from levigate.records import archive, formulas, shelf
from levigate.records.models import Formula, MaterialText
from tests.formula.mutants import mutants
from tests.records.rebuilding import Files, content, rebuilt
from tests.records.workshop import fill
from tests.soak import FULL

pytestmark = pytest.mark.django_db
EXAMPLES = [path.read_text(encoding="utf-8") for path in examples().values()]
MATERIAL = (
    'inci = "Laminaria"\nkind = "gel"\ndensity = "1.02 g/mL"\nmolar_mass = "92 g/mol"\ncas = "1-1-1"\n'
    'solids = { value = "3 %", spread = "0.5 %", source = "own-word" }\n'
)
#: What may stand in a cell after somebody's program was at it.
CELLS = (
    "", "0", "-1", "1", "2", "3", "99", "1e999", "NaN", "yes", "no", "null", "[]", "{}", '{"a": 1}', "[" * 2000,
    "9" * 400, "2026-01-01", "2026-13-01", "0000-00-00", "2026-01-01T00:00:00", "2026-01-01T00:00:00+00:00",
    "9999-12-31T23:59:59-23:00", "0001-01-01T00:00:00+23:59", "\x00", "\r\n", "\ufeff", "\ud7ff\U0010ffff", "é" * 300,
    "'; DROP TABLE records_lot; --", "../../etc/passwd", "tables/lots.csv", "manifest.json", "README.txt",
    "formulas/tideline-uni/version-1.toml", "00000000-0000-0000-0000-000000000000", "0" * 64, "٣", "１", "+1", " 1",
    "1_0", "0x1", "true", "inf", "-0", "1,5",
)  # fmt: skip


@pytest.fixture
def packed(kept_db: None, tmp_path: Path) -> Path:
    fill()
    archive.export(tmp_path / "one.zip")
    archive.wipe()
    return tmp_path / "one.zip"


@pytest.fixture
def kept_db(transactional_db: None, settings: LazySettings, tmp_path: Path) -> Iterator[None]:
    """Give a database in which transactions are real, and a folder for papers."""
    settings.DATA = tmp_path / "data"
    yield
    archive.wipe()


def refused_or_same(source: io.BytesIO, again: Path) -> bool:
    """Return whether an archive was taken in; then it is given out with the same content, and taken in again."""
    try:
        archive.bring_in(source)
    except RecordError as trouble:
        assert 0 < len(str(trouble)) < 600
        assert archive.is_empty()
        return False
    archive.export(again)
    first = content(again)
    archive.wipe()
    archive.bring_in(again)
    archive.export(again)
    assert content(again) == first
    archive.wipe()
    return True


def test_bytes_changed_at_random(packed: Path, tmp_path: Path) -> None:
    chance, whole = random.Random(1), packed.read_bytes()
    refused = 0
    for _ in range(4000 if FULL else 60):
        piece = bytearray(whole)
        for _ in range(chance.choice([1, 1, 2, 20])):
            start = chance.randrange(len(piece))
            end = min(len(piece), start + chance.choice([1, 1, 4, 100, 5000]))
            piece[start:end] = chance.choice(
                [chance.randbytes(end - start), b"", bytes(end - start), piece[start:end] * 2, b"PK\x01\x02"]
            )
        refused += not refused_or_same(io.BytesIO(bytes(piece)), tmp_path / "again.zip")
    # What is not covered by a hash is little: dates, attributes and flags of the zip file.
    assert refused > 20


def test_cells_changed_at_random(packed: Path, tmp_path: Path) -> None:
    chance = random.Random(2)
    taken = refused = 0
    for _ in range(3000 if FULL else 60):

        def change(files: Files) -> None:
            name = chance.choice([name for name in files if name.startswith("tables/")])
            rows = list(csv.reader(io.StringIO(files[name].decode(), newline="")))
            row = chance.choice(rows)
            match chance.randrange(10):
                case 0:
                    rows.append(list(row))
                case 1:
                    rows.remove(row)
                case _:
                    other = chance.choice(chance.choice(rows))
                    row[chance.randrange(len(row))] = chance.choice([*CELLS, other, other])
            out = io.StringIO(newline="")
            csv.writer(out, lineterminator="\n").writerows(rows)
            files[name] = out.getvalue().encode("utf-8", "surrogatepass")

        if refused_or_same(rebuilt(packed, change), tmp_path / "again.zip"):
            taken += 1
        else:
            refused += 1
    assert taken > 5 and refused > 5


@settings(
    max_examples=2000 if FULL else 40,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(text=mutants(EXAMPLES))
def test_files_changed_at_random_make_a_formula_or_a_sentence(db: None, text: str) -> None:
    try:
        formula = formulas.create(text)
    except FormulaError as trouble:
        assert 0 < len(str(trouble)) < 2000
        return
    assert formulas.draft_of(formula).text == text
    assert formulas.save(formula, seen=0, knew=None).text == text
    assert Formula.objects.get(pk=formula.pk).name


@settings(
    max_examples=2000 if FULL else 40,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(text=mutants([MATERIAL]))
def test_texts_changed_at_random_make_a_material_or_a_sentence(db: None, text: str) -> None:
    before = MaterialText.objects.count()
    try:
        shelf.save_material("kelp gel", text)
    except LevigateError as trouble:
        assert 0 < len(str(trouble)) < 2000 and MaterialText.objects.count() == before
        return
    assert shelf.shelf()["kelp gel"] is not None
