"""How fresh the repeat offenders are: owed, being reckoned, stopped, refused, reckoned anew."""

from datetime import timedelta
from http import HTTPStatus

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from diagnostics.models import FaultReckoning
from diagnostics.services import fault_reckoning
from plant.models import Plant
from plant.roles import Role
from tests.diagnostics import fault_rows
from tests.diagnostics.reckoned_rows import make_faults, make_reckoning
from tests.plant import factories as register
from tests.plant.factories import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> Plant:
    return register.make_plant(code="LT", time_zone="America/Halifax")


@pytest.fixture
def lead(plant: Plant) -> Client:
    return signed_in(register.make_person(Role.LEAD, plants=[plant]))


def read(client: Client, **query: str) -> str:
    response = client.get(reverse("repeat-offenders"), query)
    assert response.status_code == HTTPStatus.OK
    return response.content.decode()


def standing(plant: Plant, **fields: object) -> FaultReckoning:
    """Reckoned just now, of the days that a page asked today asks for."""
    today = timezone.now().astimezone(plant.zone_info).date()
    now = timezone.now()
    usual = {"last_on": today, "reckoned_at": now, "looked_at": now}
    return make_reckoning(plant, **{**usual, **fields})


def post(client: Client, name: str, one: FaultReckoning, back: str = "") -> str:
    response = client.post(reverse(f"repeat-offenders-{name}", args=[one.pk]), {"back": back})
    assert response.status_code == HTTPStatus.FOUND
    one.refresh_from_db()
    return str(response["Location"])


def test_the_first_look_owes_a_reckoning_and_shows_it_once_it_is_there(plant: Plant, lead: Client):
    belt = register.make_conveyor(plant, tag="Q30")
    fault_rows.make_cases(belt, [3, 40, 90], lost_hours=2)

    page = read(lead)

    assert "Nothing is reckoned yet for this choice." in page
    assert "Take this table away" not in page
    [owed] = FaultReckoning.objects.all()
    assert f'hx-get="{reverse("repeat-offenders-progress", args=[owed.pk])}' in page

    assert fault_reckoning.do_owed() == 1
    page = read(lead)

    assert "Reckoned today" in page
    assert "nothing has changed since" in page
    assert "6\N{NO-BREAK SPACE}h" in page
    assert "hx-get" not in page.partition('id="reckoning"')[2]


def test_the_part_that_moves_asks_for_the_page_once_it_is_done(plant: Plant, lead: Client):
    one = standing(plant, owed_at=timezone.now(), progress=0.4)
    address = reverse("repeat-offenders-progress", args=[one.pk])

    moving = lead.get(address, {"by": "trend"})

    assert "HX-Refresh" not in moving
    assert '<progress value="40" max="100"' in moving.content.decode()
    # Without scripts the link looks again at what was chosen.
    assert f'href="{reverse("repeat-offenders")}?by=trend"' in moving.content.decode()

    fault_reckoning.do_owed()

    assert lead.get(address)["HX-Refresh"] == "true"


def test_what_stands_is_shown_while_it_is_reckoned_again(plant: Plant, lead: Client):
    one = standing(plant)
    make_faults(one, register.make_conveyor(plant, tag="Q30"))

    back = post(lead, "again", one, "by=cases&plant=LT")
    page = read(lead)

    assert back == f"{reverse('repeat-offenders')}?by=cases&plant=LT"
    assert one.owed_at is not None
    assert "it is being reckoned again" in page
    assert "Q30" in page


def test_a_stop_leaves_what_stands(plant: Plant, lead: Client):
    one = standing(plant, owed_at=timezone.now())
    make_faults(one, register.make_conveyor(plant, tag="Q30"))

    post(lead, "stop", one)
    page = read(lead)

    assert one.owed_at is None
    assert "It was stopped. What stood before stands." in page
    assert "Q30" in page
    assert "Reckon again" in page


def test_one_that_was_stopped_before_it_was_ever_there_can_be_asked_for(plant: Plant, lead: Client):
    read(lead)
    [one] = FaultReckoning.objects.all()

    post(lead, "stop", one)
    page = read(lead)

    assert "Nothing is reckoned for this choice." in page
    assert "Reckon it" in page


def test_a_worker_that_fell_silent_is_told_of(plant: Plant, lead: Client):
    gone = timezone.now() - timedelta(minutes=4)
    standing(plant, owed_at=gone, worked_at=gone)

    assert "has not been heard of" in read(lead)


def test_a_refusal_stands_in_words(plant: Plant, lead: Client):
    standing(plant, refusal="begun_too_often")

    page = read(lead)

    assert "It was begun three times and never ended." in page
    assert 'role="alert"' in page


def test_cases_since_are_counted(plant: Plant, lead: Client):
    one = standing(plant, reckoned_at=timezone.now() - timedelta(days=1))
    belt = register.make_conveyor(plant, tag="Q30")
    make_faults(one, belt)
    fault_rows.make_cases(belt, [0.1, 0.2])

    page = read(lead)

    assert "Reckoned yesterday" in page
    assert "2 cases new or changed since" in page


def test_two_days_and_a_family_are_a_reckoning_of_their_own(plant: Plant, lead: Client):
    standing(plant)

    days = {"since": "2026-01-01", "until": "2026-06-30"}
    page = read(lead, family="loading", per="running hours", **days)

    made = FaultReckoning.objects.get(family="loading")
    assert (made.span, made.basis) == ("", "running hours")
    assert (made.first_on.isoformat(), made.last_on.isoformat()) == ("2026-01-01", "2026-06-30")
    # The next choice keeps the days.
    assert '<input type="hidden" name="since" value="2026-01-01">' in page


@pytest.mark.parametrize("role", [Role.CLERK, Role.TECHNICIAN])
def test_who_only_reads_neither_stops_nor_asks_again(plant: Plant, role: Role):
    one = standing(plant)
    reader = signed_in(register.make_person(role, plants=[plant]))

    assert "Reckon again" not in read(reader)
    for name in ("again", "stop"):
        address = reverse(f"repeat-offenders-{name}", args=[one.pk])
        assert reader.post(address).status_code == HTTPStatus.FORBIDDEN
        assert reader.get(address).status_code == HTTPStatus.METHOD_NOT_ALLOWED


@pytest.mark.parametrize("back", ["//elsewhere.example/", "\r\nX: y", "a=" + "b" * 5000, "%00"])
def test_the_way_back_leads_nowhere_else(plant: Plant, lead: Client, back: str):
    location = post(lead, "again", standing(plant), back)

    assert location.startswith(f"{reverse('repeat-offenders')}?")
    assert len(location) < 4000
    assert "\n" not in location
