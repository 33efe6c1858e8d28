"""Twenty at once on one workshop: ``python -m tests.soak.writers FOLDER EACH`` prints what came of it as JSON."""

from __future__ import annotations

import json
import sys
import threading
import uuid
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

from levigate.web.serving import ready

WRITERS = 20


def at_once(does: Callable[[int], str]) -> list[str]:
    """Let all writers do something at the same moment; return what each says, an error by its name."""
    said = [""] * WRITERS
    gate = threading.Barrier(WRITERS)

    def one(number: int) -> None:
        from django.db import connection

        try:
            gate.wait()
            said[number] = does(number)
        except Exception as trouble:
            said[number] = type(trouble).__name__
        finally:
            connection.close()

    threads = [threading.Thread(target=one, args=(number,)) for number in range(WRITERS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return said


def weighings(each: int) -> dict[str, Any]:
    """Keep weighings, each reading sent twice by two devices at once."""
    from django.db import OperationalError, transaction

    from levigate.records.models import BatchLine, Weighing
    from tests.records.workshop import a_batch, a_lot

    a_batch()
    line, lot = BatchLine.objects.get(material="glycerin"), a_lot(grams="100000")
    # Writer 0 and writer 10 send the same readings, and so on.
    keys = [[uuid.uuid4() for _ in range(each)] for _ in range(WRITERS // 2)]

    refused: list[int] = []

    def kept(key: uuid.UUID) -> bool:
        try:
            with transaction.atomic():
                BatchLine.objects.select_for_update().get(pk=line.pk)
                if not Weighing.objects.filter(key=key).exists():
                    Weighing.objects.create(line=line, lot=lot, grams=Decimal("0.1"), key=key)
        except OperationalError as trouble:
            if "locked" not in str(trouble):
                raise
            return False
        return True

    def write(number: int) -> str:
        for key in keys[number % (WRITERS // 2)]:
            while not kept(key):
                # SQLite is not fair: of twenty that never pause one may wait in vain, and is told so. It sends again.
                refused.append(number)
        return "done"

    said = at_once(write)
    from levigate.records.stock import left_of

    return {
        "said": sorted(set(said)),
        "refused": len(refused),
        "sent": WRITERS // 2 * each,
        "kept": Weighing.objects.count(),
        "lost": sum(not Weighing.objects.filter(key=key).exists() for some in keys for key in some),
        "left": str(left_of(lot)),
    }


def savers() -> dict[str, Any]:
    """Change, then save one formula from twenty windows at once; who is told saves beside."""
    from levigate.records import formulas
    from tests.records.texts import PLAIN, with_glycerin

    formula = formulas.create(PLAIN)
    first = formulas.save(formula, seen=0, knew=None)

    def change(number: int) -> str:
        formulas.edit(formula, with_glycerin(str(10 + number)), f"window {number}", seen=0)
        return "changed"

    def save(number: int) -> str:
        formulas.save(formula, seen=1, knew=1)
        return "saved"

    def beside(number: int) -> str:
        formulas.add_version(formula, with_glycerin(str(10 + number)), parent=first)
        return "kept"

    changed, saved, kept = at_once(change), at_once(save), at_once(beside)
    versions = list(formula.versions.order_by("number").values_list("number", "text", "parent__number"))
    return {
        "changed": sorted(changed),
        "saved": sorted(saved),
        "kept": sorted(set(kept)),
        "numbers": [number for number, _, _ in versions],
        "parents": sorted({parent for _, _, parent in versions[1:]}),
        "texts": len({text for _, text, _ in versions[2:]}),
    }


def main(folder: Path, each: int) -> None:
    """Let them write, and print what came of it."""
    ready(folder)
    print(json.dumps({"weighings": weighings(each), "savers": savers()}))


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
