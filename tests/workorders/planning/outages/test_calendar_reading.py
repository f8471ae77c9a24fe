"""Single events of a calendar, and files that are none (RFC 5545)."""

from datetime import UTC, datetime, timedelta

import icalendar
import pytest

from tests.workorders.planning.outages.calendars import (
    HALIFAX,
    VTIMEZONE,
    calendar,
    event,
    laid_out,
    read,
    starts,
)
from workorders.planning.outages.calendar_file.events import MOST_EVENTS, read_calendar
from workorders.planning.outages.calendar_file.faults import CalendarFault, CalendarRefused
from workorders.planning.outages.calendar_file.lines import LARGEST_BYTES, Line, components_of
from workorders.planning.outages.calendar_file.naming import TagFinder
from workorders.planning.outages.calendar_file.zones import zones_of

NOW = datetime(2027, 1, 1, tzinfo=UTC)
_HOURS = "DTEND:20270301T140000"


def test_a_time_without_zone_is_the_plants():
    (one,) = laid_out(event("DTSTART:20270301T060000", _HOURS), now=NOW)

    assert one.starts_at == datetime(2027, 3, 1, 6, tzinfo=HALIFAX)
    assert one.ends_at == datetime(2027, 3, 1, 14, tzinfo=HALIFAX)
    assert (one.name, one.id_at) == ("Q30 relining", one.starts_at)


def test_a_time_in_utc_and_one_in_a_named_zone_are_instants():
    found = laid_out(
        event("DTSTART:20270301T060000Z", "DURATION:PT8H", uid="a"),
        event("DTSTART;TZID=Europe/Lisbon:20270701T060000", "DURATION:PT1H30M", uid="b"),
        now=NOW,
    )

    assert starts(found) == ["03-01 06:00", "07-01 05:00"]
    assert [one.ends_at - one.starts_at for one in found] == [
        timedelta(hours=8),
        timedelta(hours=1.5),
    ]


@pytest.mark.parametrize(
    "name", ["Atlantic Standard Time", "/citadel.org/20250101_1/America/Halifax", "America/Halifax"]
)
def test_zones_are_known_by_the_names_that_makers_give_them(name: str):
    found = laid_out(event(f"DTSTART;TZID={name}:20270701T060000", "DURATION:PT1H"), now=NOW)

    assert starts(found) == ["07-01 09:00"]


def test_a_zone_that_only_the_file_knows_is_worked_out_from_its_rules():
    def at(day: str) -> str:
        return event(f'DTSTART;TZID="Terminal time":{day}', "DURATION:PT30M", uid=day)

    # Clocks: 14 March 2027 02:00 becomes 03:00, 7 November 02:00 becomes 01:00.
    days = {
        "20270314T013000": "03-14 05:30",
        "20270314T023000": "03-14 06:30",
        "20270314T030000": "03-14 06:00",
        "20270701T060000": "07-01 09:00",
        "20271107T013000": "11-07 04:30",
        "20271107T020000": "11-07 06:00",
    }

    found = laid_out(VTIMEZONE, *map(at, days), now=NOW)

    assert {one.uid: f"{one.starts_at:%m-%d %H:%M}" for one in found} == days


def test_a_zone_of_the_file_goes_by_the_clocks_of_the_tz_database():
    """Every half hour of three years against America/Halifax, whose rules the zone has."""
    zones = zones_of(components_of(calendar(VTIMEZONE)), HALIFAX)
    clock = zones.clock(Line("DTSTART", "", {"TZID": "Terminal time"}, 1))
    walls = [datetime(2026, 1, 1) + n * timedelta(minutes=30) for n in range(3 * 365 * 48)]  # noqa: DTZ001

    assert all(clock(wall) == wall.replace(tzinfo=HALIFAX).astimezone(UTC) for wall in walls)


