"""Pages of shifts: from the order, from the conveyor, undoing, and what other pages show."""

from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from plant.models import Plant
from plant.roles import Role
from tests.workorders import factories, shifted
from tests.workorders.factories import NOW
from tests.workorders.pages import address, client_of
from workorders.models import ShiftMade, WorkOrder
from workorders.order_states import OrderState
from workorders.services import proving

pytestmark = pytest.mark.django_db
SPACE = "\N{NO-BREAK SPACE}"


def of_conveyor(name: str, order: WorkOrder, *more: object) -> str:
    return reverse(name, args=[order.conveyor.plant.code, order.conveyor.tag, *more])


def typed(**fields: object) -> dict[str, object]:
    usual = {
        "stations": "R3-R4",
        "moved": "hanger",
        "end": "left",
        "way": "with_travel",
        "moved_mm": "2",
        "made_at": "2026-11-02T10:00",
        "made_by": "Ana Frost",
        "together": "8f7b7bb4-5d4f-4c76-9a1e-0d3f9c1c2a11",
    }
    return {**usual, **fields}


def failed(order: WorkOrder) -> None:
    proving.record_proof_run(order_id=order.pk, passed=False, by=None, now=NOW, note="still off")


def test_the_form_begins_with_what_the_order_asks_for(technician: Client, order: WorkOrder) -> None:
    factories.bring_to(order, OrderState.IN_HAND)

    form = technician.get(address("order-shift-new", order)).context["form"]

    asked = {name: form.initial[name] for name in ("stations", "moved_mm", "moved", "end", "way")}
    assert asked == {
        "stations": "R9 to R12",
        "moved_mm": 2.0,
        "moved": "hanger",
        "end": "left",
        "way": "with_travel",
    }


def test_a_shift_typed_on_an_order_stands_on_it(technician: Client, order: WorkOrder) -> None:
    factories.bring_to(order, OrderState.IN_HAND)

    answer = technician.post(address("order-shift-new", order), typed())

    assert answer.status_code == 302
    # Typed in the plant's zone: Halifax is four hours behind.
    assert {(one.station, one.made_at.hour) for one in order.shifts_made.all()} == {
        ("R3", 14),
        ("R4", 14),
    }
    page = technician.get(address("order", order)).content.decode()
    assert f"2{SPACE}mm with belt travel" in page


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"stations": "Z7"}, "stations"),
        ({"moved_mm": "0"}, "moved_mm"),
        ({"moved_mm": "501"}, "moved_mm"),
        ({"moved_mm": "nan"}, "moved_mm"),
        ({"moved_mm": "2 mm"}, "moved_mm"),
        ({"moved": "belt"}, "moved"),
        ({"end": ""}, "end"),
        ({"way": "to_left"}, "way"),
        ({"made_at": "2031-01-01T10:00"}, "made_at"),
        ({"together": "x"}, "together"),
    ],
)
def test_what_was_typed_wrongly_is_said_at_its_field_and_kept(
    technician: Client, order: WorkOrder, fields: dict[str, str], field: str
) -> None:
    answer = technician.post(of_conveyor("shift-new", order), typed(**fields))

    assert answer.status_code in {400, 409}
    assert field in answer.context["form"].errors
    assert b"Ana Frost" in answer.content
    assert not ShiftMade.objects.exists()


def test_a_large_shift_is_asked_about_with_a_box_to_tick(
    technician: Client, order: WorkOrder
) -> None:
    far = typed(moved_mm="60")
    answer = technician.post(of_conveyor("shift-new", order), far)
    assert answer.status_code == 400
    assert b'type="checkbox" name="is_sure"' in answer.content

    assert technician.post(of_conveyor("shift-new", order), {**far, "is_sure": "on"}).url
    assert ShiftMade.objects.count() == 2


def test_an_order_that_is_not_in_hand_takes_no_shifts(technician: Client, order: WorkOrder) -> None:
    answer = technician.post(address("order-shift-new", order), typed())

    assert answer.status_code == 409
    assert b"Take it in hand" in answer.content


def test_after_a_failed_proof_run_the_order_offers_to_undo_its_shifts(
    technician: Client, order: WorkOrder
) -> None:
    order = factories.bring_to(order, OrderState.DONE)
    shifted.shift(order.conveyor, "R3, R4", order=order)
    (other,) = shifted.shift(order.conveyor, "R5")
    undo = of_conveyor("shifts-undo", order)
    assert undo not in technician.get(address("order", order)).content.decode().split("<table")[0]

    failed(order)

    page = technician.get(address("order", order)).content.decode()
    assert f"{undo}?order={order.number}" in page
    asked = technician.get(undo, {"order": order.number})
    mine = sorted(order.shifts_made.values_list("pk", flat=True))
    assert sorted(asked.context["form"].initial["shifts"]) == mine
    assert other.pk not in mine


