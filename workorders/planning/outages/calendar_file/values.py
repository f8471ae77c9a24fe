"""Dates, times and lengths as RFC 5545 writes them (3.3.4 to 3.3.6)."""

import re
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from workorders.planning.outages.calendar_file.faults import CalendarFault, EventRefused
from workorders.planning.outages.calendar_file.lines import Line
from workorders.planning.outages.calendar_file.zones import Clock, Zones, utc_clock

_DATE = re.compile(r"[0-9]{8}\Z")
_DATE_TIME = re.compile(r"([0-9]{8})T([0-9]{6})(Z?)\Z")
_DURATION = re.compile(
    r"\+?P(?:([0-9]{1,5})W)?(?:([0-9]{1,5})D)?"
    r"(?:T(?:([0-9]{1,5})H)?(?:([0-9]{1,6})M)?(?:([0-9]{1,7})S)?)?\Z"
)
# Nothing of a plant's calendar lies outside; time zones cannot carry the calendar's ends.
_FIRST, _LAST = date(1900, 1, 1), date(2199, 12, 31)


@dataclass(frozen=True)
class Moment:
    """A time on a wall and the clock it hangs under; a whole day begins at its midnight."""

    wall: datetime
    clock: Clock
    is_day: bool

    @property
    def at(self) -> datetime:
        return self.clock(self.wall)


@dataclass(frozen=True)
class Length:
    """`days` keep to the wall, `exact` to the clock's minutes (3.3.6, nominal and exact)."""

    days: int
    exact: timedelta


def moment_of(line: Line, zones: Zones) -> Moment:
    """Of DTSTART, DTEND or RECURRENCE-ID."""
    return moments_of(line, zones)[0]


def moments_of(line: Line, zones: Zones) -> list[Moment]:
    """Of EXDATE or RDATE, which have several; of a PERIOD only its begin counts.

    Raises
    ------
    EventRefused
        If one is no date, or its zone is unknown.
    """
    return [_moment(one.strip().split("/")[0], line, zones) for one in line.value.split(",")]


def length_of(line: Line) -> Length:
    """Of DURATION."""
    found = _DURATION.match(line.value.strip().upper())
    if found is None or not any(found.groups()):
        raise EventRefused(CalendarFault.DURATION_WRONG, line.at, line.value)
    weeks, days, hours, minutes, seconds = (int(one or 0) for one in found.groups())
    exact = timedelta(hours=hours, minutes=minutes, seconds=seconds)
    return Length(weeks * 7 + days, exact)


def _moment(value: str, line: Line, zones: Zones) -> Moment:
    if _DATE.match(value):
        plants = Line(line.name, value, {}, line.at)
        return Moment(datetime.combine(_day(value, line), time()), zones.clock(plants), True)
    found = _DATE_TIME.match(value.upper())
    if found is None:
        raise EventRefused(CalendarFault.DATE_WRONG, line.at, value)
    hour, minute, second = (int(found[2][n : n + 2]) for n in (0, 2, 4))
    try:
        # A leap second is the last second of its minute to everybody else.
        wall = datetime.combine(_day(found[1], line), time(hour, minute, min(second, 59)))
    except ValueError as error:
        raise EventRefused(CalendarFault.DATE_WRONG, line.at, value) from error
    return Moment(wall, utc_clock if found[3] else zones.clock(line), False)


def _day(value: str, line: Line) -> date:
    try:
        day = date(int(value[:4]), int(value[4:6]), int(value[6:8]))
    except ValueError as error:
        raise EventRefused(CalendarFault.DATE_WRONG, line.at, value) from error
    if not _FIRST <= day <= _LAST:
        raise EventRefused(CalendarFault.DATE_WRONG, line.at, value)
    return day
