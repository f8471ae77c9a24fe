"""Meter readings of a conveyor, kept as people keep them."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

from plant.metering.readings import MeterQuantity
from plant.models import Conveyor, MeterReading
from plant.services.reading_meters import NewReading, keep_reading

# Midnight: days after it are easy to count.
START = datetime(2026, 3, 1, tzinfo=UTC)
LATER = START + timedelta(days=300)


def days(count: float) -> datetime:
    return START + timedelta(days=count)


def new_reading(day: float, figure: str | None, **more: Any) -> NewReading:
    given = {"quantity": MeterQuantity.RUNNING_HOURS, "read_at": days(day), **more}
    return NewReading(reading=None if figure is None else Decimal(figure), **given)


def keep(conveyor: Conveyor, day: float, figure: str | None, **more: Any) -> MeterReading:
    new = new_reading(day, figure, **more)
    return keep_reading(conveyor_id=conveyor.pk, new=new, by=None, now=LATER)[0]
