"""What cases of a plant are divided by where nobody names a basis: the one owner of that choice.

It is settled for the plant as a whole over the usual period, never for one belt or for the days
that somebody looks at: figures of different pages would else not agree. What the standing
reckoning of the plant divides by stands until that is reckoned anew.
"""

from datetime import datetime

from django.db.models import QuerySet

from diagnostics.fault_choice import Span, span_days
from diagnostics.models import FaultReckoning
from plant.metering.basis import Basis
from plant.models import Conveyor, Plant
from plant.selectors import exposures


def usual_of(plant: Plant, now: datetime) -> Basis:
    """One query once the plant was reckoned."""
    standing = FaultReckoning.objects.filter(plant=plant, is_usual=True).values_list("basis")
    found = standing.first()
    return Basis(found[0]) if found else weighed(plant, now)


def usual_of_belts(conveyors: QuerySet[Conveyor], now: datetime) -> Basis:
    """Of the plants of some belts together: running hours where they are usual at every one.

    Two queries, and some for each plant that was never reckoned.
    """
    plants = list(Plant.objects.filter(pk__in=conveyors.order_by().values("plant")))
    standing = dict(
        FaultReckoning.objects.filter(plant__in=plants, is_usual=True).values_list(
            "plant_id", "basis"
        )
    )
    found = {Basis(standing[one.pk]) if one.pk in standing else weighed(one, now) for one in plants}
    return Basis.RUNNING if found == {Basis.RUNNING} else Basis.CALENDAR


def weighed(plant: Plant, now: datetime) -> Basis:
    """As the meters stand now; what a reckoning settles by."""
    zone = plant.zone_info
    days = span_days(Span.USUAL, now.astimezone(zone).date())
    first, last = exposures.instants_of(zone, *days, now)
    return exposures.usual_basis(Conveyor.objects.filter(plant=plant), first, last)
