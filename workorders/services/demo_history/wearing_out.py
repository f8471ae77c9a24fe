"""What wears at an invented plant, how long its rolls last, and what its people keep of that."""

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from plant.loop.condition import Quantity
from plant.loop.rolls import RollPlace, WhyChanged
from plant.models import Conveyor, Plant, User
from plant.roles import Role
from plant.services import changing_rolls
from plant.services.changing_rolls import Changed
from workorders.life_subjects import LifeSubject, Renewed
from workorders.selectors.renewals import SpotKey
from workorders.services import due_reckoning, keeping_costs, keeping_limits, renewing
from workorders.services.demo_history import rounds
from workorders.services.demo_history.cast import Cast
from workorders.services.demo_history.files import read
from workorders.services.keeping_costs import Costs
from workorders.services.keeping_limits import NewLimit
from workorders.services.renewing import NewRenewal

_FILE = "lives.yaml"


def wear_out(plant: Plant, cast: Cast, now: datetime) -> None:
    """Groups come first, then what failed of them; at the end the due list is reckoned."""
    said = read(_FILE)
    conveyors = {one.tag: one for one in plant.conveyors.all()}
    technician, planner = cast.by_role[Role.TECHNICIAN][0], cast.by_role[Role.PLANNER][0]
    today = plant.day_of(now)
    for one in said["fitted"]:
        if one["tag"] in conveyors:
            fitted_on = today - timedelta(days=one["days_ago"])
            rows = conveyors[one["tag"]].components.filter(name=one["component"])
            rows.update(fitted_on=fitted_on)
    rounds.go_rounds(plant, cast, now, _FILE)
    for one in said["failed"]:
        if one["tag"] in conveyors:
            _fail(conveyors[one["tag"]], one, technician, today)
    for one in said["renewed"]:
        if one["tag"] in conveyors:
            _renew(conveyors[one["tag"]], one, technician, now)
    _set_limits(plant, conveyors, said, planner, now)
    _keep_costs(plant, said, planner, now)
    due_reckoning.reckon(plant.conveyors.in_service(), now)


def _fail(conveyor: Conveyor, said: Mapping[str, Any], by: User, today: date) -> None:
    """Each roll was changed on the day it had this age."""
    component = conveyor.components.get(name=said["component"])
    assert component.fitted_on is not None
    for days, set_number in sorted(said["by_age"].items()):
        changing_rolls.change_rolls(
            conveyor_id=conveyor.pk,
            component_id=component.pk,
            changed=Changed(
                sets=str(set_number),
                rolls=[RollPlace(said["roll"])],
                changed_on=component.fitted_on + timedelta(days=days),
                why=WhyChanged(said["why"]),
                fitted=said["fitted"],
                changed_by=str(by),
            ),
            by=by,
            today=today,
        )


def _renew(conveyor: Conveyor, said: Mapping[str, Any], by: User, now: datetime) -> None:
    component = conveyor.components.get(name=said["component"])
    new = NewRenewal(
        what=Renewed.LAGGING,
        at=SpotKey(component.pk, None, None, "", Quantity.LAGGING_THICKNESS),
        renewed_on=conveyor.plant.day_of(now) - timedelta(days=said["days_ago"]),
        had_failed=said["failed"],
        note=said["note"],
    )
    renewing.record_renewal(conveyor_id=conveyor.pk, new=new, by=by, now=now)


def _set_limits(
    plant: Plant,
    conveyors: Mapping[str, Conveyor],
    said: Mapping[str, Any],
    by: User,
    now: datetime,
) -> None:
    for one in said["limits"]:
        if one.get("plant", plant.code) != plant.code:
            continue
        conveyor = conveyors.get(one.get("tag", ""))
        if "tag" in one and conveyor is None:
            continue
        component = conveyor.components.get(name=one["component"]) if conveyor else None
        quantity = Quantity(one["quantity"])
        new = NewLimit(quantity, float(one["value"]), conveyor, component, one["why"])
        keeping_limits.set_limit(plant=plant, new=new, by=by, now=now)


def _keep_costs(plant: Plant, said: Mapping[str, Any], by: User, now: datetime) -> None:
    names = ("visit", "hours_each", "free_stop_h", "stop_cost_per_h")
    fields = {"visit": "visit_cost"}
    for one in said["costs"]:
        if one["plant"] != plant.code:
            continue
        more = {fields.get(name, name): Decimal(str(one.get(name, 0))) for name in names}
        costs = Costs(Decimal(one["planned"]), Decimal(one["failure"]), **more)
        keeping_costs.keep_costs(
            plant=plant,
            subject=LifeSubject(one["subject"]),
            costs=costs,
            version=None,
            by=by,
            now=now,
        )
