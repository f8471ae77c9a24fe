"""Saying on pages what an order waits for, and beginning all the same."""

from http import HTTPStatus

import pytest
from django.test import Client

from plant.models import Plant
from plant.roles import Role
from tests.workorders import factories
from tests.workorders.pages import address, client_of
from tests.workorders.test_linking import link, make_orders
from workorders.models import WorkOrder
from workorders.order_states import OrderState

pytestmark = pytest.mark.django_db


@pytest.fixture
def pair(plant: Plant) -> tuple[WorkOrder, WorkOrder]:
    first, second = make_orders(plant, 2)
    return first, second


def test_a_planner_chooses_among_the_work_of_the_conveyor(
    planner: Client, pair: tuple[WorkOrder, WorkOrder]
) -> None:
    first, second = pair
    other = factories.make_order_by_hand(factories.make_conveyor(first.conveyor.plant))

    page = planner.get(address("order-link", second))
    offered = set(page.context["form"].fields["after"].queryset)
    answer = planner.post(
        address("order-link", second), {"after": first.pk, "version": second.version}
    )

    assert offered == {first}
    assert other.number not in page.content.decode()
    assert answer["Location"] == address("order", second)
    shown = planner.get(address("order", second)).content.decode()
    assert "not done yet" in shown
    assert second.number in planner.get(address("order", first)).content.decode()


def test_work_of_another_conveyor_goes_by_its_number(
    planner: Client, pair: tuple[WorkOrder, WorkOrder]
) -> None:
    _first, second = pair
    other = factories.make_order_by_hand(factories.make_conveyor(second.conveyor.plant))

    planner.post(
        address("order-link", second),
        {"number": f" {other.number.lower()} ", "version": second.version},
    )

    assert second.waits_for.get().after == other


@pytest.mark.parametrize("typed", ["", "LT-W-9999", "nonsense", "itself", "elsewhere"])
def test_a_number_that_leads_nowhere_is_refused_at_its_field(
    planner: Client, pair: tuple[WorkOrder, WorkOrder], typed: str
) -> None:
    _first, second = pair
    number = {
        "itself": second.number,
        "elsewhere": factories.make_order_by_hand().number,
    }.get(typed, typed)

    answer = planner.post(
        address("order-link", second), {"number": number, "version": second.version}
    )

    assert answer.status_code == HTTPStatus.BAD_REQUEST
    assert {"number", "after"} & set(answer.context["form"].errors)
    assert not second.waits_for.exists()


def test_a_circle_is_refused_in_words_and_what_was_chosen_is_kept(
    planner: Client, pair: tuple[WorkOrder, WorkOrder]
) -> None:
    first, second = pair
    link(second, first)

    answer = planner.post(
        address("order-link", first), {"after": second.pk, "version": first.version}
    )

    assert answer.status_code == HTTPStatus.CONFLICT
    assert "none of them could ever begin" in answer.content.decode()
    assert f'value="{second.pk}" selected' in answer.content.decode()


def test_unlinking_asks_for_the_order_as_it_was_seen(
    planner: Client, pair: tuple[WorkOrder, WorkOrder]
) -> None:
    first, second = pair
    link(second, first)
    second.refresh_from_db()
    where = address("order-unlink", second)

    stale = planner.post(where, {"after": first.number, "version": 1})
    unknown = planner.post(where, {"after": "LT-W-9999", "version": second.version})
    answer = planner.post(where, {"after": first.number, "version": second.version})

    assert stale.status_code == HTTPStatus.CONFLICT
    assert unknown.status_code == HTTPStatus.NOT_FOUND
    assert answer["Location"] == address("order", second)
    assert not second.waits_for.exists()


@pytest.mark.parametrize("role", [Role.CLERK, Role.TECHNICIAN])
def test_links_are_the_planners(
    plant: Plant, pair: tuple[WorkOrder, WorkOrder], role: Role
) -> None:
    first, second = pair
    client = client_of(role, plant)

    answers = [
        client.post(address("order-link", second), {"after": first.pk, "version": 1}),
        client.post(address("order-unlink", second), {"after": first.number, "version": 1}),
    ]

    assert {answer.status_code for answer in answers} == {HTTPStatus.FORBIDDEN}


def test_who_begins_before_earlier_work_is_done_is_asked_and_may(
    technician: Client, pair: tuple[WorkOrder, WorkOrder]
) -> None:
    first, second = pair
    link(second, first)
    factories.bring_to(second, OrderState.APPROVED)
    posted = {"to_state": "in_hand", "version": second.version}
    order_page = technician.get(address("order", second)).content.decode()

    pressed = technician.post(address("order-move", second), posted)
    asked = technician.get(address("order-move", second), {"to_state": "in_hand"})

    # The button leads to the page that asks.
    assert f"{address('order-move', second)}?to_state=in_hand" in order_page
    assert pressed.status_code == HTTPStatus.CONFLICT
    for page in (pressed, asked):
        assert "Other work should be done first" in page.content.decode()
        assert first.number in page.content.decode()
    technician.post(address("order-move", second), {**posted, "begins_early": "yes"})
    second.refresh_from_db()
    assert second.state == OrderState.IN_HAND
