"""What condition and life add to the pages of a conveyor, a component and an order."""

from typing import Any

from django.http import HttpRequest
from django.utils import timezone

from plant import navigation
from plant.models import Component, Conveyor
from plant.navigation import Panel
from workorders import due_words, wear_pages
from workorders.models import DueItem, DueOrder, WorkOrder
from workorders.order_states import OrderState
from workorders.selectors.wear import ConveyorWear

_ROWS = 5


def register() -> None:
    folder = "workorders/lives"
    navigation.register_panel("order", Panel(15, f"{folder}/on_order.html", due_on_order))
    navigation.register_panel("conveyor", Panel(35, f"{folder}/on_page.html", wear_on_conveyor))
    navigation.register_panel("component", Panel(35, f"{folder}/on_page.html", wear_on_component))


def wear_on_conveyor(_request: HttpRequest, conveyor: Conveyor) -> dict[str, Any]:
    """What meets its limit soonest, and the way to what lives say."""
    return _wear(conveyor)


def wear_on_component(_request: HttpRequest, component: Component) -> dict[str, Any] | None:
    """The same of a component; nothing where nothing is read."""
    found = _wear(component.conveyor, component)
    return found if found["rows"] else None


def _wear(conveyor: Conveyor, component: Component | None = None) -> dict[str, Any]:
    only = None if component is None else component.pk
    spots = ConveyorWear(conveyor, timezone.now(), component_id=only).spots()
    found = wear_pages.soonest_first(spots)
    return {
        "conveyor": conveyor,
        "plant": conveyor.plant,
        "component": component,
        "rows": [wear_pages.row_of(one) for one in found[:_ROWS]],
        "more": max(0, len(found) - _ROWS),
    }


def due_on_order(_request: HttpRequest, order: WorkOrder) -> dict[str, Any] | None:
    """What of the due list it was raised for, and where to say that it is new."""
    keys = DueOrder.objects.filter(order=order).values_list("key", flat=True)
    if not keys:
        return None
    items = DueItem.objects.filter(conveyor=order.conveyor, key__in=list(keys))
    return {
        "order": order,
        "conveyor": order.conveyor,
        "plant": order.conveyor.plant,
        "rows": [
            {"item": one, "where": due_words.where_words(one), "why": due_words.why_words(one)}
            for one in items.select_related("component")
        ],
        "is_done": order.state in {OrderState.DONE, OrderState.PROVED},
    }
