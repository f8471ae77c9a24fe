"""The pages of windows and crews: what people see, what is refused, who may."""

from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from plant.roles import Role
from tests.plant.factories import make_complete_conveyor
from tests.workorders.pages import client_of
from tests.workorders.planning.outages.calendars import calendar, event
from tests.workorders.sheet_rows import make_approved, make_crew, make_window, place_in
from workorders.models import CalendarFile, OutageSeries, OutageWindow
from workorders.services import placing

pytestmark = pytest.mark.django_db
DAY, HOUR = timedelta(days=1), timedelta(hours=1)


@pytest.fixture
def belt(plant):
    return make_complete_conveyor(plant)


@pytest.fixture
def soon():
    """The day after tomorrow, at noon in UTC."""
    return (timezone.now() + 2 * DAY).replace(hour=12, minute=0, second=0, microsecond=0)


def typed(at, plant) -> str:
    return f"{at.astimezone(plant.zone_info):%Y-%m-%dT%H:%M}"


def window_form(belt, starts_at, hours=8, **more):
    return {
        "name": "Quay day",
        "conveyors": [belt.pk],
        "starts_at": typed(starts_at, belt.plant),
        "ends_at": typed(starts_at + hours * HOUR, belt.plant),
        **more,
    }


@pytest.fixture
def placed(belt, soon):
    """An order that fits at the beginning of a window."""
    window, crew = make_window(belt, starts_at=soon), make_crew(belt.plant, people=2)
    crew.shifts.update(begins_at="00:00", ends_at="00:00")
    order = make_approved(belt)
    place = place_in(window, crew)
    return placing.place_order(order_id=order.pk, place=place, by=None, now=timezone.now())


def test_a_planner_puts_a_window_in_and_everybody_sees_it(planner, technician, plant, belt, soon):
    response = planner.post(reverse("window-new", args=[plant.code]), window_form(belt, soon))

    window = OutageWindow.objects.get()
    assert response["Location"] == reverse("window", args=[window.pk])
    assert window.starts_at == soon
    page = technician.get(reverse("windows")).content.decode()
    assert "Quay day" in page
    assert reverse("window-new", args=[plant.code]) not in page


def test_a_form_that_is_refused_keeps_what_was_typed(planner, plant, belt, soon):
    response = planner.post(
        reverse("window-new", args=[plant.code]), window_form(belt, soon, hours=-1)
    )

    assert response.status_code == 409
    assert "must end after it begins" in response.content.decode()
    assert 'value="Quay day"' in response.content.decode()
    empty = planner.post(reverse("window-new", args=[plant.code]), {})
    assert (empty.status_code, OutageWindow.objects.count()) == (400, 0)


def test_an_hour_the_clocks_leave_out_is_refused_in_words(planner, plant, belt):
    form = window_form(belt, timezone.now()) | {"starts_at": "2028-03-12T02:30"}

    response = planner.post(reverse("window-new", args=[plant.code]), form)

    assert response.status_code == 400
    assert "starts_at" in response.context["form"].errors


def test_moving_a_window_shows_first_what_no_longer_fits(planner, belt, soon, placed):
    address = reverse("window-move", args=[placed.window_id])
    form = window_form(belt, soon + HOUR, version="1")

    asked = planner.post(address, form)

    page = asked.content.decode()
    assert asked.status_code == 409
    assert placed.number in page
    assert "begins 1\N{NO-BREAK SPACE}h before the window" in page
    mark = asked.context["asks"].mark
    assert planner.post(address, {**form, "seen": mark}).status_code == 302
    assert (
        "before the window"
        in planner.get(reverse("window", args=[placed.window_id])).content.decode()
    )
    assert placed.number in planner.get(reverse("today")).content.decode()
    assert "does not fit" in planner.get(reverse("windows")).content.decode()


def test_today_says_nothing_while_all_placed_work_fits(planner, placed):
    assert "no longer fits" not in planner.get(reverse("today")).content.decode()


