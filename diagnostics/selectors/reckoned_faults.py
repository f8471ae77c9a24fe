"""Reckonings that stand: which is the usual one, how fresh each is, and which are owed anew."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import DateField, Exists, F, Func, OuterRef, Q, QuerySet, Value
from django.db.models.functions import Cast, TruncDate

from diagnostics.fault_choice import FaultChoice
from diagnostics.models import Case, FaultReckoning
from diagnostics.recurrence.faults.plant import PlantFaults, UnreadableFaults
from diagnostics.selectors import usual_exposure
from plant.metering.basis import Basis
from plant.models import Conveyor, MeterReadingChange, Plant
from plant.selectors import exposures

# Nobody has looked at it for so long: it is kept fresh no more.
LOOKED_AT_WITHIN = timedelta(days=14)
# However much changes, reckoned no more often than this: soon for what somebody looks at or could
# open any moment, else rarely.
SOON, RARELY = timedelta(minutes=10), timedelta(hours=6)
_LOOKING = timedelta(hours=1)
# What a transaction changed just before the reckoning read, and ended after it.
_LATE = timedelta(seconds=30)


@dataclass(frozen=True)
class Freshness:
    """`reckoned_at` is when its cases were read; None while there is nothing yet.

    `cases` and `readings` were opened, kept, changed or taken back since; with a `new_day` the
    period has moved on. `is_owed` while it is to be reckoned (anew).
    """

    reckoned_at: datetime | None
    cases: int = 0
    readings: int = 0
    new_day: bool = False
    is_owed: bool = False

    @property
    def is_fresh(self) -> bool:
        return self.reckoned_at is not None and not (self.cases or self.readings or self.new_day)


def usual_choice(plant: Plant, now: datetime) -> FaultChoice:
    """What a page shows that was asked for nothing else; one query once it was reckoned."""
    standing = FaultReckoning.objects.filter(plant=plant, is_usual=True).first()
    return FaultChoice.of(standing) if standing else FaultChoice(usual_exposure.weighed(plant, now))


def plant_faults(reckoning: FaultReckoning) -> PlantFaults | None:
    """What stands of all belts; None before it was reckoned, or by an older program."""
    try:
        return PlantFaults.of_json(reckoning.result)
    except UnreadableFaults:
        return None


def freshness_of(reckoning: FaultReckoning, now: datetime) -> Freshness:
    """What has changed since a reckoning; two queries."""
    since, is_owed = reckoning.reckoned_at, reckoning.owed_at is not None
    if since is None:
        return Freshness(None, is_owed=is_owed)
    plant = reckoning.plant
    first, _last = exposures.instants_of(
        plant.zone_info, reckoning.first_on, reckoning.last_on, now
    )
    cases = Case.objects.filter(
        conveyor__plant=plant, changed_at__gt=since, opened_at__gte=first
    ).count()
    readings = (
        0
        if reckoning.basis == Basis.CALENDAR
        else MeterReadingChange.objects.filter(conveyor__plant=plant, pgh_created_at__gt=since)
        .values("pgh_obj")
        .distinct()
        .count()
    )
    return Freshness(since, cases, readings, _has_new_day(reckoning, now), is_owed)


def _has_new_day(reckoning: FaultReckoning, now: datetime) -> bool:
    today: date = reckoning.plant.day_of(now)
    return bool(reckoning.span) and reckoning.last_on != today


def forgotten(now: datetime) -> QuerySet[FaultReckoning]:
    """Those nobody has looked at for long."""
    return FaultReckoning.objects.filter(
        is_usual=False, looked_at__lt=now - LOOKED_AT_WITHIN, worked_at__isnull=True
    )


def stale(now: datetime) -> QuerySet[FaultReckoning]:
    """Those that stand and should be reckoned anew, none of them owed or refused."""
    is_looked_at = Q(is_usual=True) | Q(looked_at__gte=now - _LOOKING)
    is_due = Q(is_looked_at, reckoned_at__lt=now - SOON) | Q(reckoned_at__lt=now - RARELY)
    stand = FaultReckoning.objects.filter(owed_at__isnull=True, refusal="")
    return stand.filter(
        is_due & _is_changed() | _is_of_another_day(now),
        Q(is_usual=True) | Q(looked_at__gte=now - LOOKED_AT_WITHIN),
        reckoned_at__isnull=False,
    )


def is_anything_due(now: datetime) -> bool:
    """Whether a sweep would find anything to owe, to forget or to do; one query."""
    due = (stale(now), forgotten(now), FaultReckoning.objects.owed(), without_usual())
    first, *others = (rows.order_by().values_list("pk") for rows in due)
    return first.union(*others, all=True).exists()


def without_usual() -> QuerySet[Plant]:
    """Plants that have cases, and no reckoning that always stands."""
    has_case = Exists(Case.objects.filter(conveyor__plant=OuterRef("pk")))
    has_usual = Exists(FaultReckoning.objects.filter(plant=OuterRef("pk"), is_usual=True))
    return Plant.objects.filter(has_case, ~has_usual)


def _is_changed() -> Q:
    since = OuterRef("reckoned_at") - Value(_LATE)
    own = {"conveyor__plant": OuterRef("plant")}
    cases = Case.objects.filter(**own, changed_at__gt=since)
    # Of one that was taken back nothing but its change is left.
    readings = MeterReadingChange.objects.filter(**own, pgh_created_at__gt=since)
    # Belts that came or went; any other change of one costs a reckoning and changes nothing.
    belts = Conveyor.objects.filter(plant=OuterRef("plant"), changed_at__gt=since)
    return Q(Exists(cases)) | Q(Exists(readings), ~Q(basis=Basis.CALENDAR)) | Q(Exists(belts))


def _is_of_another_day(now: datetime) -> Q:
    here = Func(F("plant__time_zone"), Value(now), function="timezone")
    moved = ~Q(span="") & ~Q(last_on=Cast(here, DateField()))
    # Two fixed days that were not over then: what was counted was not the whole of them.
    goes_on = Q(
        span="",
        reckoned_at__lt=now - timedelta(hours=20),
        last_on__gte=TruncDate("reckoned_at"),
    )
    return moved | goes_on
