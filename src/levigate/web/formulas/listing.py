"""All formulas, with the version saved last."""

from __future__ import annotations

from typing import Any

from django.db.models import Count, F, Max, OuterRef, QuerySet, Subquery

from levigate.records.models import DraftState, Formula, Version


def listed(*, put_away: bool = False) -> QuerySet[Formula, Any]:
    """Return the formulas with number and time of the latest version, batches, and when the draft was last changed."""
    newest = Version.objects.filter(formula=OuterRef("pk")).order_by("-number")
    shown = DraftState.objects.filter(draft__formula=OuterRef("pk"), number=OuterRef("draft__shown"))
    return (
        Formula.objects.filter(put_away=put_away)
        .annotate(
            newest=Max("versions__number"),
            saved=Subquery(newest.values("at")[:1]),
            newest_text=Subquery(newest.values("text")[:1]),
            draft_text=Subquery(shown.values("text")[:1]),
            batches=Count("versions__batches", distinct=True),
        )
        .annotate(touched=Max("draft__states__at"))
        .order_by(F("touched").desc(nulls_last=True), "name")
    )