def test_a_zone_of_more_changes_than_any_clock_has_is_not_laid_out():
    days = ",".join(["20200101T000000"] * 2000)
    worse = VTIMEZONE.replace("END:STANDARD", f"RDATE:{days}\nEND:STANDARD")
    endless = VTIMEZONE.replace("16010101", "99991231")
    when = event("DTSTART;TZID=Terminal time:20270301T060000", "DURATION:PT1H")

    for zone in (worse, endless):
        (refused,) = read(zone, when).refused
        assert refused.fault is CalendarFault.ZONE_UNKNOWN


def test_a_whole_day_is_the_plants_day():
    found = laid_out(
        event("DTSTART;VALUE=DATE:20270313", "DTEND;VALUE=DATE:20270315", uid="a"),
        event("DTSTART;VALUE=DATE:20270601", uid="b"),
        now=NOW,
    )

    # Two days, one of which has 23 hours.
    assert found[0].starts_at == datetime(2027, 3, 13, tzinfo=HALIFAX)
    assert found[0].ends_at - found[0].starts_at == timedelta(hours=47)
    assert found[1].ends_at == datetime(2027, 6, 2, tzinfo=HALIFAX)


def test_folded_lines_escapes_and_parts_of_an_event_are_read():
    text = event(
        "DTSTART:20270301T060000",
        "DTEND:2027",
        " 0301T140000",
        "LOCATION:Quay\\, north end",
        "CATEGORIES:Q31,belt\\, lining",
        "BEGIN:VALARM",
        "SUMMARY:not this",
        "TRIGGER:-PT15M",
        "END:VALARM",
        summary="Relining of the ship",
    ).replace("of the ship", "of\n  the ship")

    (one,) = read(text).events

    assert one.words == ("Relining of the ship", "Quay, north end", "Q31", "belt, lining")


def test_tags_are_words_of_their_own_in_any_size_of_letters():
    finder = TagFinder(["Q30", "Q31", "C1", "C1-2", "É7"])

    assert finder.tags_in(["q30/Q31 relining (c1-2)", "Q301, XQ31"]) == {"Q30", "Q31", "C1-2"}
    assert finder.tags_in(["é7: Band"]) == {"É7"}
    assert TagFinder([]).tags_in(["Q30"]) == frozenset()


@pytest.mark.parametrize(
    "line",
    [
        "DTSTART:20270301T060000",
        "DTSTART:20270701T235959Z",
        "DTSTART;TZID=Europe/Berlin:20271031T023000",
        "DTSTART;TZID=America/St_Johns:20270314T043000",
        "DTSTART;VALUE=DATE:20280229",
    ],
)
def test_starts_are_those_that_icalendar_reads(line: str):
    content = calendar(event(line, "DURATION:PT2H"))
    theirs = icalendar.Calendar.from_ical(content).walk("VEVENT")[0]["DTSTART"].dt
    if not isinstance(theirs, datetime):
        theirs = datetime(theirs.year, theirs.month, theirs.day, tzinfo=HALIFAX)
    expected = theirs if theirs.tzinfo else theirs.replace(tzinfo=HALIFAX)

    (ours,) = read_calendar(content, HALIFAX).events

    assert ours.start.at == expected.astimezone(UTC)


