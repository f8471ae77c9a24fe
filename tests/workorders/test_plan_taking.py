"""Taking a proposal whole or in part, what is passed over, and putting it back."""

import pytest
from django.utils import timezone

from tests.workorders.plan_rows import make_plannable, tomorrow_at, window_of, worked_out
from workorders.models import Crew, OutageWindow, PlanRun, WorkOrder
from workorders.order_states import OrderState, Waiting
from workorders.services import moving, placing, plan_taking, replanning, waiting
from workorders.services.placing import Place
from workorders.services.plan_taking import NoProposal, NothingToTake, Outcome
from workorders.urgency import Urgency

pytestmark = pytest.mark.django_db


def take(run: PlanRun, *orders: WorkOrder) -> Outcome:
    chosen = [one.number for one in orders] or None
    return plan_taking.take(run_id=run.pk, orders=chosen, by=None, now=timezone.now())


def put_back(run: PlanRun) -> Outcome:
    return plan_taking.put_back(run_id=run.pk, by=None, now=timezone.now())


def fresh(order: WorkOrder) -> WorkOrder:
    return WorkOrder.objects.get(pk=order.pk)


def place_by_hand(order: WorkOrder, hour: int = 14) -> None:
    plant = order.conveyor.plant
    starts_at, ends_at = tomorrow_at(plant, hour), tomorrow_at(plant, hour + 1)
    place = Place(Crew.objects.get(plant=plant), window_of(order), starts_at, ends_at)
    placing.place_order(order_id=order.pk, place=place, by=None, now=timezone.now())


def test_taken_whole_every_order_is_where_it_was_proposed():
    first, second = make_plannable()
    run = worked_out(first.conveyor.plant)

    outcome = take(run)

    assert set(outcome.done) == {first.number, second.number}
    assert outcome.passed_over == ()
    for order in (fresh(first), fresh(second)):
        assert order.state == "scheduled"
        assert order.window == window_of(first)
        assert order.crew is not None
        assert order.planned_until is not None
        assert (order.planned_until - order.planned_for).total_seconds() == 3600
        assert not order.is_pinned
    run.refresh_from_db()
    assert run.state == PlanRun.State.TAKEN


def test_only_what_was_chosen_is_taken():
    first, second = make_plannable()
    run = worked_out(first.conveyor.plant)

    assert take(run, second).done == (second.number,)

    assert (fresh(first).state, fresh(second).state) == ("approved", "scheduled")


def test_an_order_changed_meanwhile_is_passed_over_and_named():
    first, second = make_plannable()
    run = worked_out(first.conveyor.plant)
    replanning.set_urgency(
        order_id=first.pk, urgency=Urgency.WATCH, why="It runs again.", by=None, now=timezone.now()
    )

    outcome = take(run)

    assert outcome.done == (second.number,)
    (passed,) = outcome.passed_over
    assert passed.order == first.number
    assert "changed" in passed.why
    assert fresh(first).state == "approved"


def test_with_nothing_done_it_stays_a_proposal():
    first, _second = make_plannable()
    run = worked_out(first.conveyor.plant)
    OutageWindow.objects.update(called_off_at=timezone.now())

    outcome = take(run)

    assert outcome.done == ()
    assert len(outcome.passed_over) == 2
    assert all("called off" in one.why for one in outcome.passed_over)
    run.refresh_from_db()
    assert run.is_proposed


def test_a_crew_that_is_gone_is_told():
    first, _second = make_plannable()
    run = worked_out(first.conveyor.plant)
    Crew.objects.update(retired_on=timezone.now().date())

    assert {one.why for one in take(run).passed_over} == {
        "Its crew is gone. Ask for another proposal."
    }


def test_an_order_that_is_no_more_is_named():
    first, second = make_plannable()
    run = worked_out(first.conveyor.plant)
    number = first.number
    first.delete()

    outcome = take(run)

    assert outcome.done == (second.number,)
    assert [one.order for one in outcome.passed_over] == [number]


def test_taken_once_it_is_not_taken_again():
    run = worked_out(make_plannable()[0].conveyor.plant)
    take(run)

    with pytest.raises(NoProposal):
        take(run)


def test_choosing_what_it_would_not_change_is_refused():
    first, _second = make_plannable()
    run = worked_out(first.conveyor.plant)

    with pytest.raises(NothingToTake):
        plan_taking.take(run_id=run.pk, orders=["XX-W-1"], by=None, now=timezone.now())


def test_an_order_that_must_not_stand_there_any_more_comes_off():
    first, _second = make_plannable()
    place_by_hand(first)
    waiting.start_waiting(
        order_id=first.pk, waiting_for=Waiting.PEOPLE, why="No welder.", by=None, now=timezone.now()
    )
    run = worked_out(first.conveyor.plant)

    take(run)

    assert (fresh(first).state, fresh(first).planned_for) == ("approved", None)


def test_put_back_every_order_is_as_it_was():
    first, second = make_plannable()
    place_by_hand(first)
    window = window_of(first)
    OutageWindow.objects.filter(pk=window.pk).update(ends_at=tomorrow_at(first.conveyor.plant, 12))
    before = fresh(first)
    run = worked_out(first.conveyor.plant)
    take(run)
    assert fresh(first).planned_for != before.planned_for

    outcome = put_back(run)

    assert set(outcome.done) == {first.number, second.number}
    assert fresh(first).planned_for == before.planned_for
    assert (fresh(second).state, fresh(second).window) == ("approved", None)
    run.refresh_from_db()
    assert run.state == PlanRun.State.PUT_BACK


def test_an_order_somebody_moved_since_is_not_put_back():
    first, second = make_plannable()
    run = worked_out(first.conveyor.plant)
    take(run)
    place_by_hand(first)
    moved = fresh(first)

    outcome = put_back(run)

    assert outcome.done == (second.number,)
    assert [one.order for one in outcome.passed_over] == [first.number]
    assert fresh(first).planned_for == moved.planned_for


def test_an_order_that_had_a_time_and_no_crew_has_it_again():
    first, _second = make_plannable()
    planned_for = tomorrow_at(first.conveyor.plant, 9)
    moving.move_order(
        order_id=first.pk,
        to_state=OrderState.SCHEDULED,
        planned_for=planned_for,
        by=None,
        now=timezone.now(),
    )
    run = worked_out(first.conveyor.plant)
    take(run, first)
    assert fresh(first).crew is not None

    put_back(run)

    order = fresh(first)
    assert (order.state, order.planned_for, order.crew) == ("scheduled", planned_for, None)


def test_what_was_not_taken_cannot_be_put_back():
    run = worked_out(make_plannable()[0].conveyor.plant)

    with pytest.raises(NoProposal):
        put_back(run)
