"""When the first case of each belt was opened: from then on at least its record is kept."""

from collections.abc import Collection
from datetime import datetime

from django.db.models import OuterRef, Subquery

from diagnostics.models import Case
from plant.models import Conveyor


def first_cases(plants: Collection[int]) -> dict[int, datetime]:
    """By conveyor; one query, one look into the index for each belt."""
    own = Case.objects.filter(conveyor=OuterRef("pk")).order_by("opened_at")
    rows = (
        Conveyor.objects.filter(plant__in=plants)
        .order_by()
        .values_list("pk", Subquery(own.values("opened_at")[:1]))
    )
    return {pk: at for pk, at in rows if at is not None}
