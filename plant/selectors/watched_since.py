"""Since when the belts of plants are under watch; the rule is plant/metering/watching.py."""

from collections.abc import Collection, Iterator
from datetime import datetime

from django.db.models import Min, OuterRef, QuerySet, Subquery

from plant import first_records
from plant.metering.readings import MeterQuantity
from plant.metering.watching import Records, earliest, watched_since
from plant.models import Conveyor, ConveyorChange, MeterReading


def watched_since_of(plants: Collection[int]) -> dict[int, datetime]:
    """By conveyor; without those of which nobody can say. A fixed number of queries."""
    records = _records(plants)
    of_plants: dict[int, Records] = {}
    for plant, own in records.values():
        of_plants[plant] = earliest(of_plants.get(plant, own), own)
    since = {pk: watched_since(own, of_plants[plant]) for pk, (plant, own) in records.items()}
    return {pk: at for pk, at in since.items() if at is not None}


def _records(plants: Collection[int]) -> dict[int, tuple[int, Records]]:
    entered = (
        ConveyorChange.objects.filter(plant__in=plants)
        .order_by()
        .values_list("pgh_obj_id", "plant_id")
        .annotate(Min("pgh_created_at"))
    )
    first = first_records.first_records(plants)
    return {pk: (plant, Records(at, first.get(pk))) for pk, plant, at in entered}


def first_readings(plants: Collection[int]) -> dict[int, datetime]:
    """When a meter of each conveyor was first read; one query."""
    return dict(_first_readings(Conveyor.objects.filter(plant__in=plants)))


def _first_readings(conveyors: QuerySet[Conveyor]) -> Iterator[tuple[int, datetime]]:
    # One look into the index for each meter: a plant's readings may be half a million.
    own = MeterReading.objects.filter(conveyor=OuterRef("pk")).order_by("read_at")
    meters = [
        Subquery(own.filter(quantity=quantity.value).values("read_at")[:1])
        for quantity in MeterQuantity
    ]
    for pk, *instants in conveyors.order_by().values_list("pk", *meters):
        known = [at for at in instants if at is not None]
        if known:
            yield pk, min(known)
