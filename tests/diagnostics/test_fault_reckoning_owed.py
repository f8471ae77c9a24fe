"""Recurring faults as owed work: begun, stopped, taken up again, in its turn."""

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from diagnostics.fault_choice import FaultChoice
from diagnostics.models import FaultReckoning
from diagnostics.services import fault_reckoning, fault_work
from plant import owed
from plant.models import Conveyor, Plant
from plant.services import claiming
from tests.diagnostics import factories
from tests.diagnostics.fault_rows import faults_of, make_cases, reckon

pytestmark = pytest.mark.django_db
EVERY_CASE = FaultChoice()


@pytest.fixture
def belts(plant: Plant) -> list[Conveyor]:
    return [factories.make_bare_conveyor(plant, tag=f"Q{number}") for number in range(4)]


def look(plant: Plant, choice: FaultChoice = EVERY_CASE, **later: float) -> FaultReckoning:
    return fault_reckoning.look(plant, choice, timezone.now() + timedelta(**later))


def test_looking_owes_once_and_finds_it_done_later(plant, belts):
    make_cases(belts[0], [10, 20, 30])

    first, again = look(plant), look(plant)
    assert first.pk == again.pk
    assert (again.owed_at is not None, again.reckoned_at) == (True, None)

    owed.run_long()
    done = look(plant)
    assert (done.owed_at, done.refusal, done.progress) == (None, "", 1.0)
    assert done.reckoned_at is not None
    assert faults_of(done, belts[0]).events == 3


def test_a_reckoning_stands_whole_until_the_next_one_is_done(plant, belts, monkeypatch):
    make_cases(belts[0], [10, 20, 30])
    one = reckon(plant)
    make_cases(belts[0], [5])
    fault_reckoning.ask_again(reckoning_id=one.pk, now=timezone.now())

    def broken(*_: Any) -> None:
        raise RuntimeError("no memory left")

    monkeypatch.setattr(fault_work.mends, "mends_of", broken)
    fault_reckoning.do_owed()

    one.refresh_from_db()
    assert (one.owed_at, one.refusal) == (None, "failed")
    assert faults_of(one, belts[0]).events == 3
    assert one.result["events"] == 3

    monkeypatch.undo()
    fault_reckoning.ask_again(reckoning_id=one.pk, now=timezone.now())
    fault_reckoning.do_owed()
    one.refresh_from_db()
    assert (one.refusal, one.result["events"]) == ("", 4)


def test_a_reckoning_nobody_has_begun_is_stopped_at_once(plant, belts):
    one = look(plant)

    fault_reckoning.ask_stop(reckoning_id=one.pk, now=timezone.now())

    one.refresh_from_db()
    assert (one.owed_at, one.refusal, one.reckoned_at) == (None, "stopped", None)
    assert fault_reckoning.do_owed() == 0


def test_a_reckoning_that_is_worked_at_stops_when_it_hears_of_it(plant, belts, monkeypatch):
    make_cases(belts[0], [10, 20, 30])
    one = look(plant)
    monkeypatch.setattr(claiming, "EVERY_S", 0.0)

    heard: list[float] = []
    tick = fault_work._Progress.__call__

    def stop_on_the_way(self: Any, share: float) -> None:
        heard.append(share)
        if len(heard) == 2:
            fault_reckoning.ask_stop(reckoning_id=one.pk, now=timezone.now())
        tick(self, share)

    monkeypatch.setattr(fault_work._Progress, "__call__", stop_on_the_way)
    fault_reckoning.do_owed()

    one.refresh_from_db()
    assert (one.refusal, one.reckoned_at, one.worked_at) == ("stopped", None, None)
    assert len(heard) == 2
    assert one.belts.count() == 0


def test_progress_is_told_while_it_works(plant, belts, monkeypatch):
    monkeypatch.setattr(claiming, "EVERY_S", 0.0)
    one = look(plant)
    seen: list[float] = []
    tick = fault_work._Progress.__call__

    def told(self: Any, share: float) -> None:
        tick(self, share)
        seen.append(FaultReckoning.objects.get(pk=one.pk).progress)

    monkeypatch.setattr(fault_work._Progress, "__call__", told)
    fault_reckoning.do_owed()

    assert seen == sorted(seen)
    assert 0 < seen[0] < seen[-1] < 1


def silent(one: FaultReckoning, **fields: Any) -> None:
    """As a worker leaves it that was killed a while ago."""
    ago = timezone.now() - claiming.SILENCE - timedelta(seconds=1)
    FaultReckoning.objects.filter(pk=one.pk).update(
        **{"worked_at": ago, "times_begun": 1, **fields}
    )


def test_what_a_killed_worker_left_is_taken_up_by_the_next(plant, belts):
    one = look(plant)
    silent(one, worked_at=timezone.now())
    assert fault_reckoning.do_owed() == 0, "somebody is at it"

    silent(one)
    assert fault_reckoning.do_owed() == 1

    one.refresh_from_db()
    assert (one.reckoned_at is not None, one.times_begun) == (True, 0)


def test_what_kills_every_worker_is_given_up(plant, belts):
    one = look(plant)
    silent(one, times_begun=claiming.MOST_BEGINNINGS)

    fault_reckoning.do_owed()

    one.refresh_from_db()
    assert (one.owed_at, one.refusal) == (None, "begun_too_often")


def test_a_worker_thought_dead_adds_nothing_to_what_another_kept(plant, belts):
    make_cases(belts[0], [10])
    thought_dead = look(plant)
    fault_reckoning.do_owed()
    make_cases(belts[0], [20])

    fault_work.run(thought_dead)

    assert faults_of(thought_dead, belts[0]).events == 1


def test_who_keeps_choosing_other_days_keeps_no_other_work_waiting(plant, belts, monkeypatch):
    make_cases(belts[0], [10])
    look(plant)
    begun = []

    def run_and_choose_again(one: FaultReckoning) -> None:
        begun.append(one.pk)
        fault_work.refuse(one, "failed")
        first = timezone.localdate() - timedelta(days=10 + len(begun))
        look(plant, FaultChoice(span="", first=first, last=timezone.localdate()))

    monkeypatch.setattr(fault_work, "run", run_and_choose_again)

    assert fault_reckoning.do_owed() == len(begun)
    assert FaultReckoning.objects.owed().exists()


def test_what_always_stands_goes_before_days_that_somebody_chose(plant, belts, monkeypatch):
    make_cases(belts[0], [10])
    today = timezone.localdate()
    typed = look(plant, FaultChoice(span="", first=today - timedelta(days=9), last=today))
    begun: list[int] = []
    monkeypatch.setattr(
        fault_work, "run", lambda one: (begun.append(one.pk), fault_work.refuse(one, "failed"))
    )

    fault_reckoning.do_owed()

    usual = FaultReckoning.objects.get(is_usual=True)
    assert begun == [usual.pk, typed.pk]
