"""How far long work has come: told to whoever asked for it, who may stop it there."""

from __future__ import annotations

from collections.abc import Callable

#: Told how much is done, and of how much; what it raises stops the work, and nothing of it stays.
Progress = Callable[[int, int], None]


class Steps:
    """Counts the steps of a piece of work, and tells of each."""

    def __init__(self, progress: Progress | None, total: int, done: int = 0) -> None:
        self._progress, self._total, self._done = progress, total, done

    def on(self, count: int = 1) -> None:
        """Count so many steps as done; with 0 only ask whether to go on."""
        self._done += count
        if self._progress is not None:
            self._progress(self._done, self._total)

    def finish(self) -> None:
        """Count the rest as done."""
        self.on(self._total - self._done)
