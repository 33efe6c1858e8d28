"""Twenty writers at once: nothing is lost, nothing is kept twice, the second saver is told."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

from tests.soak import FULL
from tests.soak.writers import WRITERS
from tests.web.driving import own_environment

EACH = 200 if FULL else 8


def test_twenty_writers_at_once(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tests.soak.writers", str(tmp_path / "data"), str(EACH)],
        capture_output=True, text=True, env=own_environment(tmp_path / "data"), check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    sent = WRITERS // 2 * EACH
    # Turned away for want of a turn, after 20 s of waiting: seldom, and each one sent again.
    assert found["weighings"].pop("refused") <= WRITERS
    assert found["weighings"] == {
        "said": ["done"],
        "sent": sent,
        "kept": sent,
        "lost": 0,
        "left": f"{100000 - sent / 10:.4f}",
    }
    told = ["ConflictError"] * (WRITERS - 1)
    assert found["savers"]["changed"] == [*told, "changed"]
    assert found["savers"]["saved"] == [*told, "saved"]
    assert found["savers"]["kept"] == ["kept"]
    # Version 1, the one that was saved first, and those that were told and saved beside it.
    assert found["savers"]["numbers"] == list(range(1, WRITERS + 3))
    assert found["savers"]["parents"] == [1] and found["savers"]["texts"] == WRITERS
