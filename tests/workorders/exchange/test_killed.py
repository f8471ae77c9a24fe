"""Workers that are really killed, and two that really run at once."""

import os
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from urllib.parse import quote

import pytest
from django.db import connection, connections
from django.utils import timezone

from plant.models import ExchangeFile, ExchangeRun, ExchangeSetting, Plant
from plant.services.exchange import asking, running
from tests.workorders.exchange import dying_worker
from tests.workorders.exchange.left_files import leave, look
from tests.workorders.exchange.test_writing import change, external
from tests.workorders.exchange_rows import folder, names, set_up
from workorders.models import OrderNote, StatusRow, WorkOrder
from workorders.services.picking_up import looking

pytestmark = [pytest.mark.slow, pytest.mark.django_db(transaction=True)]
ROOT = Path(__file__).parents[3]
LONG_AGO = 1_000_000_000


@pytest.fixture
def setting(root: Path, plant: Plant, order: WorkOrder) -> ExchangeSetting:
    setting = set_up(plant, picks_up=True)
    change(order, "1")
    asking.ask(setting_id=setting.pk, by=None, now=timezone.now())
    return setting


def killed(root: Path, moment: str) -> None:
    params = connection.get_connection_params()
    database = (
        f"postgresql://{quote(params['user'])}@/{params['dbname']}?host={quote(params['host'])}"
    )
    ended = subprocess.run(
        [sys.executable, "-m", dying_worker.__name__, moment],
        cwd=ROOT,
        env={
            **os.environ,
            "DATABASE_URL": database,
            "DJANGO_SETTINGS_MODULE": "plant.config.settings",
            "LOOPWRIGHT_EXCHANGE": str(root),
        },
        capture_output=True,
        check=False,
        timeout=120,
    )
    assert ended.returncode == -9, ended.stderr
    # After three minutes of silence another one takes over.
    ExchangeRun.objects.update(worked_at=None)


def test_killed_before_the_file_has_its_name_nothing_is_seen_and_nothing_missing(
    root: Path, order: WorkOrder, setting: ExchangeSetting
) -> None:
    killed(root, "before its name")
    [aside] = names(root, setting)
    assert aside.startswith(".")
    assert aside.endswith(".part")
    os.utime(folder(root, setting) / aside, (LONG_AGO, LONG_AGO))

    change(order, "2")
    running.do_owed()

    found = [external(folder(root, setting) / name) for name in names(root, setting)]
    assert found == [["1"], ["2"]]


def test_killed_after_the_file_has_its_name_the_very_same_is_written_again(
    root: Path, order: WorkOrder, setting: ExchangeSetting
) -> None:
    killed(root, "after its name")
    [name] = names(root, setting)
    before = (folder(root, setting) / name).read_bytes()
    assert ExchangeFile.objects.get().written_at is None

    change(order, "2")
    running.do_owed()

    assert names(root, setting)[0] == name
    assert (folder(root, setting) / name).read_bytes() == before
    found = [external(folder(root, setting) / name) for name in names(root, setting)]
    assert found == [["1"], ["2"]]


def test_two_workers_at_once_write_each_change_once(root: Path, setting: ExchangeSetting) -> None:
    assert sum(at_once(running.do_owed)) == 1

    assert len(names(root, setting)) == 1


def test_two_workers_at_once_take_each_row_once(
    root: Path, order: WorkOrder, setting: ExchangeSetting
) -> None:
    leave(root, setting, "number,note\n" + "".join(f"{order.number},{n}\n" for n in range(9)))
    look()
    looking.PickUp.objects.update(looked_at=None)
    for one in looking.PickUp.objects.all():
        one.seen["a.csv"][2] -= 60
        one.save()

    assert sum(at_once(looking.look_owed)) == 1

    assert OrderNote.objects.count() == 9
    assert StatusRow.objects.taken().count() == 9


def at_once(work: Callable[[], int]) -> list[int]:
    done: list[int] = []
    begin = threading.Barrier(2)

    def one() -> None:
        try:
            begin.wait()
            done.append(work())
        finally:
            connections.close_all()

    threads = [threading.Thread(target=one) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return done
