"""The commands on whole records, on a data folder of their own, each in a process of its own."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
import threading
import zipfile
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from tests.cli.calling import Called
from tests.web.driving import opened


def run(*words: str | Path, module: str = "levigate", **environment: str) -> Called:
    """Call a module in a process of its own, with a database of its own."""
    settings = {name: value for name, value in os.environ.items() if not name.startswith(("LEVIGATE_", "DJANGO_"))}
    done = subprocess.run(
        [sys.executable, "-m", module, *map(str, words)],
        capture_output=True, text=True, env=settings | environment, check=False,
    )  # fmt: skip
    return Called(done.returncode, done.stdout, done.stderr)


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the data folder of a small workshop; copy it before it is changed."""
    folder = tmp_path_factory.mktemp("filled") / "data"
    done = run(folder, module="tests.records.fill")
    assert done.status == 0, done.err
    return folder


@pytest.fixture
def data(filled: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(filled, tmp_path / "data"))


def rows(data: Path) -> dict[str, list[Any]]:
    with closing(sqlite3.connect(data / "workshop.sqlite3")) as records:
        names = [
            name
            for (name,) in records.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
            if name.startswith("records_")
        ]
        return {name: records.execute(f"SELECT * FROM {name} ORDER BY 1").fetchall() for name in names}


def sheets(data: Path) -> set[str]:
    return {path.name for path in (data / "attachments").rglob("*") if path.is_file()}


def test_export_and_import_into_another_folder(data: Path, tmp_path: Path) -> None:
    out = run("records", "export", tmp_path / "a.zip", "--data", data, "--json")
    form = out.json("levigate records export FILE")
    assert form["kind"] == "archive" and form["rows"]["weighings"] == 3 and form["papers"] == 2
    back = run("records", "import", tmp_path / "a.zip", "--data", tmp_path / "new", "--json")
    assert back.json("levigate records import FILE") == form
    assert rows(tmp_path / "new") == rows(data) and sheets(tmp_path / "new") == sheets(data) != set()
    again = run("records", "import", tmp_path / "a.zip", "--data", tmp_path / "new")
    assert again.status == 2 and "records already" in again.err


def test_backup_and_restore(data: Path, tmp_path: Path) -> None:
    before = rows(data)
    out = run("backup", tmp_path / "b.zip", "--data", data, "--json")
    form = out.json("levigate backup FILE")
    assert form["kind"] == "backup" and form["rows"]["weighings"] == 3 and form["papers"] == 2
    over = run("backup", tmp_path / "b.zip", "--data", data)
    assert over.status == 2 and "--replace writes over it" in over.err
    refused = run("restore", tmp_path / "b.zip", "--data", data)
    assert refused.status == 2 and "--replace puts them aside" in refused.err
    with closing(sqlite3.connect(data / "workshop.sqlite3")) as records, records:
        records.execute("UPDATE records_lot SET supplier = 'changed since'")
    changed = rows(data)
    restored = run("restore", tmp_path / "b.zip", "--data", data, "--replace", "--json").json("levigate restore FILE")
    assert rows(data) == before != changed
    assert rows(Path(restored["aside"])) == changed and Path(restored["aside"]).parent == data


def test_restore_into_a_new_folder_is_a_whole_workshop(data: Path, tmp_path: Path) -> None:
    run("backup", tmp_path / "b.zip", "--data", data)
    new = tmp_path / "new"
    restored = run("restore", tmp_path / "b.zip", "--data", new)
    assert restored.status == 0 and "2 formulas, 3 versions, 2 lots, 1 batches, 3 weighings" in restored.out
    assert rows(new) == rows(data) and sheets(new) == sheets(data)
    assert not list(new.glob(".levigate-*"))
    with (
        closing(sqlite3.connect(new / "workshop.sqlite3")) as records,
        pytest.raises(sqlite3.DatabaseError, match="kept"),
    ):
        records.execute("DELETE FROM records_weighing")


def test_an_archive_is_restored_too_and_the_old_records_are_exported_aside(data: Path, tmp_path: Path) -> None:
    before = rows(data)
    run("records", "export", tmp_path / "a.zip", "--data", data)
    done = run("restore", tmp_path / "a.zip", "--data", data, "--replace", "--json").json("levigate restore FILE")
    after = rows(data)
    assert after == before and done["kind"] == "archive" and zipfile.is_zipfile(done["aside"])


def test_a_workshop_that_is_open_is_backed_up_and_not_restored_over(data: Path, tmp_path: Path) -> None:
    with opened(data, LEVIGATE_DATABASE_URL="") as workshop:
        assert run("backup", tmp_path / "b.zip", "--data", data).status == 0
        refused = run("restore", tmp_path / "b.zip", "--data", data, "--replace")
        assert refused.status == 2 and "The workshop is open" in refused.err
        assert workshop.process.poll() is None
    assert run("restore", tmp_path / "b.zip", "--data", data, "--replace").status == 0


