"""The real server: killed during writes, and with twenty devices at once."""

from __future__ import annotations

import http.client
import random
import shutil
import sqlite3
import subprocess
import sys
import threading
import time
import uuid
from contextlib import closing, suppress
from pathlib import Path

import pytest

from tests.soak import FULL
from tests.soak.device import Device
from tests.web.driving import Workshop, opened, own_environment

KILLS = 200 if FULL else 5
EACH = 40 if FULL else 4
DEVICES = 20
WEIGH = "/bench/T-1/weigh/"


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder of a workshop with batch T-1 that is being weighed."""
    folder = tmp_path_factory.mktemp("filled") / "data"
    embedded = own_environment(folder) | {"LEVIGATE_DATABASE_URL": ""}
    subprocess.run([sys.executable, "-m", "tests.records.fill", str(folder)], check=True, env=embedded)
    return folder


@pytest.fixture
def data(filled: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(filled, tmp_path / "data"))


def kept(data: Path) -> list[str]:
    """Return the keys of all weighings, after asking whether the database is sound."""
    with closing(sqlite3.connect(data / "workshop.sqlite3")) as records:
        assert records.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert records.execute("PRAGMA foreign_key_check").fetchall() == []
        return [key for (key,) in records.execute("SELECT key FROM records_weighing")]


def keep_sending(workshop: Workshop, answered: set[str], first: threading.Event) -> None:
    """Send readings until the server is gone; note each that was answered for."""
    with closing(Device(workshop)) as device, suppress(OSError, http.client.HTTPException):
        device.open(WEIGH)
        while True:
            key = uuid.uuid4()
            status, text = device.post(WEIGH, line=1, reading="0.1", key=key)
            assert status == 302, text[:500]
            answered.add(key.hex)
            first.set()


def test_every_weighing_that_was_answered_for_is_there_after_every_kill(data: Path) -> None:
    chance, answered = random.Random(20261125), set[str]()
    before = set(kept(data))
    for number in range(KILLS):
        first, count = threading.Event(), len(answered)
        with opened(data, LEVIGATE_DATABASE_URL="") as workshop:
            devices = [threading.Thread(target=keep_sending, args=(workshop, answered, first)) for _ in range(3)]
            for device in devices:
                device.start()
            assert first.wait(60)
            time.sleep(chance.expovariate(10))
            workshop.process.kill()
            for device in devices:
                device.join()
        assert len(answered) > count
        assert answered <= set(kept(data)), f"after kill {number + 1}"
    # At each kill at most one reading a device was on its way: answered for or not, it is whole.
    assert len(set(kept(data)) - before - answered) <= 3 * KILLS


def test_twenty_devices_at_once_lose_nothing_and_keep_nothing_twice(data: Path) -> None:
    before = len(kept(data))
    # Device 0 and device 10 send the same readings, as one that was not answered for would be sent again.
    keys = [[uuid.uuid4() for _ in range(EACH)] for _ in range(DEVICES // 2)]
    said: list[int] = []

    def send(workshop: Workshop, number: int) -> None:
        with closing(Device(workshop)) as device:
            device.open(WEIGH)
            gate.wait()
            said.extend(device.post(WEIGH, line=1, reading="0.1", key=key)[0] for key in keys[number % (DEVICES // 2)])

    gate = threading.Barrier(DEVICES)
    with opened(data, LEVIGATE_DATABASE_URL="") as workshop:
        devices = [threading.Thread(target=send, args=(workshop, number)) for number in range(DEVICES)]
        for one in devices:
            one.start()
        for one in devices:
            one.join()
    assert said == [302] * (DEVICES * EACH)
    found = kept(data)
    assert len(found) == len(set(found)) == before + DEVICES // 2 * EACH
    assert {key.hex for some in keys for key in some} <= set(found)


def test_the_second_saver_of_a_formula_is_told_and_loses_nothing(data: Path) -> None:
    said: list[tuple[int, str]] = []
    page = "/formulas/tideline-uni/"

    def save(workshop: Workshop, number: int) -> None:
        form = {"seen": 2, "knew": 3, "note": f"device {number}"}
        with closing(Device(workshop)) as device:
            device.open(page)
            gate.wait()
            first = device.post(f"{page}save/", **form)
            said.append(first)
            if first[0] == 409:
                said.append(device.post(f"{page}save/", **form, beside="1"))

    gate = threading.Barrier(DEVICES)
    with opened(data, LEVIGATE_DATABASE_URL="") as workshop:
        devices = [threading.Thread(target=save, args=(workshop, number)) for number in range(DEVICES)]
        for one in devices:
            one.start()
        for one in devices:
            one.join()
    assert sorted(status for status, _ in said) == [302] * DEVICES + [409] * (DEVICES - 1)
    assert all("newer version" in text for status, text in said if status == 409)
    with closing(sqlite3.connect(data / "workshop.sqlite3")) as records:
        notes = [note for (note,) in records.execute("SELECT note FROM records_version WHERE number > 3")]
    assert sorted(notes) == sorted(f"device {number}" for number in range(DEVICES))
