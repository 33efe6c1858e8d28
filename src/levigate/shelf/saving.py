"""Write a file whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from levigate.errors import FileError


def save(path: Path, content: str | bytes) -> None:
    """Write a file whole or not at all: to a temporary file beside it, then in its place; a link stays a link."""
    data = content.encode("utf-8") if isinstance(content, str) else content
    try:
        target = path.resolve()
        handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name[:100]}.")
    except OSError as trouble:
        raise FileError(f"{path} cannot be written: {(trouble.strerror or str(trouble)).lower()}.") from trouble
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        mode = target.stat().st_mode & 0o777 if target.exists() else 0o666 & ~_umask()
        Path(name).chmod(mode)
        Path(name).replace(target)
    except OSError as trouble:
        Path(name).unlink(missing_ok=True)
        raise FileError(f"{path} cannot be written: {(trouble.strerror or str(trouble)).lower()}.") from trouble
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
