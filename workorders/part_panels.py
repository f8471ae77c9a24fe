"""What parts add to the pages of orders and of components."""

from typing import Any

from django.http import HttpRequest
from django.utils import timezone

from plant import access, navigation
from plant.models import Component
from plant.navigation import Panel
from plant.roles import Permission
from workorders.models import Part, WorkOrder
from workorders.order_states import OrderState
from workorders.planning.parts_supply import Covered
from workorders.selectors import part_choice, part_supply, where_used
from workorders.selectors.part_supply import LineSupply
from workorders.services.order_parts import USING_STATES

_MOST = 20


def register() -> None:
    folder = "workorders/catalogue"
    navigation.register_panel("order", Panel(25, f"{folder}/on_order.html", parts_on_order))
    on_component = Panel(30, f"{folder}/on_component.html", parts_on_component)
    navigation.register_panel("component", on_component)


def parts_on_order(request: HttpRequest, order: WorkOrder) -> dict[str, Any] | None:
    """What the order wants and used; nothing where none was ever asked for and none can be."""
    today = order.conveyor.plant.day_of(timezone.now())
    supply = part_supply.supply_of_orders(order.conveyor.plant, [order], today=today)[order.pk]
    covered = {one.line.pk: one.covered for one in supply.lines}
    rows = list(order.order_parts.select_related("part").order_by("part__number"))
    lines = [LineSupply(row, covered.get(row.pk, Covered())) for row in rows]
    is_used_now = OrderState(order.state) in USING_STATES
    may_book = access.may(request.user, Permission.DO_ORDER)
    may_add = may_book and (order.is_open or is_used_now)
    words = part_choice.words_of(order, [row.part for row in rows])
    return {
        "order": order,
        "plant": order.conveyor.plant,
        "supply": supply,
        "lines": lines,
        "open_words": [one for one in words if not one.is_settled],
        "movements": order.part_movements.select_related("part", "by")[:_MOST],
        "is_used_now": is_used_now,
        "may_book": may_book,
        "may_add": may_add,
    }


def parts_on_component(request: HttpRequest, component: Component) -> dict[str, Any] | None:
    plant = component.conveyor.plant
    parts = access.visible(Part.objects.all(), request.user)
    parts = parts.filter(plant=plant, retired_on__isnull=True)
    today = plant.day_of(timezone.now())
    found = where_used.parts_fitting(component, parts, today)
    return {"found": found[:_MOST]} if found else None
