"""Rows of the outage sheet become a plan: who, what, how long, from when, until when."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest

from tests.workorders.factories import NOW, make_conveyor, make_plant
from tests.workorders.sheet_rows import TOMORROW, make_approved, make_crew, make_window, place_in
from workorders.models import CrewAbsence, OrderLink, OrderPart, Part, PartDue, WorkOrder
from workorders.order_states import OrderState, Waiting
from workorders.planning.outages.clashes import ClashKind, clashes_of
from workorders.planning.outages.minutes import minute_of
from workorders.planning.outages.plan import Absence, Plan, Span
from workorders.selectors.outage_plan import plan_of
from workorders.services import moving, placing, replanning, waiting

pytestmark = pytest.mark.django_db
FORTNIGHT = timedelta(days=14)


def _plan(order: WorkOrder) -> Plan:
    return plan_of(order.conveyor.plant, NOW, NOW + FORTNIGHT, NOW)


def _change(order: WorkOrder, **fields: object) -> WorkOrder:
    WorkOrder.objects.filter(pk=order.pk).update(**fields)
    return order


def test_an_approved_order_is_a_job_with_its_figures():
    order = _change(
        make_approved(make_conveyor(make_plant(time_zone="America/Halifax"))),
        hours=Decimal("2.5"),
        people=2,
        urgency="this_shift",
        earliest_on=date(2026, 11, 4),
        due_on=date(2026, 11, 6),
    )

    job = _plan(order).jobs[order.number]

    assert (job.minutes, job.people, job.conveyor) == (150, 2, order.conveyor.tag)
    assert job.isolation == order.conveyor.tag
    assert job.placed is None
    # Days are the plant's: Halifax keeps four hours behind UTC in November.
    assert job.earliest == minute_of(datetime(2026, 11, 4, 4, tzinfo=UTC))
    assert job.latest == minute_of(datetime(2026, 11, 7, 4, tzinfo=UTC))


def test_the_more_urgent_counts_more():
    weights = []
    for urgency in ("stop_now", "this_shift", "next_outage", "watch"):
        order = _change(make_approved(), urgency=urgency)
        weights.append(_plan(order).jobs[order.number].weight)

    assert weights == sorted(weights, reverse=True)
    assert len(set(weights)) == 4


def test_work_of_unknown_length_is_taken_for_an_hour_by_one_person():
    order = _change(make_approved(), hours=None, people=None)

    job = _plan(order).jobs[order.number]

    assert (job.minutes, job.people) == (60, 1)


def test_work_that_was_pinned_and_has_lost_its_place_may_be_placed_anew():
    order = make_approved()
    place = place_in(make_window(order.conveyor), make_crew(order.conveyor.plant))
    placing.place_order(order_id=order.pk, place=place, by=None, now=NOW, is_pinned=True)

    later = replanning.plan_for(
        order_id=order.pk, planned_for=place.ends_at, why="rolls come later", by=None, now=NOW
    )

    assert not later.is_pinned
    # Rows of before are taken so, too.
    _change(order, is_pinned=True)
    assert not _plan(order).jobs[order.number].is_pinned


def test_skills_are_those_of_the_steps_without_who_runs_the_belt():
    order = make_approved()
    for place, skill in enumerate(("Mechanic", "operator", "", "rigger "), start=51):
        order.steps.create(place=place, what="work", skill=skill)

    assert _plan(order).jobs[order.number].skills == {"mechanic", "rigger"}


def test_work_beside_a_running_belt_needs_no_window():
    order = _change(make_approved(), needs_isolation=False)

    assert not _plan(order).jobs[order.number].needs_window


def test_windows_crews_shifts_and_absences_come_along():
    order = make_approved()
    crew = make_crew(order.conveyor.plant, skills=["Mechanic"], overtime_minutes=90)
    window = make_window(order.conveyor)
    back = {"crew": crew, "starts_at": TOMORROW, "people": 1, "said_at": NOW}
    CrewAbsence.objects.create(ends_at=TOMORROW + timedelta(hours=4), **back)
    CrewAbsence.objects.create(ends_at=TOMORROW + timedelta(hours=9), taken_back_at=NOW, **back)

    plan = _plan(order)

    found = plan.crews[str(crew.pk)]
    begins = minute_of(window.starts_at)
    assert plan.windows[str(window.pk)].span == Span(begins, begins + 8 * 60)
    assert plan.windows[str(window.pk)].conveyors == {order.conveyor.tag}
    assert (found.people, found.skills, found.overtime_minutes) == (3, {"mechanic"}, 90)
    assert found.absences == (Absence(Span(begins, begins + 240), 1),)
    # Six in the morning in Halifax is ten in UTC.
    assert Span(minute_of(datetime(2026, 11, 3, 10, tzinfo=UTC)), begins + 450) in found.shifts


def test_a_placed_order_stands_where_it_was_put_and_keeps_its_length():
    order = _change(make_approved(), hours=1)
    crew, window = make_crew(order.conveyor.plant), make_window(order.conveyor)
    placing.place_order(
        order_id=order.pk, place=place_in(window, crew, 3), by=None, now=NOW, is_pinned=True
    )

    plan = _plan(order)

    placement = plan.placements[order.number]
    begins = minute_of(window.starts_at)
    assert (placement.window, placement.crew) == (str(window.pk), str(crew.pk))
    assert placement.span == Span(begins, begins + 180)
    assert (plan.jobs[order.number].minutes, plan.jobs[order.number].is_pinned) == (180, True)
    assert clashes_of(plan) == ()


def test_orders_placed_out_of_the_stretch_and_ended_ones_are_no_jobs():
    ended = make_approved()
    moving.move_order(
        order_id=ended.pk, to_state=OrderState.CANCELLED, by=None, now=NOW, why="not needed"
    )
    later = make_approved(ended.conveyor)
    window = make_window(later.conveyor, starts_at=NOW + timedelta(days=20))
    crew = make_crew(later.conveyor.plant)
    placing.place_order(order_id=later.pk, place=place_in(window, crew), by=None, now=NOW)
    other_plant = make_approved()

    plan = _plan(later)

    assert not plan.jobs
    assert other_plant.number not in plan.jobs


def test_work_in_hand_takes_its_crew_and_is_not_moved():
    order = make_approved()
    crew, window = make_crew(order.conveyor.plant), make_window(order.conveyor)
    placing.place_order(order_id=order.pk, place=place_in(window, crew), by=None, now=NOW)
    moving.move_order(order_id=order.pk, to_state=OrderState.IN_HAND, by=None, now=NOW)

    assert _plan(order).jobs[order.number].is_pinned


def test_a_window_called_off_and_a_crew_that_is_gone_clash_with_what_stands_there():
    order = make_approved()
    crew, window = make_crew(order.conveyor.plant), make_window(order.conveyor)
    placing.place_order(order_id=order.pk, place=place_in(window, crew), by=None, now=NOW)
    window.called_off_at = NOW
    window.save()
    crew.retired_on = NOW.date()
    crew.save()

    kinds = {one.kind for one in clashes_of(_plan(order))}

    assert kinds == {ClashKind.WINDOW_UNKNOWN, ClashKind.CREW_UNKNOWN}


def test_orders_of_a_window_that_moved_are_still_seen_and_clash():
    order = make_approved()
    crew, window = make_crew(order.conveyor.plant), make_window(order.conveyor)
    placing.place_order(order_id=order.pk, place=place_in(window, crew), by=None, now=NOW)
    window.starts_at += timedelta(days=1)
    window.ends_at += timedelta(days=1)
    window.save()

    (clash,) = clashes_of(_plan(order))

    assert (clash.kind, clash.minutes) == (ClashKind.OUTSIDE_WINDOW, 120)


def test_what_an_order_waits_for_holds_it():
    order = make_approved()
    waiting.start_waiting(
        order_id=order.pk,
        waiting_for=Waiting.PEOPLE,
        why="the splicers come in May",
        by=None,
        now=NOW,
    )

    held = _plan(order).jobs[order.number].held

    assert "people" in held
    assert "the splicers come in May" in held


def test_order_comes_after_order():
    first = make_approved()
    second = make_approved(first.conveyor)
    OrderLink.objects.create(order=second, after=first, at=NOW)

    assert _plan(second).jobs[second.number].after == {first.number}

    window = make_window(first.conveyor, starts_at=NOW + timedelta(days=20))
    crew = make_crew(first.conveyor.plant)
    placing.place_order(order_id=first.pk, place=place_in(window, crew), by=None, now=NOW)

    # The first is out of the stretch now; the second may not begin before it ends all the same.
    job = _plan(second).jobs[second.number]
    assert job.after == frozenset()
    assert job.earliest == minute_of(window.starts_at) + 120


def test_an_order_after_one_that_is_only_proposed_is_held():
    order, first = make_approved(), make_approved()
    moving.move_order(
        order_id=first.pk, to_state=OrderState.PROPOSED, by=None, now=NOW, why="not yet"
    )
    OrderLink.objects.create(order=order, after=first, at=NOW)

    assert first.number in _plan(order).jobs[order.number].held


def test_parts_say_when_they_come_and_which_are_missing():
    order = make_approved()
    part = Part.objects.create(plant=order.conveyor.plant, number="R-159", name="Roll", kind="roll")
    OrderPart.objects.create(order=order, part=part, amount=2)

    assert "R-159" in _plan(order).jobs[order.number].parts_missing

    PartDue.objects.create(part=part, amount=2, due_on=date(2026, 11, 5))

    job = _plan(order).jobs[order.number]
    assert job.parts_missing == ""
    assert job.parts_on == minute_of(datetime(2026, 11, 5, 4, tzinfo=UTC))


def test_however_much_is_planned_the_queries_stay_the_same(django_assert_max_num_queries):
    first = make_approved()
    for number in range(4):
        order = make_approved(first.conveyor)
        crew = make_crew(first.conveyor.plant, f"Crew {number}")
        window = make_window(first.conveyor, starts_at=TOMORROW + timedelta(days=number))
        placing.place_order(order_id=order.pk, place=place_in(window, crew), by=None, now=NOW)
        OrderLink.objects.create(order=order, after=first, at=NOW)

    with django_assert_max_num_queries(11):
        plan = _plan(first)

    assert len(plan.placements) == 4
