"""The demo workshop on record: its formulas with their versions, invented lots, and batches in several states.

Everything goes through the services that a person's own doing goes through, so that stock, journal and traces hold.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import tomli
from django.db import transaction
from django.utils import timezone

from levigate.demo import examples, lots_file
from levigate.errors import RecordError
from levigate.records import batches, filling, formulas, lots, weighing
from levigate.records.models import Batch, Version
from levigate.records.progress import Progress, Steps
from levigate.records.today import is_empty

#: What the tins of the released balm hold. [g]
_TINS = ("30.2", "30.1", "30.4", "29.9", "30.3", "30.0", "30.2", "30.5", "30.1")
#: How many lines of the cream are weighed, and what went in too much of the last of them. [g]
_WEIGHED, _TOO_MUCH = 2, Decimal("4.6")


def load(progress: Progress | None = None) -> None:
    """Put the demo workshop on record.

    Parameters
    ----------
    progress : callable, optional
        Told how many lots, formulas and batches are done, and of how many; what it raises stops the work, and nothing
        is on record then.

    Raises
    ------
    RecordError
        When something is on record already.
    """
    with transaction.atomic():
        if not is_empty():
            raise RecordError(
                "The demo workshop goes only where nothing is on record yet; nothing was changed. Open this one "
                "without --demo, or the demo in a folder of its own: levigate open --demo --data demo-workshop"
            )
        deliveries = tomli.loads(lots_file().read_text(encoding="utf-8"))["lot"]
        texts = {key: path.read_text(encoding="utf-8") for key, path in examples().items()}
        steps = Steps(progress, sum(len(one["lots"]) for one in deliveries) + len(texts) + len(_GO_ON))
        _receive(deliveries, timezone.localdate(), steps)
        kept: dict[str, Version] = {}
        for key, text in texts.items():
            kept[key] = _keep(key, text)
            steps.on()
        for key, go_on in _GO_ON.items():
            go_on(kept[key])
            steps.on()


def _receive(deliveries: list[dict[str, Any]], today: date, steps: Steps) -> None:
    for delivery in deliveries:
        for lot in delivery["lots"]:
            lots.receive(
                lot["material"],
                lot["number"],
                supplier=delivery["supplier"],
                grams=Decimal(lot["grams"]),
                received=today - timedelta(days=delivery["came"]),
                best_before=today + timedelta(days=lot["keeps"]),
                pack=lot["pack"],
                price=lot["price"],
            )
            steps.on()


def _keep(key: str, text: str) -> Version:
    """Keep a demo formula with the trials that led to it; returns the version that is made."""
    trials = _TRIALS.get(key, ())
    first = trials[0] if trials else ("", "", "")
    record = formulas.create(text.replace(*first[:2]) if trials else text)
    version = formulas.save(record, seen=0, knew=None, note_text=first[2] or "first made")
    if not trials:
        return version
    for old, new, why in trials[1:]:
        formulas.add_version(record, text.replace(old, new), parent=version, note_text=why)
    newest = record.versions.count()
    formulas.edit(record, text, "as it is made", seen=0)
    return formulas.save(record, seen=1, knew=newest, note_text="what the trials came to")


#: Formula -> what an earlier trial had in place of what stands in the file, and what came of it; the first is the
#: one that the others grew from.
_TRIALS: dict[str, tuple[tuple[str, str, str], ...]] = {
    "breakwater-hand-cream": (
        ('"glycerin", percent = 5', '"glycerin", percent = 3', "first made; dries the hands in wind"),
        ('"shea butter", percent = 4', '"shea butter", percent = 7', "more butter: too slow to take in on the boat"),
    ),
    "groyne-balm": (('"beeswax", percent = 16', '"beeswax", percent = 12', "first made; runs in a warm car"),),
}


def _weigh(batch: Batch, *, lines: int | None = None) -> Batch:
    """Weigh the first lines of a batch, all if not given, as they are asked for."""
    batch = batches.step(batch, "weighing")
    for line in list(batch.lines.order_by("position"))[:lines]:
        weighing.keep(line, key=uuid.uuid4(), grams=line.target, lot=line.lot)
    return batch


def _released(version: Version) -> None:
    batch = batches.step(_weigh(batches.begin(version, loss="4", container="tin 40 mL")), "made")
    batch = filling.set_yield(batch, bulk=Decimal("304.8"), retained=Decimal("20"))
    tins = filling.fill(batch, container="tin 40 mL", nominal="30 g", count=len(_TINS))
    for tin, grams in zip(tins.jars.order_by("code"), _TINS, strict=True):
        filling.weigh_jar(tin, Decimal(grams), key=uuid.uuid4())
    batches.step(batches.step(batch, "filled"), "released", "smooth, sets at 52 °C, smells of honey")


def _held(version: Version) -> None:
    batch = batches.step(_weigh(batches.begin(version, scale="0.01")), "made")
    batches.step(batch, "held", "pH 3.4 on the strip; to be measured again with the meter")


def _made(version: Version) -> None:
    batch = batches.step(_weigh(batches.begin(version, makes="1 kg", loss="2", container="bottle 250 mL")), "made")
    weighing.remark(batch, "pH 5.1 after the last drops of acid")


def _over_poured(version: Version) -> None:
    batch = batches.begin(version, loss="3", container="jar 50 mL")
    line = list(batch.lines.order_by("position"))[_WEIGHED - 1]
    weighing.keep(_weigh(batch, lines=_WEIGHED).lines.get(pk=line.pk), key=uuid.uuid4(), grams=_TOO_MUCH, lot=line.lot)


def _planned(version: Version) -> None:
    batches.begin(version, loss="3", container="dropper bottle 30 mL")


def _worked_on(version: Version) -> None:
    text = version.text.replace('"azelaic acid", percent = 10', '"azelaic acid", percent = 8')
    formulas.edit(version.formula, text, "azelaic acid to 8 %", seen=0)


#: Formula -> what became of it.
_GO_ON: dict[str, Callable[[Version], None]] = {
    "groyne-balm": _released,
    "slack-water-toner": _held,
    "harbour-light-wash": _made,
    "breakwater-hand-cream": _over_poured,
    "landfall-oil-serum": _planned,
    "lee-shore-azelaic-gel": _worked_on,
}
