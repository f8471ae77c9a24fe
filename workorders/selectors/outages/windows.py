"""Outage windows as the list shows them."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from django.db.models import Count, F, Min, Q, QuerySet

from workorders.models import OutageSeries, OutageWindow
from workorders.models.outage_window import OutageWindowQuerySet
from workorders.order_states import OPEN_STATES

_OPEN = sorted(state.value for state in OPEN_STATES)


class When(StrEnum):
    COMING = "coming"
    PAST = "past"
    CALLED_OFF = "called-off"


@dataclass(frozen=True)
class WindowsWanted:
    when: When = When.COMING
    tag: str = ""


def windows_wanted(
    rows: OutageWindowQuerySet, wanted: WindowsWanted, now: datetime
) -> OutageWindowQuerySet:
    """Those asked for, the nearest first, with conveyors and number of open orders."""
    if wanted.when is When.CALLED_OFF:
        rows = rows.filter(called_off_at__isnull=False).order_by("-starts_at", "-pk")
    elif wanted.when is When.PAST:
        rows = rows.standing().filter(ends_at__lte=now).order_by("-starts_at", "-pk")
    else:
        rows = rows.standing().filter(ends_at__gt=now).order_by("starts_at", "pk")
    if wanted.tag:
        rows = rows.filter(
            pk__in=OutageWindow.objects.filter(conveyors__tag=wanted.tag).values("pk")
        )
    return rows.annotate(
        order_count=Count("orders", filter=Q(orders__state__in=_OPEN))
    ).prefetch_related("conveyors")


def series_of(rows: QuerySet[OutageSeries], now: datetime) -> QuerySet[OutageSeries]:
    """Those that go on first, with conveyors and the next window of each."""
    coming = Q(windows__called_off_at__isnull=True, windows__ends_at__gt=now)
    return (
        rows.annotate(next_at=Min("windows__starts_at", filter=coming))
        .prefetch_related("conveyors")
        .order_by(F("ended_on").desc(nulls_first=True), "name", "pk")
    )


def windows_of_series(series: OutageSeries) -> OutageWindowQuerySet:
    rows = OutageWindow.objects.filter(series=series)
    return rows.annotate(order_count=Count("orders", filter=Q(orders__state__in=_OPEN))).order_by(
        "starts_at", "pk"
    )
