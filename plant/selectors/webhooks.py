"""Webhook targets with how they fare, their log, and what the whole site owes."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Count, Exists, IntegerField, Min, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from plant.models import WebhookDelivery, WebhookTarget

State = WebhookDelivery.State


@dataclass(frozen=True)
class Backlog:
    """`oldest_at`: since when the longest waiting delivery of a target that is on is owed."""

    owed: int
    oldest_at: datetime | None
    parked: int

    def oldest_s(self, now: datetime) -> float:
        return 0.0 if self.oldest_at is None else max(0.0, (now - self.oldest_at).total_seconds())


def backlog() -> Backlog:
    """All plants together, for whoever watches the site; what is paused is not waited for."""
    unfinished = WebhookDelivery.objects.unfinished().order_by()
    is_owed = Q(state=State.OWED, target__off="")
    found = unfinished.aggregate(
        owed=Count("pk", filter=is_owed),
        oldest_at=Min("made_at", filter=is_owed),
        parked=Count("pk", filter=Q(state=State.PARKED)),
    )
    return Backlog(**found)


def with_counts(targets: QuerySet[WebhookTarget]) -> QuerySet[WebhookTarget, Any]:
    """Each with `owed` and `parked`."""
    return targets.annotate(owed=_count(State.OWED), parked=_count(State.PARKED))


def log_of(target: WebhookTarget, state: str) -> QuerySet[WebhookDelivery, Any]:
    """Newest first; each with `held`, what waits behind it, and `is_held`, whether it waits."""
    rows = target.deliveries.all()
    if state:
        rows = rows.filter(state=state)
    return with_line(rows).order_by("-number")


def with_line(rows: QuerySet[WebhookDelivery]) -> QuerySet[WebhookDelivery, Any]:
    line = WebhookDelivery.objects.unfinished().filter(
        target=OuterRef("target"), of=OuterRef("of"), row_id=OuterRef("row_id")
    )
    later = line.filter(number__gt=OuterRef("number"))
    return rows.annotate(
        held=_counted(later.order_by().values("row_id")),
        is_held=Exists(line.filter(number__lt=OuterRef("number"))),
    )


def _count(state: str) -> Coalesce:
    rows = WebhookDelivery.objects.filter(target=OuterRef("pk"), state=state)
    return _counted(rows.order_by().values("target"))


def _counted(rows: QuerySet[WebhookDelivery, Any]) -> Coalesce:
    counted = rows.annotate(rows=Count("pk")).values("rows")
    return Coalesce(Subquery(counted), 0, output_field=IntegerField())
