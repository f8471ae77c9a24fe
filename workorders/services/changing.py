"""Several changes of one order at once, as another system sends them: all or none."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db import transaction

from plant.models import User
from workorders.models import WorkOrder
from workorders.order_states import OrderState, Waiting
from workorders.services import moving, replanning, waiting
from workorders.services.replanning import OrderFigures
from workorders.urgency import Urgency


@dataclass(frozen=True)
class MoveAsked:
    to_state: OrderState
    why: str = ""
    planned_for: datetime | None = None
    begins_early: bool = False


@dataclass(frozen=True)
class WaitingAsked:
    """`waiting_for` None: it waits no longer."""

    waiting_for: Waiting | None
    why: str = ""


@dataclass(frozen=True)
class OrderAsked:
    """What shall be otherwise; what is left out stays."""

    figures: OrderFigures = field(default_factory=OrderFigures)
    urgency: Urgency | None = None
    urgency_why: str = ""
    waits: WaitingAsked | None = None
    planned_for: datetime | None = None
    planned_for_why: str = ""
    move: MoveAsked | None = None


@transaction.atomic
def change_order(
    *,
    order_id: int,
    asked: OrderAsked,
    by: User | None,
    now: datetime,
    version: int | None = None,
) -> WorkOrder:
    """Change what is asked, the move last; asked for what stands already, nothing changes.

    Refuses with OrderChangedMeanwhile and as each of the changes does.
    """
    # The one look at the version: what follows changes it, under this same lock.
    order = moving.lock_for_move(order_id, version)
    whose: dict[str, Any] = {"order_id": order_id, "by": by, "now": now}
    if asked.figures:
        order = replanning.put_right(figures=asked.figures, **whose)
    if asked.urgency is not None and asked.urgency != order.urgency:
        order = replanning.set_urgency(urgency=asked.urgency, why=asked.urgency_why, **whose)
    if asked.planned_for is not None and asked.planned_for != order.planned_for:
        order = replanning.plan_for(
            planned_for=asked.planned_for, why=asked.planned_for_why, **whose
        )
    if asked.waits is not None:
        order = _wait(order, asked.waits, whose)
    if asked.move is not None:
        order = moving.move_order(**vars(asked.move), **whose)
    return order


def _wait(order: WorkOrder, asked: WaitingAsked, whose: dict[str, Any]) -> WorkOrder:
    if asked.waiting_for is None:
        return waiting.stop_waiting(**whose) if order.waiting_for else order
    if (order.waiting_for, order.waiting_why) == (asked.waiting_for, asked.why.strip()):
        return order
    return waiting.start_waiting(waiting_for=asked.waiting_for, why=asked.why, **whose)
