"""Kill -9 during writes: every weighing that was answered for is there, and the database is sound.

This proves what happens when the program dies. A power cut is another matter: that SQLite waits for the disk
(``synchronous=FULL``) is set, and cannot be proved here.
"""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

from tests.soak import FULL
from tests.web.driving import own_environment

KILLS = 200 if FULL else 5


def written_until_killed(folder: Path, after: float) -> set[str]:
    """Let a writer begin, kill it so long after its first answer, and return what it answered for."""
    embedded = own_environment(folder) | {"LEVIGATE_DATABASE_URL": ""}
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.soak.writer", str(folder), "3"],
        stdout=subprocess.PIPE, text=True, env=embedded, start_new_session=True,
    )  # fmt: skip
    assert process.stdout is not None
    first = process.stdout.readline()
    time.sleep(after)
    os.kill(process.pid, signal.SIGKILL)
    rest = process.stdout.read()
    process.stdout.close()
    assert process.wait(20) == -signal.SIGKILL
    # The last line may have been cut by the kill.
    return {line for line in (first + rest).split("\n") if len(line) == 36}


def test_what_was_answered_for_is_there_after_every_kill(tmp_path: Path) -> None:
    chance = random.Random(20261125)
    answered: set[str] = set()
    for number in range(KILLS):
        more = written_until_killed(tmp_path / "data", chance.expovariate(20))
        assert more and not more & answered
        answered |= more
        with closing(sqlite3.connect(tmp_path / "data" / "workshop.sqlite3")) as records:
            kept = {key for (key,) in records.execute("SELECT key FROM records_weighing")}
            told = [key for (key,) in records.execute("SELECT subject FROM records_journal WHERE kind = 'weighing'")]
            assert {key.replace("-", "") for key in answered} <= kept, f"after kill {number + 1}"
            # A weighing and its line in the journal are both there, or neither.
            assert sorted(key.replace("-", "") for key in told) == sorted(kept)
            assert records.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
            assert records.execute("PRAGMA foreign_key_check").fetchall() == []
    assert len(answered) >= KILLS
    # At each kill at most one write a thread was on its way: answered for or not, it is whole.
    assert len(kept) - len(answered) <= 3 * KILLS
