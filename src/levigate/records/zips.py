"""Zip files with a manifest: written whole or not at all, and read without trust.

Nothing is ever unpacked to a path that stands in the file. How much it may hold is known before a byte of it is
unpacked: the sizes it states are added up, and no more is read of a file than it states.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import struct
import tempfile
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any, BinaryIO

from django.utils import timezone

from levigate import __version__
from levigate.errors import RecordError
from levigate.records.progress import Progress, Steps

MANIFEST = "manifest.json"
CHUNK = 1 << 20
_NAME = re.compile(r"(?:[A-Za-z0-9_-]+/){0,4}[A-Za-z0-9_-]+(?:\.[a-z0-9]{1,8})?")


@dataclass(frozen=True, slots=True)
class Limits:
    """What a zip file may hold at most."""

    #: All its files together, unpacked; more only where the file itself is that large, as with many pictures. [bytes]
    total: int = 2_000_000_000
    files: int = 200_000
    #: Unpacked to packed, of the whole file; text packs 5 to 30 times.
    ratio: float = 200
    #: The manifest, unpacked. [bytes]
    manifest: int = 50_000_000


LIMITS = Limits()


class Packing:
    """A zip file that is being written; what was put into it is listed in its manifest."""

    def __init__(self, file: zipfile.ZipFile, kind: str, number: int) -> None:
        self._file = file
        self._head = {"levigate": kind, "format": number, "program": __version__, "made": timezone.now().isoformat()}
        self._files: dict[str, dict[str, Any]] = {}

    def add(self, name: str, content: bytes) -> None:
        """Put a file in."""
        self._list(name, hashlib.sha256(content).hexdigest(), len(content))
        self._file.writestr(name, content)

    def add_file(self, name: str, path: Path, *, packed: bool = True, steps: Steps | None = None) -> None:
        """Put a file of the disk in; what is packed already, as a picture, is not packed again."""
        digest, size = hashlib.sha256(), 0
        info = zipfile.ZipInfo(name, date_time=timezone.now().timetuple()[:6])
        info.compress_type = zipfile.ZIP_DEFLATED if packed else zipfile.ZIP_STORED
        with path.open("rb") as source, self._file.open(info, "w", force_zip64=True) as target:
            while chunk := source.read(CHUNK):
                target.write(chunk)
                digest.update(chunk)
                size += len(chunk)
                if steps is not None:
                    steps.on(len(chunk))
        self._list(name, digest.hexdigest(), size)

    def _list(self, name: str, sha256: str, size: int) -> None:
        if name in self._files or not _NAME.fullmatch(name):
            raise ValueError(f"{name} cannot be put into the file, or is in it already")
        self._files[name] = {"sha256": sha256, "size": size}

    def finish(self) -> None:
        """Put the manifest in."""
        manifest = {**self._head, "files": self._files}
        self._file.writestr(MANIFEST, json.dumps(manifest, indent=1).encode())


@contextmanager
def packing(path: Path, kind: str, number: int) -> Iterator[Packing]:
    """Write a zip file whole or not at all: beside its place first, then into it.

    Raises
    ------
    RecordError
        When it cannot be written.
    """
    target = path.resolve()
    try:
        handle, name = tempfile.mkstemp(dir=target.parent, prefix=".levigate-", suffix=".zip")
    except OSError as trouble:
        raise RecordError(f"{path} cannot be written: {_why(trouble)}.") from trouble
    try:
        with os.fdopen(handle, "wb") as out:
            with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as file:
                writing = Packing(file, kind, number)
                yield writing
                writing.finish()
            out.flush()
            os.fsync(out.fileno())
        Path(name).replace(target)
    except OSError as trouble:
        raise RecordError(f"{path} cannot be written: {_why(trouble)}.") from trouble
    finally:
        Path(name).unlink(missing_ok=True)


def _why(trouble: OSError) -> str:
    return (trouble.strerror or str(trouble)).lower()


class Unpacking:
    """A zip file that is being read; made by `unpacking`, which has checked it."""

    def __init__(self, file: zipfile.ZipFile, manifest: dict[str, Any]) -> None:
        self._file = file
        self.kind: str = manifest["levigate"]
        self.format: int = manifest["format"]
        self.program: str = manifest["program"]
        self._files: dict[str, dict[str, Any]] = manifest["files"]

    @property
    def names(self) -> tuple[str, ...]:
        """Its files, the manifest left out."""
        return tuple(self._files)

    @property
    def size(self) -> int:
        """All its files together, unpacked. [bytes]"""
        return sum(entry["size"] for entry in self._files.values())

    def sha256(self, name: str) -> str:
        """Return the hash of a file, as the manifest has it."""
        return str(self._entry(name)["sha256"])

    def size_of(self, name: str) -> int:
        """Return the size of a file, unpacked. [bytes]"""
        return int(self._entry(name)["size"])

    def _entry(self, name: str) -> dict[str, Any]:
        if name not in self._files:
            raise RecordError(f"{name} is missing from the file.")
        return self._files[name]

    def open(self, name: str) -> IO[bytes]:
        """Open a file to read it; what it holds was compared with the manifest when `check` ran."""
        self._entry(name)
        return self._file.open(name)

    def read(self, name: str, largest: int) -> bytes:
        """Return what is in a file that must not be large."""
        if self.size_of(name) > largest:
            raise RecordError(f"{name} is larger than {largest // 1_000_000} MB, which is the limit for such a file.")
        with self.open(name) as file:
            return file.read()

    def check(self, progress: Progress | None = None) -> None:
        """Compare every file with the manifest."""
        steps = Steps(progress, self.size)
        for name, entry in self._files.items():
            digest = hashlib.sha256()
            with _damage_said(), self._file.open(name) as file:
                while chunk := file.read(CHUNK):
                    digest.update(chunk)
                    steps.on(len(chunk))
            if digest.hexdigest() != entry["sha256"]:
                raise RecordError(f"{name} is not what the manifest says it is: the file was damaged or changed.")


@contextmanager
def unpacking(source: Path | BinaryIO, limits: Limits = LIMITS) -> Iterator[Unpacking]:
    """Open a zip file that may come from anywhere.

    Raises
    ------
    RecordError
        When it is no zip file of ours, holds too much, or is not what its manifest says.
    """
    with _damage_said():
        file = zipfile.ZipFile(source)
    with file:
        with _damage_said():
            manifest = _manifest(file, limits)
        yield Unpacking(file, manifest)


@contextmanager
def _damage_said() -> Iterator[None]:
    """Say in a sentence what the zip module raises at a damaged file, which is of many kinds."""
    try:
        yield
    except OSError as trouble:
        raise RecordError(f"The file cannot be read: {_why(trouble)}.") from trouble
    except (
        zipfile.BadZipFile, zlib.error, struct.error, EOFError, NotImplementedError, RuntimeError, ValueError,
        IndexError, OverflowError,
    ) as trouble:  # fmt: skip
        raise RecordError("The file is not a zip file, or it is damaged.") from trouble


def _manifest(file: zipfile.ZipFile, limits: Limits) -> dict[str, Any]:
    infos = file.infolist()
    _check_sizes(infos, _length(file), limits)
    _check_names(infos)
    listed = {info.filename: info.file_size for info in infos}
    if MANIFEST not in listed:
        raise RecordError(f"The file has no {MANIFEST}: it is neither an archive nor a backup of a workshop.")
    if listed.pop(MANIFEST) > limits.manifest:
        raise RecordError(f"{MANIFEST} is too large.")
    try:
        manifest = json.loads(file.read(MANIFEST))
        stated = {name: entry["size"] for name, entry in manifest["files"].items()}
        whole = (
            isinstance(manifest["levigate"], str)
            and type(manifest["format"]) is int
            and isinstance(manifest["program"], str)
            and all(isinstance(entry["sha256"], str) for entry in manifest["files"].values())
        )
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError) as trouble:
        raise RecordError(f"{MANIFEST} is not what this program writes.") from trouble
    if not whole:
        raise RecordError(f"{MANIFEST} is not what this program writes.")
    if stated != listed:
        odd = sorted({name for name in stated.keys() | listed.keys() if stated.get(name) != listed.get(name)})
        raise RecordError(f"{MANIFEST} and the file do not agree on {odd[0][:100]}.")
    return dict(manifest)


def _length(file: zipfile.ZipFile) -> int:
    """Return how long the file itself is: what its entries state may overlap. [bytes]"""
    assert file.fp is not None
    return file.fp.seek(0, os.SEEK_END)


def _check_sizes(infos: list[zipfile.ZipInfo], length: int, limits: Limits) -> None:
    if len(infos) > limits.files:
        raise RecordError(f"The file holds {len(infos)} files; {limits.files} is the limit.")
    total = sum(info.file_size for info in infos)
    if total > max(limits.total, 2 * length):
        raise RecordError(
            f"Unpacked, the file would be {total // 1_000_000} MB; {limits.total // 1_000_000} MB is the limit."
        )
    if total > 10_000_000 and total > limits.ratio * length:
        raise RecordError("The file unpacks to far more than such records do; it is not opened.")


def _check_names(infos: list[zipfile.ZipInfo]) -> None:
    seen: set[str] = set()
    for info in infos:
        name = info.filename
        if not _NAME.fullmatch(name) or info.orig_filename != name:
            raise RecordError(f'The file holds "{name[:100]}", which is not a name this program writes.')
        if name in seen:
            raise RecordError(f"The file holds {name} twice.")
        if info.flag_bits & 1:
            raise RecordError(f"{name} is locked with a password.")
        if info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            raise RecordError(f"{name} is packed in a way this program does not write.")
        seen.add(name)
