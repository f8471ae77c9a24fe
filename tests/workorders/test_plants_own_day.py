"""Overdue, late and today in lists of work: by the day of each plant."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.test import Client
from django.utils import timezone

from plant.models import Plant
from plant.roles import Role
from tests.plant import factories as register
from tests.workorders import factories
from tests.workorders.due_rows import make_due
from tests.workorders.pages import client_of
from workorders.attention import AttentionKind
from workorders.models import WorkOrder
from workorders.selectors import backlog, due_list
from workorders.selectors.attention import wanting_attention

pytestmark = pytest.mark.django_db

EVENING = datetime(2026, 11, 28, 19, tzinfo=UTC)
EAST, WEST = "Pacific/Kiritimati", "Etc/GMT+12"


def make_order(zone: str, due_on: date) -> WorkOrder:
    conveyor = register.make_complete_conveyor(register.make_plant(time_zone=zone))
    order = factories.make_order(factories.make_accepted_cause(factories.make_case(conveyor)))
    WorkOrder.objects.filter(pk=order.pk).update(due_on=due_on)
    return order


def test_an_order_is_overdue_when_the_day_is_over_at_its_plant():
    over = make_order(EAST, date(2026, 11, 28))
    make_order(WEST, date(2026, 11, 28))
    make_order(EAST, date(2026, 11, 29))
    long_over = make_order(WEST, date(2026, 11, 27))

    found = backlog.overdue(WorkOrder.objects.all(), EVENING)

    assert set(found) == {over, long_over}


def test_the_hand_over_tells_of_it_on_the_same_day_as_the_list():
    order = make_order(EAST, date(2026, 11, 28))

    wanted = wanting_attention(order.conveyor.plant, EVENING)

    assert [one.order for one in wanted[AttentionKind.OVERDUE]] == [order]


def test_a_due_thing_is_late_by_the_day_of_its_own_plant():
    east, west = (
        make_due(
            register.make_complete_conveyor(register.make_plant(time_zone=zone)),
            due_on=date(2026, 11, 29),
        )
        for zone in (EAST, WEST)
    )

    rows = due_list.rows_of([east, west], date(2026, 11, 29), EVENING)

    assert [row.is_late for row in rows] == [True, False]


@pytest.mark.parametrize("zone", [EAST, WEST])
def test_the_api_finds_what_is_overdue_at_the_plant(zone: str):
    # Of the two zones one is always at another day than UTC.
    today = Plant(time_zone=zone).day_of(timezone.now())
    order = make_order(zone, today - timedelta(days=1))
    plant = order.conveyor.plant
    due_today = factories.make_order(
        factories.make_accepted_cause(
            factories.make_case(register.make_complete_conveyor(plant, tag="Q2"))
        )
    )
    WorkOrder.objects.filter(pk=due_today.pk).update(due_on=today)
    secret = factories.make_key(plant)[1]

    def numbers(overdue: str) -> list[str]:
        answer = Client().get(
            "/api/v1/work-orders",
            {"overdue": overdue},
            headers={"Authorization": f"Api-Key {secret}"},
        )
        return [one["number"] for one in answer.json()["results"]]

    assert numbers("yes") == [order.number]
    assert numbers("no") == [due_today.number]


@pytest.mark.parametrize("zone", [EAST, WEST])
def test_the_days_of_the_plan_begin_with_the_plants_today(zone: str):
    plant = register.make_plant(time_zone=zone)

    page = client_of(Role.PLANNER, plant).get("/work/papers/").content.decode()

    assert f'value="{plant.day_of(timezone.now()).isoformat()}"' in page
