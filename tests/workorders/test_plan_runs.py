"""A proposal from the asking to its end: worked out, stopped, taken over, failed, put aside."""

from datetime import timedelta

import pytest
from django.utils import timezone

from plant.services import claiming
from tests.workorders.factories import make_plant
from tests.workorders.plan_rows import FORTNIGHT, ask, make_plannable, window_of, worked_out
from workorders.models import PlanRun, WorkOrder
from workorders.planning.outages.proposal import Aim, Progress
from workorders.services import plan_runs, plan_work
from workorders.services.plan_runs import HorizonTooLong, NothingLeftToPlan, Wanted

pytestmark = pytest.mark.django_db
State = PlanRun.State


def test_orders_are_proposed_into_their_window_and_nothing_is_changed_yet():
    first, second = make_plannable()
    window = window_of(first)

    run = worked_out(first.conveyor.plant)

    rows = {row["order"]: row for row in run.result["rows"]}
    assert run.state == State.PROPOSED
    assert set(rows) == {first.number, second.number}
    assert {row["mark"] for row in rows.values()} == {"new"}
    assert {row["then"][0] for row in rows.values()} == {str(window.pk)}
    assert rows[first.number]["version"] == first.version
    assert set(WorkOrder.objects.values_list("state", flat=True)) == {"approved"}


def test_every_aim_is_kept_with_its_value_and_what_it_cannot_be_under():
    run = worked_out(make_plannable()[0].conveyor.plant)

    assert [one["aim"] for one in run.result["objectives"]] == list(Aim)
    assert [(one["value"], one["bound"]) for one in run.result["objectives"]] == [
        (0, 0),
        (1, 1),
        (0, 0),
        (0, 0),
    ]


def test_an_order_left_out_is_kept_with_its_reason():
    first, _second = make_plannable()
    WorkOrder.objects.filter(pk=first.pk).update(hours=9)

    run = worked_out(first.conveyor.plant)

    (left,) = run.result["left_out"]
    assert (left["job"], left["reason"]) == (first.number, "longer_than_windows")
    assert (left["asked"], left["there"]) == (540, 480)


def test_asked_twice_it_is_worked_out_once():
    plant = make_plannable()[0].conveyor.plant

    assert ask(plant) == ask(plant)
    assert plan_runs.do_owed() == 1


def test_two_plants_may_have_one_each():
    assert ask(make_plant()) != ask(make_plant())
    assert plan_runs.do_owed() == 2


def test_a_new_one_leaves_the_one_that_waits():
    plant = make_plannable()[0].conveyor.plant
    old = worked_out(plant)

    new = worked_out(plant)

    old.refresh_from_db()
    assert (old.state, new.state) == (State.LEFT, State.PROPOSED)


def test_a_stretch_that_is_over_or_too_long_is_refused():
    plant, now = make_plant(), timezone.now()
    for refusal, from_at, until_at in (
        (NothingLeftToPlan, now - FORTNIGHT, now - timedelta(days=1)),
        (HorizonTooLong, now, now + timedelta(days=120)),
    ):
        with pytest.raises(refusal):
            plan_runs.ask(plant=plant, wanted=Wanted(from_at, until_at), by=None, now=now)
    assert not PlanRun.objects.exists()


def test_a_stretch_that_began_is_planned_from_now_on():
    first, _second = make_plannable()
    now = timezone.now()
    wanted = Wanted(now - FORTNIGHT, now + FORTNIGHT)

    run = plan_runs.ask(plant=first.conveyor.plant, wanted=wanted, by=None, now=now)

    assert run.from_at == now


def test_stopped_before_anybody_began_there_is_nothing():
    run = ask(make_plant())

    plan_runs.ask_stop(run_id=run.pk, now=timezone.now())

    run.refresh_from_db()
    assert (run.state, run.result) == (State.STOPPED, None)
    assert plan_runs.do_owed() == 0


def test_stop_is_heard_and_progress_is_told(monkeypatch):
    monkeypatch.setattr(plan_work, "_EVERY_S", 0)
    run = ask(make_plant())
    telling = plan_work.Telling(run.pk)

    assert telling(Progress(Aim.LATE, best=7, bound=3))
    assert telling(Progress(Aim.LATE, best=5, bound=None))
    run.refresh_from_db()
    assert run.worked_at is not None
    assert run.progress == {"now": "late", "aims": {"late": {"best": 5, "bound": 3}}}

    plan_runs.ask_stop(run_id=run.pk, now=timezone.now())
    assert not telling(Progress(Aim.LATE, best=5, bound=3))


def test_a_run_whose_worker_went_silent_is_taken_up_again():
    run = ask(make_plannable()[0].conveyor.plant)
    ago = timezone.now() - claiming.SILENCE
    PlanRun.objects.filter(pk=run.pk).update(worked_at=ago + timedelta(seconds=30), begun=1)
    assert plan_runs.do_owed() == 0, "it may still be at it"

    PlanRun.objects.filter(pk=run.pk).update(worked_at=ago - timedelta(seconds=1))

    assert plan_runs.do_owed() == 1
    run.refresh_from_db()
    assert (run.state, run.begun) == (State.PROPOSED, 2)


def test_a_run_begun_again_and_again_ends():
    run = ask(make_plant())
    PlanRun.objects.filter(pk=run.pk).update(begun=claiming.MOST_BEGINNINGS)

    plan_runs.do_owed()

    run.refresh_from_db()
    assert (run.state, run.refusal) == (State.FAILED, "begun_too_often")


def test_a_fault_ends_the_run_and_can_be_asked_again(monkeypatch):
    def fail(*_args, **_more):
        raise RuntimeError("no memory")

    monkeypatch.setattr(plan_work, "propose", fail)
    plant = make_plant()
    run = worked_out(plant)

    assert (run.state, run.refusal) == (State.FAILED, "failed")
    assert ask(plant) != run


def test_a_proposal_left_can_be_had_again_while_there_is_no_newer_one():
    plant = make_plannable()[0].conveyor.plant
    run = worked_out(plant)

    plan_runs.leave(run_id=run.pk)
    plan_runs.take_up_again(run_id=run.pk)
    run.refresh_from_db()
    assert run.state == State.PROPOSED

    worked_out(plant)
    plan_runs.take_up_again(run_id=run.pk)
    run.refresh_from_db()
    assert run.state == State.LEFT


def test_only_the_latest_runs_of_a_plant_are_kept():
    plant, now = make_plant(), timezone.now()
    PlanRun.objects.bulk_create(
        PlanRun(
            plant=plant, from_at=now, until_at=now + FORTNIGHT, asked_at=now, state=State.STOPPED
        )
        for _number in range(plan_runs.KEPT_A_PLANT + 5)
    )

    ask(plant)

    assert PlanRun.objects.count() == plan_runs.KEPT_A_PLANT + 1
