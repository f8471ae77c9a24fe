"""A crew's calendar: its events, and who opens it."""

from datetime import datetime, timedelta
from http import HTTPStatus

import icalendar
import pytest
from django.test import Client
from django.urls import reverse

from plant.models import Plant
from plant.roles import Role
from tests.plant.factories import make_complete_conveyor, make_plant
from tests.workorders import factories
from tests.workorders.pages import client_of
from tests.workorders.sheet_rows import make_approved, make_crew, make_window, place_in
from workorders.models import Crew, OutageWindow, WorkOrder
from workorders.order_states import OrderState
from workorders.selectors import crew_calendar
from workorders.services import crew_calendars, moving, placing

NOW = factories.NOW


@pytest.fixture
def window(plant: Plant) -> OutageWindow:
    conveyor = make_complete_conveyor(plant, tag="Q30", isolation_points=["Isolator Q30-M1"])
    return make_window(conveyor)


@pytest.fixture
def crew(plant: Plant) -> Crew:
    return make_crew(plant)


@pytest.fixture
def placed(window: OutageWindow, crew: Crew) -> WorkOrder:
    order = make_approved(window.conveyors.get())
    return placing.place_order(order_id=order.pk, place=place_in(window, crew), by=None, now=NOW)


def read(crew: Crew, now: datetime = NOW) -> list[icalendar.Event]:
    text = crew_calendar.calendar_of(crew, now, lambda path: f"http://plant.example{path}")
    return list(icalendar.Calendar.from_ical(text).walk("VEVENT"))


@pytest.mark.django_db
class TestEvents:
    def test_a_placed_order_says_what_where_when_and_what_to_beware_of(self, placed, crew):
        (told,) = read(crew)

        assert str(told["summary"]) == "Q30: Square idlers"
        assert told.decoded("dtstart") == placed.planned_for
        assert told.decoded("dtend") == placed.planned_until
        assert str(told["url"]) == f"http://plant.example/work/{placed.number}/"
        description = str(told["description"])
        assert "Isolator Q30-M1" in description
        assert f"! {placed.cautions[0][:100]}" in description
        assert description.endswith(f"/work/{placed.number}/")

    def test_an_order_that_moves_keeps_its_uid_and_its_sequence_rises(self, placed, crew, window):
        (before,) = read(crew)
        later = placing.Place(crew, window, window.starts_at + timedelta(hours=1), window.ends_at)
        placing.place_order(order_id=placed.pk, place=later, by=None, now=NOW)

        (after,) = read(crew)

        assert after["uid"] == before["uid"]
        assert after["sequence"] > before["sequence"]
        assert after.decoded("last-modified") >= before.decoded("last-modified")
        assert after.decoded("dtstart") == window.starts_at + timedelta(hours=1)

    def test_a_cancelled_order_stays_as_cancelled(self, placed, crew):
        (before,) = read(crew)
        moving.move_order(
            order_id=placed.pk, to_state=OrderState.CANCELLED, by=None, now=NOW, why="no rolls"
        )

        (after,) = read(crew)

        assert str(after["status"]) == "CANCELLED"
        assert str(after["summary"]).startswith("Cancelled: ")
        assert after["sequence"] > before["sequence"]

    def test_an_order_taken_off_or_given_to_others_is_gone(self, placed, crew, window, plant):
        others = make_crew(plant, "Night crew")
        placing.place_order(order_id=placed.pk, place=place_in(window, others), by=None, now=NOW)
        assert read(crew) == []
        assert len(read(others)) == 1

        placing.take_off(order_id=placed.pk, by=None, now=NOW)

        assert read(others) == []

    def test_a_window_that_is_called_off_makes_its_jobs_uncertain(self, placed, crew, window):
        (before,) = read(crew)
        window.called_off_at = NOW
        window.version += 1
        window.save()

        (after,) = read(crew)

        assert str(after["status"]) == "TENTATIVE"
        assert str(after["summary"]).startswith("Window called off: ")
        assert after["sequence"] > before["sequence"]

    @pytest.mark.parametrize(
        ("away", "is_told"),
        [(-31, False), (-29, True), (365, True), (367, False)],
    )
    def test_a_month_back_and_a_year_ahead_are_told(self, placed, crew, away, is_told):
        WorkOrder.objects.filter(pk=placed.pk).update(
            planned_for=NOW + timedelta(days=away), planned_until=None, hours=3
        )

        told = read(crew)

        assert len(told) == is_told
        assert all(
            one.decoded("dtend") - one.decoded("dtstart") == timedelta(hours=3) for one in told
        )

    def test_however_many_orders_it_is_one_query(self, placed, crew, django_assert_num_queries):
        for _number in range(3):
            order = make_approved(placed.conveyor)
            place = place_in(placed.window, crew)
            placing.place_order(order_id=order.pk, place=place, by=None, now=NOW)

        with django_assert_num_queries(1):
            assert len(read(crew)) == 4


