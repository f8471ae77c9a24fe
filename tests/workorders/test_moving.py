"""Moving orders: every pair of states, the case that follows, two people at once."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from itertools import product

import pytest
from django.db import connection, transaction

from diagnostics import signals
from diagnostics.case_states import CaseState
from diagnostics.models import Hypothesis
from diagnostics.services import cases
from plant.roles import Role
from tests.workorders import factories
from tests.workorders.factories import NOW
from workorders.models import OrderMove, WorkOrder
from workorders.order_states import OrderState, may_move
from workorders.services import moving
from workorders.services.locking import OrderChangedMeanwhile

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=1)


def move(order: WorkOrder, to_state: OrderState, **given: object) -> WorkOrder:
    asked = {"why": "as agreed", "planned_for": LATER + timedelta(days=3), **given}
    if to_state is not OrderState.SCHEDULED:
        asked.pop("planned_for")
    return moving.move_order(order_id=order.pk, to_state=to_state, by=None, now=LATER, **asked)


@pytest.mark.parametrize(("old", "new"), list(product(OrderState, OrderState)))
def test_only_legal_moves_are_made_and_each_is_written_down(
    old: OrderState, new: OrderState
) -> None:
    order = factories.bring_to(factories.make_order(), old)
    before = order.moves.count()
    is_legal = may_move(old, new) and new is not OrderState.PROVED

    if is_legal:
        move(order, new)
    else:
        with pytest.raises((moving.IllegalOrderMove, moving.ProofRunNeeded)):
            move(order, new)

    order.refresh_from_db()
    assert order.state == (new if is_legal else old)
    assert order.moves.count() == before + is_legal


def test_a_move_says_who_when_why() -> None:
    order = factories.make_order()
    planner = factories.make_person(Role.PLANNER, order.conveyor.plant)

    moving.move_order(
        order_id=order.pk, to_state=OrderState.DECLINED, by=planner, now=LATER, why=" no stop "
    )

    last = order.moves.last()
    assert (last.from_state, last.to_state) == ("proposed", "declined")
    assert (last.by, last.at, last.why) == (planner, LATER, "no stop")


@pytest.mark.parametrize(
    ("state", "to_state"),
    [
        (OrderState.PROPOSED, OrderState.DECLINED),
        (OrderState.PROPOSED, OrderState.CANCELLED),
        (OrderState.IN_HAND, OrderState.APPROVED),
        (OrderState.DONE, OrderState.IN_HAND),
        (OrderState.CANCELLED, OrderState.PROPOSED),
    ],
)
def test_setting_aside_and_going_back_need_a_reason(
    state: OrderState, to_state: OrderState
) -> None:
    order = factories.bring_to(factories.make_order(), state)

    with pytest.raises(moving.MoveNeedsReason):
        move(order, to_state, why="   ")

    order.refresh_from_db()
    assert order.state == state


def test_scheduling_needs_a_time_that_is_still_to_come() -> None:
    order = factories.bring_to(factories.make_order(), OrderState.APPROVED)

    with pytest.raises(moving.ScheduleNeedsTime):
        move(order, OrderState.SCHEDULED, planned_for=None)
    with pytest.raises(moving.ScheduleNeedsTime):
        move(order, OrderState.SCHEDULED, planned_for=LATER - timedelta(minutes=1))

    planned = move(order, OrderState.SCHEDULED, planned_for=LATER + timedelta(hours=5))
    assert planned.planned_for == LATER + timedelta(hours=5)
    assert order.moves.last().planned_for == planned.planned_for


def test_going_back_before_the_schedule_forgets_its_time_but_not_the_record() -> None:
    order = factories.bring_to(factories.make_order(), OrderState.SCHEDULED)
    was = order.planned_for

    order = move(order, OrderState.APPROVED)

    assert order.planned_for is None
    assert was in order.moves.values_list("planned_for", flat=True)


def test_work_begun_by_mistake_goes_back_to_its_time() -> None:
    order = factories.bring_to(factories.make_order(), OrderState.IN_HAND)
    was = order.planned_for

    order = move(order, OrderState.SCHEDULED, planned_for=None)

    assert order.planned_for == was


def test_an_ended_order_says_when_and_a_returning_one_forgets() -> None:
    order = move(factories.make_order(), OrderState.DECLINED)
    assert order.ended_at == LATER

    assert move(order, OrderState.PROPOSED).ended_at is None


@pytest.mark.parametrize(
    ("state", "case_state"),
    [
        (OrderState.PROPOSED, CaseState.CAUSE_FOUND),
        (OrderState.APPROVED, CaseState.MENDED),
        (OrderState.SCHEDULED, CaseState.MENDED),
        (OrderState.IN_HAND, CaseState.MENDED),
        (OrderState.DONE, CaseState.ON_PROOF),
        (OrderState.PROVED, CaseState.CLOSED),
        (OrderState.DECLINED, CaseState.CAUSE_FOUND),
    ],
)
def test_the_case_follows_its_order(state: OrderState, case_state: CaseState) -> None:
    order = factories.bring_to(factories.make_order(), state)

    assert order.case.state == case_state


def test_work_taken_back_in_hand_takes_the_case_off_proof() -> None:
    order = factories.bring_to(factories.make_order(), OrderState.DONE)

    order = move(order, OrderState.IN_HAND)

    order.case.refresh_from_db()
    assert order.case.state == CaseState.MENDED


def test_cancelling_the_only_work_brings_the_case_back_to_its_cause() -> None:
    order = factories.bring_to(factories.make_order(), OrderState.APPROVED)

    move(order, OrderState.CANCELLED)

    order.case.refresh_from_db()
    assert order.case.state == CaseState.CAUSE_FOUND


def test_a_case_with_two_causes_is_on_proof_only_when_both_are_mended() -> None:
    first = factories.make_order()
    second = factories.make_order(
        factories.make_accepted_cause(first.case, "off_centre_loading", component="LOAD")
    )
    factories.bring_to(first, OrderState.DONE)
    first.case.refresh_from_db()
    assert first.case.state == CaseState.MENDED

    factories.bring_to(second, OrderState.DONE)

    first.case.refresh_from_db()
    assert first.case.state == CaseState.ON_PROOF


def test_an_order_by_hand_moves_without_a_case() -> None:
    order = factories.bring_to(factories.make_order_by_hand(), OrderState.PROVED)

    assert order.state == OrderState.PROVED


def test_a_stale_page_is_refused_with_the_present_state() -> None:
    order = factories.make_order()
    seen = order.version
    move(order, OrderState.APPROVED)

    with pytest.raises(OrderChangedMeanwhile, match="it is approved now") as refused:
        move(order, OrderState.DECLINED, version=seen)

    assert refused.value.order.state == OrderState.APPROVED
    order.refresh_from_db()
    assert order.state == OrderState.APPROVED


@pytest.mark.django_db(transaction=True)
def test_of_two_planners_moving_the_same_order_one_is_refused() -> None:
    order = factories.make_order()

    def attempt(to_state: OrderState) -> str:
        try:
            return move(order, to_state, version=order.version).state
        except OrderChangedMeanwhile as refusal:
            return refusal.code
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as pool:
        answers = list(pool.map(attempt, [OrderState.APPROVED, OrderState.DECLINED]))

    assert answers.count("order_changed_meanwhile") == 1
    order.refresh_from_db()
    assert order.state in answers
    # No update is lost: the log has exactly the move that won.
    assert list(order.moves.values_list("to_state", flat=True)) == ["proposed", order.state]


@pytest.mark.django_db(transaction=True)
def test_moving_an_order_and_taking_back_its_cause_do_not_wait_for_each_other() -> None:
    orders = [factories.make_order() for _turn in range(6)]

    def take_back(order: WorkOrder) -> str:
        try:
            with transaction.atomic():
                cases.lock_case(order.case_id)
                signals.cause_taken_back.send(
                    sender=Hypothesis, hypothesis=order.hypothesis, by=None, now=LATER, why="no"
                )
            return "taken back"
        finally:
            connection.close()

    def approve(order: WorkOrder) -> str:
        try:
            return move(order, OrderState.APPROVED).state
        except moving.IllegalOrderMove as refusal:
            return refusal.code
        finally:
            connection.close()

    with ThreadPoolExecutor(4) as pool:
        running = [pool.submit(act, order) for order in orders for act in (approve, take_back)]
        answers = {one.result(timeout=60) for one in running}

    assert answers <= {"approved", "illegal_order_move", "taken back"}
    assert set(WorkOrder.objects.values_list("state", flat=True)) == {"cancelled"}


def test_a_move_that_is_refused_leaves_nothing_behind() -> None:
    order = factories.make_order()
    before = (order.version, OrderMove.objects.count())

    with pytest.raises(moving.IllegalOrderMove):
        move(order, OrderState.DONE)

    order.refresh_from_db()
    assert (order.version, OrderMove.objects.count()) == before
