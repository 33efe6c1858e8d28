"""What needs one today: lots past or near their date, batches that are open or held, formulas that are not saved."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import F, OuterRef, QuerySet, Subquery, TextField, Value
from django.db.models.functions import Coalesce

from levigate.records.models import Batch, Draft, DraftState, Formula, Lot, OwnMaterial, Version
from levigate.records.stock import SOON, left

#: States of a batch that somebody is to go on with.
OPEN = ("planned", "weighing", "made", "filled")


@dataclass(frozen=True, slots=True)
class Today:
    """What needs one today."""

    expired: tuple[Lot, ...]
    expiring: tuple[Lot, ...]
    held: tuple[Batch, ...]
    open: tuple[Batch, ...]
    unsaved: tuple[Formula, ...]
    #: Formulas and lots on record, to show the way on where nothing else is asked.
    formulas: int
    lots: int

    @property
    def quiet(self) -> bool:
        """Whether nothing needs one."""
        return not (self.expired or self.expiring or self.held or self.open or self.unsaved)


def today(day: date) -> Today:
    """Return what needs one on a day."""
    near = [one.lot for one in left(Lot.objects.filter(closed=False, best_before__lte=day + SOON)) if one.grams > 0]
    near.sort(key=_date)
    batches = Batch.objects.select_related("version__formula").order_by("created")
    return Today(
        expired=tuple(lot for lot in near if _date(lot) < day),
        expiring=tuple(lot for lot in near if _date(lot) >= day),
        held=tuple(batches.filter(state="held")),
        open=tuple(batches.filter(state__in=OPEN)),
        unsaved=tuple(_unsaved()),
        formulas=Formula.objects.filter(put_away=False).count(),
        lots=Lot.objects.filter(closed=False).count(),
    )


def _date(lot: Lot) -> date:
    return lot.best_before or date.max


def _unsaved() -> QuerySet[Formula, Any]:
    """Return the formulas whose draft differs from the version it grew from, or that have no version."""
    newest = Version.objects.filter(formula=OuterRef("pk")).order_by("-number")
    shown = DraftState.objects.filter(draft__formula=OuterRef("pk"), number=OuterRef("draft__shown"))
    base = Draft.objects.filter(formula=OuterRef("pk"))
    return (
        Formula.objects.filter(put_away=False, draft__isnull=False)
        .annotate(
            newest=Subquery(newest.values("number")[:1]),
            base_text=Coalesce(Subquery(base.values("base__text")[:1]), Value(""), output_field=TextField()),
            draft_text=Subquery(shown.values("text")[:1]),
            touched=Subquery(shown.values("at")[:1]),
        )
        .exclude(draft_text=F("base_text"))
        .order_by("-touched")
    )


def is_empty() -> bool:
    """Return whether nothing is on record yet."""
    return not (Formula.objects.exists() or Lot.objects.exists() or OwnMaterial.objects.exists())
