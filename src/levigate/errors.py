"""What can go wrong in a call or a file, drawn as a tree.

::

    LevigateError
    ├── UnitError        a value whose unit or number cannot be read
    ├── FileError      a file that cannot be read or written
    │   └── FormulaError a formula file that cannot be understood, with its line
    ├── ShelfError       the shelf of materials is asked for something it cannot give
    ├── PercentError     percentages that cannot be changed as asked
    ├── SumError         a quick sum called wrongly
    ├── BatchError       a batch that cannot be planned as asked
    ├── RecordError      records that cannot be changed, found or brought in as asked
    │   └── ConflictError     somebody else saved first
    └── StoppedError     long work that was stopped by who had begun it

Trouble *in* a formula (a limit passed, a material unknown) is a finding of the review, never an error.
Every message is a sentence: what, what came, what would be right.
"""

import re
from datetime import date, time

#: Characters of what came that a message quotes.
_QUOTED = 60


def came(value: object) -> str:
    """Return what came in as a message quotes it: text in quotes, on one line, not too long."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, (date, time)):
        return value.isoformat()
    try:
        text = value if isinstance(value, str) else re.sub(r"Decimal\('([^']*)'\)", r"\1", repr(value))
    except (ValueError, RecursionError):  # an integer of thousands of digits, a list in a list in a list ...
        return "something far too long"
    line = text if text.isspace() else " ".join(text.split())
    line = line if len(line) <= _QUOTED else f"{line[: _QUOTED - 3]}..."
    return f'"{line}"' if isinstance(value, str) else line


class LevigateError(Exception):
    """Any trouble that is told to the person as one sentence, on one line whatever the names in it hold."""

    def __str__(self) -> str:
        """Return the sentence."""
        return " ".join(super().__str__().split())


class UnitError(LevigateError, ValueError):
    """A value whose number or unit cannot be read; also a ValueError, so that a shape being checked reports it."""

    def __init__(self, message: str, *, about: str = "") -> None:
        super().__init__(message)
        #: The property it is a value of, where that is known.
        self.about = about


class FileError(LevigateError):
    """A file that cannot be read or written."""


class FormulaError(FileError):
    """A formula file that cannot be understood; says the file and the line."""

    def __init__(self, message: str, *, file: str = "", line: int | None = None) -> None:
        where = file
        if line is not None:
            where = f"{file}, line {line}" if file else f"line {line}"
        super().__init__(f"{where}: {message}" if where else message)
        self.message, self.file, self.line = message, file, line


class ShelfError(LevigateError):
    """The shelf is asked for something it cannot give."""


class PercentError(LevigateError):
    """Percentages that cannot be changed as asked."""


class SumError(LevigateError):
    """A quick sum called wrongly."""

    def __init__(self, message: str, *, about: tuple[str, ...] = (), missing: bool = False) -> None:
        super().__init__(message)
        #: The keys that it is about, where it is about some; whether they were not told at all.
        self.about, self.missing = about, missing


class BatchError(LevigateError):
    """A batch that cannot be planned as asked."""


class RecordError(LevigateError):
    """Records that cannot be changed, found or brought in as asked."""


class ConflictError(RecordError):
    """Somebody else, or another window, saved first; nothing is lost on either side."""


class StoppedError(LevigateError):
    """Long work that was stopped by who had begun it; nothing of it stays."""
