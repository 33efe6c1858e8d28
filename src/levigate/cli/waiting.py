"""How far long work has come, for who waits at a terminal; a script, and work that is soon done, see nothing of it."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

#: Work that takes no longer is not spoken of. [s]
_PATIENCE = 1.0


@contextmanager
def waited_for(what: str) -> Iterator[Callable[[int, int], None] | None]:
    """Give what long work tells how far it has come: a bar on the terminal, once a second is over; else None."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn

    bar = Progress(
        TextColumn(what), BarColumn(), TaskProgressColumn(), console=Console(stderr=True, markup=False), transient=True
    )
    task, began = bar.add_task(what, total=None), time.monotonic()

    def tell(done: int, total: int) -> None:
        if not bar.live.is_started:
            if time.monotonic() - began < _PATIENCE:
                return
            bar.start()
        bar.update(task, completed=done, total=total)

    try:
        yield tell
    finally:
        bar.stop()
