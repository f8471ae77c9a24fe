"""Moving an order: a button that acts, or a page that asks first."""

from collections.abc import Mapping

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.roles import Permission
from workorders import duties
from workorders.forms import MoveForm
from workorders.models import WorkOrder
from workorders.order_states import OrderState, is_back, may_move
from workorders.order_words import BACK_WORDS, MOVE_WORDS, STATE_WORDS
from workorders.selectors import order_chain
from workorders.services import moving


@require_http_methods(["GET", "POST"])
@needs(Permission.SEE)
def order_move(request: HttpRequest, number: str) -> HttpResponse:
    order = access.one_visible(
        WorkOrder.objects.select_related("conveyor__plant"), request.user, number=number
    )
    to_state = _state_asked(request)
    access.require(request.user, duties.permission_for(OrderState(order.state), to_state))
    # Times are typed in the plant's own zone.
    with timezone.override(order.conveyor.plant.zone_info):
        if request.method == "POST":
            return _move(request, order, to_state)
        form = _form(order, to_state)
        return _ask(request, order, to_state, form)


def _move(request: HttpRequest, order: WorkOrder, to_state: OrderState) -> HttpResponse:
    form = _form(order, to_state, data=request.POST.dict())
    if not form.is_valid():
        return _ask(request, order, to_state, form, status=400)
    try:
        moving.move_order(
            order_id=order.pk,
            to_state=to_state,
            by=access.person_of(request),
            now=timezone.now(),
            why=form.cleaned_data["why"],
            planned_for=form.cleaned_data.get("planned_for"),
            begins_early="begins_early" in request.POST,
            version=form.cleaned_data["version"],
        )
    except DomainError as refusal:
        return _ask(request, order, to_state, form, refusal=str(refusal), status=409)
    said = _("%(number)s is %(state)s.") % {"number": order.number, "state": STATE_WORDS[to_state]}
    messages.success(request, said)
    return redirect("order", order.number)


def _ask(
    request: HttpRequest,
    order: WorkOrder,
    to_state: OrderState,
    form: MoveForm,
    *,
    refusal: str = "",
    status: int = 200,
) -> HttpResponse:
    order.refresh_from_db(fields=["state", "version", "planned_for"])
    old = OrderState(order.state)
    begins = to_state is OrderState.IN_HAND and not is_back(old, to_state)
    if refusal and may_move(old, to_state):
        # Pressing again now means: having seen how it stands.
        form = _form(order, to_state, data={**request.POST.dict(), "version": order.version})
    words = BACK_WORDS if is_back(old, to_state) else MOVE_WORDS
    context = {
        "order": order,
        "form": form,
        "to_state": to_state.value,
        "words": words.get(to_state, STATE_WORDS[to_state]),
        "is_possible": may_move(old, to_state),
        "unticked": _unticked(order) if to_state is OrderState.DONE else [],
        "held_up_by": list(order_chain.holding_up(order)) if begins else [],
        "comes_apart_from": order.merged_into if to_state is OrderState.PROPOSED else None,
        "refusal": refusal,
    }
    return render(request, "workorders/order_move.html", context, status=status)


def _form(
    order: WorkOrder, to_state: OrderState, *, data: Mapping[str, object] | None = None
) -> MoveForm:
    initial = {
        "version": order.version,
        "to_state": to_state.value,
        "planned_for": order.planned_for,
    }
    form = MoveForm(data, initial=initial)
    form.fit_to(OrderState(order.state), to_state)
    return form


def _state_asked(request: HttpRequest) -> OrderState:
    asked = request.POST if request.method == "POST" else request.GET
    try:
        return OrderState(asked.get("to_state", ""))
    except ValueError:
        raise Http404 from None


def _unticked(order: WorkOrder) -> list[str]:
    return list(order.steps.filter(done_at__isnull=True).values_list("what", flat=True))
