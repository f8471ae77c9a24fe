"""What is known of a case when its work is judged, and judging it again."""

from datetime import datetime, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics.models import Case, WalkDown
from plant.models import Plant
from plant.roles import Role
from tests.workorders import factories
from tests.workorders.factories import NOW
from tests.workorders.pages import address, client_of
from workorders.models import OrderChange, WorkOrder
from workorders.order_states import OrderState
from workorders.planning.offset_trend import Pace
from workorders.selectors import trouble
from workorders.services import judging_again, replanning
from workorders.services.waiting import OrderIsNotOpen
from workorders.urgency import Urgency

pytestmark = pytest.mark.django_db


def walk(case: Case, at: datetime, **offsets: float) -> None:
    """Loaded looks at stations of the return run, right positive. [mm]"""
    walk_down = WalkDown.objects.create(case=case, started_at=at, cautions_read_at=at)
    for number, (station, offset_mm) in enumerate(offsets.items()):
        walk_down.sightings.create(
            station=station,
            run="return",
            position_m=100 + number,
            load="loaded",
            offset_mm=offset_mm,
            seen_at=at,
        )


def judge(order: WorkOrder) -> WorkOrder:
    return judging_again.judge_again(order_id=order.pk, by=None, now=NOW)


def test_the_trend_follows_the_station_that_is_worst_now() -> None:
    case = factories.make_case()
    for week, offset_mm in enumerate([-15, -40, -65]):
        walk(case, NOW + timedelta(days=7 * week), R9=offset_mm, R2=60 - 20 * week)

    known = trouble.trouble_of_case(case)

    assert known.worst_offset_mm == 65
    assert known.trend is not None
    assert known.trend.pace is Pace.GROWING
    assert known.trend.mm_per_week == pytest.approx(25)


def test_crossing_to_the_other_side_counts_from_that_side() -> None:
    case = factories.make_case()
    for week, offset_mm in enumerate([-40, 0, 40]):
        walk(case, NOW + timedelta(days=7 * week), R9=offset_mm)

    trend = trouble.trouble_of_case(case).trend

    assert trend is not None
    assert trend.mm_per_week == pytest.approx(40)


def test_register_and_complaints_say_what_stands_and_who_is_near() -> None:
    conveyor = factories.make_conveyor(consequence="whole_line")
    case = factories.make_case(conveyor)
    factories.make_complaint(case, people_near="fall")
    factories.make_complaint(case, people_near="pass", withdrawn_at=NOW, withdrawn_why="no")

    known = trouble.trouble_of_case(case)

    assert known.consequence == "whole_line"
    assert known.people_near == {"fall"}


def test_new_evidence_makes_an_order_more_urgent_when_it_is_judged_again() -> None:
    order = factories.make_order()
    assert order.urgency == Urgency.NEXT_OUTAGE
    assert order.case is not None
    factories.make_complaint(order.case, how_bad="rubbing")

    judged = judge(order)

    assert judged.urgency == Urgency.THIS_SHIFT
    assert "The belt rubs" in judged.urgency_reasons[0]
    change = judged.changes.get()
    assert (change.kind, change.before, change.after) == (
        OrderChange.Kind.JUDGED_AGAIN,
        "next_outage",
        "this_shift",
    )


def test_an_urgency_a_person_set_stays_and_only_its_reasons_are_new() -> None:
    order = factories.make_order()
    replanning.set_urgency(
        order_id=order.pk, urgency=Urgency.WATCH, why="spare belt is on", by=None, now=NOW
    )
    assert order.case is not None
    factories.make_complaint(order.case, how_bad="rubbing")

    judged = judge(order)

    assert (judged.urgency, judged.urgency_why) == (Urgency.WATCH, "spare belt is on")
    assert "The belt rubs" in judged.urgency_reasons[0]


def test_with_nothing_new_there_is_nothing_to_judge() -> None:
    for order in (factories.make_order(), factories.make_order_by_hand()):
        with pytest.raises(judging_again.NothingNewIsKnown):
            judge(order)


def test_work_that_ended_is_not_judged_again() -> None:
    order = factories.bring_to(factories.make_order(), OrderState.DONE)
    assert order.case is not None
    factories.make_complaint(order.case, how_bad="rubbing")

    with pytest.raises(OrderIsNotOpen):
        judge(order)


def test_the_order_says_what_would_change_before_anybody_presses(
    plant: Plant, planner: Client, order: WorkOrder
) -> None:
    button = address("order-judge-again", order)
    assert button not in planner.get(address("order", order)).content.decode()
    assert order.case is not None
    factories.make_complaint(order.case, how_bad="rubbing")

    shown = planner.get(address("order", order)).content.decode()
    assert "The site would now say “this shift”; it stands at “next outage”." in shown
    assert "The belt rubs" in shown
    clerk = client_of(Role.CLERK, plant)
    assert button not in clerk.get(address("order", order)).content.decode()
    assert clerk.post(button, {"version": order.version}).status_code == 403

    assert planner.post(button, {"version": order.version}).status_code == 302
    order.refresh_from_db()
    assert order.urgency == Urgency.THIS_SHIFT
    assert button not in planner.get(address("order", order)).content.decode()
    assert planner.post(button, {"version": 1}).status_code == 409
    assert planner.post(button, {}).status_code == 400


def test_a_clerk_notes_who_could_be_hurt(plant: Plant) -> None:
    conveyor = factories.make_conveyor(plant)
    clerk = client_of(Role.CLERK, plant)

    clerk.post(
        reverse("complaint-new"),
        {
            "words": "grain comes down on the walkway",
            "how_bad": "spilling",
            "belt": str(conveyor.pk),
            "join": "new",
            "people_near": "fall",
        },
    )

    complaint = conveyor.complaints.get()
    assert complaint.people_near == "fall"
    shown = clerk.get(reverse("complaint", args=[complaint.pk])).content.decode()
    assert "fall where people are" in shown
