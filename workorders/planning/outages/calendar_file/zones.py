"""Which instant a time of a calendar is: by zone name, by the file's own zones, or by the plant.

A name of the IANA database counts before what the file says of it. Zones that only the file knows
(VTIMEZONE, RFC 5545, 3.6.5) are worked out from their rules. Names that one maker's programs write
for zones are read as the icalendar package knows them.
"""

from bisect import bisect_right
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo
from functools import cache
from zoneinfo import ZoneInfo, available_timezones

from icalendar.timezone.windows_to_olson import WINDOWS_TO_OLSON

from workorders.planning.outages.calendar_file.faults import CalendarFault, EventRefused
from workorders.planning.outages.calendar_file.lines import Component, Line
from workorders.planning.outages.repeat_rules import Frequency, Repeat, read_rule
from workorders.planning.outages.repeats import starts_of
from workorders.planning.outages.series import instant_of_wall

# From a time on the wall, naive, to the instant.
Clock = Callable[[datetime], datetime]
# Of all zones of a file together; the fullest history of one zone has a fraction of it. A file
# could otherwise name thousands of times by clocks that change thousands of times.
_MOST_CHANGES, _MOST_RULES = 2000, 40
_YEARS_BACK = 4
# Far from the end of the calendar, so that nothing runs over it.
_LAST_YEAR = 9000


@dataclass(frozen=True)
class _Observance:
    """Standard or daylight time: from when, by which offsets before and after."""

    first: datetime
    before: timedelta
    after: timedelta
    rule: Repeat | None
    more: tuple[datetime, ...]

    @property
    def gap(self) -> timedelta:
        """Where the clocks go forward, the hour they leave out still goes by the offset before."""
        return max(self.after - self.before, timedelta())

    def onsets(self, year: int) -> Iterator[datetime]:
        """Begins among which the latest one of a year is."""
        yield from (self.first, *self.more)
        # A year may be without one: the rule says every second.
        since = max(year - _YEARS_BACK, self.first.year)
        if self.rule is not None and since <= year:
            first, last = date(since, 1, 1), date(year, 12, 31)
            yield from starts_of(self.rule, self.first, last, self.instant, first)

    def instant(self, wall: datetime) -> datetime:
        return (wall - self.before).replace(tzinfo=UTC)


class _OwnZone:
    """A zone that only the file knows, laid out once for each year that is asked about."""

    def __init__(self, observances: Sequence[_Observance]) -> None:
        self._observances = observances
        # Before the first of them its own "from" counts.
        self._before = min(observances, key=lambda one: one.first).before
        self._years: dict[int, tuple[list[datetime], list[timedelta]]] = {}

    def clock(self, wall: datetime) -> datetime:
        if wall.year not in self._years:
            self._years[wall.year] = self._laid_out(wall.year)
        begins, offsets = self._years[wall.year]
        place = bisect_right(begins, wall)
        return (wall - (offsets[place - 1] if place else self._before)).replace(tzinfo=UTC)

    def _laid_out(self, year: int) -> tuple[list[datetime], list[timedelta]]:
        """From which times on the wall on which offsets count: those of the latest begin."""
        begins, offsets, latest = list[datetime](), list[timedelta](), None
        changes = [
            (onset + one.gap, onset, place)
            for place, one in enumerate(self._observances)
            for onset in one.onsets(year)
        ]
        for begin, onset, place in sorted(changes):
            if latest is None or onset > latest:
                begins.append(begin)
                offsets.append(self._observances[place].after)
                latest = onset
        return begins, offsets


@dataclass(frozen=True)
class Zones:
    """What the zone names of one file mean; times without a zone are the plant's."""

    plant: tzinfo
    own: Mapping[str, _OwnZone]

    def clock(self, line: Line) -> Clock:
        """Of a date-time's line that is not in UTC; refuses a name nobody knows."""
        name = line.params.get("TZID", "")
        if not name:
            return lambda wall: instant_of_wall(wall, self.plant)
        if known := _known(name):
            return lambda wall: instant_of_wall(wall, ZoneInfo(known))
        if own := self.own.get(name):
            return own.clock
        raise EventRefused(CalendarFault.ZONE_UNKNOWN, line.at, name)


def utc_clock(wall: datetime) -> datetime:
    return wall.replace(tzinfo=UTC)


def zones_of(calendars: list[Component], plant: tzinfo) -> Zones:
    """The zones of a file; one that cannot be read is unknown to the events that name it."""
    own: dict[str, _OwnZone] = {}
    changes = rules = 0
    for part in (one for calendar in calendars for one in calendar.parts):
        name = part.first("TZID") if part.name == "VTIMEZONE" else None
        if name is None or not part.parts or _known(name.value):
            continue
        try:
            observances = [_observance(one) for one in part.parts[:_MOST_CHANGES]]
        except (ValueError, AttributeError, OverflowError):
            continue
        changes += sum(1 + len(one.more) for one in observances)
        rules += sum(one.rule is not None for one in observances)
        if changes > _MOST_CHANGES or rules > _MOST_RULES:
            break
        own[name.value] = _OwnZone(observances)
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


def _observance(part: Component) -> _Observance:
    values = {line.name: line.value for line in part.lines}
    rule = read_rule(values["RRULE"]) if "RRULE" in values else None
    if rule is not None and (rule.frequency is not Frequency.YEARLY or rule.count is not None):
        # Clocks change by the year; what counts from the past would have to be followed from there.
        raise ValueError("no rule of a zone")
    more = [one for line in part.all("RDATE") for one in line.value.split(",")][:_MOST_CHANGES]
    return _Observance(
        first=_wall(values.get("DTSTART", "")),
        before=_offset(values.get("TZOFFSETFROM", "")),
        after=_offset(values.get("TZOFFSETTO", "")),
        rule=rule,
        more=tuple(_wall(one) for one in more),
    )


def _wall(value: str) -> datetime:
    wall = datetime.strptime(value.rstrip("Z"), "%Y%m%dT%H%M%S")  # noqa: DTZ007
    if wall.year > _LAST_YEAR:
        raise ValueError(f"no change of clocks: {value!r}")
    return wall


def _offset(value: str) -> timedelta:
    """UTC-OFFSET (3.3.14): +0530, -033052."""
    if value[:1] not in {"+", "-"} or not value[1:].isdigit() or len(value) not in {5, 7}:
        raise ValueError(f"no offset: {value[:20]!r}")
    hours, minutes, seconds = int(value[1:3]), int(value[3:5]), int(value[5:] or 0)
    if hours > 23 or minutes > 59 or seconds > 59:
        raise ValueError(f"no offset: {value!r}")
    size = timedelta(hours=hours, minutes=minutes, seconds=seconds)
    return -size if value[0] == "-" else size
