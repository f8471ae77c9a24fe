"""Every state, every target, every role, on the page that moves an order; nothing is left out."""

from datetime import timedelta
from http import HTTPStatus

import pytest
from django.db import transaction
from django.test import Client
from django.utils import timezone

from plant.models import Plant
from plant.roles import ROLE_PERMISSIONS, Role
from tests.workorders import factories
from tests.workorders.pages import address, client_of
from tests.workorders.test_order_states import LEGAL
from workorders import duties
from workorders.models import WorkOrder
from workorders.order_states import Duty, OrderState, duty_of
from workorders.services import moving

pytestmark = pytest.mark.django_db

# By hand: which roles have which duty.
HAS = {
    Role.CLERK: set(),
    Role.TECHNICIAN: {"do", "prove"},
    Role.PLANNER: {"plan", "do"},
    Role.LEAD: {"plan", "do", "prove"},
    Role.ADMINISTRATOR: {"plan", "do", "prove"},
}


@pytest.fixture
def clients(plant: Plant) -> dict[Role, Client]:
    return {role: client_of(role, plant) for role in Role}


def expected_status(old: OrderState, new: OrderState, role: Role) -> HTTPStatus:
    """Refused for want of a duty, for being no legal move, or made."""
    duty, _why = LEGAL.get((old.value, new.value), (duty_of(old, new).value, False))
    if duty not in HAS[role]:
        return HTTPStatus.FORBIDDEN
    # Only a passed proof run proves.
    if (old.value, new.value) not in LEGAL or new is OrderState.PROVED:
        return HTTPStatus.CONFLICT
    return HTTPStatus.FOUND


def post(client: Client, order: WorkOrder, new: OrderState) -> HTTPStatus:
    sent = {
        "to_state": new.value,
        "version": order.version,
        "why": "as agreed",
        "planned_for": "2031-07-01T08:00",
    }
    return HTTPStatus(client.post(address("order-move", order), sent).status_code)


@pytest.mark.parametrize("old", OrderState)
def test_exactly_the_legal_moves_of_ones_duty_are_made_on_the_page(
    plant: Plant, clients: dict[Role, Client], old: OrderState
) -> None:
    order = factories.make_order_by_hand(factories.make_conveyor(plant), now=timezone.now())
    factories.bring_to(order, old, now=timezone.now())
    for new in OrderState:
        for role, client in clients.items():
            with transaction.atomic():
                status = post(client, order, new)
                stands = WorkOrder.objects.get(pk=order.pk)
                transaction.set_rollback(True)

            assert status == expected_status(old, new, role), (old, new, role)
            assert stands.state == (new if status == HTTPStatus.FOUND else old)
            assert (stands.version > order.version) is (status == HTTPStatus.FOUND)


@pytest.mark.parametrize("old", OrderState)
def test_the_order_page_offers_exactly_the_moves_that_are_then_made(
    plant: Plant, clients: dict[Role, Client], old: OrderState
) -> None:
    order = factories.make_order_by_hand(factories.make_conveyor(plant))
    factories.bring_to(order, old)
    for role, client in clients.items():
        offered = {
            move["to_state"] for move in client.get(address("order", order)).context["moves"]
        }

        statuses = {new.value: expected_status(old, new, role) for new in OrderState}
        made = {new for new, status in statuses.items() if status == HTTPStatus.FOUND}
        assert offered == made, role


BY_HAND = [pair for pair in LEGAL if pair[1] != OrderState.PROVED]


@pytest.mark.parametrize("pair", BY_HAND, ids=" to ".join)
def test_a_move_that_wants_a_reason_is_refused_without_one_and_no_other(
    plant: Plant, pair: tuple[str, str]
) -> None:
    old, new = OrderState(pair[0]), OrderState(pair[1])
    order = factories.make_order_by_hand(factories.make_conveyor(plant))
    factories.bring_to(order, old)
    at = factories.NOW + timedelta(days=1)
    planned_for = at + timedelta(days=1) if new is OrderState.SCHEDULED else None

    def move() -> str:
        try:
            moving.move_order(
                order_id=order.pk, to_state=new, by=None, now=at, planned_for=planned_for
            )
        except moving.MoveNeedsReason as refusal:
            return refusal.code
        return "made"

    assert move() == ("move_needs_reason" if LEGAL[pair][1] else "made")


def test_the_table_of_duties_here_is_that_of_the_roles() -> None:
    for role, has in HAS.items():
        permitted = ROLE_PERMISSIONS[role]
        assert {duty.value for duty in Duty if duties.PERMISSIONS[duty] in permitted} == has
