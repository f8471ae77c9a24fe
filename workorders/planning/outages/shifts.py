"""Shifts that come back every week, laid out as stretches of time.

Shifts are told in the plant's own time and stay there: "six to two" is six to two on the wall
before and after the clocks change, so that a night shift of that night is an hour longer or
shorter. A time the clocks leave out is read with the offset before the change, one they show twice
is the first of both (as RFC 5545, 3.3.5 reads such times).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from itertools import pairwise

from workorders.planning.outages.minutes import instant_of, minute_of
from workorders.planning.outages.plan import Span

_DAY = timedelta(days=1)
_DAY_MINUTES = 24 * 60
_WEEK_MINUTES = 7 * _DAY_MINUTES


@dataclass(frozen=True, order=True)
class WeeklyShift:
    """`weekday` 0 is Monday; one that ends no later than it begins ends on the next day."""

    weekday: int
    begins_at: time
    ends_at: time

    def __post_init__(self) -> None:
        if self.weekday not in range(7):
            raise ValueError(f"weekday must be 0 to 6, got {self.weekday!r}")

    @property
    def minutes(self) -> int:
        """How long it lasts by the clock on the wall; the same time twice is a whole day. [min]"""
        return (_of_day(self.ends_at) - _of_day(self.begins_at)) % _DAY_MINUTES or _DAY_MINUTES

    @property
    def begins_in_week(self) -> int:
        """[min since Monday 00:00]"""
        return self.weekday * _DAY_MINUTES + _of_day(self.begins_at)


def shift_spans(
    shifts: Iterable[WeeklyShift], zone: tzinfo, from_minute: int, until_minute: int
) -> tuple[Span, ...]:
    """Every shift that touches the stretch asked for, whole, in order.

    Shifts that meet or overlap come back as one span: the work of a crew may go on over the change
    of shift, and overtime can be asked for only after the last of them.

    Parameters
    ----------
    shifts : iterable of WeeklyShift
    zone : tzinfo
        The plant's zone.
    from_minute, until_minute : int
        The stretch, its end not included; `from_minute` < `until_minute`. [min since 1970 UTC]

    Returns
    -------
    tuple of Span
        Neither overlapping nor touching. The first may begin before the stretch and the last end
        after it: a night shift is not cut at midnight.

    Raises
    ------
    ValueError
        If the stretch is empty.

    Notes
    -----
    A shift that the change of the clocks leaves no minute of (02:30 to 03:15 in the night in which
    two o'clock becomes three) does not take place.
    """
    stretch = Span(from_minute, until_minute)
    by_day: dict[int, list[WeeklyShift]] = {}
    for shift in shifts:
        by_day.setdefault(shift.weekday, []).append(shift)
    found = [
        span
        for day in _days_of(stretch, zone)
        for shift in by_day.get(day.weekday(), ())
        if (span := _on_day(shift, day, zone)) is not None and span.shared_with(stretch)
    ]
    return merged(found)


def merged(spans: Iterable[Span]) -> tuple[Span, ...]:
    """The same minutes in the fewest spans, in order."""
    kept: list[Span] = []
    for span in sorted(spans):
        if kept and span.starts <= kept[-1].ends:
            kept[-1] = Span(kept[-1].starts, max(kept[-1].ends, span.ends))
        else:
            kept.append(span)
    return tuple(kept)


def first_overlap(shifts: Iterable[WeeklyShift]) -> tuple[WeeklyShift, WeeklyShift] | None:
    """Two shifts of the week that share time by the clock on the wall; None when there are none.

    Sunday night runs into Monday; shifts that only meet do not overlap.
    """
    ordered = sorted(shifts, key=lambda shift: shift.begins_in_week)
    for one, other in pairwise(ordered):
        if one.begins_in_week + one.minutes > other.begins_in_week:
            return one, other
    if len(ordered) > 1:
        first, last = ordered[0], ordered[-1]
        if last.begins_in_week + last.minutes > first.begins_in_week + _WEEK_MINUTES:
            return last, first
    return None


def wall_minute(day: date, at: time, zone: tzinfo) -> int:
    """The minute at which a clock in the zone shows this; [min since 1970-01-01 UTC]."""
    return minute_of(datetime.combine(day, at.replace(fold=0), zone).astimezone(UTC))


def _on_day(shift: WeeklyShift, day: date, zone: tzinfo) -> Span | None:
    last_day = day if shift.ends_at > shift.begins_at else day + _DAY
    starts = wall_minute(day, shift.begins_at, zone)
    ends = wall_minute(last_day, shift.ends_at, zone)
    return Span(starts, ends) if starts < ends else None


def _days_of(stretch: Span, zone: tzinfo) -> list[date]:
    """The days on which a shift that touches the stretch can begin."""
    first = instant_of(stretch.starts).astimezone(zone).date() - _DAY
    last = instant_of(stretch.ends).astimezone(zone).date()
    return [first + n * _DAY for n in range((last - first).days + 1)]


def _of_day(at: time) -> int:
    return at.hour * 60 + at.minute
