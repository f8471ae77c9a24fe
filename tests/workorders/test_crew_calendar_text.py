"""The calendar's text by RFC 5545 as it is written, not as one library reads it."""

from datetime import UTC, datetime, timedelta

import icalendar

from tests.workorders.factories import NOW
from workorders.crew_calendar_text import CalendarEvent, calendar_bytes

HOSTILE = "Idlers; R1, R2\\R3\nDTSTART:19700101T000000Z\r\nBEGIN:VEVENT 帯🦺 " + "ü" * 90


def event(**fields: object) -> CalendarEvent:
    given = {
        "key": "LT-W-0001-1@loopwright",
        "sequence": 4,
        "changed_at": NOW,
        "starts_at": NOW,
        "ends_at": NOW + timedelta(hours=2),
        "summary": "Q30: Square idlers",
        "location": "Quay",
        "description": "LT-W-0001",
        "address": "http://testserver/work/LT-W-0001/",
        **fields,
    }
    return CalendarEvent(**given)


def events_of(text: bytes) -> list[icalendar.Event]:
    return list(icalendar.Calendar.from_ical(text).walk("VEVENT"))


def test_lines_are_folded_at_75_octets_and_end_in_crlf():
    text = calendar_bytes("Day crew", [event(summary=HOSTILE, description=HOSTILE)])

    assert text.endswith(b"END:VCALENDAR\r\n")
    # 3.1: lines of text, each ended by CRLF, no longer than 75 octets.
    lines = text.split(b"\r\n")
    assert all(len(line) <= 75 for line in lines)
    assert not any(b"\n" in line or b"\r" in line for line in lines)
    # No line is cut within a letter.
    assert all(line.decode() for line in lines if line)


def test_what_people_typed_stays_text():
    text = calendar_bytes("Day; crew, one", [event(summary=HOSTILE, location="a;b,c")])

    (read,) = events_of(text)
    assert str(read["summary"]) == HOSTILE.replace("\r\n", "\n")
    assert str(read["location"]) == "a;b,c"
    assert read.decoded("dtstart") == NOW.replace(microsecond=0)
    # 3.3.11: commas, semicolons, backslashes and line ends are escaped.
    unfolded = text.replace(b"\r\n ", b"")
    assert b"SUMMARY:Idlers\\; R1\\, R2\\\\R3\\nDTSTART:" in unfolded
    assert unfolded.count(b"BEGIN:VEVENT\r\n") == 1


def test_times_are_utc_and_the_stamp_is_the_last_change():
    changed = datetime(2026, 11, 2, 9, 15, 7, 999, tzinfo=UTC)
    text = calendar_bytes("Day crew", [event(changed_at=changed)])

    for line in (
        b"DTSTART:20261102T143000Z",
        b"DTEND:20261102T163000Z",
        b"DTSTAMP:20261102T091507Z",
        b"LAST-MODIFIED:20261102T091507Z",
        b"SEQUENCE:4",
        b"UID:LT-W-0001-1@loopwright",
        b"TRANSP:OPAQUE",
        b"STATUS:CONFIRMED",
        b"VERSION:2.0",
        b"REFRESH-INTERVAL;VALUE=DURATION:PT1H",
    ):
        assert line + b"\r\n" in text


def test_what_is_called_off_takes_nobodys_time():
    (read,) = events_of(calendar_bytes("Day crew", [event(is_called_off=True)]))

    assert (str(read["status"]), str(read["transp"])) == ("CANCELLED", "TRANSPARENT")


def test_the_same_events_give_the_same_bytes():
    assert calendar_bytes("Day crew", [event()]) == calendar_bytes("Day crew", [event()])


def test_a_calendar_without_events_still_holds_a_component():
    text = calendar_bytes("Day crew", [])

    # 3.6: at least one calendar component.
    assert icalendar.Calendar.from_ical(text).subcomponents
    assert events_of(text) == []
