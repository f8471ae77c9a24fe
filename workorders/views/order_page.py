"""The order page, shown by itself or again with a refusal on it."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from diagnostics.case_states import CaseState
from plant import access
from plant.roles import Permission
from workorders import duties
from workorders.forms import NoteForm
from workorders.models import WorkOrder
from workorders.order_states import OrderState, is_back, needs_why
from workorders.order_words import BACK_WORDS, MOVE_WORDS
from workorders.selectors import order_chain, order_drawing, order_log
from workorders.services import leading_cases


def order_page(
    request: HttpRequest,
    order: WorkOrder,
    *,
    refusal: str = "",
    note_form: NoteForm | None = None,
    status: int = 200,
) -> HttpResponse:
    """Render an order; a refusal stands on top of it, with what was typed kept below."""
    row = WorkOrder.objects.select_related(
        "conveyor__plant", "case", "hypothesis", "raised_by"
    ).get(pk=order.pk)
    context: dict[str, Any] = {
        "order": row,
        "conveyor": row.conveyor,
        "plant": row.conveyor.plant,
        "steps": list(row.steps.select_related("done_by")),
        "log": order_log.log_of(row),
        "loop": order_drawing.drawing_of(row),
        "moves": moves_for(request, row),
        "may": _may(request, row),
        "note_form": note_form or NoteForm(),
        "proof_failed": leading_cases.proof_failed(row) and row.case is not None,
        "refusal": refusal,
    }
    return render(request, "workorders/order.html", context, status=status)


def _can_be_proved(order: WorkOrder) -> bool:
    is_done = order.state == OrderState.DONE
    return is_done and (order.case is None or order.case.state == CaseState.ON_PROOF)


def moves_for(request: HttpRequest, order: WorkOrder) -> list[dict[str, Any]]:
    """The legal moves this person may make; `asks` where the move wants words or a time first."""
    old = OrderState(order.state)
    asking = {OrderState.SCHEDULED, OrderState.DONE}
    if order_chain.holding_up(order).exists():
        asking.add(OrderState.IN_HAND)
    moves = [
        {
            "to_state": new.value,
            "words": BACK_WORDS[new] if is_back(old, new) else MOVE_WORDS[new],
            "asks": needs_why(old, new) or new in asking,
            "is_onward": not needs_why(old, new),
        }
        for new in duties.moves_from(old)
        if new is not OrderState.PROVED
        and access.may(request.user, duties.permission_for(old, new))
    ]
    # What brings the work on stands first.
    return sorted(moves, key=lambda move: not move["is_onward"])


def _may(request: HttpRequest, order: WorkOrder) -> dict[str, bool]:
    def may(permission: Permission) -> bool:
        return access.may(request.user, permission)

    plans, does = may(Permission.PLAN_ORDER), may(Permission.DO_ORDER)
    return {
        "plan": plans and order.is_open,
        "replan": plans and order.state == OrderState.SCHEDULED,
        "wait": (plans or does) and order.is_open,
        "tick": does and order.state == OrderState.IN_HAND,
        "prove": may(Permission.PROVE_ORDER) and _can_be_proved(order),
        "note": plans or does or may(Permission.PROVE_ORDER),
    }
