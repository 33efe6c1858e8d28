"""Run the tests of records and pages on PostgreSQL: ``python -m tests.postgres [what pytest takes]``.

A private cluster is made in a temporary folder, reached by a socket in that folder only, and is gone afterwards.
Debian's server is installed first where there is none.
"""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

TESTS = ("tests/records", "tests/web", "tests/soak/test_at_once.py", "tests/soak/test_damaged.py")
_NAME = "levigate"


def programs() -> Path:
    """Return where the programs of the server are, after installing it where it is missing."""
    if found := _programs():
        return found
    asking = [] if os.geteuid() == 0 else ["sudo", "-n"]
    print("PostgreSQL is not installed; asking apt for it.", flush=True)
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for words in (["update", "-qq"], ["install", "-y", "-qq", "--no-install-recommends", "postgresql"]):
        subprocess.run([*asking, "apt-get", *words], check=True, env=environment)
    if found := _programs():
        return found
    sys.exit("PostgreSQL was installed, but initdb is not to be found in /usr/lib/postgresql.")


def _programs() -> Path | None:
    for path in sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), reverse=True):
        return path.parent
    on_path = shutil.which("initdb")
    return Path(on_path).resolve().parent if on_path else None


def _as() -> tuple[list[str], int]:
    """Return the words that run a program as someone who is not root, and the number of that user."""
    if os.geteuid() != 0:
        return [], os.geteuid()
    for name in ("postgres", "nobody"):
        try:
            number = pwd.getpwnam(name).pw_uid
        except KeyError:
            continue
        return ["runuser", "-u", name, "--"], number
    sys.exit("PostgreSQL does not run as root, and there is no other user to run it as.")


@contextmanager
def cluster() -> Iterator[str]:
    """Start a private cluster; yields the URL of a database in it."""
    folder = Path(tempfile.mkdtemp(prefix="levigate-pg-"))
    user, number = _as()
    os.chown(folder, number, -1)
    bin_, data = programs(), folder / "data"
    options = f"-c listen_addresses='' -c unix_socket_directories='{folder}' -c fsync=off -c max_connections=200"
    try:
        _run([*user, bin_ / "initdb", "-D", data, "-U", _NAME, "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8", "-N"])
        _run([*user, bin_ / "pg_ctl", "-D", data, "-w", "-l", folder / "log", "-o", options, "start"])
        try:
            _run([bin_ / "createdb", "-h", folder, "-U", _NAME, _NAME])
            yield f"postgres://{_NAME}@{quote(str(folder), safe='')}/{_NAME}"
        finally:
            _run([*user, bin_ / "pg_ctl", "-D", data, "-w", "-m", "fast", "stop"])
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _run(words: list[str | Path]) -> None:
    done = subprocess.run([str(word) for word in words], stdout=subprocess.DEVNULL, cwd="/", check=False)
    if done.returncode:
        sys.exit(f"{words[-1]}: {' '.join(str(word) for word in words)} gave {done.returncode}")


def main(words: list[str]) -> int:
    """Run the tests on a private cluster."""
    with cluster() as url:
        environment = {**os.environ, "LEVIGATE_DATABASE_URL": url}
        return subprocess.run(
            [sys.executable, "-m", "pytest", *(words or TESTS)], env=environment, check=False
        ).returncode


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
