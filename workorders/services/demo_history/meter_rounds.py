"""What the meters of an invented plant showed, month by month, with gaps such as real ones have."""

from collections.abc import Iterator, Mapping
from datetime import datetime
from decimal import Decimal
from itertools import cycle
from typing import Any

from plant.metering.readings import MeterQuantity, WentOn
from plant.models import Conveyor, Plant
from plant.roles import Role
from plant.services import reading_meters
from plant.services.reading_meters import NewReading
from workorders.services.demo_history.cast import Cast
from workorders.services.demo_history.files import read
from workorders.services.demo_history.rounds import mornings

_EVERY_DAYS = 30
_METERS = {"hours": MeterQuantity.RUNNING_HOURS, "tonnes": MeterQuantity.TONNES}


def read_meters(plant: Plant, cast: Cast, now: datetime, file: str = "meters.yaml") -> None:
    """All meters by one technician after the other, the oldest reading first."""
    technicians = cycle(cast.by_role[Role.TECHNICIAN])
    conveyors = {one.tag: one for one in plant.conveyors.all()}
    for kind, rows in read(file).items():
        for said in rows:
            conveyor = conveyors.get(said["tag"])
            if conveyor is None:
                continue
            by = next(technicians)
            for new in _readings(conveyor, said, _METERS[kind], now, str(by)):
                reading_meters.keep_reading(conveyor_id=conveyor.pk, new=new, by=by, now=now)


def _readings(
    conveyor: Conveyor, said: Mapping[str, Any], quantity: MeterQuantity, now: datetime, by: str
) -> Iterator[NewReading]:
    figure, daily = Decimal(said["first"]), cycle(said["daily"])
    times = mornings(conveyor, now, _EVERY_DAYS, said["days_ago"], said["readings"])
    for number, at in enumerate(times):
        if number:
            figure += _EVERY_DAYS * Decimal(str(next(daily)))
        if number == said.get("replaced"):
            figure = Decimal(0)
            yield NewReading(
                quantity, at, None, WentOn.REPLACED, new_meter_first=figure, read_by=by
            )
        elif "digits" in said and figure >= 10 ** said["digits"]:
            figure -= 10 ** said["digits"]
            yield NewReading(
                quantity, at, figure, WentOn.ROLLED_OVER, digits=said["digits"], read_by=by
            )
        else:
            yield NewReading(quantity, at, figure, read_by=by)
