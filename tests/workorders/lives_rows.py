"""Rows of condition and life: a limit, a renewal, as people keep them."""

from datetime import datetime

from plant.loop.condition import Quantity
from plant.models import ConditionReading, Conveyor, Plant
from workorders.life_subjects import Renewed
from workorders.models import ConditionLimit, Renewal
from workorders.selectors.renewals import SpotKey
from workorders.services import keeping_limits, renewing
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
