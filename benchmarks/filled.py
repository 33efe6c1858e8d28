"""``python -m benchmarks.filled FOLDER``: years of work on record, put there in bulk, for the pages to be timed on."""

from __future__ import annotations

import sys
import uuid
from collections.abc import Sequence
from datetime import timedelta
from decimal import Decimal
from pathlib import Path

from benchmarks.reviewing import twenty_lines

#: What is on record.
FORMULAS, MATERIALS, BATCHES = 500, 300, 2000
#: Word in the address of the formula whose page is timed.
TIMED = "bench-cream-250"


def fill(folder: Path) -> None:
    """Put formulas with a version and a draft each, own materials with a lot each, and weighed batches on record."""
    from levigate.web.serving import ready

    ready(folder)
    from django.db import transaction

    with transaction.atomic():
        _materials()
        _batches(_formulas())


def _formulas() -> Sequence[int]:
    """Return the keys of the versions."""
    from levigate.records.models import Draft, DraftState, Formula, Version

    names = [f"Bench cream {n}" for n in range(FORMULAS)]
    formulas = Formula.objects.bulk_create(Formula(name=name, slug=f"bench-cream-{n}") for n, name in enumerate(names))
    texts = [twenty_lines().replace("Bench cream", name) for name in names]
    both = list(zip(formulas, texts, strict=True))
    versions = Version.objects.bulk_create(
        Version(formula=formula, number=1, text=text, program="bench") for formula, text in both
    )
    drafts = Draft.objects.bulk_create(Draft(formula=one.formula, base=one) for one in versions)
    DraftState.objects.bulk_create(
        DraftState(draft=draft, number=0, text=text, says="as in version 1")
        for draft, text in zip(drafts, texts, strict=True)
    )
    return [one.pk for one in versions]


def _materials() -> None:
    from django.utils import timezone

    from levigate.records.models import Lot, MaterialText, OwnMaterial

    day = timezone.localdate()
    names = [f"bench oil {n}" for n in range(MATERIALS)]
    own = OwnMaterial.objects.bulk_create(OwnMaterial(key=name) for name in names)
    MaterialText.objects.bulk_create(MaterialText(material=one, number=1, text=_OIL) for one in own)
    Lot.objects.bulk_create(
        Lot(material=name, number=f"L{n}", received=day, best_before=day + timedelta(days=400), grams=1000)
        for n, name in enumerate([*names, "glycerin", "squalane"])
    )


_OIL = 'inci = "Bench Oil"\nkind = "oil"\nform = "liquid"\nbelongs = "oil"\n'


def _batches(versions: Sequence[int]) -> None:
    from levigate.records.models import Batch, BatchEvent, BatchLine, Lot, Weighing

    batches = Batch.objects.bulk_create(
        Batch(
            code=f"26-{n:04d}",
            version_id=versions[n % len(versions)],
            state="released",
            makes="500 g",
            scale=Decimal("0.1"),
        )
        for n in range(BATCHES)
    )
    BatchEvent.objects.bulk_create(BatchEvent(batch=one, state="released") for one in batches)
    lots = {lot.material: lot for lot in Lot.objects.filter(material__in=["glycerin", "squalane"])}
    grams = Decimal("0.2")
    lines = BatchLine.objects.bulk_create(
        BatchLine(
            batch=one,
            position=position,
            phase="A",
            material=name,
            percent=4,
            planned=grams,
            target=grams,
            lot=lot,
        )
        for one in batches
        for position, (name, lot) in enumerate(lots.items())
    )
    Weighing.objects.bulk_create(Weighing(line=line, lot=line.lot, grams=grams, key=uuid.uuid4()) for line in lines)


if __name__ == "__main__":
    fill(Path(sys.argv[1]))
