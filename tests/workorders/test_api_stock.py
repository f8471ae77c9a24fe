"""GET /api/v1/parts, /due and /work-orders/<number>/shifts."""

from http import HTTPStatus
from typing import Any

import pytest
from django.test import Client

from plant.models import Plant
from tests.plant import factories as register
from tests.workorders import factories, part_rows, shifted
from tests.workorders.due_rows import make_due
from workorders.models import DueOrder
from workorders.order_states import OrderState
from workorders.services import moving

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> Plant:
    return register.make_plant(code="LT")


@pytest.fixture
def secret(plant: Plant) -> str:
    return factories.make_key(plant)[1]


def get(secret: str, address: str, **query: Any) -> list[dict[str, Any]]:
    headers = {"Authorization": f"Api-Key {secret}"}
    response = Client().get(f"/api/v1/{address}", query, headers=headers)
    assert response.status_code == HTTPStatus.OK, response.content
    return response.json()["results"]


def test_a_part_tells_what_is_on_hand_reserved_and_due(plant: Plant, secret: str) -> None:
    part = part_rows.make_part(plant, "14", number="R-159", kept_at="Shed 2")
    order = factories.make_order_by_hand(register.make_conveyor(plant))
    part_rows.need(order, part, "6", used="2")
    due = part_rows.expect(part, "20")

    (told,) = get(secret, "parts", number="r-159")

    assert (told["number"], told["on_hand"], told["reserved"]) == ("R-159", 14.0, 4.0)
    assert told["dues"] == [{"amount": 20.0, "due_on": due.due_on.isoformat()}]
    assert (told["kept_at"], told["note"], told["retired_on"]) == ("Shed 2", None, None)
    assert get(secret, "parts", kind="belt") == []


def test_a_due_thing_tells_why_and_the_open_order_for_it(plant: Plant, secret: str) -> None:
    conveyor = register.make_conveyor(plant, tag="Q30")
    item = make_due(conveyor)
    order = factories.make_order_by_hand(conveyor)
    DueOrder.objects.create(
        conveyor=conveyor,
        key=item.key,
        order=order,
        together="5d9f3c1e-7c1b-4a67-9f0e-6a2d1c7b8e90",
        raised_at=factories.NOW,
    )

    (told,) = get(secret, "due", conveyor="q30", what="lagging", due_before="2026-11-03")

    assert (told["what"], told["reason"], told["due_on"]) == ("lagging", "limit_met", "2026-11-02")
    assert told["order"] == order.number
    assert "the limit is" in told["why"]
    assert get(secret, "due", due_before="2026-11-02") == []

    moving.move_order(
        order_id=order.pk,
        to_state=OrderState.CANCELLED,
        by=None,
        now=factories.NOW,
        why="not needed",
    )
    assert get(secret, "due")[0]["order"] is None


def test_shifts_of_an_order_are_told_with_end_way_and_size(plant: Plant, secret: str) -> None:
    conveyor = register.make_complete_conveyor(plant, tag="Q30")
    order = factories.bring_to(factories.make_order_by_hand(conveyor), OrderState.IN_HAND)
    shifted.shift(conveyor, "C3", order=order)
    shifted.shift(conveyor, "C5")

    (told,) = get(secret, f"work-orders/{order.number}/shifts")

    assert (told["station"], told["kind"], told["run"]) == ("C3", "troughing_idlers", "carrying")
    assert (told["moved"], told["end"], told["way"]) == ("frame", "right", "with_travel")
    assert (told["moved_mm"], told["order"], told["undone_at"]) == (3.0, order.number, None)


@pytest.mark.parametrize("address", ["parts", "due"])
def test_lists_take_the_same_few_queries_however_long(
    plant: Plant, secret: str, address: str, django_assert_max_num_queries: Any
) -> None:
    conveyor = register.make_conveyor(plant)
    for number in range(5):
        part_rows.expect(part_rows.make_part(plant, "4"), "2")
        make_due(conveyor, key=f"w:{number}:lagging")

    with django_assert_max_num_queries(6):
        assert len(get(secret, address)) == 5
