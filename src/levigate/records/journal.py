"""The journal: one line a change, in the same transaction as the change."""

from __future__ import annotations

from typing import Any

from django.db import transaction

from levigate import __version__
from levigate.errors import RecordError
from levigate.records.models import Journal


def note(kind: str, subject: object, says: str, **details: Any) -> Journal:
    """Write a line of the journal beside a change.

    Parameters
    ----------
    kind : str
        What was changed, as ``lot``.
    subject : object
        Its key.
    says : str
        What was done, in words.
    **details
        Before and after, where something was amended; what JSON can hold.

    Raises
    ------
    RecordError
        When there is no transaction: the line and the change are kept together, or neither is.
    """
    if not transaction.get_connection().in_atomic_block:
        raise RecordError("A change and its line in the journal are written in one transaction.")
    return Journal.objects.create(
        kind=kind, subject=str(subject)[:200], says=says[:1000], details=details, program=__version__
    )
