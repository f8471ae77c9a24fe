"""Moves on the outage sheet: by a form, as drawn by hand, off, pinned, undone; and refusals."""

from datetime import timedelta
from http import HTTPStatus
from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from plant.models import Plant
from plant.roles import Role
from tests.workorders.factories import make_conveyor, make_person
from tests.workorders.pages import address, client_of
from tests.workorders.sheet_rows import make_approved, make_coming, make_crew, place_in
from workorders.models import Crew, OutageWindow, WorkOrder
from workorders.order_states import OrderState
from workorders.planning.outages.minutes import minute_of
from workorders.services import moving, placing

pytestmark = pytest.mark.django_db


@pytest.fixture
def order(plant: Plant) -> WorkOrder:
    return make_approved(make_conveyor(plant, tag="Q30"))


@pytest.fixture
def window(order: WorkOrder) -> OutageWindow:
    return make_coming(order.conveyor)


@pytest.fixture
def crew(plant: Plant) -> Crew:
    return make_crew(plant)


def _drawn(
    order: WorkOrder, window: OutageWindow | None, crew: Crew, **more: Any
) -> dict[str, Any]:
    """As the script sends it: two hours from the beginning of the window, unless told otherwise."""
    begins = more.pop("begins", window.starts_at if window else None)
    starts = minute_of(begins)
    return {
        "version": order.version,
        "window": window.pk if window else "",
        "crew": crew.pk,
        "starts": starts,
        "ends": starts + more.pop("minutes", 120),
        **more,
    }


def _draw(client: Client, order: WorkOrder, *where: Any, **more: Any) -> HttpResponse:
    order.refresh_from_db()
    return client.post(address("order-place-drawn", order), _drawn(order, *where, **more))


def _place(order: WorkOrder, window: OutageWindow, crew: Crew, hours: float = 2) -> WorkOrder:
    place = place_in(window, crew, hours)
    return placing.place_order(order_id=order.pk, place=place, by=None, now=timezone.now())


def test_work_put_down_stands_there(
    planner: Client, order: WorkOrder, window: OutageWindow, crew: Crew
):
    answer = _draw(planner, order, window, crew)

    order.refresh_from_db()
    assert answer.status_code == HTTPStatus.OK
    assert (order.state, order.window, order.crew) == ("scheduled", window, crew)
    assert order.planned_for == window.starts_at
    assert order.planned_until == window.starts_at + timedelta(hours=2)
    assert answer.json()["version"] == order.version
    assert "07:00 to 09:00 with Day crew" in answer.json()["words"].replace(
        "\N{NO-BREAK SPACE}", " "
    )


def test_a_place_that_clashes_is_asked_about_and_kept_when_meant(
    planner: Client, order: WorkOrder, window: OutageWindow, crew: Crew
):
    late = window.ends_at - timedelta(minutes=80)

    answer = _draw(planner, order, window, crew, begins=late)

    order.refresh_from_db()
    assert answer.status_code == HTTPStatus.CONFLICT
    (clash,) = answer.json()["clashes"]
    assert clash.startswith(f"{order.number}: ends 40")
    assert order.state == "approved"

    answer = _draw(planner, order, window, crew, begins=late, all_the_same="1")

    order.refresh_from_db()
    assert (answer.status_code, order.planned_for) == (HTTPStatus.OK, late)


def test_a_move_that_makes_no_new_clash_is_not_asked_about(
    planner: Client, order: WorkOrder, window: OutageWindow, crew: Crew
):
    WorkOrder.objects.filter(pk=order.pk).update(waiting_for="parts", waiting_why="rolls")
    _place(order, window, crew)

    answer = _draw(planner, order, window, crew, begins=window.starts_at + timedelta(hours=1))

    assert answer.status_code == HTTPStatus.OK


def test_a_move_that_breaks_anothers_place_says_whose(
    planner: Client, order: WorkOrder, window: OutageWindow, crew: Crew
):
    other = _place(make_approved(order.conveyor), window, crew)
    WorkOrder.objects.filter(pk__in=[order.pk, other.pk]).update(people=2)

    answer = _draw(planner, order, window, crew)

    told = answer.json()["clashes"]
    assert [words.split(":")[0] for words in told] == [order.number, other.number]


def test_what_stands_against_a_place_is_told_while_it_is_carried(
    planner: Client, order: WorkOrder, window: OutageWindow, crew: Crew
):
    far = {"begins": window.ends_at - timedelta(minutes=80)}

    free = planner.post(address("order-place-weighed", order), _drawn(order, window, crew))
    held = planner.post(address("order-place-weighed", order), _drawn(order, window, crew, **far))
    century = _drawn(order, window, crew, minutes=52_600_000)
    endless = planner.post(address("order-place-weighed", order), century)

    order.refresh_from_db()
    assert free.json() == {"clashes": []}
    assert endless.json()["clashes"][0].startswith("At most 92 days at one place.")
    assert held.json()["clashes"] == ["ends 40\N{NO-BREAK SPACE}min after the window"]
    assert order.state == "approved"


