"""Cases of belts put straight into the table, many of them, over the past months."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from decimal import Decimal
from itertools import count
from typing import Any

from django.utils import timezone

from diagnostics.models import BeltFaults, Case, FaultReckoning
from diagnostics.services import fault_reckoning
from plant.metering.readings import MeterQuantity
from plant.models import Conveyor, Plant
from plant.services.reading_meters import NewReading, keep_reading

_numbers = count(1)


def days_ago(days: float, now: datetime | None = None) -> datetime:
    return (now or timezone.now()) - timedelta(days=days)


def make_cases(belt: Conveyor, ago: Sequence[float], **fields: Any) -> list[Case]:
    """A case so many days ago each, of return idlers unless said otherwise."""
    defaults = {"cause_class": "return_idler", "zone": "tail", "state": "closed", **fields}
    return Case.objects.bulk_create(
        Case(
            conveyor=belt,
            number=f"{belt.plant.code}-F-{next(_numbers):05d}",
            summary="rubs on the frame",
            opened_at=days_ago(days),
            changed_at=timezone.now(),
            **defaults,
        )
        for days in ago
    )


def read_hours(belt: Conveyor, *readings: tuple[float, float]) -> None:
    """Running hours on the meter so many days ago each."""
    for ago, figure in readings:
        new = NewReading(
            quantity=MeterQuantity.RUNNING_HOURS, read_at=days_ago(ago), reading=Decimal(figure)
        )
        keep_reading(conveyor_id=belt.pk, new=new, by=None, now=timezone.now())


def reckon(plant: Plant) -> FaultReckoning:
    """The usual choice, reckoned at once."""
    return fault_reckoning.reckon_now(plant, tell=lambda share: None)


def faults_of(reckoning: FaultReckoning, belt: Conveyor) -> BeltFaults:
    return BeltFaults.objects.get(reckoning=reckoning, conveyor=belt)
