"""A crew's work as a calendar that other programs read (RFC 5545, RFC 7986).

Knows no table. Times are UTC, so that no program needs to know the plant's time zone; lines are
folded and text is escaped by the library. The same events give the same bytes.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import icalendar

_PRODUCT = "-//Loopwright//Calendar of a crew//EN"
# How often a program that reads the address by itself should come back.
_REFRESH = timedelta(hours=1)


@dataclass(frozen=True)
class CalendarEvent:
    """One order at its place; `sequence` only rises, and `key` never changes.

    An event that is called off stays in the calendar, so that programs which keep their own copy
    learn of it; it takes nobody's time.
    """

    key: str
    sequence: int
    changed_at: datetime
    starts_at: datetime
    ends_at: datetime
    summary: str
    location: str
    description: str
    address: str
    is_called_off: bool = False
    is_uncertain: bool = False

    @property
    def status(self) -> str:
        if self.is_called_off:
            return "CANCELLED"
        return "TENTATIVE" if self.is_uncertain else "CONFIRMED"


def calendar_bytes(name: str, events: Iterable[CalendarEvent]) -> bytes:
    """The whole calendar, as a file or as the answer to who reads it again and again."""
    calendar = icalendar.Calendar()
    calendar.add("prodid", _PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", name)
    # What came before NAME, and many programs know nothing else.
    calendar.add("x-wr-calname", name)
    calendar.add("refresh-interval", _REFRESH, parameters={"VALUE": "DURATION"})
    for event in events:
        calendar.add_component(_component(event))
    if not calendar.subcomponents:
        # No calendar is without a component (RFC 5545, 3.6); the zone of the times takes nobody's.
        calendar.add_component(_utc())
    return bytes(calendar.to_ical())


def _component(told: CalendarEvent) -> icalendar.Event:
    event = icalendar.Event()
    event.add("uid", told.key)
    # Of a published calendar the stamp is the last change (RFC 5545, 3.8.7.2).
    for name in ("dtstamp", "last-modified"):
        event.add(name, _to_the_second(told.changed_at))
    event.add("sequence", told.sequence)
    event.add("dtstart", _to_the_second(told.starts_at))
    event.add("dtend", _to_the_second(told.ends_at))
    event.add("summary", told.summary)
    if told.location:
        event.add("location", told.location)
    event.add("description", told.description)
    event.add("url", told.address)
    event.add("status", told.status)
    event.add("transp", "TRANSPARENT" if told.is_called_off else "OPAQUE")
    return event


def _utc() -> icalendar.Timezone:
    zone, standard = icalendar.Timezone(), icalendar.TimezoneStandard()
    zone.add("tzid", "UTC")
    # A local time without a zone, as 3.6.5 asks.
    standard.add("dtstart", datetime(1970, 1, 1))  # noqa: DTZ001
    for name in ("tzoffsetfrom", "tzoffsetto"):
        standard.add(name, timedelta())
    zone.add_component(standard)
    return zone


def _to_the_second(moment: datetime) -> datetime:
    return moment.astimezone(UTC).replace(microsecond=0)
