"""What an archive holds, and archives with something else in them."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from django.utils import timezone

Files = dict[str, bytes]


def content(path: Path) -> dict[str, bytes]:
    """Return what an archive holds, without the moment it was made."""
    with zipfile.ZipFile(path) as file:
        return {name: file.read(name) for name in file.namelist() if name != "manifest.json"}


def rebuilt(path: Path, change: Callable[[Files], Any], *, manifest: Callable[[Any], Any] | None = None) -> io.BytesIO:
    """Return an archive with other content and a manifest that agrees with it."""
    files = content(path)
    change(files)
    head = {"levigate": "archive", "format": 1, "program": "0.1.0", "made": timezone.now().isoformat()}
    listed = {name: {"sha256": hashlib.sha256(some).hexdigest(), "size": len(some)} for name, some in files.items()}
    stated: Any = head | {"files": listed}
    stated = manifest(stated) if manifest else stated
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as file:
        for name, some in files.items():
            file.writestr(name, some)
        file.writestr("manifest.json", json.dumps(stated))
    return out
