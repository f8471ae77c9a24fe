"""Waiting, urgency, another time, figures, steps and notes."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from plant.roles import Role
from tests.workorders import factories
from tests.workorders.factories import NOW
from workorders.models import OrderChange, WorkOrder
from workorders.order_states import OPEN_STATES, OrderState, Waiting
from workorders.selectors import order_log
from workorders.services import doing, moving, raising_by_hand, replanning, waiting
from workorders.services.locking import OrderChangedMeanwhile
from workorders.services.replanning import OrderFigures
from workorders.urgency import Urgency

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=1)
ENDED = [state for state in OrderState if state not in OPEN_STATES]


def wait(order: WorkOrder, **given: object) -> WorkOrder:
    asked = {"waiting_for": Waiting.PARTS, "why": "rolls due on Thursday", **given}
    return waiting.start_waiting(order_id=order.pk, by=None, now=LATER, **asked)


@pytest.mark.parametrize("state", sorted(OPEN_STATES))
def test_an_open_order_waits_and_goes_on(state: OrderState) -> None:
    order = wait(factories.bring_to(factories.make_order(), state))
    assert (order.waiting_for, order.waiting_why) == ("parts", "rolls due on Thursday")

    order = waiting.stop_waiting(order_id=order.pk, by=None, now=LATER)

    assert (order.waiting_for, order.waiting_why, order.state) == ("", "", state)
    assert [one.kind for one in order.changes.all()] == ["waiting", "no_longer_waiting"]


@pytest.mark.parametrize("state", ENDED)
def test_an_order_that_is_not_open_does_not_wait(state: OrderState) -> None:
    with pytest.raises(waiting.OrderIsNotOpen):
        wait(factories.bring_to(factories.make_order(), state))


def test_waiting_says_for_what_exactly() -> None:
    with pytest.raises(waiting.WaitingNeedsReason):
        wait(factories.make_order(), why=" ")


def test_what_does_not_wait_cannot_stop_waiting() -> None:
    with pytest.raises(waiting.OrderDoesNotWait):
        waiting.stop_waiting(order_id=factories.make_order().pk, by=None, now=LATER)


def test_taking_in_hand_ends_the_waiting() -> None:
    order = wait(factories.bring_to(factories.make_order(), OrderState.APPROVED))

    order = moving.move_order(order_id=order.pk, to_state=OrderState.IN_HAND, by=None, now=LATER)

    assert (order.waiting_for, order.waiting_why) == ("", "")


def test_a_person_sets_another_urgency_and_says_why() -> None:
    order = factories.make_order()
    reasons = order.urgency_reasons

    order = replanning.set_urgency(
        order_id=order.pk, urgency=Urgency.STOP_NOW, why="edge is tearing", by=None, now=LATER
    )

    assert (order.urgency, order.urgency_why) == ("stop_now", "edge is tearing")
    assert order.urgency_reasons == reasons
    change = order.changes.get()
    assert (change.before, change.after, change.why) == (
        "next_outage",
        "stop_now",
        "edge is tearing",
    )


def test_another_urgency_without_a_reason_is_refused() -> None:
    with pytest.raises(raising_by_hand.UrgencyNeedsReason):
        replanning.set_urgency(
            order_id=factories.make_order().pk, urgency=Urgency.WATCH, why="", by=None, now=LATER
        )


def test_a_scheduled_order_moves_to_another_time_with_a_reason() -> None:
    order = factories.bring_to(factories.make_order(), OrderState.SCHEDULED)
    new = LATER + timedelta(days=9)

    order = replanning.plan_for(
        order_id=order.pk, planned_for=new, why="ship came early", by=None, now=LATER
    )

    assert order.planned_for == new
    assert order.changes.get().after == new.isoformat()


def test_only_a_scheduled_order_has_a_time_to_move() -> None:
    order = factories.bring_to(factories.make_order(), OrderState.APPROVED)

    with pytest.raises(moving.IllegalOrderMove):
        replanning.plan_for(order_id=order.pk, planned_for=LATER, why="x", by=None, now=NOW)


@pytest.mark.parametrize(
    ("given", "refusal"),
    [({"why": " "}, moving.MoveNeedsReason), ({"planned_for": NOW}, moving.ScheduleNeedsTime)],
)
def test_another_time_needs_a_reason_and_lies_ahead(
    given: dict[str, object], refusal: type[Exception]
) -> None:
    order = factories.bring_to(factories.make_order(), OrderState.SCHEDULED)
    asked = {"planned_for": LATER + timedelta(days=9), "why": "ship came early", **given}

    with pytest.raises(refusal):
        replanning.plan_for(order_id=order.pk, by=None, now=LATER, **asked)


FIGURES = OrderFigures(
    title="Square the rolls",
    hours=Decimal("3.50"),
    people=3,
    due_on=date(2026, 11, 20),
    tools=("square",),
    parts=("bolts", "shims"),
    external_number="88-1",
)


def test_figures_are_put_right_and_the_log_names_those_that_changed() -> None:
    order = factories.make_order()

    order = replanning.put_right(order_id=order.pk, figures=FIGURES, by=None, now=LATER)

    assert (order.title, order.hours, order.people) == ("Square the rolls", Decimal("3.50"), 3)
    assert (order.tools, order.parts) == (["square"], ["bolts", "shims"])
    assert "title" in order.changes.get().after


def test_figures_that_did_not_change_leave_no_line() -> None:
    order = replanning.put_right(
        order_id=factories.make_order().pk, figures=FIGURES, by=None, now=LATER
    )

    replanning.put_right(order_id=order.pk, figures=FIGURES, by=None, now=LATER)

    assert order.changes.count() == 1


@pytest.mark.parametrize("state", ENDED)
def test_figures_of_an_order_that_is_not_open_stay(state: OrderState) -> None:
    order = factories.bring_to(factories.make_order(), state)

    with pytest.raises(waiting.OrderIsNotOpen):
        replanning.put_right(order_id=order.pk, figures=FIGURES, by=None, now=LATER)


def test_every_change_refuses_a_stale_page() -> None:
    order = factories.bring_to(factories.make_order(), OrderState.SCHEDULED)
    stale = {"order_id": order.pk, "by": None, "now": LATER, "version": order.version - 1}
    changes = [
        lambda: waiting.start_waiting(waiting_for=Waiting.PARTS, why="x", **stale),
        lambda: waiting.stop_waiting(**stale),
        lambda: replanning.set_urgency(urgency=Urgency.WATCH, why="x", **stale),
        lambda: replanning.plan_for(planned_for=LATER + timedelta(days=1), why="x", **stale),
        lambda: replanning.put_right(figures=FIGURES, **stale),
    ]

    for change in changes:
        with pytest.raises(OrderChangedMeanwhile):
            change()

    assert not OrderChange.objects.exists()


@pytest.fixture
def in_hand() -> WorkOrder:
    return factories.bring_to(factories.make_order(), OrderState.IN_HAND)


def test_a_step_is_ticked_by_the_first_who_says_so(in_hand: WorkOrder) -> None:
    first = factories.make_person(Role.TECHNICIAN)

    doing.tick_step(order_id=in_hand.pk, place=1, by=first, now=NOW)
    doing.tick_step(order_id=in_hand.pk, place=1, by=None, now=LATER)

    step = in_hand.steps.get(place=1)
    assert (step.done_by, step.done_at) == (first, NOW)


def test_a_step_that_is_not_done_after_all_stays_in_the_log(in_hand: WorkOrder) -> None:
    doing.tick_step(order_id=in_hand.pk, place=2, by=None, now=NOW)

    doing.untick_step(order_id=in_hand.pk, place=2, by=None, now=LATER)

    assert in_hand.steps.get(place=2).done_at is None
    assert in_hand.changes.get().before == NOW.isoformat()


@pytest.mark.parametrize("state", [one for one in OrderState if one is not OrderState.IN_HAND])
def test_steps_are_ticked_only_in_hand(state: OrderState) -> None:
    order = factories.bring_to(factories.make_order(), state)

    with pytest.raises(doing.OrderIsNotInHand):
        doing.tick_step(order_id=order.pk, place=1, by=None, now=LATER)


def test_ticking_makes_no_page_stale_but_the_feed_sees_it(in_hand: WorkOrder) -> None:
    doing.tick_step(order_id=in_hand.pk, place=1, by=None, now=LATER)

    after = WorkOrder.objects.get(pk=in_hand.pk)
    assert after.version == in_hand.version
    assert after.changed_at > in_hand.changed_at


@pytest.mark.parametrize("state", OrderState)
def test_a_note_is_left_in_any_state(state: OrderState) -> None:
    order = factories.bring_to(factories.make_order(), state)

    note = doing.add_note(order_id=order.pk, words=" shims used: two ", by=None, now=LATER)

    assert note.words == "shims used: two"


def test_an_empty_note_is_refused() -> None:
    with pytest.raises(doing.NoteIsEmpty):
        doing.add_note(order_id=factories.make_order().pk, words=" \n", by=None, now=LATER)


def test_the_log_tells_everything_in_the_order_it_happened(in_hand: WorkOrder) -> None:
    at = [LATER + timedelta(minutes=minute) for minute in range(4)]
    wait(in_hand, waiting_for=Waiting.OUTAGE, why="until the ship is loaded")
    doing.add_note(order_id=in_hand.pk, words="bolts are seized", by=None, now=at[1])
    waiting.stop_waiting(order_id=in_hand.pk, by=None, now=at[2])
    moving.move_order(order_id=in_hand.pk, to_state=OrderState.DONE, by=None, now=at[3])

    lines = order_log.log_of(in_hand)

    assert [line.words for line in lines] == [
        "proposed",
        "approved",
        "scheduled",
        "in hand",
        "waits for an outage",
        "note",
        "waits no longer for an outage",
        "done",
    ]
    assert lines[2].moment == in_hand.planned_for
