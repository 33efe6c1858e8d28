"""Start the application on the loopback address and keep it there until it is stopped."""

from __future__ import annotations

import os
import secrets
import threading
import webbrowser
from pathlib import Path

from levigate.errors import LevigateError

#: Where the records are put where nothing else is said.
LOOPBACK = "127.0.0.1"


class ServingError(LevigateError):
    """The workshop cannot be opened."""


def serve(*, port: int, data: Path | None, browser: bool, demo: bool = False) -> None:
    """Serve the workshop until it is stopped; the first line printed is the address to open.

    Parameters
    ----------
    port : int
        Port on the loopback address; 0 for any that is free.
    data : Path, optional
        Folder of the records; that of the user if not given.
    browser : bool
        Whether to open the address in the browser.
    demo : bool
        Whether to put the demo workshop on record first; refused where something is on record.
    """
    token = prepare(data)
    if demo:
        from levigate.records.demo import load

        load()
    from waitress import create_server

    try:
        server = create_server(_application(), host=LOOPBACK, port=port, threads=8, ident="levigate")
    except OSError as trouble:
        raise ServingError(
            f"Port {port} cannot be had ({(trouble.strerror or str(trouble)).lower()}); it may be open already. "
            "Write --port 0 for any that is free."
        ) from trouble
    address = f"http://{LOOPBACK}:{server.effective_port}/?start={token}"
    print(address, flush=True)
    print("The workshop is open until this is stopped (Ctrl-C). The address is for this start only.", flush=True)
    if browser:
        threading.Timer(0.3, webbrowser.open, [address]).start()
    try:
        server.run()
    except KeyboardInterrupt:
        pass
    finally:
        server.close()


def prepare(data: Path | None = None) -> str:
    """Set the environment of the application up, bring the database to this version, and return the token."""
    token = os.environ.setdefault("LEVIGATE_TOKEN", secrets.token_urlsafe(24))
    ready(data)
    return token


def ready(data: Path | None = None) -> None:
    """Let Django be used, and bring the records to this version."""
    set_up(data)
    from django.core.management import call_command

    call_command("migrate", verbosity=0, interactive=False)


def set_up(data: Path | None = None) -> None:
    """Let Django be used: by the server and by the commands on the records."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "levigate.web.settings")
    if data is not None:
        try:
            data.mkdir(parents=True, exist_ok=True)
        except OSError as trouble:
            raise ServingError(f"{data} cannot be made: {(trouble.strerror or str(trouble)).lower()}.") from trouble
        os.environ["LEVIGATE_DATA"] = str(data.resolve())
    import django

    django.setup()


def _application() -> object:
    from levigate.web.wsgi import application

    return application
