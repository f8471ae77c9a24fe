"""What a planner changes without moving the order: its urgency, its time, its figures."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any, TypedDict

from django.db import transaction
from django.utils.translation import gettext as _

from plant.models import User
from plant.services.register_refusals import FieldRefusal
from workorders.models import OrderChange, WorkOrder
from workorders.order_states import OrderState
from workorders.services.locking import lock_order
from workorders.services.moving import IllegalOrderMove, MoveNeedsReason, checked_time
from workorders.services.raising_by_hand import UrgencyNeedsReason
from workorders.services.waiting import check_open
from workorders.urgency import Urgency

# The other system may learn its own number late: that is told of ended work too.
_ANY_TIME = {"external_number"}


class DaysContradict(FieldRefusal):
    code = "days_contradict"


class OrderFigures(TypedDict, total=False):
    """What can be put right on an open order; what is left out stays as it is."""

    title: str
    hours: Decimal | None
    people: int | None
    due_on: date | None
    earliest_on: date | None
    tools: tuple[str, ...]
    parts: tuple[str, ...]
    external_number: str


@transaction.atomic
def set_urgency(
    *,
    order_id: int,
    urgency: Urgency,
    why: str,
    by: User | None,
    now: datetime,
    version: int | None = None,
) -> WorkOrder:
    """Set another urgency than the reasons gave; refuses with UrgencyNeedsReason."""
    order = lock_order(order_id, version=version)
    check_open(order)
    if not why.strip():
        raise UrgencyNeedsReason(_("Say why it is that urgent."))
    _log(order, OrderChange.Kind.URGENCY, order.urgency, urgency.value, why, by, now)
    order.urgency, order.urgency_why = urgency.value, why.strip()
    return _saved(order)


@transaction.atomic
def plan_for(
    *,
    order_id: int,
    planned_for: datetime,
    why: str,
    by: User | None,
    now: datetime,
    version: int | None = None,
) -> WorkOrder:
    """Move a scheduled order to another time; says why, since windows that move are counted.

    Refuses with IllegalOrderMove, MoveNeedsReason and ScheduleNeedsTime.
    """
    order = lock_order(order_id, version=version)
    if order.state != OrderState.SCHEDULED:
        raise IllegalOrderMove(_("Only a scheduled order has a time that can move."))
    if not why.strip():
        raise MoveNeedsReason(_("Say why, in a few words; the next person will ask."))
    checked_time(planned_for, now)
    before = order.planned_for.isoformat() if order.planned_for else ""
    _log(order, OrderChange.Kind.PLANNED_FOR, before, planned_for.isoformat(), why, by, now)
    # Another time is another place: its window and crew are chosen anew on the outage sheet.
    order.window = order.crew = order.planned_until = None
    order.planned_for, order.is_pinned = planned_for, False
    return _saved(order)


@transaction.atomic
def put_right(
    *,
    order_id: int,
    figures: OrderFigures,
    by: User | None,
    now: datetime,
    version: int | None = None,
) -> WorkOrder:
    """Correct title, hours, people, days, lists and numbers; notes which changed.

    Refuses with OrderChangedMeanwhile, OrderIsNotOpen and DaysContradict.
    """
    order = lock_order(order_id, version=version)
    new: dict[str, Any] = {
        name: list(value) if isinstance(value, tuple) else value for name, value in figures.items()
    }
    changed = [name for name, value in new.items() if getattr(order, name) != value]
    if not changed:
        return order
    if not _ANY_TIME.issuperset(changed):
        check_open(order)
    _log(order, OrderChange.Kind.EDITED, "", ", ".join(changed), "", by, now)
    for name in changed:
        setattr(order, name, new[name])
    if {"due_on", "earliest_on"}.intersection(changed):
        _check_days(order)
    return _saved(order)


def _check_days(order: WorkOrder) -> None:
    if order.due_on and order.earliest_on and order.due_on < order.earliest_on:
        raise DaysContradict(
            _("It may not begin before %(earliest)s and is due on %(due)s. Move one of the days.")
            % {"earliest": order.earliest_on, "due": order.due_on},
            "earliest_on",
        )


def _log(
    order: WorkOrder,
    kind: OrderChange.Kind,
    before: str,
    after: str,
    why: str,
    by: User | None,
    now: datetime,
) -> None:
    OrderChange.objects.create(
        order=order, kind=kind, before=before, after=after, why=why.strip(), at=now, by=by
    )


def _saved(order: WorkOrder) -> WorkOrder:
    order.version += 1
    order.save()
    return order
