"""What is recorded on an order and how it hangs together with others, as parts of its page."""

from typing import Any

from django.http import HttpRequest

from plant import access
from plant.roles import Permission
from workorders import time_access
from workorders.models import WorkOrder
from workorders.selectors import booked_time, order_chain

_ROWS = 8


def time_on_order(request: HttpRequest, order: WorkOrder) -> dict[str, Any]:
    # One more than is shown tells whether there are others.
    rows = list(booked_time.bookings_of(order)[: _ROWS + 1])
    return {
        "order": order,
        "plant": order.conveyor.plant,
        "bookings": rows[:_ROWS],
        "has_more": len(rows) > _ROWS,
        "booked": booked_time.booked_of(order),
        "may_book": time_access.may_book(request.user, order),
    }


def chain_on_order(request: HttpRequest, order: WorkOrder) -> dict[str, Any]:
    return {
        "order": order,
        "chain": order_chain.chain_of(order),
        "may_plan": access.may(request.user, Permission.PLAN_ORDER),
    }