def test_whoever_is_second_is_told_who_moved_it_and_nothing_is_overwritten(
    planner: Client, plant: Plant, order: WorkOrder, window: OutageWindow, crew: Crew
):
    seen = order.version
    first = make_person(Role.PLANNER, plant)
    first.first_name, first.last_name = "Ana", "Reyes"
    first.save()
    place = place_in(window, crew)
    placing.place_order(order_id=order.pk, place=place, by=first, now=timezone.now())
    order.refresh_from_db()
    posted = {**_drawn(order, window, crew, minutes=60), "version": seen}

    answer = planner.post(address("order-place-drawn", order), posted)

    order.refresh_from_db()
    assert answer.status_code == HTTPStatus.CONFLICT
    assert answer.json()["code"] == "order_changed_meanwhile"
    assert str(first) in answer.json()["refusal"]
    assert order.planned_until == place.ends_at


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("crew", "0"),
        ("crew", "x"),
        ("window", "99999999"),
        ("starts", "soon"),
        ("starts", "-1"),
        ("ends", "99999999999999999999"),
        ("version", ""),
    ],
)
def test_a_place_that_cannot_be_read_is_refused_by_field(
    planner: Client, order: WorkOrder, window: OutageWindow, crew: Crew, field: str, typed: str
):
    posted = {**_drawn(order, window, crew), field: typed}

    answer = planner.post(address("order-place-drawn", order), posted)
    asked = planner.post(address("order-place-weighed", order), posted)

    assert (answer.status_code, asked.status_code) == (HTTPStatus.BAD_REQUEST,) * 2
    assert list(answer.json()["fields"]) == [field]


def test_places_that_cannot_be_are_refused_in_words(
    planner: Client, order: WorkOrder, window: OutageWindow, crew: Crew
):
    past = _draw(planner, order, None, crew, begins=timezone.now() - timedelta(days=1))
    backward = _draw(planner, order, window, crew, minutes=0)

    assert (past.status_code, backward.status_code) == (HTTPStatus.CONFLICT,) * 2
    assert "past" in past.json()["refusal"]
    assert "end after it begins" in backward.json()["refusal"]


def test_windows_and_crews_of_another_plant_are_unknown(planner: Client, order: WorkOrder):
    elsewhere = make_conveyor()
    far, strangers = make_coming(elsewhere), make_crew(elsewhere.plant)

    answer = _draw(planner, order, far, strangers)

    assert answer.status_code == HTTPStatus.BAD_REQUEST
    assert set(answer.json()["fields"]) == {"window", "crew"}


def test_only_planners_move_work(
    technician: Client, order: WorkOrder, window: OutageWindow, crew: Crew
):
    for name in ("order-place", "order-place-drawn", "order-take-off", "order-pin"):
        answer = technician.post(address(name, order), _drawn(order, window, crew))

        assert answer.status_code == HTTPStatus.FORBIDDEN, name
    assert technician.post(reverse("outage-sheet-undo")).status_code == HTTPStatus.FORBIDDEN


def test_another_plants_order_is_not_there(order: WorkOrder, window: OutageWindow, crew: Crew):
    stranger = client_of(Role.PLANNER, make_conveyor().plant)

    for name in ("order-place", "order-place-drawn", "order-take-off", "order-pin"):
        answer = stranger.post(address(name, order), _drawn(order, window, crew))

        assert answer.status_code == HTTPStatus.NOT_FOUND, name


def test_the_form_offers_the_next_outage_of_the_belt_and_keeps_a_place(
    planner: Client, order: WorkOrder, window: OutageWindow, crew: Crew
):
    make_coming(make_conveyor(order.conveyor.plant))
    page = planner.get(address("order-place", order))
    form = page.context["form"]
    assert [one.pk for one in form.fields["window"].queryset] == [window.pk]
    assert form.initial["window"] == window.pk
    local = window.starts_at.astimezone(order.conveyor.plant.zone_info)
    posted = {
        "version": order.version,
        "window": window.pk,
        "crew": crew.pk,
        "starts_at": f"{local:%Y-%m-%dT%H:%M}",
        "ends_at": "",
    }

    answer = planner.post(address("order-place", order), posted)

    order.refresh_from_db()
    assert answer.status_code == HTTPStatus.FOUND
    assert answer["Location"].startswith(reverse("outage-sheet"))
    assert order.planned_for == window.starts_at
    # Nobody said how long it takes: an hour.
    assert order.planned_until == window.starts_at + timedelta(hours=1)


