"""The real server, and Debian's Chromium on it."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

#: How Chromium is started: without a sandbox of its own (tests run as root) and without calls to the outside.
FLAGS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
)  # fmt: skip
CHROMIUM = shutil.which("chromium") or "/usr/bin/chromium"


@dataclass(frozen=True, slots=True)
class Workshop:
    """A workshop that is open."""

    #: Address that opens it, with the token of this start.
    opens: str
    process: subprocess.Popen[str]
    data: Path

    @property
    def address(self) -> str:
        """Its address without the token."""
        parts = urlsplit(self.opens)
        return f"{parts.scheme}://{parts.netloc}"

    @property
    def token(self) -> str:
        """The token of this start."""
        return self.opens.partition("start=")[2]


@contextmanager
def opened(data: Path, *options: str, **environment: str) -> Iterator[Workshop]:
    """Open a workshop on a folder as a person does, and close it in the end."""
    command = [sys.executable, "-m", "levigate", "open", "--no-browser", "--port", "0", "--data", str(data), *options]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env={**own_environment(data), **environment})
    try:
        assert process.stdout is not None
        line = process.stdout.readline().strip()
        assert line.startswith("http://127.0.0.1:"), line
        yield Workshop(line, process, data)
    finally:
        process.terminate()
        process.wait(10)
        if process.stdout is not None:
            process.stdout.close()


def own_environment(data: Path) -> dict[str, str]:
    """Return the environment of a person: neither the settings nor the folder nor the token of the tests."""
    own = {name: value for name, value in os.environ.items() if not name.startswith(("DJANGO_", "LEVIGATE_"))}
    return own | _database(data)


def _database(data: Path) -> dict[str, str]:
    """Return the setting of a database for this folder alone, where the tests run on PostgreSQL."""
    url = os.environ.get("LEVIGATE_DATABASE_URL")
    if not url:
        return {}
    import psycopg

    name = f"w{hashlib.sha256(str(data.resolve()).encode()).hexdigest()[:20]}"
    with psycopg.connect(url, autocommit=True) as records:
        if not records.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name]).fetchone():
            records.execute(f"CREATE DATABASE {name}")
    return {"LEVIGATE_DATABASE_URL": f"{url.rpartition('/')[0]}/{name}"}


@contextmanager
def chromium() -> Iterator[Any]:
    """Start Chromium; yields a Playwright browser."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        try:
            yield browser
        finally:
            browser.close()
