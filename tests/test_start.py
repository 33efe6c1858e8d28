"""A command starts fast because it loads little: no web framework, chart, statistics, template or unit library."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

from levigate.demo import examples

HEAVY = ("django", "pint", "scipy", "altair", "statsmodels", "pandas", "jinja2", "typst", "tomlkit", "highspy")
CREAM = str(examples()["breakwater-hand-cream"])
#: Runs commands one after the other in a fresh process, and says after each which packages are loaded.
SCRIPT = """
import contextlib, io, json, sys
from levigate.cli.main import app
for words in json.loads(sys.argv[1]):
    with contextlib.redirect_stdout(io.TextIOWrapper(io.BytesIO(), encoding="utf-8")):
        app(words, standalone_mode=False)
    print(json.dumps(sorted({name.partition(".")[0] for name in sys.modules})))
"""


def loaded(*calls: list[str]) -> list[set[str]]:
    """Return what a fresh process has loaded after each of some calls."""
    lonely = {**os.environ, "LEVIGATE_SHELF": "no-such-shelf.toml"}
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT, json.dumps(calls)],
        capture_output=True,
        encoding="utf-8",
        env=lonely,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return [set(json.loads(line)) for line in done.stdout.splitlines()]


def test_nothing_heavy_is_loaded() -> None:
    calls = [
        ["review", CREAM],
        ["review", CREAM, "--working", "--json"],
        ["adjust", CREAM, "--set", "glycerin=7%"],
        ["compare", CREAM, CREAM],
        ["batch", CREAM],
        ["reckon", "weighing", "mass=5g", "scale=0.1g"],
        ["shelf", "show", "glycerin"],
    ]
    for words, found in zip(calls, loaded(*calls), strict=True):
        assert not found & set(HEAVY), f"loaded by {' '.join(words)} or a call before it"
        assert "levigate" in found


def test_a_library_is_loaded_when_it_is_needed(tmp_path: Path) -> None:
    """The same measure where it must find something, so that finding nothing above means what it says."""
    sheet, out = str(tmp_path / "sheet.md"), str(tmp_path / "out.toml")
    found = loaded(["batch", CREAM, "--markdown", sheet], ["adjust", CREAM, "--set", "glycerin=7%", "--out", out])
    assert [one & {"jinja2", "tomlkit"} for one in found] == [{"jinja2"}, {"jinja2", "tomlkit"}]
