"""Parts that work adds to pages of the rooms below."""

from typing import Any

from django.http import HttpRequest
from django.utils import timezone
from django.utils.translation import gettext as _

from diagnostics.models import Case
from plant import access, navigation
from plant.models import Conveyor
from plant.navigation import Panel
from plant.roles import Permission
from workorders.models import WorkOrder
from workorders.order_states import OrderState
from workorders.selectors import backlog, case_work, proofs

_ROWS = 8


def register() -> None:
    folder = "workorders/parts"
    navigation.register_panel("case", Panel(30, f"{folder}/on_case.html", on_case))
    navigation.register_panel("conveyor", Panel(30, f"{folder}/on_conveyor.html", on_conveyor))
    navigation.register_panel("today", Panel(30, f"{folder}/on_today.html", on_today))


def on_case(request: HttpRequest, case: Case) -> dict[str, Any]:
    orders = access.visible(WorkOrder.objects.all(), request.user)
    return {
        "case": case,
        "plant": case.conveyor.plant,
        "orders": case_work.orders_of_case(orders, case.pk),
        "can_be_raised": (
            case_work.causes_without_work(case)
            if access.may(request.user, Permission.RAISE_ORDER)
            else []
        ),
        "findings": (
            case_work.findings_without_work(case)
            if access.may(request.user, Permission.RAISE_ORDER)
            else []
        ),
    }


def on_conveyor(request: HttpRequest, conveyor: Conveyor) -> dict[str, Any]:
    orders = access.visible(WorkOrder.objects.all(), request.user)
    return {
        "conveyor": conveyor,
        "orders": backlog.still_to_do(orders.filter(conveyor=conveyor))[:_ROWS],
        "may_raise": access.may(request.user, Permission.RAISE_ORDER),
    }


def on_today(request: HttpRequest, _row: Any) -> dict[str, Any] | None:
    """For each duty a person has, the orders that wait for it; None for who has none."""
    orders = access.visible(WorkOrder.objects.all(), request.user)
    groups = []
    if access.may(request.user, Permission.PLAN_ORDER):
        proposed = orders.filter(state=OrderState.PROPOSED)
        groups.append(_group(_("Proposed, to be approved"), proposed, "state=proposed"))
        groups.append(_group(_("Overdue"), backlog.overdue(orders, timezone.now()), "state=open"))
        groups.append(_group(_("Waiting"), backlog.waiting(orders), "waiting=on"))
    if access.may(request.user, Permission.DO_ORDER):
        in_hand = orders.filter(state=OrderState.IN_HAND)
        groups.append(_group(_("In hand"), in_hand, "state=in_hand"))
        scheduled = orders.filter(state=OrderState.SCHEDULED)
        groups.append(_group(_("Scheduled"), scheduled, "state=scheduled"))
    if access.may(request.user, Permission.PROVE_ORDER):
        on_proof = proofs.to_be_proved(orders)
        groups.append(_group(_("Done, to be proved"), on_proof, "state=to_prove"))
    if not groups:
        return None
    return {"groups": groups, "any_order": any(group["orders"] for group in groups)}


def _group(heading: str, orders: Any, query: str) -> dict[str, Any]:
    rows = list(backlog.by_urgency(orders)[:_ROWS])
    return {"heading": heading, "orders": rows, "query": query}
