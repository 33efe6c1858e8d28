"""Papers and pictures put to a lot, a batch, a formula or a material: kept once, under the hash of what is in them.

No name that a person gives ever becomes a path: a paper lies at ``attachments/ab/ab12...``, and the name it is
downloaded under is only a word in the records.
"""

from __future__ import annotations

import hashlib
import mimetypes
import os
import re
import tempfile
import unicodedata
from collections.abc import Iterable
from pathlib import Path
from typing import BinaryIO

from django.conf import settings
from django.db import transaction

from levigate.errors import RecordError
from levigate.records.journal import note
from levigate.records.models import Attached, Attachment, Batch, Formula, Lot, OwnMaterial
from levigate.records.shelf import shelf

#: What a paper can be put to, and what names it there: a lot by its number in the records, the rest by their words.
KINDS = ("lot", "batch", "formula", "material")
#: Served where the kind of a paper is not known; the browser keeps such a file and does not open it.
UNKNOWN = "application/octet-stream"
_HASH = re.compile(r"[0-9a-f]{64}")


def folder() -> Path:
    """Return where papers lie."""
    return Path(settings.DATA) / "attachments"


def path_of(sha256: str) -> Path:
    """Return where the paper with a hash lies.

    Raises
    ------
    RecordError
        When that is no hash.
    """
    if not _HASH.fullmatch(sha256):
        raise RecordError(f'"{sha256}" is not the hash of a paper.')
    return folder() / sha256[:2] / sha256


def store(chunks: Iterable[bytes]) -> Attachment:
    """Keep a paper; one that is kept already is kept once.

    Raises
    ------
    RecordError
        When it is empty, too large, or cannot be written.
    """
    sha256, size, _ = put(chunks, settings.LEVIGATE_LARGEST_PAPER)
    # The paper is on the disk before the record says so; a paper without a record does no harm.
    return Attachment.objects.get_or_create(sha256=sha256, defaults={"size": size})[0]


def put(chunks: Iterable[bytes], largest: int) -> tuple[str, int, Path | None]:
    """Put what comes where it belongs; return hash, size, and where it lies now if it did not before."""
    sha256, size, written = _write(chunks, largest)
    target = path_of(sha256)
    try:
        if target.exists():
            return sha256, size, None
        target.parent.mkdir(parents=True, exist_ok=True)
        written.replace(target)
        return sha256, size, target
    except OSError as trouble:
        raise RecordError(f"The file cannot be kept: {(trouble.strerror or str(trouble)).lower()}.") from trouble
    finally:
        written.unlink(missing_ok=True)


def _write(chunks: Iterable[bytes], largest: int) -> tuple[str, int, Path]:
    """Write chunks to a new file beside the papers; return hash, size and where it is."""
    digest, size = hashlib.sha256(), 0
    try:
        folder().mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=folder(), prefix=".coming-")
        try:
            with os.fdopen(handle, "wb") as file:
                for chunk in chunks:
                    size += len(chunk)
                    if size > largest:
                        raise RecordError(f"The file is larger than {largest // 1_000_000} MB, which is the limit.")
                    digest.update(chunk)
                    file.write(chunk)
                if not size:
                    raise RecordError("The file is empty.")
                file.flush()
                os.fsync(file.fileno())
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as trouble:
        raise RecordError(f"The file cannot be kept: {(trouble.strerror or str(trouble)).lower()}.") from trouble
    return digest.hexdigest(), size, Path(name)


def read(attachment: Attachment) -> BinaryIO:
    """Open a paper to read it; to a browser it is given as a download only.

    Raises
    ------
    RecordError
        When it is not where it should be.
    """
    try:
        return path_of(attachment.sha256).open("rb")
    except OSError as trouble:
        raise RecordError(
            f"The paper {attachment.sha256[:12]} is on record, but its file is missing from {folder()}; "
            "a backup or an archive has it."
        ) from trouble


def attach(kind: str, subject: object, attachment: Attachment, name: str) -> Attached:
    """Put a paper to something, under a name; the same again changes nothing.

    Raises
    ------
    RecordError
        When there is no such thing, or no name.
    """
    key = _subject(kind, subject)
    shown = plain_name(name)
    media = mimetypes.guess_type(shown)[0] or UNKNOWN
    with transaction.atomic():
        put, new = Attached.objects.get_or_create(
            attachment=attachment, kind=kind, subject=key, name=shown, defaults={"media_type": media[:100]}
        )
        if new:
            note(kind, key, f"{shown} attached", sha256=attachment.sha256)
    return put


def plain_name(name: str) -> str:
    """Return the name of a file without folders, without what steers a terminal or a header, and not too long.

    Raises
    ------
    RecordError
        When nothing is left of it.
    """
    last = re.split(r"[/\\]", name)[-1]
    letters = "".join(one if unicodedata.category(one)[0] != "C" else " " for one in last)
    words = " ".join(letters.split()).lstrip(".").strip()
    if not words:
        raise RecordError("The file needs a name.")
    if len(words) <= 200:
        return words
    stem, dot, ending = words.rpartition(".")
    return f"{stem[: 199 - len(ending)]}.{ending}" if dot and len(ending) < 20 else words[:200]


def _subject(kind: str, subject: object) -> str:
    key = str(subject)
    there = {
        "lot": lambda: key.isascii() and key.isdecimal() and Lot.objects.filter(pk=int(key)).exists(),
        "batch": lambda: Batch.objects.filter(code=key).exists(),
        "formula": lambda: Formula.objects.filter(slug=key).exists(),
        "material": lambda: OwnMaterial.objects.filter(key=key).exists() or shelf().get(key) is not None,
    }
    if kind not in there or not there[kind]():
        raise RecordError(f'There is no {kind} "{key}" on record to put a paper to.')
    return key


def attached_to(kind: str, subject: object) -> list[Attached]:
    """Return the papers of something, each with its size. One query."""
    return list(Attached.objects.filter(kind=kind, subject=str(subject)).select_related("attachment"))


def detach(put: Attached) -> None:
    """Take a paper away from something; the paper itself stays kept."""
    with transaction.atomic():
        note(put.kind, put.subject, f"{put.name} taken away", sha256=put.attachment.sha256)
        put.delete()
