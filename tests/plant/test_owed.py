import threading

import pytest

from plant import owed
from plant.services import working


@pytest.fixture
def sweeps(monkeypatch: pytest.MonkeyPatch) -> dict[str, owed.Sweep]:
    empty: dict[str, owed.Sweep] = {}
    monkeypatch.setattr(owed, "_sweeps", empty)
    monkeypatch.setattr(owed, "_long_sweeps", {})
    monkeypatch.setattr(owed, "_sending_sweeps", {})
    monkeypatch.setattr(owed, "_ending", threading.Event())
    monkeypatch.setattr(owed, "_watchers", {})
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


@pytest.mark.django_db
def test_short_work_is_done_while_long_work_goes_on(sweeps: dict[str, owed.Sweep]):
    stop, short_done = threading.Event(), threading.Event()
    waited: list[bool] = []

    def long_work() -> int:
        waited.append(short_done.wait(timeout=20))
        stop.set()
        return 1

    def short_work() -> int:
        short_done.set()
        return 0

    owed.register("a large file", long_work, is_long=True)
    owed.register("a diagnosis", short_work)

    working.work_until(stop, pause_s=0.01)

    assert waited == [True]


@pytest.mark.django_db
def test_nothing_is_held_up_by_sending_and_sending_hears_that_the_worker_ends(
    sweeps: dict[str, owed.Sweep],
):
    stop, long_done = threading.Event(), threading.Event()
    heard: list[bool] = []

    def send() -> int:
        long_done.wait(timeout=20)
        before = owed.is_ending()
        stop.set()
        heard.extend([before, owed.is_ending()])
        return 1

    def long_work() -> int:
        long_done.set()
        return 0

    owed.register("letters", send, is_sending=True)
    owed.register("a large file", long_work, is_long=True)

    working.work_until(stop, pause_s=0.01)

    assert heard[:2] == [False, True]


def test_one_round_of_everything_has_the_long_work_too(sweeps: dict[str, owed.Sweep]):
    owed.register("a large file", lambda: 3, is_long=True)
    owed.register("a diagnosis", lambda: 1)
    owed.register("letters", lambda: 2, is_sending=True)

    assert owed.run_all() == 6


def test_who_watches_hears_of_every_run_and_of_its_end(sweeps: dict[str, owed.Sweep]):
    heard: list[owed.Ran] = []
    owed.watch("a test", heard.append)
    owed.register("broken", lambda: 1 // 0)
    owed.register("sound", lambda: 4)

    owed.run_all()

    assert [(one.name, one.done) for one in heard] == [("broken", None), ("sound", 4)]
    assert all(one.seconds >= 0 for one in heard)
