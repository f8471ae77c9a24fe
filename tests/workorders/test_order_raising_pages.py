"""Raising an order by hand and again, on pages."""

from http import HTTPStatus

import pytest
from django.test import Client
from django.urls import reverse

from plant.models import Plant
from plant.roles import Role
from tests.plant import factories as register
from tests.workorders import factories
from tests.workorders.pages import address, client_of
from workorders.models import WorkOrder
from workorders.order_states import OrderState

pytestmark = pytest.mark.django_db


def test_an_order_is_raised_by_hand(planner: Client, order: WorkOrder) -> None:
    posted = {"conveyor": order.conveyor.pk, "title": "Renew the skirt rubber", "component": "R3"}

    response = planner.post(reverse("order-new"), posted)

    raised = WorkOrder.objects.get(title="Renew the skirt rubber")
    assert response["Location"] == address("order", raised)
    assert (raised.case, raised.position_m) == (None, 111.0)


@pytest.mark.parametrize(
    ("given", "field", "status"),
    [
        ({"title": ""}, "title", 400),
        ({"component": "R33"}, "component", 409),
        ({"position_m": "9999"}, "position_m", 409),
        ({"position_m": "nan"}, "position_m", 400),
        ({"urgency": "stop_now"}, "urgency_why", 409),
        ({"urgency": "yesterday"}, "urgency", 400),
        ({"conveyor": ""}, "conveyor", 400),
        ({"conveyor": "x"}, "conveyor", 400),
    ],
)
def test_an_order_by_hand_that_is_wrong_is_refused_at_its_field_and_kept(
    planner: Client, order: WorkOrder, given: dict[str, str], field: str, status: int
) -> None:
    posted = {
        "conveyor": order.conveyor.pk,
        "title": "Renew the skirt rubber",
        "steps": "loosen the clamps",
        **given,
    }

    response = planner.post(reverse("order-new"), posted)

    assert response.status_code == status
    assert field in response.context["form"].errors
    assert "loosen the clamps" in response.content.decode()
    assert WorkOrder.objects.count() == 1


def test_a_conveyor_of_another_plant_gets_no_order(planner: Client) -> None:
    theirs = register.make_conveyor()

    response = planner.post(reverse("order-new"), {"conveyor": theirs.pk, "title": "Look"})

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert not WorkOrder.objects.exists()


def test_a_clerk_raises_no_order(plant: Plant) -> None:
    assert client_of(Role.CLERK, plant).get(reverse("order-new")).status_code == 403


def test_work_is_raised_again_from_the_case(planner: Client, order: WorkOrder) -> None:
    factories.bring_to(order, OrderState.DECLINED)

    response = planner.post(reverse("order-raise-again", args=[order.hypothesis_id]))

    raised = WorkOrder.objects.open().get()
    assert response["Location"] == address("order", raised)


def test_work_of_another_plant_is_not_raised_again(order: WorkOrder) -> None:
    elsewhere = client_of(Role.PLANNER, register.make_plant())

    response = elsewhere.post(reverse("order-raise-again", args=[order.hypothesis_id]))

    assert response.status_code == HTTPStatus.NOT_FOUND
