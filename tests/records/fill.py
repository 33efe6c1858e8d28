"""Fill a folder with a small workshop: ``python -m tests.records.fill FOLDER``."""

from __future__ import annotations

import sys
from pathlib import Path

from levigate.web.serving import ready

if __name__ == "__main__":
    ready(Path(sys.argv[1]))
    from tests.records.workshop import fill

    fill()
