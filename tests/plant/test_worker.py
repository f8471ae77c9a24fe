"""`manage.py worker` as a real process, without a broker and with a real Redis."""

import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from celery import Celery

from tests.plant.local_postgres.sites import ROOT, wait_until

PATIENCE_S = 60.0


@contextmanager
def worker(log: Path, mark: Path, broker_url: str = "") -> Iterator[subprocess.Popen[bytes]]:
    environment = {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "tests.plant.worker_site.settings",
        "MARK_FILE": str(mark),
        "BROKER_URL": broker_url,
    }
    with log.open("wb") as file:
        process = subprocess.Popen(
            [sys.executable, "manage.py", "worker", "--concurrency", "1"],
            cwd=ROOT,
            env=environment,
            stdout=file,
            stderr=subprocess.STDOUT,
        )
    try:
        yield process
    finally:
        if process.poll() is None:
            process.kill()
        process.wait()


def says(log: Path, words: str) -> Callable[[], bool]:
    return lambda: words in log.read_text(errors="replace")


def marks(mark: Path) -> int:
    return len(mark.read_text().splitlines()) if mark.exists() else 0


def test_worker_without_a_broker_does_what_is_owed_again_and_again(tmp_path: Path):
    log, mark = tmp_path / "log", tmp_path / "mark"

    with worker(log, mark) as process:
        wait_until(lambda: marks(mark) >= 2, PATIENCE_S)
        process.send_signal(signal.SIGTERM)

        assert process.wait(PATIENCE_S) == 0
    # The other sweep failed each time, was logged, and stopped nothing.
    assert "The sweep for a piece that fails failed." in log.read_text()


@pytest.mark.redis
def test_task_woken_through_the_broker_runs(tmp_path: Path, redis_url: str):
    log, mark = tmp_path / "log", tmp_path / "mark"

    with worker(log, mark, redis_url) as process:
        wait_until(says(log, " ready."), PATIENCE_S)
        assert marks(mark) == 0, "only a message wakes it; here no sweep is due for an hour"
        with Celery(broker=redis_url) as sender:
            sender.send_task("plant.tasks.do_what_is_owed", kwargs={"from_a_newer_caller": 1})
        wait_until(lambda: marks(mark) >= 1, PATIENCE_S)
        process.send_signal(signal.SIGTERM)

        assert process.wait(PATIENCE_S) == 0


def test_the_schedule_runs_all_sweeps_and_sending_between_them():
    from plant.config.celery import app

    every_s = {entry["task"]: entry["schedule"] for entry in app.conf.beat_schedule.values()}

    # Other systems hear of a change within seconds, with a broker as without.
    assert every_s == {
        "plant.tasks.do_what_is_owed": 15.0,
        "plant.tasks.send_what_is_owed": 2.0,
    }
    # What could not begin in time must not pile up: the next one finds the same.
    schedule = app.conf.beat_schedule.values()
    assert all(entry["options"]["expires"] <= entry["schedule"] for entry in schedule)
    app.loader.import_default_modules()
    assert set(every_s) <= set(app.tasks)
