"""When files are due: every so many minutes, or once a day by the plant's clock."""

from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo


def next_due(
    after: datetime, zone: ZoneInfo, *, every_minutes: int | None = None, daily_at: time | None
) -> datetime:
    """The first instant after `after` at which files are due.

    Parameters
    ----------
    after : datetime
        An instant with its zone.
    zone : ZoneInfo
        The plant's own, for `daily_at`.
    every_minutes : int, optional
        > 0. [min]
    daily_at : time, optional
        A time of day; one of the two is given.

    Notes
    -----
    A time of day that the clocks skip in spring counts as an hour later, one that comes twice in
    autumn counts the first time (PEP 495, fold 0): each day has it once.
    """
    if daily_at is None:
        if every_minutes is None or every_minutes <= 0:
            raise ValueError("every_minutes must be above 0 where daily_at is not given.")
        return after + timedelta(minutes=every_minutes)
    day = after.astimezone(zone).date()
    while True:
        # Through UTC: only so are instants of one zone compared by when they are.
        due = datetime.combine(day, daily_at, zone).astimezone(after.tzinfo)
        if due.timestamp() > after.timestamp():
            return due
        day += timedelta(days=1)
