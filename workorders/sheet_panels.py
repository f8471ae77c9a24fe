"""What the outage sheet adds to shared pages."""

from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest
from django.urls import reverse

from plant import access, navigation
from plant.navigation import Panel
from plant.roles import Permission
from workorders.models import WorkOrder
from workorders.order_states import OrderState

_MOVABLE = {OrderState.APPROVED, OrderState.SCHEDULED}


def register() -> None:
    """Called once, from the app's `ready`."""
    folder = "workorders/sheet"
    navigation.register_panel("order", Panel(5, f"{folder}/on_order.html", place_of_order))


def place_of_order(request: HttpRequest, order: WorkOrder) -> dict[str, Any] | None:
    """Where it stands; None for orders that have no business on the sheet."""
    if order.state not in _MOVABLE | {OrderState.IN_HAND}:
        return None
    plant = order.conveyor.plant
    asked = {"plant": plant.code}
    if order.planned_for:
        asked["first"] = f"{order.planned_for.astimezone(plant.zone_info):%Y-%m-%d}"
    plans = access.may(request.user, Permission.PLAN_ORDER)
    return {
        "order": order,
        "plant": plant,
        "sheet": f"{reverse('outage-sheet')}?{urlencode(asked)}",
        "may_place": plans and order.state in _MOVABLE,
    }
