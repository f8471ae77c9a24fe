"""Events laid out: every window that a calendar puts into the coming months."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from workorders.planning.outages.calendar_file.events import Event
from workorders.planning.outages.calendar_file.faults import (
    CalendarFault,
    CalendarRefused,
    Refused,
)
from workorders.planning.outages.calendar_file.values import Length, Moment
from workorders.planning.outages.repeats import starts_of

# Thirteen months: a year and the next yearly shutdown; engineering judgement.
HORIZON = timedelta(days=396)
MOST_WINDOWS = 3000
# Days that may be followed for rules which count from their first, all events together.
_MOST_COUNTED_DAYS = 200_000


@dataclass(frozen=True)
class Occurrence:
    """`id_at` is the instant that tells it from its sisters, wherever it was moved to since."""

    uid: str
    id_at: datetime
    starts_at: datetime
    ends_at: datetime
    name: str
    words: tuple[str, ...]
    line: int
    is_cancelled: bool
    comes_back: bool


def lay_out(
    events: Sequence[Event], now: datetime, until: datetime
) -> tuple[list[Occurrence], list[Refused]]:
    """Every window that is not over and begins before `until`, and events that count too far.

    Raises
    ------
    CalendarRefused
        If there are more than MOST_WINDOWS.
    """
    found: list[Occurrence] = []
    refused: list[Refused] = []
    others = {(one.uid, one.instead_of.at): one for one in events if one.instead_of is not None}
    counted = 0
    for event in events:
        counted += _counted_days(event, until)
        if counted > _MOST_COUNTED_DAYS:
            told = {"name": event.name, "uid": event.uid}
            refused.append(Refused(CalendarFault.COUNTS_TOO_FAR, event.line, **told))
            continue
        for one in _of_event(event, others, now, until):
            found.append(one)
            if len(found) > MOST_WINDOWS:
                raise CalendarRefused(Refused(CalendarFault.TOO_MANY_WINDOWS))
    return sorted(found, key=lambda one: (one.starts_at, one.uid, one.id_at)), refused


def _counted_days(event: Event, until: datetime) -> int:
    if event.rule is None or event.rule.count is None:
        return 0
    return max(0, (until.date() - event.start.wall.date()).days)


def _of_event(
    event: Event, others: dict[tuple[str, datetime], Event], now: datetime, until: datetime
) -> Iterator[Occurrence]:
    if event.instead_of is not None:
        starts: Iterator[tuple[datetime, Moment]] = iter([(event.instead_of.at, event.start)])
    else:
        starts = (
            (moment.at, moment)
            for moment in _moments(event, now, until)
            if (event.uid, moment.at) not in others
        )
    comes_back = event.rule is not None or bool(event.also) or event.instead_of is not None
    for id_at, moment in starts:
        starts_at = moment.at
        ends_at = _end(moment, event.length)
        if ends_at > now and starts_at < until and ends_at > starts_at:
            yield Occurrence(
                uid=event.uid,
                id_at=id_at,
                starts_at=starts_at,
                ends_at=ends_at,
                name=event.name,
                words=event.words,
                line=event.line,
                is_cancelled=event.is_cancelled,
                comes_back=comes_back,
            )


def _moments(event: Event, now: datetime, until: datetime) -> Iterator[Moment]:
    """Each start that is not left out, by the clock the event hangs under."""
    out_at = {one.at for one in event.left_out if not one.is_day or event.start.is_day}
    # Some programs leave out the day of an hour; it is meant.
    out_days = {one.wall.date() for one in event.left_out if one.is_day}
    given = {moment.at: moment for moment in (event.start, *event.also)}
    if event.rule is not None:
        span = timedelta(days=event.length.days + 2) + event.length.exact
        first, last = (now - span).date(), (until + timedelta(days=1)).date()
        walls = starts_of(event.rule, event.start.wall, last, event.start.clock, first)
        for wall in walls:
            moment = replace(event.start, wall=wall)
            given.pop(moment.at, None)
            if moment.at not in out_at and wall.date() not in out_days:
                yield moment
    for at, moment in given.items():
        if at not in out_at and moment.wall.date() not in out_days:
            yield moment


def _end(moment: Moment, length: Length) -> datetime:
    """Whole days by the wall, hours by the clock (RFC 5545, 3.3.6)."""
    return moment.clock(moment.wall + timedelta(days=length.days)) + length.exact
