"""The tour in the README: its commands are run, and what they print stands beneath them.

``python -m tests.tour`` writes the outputs anew. In a ``console`` block a line ``…`` at the end says that the output
goes on; ``…24`` asks for the first 24 lines the next time it is written.
"""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[1]
README = ROOT / "README.md"
_BLOCK = re.compile(r"^```console\n\$ (.*?)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True)
class Block:
    """One command of the tour with what is printed beneath it."""

    command: str
    shown: str

    @property
    def lines(self) -> int | None:
        """How many lines are shown; None for all."""
        rows = self.shown.splitlines()
        if not rows or not rows[-1].startswith("…"):
            return None
        asked = rows[-1].removeprefix("…")
        return int(asked) if asked else len(rows) - 1

    def now(self) -> str:
        """Return what the command prints today, cut where the block is cut."""
        printed = run(self.command).rstrip("\n").splitlines()
        if self.lines is None or self.lines >= len(printed):
            return "\n".join(printed) + "\n"
        return "\n".join([*printed[: self.lines], "…"]) + "\n"


def run(command: str) -> str:
    """Return what a command of the tour prints."""
    words = shlex.split(command)
    if words[0] != "levigate":
        raise ValueError(f"the tour runs levigate only, not {words[0]}")
    lonely = {**os.environ, "LEVIGATE_SHELF": str(ROOT / "no-such-shelf.toml")}
    called = [sys.executable, "-m", "levigate", *words[1:]]
    done = subprocess.run(called, cwd=ROOT, capture_output=True, encoding="utf-8", env=lonely, check=False)
    if done.returncode == 2:
        raise RuntimeError(done.stderr)
    return "\n".join(line.rstrip() for line in done.stdout.splitlines()) + "\n"


def blocks(text: str) -> Iterator[Block]:
    """Yield the commands of a page."""
    for command, shown in _BLOCK.findall(text):
        yield Block(command, shown)


def written_anew(text: str) -> str:
    """Return the page with today's outputs."""
    return _BLOCK.sub(lambda m: f"```console\n$ {m[1]}\n{Block(m[1], m[2]).now()}```", text)


if __name__ == "__main__":
    README.write_text(written_anew(README.read_text(encoding="utf-8")), encoding="utf-8")
