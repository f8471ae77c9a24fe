"""Open orders on the drawing of a conveyor's loop."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from plant.roles import Role
from tests.plant.factories import make_complete_conveyor, make_person, make_plant
from workorders.models import WorkOrder

pytestmark = pytest.mark.django_db


def order_due(days: int | None) -> WorkOrder:
    conveyor = make_complete_conveyor(make_plant())
    today = timezone.localdate(timezone.now(), conveyor.plant.zone_info)
    return WorkOrder.objects.create(
        conveyor=conveyor,
        number="LT-W-0907",
        title="Renew a roll",
        position_m=20.0,
        due_on=None if days is None else today + timedelta(days=days),
        raised_at=timezone.now(),
    )


def drawn(order: WorkOrder) -> str:
    plant = order.conveyor.plant
    client = Client()
    client.force_login(make_person(Role.PLANNER, plants=[plant]))
    html = client.get(reverse("conveyor-drawing", args=[plant.code, order.conveyor.tag])).text
    return html.split('class="loop wide"')[1].split("</svg>")[0]


@pytest.mark.parametrize("days", [-3, 0, 30])
def test_work_that_is_due_soon_or_overdue_has_a_mark_of_its_own_with_its_day(days: int):
    order = order_due(days)
    figure = drawn(order)

    assert "pinned-due" in figure
    assert f"LT-W-0907, due {order.due_on.isoformat()}" in figure
    assert reverse("order", args=[order.number]) in figure


@pytest.mark.parametrize("days", [None, 31])
def test_work_for_later_or_without_a_day_is_marked_as_work(days: int | None):
    figure = drawn(order_due(days))

    assert "pinned-work" in figure
    assert "pinned-due" not in figure
