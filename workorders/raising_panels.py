"""What an order says about why it stands, where no accepted cause says so."""

from typing import Any

from django.http import HttpRequest

from diagnostics.models import Diagnosis
from diagnostics.selectors import shelf
from plant import access, navigation
from plant.navigation import Panel
from plant.roles import Permission
from workorders.models import WorkOrder
from workorders.order_origins import Origin
from workorders.order_words import URGENCY_WORDS
from workorders.selectors import raising_settings, trouble
from workorders.services import leading_cases
from workorders.services.raising_by_rule import probability_in

_PLAIN = frozenset({Origin.CAUSE, Origin.HAND})


def register() -> None:
    navigation.register_panel("order", Panel(10, "workorders/raising/on_order.html", on_order))
    again = Panel(12, "workorders/raising/judge_again.html", judged_anew)
    navigation.register_panel("order", again)


def on_order(_request: HttpRequest, order: WorkOrder) -> dict[str, Any] | None:
    """None for an order whose cause or title says it all."""
    if Origin(order.origin) in _PLAIN:
        return None
    context = {
        "order": order,
        "plant": order.conveyor.plant,
        "finding": order.finding,
        "finding_words": _cause_words(order) if order.finding else "",
        "is_suggestion": leading_cases.is_suggestion(order) and order.case is not None,
    }
    if Origin(order.origin) is Origin.RULE and context["is_suggestion"]:
        context |= _as_it_stands(order)
    return context


def judged_anew(request: HttpRequest, order: WorkOrder) -> dict[str, Any] | None:
    """What the site would say now; None while it says the same, and once the order has ended."""
    if not order.is_open:
        return None
    judged = trouble.judged_now(order)
    if not trouble.says_something_new(order, judged):
        return None
    return {
        "order": order,
        "judged": judged,
        "urgency_words": URGENCY_WORDS[judged.urgency],
        "is_same": judged.urgency == order.urgency,
        "is_a_persons": bool(order.urgency_why),
        "may_judge": access.may(request.user, Permission.PLAN_ORDER),
    }


def _as_it_stands(order: WorkOrder) -> dict[str, Any]:
    """What it was raised at, and what the standing diagnosis gives it now."""
    standing = Diagnosis.objects.filter(case=order.case_id, superseded_at__isnull=True).first()
    now_at = probability_in(standing, order) if standing else None
    point = raising_settings.set_point_of(order.conveyor.plant_id)
    return {
        "is_by_rule": True,
        "raised_at": order.hypothesis.probability if order.hypothesis else None,
        "now_at": now_at,
        "is_less_sure": now_at is not None and now_at < point.probability,
    }


def _cause_words(order: WorkOrder) -> str:
    known = shelf.knowledge_of(order.conveyor.plant_id).causes.get(order.cause)
    return known.name if known else order.cause.replace("_", " ")
