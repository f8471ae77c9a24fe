"""The windows of a series, from its rule and the clock on the plant's wall."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta, tzinfo

from workorders.planning.outages.repeat_rules import Repeat
from workorders.planning.outages.repeats import starts_of


def instant_of_wall(wall: datetime, zone: tzinfo) -> datetime:
    """The instant at which a clock in the zone shows this naive time, in UTC.

    Of two it is the first; a time the clocks leave out is read with the offset before the change
    (RFC 5545, 3.3.5).
    """
    return wall.replace(tzinfo=zone, fold=0).astimezone(UTC)


def windows_of(
    rule: Repeat, first: datetime, minutes: int, zone: tzinfo, since: date, until: date
) -> Iterator[tuple[datetime, datetime]]:
    """Begin and end of each window of a series, in UTC, in order.

    Both ends keep to the clock on the wall: six to two is six to two in the night in which the
    clocks change too, an hour longer or shorter.

    Parameters
    ----------
    rule : Repeat
    first : datetime
        When the first window begins, naive, by the clock on the wall.
    minutes : int
        By the clock on the wall, > 0. [min]
    zone : tzinfo
    since, until : date
        Days on which a window may begin, both included.

    Notes
    -----
    A window that the change of the clocks leaves no minute of is left out.
    """

    def instant(wall: datetime) -> datetime:
        return instant_of_wall(wall, zone)

    for wall in starts_of(rule, first, until, instant, since):
        begins, ends = instant(wall), instant(wall + timedelta(minutes=minutes))
        if begins < ends:
            yield begins, ends
