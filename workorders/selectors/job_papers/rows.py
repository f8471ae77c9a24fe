"""The rows job sheets are made of, in a fixed number of queries however many there are."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Prefetch, QuerySet

from diagnostics.walking_cautions import walking_cautions
from plant.models import Conveyor, Plant
from workorders.models import OrderLink, OrderPart, WorkOrder, WorkStep
from workorders.selectors import order_drawing
from workorders.selectors.part_supply import Supply, supply_on_list


@dataclass(frozen=True)
class JobRecord:
    """One order with what its sheet says; `drawing` is None for work without a place."""

    order: WorkOrder
    supply: Supply
    cautions: list[str]
    drawing: dict[str, Any] | None

    @property
    def conveyor(self) -> Conveyor:
        return self.order.conveyor

    @property
    def plant(self) -> Plant:
        return self.order.conveyor.plant

    @property
    def steps(self) -> list[WorkStep]:
        return list(self.order.steps.all())

    @property
    def parts(self) -> list[OrderPart]:
        return list(self.order.order_parts.all())

    @property
    def waits_for(self) -> list[WorkOrder]:
        return [link.after for link in self.order.waits_for.all()]


def records_of(orders: QuerySet[WorkOrder], now: datetime) -> list[JobRecord]:
    """In the order of the queryset; `now` says which parts are there and which are to come."""
    return list(_records(list(_with_rows(orders)), now))


def _with_rows(orders: QuerySet[WorkOrder]) -> QuerySet[WorkOrder]:
    return orders.select_related("conveyor__plant", "case", "window", "crew").prefetch_related(
        "conveyor__components",
        Prefetch("steps", WorkStep.objects.select_related("done_by")),
        Prefetch("order_parts", OrderPart.objects.select_related("part")),
        Prefetch("waits_for", OrderLink.objects.select_related("after")),
    )


def _records(orders: list[WorkOrder], now: datetime) -> Iterator[JobRecord]:
    supplies = supply_on_list(orders, now)
    plants = {order.conveyor.plant_id for order in orders if not order.cautions}
    # An order of another program may come without cautions; its sheet never does.
    always = {pk: walking_cautions(pk) for pk in plants}
    for order in orders:
        yield JobRecord(
            order=order,
            supply=supplies[order.pk],
            cautions=order.cautions or always[order.conveyor.plant_id],
            drawing=order_drawing.printable_drawing_of(order),
        )
