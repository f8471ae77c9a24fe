"""Links between orders: what is refused, what both logs say, people who link at once."""

import itertools
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from django.db import connection

from plant.models import Plant
from tests.workorders import factories
from tests.workorders.factories import NOW
from workorders.models import OrderLink, WorkOrder
from workorders.order_states import OPEN_STATES, SET_ASIDE_STATES, OrderState
from workorders.selectors import order_chain
from workorders.services import linking, moving
from workorders.services.linking import LinkRefused, WouldWaitForItself
from workorders.services.locking import OrderChangedMeanwhile
from workorders.services.waiting import OrderIsNotOpen

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=1)


def make_orders(plant: Plant, how_many: int) -> list[WorkOrder]:
    conveyor = factories.make_conveyor(plant)
    return [factories.make_order_by_hand(conveyor) for _one in range(how_many)]


def link(order: WorkOrder, after: WorkOrder, **how: object) -> OrderLink:
    return linking.link_orders(order_id=order.pk, after_id=after.pk, by=None, now=LATER, **how)


def begin(order: WorkOrder, **how: object) -> WorkOrder:
    return moving.move_order(
        order_id=order.pk, to_state=OrderState.IN_HAND, by=None, now=LATER, **how
    )


def test_both_logs_say_who_waits_for_whom(plant: Plant) -> None:
    first, second = make_orders(plant, 2)

    link(second, first)

    for order in (first, second):
        change = order.changes.get()
        assert (change.kind, change.before, change.after) == (
            "linked",
            second.number,
            first.number,
        )


@pytest.mark.parametrize("state", OrderState)
def test_only_open_work_can_be_told_to_wait(plant: Plant, state: OrderState) -> None:
    first, second = make_orders(plant, 2)
    factories.bring_to(second, state)

    if state in OPEN_STATES:
        link(second, first)
    else:
        with pytest.raises(OrderIsNotOpen):
            link(second, first)

    assert second.waits_for.exists() is (state in OPEN_STATES)


@pytest.mark.parametrize("state", OrderState)
def test_nothing_is_told_to_wait_for_work_that_ended_without_work(
    plant: Plant, state: OrderState
) -> None:
    first, second = make_orders(plant, 2)
    factories.bring_to(first, state)

    if state in SET_ASIDE_STATES:
        with pytest.raises(LinkRefused):
            link(second, first)
    else:
        link(second, first)

    assert second.waits_for.exists() is (state not in SET_ASIDE_STATES)


def test_an_order_waits_neither_for_itself_nor_for_another_plants_nor_twice(plant: Plant) -> None:
    first, second = make_orders(plant, 2)
    elsewhere = factories.make_order_by_hand()
    link(second, first)

    with pytest.raises(WouldWaitForItself):
        link(first, first)
    with pytest.raises(LinkRefused, match="another plant"):
        link(first, elsewhere)
    with pytest.raises(LinkRefused, match="already"):
        link(second, first)

    assert OrderLink.objects.count() == 1


@pytest.mark.parametrize("length", [2, 3, 6])
def test_a_circle_of_any_length_is_refused_and_told(plant: Plant, length: int) -> None:
    orders = make_orders(plant, length)
    for order, after in itertools.pairwise(orders):
        link(order, after)

    with pytest.raises(WouldWaitForItself, match=", ".join(one.number for one in orders)):
        link(orders[-1], orders[0])


def test_a_stale_page_links_and_unlinks_nothing(plant: Plant) -> None:
    first, second = make_orders(plant, 2)
    link(second, first)

    with pytest.raises(OrderChangedMeanwhile):
        link(second, first, version=1)
    with pytest.raises(OrderChangedMeanwhile):
        linking.unlink_orders(order_id=second.pk, after_id=first.pk, by=None, now=LATER, version=1)

    assert second.waits_for.count() == 1


def test_unlinked_twice_is_told_once(plant: Plant) -> None:
    first, second = make_orders(plant, 2)
    link(second, first)

    for _press in range(2):
        linking.unlink_orders(order_id=second.pk, after_id=first.pk, by=None, now=LATER)

    assert not second.waits_for.exists()
    assert list(second.changes.values_list("kind", flat=True)) == ["linked", "unlinked"]


@pytest.mark.parametrize("state", OrderState)
def test_work_begins_early_only_by_who_was_told(plant: Plant, state: OrderState) -> None:
    first, second = make_orders(plant, 2)
    link(second, first)
    factories.bring_to(second, OrderState.APPROVED)
    factories.bring_to(first, state)

    if state in OPEN_STATES:
        with pytest.raises(moving.EarlierWorkNotDone, match=first.number):
            begin(second)
        begin(second, begins_early=True, why="belt is down anyway")
        told = f"Begun before {first.number} was done. belt is down anyway"
    else:
        begin(second)
        told = ""

    second.refresh_from_db()
    assert second.state == OrderState.IN_HAND
    assert second.moves.last().why == told


def test_work_taken_back_in_hand_is_not_asked_again(plant: Plant) -> None:
    first, second = make_orders(plant, 2)
    factories.bring_to(second, OrderState.IN_HAND)
    link(second, first)
    moving.move_order(order_id=second.pk, to_state=OrderState.DONE, by=None, now=LATER)

    assert begin(second, why="not finished after all").state == OrderState.IN_HAND


def test_the_chain_says_what_holds_an_order_up(plant: Plant) -> None:
    done, declined, approved, order, follower = make_orders(plant, 5)
    for one in (done, declined, approved):
        link(order, one)
    link(follower, order)
    factories.bring_to(done, OrderState.DONE)
    factories.bring_to(declined, OrderState.DECLINED)
    factories.bring_to(approved, OrderState.APPROVED)

    chain = order_chain.chain_of(order)

    assert [(one.order, one.holds_up, one.is_set_aside) for one in chain.waits_for] == [
        (done, False, False),
        (declined, False, True),
        (approved, True, False),
    ]
    assert chain.holding_up == [approved]
    assert [one.order for one in chain.lets_begin] == [follower]


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("length", [2, 4])
def test_people_who_link_at_once_close_no_circle_together(plant: Plant, length: int) -> None:
    """Of four orders in a ring, two links between four different ones close it."""
    for _turn in range(4):
        orders = make_orders(plant, length)
        ring = list(zip(orders, [*orders[1:], orders[0]], strict=True))
        for order, after in ring[1::2] if length > 2 else []:
            link(order, after)

        def attempt(pair: tuple[WorkOrder, WorkOrder]) -> str:
            try:
                link(*pair)
                return "linked"
            except WouldWaitForItself as refusal:
                return refusal.code
            finally:
                connection.close()

        with ThreadPoolExecutor(2) as pool:
            answers = sorted(pool.map(attempt, ring[::2] if length > 2 else ring, timeout=60))

        assert answers == ["linked", "would_wait_for_itself"]
