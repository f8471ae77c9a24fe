import threading

import pytest

from plant import owed
from plant.services import working


@pytest.fixture
def sweeps(monkeypatch: pytest.MonkeyPatch) -> dict[str, owed.Sweep]:
    empty: dict[str, owed.Sweep] = {}
    monkeypatch.setattr(owed, "_sweeps", empty)
    return empty


def test_every_registered_sweep_runs_and_the_work_is_added_up(sweeps: dict[str, owed.Sweep]):
    owed.register("two", lambda: 2)
    owed.register("three", lambda: 3)

    assert owed.run_all() == 5


def test_nothing_registered_is_nothing_done(sweeps: dict[str, owed.Sweep]):
    assert owed.run_all() == 0


def test_app_that_registers_twice_is_run_once(sweeps: dict[str, owed.Sweep]):
    owed.register("diagnoses", lambda: 1)
    owed.register("diagnoses", lambda: 1)

    assert owed.run_all() == 1


def test_failing_sweep_is_logged_and_stops_no_other(
    sweeps: dict[str, owed.Sweep], caplog: pytest.LogCaptureFixture
):
    owed.register("broken", lambda: 1 // 0)
    owed.register("sound", lambda: 4)

    assert owed.run_all() == 4
    assert "The sweep for broken failed." in caplog.text
    assert "ZeroDivisionError" in caplog.text


@pytest.mark.django_db
def test_loop_looks_again_until_it_is_told_to_stop(sweeps: dict[str, owed.Sweep]):
    stop = threading.Event()
    rounds = []

    def work() -> int:
        rounds.append(1)
        if len(rounds) == 3:
            stop.set()
        return 1

    owed.register("work", work)

    working.work_until(stop, pause_s=0)

    assert len(rounds) == 3


def test_loop_told_to_stop_before_does_nothing(sweeps: dict[str, owed.Sweep]):
    owed.register("work", lambda: pytest.fail("worked"))
    stop = threading.Event()
    stop.set()

    working.work_until(stop)
