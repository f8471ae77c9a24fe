"""What the statistics of many belts divide by: a clock for each, in a fixed number of queries."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from django.contrib.postgres.aggregates import ArrayAgg
from django.db.models import (
    Expression,
    FloatField,
    Func,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    TextField,
)
from django.db.models.functions import Cast

from plant.metering.basis import Basis
from plant.metering.clocks import BeltClock, calendar_clock, metered_clock
from plant.metering.columns import NO_READINGS, Floats, MeterColumns, columns_from
from plant.metering.readings import MeterQuantity
from plant.models import Conveyor, MeterReading
from plant.selectors.watched_since import watched_since_of

_METERS = {Basis.RUNNING: MeterQuantity.RUNNING_HOURS, Basis.TONNES: MeterQuantity.TONNES}
# Running hours are the usual basis where at least this share of the belts is metered for at least
# this share of the time; engineering judgement. The rest is left out, so it must be small.
SHARE_OF_BELTS, SHARE_OF_TIME = 0.9, 0.75


@dataclass(frozen=True)
class _Watched:
    """A belt of the register, with the span in which it was watched."""

    conveyor: int
    first: datetime
    last: datetime
    neighbours: tuple[int, ...]


def clocks_of(
    conveyors: QuerySet[Conveyor], first: datetime, last: datetime, basis: Basis
) -> dict[int, BeltClock]:
    """The clock of each belt in a period, by the conveyor's key.

    A belt is watched from `plant.metering.watching` on and until the end of the day it was
    retired; one not watched in the period at all has no clock. A metered clock without readings
    is there and says that it knows nothing.
    """
    [found] = clocks_of_spans(conveyors, [(first, last)], basis)
    return found


def clocks_of_spans(
    conveyors: QuerySet[Conveyor], spans: Sequence[tuple[datetime, datetime]], basis: Basis
) -> list[dict[int, BeltClock]]:
    """The same for several spans, in no more queries than for one."""
    first, last = min(one for one, _end in spans), max(end for _begin, end in spans)
    belts = _watched(conveyors, first, last, basis)
    is_calendar = basis is Basis.CALENDAR
    readings = {} if is_calendar else _readings(belts, first, last, _METERS[basis])
    found = []
    for begin, end in spans:
        within = [(one, max(begin, one.first), min(end, one.last)) for one in belts]
        found.append(
            {
                one.conveyor: calendar_clock(since, until)
                if is_calendar
                else metered_clock(basis, readings.get(one.conveyor, NO_READINGS), since, until)
                for one, since, until in within
                if since < until
            }
        )
    return found


def usual_basis(conveyors: QuerySet[Conveyor], first: datetime, last: datetime) -> Basis:
    """Running hours when nearly all belts are metered most of the time, else the calendar."""
    clocks = clocks_of(conveyors, first, last, Basis.RUNNING)
    return Basis.RUNNING if are_metered(clocks.values()) else Basis.CALENDAR


def are_metered(clocks: Collection[BeltClock]) -> bool:
    """Whether nearly all clocks of meters know most of their time."""
    return bool(clocks) and sum(map(is_metered, clocks)) >= SHARE_OF_BELTS * len(clocks)


def is_metered(clock: BeltClock) -> bool:
    """Whether the clock knows most of its time."""
    return clock.unknown_days <= (1 - SHARE_OF_TIME) * clock.watched_days


def instants_of(
    zone: ZoneInfo, first: date, last: date, now: datetime
) -> tuple[datetime, datetime]:
    """Begin of the first day and end of the last, at most now; for `clocks_of`."""
    begin = datetime.combine(first, time(), tzinfo=zone).astimezone(UTC)
    end = datetime.combine(last + timedelta(days=1), time(), tzinfo=zone).astimezone(UTC)
    return begin, max(begin, min(end, now))


def _watched(
    conveyors: QuerySet[Conveyor], first: datetime, last: datetime, basis: Basis
) -> list[_Watched]:
    own = MeterReading.objects.filter(
        conveyor=OuterRef("pk"), quantity=_METERS.get(basis, MeterQuantity.RUNNING_HOURS).value
    )
    before = own.filter(read_at__lte=first).order_by("-read_at").values("pk")[:1]
    after = own.filter(read_at__gte=last).order_by("read_at").values("pk")[:1]
    rows = list(
        conveyors.order_by().values_list(
            "pk", "plant_id", "plant__time_zone", "retired_on", Subquery(before), Subquery(after)
        )
    )
    since = watched_since_of({row[1] for row in rows})
    found = []
    for pk, _plant, zone, retired_on, *neighbours in rows:
        begin = max(first, since.get(pk, first))
        end = last if retired_on is None else min(last, _end_of(retired_on, zone))
        if begin < end:
            found.append(_Watched(pk, begin, end, tuple(one for one in neighbours if one)))
    return found


def _end_of(day: date, zone: str) -> datetime:
    return datetime.combine(day + timedelta(days=1), time(), tzinfo=ZoneInfo(zone))


def _readings(
    belts: list[_Watched], first: datetime, last: datetime, quantity: MeterQuantity
) -> Mapping[int, MeterColumns]:
    """Readings in the period and those next to it, by conveyor; one query."""
    next_to_it = [pk for belt in belts for pk in belt.neighbours]
    rows = (
        MeterReading.objects.filter(
            Q(read_at__gt=first, read_at__lt=last) | Q(pk__in=next_to_it),
            conveyor__in=[belt.conveyor for belt in belts],
            quantity=quantity.value,
        )
        .order_by()
        .values_list("conveyor_id")
        .annotate(
            at_s=_listed(_Second("read_at")),
            figures=_listed("reading"),
            with_digits=_listed("digits"),
            firsts=_listed("new_meter_first"),
        )
    )
    return {conveyor: columns_from(np.array([*map(_parsed, texts)])) for conveyor, *texts in rows}


class _Second(Func):
    """Of an instant, counted since 1970 began in UTC; as Python's `timestamp` has it."""

    template = "EXTRACT(EPOCH FROM %(expressions)s)"
    output_field = FloatField()


def _listed(figure: Expression | str) -> Cast:
    """The figures of a belt in one text: a thousand belts have too many to fetch one by one."""
    return Cast(ArrayAgg(Cast(figure, FloatField()), order_by="read_at"), TextField())


def _parsed(text: str) -> Floats:
    return np.fromstring(text.strip("{}").replace("NULL", "nan"), sep=",")
