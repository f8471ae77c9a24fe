"""What is recorded on an order and how it hangs together with others, as parts of its page."""

from typing import Any

from django.http import HttpRequest

from diagnostics.models import Case
from plant import access
from plant.navigation import Panel, register_panel
from plant.roles import Permission
from workorders import record_access, time_access
from workorders.models import WorkOrder
from workorders.selectors import booked_time, order_chain, order_photos

_ROWS = 8
_PHOTOS = 12


def register() -> None:
    """Called once, when the app is ready."""
    for page, place, template, context in (
        ("order", 30, "chain/on_order.html", chain_on_order),
        ("order", 35, "time/on_order.html", time_on_order),
        ("order", 40, "photos/on_order.html", photos_on_order),
        ("case", 35, "photos/on_case.html", photos_on_case),
    ):
        register_panel(page, Panel(place, f"workorders/{template}", context))


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
        "kin": order_chain.kin_of(order),
        "may_plan": access.may(request.user, Permission.PLAN_ORDER),
    }


def photos_on_order(request: HttpRequest, order: WorkOrder) -> dict[str, Any]:
    every = list(order_photos.photos_of(order))
    standing = [one for one in every if one.taken_back_at is None]
    return {
        "order": order,
        "plant": order.conveyor.plant,
        "groups": order_photos.grouped(standing[:_PHOTOS]),
        "has_more": len(standing) > _PHOTOS,
        "has_gone": len(every) > len(standing),
        "may_add": record_access.may_add(request.user),
    }


def photos_on_case(_request: HttpRequest, case: Case) -> dict[str, Any] | None:
    photos = list(order_photos.photos_of_case(case.pk)[:_PHOTOS])
    return {"plant": case.conveyor.plant, "photos": photos} if photos else None
