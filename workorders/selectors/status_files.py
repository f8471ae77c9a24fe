"""Status files and their rows as the pages list them."""

from datetime import datetime, timedelta

from django.db.models import Count, Q, QuerySet

from plant.models import ExchangeSetting
from workorders.models import PickUp, StatusFile, StatusRow

Outcome = StatusRow.Outcome
_SILENT_AFTER = timedelta(minutes=1)


def files_of(setting: ExchangeSetting) -> QuerySet[StatusFile]:
    """The newest first, each with how many of its rows became what."""
    counted = StatusFile.objects.filter(setting=setting).annotate(
        **{
            f"rows_{outcome.value}": Count("rows", filter=Q(rows__outcome=outcome))
            for outcome in Outcome
        }
    )
    return counted.order_by("-found_at", "-pk")


def rows_of(file: StatusFile, outcome: str) -> QuerySet[StatusRow]:
    rows = StatusRow.objects.filter(file=file).select_related("order").order_by("row_number")
    return rows.filter(outcome=outcome) if outcome in Outcome.values else rows


def counts_of(file: StatusFile) -> dict[str, int]:
    rows = StatusRow.objects.filter(file=file).order_by()
    return dict(rows.values_list("outcome").annotate(Count("pk")))


def pick_up_of(setting: ExchangeSetting) -> PickUp | None:
    return PickUp.objects.filter(setting=setting).first()


def is_silent(pick_up: PickUp | None, now: datetime) -> bool:
    """Whether its worker has not been heard of for a while."""
    worked_at = pick_up.worked_at if pick_up else None
    return worked_at is not None and worked_at < now - _SILENT_AFTER
