"""Eight writers, two pullers killed again and again, two web processes: nothing is missed."""

import json
import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from django.db import connection

from tests.plant import factories as register
from tests.served import PATIENCE_S, ROOT, served
from tests.workorders import factories
from tests.workorders.feeds import puller_alone, writer_alone

pytestmark = [pytest.mark.slow, pytest.mark.django_db(transaction=True)]

WRITERS, PULLERS, ORDERS = 8, 2, 40
SECONDS = 30

Change = tuple[str, int, str]


def test_every_committed_change_is_seen_in_the_order_of_its_work_order(tmp_path: Path) -> None:
    plant = register.make_plant(code="LT")
    conveyor = register.make_conveyor(plant)
    for _ in range(ORDERS):
        factories.make_order_by_hand(conveyor)
    _key, secret = factories.make_key(plant)

    with served() as site, _pullers(site, secret, tmp_path) as pullers:
        writers = [
            _start(writer_alone, _conninfo(), str(seed), str(SECONDS)) for seed in range(WRITERS)
        ]
        _kill_now_and_then(pullers, until=time.monotonic() + SECONDS)
        committed = {one for writer in writers for one in _committed(writer)}
        _wait_until_told(pullers, committed)

    assert len(committed) > WRITERS * 20
    for puller in pullers:
        told = puller.told()
        assert set(told) == committed
        first_told = list(dict.fromkeys(told))
        for number in {number for number, _version, _text in committed}:
            versions = [version for key, version, _text in first_told if key == number]
            assert versions == sorted(versions)
        assert puller.killed > 3


class _Puller:
    def __init__(self, site: str, secret: str, folder: Path) -> None:
        folder.mkdir()
        self._arguments = (site, secret, str(folder))
        self._told = folder / "told"
        self.killed = 0
        self.start()

    def start(self) -> None:
        self._process = _start(puller_alone, *self._arguments)

    def kill(self) -> None:
        self._process.send_signal(signal.SIGKILL)
        self._process.wait()
        self.killed += 1

    def told(self) -> list[Change]:
        """Changes that the writers made, as often as they were told."""
        found = []
        for line in self._told.read_text().splitlines():
            try:
                record = json.loads(line)["record"]
            except ValueError:
                continue
            if record["external_number"]:
                found.append((record["number"], record["version"], record["external_number"]))
        return found


def _kill_now_and_then(pullers: list[_Puller], until: float) -> None:
    chance = random.Random(20261128)
    while time.monotonic() < until:
        time.sleep(chance.uniform(0.5, 2.5))
        one = chance.choice(pullers)
        one.kill()
        time.sleep(chance.uniform(0, 0.5))
        one.start()


def _committed(writer: subprocess.Popen[str]) -> Iterator[Change]:
    said, _none = writer.communicate(timeout=PATIENCE_S)
    assert writer.returncode == 0
    for line in said.splitlines():
        number, version, text = line.split()
        yield number, int(version), text


def _wait_until_told(pullers: list[_Puller], committed: set[Change]) -> None:
    give_up_at = time.monotonic() + PATIENCE_S
    while any(not committed <= set(one.told()) for one in pullers):
        if time.monotonic() > give_up_at:
            return
        time.sleep(0.5)


@contextmanager
def _pullers(site: str, secret: str, folder: Path) -> Iterator[list[_Puller]]:
    pullers = [_Puller(site, secret, folder / str(number)) for number in range(PULLERS)]
    try:
        yield pullers
    finally:
        for one in pullers:
            one.kill()


def _conninfo() -> str:
    params = connection.get_connection_params()
    return f"host={params['host']} user={params['user']} dbname={params['dbname']}"


def _start(module: Any, *arguments: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", module.__name__, *arguments],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        text=True,
    )