def test_a_form_opened_before_another_change_shows_how_it_stands(planner, belt, soon):
    window = make_window(belt, starts_at=soon)
    address = reverse("window-move", args=[window.pk])
    planner.post(address, window_form(belt, soon, name="By another", version="1"))

    stale = planner.post(address, window_form(belt, soon, name="Mine", version="1"))

    page = stale.content.decode()
    assert stale.status_code == 409
    assert ("By another" in page, 'value="Mine"' in page) == (True, True)
    assert 'name="version" value="2"' in page


def test_a_window_is_called_off_with_a_reason_and_taken_up_again(planner, belt, soon):
    window = make_window(belt, starts_at=soon)
    address = reverse("window-call-off", args=[window.pk])

    assert planner.post(address, {"version": "1"}).status_code == 400
    assert planner.post(address, {"version": "1", "why": "a ship stays"}).status_code == 302
    assert "a ship stays" in planner.get(reverse("window", args=[window.pk])).content.decode()
    off = planner.get(reverse("windows"), {"when": "called-off"}).content.decode()
    assert window.name in off
    assert window.name not in planner.get(reverse("windows")).content.decode()
    back = planner.post(reverse("window-take-up", args=[window.pk]), {"version": "2"})
    assert back.status_code == 302


def test_windows_are_listed_by_conveyor_and_time(planner, belt, soon):
    make_window(belt, starts_at=soon, name="To come")
    make_window(belt, starts_at=soon - 30 * DAY, name="Been")

    def listed(**asked: str) -> list[str]:
        page = planner.get(reverse("windows"), asked).context["page"]
        return [one.name for one in page]

    assert listed() == ["To come"]
    assert listed(when="past") == ["Been"]
    assert listed(conveyor=belt.tag) == ["To come"]
    assert listed(conveyor="nowhere") == ["To come"]


def test_the_page_of_a_conveyor_says_when_it_stands_still_next(technician, plant, belt, soon):
    address = reverse("conveyor", args=[plant.code, belt.tag])
    assert "Outage windows" not in technician.get(address).content.decode()
    make_window(belt, starts_at=soon, name="Relining")

    assert "Relining" in technician.get(address).content.decode()


def test_the_list_of_windows_holds_its_queries(
    planner, belt, soon, placed, django_assert_max_num_queries
):
    for number in range(12):
        window = make_window(belt, starts_at=soon + number * DAY + 9 * HOUR)
        order = make_approved(belt)
        placing.place_order(
            order_id=order.pk,
            place=place_in(window, placed.crew),
            by=None,
            now=timezone.now(),
        )

    with django_assert_max_num_queries(32):
        planner.get(reverse("windows"))


def test_a_series_is_put_in_by_days_of_the_week_of_the_month_or_by_rule(planner, plant, belt):
    first = timezone.now().replace(hour=12, minute=0, second=0, microsecond=0) + DAY
    weekday = first.astimezone(plant.zone_info).weekday()
    form = {
        "name": "Weekly",
        "conveyors": [belt.pk],
        "first_starts_at": typed(first, plant),
        "hours": "8",
        "comes_back": "weeks",
        "every": "2",
        "weekdays": [str(weekday)],
        "nth": "1",
        "nth_day": "0",
    }
    address = reverse("window-series-new", args=[plant.code])

    assert planner.post(address, form).status_code == 302
    made = OutageSeries.objects.get()
    assert (made.minutes, made.windows.count()) == (480, 27)
    page = planner.get(reverse("window-series", args=[made.pk])).content.decode()
    assert "every 2 weeks on" in page

    wrong = planner.post(address, {**form, "comes_back": "rule", "rule": "FREQ=HOURLY"})
    assert wrong.status_code == 400
    assert "within one" in wrong.content.decode()
    other_day = planner.post(address, {**form, "weekdays": [str((weekday + 1) % 7)]})
    assert other_day.status_code == 409
    assert "the next day that fits" in other_day.content.decode()


