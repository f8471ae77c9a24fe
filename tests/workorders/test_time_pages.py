"""Booking time on pages: who may, what is kept of a refused form, corrections asked first."""

from datetime import date
from http import HTTPStatus
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.utils import timezone

from plant.models import Plant, User
from plant.roles import Role
from tests.plant.factories import signed_in
from tests.workorders import factories
from tests.workorders.booked_rows import book
from tests.workorders.pages import address, client_of
from workorders.models import TimeBooking, WorkOrder
from workorders.order_states import OrderState

pytestmark = pytest.mark.django_db


@pytest.fixture
def order(plant: Plant) -> WorkOrder:
    return factories.bring_to(
        factories.make_order_by_hand(factories.make_conveyor(plant)), OrderState.IN_HAND
    )


@pytest.fixture
def hand(plant: Plant) -> User:
    return factories.make_person(Role.TECHNICIAN, plant)


def today() -> date:
    """Where the plant is; in UTC the next day has begun already at night."""
    return timezone.localdate(timezone=ZoneInfo("America/Halifax"))


def posted(**typed: Any) -> dict[str, Any]:
    return {"names": "Ada Crane", "day": f"{today():%Y-%m-%d}", "hours": "1,5", **typed}


def booked(order: WorkOrder, **how: Any) -> TimeBooking:
    (row,) = book(order, now=timezone.now(), day=today(), **how)
    return row


def test_a_technician_books_for_the_gang(order: WorkOrder, hand: User) -> None:
    client = signed_in(hand)

    answer = client.post(
        address("order-time", order), posted(workers=[hand.pk], names="Ada Crane,  Ben Locke ")
    )

    assert answer["Location"] == address("order-time", order)
    names = order.time_bookings.order_by("pk").values_list("worker_name", flat=True)
    assert list(names) == [str(hand), "Ada Crane", "Ben Locke"]
    page = client.get(address("order", order)).content.decode()
    assert "4.50 h" in page


def test_the_form_offers_hands_of_this_plant_alone(order: WorkOrder, hand: User) -> None:
    elsewhere = factories.make_person(Role.TECHNICIAN, factories.make_plant())
    clerk = factories.make_person(Role.CLERK, order.conveyor.plant)

    page = signed_in(hand).get(address("order-time", order))
    offered = set(page.context["form"].fields["workers"].queryset)
    refused = signed_in(hand).post(address("order-time", order), posted(workers=[elsewhere.pk]))

    assert hand in offered
    assert not {elsewhere, clerk} & offered
    assert "workers" in refused.context["form"].errors


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"names": ""}, "workers"),
        ({"hours": ""}, "hours"),
        ({"hours": "NaN"}, "hours"),
        ({"hours": "1e9"}, "hours"),
        ({"hours": "-1"}, "hours"),
        ({"hours": "0"}, "hours"),
        ({"hours": "2", "begins": "07:00", "ends": "08:00"}, "hours"),
        ({"hours": "", "begins": "07:00"}, "ends"),
        ({"hours": "", "ends": "07:00"}, "begins"),
        ({"hours": "", "begins": "25:00", "ends": "07:00"}, "begins"),
        ({"day": "2031-01-01"}, "day"),
        ({"day": "0001-01-01"}, "day"),
        ({"day": "yesterday"}, "day"),
        ({"step": "99999999999999999999"}, "step"),
        ({"names": ",".join(f"Hand {one}" for one in range(21))}, "workers"),
    ],
)
def test_wrong_time_is_refused_at_its_field_and_kept(
    technician: Client, order: WorkOrder, typed: dict[str, str], field: str
) -> None:
    answer = technician.post(address("order-time", order), posted(note="seals", **typed))

    assert answer.status_code in {HTTPStatus.BAD_REQUEST, HTTPStatus.CONFLICT}
    assert field in answer.context["form"].errors
    assert "seals" in answer.content.decode()
    assert not order.time_bookings.exists()


def test_before_work_is_in_hand_the_page_says_when_time_is_booked(
    technician: Client, plant: Plant
) -> None:
    order = factories.make_order_by_hand(factories.make_conveyor(plant))

    page = technician.get(address("order-time", order))
    answer = technician.post(address("order-time", order), posted())

    assert "once work is in hand" in page.content.decode()
    assert answer.status_code == HTTPStatus.CONFLICT


def test_a_clerk_reads_and_books_nothing(plant: Plant, order: WorkOrder) -> None:
    clerk, row = client_of(Role.CLERK, plant), booked(order)

    assert clerk.get(address("order-time", order)).status_code == HTTPStatus.OK
    answers = [
        clerk.post(address("order-time", order), posted()),
        clerk.post(address("order-time-correct", order, row.pk), posted()),
        clerk.post(address("order-time-take-back", order, row.pk)),
    ]
    assert {answer.status_code for answer in answers} == {HTTPStatus.FORBIDDEN}


def test_ones_own_time_is_corrected_by_oneself_others_by_planners(
    planner: Client, order: WorkOrder, hand: User
) -> None:
    own, others = booked(order, by=hand), booked(order)
    typed = posted(worker_name="Ada Crane", hours="3", version=1)
    mine = signed_in(hand)

    assert mine.post(address("order-time-correct", order, own.pk), typed).status_code == 302
    refused = mine.post(address("order-time-correct", order, others.pk), typed)
    assert refused.status_code == HTTPStatus.FORBIDDEN
    assert planner.post(address("order-time-correct", order, others.pk), typed).status_code == 302

    assert set(order.time_bookings.values_list("hours", flat=True)) == {3}


def test_a_stale_correction_shows_what_stands_and_what_was_typed(
    planner: Client, order: WorkOrder
) -> None:
    row = booked(order)
    where = address("order-time-correct", order, row.pk)
    planner.post(where, posted(worker_name="Ada Crane", hours="3", version=1))

    answer = planner.post(where, posted(worker_name="Ada Crane", hours="4", version=1))

    assert answer.status_code == HTTPStatus.CONFLICT
    assert "You typed" in answer.content.decode()
    row.refresh_from_db()
    assert row.hours == 3


def test_taking_back_asks_first_and_is_put_back_again(planner: Client, order: WorkOrder) -> None:
    row = booked(order)
    where = address("order-time-take-back", order, row.pk)

    assert "Take booked time back?" in planner.get(where).content.decode()
    row.refresh_from_db()
    assert row.taken_back_at is None
    planner.post(where)
    row.refresh_from_db()
    assert row.taken_back_at is not None
    planner.post(address("order-time-put-back", order, row.pk))
    row.refresh_from_db()
    assert row.taken_back_at is None


def test_the_list_takes_the_same_queries_however_long_it_is(
    planner: Client, order: WorkOrder, django_assert_max_num_queries: Any
) -> None:
    for number in range(12):
        booked(order, note=f"part {number}")

    with django_assert_max_num_queries(18):
        planner.get(address("order-time", order))
