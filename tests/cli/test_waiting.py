"""What a person at a terminal sees of long work: nothing for a second, then how far it is; a script sees nothing."""

from __future__ import annotations

import os
import pty
import re
import subprocess
import sys

CODE = """
import sys, time
from levigate.cli import waiting
waiting._PATIENCE = float(sys.argv[1])
with waiting.waited_for("Exporting") as progress:
    print("told" if progress else "not told")
    for n in range(41):
        if progress:
            progress(n, 40)
        time.sleep(0.01)
print("done")
"""


def at_a_terminal(patience: float) -> tuple[str, str]:
    """Return what comes out, and what the terminal shows."""
    leads, follows = pty.openpty()
    done = subprocess.run(
        [sys.executable, "-c", CODE, str(patience)],
        stdout=subprocess.PIPE, stderr=follows, text=True, check=True, env={**os.environ, "TERM": "xterm"},
    )  # fmt: skip
    os.close(follows)
    shown = b""
    try:
        while some := os.read(leads, 4096):
            shown += some
    except OSError:  # the end, as Linux says it
        pass
    os.close(leads)
    return done.stdout, shown.decode()


def test_it_is_shown_where_it_takes_long_and_taken_away_at_the_end() -> None:
    out, shown = at_a_terminal(0.0)
    assert out == "told\ndone\n"
    percents = [int(one) for one in re.findall(r"(\d+)%", shown)]
    assert "Exporting" in shown and percents == sorted(percents) and percents[-1] == 100 and len(percents) > 2
    assert shown.rstrip().endswith("\x1b[2K")  # the line is wiped


def test_nothing_is_shown_of_what_is_soon_done() -> None:
    assert at_a_terminal(60.0) == ("told\ndone\n", "")


def test_a_script_sees_nothing() -> None:
    done = subprocess.run([sys.executable, "-c", CODE, "0"], capture_output=True, text=True, check=True)
    assert (done.stdout, done.stderr) == ("not told\ndone\n", "")
