"""Call the command in this process, the way ``levigate`` does it, and read what it prints."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from typer.testing import CliRunner

from levigate.cli.main import app
from levigate.cli.say import harmless
from levigate.errors import LevigateError
from levigate.publish.reference import PRINTED, schemas
from tests.publish.json_schema import faults


@dataclass(frozen=True)
class Called:
    """What a call gave."""

    status: int
    out: str
    err: str

    def json(self, command: str) -> Any:
        """Return what was printed as JSON, checked against the documented schema of a command."""
        found = json.loads(self.out)
        (printed,) = (one for one in PRINTED if one.command == command)
        entries = found if printed.many else [found]
        assert isinstance(entries, list)
        table = schemas()
        for entry in entries:
            assert list(faults(entry, table[printed.model.__name__], table)) == []
        return found


def call(*words: str | Path) -> Called:
    """Return status, output and the sentence of what went wrong; anything but our own errors is raised."""
    result = CliRunner().invoke(app, [str(word) for word in words])
    if isinstance(result.exception, LevigateError):
        return Called(2, result.stdout, f"levigate: {harmless(str(result.exception))}\n")
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return Called(result.exit_code, result.stdout, result.stderr)
