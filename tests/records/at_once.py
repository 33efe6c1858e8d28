"""Eight who plan and weigh at once on a database: run by a test, in a process of its own where that is a file."""

from __future__ import annotations

import threading
import uuid
from collections.abc import Callable
from decimal import Decimal

MANY = 8


def at_once(count: int, work: Callable[[int], object]) -> list[BaseException]:
    """Do something in so many threads that begin together; returns what they met with."""
    from django.db import connection

    troubles: list[BaseException] = []
    start = threading.Barrier(count)

    def run(number: int) -> None:
        try:
            start.wait()
            work(number)
        except BaseException as trouble:  # what a thread meets is looked at by the test
            troubles.append(trouble)
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(number,)) for number in range(count)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return troubles


def prove() -> None:
    """Plan and weigh at once: nothing is lost, nothing is kept twice, no code is given twice."""
    from levigate.records import batches, formulas, weighing
    from levigate.records.models import Batch
    from tests.records.texts import PLAIN

    version = formulas.save(formulas.create(PLAIN), seen=0, knew=None)
    batch = batches.step(batches.begin(version), "weighing")
    line = batch.lines.get(position=1)
    keys = [uuid.uuid4() for _ in range(MANY)]

    def work(number: int) -> None:
        batches.begin(version)
        for key in (keys[number], keys[(number + 1) % MANY]):  # each key is sent by two
            weighing.keep(line, grams=Decimal(1), key=key)

    troubles = at_once(MANY, work)
    assert troubles == [], troubles
    assert Batch.objects.count() == len(set(Batch.objects.values_list("code", flat=True))) == MANY + 1
    assert weighing.standing(batch).of(1).grams == MANY


if __name__ == "__main__":
    import django
    from django.core.management import call_command

    django.setup()
    call_command("migrate", verbosity=0)
    prove()
