"""What shifts add to the pages of orders, conveyors, components and cases."""

from typing import Any

from django.http import HttpRequest

from diagnostics.models import Case
from plant import access, navigation
from plant.models import Component, Conveyor
from plant.navigation import Panel
from plant.roles import Permission
from workorders.models import WorkOrder
from workorders.order_states import OrderState
from workorders.selectors import shifts
from workorders.services import leading_cases
from workorders.services.recording_shifts import RECORDED_IN
from workorders.views.shifts import may_take_back

_FEW, _MANY = 5, 60
_FOLDER = "workorders/shifts"


def register() -> None:
    navigation.register_panel("order", Panel(15, f"{_FOLDER}/on_order.html", on_order))
    navigation.register_panel("conveyor", Panel(35, f"{_FOLDER}/on_conveyor.html", on_conveyor))
    navigation.register_panel("component", Panel(50, f"{_FOLDER}/on_conveyor.html", on_component))
    navigation.register_panel("case", Panel(32, f"{_FOLDER}/on_case.html", on_case))


def on_order(request: HttpRequest, order: WorkOrder) -> dict[str, Any] | None:
    """None where nothing was shifted and nobody may write it down now."""
    may_do = access.may(request.user, Permission.DO_ORDER)
    made, undoes = shifts.of_order(order), shifts.undone_by(order)
    may_record = may_do and OrderState(order.state) in RECORDED_IN
    if not (made or undoes or may_record):
        return None
    stand = any(one.stands and one.undoing is None for one in made)
    return {
        "order": order,
        "conveyor": order.conveyor,
        "plant": order.conveyor.plant,
        "shifts": made,
        "undoes": undoes,
        "may_do": may_do,
        "may_record": may_record,
        "acts_on": may_take_back(request, made),
        "asks_to_undo": stand and leading_cases.proof_failed(order),
    }


def on_conveyor(request: HttpRequest, conveyor: Conveyor) -> dict[str, Any]:
    return {
        "conveyor": conveyor,
        "plant": conveyor.plant,
        "shifts": shifts.latest_of_conveyor(conveyor, _FEW),
        "standing": shifts.standing_of(conveyor),
        "may_do": access.may(request.user, Permission.DO_ORDER),
    }


def on_component(request: HttpRequest, component: Component) -> dict[str, Any] | None:
    found = shifts.of_component(component, _FEW)
    may_do = access.may(request.user, Permission.DO_ORDER)
    if not found and not may_do:
        return None
    return {
        "conveyor": component.conveyor,
        "plant": component.conveyor.plant,
        "shifts": found,
        "standing": shifts.standing_of(component.conveyor, component),
        "at": component.name if component.count == 1 else "",
        "may_do": may_do,
    }


def on_case(_request: HttpRequest, case: Case) -> dict[str, Any] | None:
    found = shifts.of_case(case, _MANY)
    if not found:
        return None
    return {"case": case, "plant": case.conveyor.plant, "shifts": found}
