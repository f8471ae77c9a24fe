"""Shifts people of an invented plant made, and work the site proposed by itself."""

import uuid
from collections.abc import Iterable
from datetime import datetime, time, timedelta
from typing import Any

from diagnostics.models import Case, Complaint, Diagnosis
from plant.models import Conveyor, Plant, User
from plant.roles import Role
from workorders.auto_raising import SetPoint
from workorders.models import WorkOrder
from workorders.order_states import OrderState
from workorders.services import (
    raising_by_rule,
    recording_shifts,
    setting_raising,
    undoing_shifts,
)
from workorders.services.demo_history.cast import Cast
from workorders.services.demo_history.files import read
from workorders.services.recording_shifts import ShiftTold
from workorders.shift_ways import End, Moved, Way
from workorders.urgency import Urgency

_NAMESPACE = uuid.UUID("5b7c6f0e-2f7d-4a35-9b1e-7a3d51c0f9a4")
_LATER = timedelta(days=2)


def shift_and_raise(plant: Plant, cast: Cast, now: datetime) -> None:
    """What was shifted, who could be hurt, and what the site makes of the open cases."""
    said = read("shifts.yaml")
    hands = cast.by_role[Role.TECHNICIAN]
    conveyors = {one.tag: one for one in Conveyor.objects.filter(plant=plant)}
    for number, one in enumerate(said["shifts"]):
        if one["tag"] in conveyors:
            _shift(conveyors[one["tag"]], one, number, hands[number % len(hands)], now)
    _tell_who_is_near(plant, said["people_near"])
    for one in said["raising"]:
        if one["plant"] == plant.code:
            _set(plant, one, cast.by_role[Role.LEAD][0], now)
            _hear(plant, now)


def _shift(conveyor: Conveyor, said: dict[str, Any], number: int, by: User, now: datetime) -> None:
    order = _failed(conveyor) if said.get("order") == "failed" else None
    made_at = _done_at(order) if order else _days_ago(conveyor.plant, said, now)
    told = ShiftTold(
        stations=said["at"],
        moved=Moved(said["moved"]),
        end=End(said["end"]),
        way=Way(said["way"]),
        moved_mm=said["mm"],
        made_at=made_at,
        together=uuid.uuid5(_NAMESPACE, f"{conveyor.tag} {number}"),
        made_by=str(by)[:80],
        note=said.get("note", ""),
    )
    made = recording_shifts.record_shifts(
        conveyor_id=conveyor.pk,
        told=told,
        by=by,
        now=now,
        order_id=order.pk if order else None,
    )
    asked: dict[str, Any] = {
        "conveyor_id": conveyor.pk,
        "shift_ids": [one.pk for one in made],
        "by": by,
    }
    if said.get("undone") == "spot":
        undoing_shifts.undo_on_the_spot(**asked, now=made_at + _LATER)
    elif said.get("undone") == "order":
        # Numbers follow the calendar: what is raised now was raised last night.
        undoing_shifts.undo_by_order(**asked, now=_last_night(conveyor.plant, now))


def _failed(conveyor: Conveyor) -> WorkOrder | None:
    """The newest that is done and whose proof run failed."""
    rows = WorkOrder.objects.filter(
        conveyor=conveyor, state=OrderState.DONE.value, proof_runs__passed=False
    )
    return rows.order_by("-pk").first()


def _done_at(order: WorkOrder) -> datetime:
    done = order.moves.filter(to_state=OrderState.DONE.value).order_by("-at")[0]
    return done.at - timedelta(minutes=40)


def _tell_who_is_near(plant: Plant, said: dict[str, str]) -> None:
    for how_bad, near in said.items():
        rows = Complaint.objects.filter(plant=plant, how_bad=how_bad, withdrawn_at__isnull=True)
        newest = rows.order_by("-received_at", "-pk").first()
        if newest is not None:
            newest.people_near = near
            newest.save(update_fields=["people_near"])


def _set(plant: Plant, said: dict[str, Any], by: User, now: datetime) -> None:
    point = SetPoint(True, said["probability"], Urgency(said["least_urgency"]))
    at = _days_ago(plant, said, now)
    setting_raising.set_raising(plant_id=plant.pk, point=point, seen=0, by=by, now=at)


def _hear(plant: Plant, now: datetime) -> None:
    """As if each standing diagnosis of an open case had been made last night."""
    cases = Case.objects.open().filter(conveyor__plant=plant)
    standing: Iterable[Diagnosis] = Diagnosis.objects.filter(
        case__in=cases, superseded_at__isnull=True
    ).order_by("pk")
    for diagnosis in standing:
        raising_by_rule.hear_diagnosis(diagnosis=diagnosis, now=_last_night(plant, now))


def _days_ago(plant: Plant, said: dict[str, Any], now: datetime) -> datetime:
    return _last_night(plant, now) - timedelta(days=said["days_ago"], hours=9)


def _last_night(plant: Plant, now: datetime) -> datetime:
    """Where the told history ends."""
    return datetime.combine(plant.day_of(now), time.min, plant.zone_info)
