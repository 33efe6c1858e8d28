"""Stored keys for scripts and scales: made, shown once, withdrawn. Only the hash of a key is kept."""

from __future__ import annotations

import hashlib
import secrets

from django.db import transaction

from levigate.errors import RecordError
from levigate.records.journal import note
from levigate.records.models import Token


def make(name: str, *, writes: bool = False) -> tuple[Token, str]:
    """Make a key; returns its entry, and the key itself, which cannot be told again.

    Parameters
    ----------
    name : str
        What it is for, as "scale by the window".
    writes : bool
        Whether it may write weighings; else it only reads.

    Raises
    ------
    RecordError
        When it has no name or too long a one.
    """
    name = " ".join(name.split())
    if not 0 < len(name) <= 100:
        raise RecordError("Say in 1 to 100 letters what the key is for, so that you know later which one to withdraw.")
    key = secrets.token_urlsafe(32)
    with transaction.atomic():
        kept = Token.objects.create(name=name, sha256=hashlib.sha256(key.encode()).hexdigest(), writes=writes)
        note("token", kept.pk, f"key made: {name}" + (", may write weighings" if writes else ""))
    return kept, key


def withdraw(number: int) -> Token:
    """Withdraw a key: from now on it opens nothing.

    Raises
    ------
    RecordError
        When there is no such key.
    """
    with transaction.atomic():
        found = Token.objects.select_for_update().filter(pk=number).first()
        if found is None:
            raise RecordError("There is no such key.")
        if not found.withdrawn:
            found.withdrawn = True
            found.save(update_fields=["withdrawn"])
            note("token", found.pk, f"key withdrawn: {found.name}")
    return found
