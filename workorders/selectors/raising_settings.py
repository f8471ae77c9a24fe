"""What a plant goes by when the site proposes work by itself."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Count, Q

from plant.models import Plant
from workorders.auto_raising import SetPoint
from workorders.models import RaisingSetting, WorkOrder
from workorders.models.raising_setting import USUAL_PROBABILITY
from workorders.order_origins import Origin
from workorders.order_states import OrderState
from workorders.urgency import Urgency

OFF = SetPoint(False, USUAL_PROBABILITY, Urgency.NEXT_OUTAGE)


def setting_of(plant_id: int) -> RaisingSetting | None:
    """The row that counts; one query."""
    return RaisingSetting.objects.filter(plant=plant_id).select_related("set_by").first()


def set_point_of(plant_id: int) -> SetPoint:
    return point_of(setting_of(plant_id))


def point_of(row: RaisingSetting | None) -> SetPoint:
    if row is None:
        return OFF
    return SetPoint(row.is_on, row.probability, Urgency(row.least_urgency))


def settings_by_plant(plants: Iterable[Plant]) -> list[tuple[Plant, RaisingSetting | None]]:
    """Each plant with what counts there; one query however many there are."""
    found = list(plants)
    rows = RaisingSetting.objects.filter(plant__in=found).select_related("set_by")
    newest = {row.plant_id: row for row in rows.order_by("plant_id", "-pk").distinct("plant_id")}
    return [(plant, newest.get(plant.pk)) for plant in found]


def history_of(plant: Plant, most: int) -> list[RaisingSetting]:
    """What was set before and since, the newest first; one query."""
    return list(RaisingSetting.objects.filter(plant=plant).select_related("set_by")[:most])


@dataclass(frozen=True)
class SoFar:
    raised: int
    turned_down: int
    undecided: int


def raised_so_far(plants: Iterable[Plant]) -> dict[int, SoFar]:
    """By plant: how much was raised by itself, and what people made of it; one query."""
    turned_down = Q(state__in=[OrderState.DECLINED.value, OrderState.CANCELLED.value])
    waiting = Q(state=OrderState.PROPOSED.value)
    rows = (
        WorkOrder.objects.filter(conveyor__plant__in=list(plants), origin=Origin.RULE.value)
        .values_list("conveyor__plant")
        .annotate(
            raised=Count("pk"),
            turned_down=Count("pk", filter=turned_down),
            undecided=Count("pk", filter=waiting),
        )
        .order_by()
    )
    return {plant_id: SoFar(*counts) for plant_id, *counts in rows}
