"""What can be taken along or sent out: the packs of coming windows."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Q, QuerySet

from workorders.models import Crew, OutageWindow, WorkOrder
from workorders.selectors.job_papers.pack import TO_DO


@dataclass(frozen=True)
class CrewJobs:
    crew: Crew
    jobs: int


def coming_windows(windows: QuerySet[OutageWindow], now: datetime) -> QuerySet[OutageWindow]:
    """Those that are not over and have jobs still to do (`jobs`), the next first."""
    to_do = Count("orders", filter=Q(orders__state__in=TO_DO))
    return (
        windows.filter(ends_at__gt=now)
        .select_related("plant")
        .annotate(jobs=to_do)
        .filter(jobs__gt=0)
        .order_by("starts_at", "pk")
    )


def working_crews(crews: QuerySet[Crew]) -> QuerySet[Crew]:
    return crews.filter(retired_on__isnull=True).select_related("plant").order_by("plant", "name")


def crews_in(windows: Collection[OutageWindow]) -> dict[int, list[CrewJobs]]:
    """By window, who has jobs in it; two queries however many windows."""
    counted = (
        WorkOrder.objects.filter(window__in=windows, state__in=TO_DO, crew__isnull=False)
        .values_list("window_id", "crew_id")
        .annotate(jobs=Count("pk"))
        .order_by("window_id", "crew__name")
    )
    rows = list(counted)
    crews = Crew.objects.in_bulk({crew for _window, crew, _jobs in rows})
    found: dict[int, list[CrewJobs]] = defaultdict(list)
    for window, crew, jobs in rows:
        found[window].append(CrewJobs(crews[crew], jobs))
    return found
