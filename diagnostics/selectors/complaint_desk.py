"""What the person at the telephone needs to see: belts, what is open on them, what was said."""

from datetime import datetime, timedelta

from django.db.models import Count, OuterRef, Q, QuerySet, Subquery

from diagnostics.models import Case, Complaint
from plant.models import Conveyor

_STANDING = Q(complaints__withdrawn_at__isnull=True)


def open_cases_on(conveyor: Conveyor) -> list[Case]:
    """Open cases of a belt, newest first, each with its last complaint's words and their number."""
    last = Complaint.objects.filter(case=OuterRef("pk"), withdrawn_at__isnull=True).order_by(
        "-received_at", "-pk"
    )
    return list(
        Case.objects.open()
        .filter(conveyor=conveyor)
        .annotate(
            last_words=Subquery(last.values("words")[:1]),
            last_at=Subquery(last.values("received_at")[:1]),
            how_many=Count("complaints", filter=_STANDING),
        )
    )


def lately_proved_on(conveyor: Conveyor, now: datetime) -> list[Case]:
    """Cases whose proof run passed within the plant's recurrence window: has one come back?"""
    since = now - timedelta(days=conveyor.plant.recurrence_window_days)
    return list(conveyor.cases.filter(proved_at__gte=since).order_by("-proved_at")[:3])


def complaints_wanted(
    rows: QuerySet[Complaint], *, plant: str = "", belt: str = "", which: str = "", words: str = ""
) -> QuerySet[Complaint]:
    """The newest first; `which` is `standing`, `without a belt`, `withdrawn` or empty for all."""
    if plant:
        rows = rows.filter(plant__code=plant)
    if belt:
        rows = rows.filter(Q(conveyor__tag__icontains=belt) | Q(conveyor__name__icontains=belt))
    if words:
        rows = rows.filter(Q(words__icontains=words) | Q(caller_name__icontains=words))
    if which == "withdrawn":
        rows = rows.filter(withdrawn_at__isnull=False)
    elif which:
        rows = rows.filter(withdrawn_at__isnull=True)
    if which == "without a belt":
        rows = without_belt(rows)
    return rows.select_related("plant", "conveyor", "case", "received_by").order_by(
        "-received_at", "-pk"
    )


def without_belt(rows: QuerySet[Complaint]) -> QuerySet[Complaint]:
    """Standing complaints that wait for somebody to say which belt it is."""
    return rows.filter(conveyor__isnull=True, withdrawn_at__isnull=True)


def cases_to_move_to(complaint: Complaint, cases: QuerySet[Case]) -> QuerySet[Case]:
    """Open cases of the complaint's plant, those on its own belt first."""
    own = Q(conveyor_id=complaint.conveyor_id) if complaint.conveyor_id else Q(pk__in=[])
    return (
        cases.filter(pk__in=Case.objects.open().values("pk"), conveyor__plant=complaint.plant_id)
        .exclude(complaints=complaint)
        .annotate(is_on_other_belt=~own)
        .select_related("conveyor")
        .order_by("is_on_other_belt", "-opened_at")
    )
