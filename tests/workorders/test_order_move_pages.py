"""Moving an order and proving it on pages; refusals keep what was typed."""

from http import HTTPStatus

import pytest
from django.test import Client
from django.utils import timezone

from plant.models import Plant
from plant.roles import Role
from tests.workorders import factories
from tests.workorders.pages import address, client_of
from workorders.models import WorkOrder
from workorders.order_states import OrderState
from workorders.services import moving

pytestmark = pytest.mark.django_db


def test_a_planner_approves_with_one_press(planner: Client, order: WorkOrder) -> None:
    posted = {"to_state": "approved", "version": order.version}

    response = planner.post(address("order-move", order), posted)

    assert response["Location"] == address("order", order)
    order.refresh_from_db()
    assert order.state == OrderState.APPROVED
    assert order.moves.last().by.groups.get().name == Role.PLANNER


@pytest.mark.parametrize(
    ("role", "to_state"), [(Role.TECHNICIAN, "approved"), (Role.CLERK, "cancelled")]
)
def test_a_move_that_is_not_ones_duty_is_refused(
    plant: Plant, order: WorkOrder, role: Role, to_state: str
) -> None:
    posted = {"to_state": to_state, "version": order.version, "why": "because"}

    response = client_of(role, plant).post(address("order-move", order), posted)

    assert response.status_code == HTTPStatus.FORBIDDEN
    order.refresh_from_db()
    assert order.state == OrderState.PROPOSED


@pytest.mark.parametrize("to_state", ["", "mended", "proposed;drop"])
def test_an_unknown_state_is_not_there(planner: Client, order: WorkOrder, to_state: str) -> None:
    response = planner.post(address("order-move", order), {"to_state": to_state})

    assert response.status_code == HTTPStatus.NOT_FOUND


def test_declining_asks_for_the_reason_first(planner: Client, order: WorkOrder) -> None:
    asked = planner.get(address("order-move", order), {"to_state": "declined"})
    refused = planner.post(
        address("order-move", order), {"to_state": "declined", "version": order.version}
    )

    assert 'name="why"' in asked.content.decode()
    assert refused.status_code == HTTPStatus.BAD_REQUEST
    order.refresh_from_db()
    assert order.state == OrderState.PROPOSED


def test_the_slower_planner_sees_the_present_state_and_keeps_what_was_typed(
    planner: Client, order: WorkOrder
) -> None:
    moving.move_order(order_id=order.pk, to_state=OrderState.APPROVED, by=None, now=timezone.now())
    posted = {"to_state": "cancelled", "version": order.version, "why": "no rolls in the store"}

    response = planner.post(address("order-move", order), posted)

    text = response.content.decode()
    assert response.status_code == HTTPStatus.CONFLICT
    assert "it is approved now" in text
    assert "no rolls in the store" in text
    assert f'name="version" value="{order.version + 1}"' in text


def test_a_slower_move_that_became_impossible_leads_back_to_the_order(
    planner: Client, order: WorkOrder
) -> None:
    posted = {"to_state": "approved", "version": order.version}
    planner.post(address("order-move", order), posted)

    response = planner.post(address("order-move", order), posted)

    assert response.status_code == HTTPStatus.CONFLICT
    assert "See the order as it is now" in response.content.decode()


def test_times_are_typed_and_shown_in_the_plants_zone(planner: Client, order: WorkOrder) -> None:
    factories.bring_to(order, OrderState.APPROVED)
    posted = {
        "to_state": "scheduled",
        "version": order.version,
        "planned_for": "2031-07-01T08:00",
    }

    planner.post(address("order-move", order), posted)

    order.refresh_from_db()
    assert order.planned_for.isoformat() == "2031-07-01T11:00:00+00:00"
    shown = planner.get(address("order", order)).content.decode().replace("\u00a0", " ")
    assert "2031-07-01 08:00 ADT" in shown


@pytest.mark.parametrize("typed", ["", "soon", "2031-13-01T08:00", "1999-01-01T08:00"])
def test_a_wrong_time_is_refused_and_kept(planner: Client, order: WorkOrder, typed: str) -> None:
    factories.bring_to(order, OrderState.APPROVED)
    posted = {"to_state": "scheduled", "version": order.version, "planned_for": typed}

    response = planner.post(address("order-move", order), posted)

    assert response.status_code in {HTTPStatus.BAD_REQUEST, HTTPStatus.CONFLICT}
    assert typed in response.content.decode()
    order.refresh_from_db()
    assert order.state == OrderState.APPROVED


def test_reporting_done_names_the_steps_that_are_not_ticked(
    technician: Client, order: WorkOrder
) -> None:
    factories.bring_to(order, OrderState.IN_HAND)
    technician.post(address("order-step", order, 1))

    page = technician.get(address("order-move", order), {"to_state": "done"})

    assert page.context["unticked"] == [
        step.what for step in order.steps.exclude(place=1).order_by("place")
    ]


def test_a_proof_run_is_recorded_on_its_page(lead: Client, order: WorkOrder) -> None:
    factories.bring_to(order, OrderState.DONE)
    page = lead.get(address("order-proof", order))
    posted = {
        "outcome": "passed",
        "note": "runs true at R9",
        "cautions_read": "on",
        "revolutions_empty": 3,
        "revolutions_loaded": 3,
        "version": order.version,
    }

    lead.post(address("order-proof", order), posted)

    # 210.5 m of belt at 2.5 m/s.
    assert "One turn takes 84 s here" in page.content.decode()
    order.refresh_from_db()
    assert order.state == OrderState.PROVED


@pytest.mark.parametrize(
    ("outcome", "empty", "loaded", "field"),
    [
        ("passed", 2, 3, "revolutions_empty"),
        ("passed", 3, "", "revolutions_loaded"),
        ("passed", -1, 3, "revolutions_empty"),
        ("failed", 0, 0, "note"),
        ("", 3, 3, "outcome"),
    ],
)
def test_a_proof_run_that_proves_nothing_is_refused_at_its_field(
    lead: Client, order: WorkOrder, outcome: str, empty: object, loaded: object, field: str
) -> None:
    factories.bring_to(order, OrderState.DONE)
    posted = {
        "outcome": outcome,
        "cautions_read": "on",
        "revolutions_empty": empty,
        "revolutions_loaded": loaded,
        "version": order.version,
    }

    response = lead.post(address("order-proof", order), posted)

    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert field in response.context["form"].errors


def test_a_planner_records_no_proof_run(planner: Client, order: WorkOrder) -> None:
    factories.bring_to(order, OrderState.DONE)

    assert planner.get(address("order-proof", order)).status_code == HTTPStatus.FORBIDDEN