def test_a_backup_made_while_others_write_is_of_one_moment(data: Path, tmp_path: Path) -> None:
    stop = threading.Event()

    def write() -> None:
        """Add two rows at once, again and again."""
        with closing(sqlite3.connect(data / "workshop.sqlite3", timeout=20)) as records:
            n = 0
            while not stop.is_set():
                n += 1
                with records:
                    for name in (f"a{n}", f"b{n}"):
                        records.execute("INSERT INTO records_preference VALUES (?, '')", [name])

    writer = threading.Thread(target=write)
    writer.start()
    try:
        done = run("backup", tmp_path / "b.zip", "--data", data)
    finally:
        stop.set()
        writer.join()
    assert done.status == 0, done.err
    assert run("restore", tmp_path / "b.zip", "--data", tmp_path / "new").status == 0
    names = {name for name, _ in rows(tmp_path / "new")["records_preference"]} - {"decimal"}
    assert names and {name[1:] for name in names if name[0] == "a"} == {name[1:] for name in names if name[0] == "b"}


def test_damaged_records_are_put_aside_as_they_are(data: Path, tmp_path: Path) -> None:
    run("backup", tmp_path / "b.zip", "--data", data)
    (data / "workshop.sqlite3").write_bytes(b"rubbish" * 1000)
    (data / "workshop.sqlite3-wal").unlink(missing_ok=True)
    assert "cannot be read as records" in run("backup", tmp_path / "c.zip", "--data", data).err
    assert not (tmp_path / "c.zip").exists()
    restored = run("restore", tmp_path / "b.zip", "--data", data, "--replace", "--json").json("levigate restore FILE")
    assert (Path(restored["aside"]) / "workshop.sqlite3").read_bytes() == b"rubbish" * 1000
    assert len(rows(data)["records_weighing"]) == 3


@pytest.mark.parametrize(
    ("statement", "says"),
    [
        ("INSERT INTO django_migrations (app, name, applied) VALUES ('records', '9999_later', '2030-01-01')", "newer"),
        ("INSERT INTO records_draftstate (draft_id, number, text, says, at) VALUES (99, 1, '', '', '')", "not there"),
    ],
)  # fmt: skip
def test_a_copy_that_does_not_fit_is_refused(data: Path, tmp_path: Path, statement: str, says: str) -> None:
    with closing(sqlite3.connect(data / "workshop.sqlite3")) as records, records:
        records.execute(statement)
    assert run("backup", tmp_path / "b.zip", "--data", data).status == 0
    refused = run("restore", tmp_path / "b.zip", "--data", tmp_path / "new")
    assert refused.status == 2 and says in refused.err
    assert not (tmp_path / "new" / "workshop.sqlite3").exists() and not sheets(tmp_path / "new")


def test_triggers_of_a_stranger_do_not_come_in(data: Path, tmp_path: Path) -> None:
    with closing(sqlite3.connect(data / "workshop.sqlite3")) as records, records:
        records.execute("CREATE TRIGGER records_x AFTER INSERT ON records_lot BEGIN DELETE FROM records_token; END")
        records.execute("DROP TRIGGER records_weighing_kept_DELETE")
        records.execute("CREATE VIEW everything AS SELECT * FROM records_lot")
    run("backup", tmp_path / "b.zip", "--data", data)
    assert run("restore", tmp_path / "b.zip", "--data", tmp_path / "new").status == 0
    with closing(sqlite3.connect(tmp_path / "new" / "workshop.sqlite3")) as records:
        found = {
            name for (name,) in records.execute("SELECT name FROM sqlite_master WHERE type IN ('trigger', 'view')")
        }
    assert "records_weighing_kept_DELETE" in found and not found & {"records_x", "everything"}


def test_folders_and_files_that_are_not_there_are_said(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    for words, says in (
        (("backup", tmp_path / "b.zip", "--data", tmp_path / "none"), "should be the folder of the records"),
        (("backup", tmp_path / "b.zip", "--data", tmp_path / "empty"), "There are no records in"),
        (("records", "export", tmp_path / "b.zip", "--data", tmp_path / "none"), "should be the folder of the records"),
        (("restore", tmp_path / "none.zip", "--data", tmp_path / "empty"), "no such file"),
        (("records", "import", tmp_path / "none.zip", "--data", tmp_path / "empty"), "no such file"),
    ):
        done = run(*words)
        assert done.status == 2 and says in done.err, words
        assert not (tmp_path / "none").exists() and not (tmp_path / "b.zip").exists()
