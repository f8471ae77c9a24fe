"""Cases over time as the trend pages show them."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Count, Q, QuerySet

from diagnostics import fixes
from diagnostics.case_states import CaseState
from diagnostics.fixes import Fix
from diagnostics.models import Case
from diagnostics.recurrence.trend_tables import TrendEvent
from plant.models import Plant

# Cases that turned out to be no mistracking at all are no events of it.
NO_EVENT = (CaseState.NOT_MISTRACKING.value, CaseState.CANCELLED.value)


@dataclass(frozen=True)
class Period:
    """Days in the plants' own zones, both included; `family` a cause class or empty."""

    first: date
    last: date
    family: str = ""

    @property
    def days(self) -> int:
        return (self.last - self.first).days + 1


@dataclass(frozen=True)
class BeltCount:
    conveyor: int
    plant_code: str
    tag: str
    name: str
    cases: int
    repeats: int


@dataclass(frozen=True)
class Repeat:
    """A case that came back, and what had been done the time before."""

    case: Case
    earlier: Case
    days_held: int | None
    fixes: list[Fix]


def cases_in(cases: QuerySet[Case], period: Period) -> QuerySet[Case]:
    """Cases of mistracking opened on a day of the period, each day counted in its plant's zone."""
    found = cases.exclude(state__in=NO_EVENT).filter(in_days(period, "opened_at"))
    return found.filter(cause_class=period.family) if period.family else found


def in_days(period: Period, instant: str, plant: str = "conveyor__plant") -> Q:
    """Rows whose instant lies in the period; both are named as a filter of the rows names them."""
    zones = Plant.objects.order_by().values_list("time_zone", flat=True).distinct()
    within = Q(pk__in=[])
    for name in zones:
        within |= Q(
            **{
                f"{plant}__time_zone": name,
                f"{instant}__gte": _midnight(period.first, name),
                f"{instant}__lt": _midnight(period.last + timedelta(days=1), name),
            }
        )
    return within


def _midnight(day: date, zone_name: str) -> datetime:
    return datetime.combine(day, time(), tzinfo=ZoneInfo(zone_name))


def events_of(cases: QuerySet[Case], period: Period) -> list[TrendEvent]:
    rows = cases_in(cases, period).values_list(
        "opened_at", "conveyor__plant__time_zone", "zone", "cause_class", "repeat_of_id"
    )
    return [_event(row) for row in rows]


def _event(row: tuple[datetime, str, str, str, int | None]) -> TrendEvent:
    opened_at, zone_name, zone, family, repeat_of = row
    on = opened_at.astimezone(ZoneInfo(zone_name)).date()
    return TrendEvent(on, zone, family, repeat_of is not None)


def belts_of(cases: QuerySet[Case], period: Period) -> list[BeltCount]:
    """Belts with cases in the period, those with most repeats first, then most cases."""
    rows = (
        cases_in(cases, period)
        .order_by()
        .values("conveyor", "conveyor__plant__code", "conveyor__tag", "conveyor__name")
        .annotate(how_many=Count("pk"), came_back=Count("pk", filter=Q(repeat_of__isnull=False)))
        .order_by("-came_back", "-how_many", "conveyor__tag")
    )
    return [
        BeltCount(
            row["conveyor"],
            row["conveyor__plant__code"],
            row["conveyor__tag"],
            row["conveyor__name"],
            row["how_many"],
            row["came_back"],
        )
        for row in rows
    ]


def repeats_of(cases: QuerySet[Case], period: Period) -> QuerySet[Case]:
    """Cases of the period that repeat an earlier one, the newest first."""
    return (
        cases_in(cases, period)
        .filter(repeat_of__isnull=False)
        .select_related("conveyor__plant", "repeat_of")
        .order_by("-opened_at", "-pk")
    )


def with_fixes(repeats: list[Case]) -> Iterator[Repeat]:
    """Each repeat with what had been done and how many days it held."""
    known = fixes.fixes_of({case.repeat_of_id for case in repeats if case.repeat_of_id})
    for case in repeats:
        earlier = case.repeat_of
        if earlier is not None:
            yield Repeat(case, earlier, _days_held(case, earlier), known[earlier.pk])


def _days_held(case: Case, earlier: Case) -> int | None:
    """Calendar days from the passed proof run to the return; None when it never passed one."""
    return None if earlier.proved_at is None else (case.opened_at - earlier.proved_at).days