@pytest.mark.django_db
class TestAddress:
    def make(self, planner: Client, crew: Crew, do: str = "make"):
        crew.refresh_from_db()
        return planner.post(
            reverse("crew-calendar", args=[crew.pk]), {"version": crew.version, "do": do}
        )

    def address(self, answer) -> str:
        assert answer.status_code == HTTPStatus.CREATED, answer.content
        return answer.context["address"].removeprefix("http://testserver")

    def test_whoever_knows_the_address_reads_without_signing_in(self, planner, crew, placed):
        made = self.make(planner, crew)
        assert "no-store" in made["Cache-Control"]
        address = self.address(made)

        answer = Client().get(address)

        assert answer.status_code == HTTPStatus.OK
        assert answer["Content-Type"] == "text/calendar; charset=utf-8"
        assert answer["Referrer-Policy"] == "no-referrer"
        assert "no-store" in answer["Cache-Control"]
        assert b"BEGIN:VCALENDAR" in answer.content
        crew.refresh_from_db()
        assert address not in crew.calendar_key_hash
        # It is shown once and kept nowhere.
        token = address.rpartition("/")[2].removesuffix(".ics")
        assert token not in planner.get(reverse("crew-calendar", args=[crew.pk])).text

    def test_nothing_but_the_address_opens_it(self, planner, crew, plant):
        address = self.address(self.make(planner, crew))
        other = make_crew(make_plant())
        token = address.rpartition("/")[2].removesuffix(".ics")

        for pk, said in (
            (other.pk, token),
            (crew.pk, token[:-1]),
            (crew.pk, token.swapcase()),
            (crew.pk, crew.calendar_key_hash or "x"),
            (crew.pk + 1000, token),
            (10**30, token),
            (other.pk, "x"),
        ):
            answer = Client().get(reverse("crew-feed", args=[pk, said]))

            assert answer.status_code == HTTPStatus.NOT_FOUND
            assert crew.name not in answer.text
            assert plant.name not in answer.text

    def test_a_crew_without_an_address_is_opened_by_nothing(self, crew):
        for token in ("", "-" * 64, crew.calendar_key_hash):
            assert crew_calendar.crew_of_address(crew.pk, token) is None

    def test_a_replaced_or_withdrawn_address_opens_nothing(self, planner, crew):
        first = self.address(self.make(planner, crew))
        second = self.address(self.make(planner, crew, "replace"))
        assert Client().get(first).status_code == HTTPStatus.NOT_FOUND
        assert Client().get(second).status_code == HTTPStatus.OK

        assert self.make(planner, crew, "withdraw").status_code == HTTPStatus.FOUND

        assert Client().get(second).status_code == HTTPStatus.NOT_FOUND

    def test_a_retired_crews_address_opens_nothing(self, planner, crew):
        address = self.address(self.make(planner, crew))
        crew.refresh_from_db()
        crew.retired_on = NOW.date()
        crew.save()

        assert Client().get(address).status_code == HTTPStatus.NOT_FOUND
        assert self.make(planner, crew).status_code == HTTPStatus.CONFLICT

    def test_two_planners_cannot_replace_it_without_knowing(self, planner, crew):
        opened = crew.version
        self.make(planner, crew)

        for version in (str(opened), "", "x", "9" * 30):
            answer = planner.post(
                reverse("crew-calendar", args=[crew.pk]), {"version": version, "do": "replace"}
            )
            assert answer.status_code == HTTPStatus.CONFLICT
            assert "Somebody changed this crew" in answer.text

    def test_replacing_and_withdrawing_ask_first(self, planner, crew):
        page = reverse("crew-calendar", args=[crew.pk])
        assert "Withdraw the address?" not in planner.get(page, {"ask": "withdraw"}).text
        self.make(planner, crew)

        assert "Withdraw the address?" in planner.get(page, {"ask": "withdraw"}).text
        assert "Replace the address?" in planner.get(page, {"ask": "replace"}).text

    def test_an_unchanged_calendar_is_not_sent_again(self, planner, crew, placed):
        address = self.address(self.make(planner, crew))
        tag = Client().get(address)["ETag"]

        again = Client().get(address, headers={"If-None-Match": tag})

        assert again.status_code == HTTPStatus.NOT_MODIFIED
        assert not again.content
        assert again["Referrer-Policy"] == "no-referrer"
        assert "no-store" in again["Cache-Control"]
        other = Client().get(address, headers={"If-None-Match": '"x"'})
        assert other.status_code == HTTPStatus.OK

    @pytest.mark.parametrize("role", Role)
    def test_only_who_plans_hands_out_addresses(self, plant, crew, role):
        client = client_of(role, plant)

        made = self.make(client, crew)

        may = role in {Role.PLANNER, Role.LEAD, Role.ADMINISTRATOR}
        assert (made.status_code == HTTPStatus.CREATED) == may
        assert client.get(reverse("crew-calendar-file", args=[crew.pk])).status_code == 200

    def test_another_plants_calendar_is_not_there(self, crew):
        elsewhere = client_of(Role.PLANNER, make_plant())

        for name in ("crew-calendar", "crew-calendar-file"):
            answer = elsewhere.get(reverse(name, args=[crew.pk]))
            assert answer.status_code == HTTPStatus.NOT_FOUND

    def test_only_reading_is_taken(self, planner, crew):
        address = self.address(self.make(planner, crew))

        assert Client().post(address).status_code == HTTPStatus.METHOD_NOT_ALLOWED
        assert Client().head(address).status_code == HTTPStatus.OK

    def test_the_page_of_papers_leads_to_each_calendar(self, planner, crew):
        page = planner.get(reverse("papers")).text

        assert f'href="{reverse("crew-calendar-file", args=[crew.pk])}"' in page
        assert f'href="{reverse("crew-calendar", args=[crew.pk])}"' in page


@pytest.mark.django_db
def test_the_secret_is_long_and_only_its_digest_is_kept(crew, plant):
    by = factories.make_person(Role.PLANNER, plant)

    token = crew_calendars.make_address(crew_id=crew.pk, version=crew.version, by=by)

    crew.refresh_from_db()
    # 32 bytes in URL-safe base64.
    assert len(token) == 43
    assert crew.calendar_key_hash == crew_calendar.digest_of(token)
