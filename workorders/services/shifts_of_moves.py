"""Shifts an order brings back are undone once it is done, and stand again when it is not."""

from datetime import datetime

from plant.models import User
from workorders.models import WorkOrder
from workorders.order_states import OrderState


def follow(
    order: WorkOrder, old: OrderState, new: OrderState, by: User | None, at: datetime
) -> None:
    """Inside the transaction of the move; the caller holds the order."""
    if new is OrderState.DONE:
        standing = order.undoes.filter(undone_at__isnull=True, taken_back_at__isnull=True)
        standing.update(undone_at=at, undone_by=by)
    elif old is OrderState.DONE and new is not OrderState.PROVED:
        order.undoes.update(undone_at=None, undone_by=None)
