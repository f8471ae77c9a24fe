"""Crews as their pages show them: the week, who is away, the coming fortnight."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import pairwise

from django.db.models import Count, Prefetch, Q, QuerySet
from django.utils.dates import WEEKDAYS
from django.utils.functional import Promise

from workorders.models import Crew, CrewAbsence, CrewShift, WorkOrder
from workorders.order_states import OPEN_STATES

_OPEN = sorted(state.value for state in OPEN_STATES)
_DAYS_AHEAD = 14


@dataclass(frozen=True)
class WeekDay:
    words: str | Promise
    shifts: tuple[CrewShift, ...]


@dataclass(frozen=True)
class CrewDay:
    """One day of the fortnight; `there` is the fewest people at any minute of it."""

    day: date
    shifts: tuple[CrewShift, ...]
    away: tuple[CrewAbsence, ...]
    there: int
    orders: tuple[WorkOrder, ...]


def crews_of(rows: QuerySet[Crew], now: datetime, *, is_retired: bool) -> QuerySet[Crew]:
    """With shifts, open orders and who is away now or soon."""
    away = CrewAbsence.objects.filter(
        taken_back_at__isnull=True, ends_at__gt=now, starts_at__lt=now + timedelta(_DAYS_AHEAD)
    )
    return (
        rows.filter(retired_on__isnull=not is_retired)
        .annotate(order_count=Count("orders", filter=Q(orders__state__in=_OPEN)))
        .prefetch_related("shifts", Prefetch("absences", away))
        .order_by("name")
    )


def week_of(crew: Crew) -> list[WeekDay]:
    shifts = list(crew.shifts.all())
    return [
        WeekDay(words, tuple(one for one in shifts if one.weekday == number))
        for number, words in WEEKDAYS.items()
    ]


def absences_of(crew: Crew) -> QuerySet[CrewAbsence]:
    """The latest first, so that those to come stand above those that were."""
    rows = CrewAbsence.objects.filter(crew=crew).select_related("said_by")
    return rows.order_by("-starts_at", "-pk")


def coming_days(crew: Crew, now: datetime) -> list[CrewDay]:
    """Today and the days after it, in the plant's time; two queries."""
    zone = crew.plant.zone_info
    today = now.astimezone(zone).date()
    begins = [
        datetime.combine(today + timedelta(days=n), time(), zone) for n in range(_DAYS_AHEAD + 1)
    ]
    absences = list(
        CrewAbsence.objects.filter(
            crew=crew,
            taken_back_at__isnull=True,
            ends_at__gt=begins[0],
            starts_at__lt=begins[-1],
        )
    )
    orders = list(
        WorkOrder.objects.filter(
            crew=crew, state__in=_OPEN, planned_for__gte=begins[0], planned_for__lt=begins[-1]
        )
        .select_related("conveyor")
        .order_by("planned_for", "pk")
    )
    shifts = list(crew.shifts.all())
    return [
        _day(crew, (from_at, until_at), shifts, absences, orders)
        for from_at, until_at in pairwise(begins)
    ]


def _day(
    crew: Crew,
    span: tuple[datetime, datetime],
    shifts: Sequence[CrewShift],
    absences: Sequence[CrewAbsence],
    orders: Sequence[WorkOrder],
) -> CrewDay:
    from_at, until_at = span
    away = tuple(one for one in absences if one.starts_at < until_at and one.ends_at > from_at)
    # The fewest are there where some absence begins.
    starts = [max(one.starts_at, from_at) for one in away]
    most = max(
        (sum(one.people for one in away if one.starts_at <= at < one.ends_at) for at in starts),
        default=0,
    )
    return CrewDay(
        day=from_at.date(),
        shifts=tuple(one for one in shifts if one.weekday == from_at.weekday()),
        away=away,
        there=max(0, crew.people - most),
        orders=tuple(
            one for one in orders if one.planned_for and from_at <= one.planned_for < until_at
        ),
    )
