"""What things are called where they are found."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from levigate.records.search import Found

KINDS: dict[str, Promise] = {
    "material": _("material"),
    "formula": _("formula"),
    "batch": _("batch"),
    "lot": _("lot"),
    "jar": _("jar"),
    "sum": _("quick sum"),
}


@dataclass(frozen=True, slots=True)
class Hit:
    """One thing found, as it is shown."""

    one: Found
    kind: Promise
    address: str
