"""Waiting, figures and other small changes on pages."""

from http import HTTPStatus

import pytest
from django.test import Client

from tests.workorders import factories
from tests.workorders.pages import address
from workorders.models import WorkOrder
from workorders.order_states import OrderState

pytestmark = pytest.mark.django_db


def test_waiting_is_said_and_ended(planner: Client, order: WorkOrder) -> None:
    posted = {"waiting_for": "parts", "why": "rolls due Thursday", "version": order.version}
    planner.post(address("order-waiting", order), posted)
    order.refresh_from_db()
    assert order.waiting_for == "parts"
    assert "rolls due Thursday" in planner.get(address("order", order)).content.decode()

    planner.post(address("order-goes-on", order), {"version": order.version})

    order.refresh_from_db()
    assert order.waiting_for == ""


@pytest.mark.parametrize(
    ("name", "posted"),
    [
        ("order-waiting", {"waiting_for": "parts", "why": "seals"}),
        ("order-urgency", {"urgency": "watch", "why": "seals"}),
        ("order-edit", {"title": "seals"}),
        ("order-goes-on", {}),
    ],
)
def test_a_stale_change_is_refused_with_409_and_kept(
    planner: Client, order: WorkOrder, name: str, posted: dict[str, str]
) -> None:
    factories.bring_to(order, OrderState.APPROVED)

    response = planner.post(address(name, order), {**posted, "version": 1})

    assert response.status_code == HTTPStatus.CONFLICT
    assert "it is approved now" in response.content.decode()
    assert not posted or "seals" in response.content.decode()


def test_figures_are_put_right(planner: Client, order: WorkOrder) -> None:
    posted = {
        "title": "Square the rolls",
        "hours": "2.5",
        "people": "2",
        "tools": "square\n\n steel tape \n",
        "parts": "",
        "external_number": "88-1",
        "version": order.version,
    }

    planner.post(address("order-edit", order), posted)

    order.refresh_from_db()
    assert (order.title, float(order.hours), order.tools) == (
        "Square the rolls",
        2.5,
        ["square", "steel tape"],
    )


@pytest.mark.parametrize(
    ("field", "typed"),
    [("hours", "-1"), ("hours", "NaN"), ("people", "0"), ("title", ""), ("due_on", "Friday")],
)
def test_wrong_figures_are_refused_at_their_field(
    planner: Client, order: WorkOrder, field: str, typed: str
) -> None:
    posted = {"title": "Square the rolls", "version": order.version, field: typed}

    response = planner.post(address("order-edit", order), posted)

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert field in response.context["form"].errors
