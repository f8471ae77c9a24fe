"""Two hands in one store, over two connections of their own."""

from decimal import Decimal

import pytest

from plant.services.register_refusals import StaleForm
from tests.plant.test_register_races import at_once
from tests.workorders.factories import NOW, bring_to, make_conveyor, make_order_by_hand, make_plant
from tests.workorders.part_rows import make_part, need
from workorders.models import OrderPart, Part
from workorders.order_states import OrderState
from workorders.services import keeping_parts, order_parts
from workorders.services.keeping_parts import PartNumberTaken
from workorders.services.part_stock import NotSoManyHere

pytestmark = pytest.mark.django_db(transaction=True)


def use(line: OrderPart, amount: int, version: int | None = None) -> OrderPart:
    return order_parts.use_part(
        line_id=line.pk, amount=Decimal(amount), version=version, by=None, now=NOW
    )


def test_of_two_orders_that_take_the_last_rolls_one_is_refused():
    conveyor = make_conveyor()
    part = make_part(conveyor.plant, "5")
    lines = [
        need(bring_to(make_order_by_hand(conveyor), OrderState.IN_HAND), part, "3")
        for _order in range(2)
    ]

    results = at_once(lambda: use(lines[0], 3), lambda: use(lines[1], 3))

    assert len([one for one in results if isinstance(one, NotSoManyHere)]) == 1
    part.refresh_from_db()
    assert part.on_hand == 2
    assert part.movements.get().on_hand_after == 2


def test_bookings_at_once_on_one_part_all_count():
    conveyor = make_conveyor()
    part = make_part(conveyor.plant, "10")
    lines = [
        need(bring_to(make_order_by_hand(conveyor), OrderState.IN_HAND), part, "3")
        for _order in range(3)
    ]

    at_once(*(lambda line=line: use(line, 2) for line in lines))

    part.refresh_from_db()
    assert part.on_hand == 4
    assert sorted(one.on_hand_after for one in part.movements.all()) == [4, 6, 8]


def test_one_press_that_arrives_twice_books_once():
    conveyor = make_conveyor()
    part = make_part(conveyor.plant, "10")
    line = need(bring_to(make_order_by_hand(conveyor), OrderState.IN_HAND), part, "3")

    results = at_once(*[lambda: use(line, 2, version=line.version)] * 2)

    assert len([one for one in results if isinstance(one, StaleForm)]) == 1
    part.refresh_from_db()
    assert part.on_hand == 8


def test_of_two_parts_with_one_number_added_at_once_one_is_refused():
    plant = make_plant()

    def add(number: str) -> Part:
        values = {"number": number, "name": "roll", "kind": "roll", "unit": "pcs"}
        return keeping_parts.add_part(
            plant_id=plant.pk, values=values, on_hand=Decimal(0), by=None, now=NOW
        )

    results = at_once(lambda: add("R-1"), lambda: add("r-1"))

    assert len([one for one in results if isinstance(one, PartNumberTaken)]) == 1
    assert plant.parts.count() == 1
