"""The archive: export, wipe, import gives the same records; what is not whole or not ours is refused."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import re
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import tomli
from django.apps import apps
from django.db import DatabaseError, connection, transaction

from levigate.errors import RecordError
from levigate.formula.text import read_formula
from levigate.records import archive, archive_page, formulas, papers, shelf, tracing, zips
from levigate.records.models import (
    Formula,
    Journal,
    Lot,
    Preference,
    Token,
    Version,
    Weighing,
)
from levigate.records.tables import LEFT_OUT, TABLES
from tests.records.rebuilding import Files, content, rebuilt
from tests.records.texts import with_glycerin
from tests.records.workshop import AWKWARD, a_lot, fill

pytestmark = pytest.mark.django_db


def rows() -> dict[str, list[tuple[Any, ...]]]:
    """Return every row as the database has it."""
    found = {}
    with connection.cursor() as cursor:
        for table in TABLES:
            cursor.execute(f"SELECT * FROM {table.model._meta.db_table} ORDER BY 1")
            found[table.name] = cursor.fetchall()
    return found


def test_every_table_is_in_the_archive_or_left_out_for_a_reason() -> None:
    assert {table.model for table in TABLES} | set(LEFT_OUT) == set(apps.get_app_config("records").get_models())


def test_export_wipe_import_gives_the_same_records(kept_db: None, tmp_path: Path) -> None:
    fill()
    before = rows()
    assert all(before.values()), "a table without a row proves nothing"
    out = archive.export(tmp_path / "one.zip")
    assert out.rows == {name: len(some) for name, some in before.items()} and out.papers == 2
    archive.wipe()
    assert archive.is_empty() and not any(rows().values())
    assert [path for path in papers.folder().rglob("*") if path.is_file()] == []
    told: list[tuple[int, int]] = []
    back = archive.bring_in(tmp_path / "one.zip", lambda done, total: told.append((done, total)))
    assert rows() == before and back == out
    assert told == sorted(told) and told[-1][0] == told[-1][1]
    archive.export(tmp_path / "two.zip")
    assert content(tmp_path / "two.zip") == content(tmp_path / "one.zip")
    with papers.read(papers.attached_to("lot", Lot.objects.get(number="G1").pk)[0].attachment) as file:
        assert file.read() == b"certificate"


def test_work_goes_on_after_an_import(kept_db: None, tmp_path: Path) -> None:
    fill()
    archive.export(tmp_path / "one.zip")
    archive.wipe()
    archive.bring_in(tmp_path / "one.zip")
    formula = Formula.objects.get(versions__number=3)
    assert formulas.draft_of(formula).text == with_glycerin("8") and formulas.step(formula, -1).text == with_glycerin(
        "6"
    )
    assert Version.objects.get(formula=formula, number=3).parent == Version.objects.get(formula=formula, number=1)
    assert formulas.save(formula, seen=1, knew=3).number == 4
    assert len(tracing.jar("TIDE-01").lots) == 1
    assert shelf.shelf()["kelp gel"].density[0].value == "1.05 g/mL"
    for model in (Version, Weighing, Journal):
        with pytest.raises(DatabaseError, match="kept as it was written"), transaction.atomic():
            connection.cursor().execute(f"DELETE FROM {model._meta.db_table}")


def test_the_shelf_is_that_of_the_archive_not_of_before(kept_db: None, tmp_path: Path) -> None:
    shelf.save_material("kelp gel", 'density = "1.02 g/mL"')
    archive.export(tmp_path / "one.zip")
    archive.wipe()
    assert shelf.shelf().get("kelp gel") is None
    shelf.save_material("sea gel", 'density = "1.02 g/mL"')
    assert shelf.shelf().get("sea gel") is not None
    archive.wipe()
    archive.bring_in(tmp_path / "one.zip")
    assert shelf.shelf().get("sea gel") is None and shelf.shelf().get("kelp gel") is not None


def test_the_archive_can_be_read_without_this_program(tmp_path: Path) -> None:
    fill()
    archive.export(tmp_path / "one.zip")
    files = content(tmp_path / "one.zip")
    assert files["README.txt"].decode() == archive_page.page()
    assert read_formula(files["formulas/tideline-uni/version-3.toml"].decode()).name == "Tideline lotion"
    (kelp,) = (some for name, some in files.items() if re.fullmatch(r"materials/kelp-gel-\d+/text-2.toml", name))
    assert tomli.loads(kelp.decode())["density"] == "1.05 g/mL"
    assert files[f"attachments/{(key := hashlib.sha256(b'certificate').hexdigest())[:2]}/{key}"] == b"certificate"
    (weighed, *_) = csv.DictReader(io.StringIO(files["tables/weighings.csv"].decode(), newline=""))
    assert (weighed["grams"], weighed["corrects"], weighed["who"]) == ("10.1000", "", "Å")
    (first, *_) = csv.DictReader(io.StringIO(files["tables/versions.csv"].decode(), newline=""))
    assert first["note"] == AWKWARD and first["file"] == "formulas/tideline-uni/version-1.toml"
    manifest = json.loads(zipfile.ZipFile(tmp_path / "one.zip").read("manifest.json"))
    assert {name: hashlib.sha256(some).hexdigest() for name, some in files.items()} == {
        name: entry["sha256"] for name, entry in manifest["files"].items()
    }


def test_the_page_about_the_archive_is_that_of_this_program() -> None:
    assert archive_page.PAGE.read_text(encoding="utf-8") == archive_page.page(), "make docs"


def test_a_key_of_a_script_is_not_in_an_archive(tmp_path: Path) -> None:
    Token.objects.create(name="scale", sha256="f" * 64)
    archive.export(tmp_path / "one.zip")
    assert not any(b"f" * 64 in some for some in content(tmp_path / "one.zip").values())


def test_an_empty_workshop_has_an_archive_too(tmp_path: Path) -> None:
    assert archive.export(tmp_path / "one.zip").papers == 0
    assert archive.bring_in(tmp_path / "one.zip").rows["lots"] == 0


def test_a_paper_that_is_lost_does_not_keep_the_rest_from_being_kept(kept_db: None, tmp_path: Path) -> None:
    fill()
    key = papers.store([b"certificate"]).sha256
    papers.path_of(key).unlink()
    assert archive.export(tmp_path / "one.zip").missing == (key,)
    archive.wipe()
    assert archive.bring_in(tmp_path / "one.zip").missing == (key,)


def test_nothing_is_brought_in_beside_records(tmp_path: Path) -> None:
    archive.export(tmp_path / "one.zip")
    a_lot()
    with pytest.raises(RecordError, match="records already"):
        archive.bring_in(tmp_path / "one.zip")


def test_an_archive_that_cannot_be_written_is_said_and_leaves_nothing(tmp_path: Path) -> None:
    with pytest.raises(RecordError, match="cannot be written"):
        archive.export(tmp_path / "nowhere" / "one.zip")
    with pytest.raises(KeyboardInterrupt):
        archive.export(tmp_path / "one.zip", _stop)
    assert list(tmp_path.glob("*.zip")) == list(tmp_path.glob(".levigate*")) == []


def _stop(done: int, total: int) -> None:
    raise KeyboardInterrupt


@pytest.mark.parametrize("after", [0.2, 0.7, 1.0])
def test_an_import_that_is_stopped_leaves_nothing(kept_db: None, tmp_path: Path, after: float) -> None:
    def stop(done: int, total: int) -> None:
        if done >= after * total:
            raise KeyboardInterrupt

    fill()
    archive.export(tmp_path / "one.zip")
    archive.wipe()
    with pytest.raises(KeyboardInterrupt):
        archive.bring_in(tmp_path / "one.zip", stop)
    assert archive.is_empty() and not Preference.objects.exists()
    assert [path for path in papers.folder().rglob("*") if path.is_file()] == []
    archive.bring_in(tmp_path / "one.zip")


# What is not whole, or not ours.


def cell(table: str, column: str, value: str, row: int = 1) -> Callable[[Files], None]:
    """Return a change of one cell."""

    def change(files: Files) -> None:
        name = f"tables/{table}.csv"
        found = list(csv.reader(io.StringIO(files[name].decode(), newline="")))
        found[row][found[0].index(column)] = value
        out = io.StringIO(newline="")
        csv.writer(out, lineterminator="\n").writerows(found)
        files[name] = out.getvalue().encode()

    return change


def put(name: str, some: bytes) -> Callable[[Files], None]:
    return lambda files: files.update({name: some})


def drop(name: str) -> Callable[[Files], None]:
    return lambda files: files.__delitem__(name)


def kelp(some: bytes) -> Callable[[Files], None]:
    """Return a change of the latest text of the own material."""
    return lambda files: files.update({name: some for name in files if name.endswith("text-2.toml")})


BAD_CONTENT: dict[str, tuple[Callable[[Files], Any], str]] = {
    "no table": (drop("tables/lots.csv"), "tables/lots.csv is missing"),
    "no text": (drop("formulas/tideline-uni/version-1.toml"), "version-1.toml is missing"),
    "one file too many": (put("formulas/x/version-1.toml", b""), "no table speaks of it"),
    "a paper too many": (put(f"attachments/00/{'0' * 64}", b""), "no table speaks of it"),
    "a path out": (put("../../etc/cron.d/x", b"x"), "not a name this program writes"),
    "a path from the root": (put("/etc/passwd", b"x"), "not a name this program writes"),
    "a path of Windows": (put("C:\\x", b"x"), "not a name this program writes"),
    "a hidden file": (put("tables/.x", b"x"), "not a name this program writes"),
    "a link to a text elsewhere": (cell("versions", "file", "../../secret"), "../../secret is missing"),
    "a text named twice": (cell("versions", "file", "formulas/tideline-uni/version-2.toml"), "named twice"),
    "a table as text": (cell("versions", "file", "tables/lots.csv"), "no table speaks of it"),
    "other columns": (put("tables/jars.csv", b"id,code\n"), "has not the columns id, fill, code"),
    "a short row": (lambda files: files.update({"tables/jars.csv": b"id,fill,code\n1,1\n"}), "2 cells instead of 3"),
    "not text": (put("tables/jars.csv", b"id,fill,code\n\xff"), "cannot be read as a table"),
    "an open quote": (put("tables/jars.csv", b'id,fill,code\n1,1,"x'), "cannot be read as a table"),
    "no number": (cell("lots", "grams", "many"), '"grams" is "many"'),
    "not a number": (cell("lots", "grams", "NaN"), '"grams" is "NaN"'),
    "nothing delivered": (cell("lots", "grams", "0"), "what the records cannot"),
    "no date": (cell("lots", "received", "yesterday"), '"received"'),
    "a time of nowhere": (cell("lots", "created", "2026-01-01T00:00:00"), '"created"'),
    "perhaps": (cell("lots", "closed", "perhaps"), '"closed"'),
    "no JSON": (cell("journal", "details", "{"), '"details"'),
    "deep JSON": (cell("journal", "details", "[" * 100_000), '"details"'),
    "no key": (cell("weighings", "key", "1"), '"key"'),
    "a negative id": (cell("lots", "id", "-1"), '"id"'),
    "an id in words": (cell("lots", "id", "١"), '"id"'),
    "a huge id": (cell("lots", "id", "9" * 30), '"id"'),
    "too long": (cell("lots", "number", "9" * 101), "at most 100"),
    "an address that is none": (cell("formulas", "slug", "../x"), '"slug"'),
    "a state that is none": (cell("batches", "state", "eaten"), "what the records cannot"),
    "two of one id": (cell("lots", "id", "2"), "what the records cannot"),
    "a lot that is not there": (cell("weighings", "lot", "77"), "what the records cannot"),
    "a parent that is not there": (cell("versions", "parent", "77"), "what the records cannot"),
    "a material that is none": (kelp(b'density = "1 parsec"'), "kelp gel"),
    "a material that is no TOML": (kelp(b"]"), "kelp gel"),
    "a text too large": (kelp(b"#" * 2_000_001), "larger than 2 MB"),
    "a paper of another hash": (cell("attachments", "sha256", "0" * 64), "no table speaks of it"),
    "a hash that is none": (cell("attachments", "sha256", "../x"), "no table speaks of it"),
    "a paper of another size": (cell("attachments", "size", "1"), "not what the table of attachments says"),
}  # fmt: skip
BAD_MANIFEST: dict[str, tuple[Callable[[Any], Any], str]] = {
    "a backup": (lambda stated: stated | {"levigate": "backup"}, "levigate restore"),
    "another format": (lambda stated: stated | {"format": 2, "program": "9.0"}, "format 2, written by version 9.0"),
    "no list": (lambda stated: [], "not what this program writes"),
    "no files": (lambda stated: stated | {"files": {}}, "do not agree"),
    "wrong kinds": (lambda stated: stated | {"format": "1"}, "not what this program writes"),
    "another hash": (
        lambda stated: stated | {"files": {name: one | {"sha256": "0" * 64} for name, one in stated["files"].items()}},
        "damaged or changed",
    ),
}  # fmt: skip


@pytest.fixture
def packed(kept_db: None, tmp_path: Path) -> Path:
    fill()
    archive.export(tmp_path / "one.zip")
    archive.wipe()
    return tmp_path / "one.zip"


def refused(source: Path | io.BytesIO, says: str, **how: Any) -> None:
    with pytest.raises(RecordError, match=says) as trouble:
        archive.bring_in(source, **how)
    assert len(str(trouble.value)) < 400
    assert not any(rows().values())
    assert [path for path in papers.folder().rglob("*") if path.is_file()] == []


def test_what_is_not_whole_is_refused_and_nothing_stays(packed: Path) -> None:
    archive.bring_in(rebuilt(packed, lambda files: None))
    archive.wipe()
    for change, says in BAD_CONTENT.values():
        refused(rebuilt(packed, change), says)
    for manifest, says in BAD_MANIFEST.values():
        refused(rebuilt(packed, lambda files: None, manifest=manifest), says)
    archive.bring_in(packed)


def test_what_is_no_zip_is_refused(kept_db: None, tmp_path: Path) -> None:
    for some in (b"", b"PK\x03\x04", b"<html>", bytes(1000)):
        refused(io.BytesIO(some), "not a zip file")
    refused(tmp_path / "nowhere.zip", "cannot be read: no such file")
    with zipfile.ZipFile(tmp_path / "other.zip", "w") as file:
        file.writestr("x.txt", "x")
    refused(tmp_path / "other.zip", "neither an archive nor a backup")


def test_a_file_that_is_there_twice_is_refused(packed: Path) -> None:
    with zipfile.ZipFile(packed, "a") as file, pytest.warns(UserWarning, match="Duplicate"):
        file.writestr("README.txt", "x")
    refused(packed, "README.txt twice")


def test_damage_is_seen(packed: Path) -> None:
    whole = packed.read_bytes()
    at = whole.index(b"certificate")
    refused(io.BytesIO(whole[:at] + b"C" + whole[at + 1 :]), "not a zip file, or it is damaged")
    refused(io.BytesIO(whole[:-100]), "not a zip file")


def test_what_would_unpack_to_too_much_is_not_unpacked(packed: Path) -> None:
    bomb = rebuilt(packed, put("formulas/x/version-1.toml", bytes(30_000_000)))
    assert len(bomb.getvalue()) < 150_000
    refused(bomb, "unpacks to far more")
    refused(bomb, "would be", limits=zips.Limits(total=1000))
    refused(packed, "20 is the limit", limits=zips.Limits(files=20))
    refused(packed, "manifest.json is too large", limits=zips.Limits(manifest=100))


def test_a_size_that_is_stated_too_small_unpacks_no_more_than_it_states(packed: Path) -> None:
    bomb = bytearray(rebuilt(packed, put("formulas/x/version-1.toml", bytes(30_000_000))).getvalue())
    for at in range(len(bomb) - 4):
        if bomb[at : at + 4] == (30_000_000).to_bytes(4, "little"):
            bomb[at : at + 4] = (1000).to_bytes(4, "little")
    refused(io.BytesIO(bytes(bomb)), "do not agree on formulas/x/version-1.toml")
