"""Which formulas use a material: as they were saved last, and as they are being worked on."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import tomli
from django.db.models import F, OuterRef, Subquery

from levigate.records.models import DraftState, Formula, Version
from levigate.records.shelf import shelf


@dataclass(frozen=True, slots=True)
class Use:
    """A formula that uses a material."""

    formula: Formula
    #: Percents of its lines in the version saved last, as they are written; empty where it is not in there.
    saved: tuple[str, ...]
    #: The same in the draft; None where nothing was changed since.
    draft: tuple[str, ...] | None


def formulas_with(key: str) -> list[Use]:
    """Return the formulas whose newest version or draft has a material, those touched last in front."""
    known = shelf()
    newest = Version.objects.filter(formula=OuterRef("pk")).order_by("-number")
    shown = DraftState.objects.filter(draft__formula=OuterRef("pk"), number=OuterRef("draft__shown"))
    counted = Formula.objects.annotate(
        number=Subquery(newest.values("number")[:1]),
        saved_text=Subquery(newest.values("text")[:1]),
        draft_text=Subquery(shown.values("text")[:1]),
        touched=Subquery(shown.values("at")[:1]),
    ).order_by(F("touched").desc(nulls_last=True), "name")
    uses = []
    for formula in counted:
        same = formula.draft_text is None or formula.draft_text == formula.saved_text
        saved, draft = (
            tuple(percent for name, percent in _lines(text or "") if known.key(name) == key)
            for text in (formula.saved_text, None if same else formula.draft_text)
        )
        if saved or draft:
            uses.append(Use(formula, saved, None if same else draft))
    return uses


@lru_cache(maxsize=4096)
def _lines(text: str) -> tuple[tuple[str, str], ...]:
    """Return materials and percents of a text; nothing where it is not understood, which its own page says."""
    try:
        table = tomli.loads(text)
        lines = [line for phase in table.get("phase", []) for line in phase.get("lines", [])]
        return tuple((str(line["material"]), str(line["percent"])) for line in lines)
    except (tomli.TOMLDecodeError, KeyError, TypeError, AttributeError, RecursionError):
        return ()
