"""The page of one order: for each role, for strangers, with its steps and notes."""

from datetime import timedelta
from http import HTTPStatus

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from plant.models import Plant
from plant.roles import Role
from tests.plant import factories as register
from tests.workorders import factories
from tests.workorders.pages import address, client_of
from workorders.models import WorkOrder
from workorders.order_states import OrderState

pytestmark = pytest.mark.django_db


PAGES = [
    "order",
    "order-waiting",
    "order-urgency",
    "order-planned-for",
    "order-edit",
    "order-proof",
]


POSTS = ["order-move", "order-goes-on", "order-note", *PAGES[1:]]


@pytest.mark.parametrize("name", PAGES)
def test_a_stranger_is_sent_to_sign_in(order: WorkOrder, name: str) -> None:
    response = Client().get(address(name, order))

    assert response.status_code == HTTPStatus.FOUND
    assert response["Location"].startswith(reverse("sign-in"))


@pytest.mark.parametrize("name", PAGES)
def test_an_order_of_another_plant_is_not_there(order: WorkOrder, name: str) -> None:
    elsewhere = client_of(Role.ADMINISTRATOR, register.make_plant())

    assert elsewhere.get(address(name, order)).status_code == HTTPStatus.NOT_FOUND


@pytest.mark.parametrize("name", POSTS)
def test_an_order_of_another_plant_takes_no_change(order: WorkOrder, name: str) -> None:
    elsewhere = client_of(Role.ADMINISTRATOR, register.make_plant())
    posted = {"to_state": "approved", "version": order.version, "words": "x"}

    assert elsewhere.post(address(name, order), posted).status_code == HTTPStatus.NOT_FOUND


@pytest.mark.parametrize("role", Role)
def test_every_role_reads_list_and_order(plant: Plant, order: WorkOrder, role: Role) -> None:
    client = client_of(role, plant)

    assert order.number in client.get(reverse("work")).content.decode()
    page = client.get(address("order", order))
    assert page.status_code == HTTPStatus.OK
    assert order.cautions[0] in page.content.decode().replace("&#x27;", "'")


def test_cautions_come_before_everything_else_on_the_order(
    technician: Client, order: WorkOrder
) -> None:
    text = technician.get(address("order", order)).content.decode()

    assert 0 < text.index('class="caution"') < text.index('class="facts"')


@pytest.mark.parametrize(
    ("role", "state", "moves"),
    [
        (Role.CLERK, "proposed", set()),
        (Role.TECHNICIAN, "proposed", set()),
        (Role.PLANNER, "proposed", {"approved", "declined", "cancelled"}),
        (Role.TECHNICIAN, "approved", {"in_hand"}),
        (Role.PLANNER, "approved", {"scheduled", "in_hand", "proposed", "cancelled"}),
        (Role.TECHNICIAN, "in_hand", {"done"}),
        (Role.LEAD, "done", {"in_hand"}),
        (Role.LEAD, "proved", set()),
    ],
)
def test_exactly_the_moves_a_person_may_make_are_offered(
    plant: Plant, order: WorkOrder, role: Role, state: str, moves: set[str]
) -> None:
    factories.bring_to(order, OrderState(state))

    page = client_of(role, plant).get(address("order", order))

    assert {move["to_state"] for move in page.context["moves"]} == moves


def test_steps_are_ticked_and_unticked_on_the_page(technician: Client, order: WorkOrder) -> None:
    factories.bring_to(order, OrderState.IN_HAND)

    technician.post(address("order-step", order, 1))
    assert order.steps.get(place=1).done_at
    technician.post(address("order-step", order, 1), {"not_done": "1"})

    assert order.steps.get(place=1).done_at is None


@pytest.mark.parametrize("place", [999, 10**12, 10**30])
def test_a_step_that_is_not_there_is_not_ticked(
    technician: Client, order: WorkOrder, place: int
) -> None:
    factories.bring_to(order, OrderState.IN_HAND)

    response = technician.post(address("order-step", order, place))

    assert response.status_code == HTTPStatus.NOT_FOUND


def test_a_step_of_an_order_not_in_hand_is_refused_in_words(
    technician: Client, order: WorkOrder
) -> None:
    response = technician.post(address("order-step", order, 1))

    assert response.status_code == HTTPStatus.CONFLICT
    assert "Take it in hand" in response.content.decode()


def test_a_clerk_changes_nothing(plant: Plant, order: WorkOrder) -> None:
    clerk = client_of(Role.CLERK, plant)

    for name in POSTS:
        posted = {"to_state": "approved", "version": order.version, "words": "x"}
        assert clerk.post(address(name, order), posted).status_code == HTTPStatus.FORBIDDEN


def test_a_note_is_left(technician: Client, order: WorkOrder) -> None:
    technician.post(address("order-note", order), {"words": "two shims used"})

    assert "two shims used" in technician.get(address("order", order)).content.decode()


def test_a_note_that_is_empty_or_too_long_is_refused(technician: Client, order: WorkOrder) -> None:
    for words in ("", " ", "x" * 2001):
        response = technician.post(address("order-note", order), {"words": words})
        assert response.status_code == HTTPStatus.BAD_REQUEST

    assert not order.notes.exists()


def test_words_people_type_stay_words(technician: Client, order: WorkOrder) -> None:
    technician.post(address("order-note", order), {"words": "<script>alert(1)</script>"})

    text = technician.get(address("order", order)).content.decode()

    assert "<script>alert" not in text
    assert "&lt;script&gt;alert" in text


def test_the_order_page_takes_the_same_queries_however_long_its_log_is(
    planner: Client, order: WorkOrder, django_assert_num_queries
) -> None:
    def leave_notes(how_many: int) -> None:
        for minute in range(how_many):
            order.notes.create(words="seen", at=timezone.now() + timedelta(minutes=minute))

    leave_notes(1)
    # The first page of a process reads what is kept from then on.
    planner.get(address("order", order))
    with CaptureQueriesContext(connection) as with_one:
        planner.get(address("order", order))
    leave_notes(20)

    with django_assert_num_queries(len(with_one)):
        planner.get(address("order", order))


@pytest.mark.parametrize("number", ["LT-W-9999", "lt-w-0001", "LT-C-0001", "LT-W-0001'"])
def test_an_unknown_number_is_not_there(planner: Client, order: WorkOrder, number: str) -> None:
    assert planner.get(f"/work/{number}/").status_code == HTTPStatus.NOT_FOUND
