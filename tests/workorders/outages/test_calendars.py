"""Calendars sent for windows: looked at, taken in whole, sent again with changes (RFC 5545)."""

from datetime import timedelta

import pytest

from tests.workorders.factories import NOW, make_conveyor, make_plant
from tests.workorders.outage_rows import send
from tests.workorders.planning.outages.calendars import calendar, event
from tests.workorders.sheet_rows import make_approved, make_crew, make_window, place_in
from workorders.models import CalendarFile, OutageWindow
from workorders.planning.outages.calendar_file.comparing import Change
from workorders.planning.outages.calendar_file.faults import CalendarFault
from workorders.selectors.outages.calendars import preview_of
from workorders.services import placing
from workorders.services.outages import calendars, windows
from workorders.services.outages.weighing import AsksFirst
from workorders.services.outages.windows import WindowWanted

pytestmark = pytest.mark.django_db

_ONE = ("DTSTART:20261110T060000", "DURATION:PT8H")
_WEEKLY = ("DTSTART:20261103T060000", "DTEND:20261103T140000", "RRULE:FREQ=WEEKLY;COUNT=4")


@pytest.fixture
def belt():
    return make_conveyor(make_plant(), tag="Q30")


def take(sent: CalendarFile, *, leaves_refused: bool = False, seen=None, now=NOW) -> dict[str, int]:
    """What changed, without the noughts."""
    calendars.take_in(
        calendar_id=sent.pk,
        mark=preview_of(sent, now).mark,
        leaves_refused=leaves_refused,
        by=None,
        now=now,
        seen=seen,
    )
    sent.refresh_from_db()
    return {words: count for words, count in sent.counts.items() if count}


def test_events_become_windows_of_the_conveyors_they_name(belt):
    other = make_conveyor(belt.plant, tag="Q31")
    sent = send(
        belt.plant, calendar(event(*_WEEKLY), event(*_ONE, uid="b", summary="Q30 with q31 chute"))
    )
    assert not OutageWindow.objects.exists()

    assert take(sent) == {"new": 5}

    both = OutageWindow.objects.get(calendar_uid="b")
    assert set(both.conveyors.all()) == {belt, other}
    assert (both.name, both.calendar_name) == ("Q30 with q31 chute", "Outages")
    assert f"{both.starts_at.astimezone(belt.plant.zone_info):%H:%M}" == "06:00"
    assert both.ends_at - both.starts_at == timedelta(hours=8)


def test_events_that_name_no_conveyor_go_by_what_was_chosen_for_the_file(belt):
    take(send(belt.plant, calendar(event(*_ONE, summary="Shutdown")), belts=[belt]))

    assert list(OutageWindow.objects.get().conveyors.all()) == [belt]


def test_events_of_no_use_are_left_out_only_when_somebody_says_so(belt):
    sent = send(
        belt.plant,
        calendar(
            event(*_ONE),
            event(*_ONE, uid="b", summary="Christmas"),
            event("DTSTART:tomorrow", uid="c"),
        ),
    )
    found = preview_of(sent, NOW).refused
    assert [(one.fault, one.line) for one in found] == [
        (CalendarFault.NO_CONVEYOR, 10),
        (CalendarFault.DATE_WRONG, 19),
    ]

    with pytest.raises(calendars.RefusedEventsStand, match="2 events"):
        take(sent)
    assert not OutageWindow.objects.exists()
    assert take(sent, leaves_refused=True) == {"new": 1}


def test_the_same_calendar_again_changes_nothing(belt):
    take(send(belt.plant, calendar(event(*_WEEKLY))))
    again = send(belt.plant, calendar(event(*_WEEKLY)))

    with pytest.raises(calendars.NothingInCalendar):
        take(again)
    assert preview_of(again, NOW).counts[Change.UNCHANGED] == 4


def test_sent_again_windows_move_go_and_are_called_off(belt):
    take(send(belt.plant, calendar(event(*_WEEKLY), event(*_ONE, uid="b"), event(*_ONE, uid="c"))))
    moved = event("RECURRENCE-ID:20261110T060000", "DTSTART:20261111T060000", "DURATION:PT4H")
    later = calendar(
        event(*_WEEKLY, "EXDATE:20261117T060000"), moved, event(*_ONE, "STATUS:CANCELLED", uid="b")
    )

    assert take(send(belt.plant, later)) == {
        "moved": 1,
        "called off": 1,
        "gone": 2,
        "unchanged": 2,
    }

    standing = OutageWindow.objects.standing()
    assert [f"{one.starts_at:%m-%d}" for one in standing] == ["11-03", "11-11", "11-24"]
    put = standing.get(starts_at__day=11)
    assert (put.first_starts_at.day, put.ends_at - put.starts_at) == (10, timedelta(hours=4))
    off = OutageWindow.objects.filter(called_off_at=NOW)
    assert {one.calendar_uid for one in off} == {"relining@larkwater.example", "b", "c"}

    back = send(belt.plant, calendar(event(*_WEEKLY), event(*_ONE, uid="b"), event(*_ONE, uid="c")))
    assert take(back) == {"moved": 1, "back": 3, "unchanged": 2}
    assert OutageWindow.objects.count() == 6


