"""Rows of condition and life: a limit, a renewal, as people keep them."""

import uuid
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from plant.loop.condition import Quantity
from plant.loop.rolls import RollPlace, WhyChanged
from plant.models import ConditionReading, Conveyor, Plant
from plant.services import changing_rolls, reading_condition
from plant.services.changing_rolls import Changed
from plant.services.reading_condition import NewCondition
from workorders.life_subjects import LifeSubject, Renewed
from workorders.models import (
    ConditionLimit,
    DueItem,
    DueOrder,
    Renewal,
    ReplacementCosts,
    WorkOrder,
)
from workorders.selectors.renewals import SpotKey
from workorders.services import due_reckoning, keeping_limits, renewing
from workorders.services.keeping_limits import NewLimit
from workorders.services.renewing import NewRenewal


def set_limit(plant: Plant, value: float, now: datetime) -> ConditionLimit:
    new = NewLimit(Quantity.LAGGING_THICKNESS, value)
    return keeping_limits.set_limit(plant=plant, new=new, by=None, now=now)


def renew_lagging(conveyor: Conveyor, reading: ConditionReading, now: datetime) -> Renewal:
    """On the day of the reading."""
    key = SpotKey(reading.component_id, None, None, reading.spot, Quantity(reading.quantity))
    new = NewRenewal(Renewed.LAGGING, key, reading.taken_at.date(), True)
    return renewing.record_renewal(conveyor_id=conveyor.pk, new=new, by=None, now=now)


def wear_down(
    conveyor: Conveyor,
    of: str,
    values: list[float],
    *,
    now: datetime,
    every_days: float = 100,
    quantity: Quantity = Quantity.LAGGING_THICKNESS,
    **more: Any,
) -> list[ConditionReading]:
    """Readings on a component (the belt where `of` is empty), the last one an hour ago."""
    component_id = conveyor.components.get(name=of).pk if of else None
    new = [
        NewCondition(
            quantity=quantity,
            value=value,
            taken_at=now
            - timedelta(hours=1)
            - timedelta(days=every_days * (len(values) - 1 - number)),
            component_id=component_id,
            **{"spot": "middle", **more},
        )
        for number, value in enumerate(values)
    ]
    kept = reading_condition.keep_conditions(conveyor_id=conveyor.pk, new=new, by=None, now=now)
    return [row for row, _is_new in kept]


def reckon(*conveyors: Conveyor, now: datetime) -> list[DueItem]:
    """What is due of them, reckoned at this time."""
    due_reckoning.reckon(conveyors, now)
    return list(DueItem.objects.filter(conveyor__in=conveyors).order_by("due_on", "key"))


def set_costs(plant: Plant, subject: LifeSubject, now: datetime, **more: Any) -> ReplacementCosts:
    figures = {"planned_cost": Decimal(100), "failure_cost": Decimal(1000), **more}
    return ReplacementCosts.objects.create(
        plant=plant, subject=subject.value, kept_at=now, **figures
    )


def change_rolls(
    conveyor: Conveyor, sets: str, *, on: date, of: str = "C", why: WhyChanged = WhyChanged.SEIZED
) -> None:
    """The centre rolls of these sets."""
    changing_rolls.change_rolls(
        conveyor_id=conveyor.pk,
        component_id=conveyor.components.get(name=of).pk,
        changed=Changed(sets, [RollPlace.CENTRE], on, why),
        by=None,
        today=on,
    )


def as_due(order: WorkOrder, now: datetime) -> uuid.UUID:
    """The order as one that was raised from the due list; the mark of what was raised with it."""
    together = uuid.uuid4()
    DueOrder.objects.create(
        conveyor=order.conveyor, key="w:1:0:lagging", order=order, together=together, raised_at=now
    )
    return together
