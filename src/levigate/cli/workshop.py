"""Commands on the workshop: open it in the browser."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

Data = Annotated[Path | None, typer.Option("--data", help="Folder of the records; your own data folder if not said.")]


def open_(
    browser: Annotated[bool, typer.Option("--browser/--no-browser", help="Open it in the browser.")] = True,
    port: Annotated[int, typer.Option("--port", min=0, max=65535, help="Port; 0 for any that is free.")] = 8765,
    data: Data = None,
    demo: Annotated[bool, typer.Option("--demo", help="Load the demo workshop first, into an empty folder.")] = False,
) -> None:
    """Open the workshop in the browser: records, pages, bench."""
    from levigate.web.serving import serve

    serve(port=port, data=data, browser=browser, demo=demo)
