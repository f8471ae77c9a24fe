"""The smallest valid rows of work, with plant words."""

from datetime import UTC, datetime, timedelta
from itertools import count
from typing import Any

from django.contrib.auth.models import Group

from diagnostics.case_states import CaseState
from diagnostics.models import Case, Complaint, Hypothesis
from diagnostics.services import cases
from plant.models import ApiKey, Conveyor, Plant, User
from plant.roles import Role
from plant.services import keys
from workorders.models import WorkOrder
from workorders.order_states import OrderState
from workorders.services import moving, proving, raising, raising_by_hand
from workorders.services.raising_by_hand import WorkWanted

NOW = datetime(2026, 11, 2, 14, 30, tzinfo=UTC)
_numbers = count(1)


def make_plant(**fields: Any) -> Plant:
    number = next(_numbers)
    defaults = {"code": f"P{number}", "name": f"Plant {number}", "time_zone": "America/Halifax"}
    return Plant.objects.create(**{**defaults, **fields})


def make_person(role: Role, *plants: Plant) -> User:
    person = User.objects.create_user(
        username=f"{role.name.lower()}{next(_numbers)}@larkwater.example"
    )
    person.groups.add(Group.objects.get(name=role.value))
    person.plants.set(plants)
    return person


def make_conveyor(plant: Plant | None = None, **fields: Any) -> Conveyor:
    number = next(_numbers)
    defaults = {
        "plant": plant or make_plant(),
        "tag": f"Q{number}",
        "name": "Quay conveyor",
        "centre_distance_m": 100,
        "speed_mps": 2.5,
        "clearance_mm": 100,
        "right_words": "shed side",
        "left_words": "sea side",
    }
    return Conveyor.objects.create(**{**defaults, **fields})


def make_case(conveyor: Conveyor | None = None, *, now: datetime = NOW) -> Case:
    conveyor = conveyor or make_conveyor()
    case = cases.open_case(conveyor=conveyor, summary="rubs on the frame", by=None, now=now)
    make_complaint(case, now=now)
    return case


def make_complaint(case: Case, *, now: datetime = NOW, **fields: Any) -> Complaint:
    return Complaint.objects.create(
        plant=case.conveyor.plant,
        conveyor=case.conveyor,
        case=case,
        words="the quay belt is rubbing its frame again",
        received_at=now,
        **fields,
    )


def make_accepted_cause(
    case: Case | None = None,
    cause: str = "return_idler_skewed",
    *,
    now: datetime = NOW,
    **fields: Any,
) -> Hypothesis:
    """An accepted cause, its case in `cause found`; nobody has raised work for it."""
    case = case or make_case(now=now)
    defaults = {
        "cause_class": "return_idler",
        "zone": "return run after the take-up",
        "component": "R12",
        "position_m": 130.0,
        "detail": {"side": "left", "correction": CORRECTION},
        "accepted_at": now,
    }
    hypothesis = Hypothesis.objects.create(case=case, cause=cause, **{**defaults, **fields})
    cases.move_case(case_id=case.pk, to_state=CaseState.CAUSE_FOUND, by=None, now=now)
    return hypothesis


CORRECTION = {
    "what": "return idler",
    "where": "R9 to R12",
    "move_mm": 2.0,
    "direction": "advance the end on the left (sea side) toward the tail",
    "wait_revolutions": 3,
    "look_for": "the belt comes back to the centre line",
}


def make_order(hypothesis: Hypothesis | None = None, *, now: datetime = NOW) -> WorkOrder:
    """A proposed order for an accepted cause."""
    hypothesis = hypothesis or make_accepted_cause(now=now)
    return raising.raise_for_hypothesis(hypothesis_id=hypothesis.pk, by=None, now=now)


def make_order_by_hand(conveyor: Conveyor | None = None, *, now: datetime = NOW) -> WorkOrder:
    return raising_by_hand.raise_by_hand(
        conveyor=conveyor or make_conveyor(),
        wanted=WorkWanted(title="Renew the skirt rubber"),
        by=None,
        now=now,
    )


_LINE = [
    OrderState.APPROVED,
    OrderState.SCHEDULED,
    OrderState.IN_HAND,
    OrderState.DONE,
    OrderState.PROVED,
]


def bring_to(order: WorkOrder, state: OrderState, *, now: datetime = NOW) -> WorkOrder:
    """Lead a proposed order to a state by legal moves, an hour after it was raised."""
    at = now + timedelta(hours=1)
    if state in {OrderState.DECLINED, OrderState.CANCELLED}:
        moving.move_order(order_id=order.pk, to_state=state, by=None, now=at, why="not needed")
    for step in _LINE[: _LINE.index(state) + 1] if state in _LINE else []:
        _step(order, step, at)
    order.refresh_from_db()
    return order


def _step(order: WorkOrder, step: OrderState, at: datetime) -> None:
    if step is OrderState.PROVED:
        proving.record_proof_run(
            order_id=order.pk,
            passed=True,
            by=None,
            now=at,
            note="runs true",
            revolutions_empty=3,
            revolutions_loaded=3,
        )
        return
    planned_for = at + timedelta(days=2) if step is OrderState.SCHEDULED else None
    moving.move_order(order_id=order.pk, to_state=step, by=None, now=at, planned_for=planned_for)


def make_key(plant: Plant, *scopes: str, **fields: Any) -> tuple[ApiKey, str]:
    """A key for a plant, with every scope unless some are named."""
    made = {"expires_at": None, "now": NOW, **fields}
    return keys.make_key(
        name="stores system",
        plant=plant,
        scopes=scopes or [scope.value for scope in ApiKey.Scope],
        by=None,
        **made,
    )
