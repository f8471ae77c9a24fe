"""Which instant a time of a calendar is: by zone name, by the file's own zones, or by the plant.

A name of the IANA database counts before what the file says of it. Zones that only the file knows
(VTIMEZONE, RFC 5545, 3.6.5) are worked out from their rules. Names that one maker's programs write
for zones are read as the icalendar package knows them.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo
from functools import cache, lru_cache
from zoneinfo import ZoneInfo, available_timezones

from icalendar.timezone.windows_to_olson import WINDOWS_TO_OLSON

from workorders.planning.outages.calendar_file.faults import CalendarFault, EventRefused
from workorders.planning.outages.calendar_file.lines import Component, Line
from workorders.planning.outages.repeat_rules import Frequency, Repeat, read_rule
from workorders.planning.outages.repeats import starts_of
from workorders.planning.outages.series import instant_of_wall

# From a time on the wall, naive, to the instant.
Clock = Callable[[datetime], datetime]
_MOST_OBSERVANCES = 200
_YEARS_BACK = 4


@dataclass(frozen=True)
class _Observance:
    """Standard or daylight time: from when, by which offsets before and after."""

    first: datetime
    before: timedelta
    after: timedelta
    rule: Repeat | None
    more: tuple[datetime, ...]

    def last_onset(self, wall: datetime) -> datetime | None:
        """The latest begin at or before a time on the wall.

        Where the clocks go forward, the hour they leave out still goes by the offset before.
        """
        wall -= max(self.after - self.before, timedelta())
        onsets = [one for one in (self.first, *self.more) if one <= wall]
        if self.rule is not None and self.first <= wall:
            # A year may be without one: the rule says every second.
            years = range(wall.year, max(wall.year - _YEARS_BACK, self.first.year) - 1, -1)
            onsets += [one for year in years for one in _onsets(self, year) if one <= wall]
        return max(onsets, default=None)

    def instant(self, wall: datetime) -> datetime:
        return (wall - self.before).replace(tzinfo=UTC)


@lru_cache(maxsize=2048)
def _onsets(observance: _Observance, year: int) -> tuple[datetime, ...]:
    assert observance.rule is not None
    until, since = date(year, 12, 31), date(year, 1, 1)
    return tuple(starts_of(observance.rule, observance.first, until, observance.instant, since))


@dataclass(frozen=True)
class Zones:
    """What the zone names of one file mean; times without a zone are the plant's."""

    plant: tzinfo
    own: Mapping[str, tuple[_Observance, ...]]

    def clock(self, line: Line) -> Clock:
        """Of a date-time's line that is not in UTC; refuses a name nobody knows."""
        name = line.params.get("TZID", "")
        if not name:
            return lambda wall: instant_of_wall(wall, self.plant)
        if known := _known(name):
            return lambda wall: instant_of_wall(wall, ZoneInfo(known))
        if observances := self.own.get(name):
            return lambda wall: _by_observances(observances, wall)
        raise EventRefused(CalendarFault.ZONE_UNKNOWN, line.at, name)


def utc_clock(wall: datetime) -> datetime:
    return wall.replace(tzinfo=UTC)


def zones_of(calendars: list[Component], plant: tzinfo) -> Zones:
    """The zones of a file; one that cannot be read is unknown to the events that name it."""
    own: dict[str, tuple[_Observance, ...]] = {}
    for part in (one for calendar in calendars for one in calendar.parts):
        name = part.first("TZID") if part.name == "VTIMEZONE" else None
        if name is not None and len(part.parts) <= _MOST_OBSERVANCES:
            try:
                own[name.value] = tuple(_observance(one) for one in part.parts)
            except (ValueError, AttributeError, OverflowError):
                continue
    return Zones(plant, own)


def _known(name: str) -> str | None:
    """An IANA name, also where a maker wrote a prefix before it."""
    if name in WINDOWS_TO_OLSON:
        return WINDOWS_TO_OLSON[name]
    parts = name.strip("/").split("/")
    for length in (3, 2, 1):
        short = "/".join(parts[-length:])
        if short in _names():
            return short
    return None


@cache
def _names() -> frozenset[str]:
    return frozenset(available_timezones())


def _by_observances(observances: tuple[_Observance, ...], wall: datetime) -> datetime:
    begun = [(onset, one) for one in observances if (onset := one.last_onset(wall)) is not None]
    if begun:
        offset = max(begun, key=lambda one: one[0])[1].after
    else:
        # Before the first of them its own "from" counts.
        offset = min(observances, key=lambda one: one.first).before
    return (wall - offset).replace(tzinfo=UTC)


def _observance(part: Component) -> _Observance:
    values = {line.name: line.value for line in part.lines}
    rule = read_rule(values["RRULE"]) if "RRULE" in values else None
    if rule is not None and (rule.frequency is not Frequency.YEARLY or rule.count is not None):
        # Clocks change by the year; what counts from the past would have to be followed from there.
        raise ValueError("no rule of a zone")
    more = [one for line in part.all("RDATE") for one in line.value.split(",")][:_MOST_OBSERVANCES]
    return _Observance(
        first=_wall(values.get("DTSTART", "")),
        before=_offset(values.get("TZOFFSETFROM", "")),
        after=_offset(values.get("TZOFFSETTO", "")),
        rule=rule,
        more=tuple(_wall(one) for one in more),
    )


def _wall(value: str) -> datetime:
    return datetime.strptime(value.rstrip("Z"), "%Y%m%dT%H%M%S")  # noqa: DTZ007


def _offset(value: str) -> timedelta:
    """UTC-OFFSET (3.3.14): +0530, -033052."""
    if value[:1] not in {"+", "-"} or not value[1:].isdigit() or len(value) not in {5, 7}:
        raise ValueError(f"no offset: {value[:20]!r}")
    hours, minutes, seconds = int(value[1:3]), int(value[3:5]), int(value[5:] or 0)
    if hours > 23 or minutes > 59 or seconds > 59:
        raise ValueError(f"no offset: {value!r}")
    size = timedelta(hours=hours, minutes=minutes, seconds=seconds)
    return -size if value[0] == "-" else size