def test_undoing_by_an_order_leads_to_that_order(technician: Client, order: WorkOrder) -> None:
    (made,) = shifted.shift(order.conveyor, "R3")

    answer = technician.post(of_conveyor("shifts-undo", order), {"shifts": made.pk, "how": "order"})

    undoing = WorkOrder.objects.exclude(pk=order.pk).get()
    assert answer.url == address("order", undoing)
    page = technician.get(answer.url).content.decode()
    assert "to be undone" in page
    made.refresh_from_db()
    assert made.undo_order == undoing


def test_undone_on_the_spot_and_not_after_all(technician: Client, order: WorkOrder) -> None:
    (made,) = shifted.shift(order.conveyor, "R3")

    technician.post(of_conveyor("shifts-undo", order), {"shifts": made.pk, "how": "spot"})
    listed = technician.get(of_conveyor("shifts", order), {"all": "on"}).content.decode()
    assert "on the spot" in listed

    technician.post(of_conveyor("shift-not-undone", order, made.pk))
    made.refresh_from_db()
    assert made.undone_at is None


@pytest.mark.parametrize(
    "sent", [{}, {"how": "order"}, {"shifts": "0", "how": "spot"}, {"shifts": "x", "how": "spot"}]
)
def test_undoing_nothing_is_refused(
    technician: Client, order: WorkOrder, sent: dict[str, str]
) -> None:
    shifted.shift(order.conveyor, "R3")

    assert technician.post(of_conveyor("shifts-undo", order), sent).status_code == 400


def test_one_takes_back_what_one_wrote_down_and_a_planner_all(
    plant: Plant, technician: Client, planner: Client, order: WorkOrder
) -> None:
    (others,) = shifted.shift(order.conveyor, "R3")
    technician.post(of_conveyor("shift-new", order), typed(stations="R4"))
    mine = ShiftMade.objects.get(station="R4")

    assert technician.post(of_conveyor("shift-take-back", order, others.pk)).status_code == 403
    assert technician.get(of_conveyor("shift-take-back", order, mine.pk)).status_code == 200
    assert technician.post(of_conveyor("shift-take-back", order, mine.pk)).status_code == 302
    assert planner.post(of_conveyor("shift-take-back", order, others.pk)).status_code == 302
    assert not ShiftMade.objects.standing().exists()

    planner.post(of_conveyor("shift-put-back", order, mine.pk))
    assert ShiftMade.objects.standing().get() == mine


def test_a_clerk_sees_the_shifts_and_writes_none(plant: Plant, order: WorkOrder) -> None:
    (made,) = shifted.shift(order.conveyor, "R3")
    clerk = client_of(Role.CLERK, plant)

    page = clerk.get(of_conveyor("shifts", order)).content.decode()

    assert "R3" in page
    assert of_conveyor("shift-new", order) not in page
    for name, more in (("shift-new", []), ("shifts-undo", []), ("shift-not-undone", [made.pk])):
        assert clerk.post(of_conveyor(name, order, *more)).status_code == 403


def test_conveyor_component_and_case_show_what_was_shifted(
    technician: Client, order: WorkOrder
) -> None:
    order = factories.bring_to(order, OrderState.IN_HAND)
    shifted.shift(order.conveyor, "R3", order=order)
    component = order.conveyor.components.get(name="R")
    assert order.case is not None

    for page in (
        of_conveyor("conveyor", order),
        of_conveyor("component", order, component.pk),
        reverse("case", args=[order.case.number]),
    ):
        shown = technician.get(page).content.decode()
        assert "Shifts made" in shown
        assert f"3{SPACE}mm with belt travel" in shown


def test_the_list_holds_its_queries_however_long_it_is(
    technician: Client, order: WorkOrder, django_assert_max_num_queries: Any
) -> None:
    shifted.shift(order.conveyor, "C1")
    listed = of_conveyor("shifts", order)
    technician.get(listed)
    with CaptureQueriesContext(connection) as few:
        technician.get(listed)

    shifted.shift(order.conveyor, "C2-C12", order=factories.bring_to(order, OrderState.IN_HAND))

    with django_assert_max_num_queries(len(few)):
        technician.get(listed)
