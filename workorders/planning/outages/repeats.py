"""The days on which a window comes back.

Every rule is laid out up to a day that the caller names, whatever it says of itself:
COUNT=999999999 costs no more than the days up to there, and a rule that fits no day (30 February)
costs no more than one that does. Times are those of the clock on the plant's wall; an instant comes
of them only in the end.
"""

from collections.abc import Callable, Iterator
from datetime import date, datetime, timedelta

from workorders.planning.outages.repeat_rules import Frequency, NthDay, Repeat


def days_of(rule: Repeat, first: date, until: date, since: date | None = None) -> Iterator[date]:
    """The days of the rule in order, `first` always among them, none after `until`.

    Parameters
    ----------
    rule : Repeat
        Its COUNT counts from `first`; its UNTIL is left to `starts_of`, which knows the hour.
    first : date
        DTSTART's day: the first there is, whether or not it fits the rule.
    until : date
        The last day that is looked at.
    since : date, optional
        Days before it are left out; without a COUNT they are not even looked at.

    Notes
    -----
    Each day of each period is asked whether it fits: exact, and bounded by the days between.
    """
    days = _with_first(first, _after(rule, first, until, since))
    for number, day in enumerate(days, start=1):
        if day > until or (rule.count is not None and number > rule.count):
            return
        if since is None or day >= since:
            yield day


def starts_of(
    rule: Repeat,
    first: datetime,
    until: date,
    instant_of_wall: Callable[[datetime], datetime],
    since: date | None = None,
) -> Iterator[datetime]:
    """The starts of a rule by the clock on the wall, as naive times, in order.

    `instant_of_wall` says which instant a time on the wall is: an UNTIL in UTC needs it. See
    `days_of` for the rest.
    """
    last = rule.until
    for day in days_of(rule, first.date(), until, since):
        wall = datetime.combine(day, first.time())
        if last is not None and _is_past(wall, last, instant_of_wall):
            return
        yield wall


def fits(rule: Repeat, first: date, day: date) -> bool:
    """Whether the rule itself names the day, counted from `first`."""
    return any(one == day for one in _after(rule, first, day, day))


def _is_past(wall: datetime, last: date, instant_of_wall: Callable[[datetime], datetime]) -> bool:
    if not isinstance(last, datetime):
        return wall.date() > last
    return wall > last if last.tzinfo is None else instant_of_wall(wall) > last


def _with_first(first: date, days: Iterator[date]) -> Iterator[date]:
    yield first
    yield from (day for day in days if day > first)


def _after(rule: Repeat, first: date, until: date, since: date | None) -> Iterator[date]:
    """Days of the rule from `first` on, or from near `since` where nothing has to be counted."""
    number = 0
    if rule.count is None and since is not None and since > first:
        number = max(0, _periods_between(rule.frequency, first, since) // rule.interval - 1)
    while True:
        days = _period(rule, first, number * rule.interval)
        if days is None or days.start > until.toordinal():
            return
        yield from (day for day in _chosen(rule, first, days) if day >= first)
        number += 1


def _periods_between(frequency: Frequency, first: date, day: date) -> int:
    if frequency is Frequency.DAILY:
        return (day - first).days
    if frequency is Frequency.WEEKLY:
        return (day - first).days // 7
    months = (day.year - first.year) * 12 + day.month - first.month
    return months if frequency is Frequency.MONTHLY else months // 12


def _period(rule: Repeat, first: date, number: int) -> range | None:
    """The ordinals of the days of the period so many after that of `first`; None past the end."""
    if rule.frequency is Frequency.DAILY:
        begins, days = first.toordinal() + number, 1
    elif rule.frequency is Frequency.WEEKLY:
        back = (first.weekday() - rule.week_begins) % 7
        begins, days = first.toordinal() - back + number * 7, 7
    else:
        is_month = rule.frequency is Frequency.MONTHLY
        month = first.year * 12 + ((first.month - 1 + number) if is_month else number * 12)
        if month // 12 >= date.max.year:
            return None
        begins = date(month // 12, month % 12 + 1, 1).toordinal()
        month += 1 if is_month else 12
        days = date(month // 12, month % 12 + 1, 1).toordinal() - begins
    # The last year of the calendar is left alone, so that nothing runs over its end.
    return range(begins, begins + days) if begins + days < date.max.toordinal() - 366 else None


def _chosen(rule: Repeat, first: date, ordinals: range) -> list[date]:
    days = [date.fromordinal(one) for one in ordinals]
    found = [day for day in days if _is_of(rule, first, day)]
    if not rule.places:
        return found
    chosen = {place - 1 if place > 0 else len(found) + place for place in rule.places}
    return [day for place, day in enumerate(found) if place in chosen]


def _is_of(rule: Repeat, first: date, day: date) -> bool:
    months, month_days, days = rule.months, rule.month_days, rule.days
    if not month_days and not days:
        if rule.frequency is Frequency.WEEKLY:
            days = (NthDay(first.weekday()),)
        elif rule.frequency in {Frequency.MONTHLY, Frequency.YEARLY}:
            month_days = (first.day,)
            if rule.frequency is Frequency.YEARLY:
                months = months or (first.month,)
    if months and day.month not in months:
        return False
    if month_days and not _is_month_day(day, month_days):
        return False
    by_month = rule.frequency is Frequency.MONTHLY or bool(rule.months)
    return not days or any(_is_nth(day, one, by_month) for one in days)


def _is_month_day(day: date, wanted: tuple[int, ...]) -> bool:
    return day.day in wanted or day.day - 1 - _month_end(day).day in wanted


def _is_nth(day: date, wanted: NthDay, by_month: bool) -> bool:
    if day.weekday() != wanted.weekday:
        return False
    if wanted.nth == 0:
        return True
    if by_month:
        before, after = day.day - 1, (_month_end(day) - day).days
    else:
        before = (day - date(day.year, 1, 1)).days
        after = (date(day.year, 12, 31) - day).days
    return wanted.nth in (before // 7 + 1, -(after // 7) - 1)


def _month_end(day: date) -> date:
    return (day.replace(day=28) + timedelta(days=4)).replace(day=1) - timedelta(days=1)