@pytest.mark.parametrize(
    ("lines", "fault", "line"),
    [
        (["DTSTART:20270301T060000"], CalendarFault.NO_END, 4),
        (["DTEND:20270301T060000"], CalendarFault.NO_START, 4),
        (["DTSTART:20270301T060000", "DTEND:20270301T060000"], CalendarFault.ENDS_TOO_SOON, 8),
        (["DTSTART:20270301T060000", "DTEND:20280301T060000"], CalendarFault.LASTS_TOO_LONG, 8),
        (["DTSTART:20270231T060000", _HOURS], CalendarFault.DATE_WRONG, 7),
        (["DTSTART:20270301T250000", _HOURS], CalendarFault.DATE_WRONG, 7),
        (["DTSTART:next Tuesday", _HOURS], CalendarFault.DATE_WRONG, 7),
        (["DTSTART:00010101T000000", _HOURS], CalendarFault.DATE_WRONG, 7),
        (["DTSTART;TZID=Mars/Olympus:20270301T060000", _HOURS], CalendarFault.ZONE_UNKNOWN, 7),
        (["DTSTART:20270301T060000", "DURATION:8 hours"], CalendarFault.DURATION_WRONG, 8),
        (["DTSTART:20270301T060000", "DURATION:P"], CalendarFault.DURATION_WRONG, 8),
        (["DTSTART:20270301T060000", _HOURS, "RRULE:FREQ=SECONDLY;COUNT=1000000000"],
         CalendarFault.RULE_WRONG, 9),
        (["DTSTART:20270301T060000", _HOURS, "RRULE:FREQ=DAILY", "RRULE:FREQ=WEEKLY"],
         CalendarFault.RULE_TWICE, 10),
        (["DTSTART:20270301T060000", _HOURS, "RECURRENCE-ID;RANGE=THISANDFUTURE:20270301T060000"],
         CalendarFault.THIS_AND_FUTURE, 9),
        (["DTSTART:20270301T060000", _HOURS, "what is this"], CalendarFault.LINE_UNREADABLE, 9),
    ],
)  # fmt: skip
def test_an_event_of_no_use_is_refused_with_its_line(lines, fault, line):
    found = read(event(*lines), event("DTSTART:20270401T060000", "DURATION:PT8H", uid="b"))

    assert [one.uid for one in found.events] == ["b"]
    (refused,) = found.refused
    assert (refused.fault, refused.line, refused.name) == (fault, line, "Q30 relining")


@pytest.mark.parametrize(
    ("uid", "fault"), [("", CalendarFault.NO_UID), ("x" * 256, CalendarFault.UID_TOO_LONG)]
)
def test_an_event_that_could_not_be_known_again_is_refused(uid: str, fault: CalendarFault):
    (refused,) = read(event("DTSTART:20270301T060000", _HOURS, uid=uid)).refused

    assert refused.fault is fault


@pytest.mark.parametrize(
    ("content", "fault", "line"),
    [
        (b"", CalendarFault.NOT_A_CALENDAR, 1),
        (b"\x89PNG\r\n\x1a\n", CalendarFault.NOT_UTF_8, 1),
        (b"BEGIN:VCALENDAR\nSUMMARY:B\xfcro\n", CalendarFault.NOT_UTF_8, 2),
        (b"BEGIN:VCALENDAR\n\x00\n", CalendarFault.NOT_A_CALENDAR, 2),
        (b"<html>Sign in</html>", CalendarFault.NOT_A_CALENDAR, 1),
        (b"conveyor;from;until\n", CalendarFault.NOT_A_CALENDAR, 1),
        (b"BEGIN:VCARD\nEND:VCARD\n", CalendarFault.NOT_A_CALENDAR, 1),
        (b"BEGIN:VCALENDAR\nBEGIN:VEVENT\nUID:a\n", CalendarFault.NOT_ENDED, 2),
        (b"BEGIN:VCALENDAR\nEND:VEVENT\n", CalendarFault.NOT_ENDED, 2),
        (b"BEGIN:VCALENDAR\n" * 9, CalendarFault.NOT_A_CALENDAR, 5),
        (b"BEGIN:VCALENDAR\nVERSION:2.0\nEND:VCALENDAR\n", CalendarFault.NO_EVENTS, None),
        (b"x" * (LARGEST_BYTES + 1), CalendarFault.TOO_LARGE, None),
        (b"BEGIN:VCALENDAR\n" + b"BEGIN:VEVENT\nEND:VEVENT\n" * (MOST_EVENTS + 1)
         + b"END:VCALENDAR\n", CalendarFault.TOO_MANY_EVENTS, None),
    ],
    ids=lambda one: str(one)[:40],
)  # fmt: skip
def test_a_file_of_no_use_is_refused_as_a_whole(content, fault, line):
    with pytest.raises(CalendarRefused) as refused:
        read_calendar(content, HALIFAX)

    assert (refused.value.refused.fault, refused.value.refused.line) == (fault, line)