def test_windows_of_other_calendars_and_by_hand_are_left_alone(belt):
    by_hand = make_window(belt, starts_at=NOW + timedelta(days=3))
    take(send(belt.plant, calendar(event(*_ONE, uid="b")), name="Grid"))

    assert take(send(belt.plant, calendar(event(*_WEEKLY)), name="Outages")) == {"new": 4}

    by_hand.refresh_from_db()
    assert by_hand.called_off_at is None
    assert OutageWindow.objects.standing().count() == 6


def test_events_that_cannot_be_read_any_more_do_not_call_their_windows_off(belt):
    take(send(belt.plant, calendar(event(*_ONE), event(*_ONE, uid="b"))))

    broken = send(belt.plant, calendar(event("DTSTART:soon"), event(*_ONE, uid="b")))

    assert preview_of(broken, NOW).counts[Change.GONE] == 0


def test_what_a_planner_moved_stays_while_the_calendar_says_the_same(belt):
    content = calendar(event(*_ONE))
    take(send(belt.plant, content))
    window = OutageWindow.objects.get()
    windows.change_window(
        window_id=window.pk,
        wanted=WindowWanted(
            "Relining", [belt], window.starts_at + timedelta(hours=2), window.ends_at
        ),
        version=1,
        by=None,
        now=NOW,
    )

    with pytest.raises(calendars.NothingInCalendar):
        take(send(belt.plant, content))
    assert take(send(belt.plant, calendar(event("DTSTART:20261112T060000", _ONE[1])))) == {
        "moved": 1
    }


def test_what_it_breaks_is_asked_first_and_nothing_is_half_kept(belt):
    take(send(belt.plant, calendar(event(*_ONE))))
    window = OutageWindow.objects.get()
    order = make_approved(belt)
    crew = make_crew(belt.plant)
    placing.place_order(order_id=order.pk, place=place_in(window, crew), by=None, now=NOW)
    later = send(
        belt.plant,
        calendar(event("DTSTART:20261112T060000", _ONE[1]), event(*_WEEKLY, uid="weekly")),
    )

    with pytest.raises(AsksFirst) as asked:
        take(later, seen="")
    assert [one.order for one in asked.value.consequences.unfit] == [order]
    assert OutageWindow.objects.count() == 1

    assert take(later, seen=asked.value.consequences.mark) == {"new": 4, "moved": 1}


def test_a_preview_that_is_no_longer_so_is_not_taken(belt):
    sent = send(belt.plant, calendar(event(*_ONE)))
    mark = preview_of(sent, NOW).mark
    take(send(belt.plant, calendar(event(*_ONE))))

    with pytest.raises(calendars.CalendarChangedMeanwhile):
        calendars.take_in(calendar_id=sent.pk, mark=mark, leaves_refused=False, by=None, now=NOW)


def test_a_window_somebody_moves_while_it_is_taken_in_is_not_written_over(belt, monkeypatch):
    take(send(belt.plant, calendar(event(*_ONE))))
    later = send(belt.plant, calendar(event("DTSTART:20261110T080000", "DURATION:PT8H")))
    mark = preview_of(later, NOW).mark

    def moved_after(sent: CalendarFile, now):
        seen = preview_of(sent, now)
        OutageWindow.objects.update(version=9, name="Moved by hand")
        return seen

    monkeypatch.setattr(calendars, "preview_of", moved_after)

    with pytest.raises(calendars.CalendarChangedMeanwhile):
        calendars.take_in(calendar_id=later.pk, mark=mark, leaves_refused=False, by=None, now=NOW)


def test_a_window_that_is_over_is_left_as_it_was(belt):
    content = calendar(event(*_WEEKLY))
    take(send(belt.plant, content))
    later = NOW + timedelta(days=10)

    without = send(belt.plant, calendar(event(*_ONE, uid="b")), now=later)

    # Those of 3 and 10 November have been.
    assert take(without, now=later) == {"gone": 2}


def test_a_file_of_no_use_is_refused_and_not_kept(belt):
    with pytest.raises(calendars.CalendarNotRead, match="BEGIN:VCALENDAR"):
        send(belt.plant, b"conveyor;from;until")

    assert not CalendarFile.objects.exists()


def test_more_windows_than_a_plant_can_have_are_refused_when_the_file_is_sent(belt):
    daily = [event(*_ONE, "RRULE:FREQ=DAILY", uid=f"{number}") for number in range(9)]

    with pytest.raises(calendars.CalendarNotRead, match="3000"):
        send(belt.plant, calendar(*daily))

    assert not CalendarFile.objects.exists()


def test_a_calendar_without_a_name_has_the_one_it_calls_itself(belt):
    named = calendar("X-WR-CALNAME:Grid outages\n", event(*_ONE))

    assert send(belt.plant, named, name="").calendar_name == "Grid outages"
    assert send(belt.plant, calendar(event(*_ONE)), name="").calendar_name == "outages.ics"


def test_only_the_latest_files_are_kept(belt):
    for _number in range(calendars.KEPT_A_PLANT + 2):
        send(belt.plant, calendar(event(*_ONE)))

    assert CalendarFile.objects.count() == calendars.KEPT_A_PLANT
