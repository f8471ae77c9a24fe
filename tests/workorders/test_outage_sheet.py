"""The outage sheet as people read it: bands, bars, loads, clashes, and what has no place."""

import re
from datetime import timedelta
from http import HTTPStatus

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from plant.models import Conveyor, Plant
from plant.roles import Role
from tests.plant import factories as register
from tests.workorders.factories import make_conveyor
from tests.workorders.pages import client_of
from tests.workorders.sheet_rows import (
    make_approved,
    make_coming,
    make_crew,
    place_in,
)
from workorders.models import CrewAbsence, WorkOrder
from workorders.services import placing

pytestmark = pytest.mark.django_db


@pytest.fixture
def conveyor(plant: Plant) -> Conveyor:
    return make_conveyor(plant, tag="Q30")


def _sheet(client: Client, **asked: str) -> str:
    response = client.get(reverse("outage-sheet"), asked)
    assert response.status_code == HTTPStatus.OK
    return response.content.decode()


def _words(page: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page)).replace("\N{NO-BREAK SPACE}", " ")


def _place(order: WorkOrder, window, crew, hours: float = 2) -> WorkOrder:
    return placing.place_order(
        order_id=order.pk, place=place_in(window, crew, hours), by=None, now=timezone.now()
    )


def test_an_empty_sheet_says_what_to_do_first(planner: Client):
    words = _words(_sheet(planner))

    assert "There is no crew yet." in words
    assert "No approved order waits for a place." in words


def test_a_person_without_a_plant_is_told_so():
    assert "No plant is yours yet" in _sheet(client_of(Role.PLANNER))


def test_work_stands_in_its_window_with_its_crews_load(planner: Client, conveyor: Conveyor):
    window, crew = make_coming(conveyor), make_crew(conveyor.plant)
    order = _place(make_approved(conveyor), window, crew)

    page = _sheet(planner)

    words = _words(page)
    assert f'id="job-{order.number}"' in page
    assert "stands still: Q30" in words
    # Three people for the eight hours of the window.
    assert "2 of 24 h" in words
    assert "every order has its window" in words


def test_clashes_stand_on_top_with_a_way_to_the_work(planner: Client, conveyor: Conveyor):
    window, crew = make_coming(conveyor), make_crew(conveyor.plant)
    order = _place(make_approved(conveyor), window, crew, hours=8 + 40 / 60)

    page = _sheet(planner)

    assert f'href="#job-{order.number}"' in page
    assert "ends 40 min after the window" in _words(page)


def test_who_is_away_and_windows_that_moved_or_were_called_off_are_told(
    planner: Client, conveyor: Conveyor
):
    crew = make_crew(conveyor.plant)
    moved = make_coming(conveyor, name="Long stop")
    moved.first_starts_at -= timedelta(days=1)
    moved.save()
    CrewAbsence.objects.create(
        crew=crew,
        starts_at=moved.starts_at,
        ends_at=moved.ends_at,
        people=2,
        said_at=timezone.now(),
    )
    off = make_coming(conveyor, days=3, name="Short stop")
    order = _place(make_approved(conveyor), off, crew)
    off.called_off_at, off.called_off_why = timezone.now(), "the ship is late"
    off.save()

    words = _words(_sheet(planner))

    assert "moved, was to begin" in words
    assert "2 away" in words
    assert "called off : the ship is late" in words or "called off: the ship is late" in words
    assert f"{order.number} Q30 its window Short stop is called off" in words


def test_orders_without_a_place_wait_below_and_are_filtered(planner: Client, conveyor: Conveyor):
    here = make_approved(conveyor)
    other = make_approved(make_conveyor(conveyor.plant, tag="Q31"))

    assert {here.number, other.number} <= set(_words(_sheet(planner)).split())
    filtered = _words(_sheet(planner, belt="q31"))
    assert other.number in filtered
    assert here.number not in filtered
    assert "Clear one of them" in _sheet(planner, urgency="stop_now")


def test_what_holds_an_order_is_said_before_it_is_placed(planner: Client, conveyor: Conveyor):
    make_approved(conveyor)

    assert "no window of Q30 in this stretch" in _words(_sheet(planner))


def test_work_beside_a_running_belt_stands_on_its_day(planner: Client, conveyor: Conveyor):
    order = make_approved(conveyor)
    WorkOrder.objects.filter(pk=order.pk).update(needs_isolation=False)
    crew = make_crew(conveyor.plant)
    starts_at = make_coming(conveyor).starts_at
    place = placing.Place(crew, None, starts_at, starts_at + timedelta(hours=2))
    placing.place_order(order_id=order.pk, place=place, by=None, now=timezone.now())

    page = _sheet(planner)

    assert f'id="job-{order.number}"' in page
    assert "every order has its window" in _words(page)


def test_the_stretch_is_chosen_and_a_wrong_day_is_named(planner: Client, conveyor: Conveyor):
    make_coming(conveyor, name="Long stop")
    make_crew(conveyor.plant)

    assert "Long stop" in _sheet(planner)
    assert "Long stop" not in _sheet(planner, first="2030-01-01")
    response = planner.get(reverse("outage-sheet"), {"first": "Friday"})
    assert response.status_code == HTTPStatus.BAD_REQUEST
    assert "From" in response.content.decode()


@pytest.mark.parametrize("first", ["0001-01-01", "9999-12-31", "2026-02-30", "\x00"])
def test_days_that_are_none_break_nothing(planner: Client, conveyor: Conveyor, first: str):
    response = planner.get(reverse("outage-sheet"), {"first": first, "days": "x", "urgency": "y"})

    assert response.status_code == HTTPStatus.BAD_REQUEST


def test_another_plants_sheet_is_not_there(planner: Client):
    other = register.make_plant()

    response = planner.get(reverse("outage-sheet"), {"plant": other.code})

    assert response.status_code == HTTPStatus.NOT_FOUND


def test_who_may_not_plan_reads_and_carries_nothing(technician: Client, conveyor: Conveyor):
    order = _place(make_approved(conveyor), make_coming(conveyor), make_crew(conveyor.plant))

    page = _sheet(technician)

    assert f'id="job-{order.number}"' in page
    assert "data-job" not in page
    assert "sheet.js" not in page


def test_a_sheet_asks_as_much_of_the_database_however_full_it_is(
    planner: Client, conveyor: Conveyor, django_assert_max_num_queries
):
    crew = make_crew(conveyor.plant)
    for number in range(3):
        window = make_coming(conveyor, days=number + 1)
        _place(make_approved(conveyor), window, crew)
        make_approved(make_conveyor(conveyor.plant, tag=f"R{number}"))

    with django_assert_max_num_queries(22):
        _sheet(planner)


def test_an_orders_own_page_leads_to_its_place(
    planner: Client, technician: Client, conveyor: Conveyor
):
    order = make_approved(conveyor)
    way = reverse("order-place", args=[order.number])

    assert way in planner.get(reverse("order", args=[order.number])).content.decode()
    page = technician.get(reverse("order", args=[order.number])).content.decode()
    assert way not in page
    assert f"{reverse('outage-sheet')}?plant={conveyor.plant.code}" in page
