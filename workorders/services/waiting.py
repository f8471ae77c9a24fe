"""An open order stands still for parts, an outage or people, whatever its state."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from plant.errors import DomainError
from plant.models import User
from workorders.models import OrderChange, WorkOrder
from workorders.order_states import Waiting
from workorders.services.locking import lock_order


class OrderIsNotOpen(DomainError):
    code = "order_is_not_open"


class WaitingNeedsReason(DomainError):
    code = "waiting_needs_reason"


class OrderDoesNotWait(DomainError):
    code = "order_does_not_wait"


@transaction.atomic
def start_waiting(
    *,
    order_id: int,
    waiting_for: Waiting,
    why: str,
    by: User | None,
    now: datetime,
    version: int | None = None,
) -> WorkOrder:
    """Mark an order as waiting, or as waiting for something else.

    Refuses with OrderIsNotOpen, WaitingNeedsReason and OrderChangedMeanwhile.
    """
    order = lock_order(order_id, version=version)
    check_open(order)
    if not why.strip():
        raise WaitingNeedsReason(_("Say what exactly it waits for, and until when if known."))
    _write(order, OrderChange.Kind.WAITING, waiting_for.value, why.strip(), by=by, now=now)
    return order


@transaction.atomic
def stop_waiting(
    *, order_id: int, by: User | None, now: datetime, version: int | None = None
) -> WorkOrder:
    """What was missing has come. Refuses with OrderDoesNotWait and OrderChangedMeanwhile."""
    order = lock_order(order_id, version=version)
    if not order.waiting_for:
        raise OrderDoesNotWait(_("%(number)s does not wait.") % {"number": order.number})
    _write(order, OrderChange.Kind.NO_LONGER_WAITING, "", "", by=by, now=now)
    return order


def check_open(order: WorkOrder) -> None:
    if not order.is_open:
        raise OrderIsNotOpen(
            _("%(number)s is %(state)s; that can only be changed while it is open.")
            % {"number": order.number, "state": order.get_state_display()}
        )


def _write(
    order: WorkOrder,
    kind: OrderChange.Kind,
    waiting_for: str,
    why: str,
    *,
    by: User | None,
    now: datetime,
) -> None:
    OrderChange.objects.create(
        order=order, kind=kind, before=order.waiting_for, after=waiting_for, why=why, at=now, by=by
    )
    order.waiting_for, order.waiting_why = waiting_for, why
    order.version += 1
    order.save()
