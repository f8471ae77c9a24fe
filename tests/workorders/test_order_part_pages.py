"""Parts on the page of an order, and of a component."""

import pytest
from django.test import Client
from django.urls import reverse

from tests.plant import roll_rows
from tests.workorders.factories import bring_to, make_order_by_hand
from tests.workorders.pages import address
from tests.workorders.part_rows import make_part, need
from workorders.models import PartUse, WorkOrder
from workorders.order_states import OrderState

pytestmark = pytest.mark.django_db


def page_of(client: Client, order: WorkOrder) -> str:
    return client.get(address("order", order)).content.decode()


def test_a_part_is_looked_for_put_on_the_order_booked_and_put_back(
    technician: Client, order: WorkOrder
):
    part = make_part(order.conveyor.plant, "5", number="R-159", name="return roll")
    new = address("order-part-new", order)
    assert "R-159" in technician.get(new, {"find": "return rolls"}).content.decode()

    technician.post(f"{new}?find=r-159", {"part": part.pk, "amount": "3"})

    line = order.order_parts.get()
    assert "All it still wants is here" in page_of(technician, order)
    bring_to(order, OrderState.IN_HAND)
    technician.post(
        address("order-part-use", order, line.pk), {"amount": "2", "version": line.version}
    )
    part.refresh_from_db()
    assert part.on_hand == 3
    assert "2\N{NO-BREAK SPACE}pcs used" in page_of(technician, order)
    line.refresh_from_db()
    technician.post(
        address("order-part-put-back", order, line.pk), {"amount": "1", "version": line.version}
    )
    part.refresh_from_db()
    assert part.on_hand == 4


def test_more_than_there_are_is_refused_with_how_many_there_are(
    technician: Client, order: WorkOrder
):
    line = need(order, make_part(order.conveyor.plant, "3"), "6")
    bring_to(order, OrderState.IN_HAND)

    response = technician.post(
        address("order-part-use", order, line.pk), {"amount": "5", "version": line.version}
    )

    assert response.status_code == 409
    assert "only 3\N{NO-BREAK SPACE}pcs are here" in response.content.decode()


def test_a_button_pressed_twice_books_once(technician: Client, order: WorkOrder):
    line = need(order, make_part(order.conveyor.plant, "9"), "6")
    bring_to(order, OrderState.IN_HAND)
    posted = {"amount": "2", "version": line.version}
    technician.post(address("order-part-use", order, line.pk), posted)

    again = technician.post(address("order-part-use", order, line.pk), posted)

    assert again.status_code == 409
    line.part.refresh_from_db()
    assert line.part.on_hand == 7


@pytest.mark.parametrize("amount", ["", "-1", "0", "1.234", "1e9", "two", "NaN"])
def test_no_amount_that_is_none_is_booked(technician: Client, order: WorkOrder, amount: str):
    line = need(order, make_part(order.conveyor.plant, "9"), "6")
    bring_to(order, OrderState.IN_HAND)

    response = technician.post(
        address("order-part-use", order, line.pk), {"amount": amount, "version": line.version}
    )

    assert response.status_code == 400
    line.part.refresh_from_db()
    assert line.part.on_hand == 9


def test_words_of_the_orders_list_are_offered_until_a_part_answers_to_them(
    planner: Client, order: WorkOrder
):
    order.parts = ["hanger bolts", "grease"]
    order.save()
    bolt = make_part(order.conveyor.plant, "40", number="HB-12", name="Hanger bolt M12")
    make_part(order.conveyor.plant, "2", number="X-1", name="crane hook")
    asked = f"{address('order-part-new', order)}?find=hanger%20bolts"
    assert asked in page_of(planner, order)
    likely = planner.get(address("order-part-new", order)).content.decode()
    assert "HB-12" in likely
    assert "X-1" not in likely

    need(order, bolt, "4")

    page = page_of(planner, order)
    assert asked not in page
    assert "find=grease" in page


