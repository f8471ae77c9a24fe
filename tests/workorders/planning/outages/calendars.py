"""Calendars written by hand, as programs of several makers write them."""

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from workorders.planning.outages.calendar_file.events import CalendarRead, read_calendar
from workorders.planning.outages.calendar_file.laying_out import HORIZON, Occurrence, lay_out

HALIFAX = ZoneInfo("America/Halifax")
# A zone that has no name of the IANA database, with the clock changes of eastern Canada.
VTIMEZONE = """\
BEGIN:VTIMEZONE
TZID:Terminal time
BEGIN:STANDARD
DTSTART:16010101T020000
TZOFFSETFROM:-0300
TZOFFSETTO:-0400
RRULE:FREQ=YEARLY;BYDAY=1SU;BYMONTH=11
END:STANDARD
BEGIN:DAYLIGHT
DTSTART:16010101T020000
TZOFFSETFROM:-0400
TZOFFSETTO:-0300
RRULE:FREQ=YEARLY;BYDAY=2SU;BYMONTH=3
END:DAYLIGHT
END:VTIMEZONE
"""


def event(
    *lines: str, uid: str = "relining@larkwater.example", summary: str = "Q30 relining"
) -> str:
    return "\n".join(["BEGIN:VEVENT", f"UID:{uid}", f"SUMMARY:{summary}", *lines, "END:VEVENT", ""])


def calendar(*parts: str) -> bytes:
    text = (
        "BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//by hand//EN\n" + "".join(parts) + "END:VCALENDAR\n"
    )
    return text.replace("\n", "\r\n").encode()


def read(*parts: str) -> CalendarRead:
    return read_calendar(calendar(*parts), HALIFAX)


def laid_out(*parts: str, now: datetime) -> list[Occurrence]:
    found = read(*parts)
    assert found.refused == ()
    occurrences, refused = lay_out(found.events, now, now + HORIZON)
    assert refused == []
    return occurrences


def starts(occurrences: Sequence[Occurrence]) -> list[str]:
    """In UTC: `03-01 10:00`."""
    return [f"{one.starts_at:%m-%d %H:%M}" for one in occurrences]