def test_the_form_asks_before_it_keeps_a_clash(
    planner: Client, order: WorkOrder, window: OutageWindow, crew: Crew
):
    late = (window.ends_at - timedelta(minutes=20)).astimezone(order.conveyor.plant.zone_info)
    posted = {
        "version": order.version,
        "window": window.pk,
        "crew": crew.pk,
        "starts_at": f"{late:%Y-%m-%dT%H:%M}",
    }

    asked = planner.post(address("order-place", order), posted)

    order.refresh_from_db()
    assert asked.status_code == HTTPStatus.CONFLICT
    assert "after the window" in asked.content.decode()
    assert "Put it there all the same" in asked.content.decode()
    assert order.state == "approved"

    planner.post(address("order-place", order), {**posted, "all_the_same": "1"})

    order.refresh_from_db()
    assert order.state == "scheduled"


@pytest.mark.parametrize(
    ("field", "typed"),
    [("starts_at", "Friday"), ("starts_at", "9999-12-31T23:59"), ("ends_at", "x"), ("crew", "")],
)
def test_wrong_words_in_the_form_are_refused_at_their_field(
    planner: Client, order: WorkOrder, crew: Crew, field: str, typed: str
):
    posted = {
        "version": order.version,
        "crew": crew.pk,
        "starts_at": "2030-01-02T08:00",
        "ends_at": "2030-01-02T09:00",
        field: typed,
    }

    answer = planner.post(address("order-place", order), posted)

    assert answer.status_code == HTTPStatus.BAD_REQUEST
    assert list(answer.context["form"].errors) == [field]


def test_an_order_in_hand_is_not_moved(
    planner: Client, order: WorkOrder, window: OutageWindow, crew: Crew
):
    _place(order, window, crew)
    moving.move_order(order_id=order.pk, to_state=OrderState.IN_HAND, by=None, now=timezone.now())

    assert _draw(planner, order, window, crew, minutes=60).status_code == HTTPStatus.CONFLICT
    assert (
        "is in hand; only approved" in planner.get(address("order-place", order)).content.decode()
    )


def test_work_is_taken_off_and_pinned_by_its_buttons(
    planner: Client, order: WorkOrder, window: OutageWindow, crew: Crew
):
    order = _place(order, window, crew)

    planner.post(address("order-pin", order), {"version": order.version, "pinned": "1"})

    order.refresh_from_db()
    assert order.is_pinned
    stale = planner.post(
        address("order-take-off", order),
        {"version": order.version - 1},
        headers={"Accept": "application/json"},
    )
    assert stale.status_code == HTTPStatus.CONFLICT

    planner.post(address("order-take-off", order), {"version": order.version})

    order.refresh_from_db()
    assert (order.state, order.crew, order.is_pinned) == ("approved", None, False)


def test_moves_are_undone_one_after_the_other(
    planner: Client, order: WorkOrder, window: OutageWindow, crew: Crew
):
    _draw(planner, order, window, crew)
    later = window.starts_at + timedelta(hours=3)
    _draw(planner, order, window, crew, begins=later)
    order.refresh_from_db()
    planner.post(address("order-pin", order), {"version": order.version, "pinned": "1"})

    planner.post(reverse("outage-sheet-undo"))

    order.refresh_from_db()
    assert order.planned_for == window.starts_at

    planner.post(reverse("outage-sheet-undo"))

    order.refresh_from_db()
    assert (order.state, order.planned_for) == ("approved", None)
    empty = planner.post(reverse("outage-sheet-undo"), headers={"Accept": "application/json"})
    assert empty.status_code == HTTPStatus.CONFLICT


def test_what_was_taken_off_is_put_back(
    planner: Client, order: WorkOrder, window: OutageWindow, crew: Crew
):
    order = _place(order, window, crew)
    planner.post(address("order-take-off", order), {"version": order.version})

    answer = planner.post(reverse("outage-sheet-undo"))

    order.refresh_from_db()
    assert answer.status_code == HTTPStatus.FOUND
    assert (order.state, order.window, order.crew) == ("scheduled", window, crew)


def test_undoing_does_not_overwrite_what_somebody_did_since(
    planner: Client, plant: Plant, order: WorkOrder, window: OutageWindow, crew: Crew
):
    _draw(planner, order, window, crew)
    colleague = client_of(Role.PLANNER, plant)
    later = window.starts_at + timedelta(hours=3)
    _draw(colleague, order, window, crew, begins=later)

    answer = planner.post(reverse("outage-sheet-undo"), headers={"Accept": "application/json"})

    order.refresh_from_db()
    assert answer.json()["code"] == "order_changed_meanwhile"
    assert order.planned_for == later