def test_parts_that_fit_the_place_of_the_order_are_likely(planner: Client, order: WorkOrder):
    order.component, order.parts = "Head pulley", []
    order.save()
    lagging = make_part(order.conveyor.plant, number="LG-1", name="rubber")
    PartUse.objects.create(part=lagging, on="head_pulley")
    belt = make_part(order.conveyor.plant, number="BT-1", name="belting")
    PartUse.objects.create(part=belt, on="belt", by="metre")

    page = planner.get(address("order-part-new", order)).content.decode()

    assert "LG-1" in page
    assert "BT-1" not in page


def test_the_amount_is_changed_and_nothing_takes_the_part_off(planner: Client, order: WorkOrder):
    line = need(order, make_part(order.conveyor.plant), "6")
    change = address("order-part-amount", order, line.pk)
    assert "Short of 6" in page_of(planner, order)

    planner.post(change, {"amount": "4", "version": line.version})
    assert "Short of 4" in page_of(planner, order)
    line.refresh_from_db()
    planner.post(change, {"amount": "0", "version": line.version})

    assert not order.order_parts.exists()
    assert planner.post(change, {"amount": "1", "version": 3}).status_code == 404


def test_done_work_books_a_part_that_nobody_had_planned(technician: Client, order: WorkOrder):
    part = make_part(order.conveyor.plant, "5", number="R-159")
    bring_to(order, OrderState.DONE)

    technician.post(
        f"{address('order-part-new', order)}?find=R-159", {"part": part.pk, "amount": "1"}
    )

    assert order.order_parts.get().used == 1


def test_a_line_of_another_order_is_not_there(planner: Client, order: WorkOrder):
    part = make_part(order.conveyor.plant, "5")
    line = need(make_order_by_hand(order.conveyor), part, "1")

    assert planner.get(address("order-part-use", order, line.pk)).status_code == 404


def test_a_component_says_which_parts_fit_and_what_is_here(planner: Client, order: WorkOrder):
    conveyor = order.conveyor
    component = conveyor.components.get(name="C")
    roll = make_part(conveyor.plant, "12", number="R-159")
    PartUse.objects.create(part=roll, on="troughing_idlers", by="roll", belt_width_mm=1000)
    wide = make_part(conveyor.plant, "12", number="R-999")
    PartUse.objects.create(part=wide, on="troughing_idlers", by="roll", belt_width_mm=1600)
    make_part(conveyor.plant, "3", number="OLD-5", known_as=["159 mm, bearings 6305"])
    roll_rows.change(conveyor, "5", fitted="159 mm, bearings 6305")

    page = planner.get(
        reverse("component", args=[conveyor.plant.code, conveyor.tag, component.pk])
    ).content.decode()

    assert "Parts that fit" in page
    assert "R-159" in page
    assert f"{component.count * 3}\N{NO-BREAK SPACE}pcs" in page
    assert "R-999" not in page
    assert "fitted here before, by its roll changes" in page


def test_a_part_tells_when_its_rolls_were_changed_last(planner: Client, order: WorkOrder):
    conveyor = order.conveyor
    roll = make_part(conveyor.plant, number="R-159", known_as=["159 mm"])
    PartUse.objects.create(part=roll, on="troughing_idlers", by="roll")
    roll_rows.change(conveyor, "5", fitted="159 mm, bearings 6306")

    page = planner.get(reverse("part", args=[roll.pk])).content.decode()

    assert f"last {roll_rows.TODAY.isoformat()}" in page
    assert "1 roll change names it" in page


def test_part_of_a_number_is_not_the_number(planner: Client, order: WorkOrder):
    roll = make_part(order.conveyor.plant, number="R-1", known_as=["133 mm"])
    bearing = make_part(
        order.conveyor.plant, number="B-1", kind="bearing", known_as=["bearings 6306"]
    )
    roll_rows.change(order.conveyor, "5", fitted="1133 mm, bearings 6306")

    for part in (roll, bearing):
        page = planner.get(reverse("part", args=[part.pk])).content.decode()
        assert "names it" not in page
