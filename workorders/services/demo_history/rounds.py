"""What people of an invented plant measured on their rounds, and the rolls they changed."""

from collections.abc import Iterator, Mapping
from datetime import datetime, time, timedelta
from decimal import Decimal
from typing import Any

from plant.loop.condition import Quantity
from plant.loop.rolls import RollPlace, WhyChanged
from plant.metering.readings import MeterQuantity
from plant.models import Conveyor, Plant, User
from plant.roles import Role
from plant.services import changing_rolls, reading_condition, reading_meters
from plant.services.changing_rolls import Changed
from plant.services.reading_condition import NewCondition
from plant.services.reading_meters import NewReading
from workorders.services.demo_history.cast import Cast
from workorders.services.demo_history.files import read

_MORNING = time(9, 40)


def go_rounds(plant: Plant, cast: Cast, now: datetime, file: str = "rounds.yaml") -> None:
    """In the order of the file, by the plant's technicians in turn."""
    technicians = cast.by_role[Role.TECHNICIAN]
    conveyors = {one.tag: one for one in plant.conveyors.all()}
    said = read(file)
    for do, kind in ((_meter, "hours"), (_measure, "readings"), (_change, "rolls")):
        for number, one in enumerate(said.get(kind, ())):
            if one["tag"] in conveyors:
                do(conveyors[one["tag"]], one, technicians[number % len(technicians)], now)


def _meter(conveyor: Conveyor, said: Mapping[str, Any], by: User, now: datetime) -> None:
    days = said["every_days"]
    for number, at in enumerate(mornings(conveyor, now, days, 0, said["readings"])):
        hours = said["first"] + number * days * said["each_day"]
        new = NewReading(MeterQuantity.RUNNING_HOURS, at, Decimal(str(hours)), read_by=str(by))
        reading_meters.keep_reading(conveyor_id=conveyor.pk, new=new, by=by, now=now)


def _measure(conveyor: Conveyor, said: Mapping[str, Any], by: User, now: datetime) -> None:
    component_id = _component_of(conveyor, said) if "component" in said else None
    values = said["values"]
    times = mornings(conveyor, now, said["every_days"], said["days_ago"], len(values))
    new = [
        NewCondition(
            quantity=Quantity(said["quantity"]),
            value=float(value),
            taken_at=at,
            component_id=component_id,
            set_number=said.get("set"),
            spot=said["spot"],
            taken_by=str(by),
        )
        for at, value in zip(times, values, strict=True)
    ]
    reading_condition.keep_conditions(conveyor_id=conveyor.pk, new=new, by=by, now=now)


def _change(conveyor: Conveyor, said: Mapping[str, Any], by: User, now: datetime) -> None:
    today = conveyor.plant.day_of(now)
    changed = Changed(
        sets=said["sets"],
        rolls=[RollPlace(one) for one in said["rolls"]],
        changed_on=today - timedelta(days=said["days_ago"]),
        why=WhyChanged(said["why"]),
        fitted=said["fitted"],
        changed_by=str(by),
    )
    changing_rolls.change_rolls(
        conveyor_id=conveyor.pk,
        component_id=_component_of(conveyor, said),
        changed=changed,
        by=by,
        today=today,
    )


def _component_of(conveyor: Conveyor, said: Mapping[str, Any]) -> int:
    return conveyor.components.get(name=said["component"]).pk


def mornings(
    conveyor: Conveyor, now: datetime, every_days: int, days_ago: int, count: int
) -> Iterator[datetime]:
    """At the plant, the oldest first, none after now."""
    zone = conveyor.plant.zone_info
    yesterday = now.astimezone(zone).date() - timedelta(days=1)
    for number in reversed(range(count)):
        day = yesterday - timedelta(days=days_ago + number * every_days)
        yield datetime.combine(day, _MORNING, zone)
