"""Long work tells how far it has come, in what it counts, and where it is stopped nothing of it stays."""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
import zipfile
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from django.db import connection

from levigate.demo import examples
from levigate.errors import ShelfError, StoppedError
from levigate.records import archive, demo, papers, shelf
from levigate.records.models import Attachment, OwnMaterial
from levigate.records.tables import TABLES
from tests.records.workshop import fill

pytestmark = pytest.mark.django_db
TABLE = b"name,density\n" + b"".join(b"kelp gel %d,1.0%d g/mL\n" % (n, n) for n in range(9))


class Told:
    """Takes down what is told, and stops the work at a step where one is named."""

    def __init__(self, stop_at: int | None = None) -> None:
        self.steps: list[tuple[int, int]] = []
        self.stop_at = stop_at

    def __call__(self, done: int, total: int) -> None:
        self.steps.append((done, total))
        if len(self.steps) == self.stop_at:
            raise StoppedError("Stopped.")

    def check(self) -> None:
        assert self.steps == sorted(self.steps) and len({total for _, total in self.steps}) == 1
        assert self.steps[-1][0] == self.steps[-1][1] > 0


def every_stop(work: Callable[[Told], object], after: Callable[[], None]) -> Told:
    """Stop the work at each of its steps in turn, then let it end."""
    whole = 1
    while True:
        told = Told(whole)
        try:
            work(told)
        except StoppedError:
            after()
            whole += max(1, whole // 3)
            continue
        assert len(told.steps) < whole and whole > 3
        return told


def test_an_export_tells_of_each_row_and_paper_and_leaves_no_file_where_it_is_stopped(tmp_path: Path) -> None:
    fill()
    told = every_stop(
        lambda told: archive.export(tmp_path / "a.zip", told),
        lambda: pytest.fail("a file was left") if list(tmp_path.glob("*.zip")) + list(tmp_path.glob(".lev*")) else None,
    )
    told.check()
    rows = sum(table.model._default_manager.count() for table in TABLES)
    assert told.steps[-1] == (rows + Attachment.objects.count(),) * 2 and len(told.steps) == told.steps[-1][1] + 1


def test_an_import_that_is_stopped_leaves_no_row_and_no_paper(kept_db: None, tmp_path: Path) -> None:
    fill()
    archive.export(tmp_path / "a.zip")
    archive.wipe()

    def empty() -> None:
        assert archive.is_empty() and not [path for path in papers.folder().rglob("*") if path.is_file()]

    told = every_stop(lambda told: archive.bring_in(tmp_path / "a.zip", told), empty)
    told.check()
    assert not archive.is_empty()


def test_the_demo_tells_of_lots_formulas_and_batches_and_is_loaded_whole_or_not(kept_db: None) -> None:
    def empty() -> None:
        assert archive.is_empty()

    told = Told(30)
    with pytest.raises(StoppedError):
        demo.load(told)
    empty()
    told = Told()
    demo.load(told)
    told.check()
    assert len(told.steps) == told.steps[-1][1] > 2 * len(examples())


def test_a_table_of_materials_tells_of_its_rows_and_comes_in_whole_or_not() -> None:
    def none() -> None:
        assert not OwnMaterial.objects.exists()

    told = every_stop(lambda told: shelf.bring_csv(TABLE, "mine.csv", progress=told), none)
    told.check()
    assert told.steps[-1] == (18, 18) and OwnMaterial.objects.count() == 9
    with pytest.raises(ShelfError):
        shelf.bring_csv(TABLE + b"wrack,1 parsec\n", "mine.csv", progress=Told())


def runner(folder: Path) -> Callable[..., str]:
    """Return what runs code on a small workshop in a folder of its own, and returns what it prints."""
    own = {name: value for name, value in os.environ.items() if not name.startswith(("DJANGO_", "LEVIGATE_"))}
    own |= {"DJANGO_SETTINGS_MODULE": "levigate.web.settings", "LEVIGATE_DATA": str(folder / "data")}

    def run(*words: object) -> str:
        done = subprocess.run([sys.executable, *map(str, words)], capture_output=True, text=True, env=own, check=False)
        assert done.returncode == 0, done.stderr
        return done.stdout.strip()

    run("-m", "tests.records.fill", folder / "data")
    return run


BACKUP = """
import django, json, sys
from pathlib import Path
django.setup()
from levigate.errors import StoppedError
from levigate.records import backup
told, stop = [], int(sys.argv[2])
def tell(done, total):
    told.append((done, total))
    if len(told) == stop:
        raise StoppedError("Stopped.")
try:
    backup.backup(Path(sys.argv[1]), tell)
except StoppedError:
    print("stopped")
else:
    print(json.dumps(told))
"""


@pytest.mark.skipif(connection.vendor != "sqlite", reason="of the embedded file")
def test_a_backup_tells_of_bytes_and_leaves_no_file_where_it_is_stopped(tmp_path: Path) -> None:
    run = runner(tmp_path)
    out = tmp_path / "out"
    out.mkdir()
    for stop in (1, 2, 3):
        assert run("-c", BACKUP, out / "b.zip", stop) == "stopped"
        assert list(out.iterdir()) == []
    told = [tuple(pair) for pair in json.loads(run("-c", BACKUP, out / "b.zip", 0))]
    assert told == sorted(told) and told[-1][0] == told[-1][1] and (out / "b.zip").is_file()
    with closing(sqlite3.connect(tmp_path / "data" / "workshop.sqlite3")) as records:
        (paper_bytes,) = records.execute("SELECT sum(size) FROM records_attachment").fetchone()
    assert told[-1][1] > paper_bytes > 0


WRITTEN_MEANWHILE = """
import django, sqlite3, sys
from pathlib import Path
django.setup()
from django.conf import settings
from levigate.records import archive
def write(done, total):
    if done == total // 2:
        with sqlite3.connect(settings.DATABASES["default"]["NAME"], timeout=0.2) as records:
            records.execute("UPDATE records_lot SET supplier = 'changed meanwhile'")
archive.export(Path(sys.argv[1]), write)
from levigate.records.models import Lot
print(set(Lot.objects.values_list("supplier", flat=True)))
Lot.objects.update(supplier="and after")
"""


@pytest.mark.skipif(connection.vendor != "sqlite", reason="of the embedded file")
def test_others_write_while_an_export_reads_of_one_moment(tmp_path: Path) -> None:
    run = runner(tmp_path)
    assert run("-c", WRITTEN_MEANWHILE, tmp_path / "a.zip") == "{'changed meanwhile'}"
    with zipfile.ZipFile(tmp_path / "a.zip") as file:
        assert b"changed meanwhile" not in file.read("tables/lots.csv")