def test_a_series_is_ended_after_being_asked_what_becomes_of_its_windows(planner, plant, belt):
    first = timezone.now() + DAY
    form = {"name": "Daily", "conveyors": [belt.pk], "first_starts_at": typed(first, plant),
            "hours": "2", "comes_back": "rule", "every": "1", "nth": "1", "nth_day": "0",
            "rule": "freq=daily;count=5"}  # fmt: skip
    planner.post(reverse("window-series-new", args=[plant.code]), form)
    made = OutageSeries.objects.get()
    address = reverse("window-series-end", args=[made.pk])
    today = timezone.localdate(timezone.now(), plant.zone_info)

    assert b"stay: the work is done there" in planner.get(address).content
    planner.post(address, {"version": "1", "last_on": f"{today}", "with_orders": "stay"})

    assert OutageWindow.objects.standing().count() == 0
    made.refresh_from_db()
    assert made.ended_on == today


def send(client, plant, content: bytes, **more):
    file = SimpleUploadedFile("outages.ics", content, content_type="text/calendar")
    return client.post(reverse("calendars-of", args=[plant.code]), {"file": file, **more})


def test_a_calendar_is_looked_at_and_taken_in(planner, plant, belt, soon):
    start = f"DTSTART:{soon:%Y%m%dT%H%M%SZ}"
    content = calendar(
        event(start, "DURATION:PT8H", summary=f"{belt.tag} relining"),
        event(start, "DURATION:soon", uid="b", summary="Broken"),
    )

    sent = send(planner, plant, content)
    page = planner.get(sent["Location"])

    text = page.content.decode()
    assert "line 14: “soon” is no DURATION" in text
    assert f"{belt.tag} relining" in text
    form = {"mark": page.context["form"].initial["mark"]}
    refused = planner.post(sent["Location"], form)
    assert (refused.status_code, OutageWindow.objects.count()) == (409, 0)
    taken = planner.post(sent["Location"], {**form, "leaves_refused": "on"})
    assert taken["Location"] == reverse("windows-of", args=[plant.code])
    assert OutageWindow.objects.get().starts_at == soon


@pytest.mark.parametrize("content", [b"", b"\x00\xff", b"PK\x03\x04", b"BEGIN:VCALENDAR\n"])
def test_a_file_that_is_no_calendar_is_refused_in_words(planner, plant, content):
    refused = send(planner, plant, content)

    assert refused.status_code == 400
    assert "file" in refused.context["form"].errors
    assert not CalendarFile.objects.exists()


def test_only_planners_keep_windows_and_crews(technician, plant, belt, soon):
    window, crew = make_window(belt, starts_at=soon), make_crew(plant)

    for name, row in (
        ("window-new", plant.code),
        ("window-series-new", plant.code),
        ("calendars-of", plant.code),
        ("crew-new", plant.code),
        ("window-move", window.pk),
        ("window-call-off", window.pk),
        ("crew-edit", crew.pk),
        ("crew-shifts", crew.pk),
        ("crew-retire", crew.pk),
    ):
        assert technician.get(reverse(name, args=[row])).status_code == 403


def test_conveyors_of_another_plant_cannot_be_chosen(planner, plant, soon):
    elsewhere = make_complete_conveyor()

    refused = planner.post(reverse("window-new", args=[plant.code]), window_form(elsewhere, soon))

    assert (refused.status_code, OutageWindow.objects.count()) == (400, 0)


def test_a_person_of_two_plants_chooses_between_them(plant, belt, soon):
    other = make_complete_conveyor()
    planner = client_of(Role.PLANNER, plant, other.plant)
    make_window(other, starts_at=soon, name="Elsewhere")

    page = planner.get(reverse("windows-of", args=[other.plant.code])).content.decode()

    assert "Elsewhere" in page
    assert reverse("windows-of", args=[plant.code]) in page
