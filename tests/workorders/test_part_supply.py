"""Which parts of open orders are here, come, or are short."""

from datetime import timedelta

import pytest

from tests.workorders.factories import NOW, bring_to, make_conveyor, make_order_by_hand
from tests.workorders.part_rows import TODAY, day, expect, make_part, need
from workorders.models import WorkOrder
from workorders.order_states import OrderState
from workorders.selectors import part_supply
from workorders.selectors.part_supply import NOTHING_WANTED, Supply

pytestmark = pytest.mark.django_db


def supply(*orders: WorkOrder) -> list[Supply]:
    found = part_supply.supply_of_orders(orders[0].conveyor.plant, orders, today=TODAY)
    return [found[order.pk] for order in orders]


def test_an_order_whose_parts_are_here_is_ready_and_misses_nothing():
    order = make_order_by_hand()
    need(order, make_part(order.conveyor.plant, "6"), "6")

    (mine,) = supply(order)

    assert (mine.ready_on, mine.missing, mine.is_here) == (None, "", True)


def test_an_order_without_parts_has_everything():
    assert supply(make_order_by_hand()) == [NOTHING_WANTED]


def test_an_order_is_ready_when_the_last_of_its_parts_comes():
    order = make_order_by_hand()
    plant = order.conveyor.plant
    roll, blade = make_part(plant, "1"), make_part(plant)
    need(order, roll, "3")
    need(order, blade, "1")
    expect(roll, "2", days=4)
    expect(blade, "1", days=12)

    (mine,) = supply(order)

    assert (mine.ready_on, mine.missing) == (day(12), "")


def test_what_is_neither_here_nor_due_is_named_with_its_amount():
    order = make_order_by_hand()
    belt = make_part(
        order.conveyor.plant, "10.5", number="B-1600", name="belting 1600 mm", unit="m"
    )
    need(order, belt, "13")

    (mine,) = supply(order)

    assert mine.missing == "2.5\N{NO-BREAK SPACE}m of B-1600 (belting 1600 mm)"
    assert mine.ready_on is None


@pytest.mark.parametrize("ended", ["came_at", "called_off_at"])
def test_what_came_or_was_called_off_is_not_due(ended: str):
    order = make_order_by_hand()
    part = make_part(order.conveyor.plant)
    need(order, part, "1")
    expect(part, "1", **{ended: NOW})

    assert supply(order)[0].missing


def test_orders_not_asked_about_take_their_share_when_they_come_first():
    conveyor = make_conveyor()
    soon, later = make_order_by_hand(conveyor), make_order_by_hand(conveyor)
    part = make_part(conveyor.plant, "4")
    need(later, part, "4")
    need(soon, part, "3")
    bring_to(soon, OrderState.SCHEDULED)

    assert supply(later)[0].missing.startswith("3")
    assert supply(soon)[0].is_here


def test_work_in_hand_takes_before_planned_work_and_only_what_it_still_wants():
    conveyor = make_conveyor()
    planned, in_hand = make_order_by_hand(conveyor), make_order_by_hand(conveyor)
    part = make_part(conveyor.plant, "4")
    bring_to(planned, OrderState.SCHEDULED)
    bring_to(in_hand, OrderState.IN_HAND)
    need(planned, part, "4")
    need(in_hand, part, "3", used="2")

    first, second = supply(in_hand, planned)

    assert first.is_here
    assert second.missing.startswith("1")


@pytest.mark.parametrize("state", [OrderState.CANCELLED, OrderState.DECLINED, OrderState.DONE])
def test_an_order_that_ended_holds_no_part(state: OrderState):
    conveyor = make_conveyor()
    ended, order = make_order_by_hand(conveyor), make_order_by_hand(conveyor)
    part = make_part(conveyor.plant, "4")
    need(ended, part, "4")
    need(order, part, "4")
    bring_to(ended, state)

    assert supply(order)[0].is_here
    assert supply(ended)[0] == NOTHING_WANTED


def test_two_queries_however_many_orders_and_plants(django_assert_num_queries):
    orders = []
    for _plant in range(2):
        conveyor = make_conveyor()
        part = make_part(conveyor.plant, "1")
        for _order in range(3):
            order = make_order_by_hand(conveyor)
            need(order, part, "1")
            orders.append(order)
    rows = list(
        WorkOrder.objects.select_related("conveyor__plant").filter(pk__in=[o.pk for o in orders])
    )

    with django_assert_num_queries(2):
        found = part_supply.supply_on_list(rows, NOW)

    assert [bool(found[order.pk].missing) for order in orders] == [False, True, True] * 2


def test_a_day_is_that_of_the_plant():
    order = make_order_by_hand()
    part = make_part(order.conveyor.plant)
    need(order, part, "1")
    expect(part, "1", days=0)
    # Four hours west of it, it is still the second there.
    late = NOW.replace(hour=23) + timedelta(hours=3)

    found = part_supply.supply_on_list([order], late)

    assert found[order.pk].ready_on == TODAY
