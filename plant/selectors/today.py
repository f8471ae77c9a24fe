"""Which day it is: always the plant's own, never the server's or UTC's.

`Plant.day_of` tells it for one plant; here it is told for rows of several plants at once. A due
day is a day of the plant, so something is overdue as soon as the plant's own next day begins.
"""

from collections.abc import Iterable
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Q

from plant.models import Plant


def latest_day(plants: Iterable[Plant], now: datetime) -> date:
    """Today where the day begins first: a list over several plants leaves out nothing of it."""
    return max((plant.day_of(now) for plant in plants), default=now.date())


def past_days(day: str, plant: str, now: datetime) -> Q:
    """Rows whose day is over at their plant; both are named as a filter of the rows names them.

    One query for the zones that plants have, however many plants.
    """
    zones: dict[date, list[str]] = {}
    for name in Plant.objects.order_by().values_list("time_zone", flat=True).distinct():
        zones.setdefault(now.astimezone(ZoneInfo(name)).date(), []).append(name)
    is_past = Q(pk__in=[])
    for today, names in zones.items():
        is_past |= Q(**{f"{plant}__time_zone__in": names, f"{day}__lt": today})
    return is_past
