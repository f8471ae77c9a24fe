"""Shifts an order brings back are undone once it is done, and stand again when it is not."""

from datetime import datetime

from django.db.models import Q

from plant.models import User
from workorders.models import ShiftMade, WorkOrder
from workorders.models.shift_made import ShiftMadeQuerySet
from workorders.order_states import OrderState


def follow(
    order: WorkOrder, old: OrderState, new: OrderState, by: User | None, at: datetime
) -> None:
    """Inside the transaction of the move; the caller holds the order."""
    if new is OrderState.DONE:
        _brought_back_by(order).standing().update(undone_at=at, undone_by=by)
    elif old is OrderState.DONE and new is not OrderState.PROVED:
        _brought_back_by(order).update(undone_at=None, undone_by=None)


def _brought_back_by(order: WorkOrder) -> ShiftMadeQuerySet:
    """Its own, and those of orders whose work goes on in it."""
    merged = Q(undo_order__merged_into=order) | Q(undo_order__merged_into__merged_into=order)
    return ShiftMade.objects.filter(Q(undo_order=order) | merged)
