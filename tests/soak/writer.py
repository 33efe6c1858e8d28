"""Write to a workshop without end: ``python -m tests.soak.writer FOLDER THREADS``.

Each thread keeps weighings, each with its line in the journal, and prints a key only after the database has said that
it is kept. Meant to be killed.
"""

from __future__ import annotations

import sys
import threading
import uuid
from decimal import Decimal
from pathlib import Path

from levigate.web.serving import ready


def write(line: int, lot: int) -> None:
    """Keep one weighing after the other."""
    from django.db import transaction

    from levigate.records.journal import note
    from levigate.records.models import Weighing

    while True:
        key = uuid.uuid4()
        with transaction.atomic():
            Weighing.objects.create(line_id=line, lot_id=lot, grams=Decimal("0.1"), key=key)
            note("weighing", key, "0.1 g of glycerin")
        sys.stdout.write(f"{key}\n")
        sys.stdout.flush()


def main(folder: Path, threads: int) -> None:
    """Open the workshop, begin a batch where there is none, and write."""
    ready(folder)
    from django.db import connection

    from levigate.records.models import BatchLine, Lot
    from tests.records.workshop import a_batch, a_lot

    if not BatchLine.objects.exists():
        a_batch()
        a_lot()
    line, lot = BatchLine.objects.get(material="glycerin"), Lot.objects.get()
    connection.close()
    for _ in range(threads):
        threading.Thread(target=write, args=(line.pk, lot.pk)).start()


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
