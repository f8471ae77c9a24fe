"""Belts of a plant in the order of their recurring faults, and what the list of them needs beside.

What a row says is reckoned beforehand; a page of it takes a fixed number of queries.
"""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from django.db.models import F, OuterRef, QuerySet, Subquery, Window
from django.db.models.functions import RowNumber
from django.db.models.query_utils import Q

from diagnostics.fault_choice import FaultChoice
from diagnostics.models import BeltFaults, Case, FaultReckoning
from diagnostics.selectors import usual_exposure
from diagnostics.selectors.trends import NO_EVENT
from plant.metering.basis import Basis
from plant.models import Conveyor, Plant


class By(StrEnum):
    """What the worst is the worst by; the word stands in the address."""

    LOST = "lost"
    CASES = "cases"
    WORSE = "worse"
    TREND = "trend"


# Figures that are not known stand last; of equal belts the one with more cases goes first.
_ORDERS = {
    By.LOST: ("-lost_hours", "-events"),
    By.CASES: ("-events", "-repeats", "-lost_hours"),
    By.WORSE: (
        F("probability_worse").desc(nulls_last=True),
        F("shrunk").desc(nulls_last=True),
        "-events",
    ),
    By.TREND: ("-trend", F("trend_shape").desc(nulls_last=True), "-events"),
}


@dataclass(frozen=True)
class Wanted:
    """What is looked at: `basis` None is the plant's usual one, `days` stand for no span."""

    area: str = ""
    family: str = ""
    basis: Basis | None = None
    span: str = FaultReckoning.Span.USUAL.value
    days: tuple[date, date] | None = None
    by: By = By.LOST


def choice_of(plant: Plant, wanted: Wanted, now: datetime) -> FaultChoice:
    """The reckoning that answers; on the plant's usual exposure unless one is named."""
    basis = wanted.basis or usual_exposure.usual_of(plant, now)
    return FaultChoice(basis, wanted.family, wanted.span, *(wanted.days or (None, None)))


def ranked(reckoning: FaultReckoning, wanted: Wanted) -> QuerySet[BeltFaults]:
    """Belts with a case in the period, the worst first."""
    return every_belt(reckoning, wanted).filter(events__gt=0)


def every_belt(reckoning: FaultReckoning, wanted: Wanted) -> QuerySet[BeltFaults]:
    """Those without a case, too."""
    rows = BeltFaults.objects.filter(reckoning=reckoning).select_related("conveyor__plant")
    if wanted.area:
        rows = rows.filter(conveyor__area=wanted.area)
    return rows.order_by(*_ORDERS[wanted.by], "conveyor__tag", "pk")


@dataclass(frozen=True)
class OpenEnds:
    """Of each belt, by its key: the number of a case that a step begins at; "" where there is none.

    `open_cases` are those not mended yet, `unsaid` those of which nobody said the lost hours; the
    newest of each.
    """

    open_cases: dict[int, str]
    unsaid: dict[int, str]


def open_ends(conveyor_ids: Collection[int]) -> OpenEnds:
    """One query, which reads of each belt no more than its newest cases."""
    own = Case.objects.filter(conveyor=OuterRef("pk")).order_by("-opened_at", "-pk")
    unsaid = own.filter(lost_hours__isnull=True).exclude(state__in=NO_EVENT)
    rows = Conveyor.objects.filter(pk__in=conveyor_ids).values_list(
        "pk", Subquery(own.open().values("number")[:1]), Subquery(unsaid.values("number")[:1])
    )
    found = list(rows.order_by())
    return OpenEnds(
        {belt: number or "" for belt, number, _unsaid in found},
        {belt: number or "" for belt, _open, number in found},
    )


def usual_reckonings(plants: Iterable[Plant]) -> list[FaultReckoning]:
    """What stands of each plant for the usual period and all families."""
    rows = FaultReckoning.objects.filter(plant__in=plants, is_usual=True, reckoned_at__isnull=False)
    return list(rows.select_related("plant").order_by("plant__name", "plant_id"))


def worst_of_each(reckonings: Collection[FaultReckoning], how_many: int) -> list[BeltFaults]:
    """The first belts of each reckoning by lost hours; one query."""
    place = Window(
        RowNumber(),
        partition_by=F("reckoning"),
        order_by=["-lost_hours", "-events", "conveyor__tag", "pk"],
    )
    rows = BeltFaults.objects.filter(
        Q(reckoning__in=reckonings), events__gt=0, conveyor__retired_on__isnull=True
    ).annotate(place=place)
    wanted = rows.filter(place__lte=how_many).order_by("reckoning_id", "place")
    return list(wanted.select_related("conveyor__plant", "reckoning"))
