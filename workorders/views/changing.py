"""Small changes to an order: waiting, urgency, another time, figures, steps, notes."""

from collections.abc import Callable
from typing import Any, cast

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.roles import Permission
from workorders.forms import (
    NoteForm,
    OrderForm,
    PlannedForForm,
    UrgencyForm,
    VersionForm,
    WaitingForm,
)
from workorders.models import WorkOrder, WorkStep
from workorders.services import doing, replanning, waiting
from workorders.services.replanning import OrderFigures
from workorders.urgency import Urgency
from workorders.views.order_asked import order_asked, require_plan_or_do
from workorders.views.order_page import order_page


@require_http_methods(["GET", "POST"])
@needs(Permission.SEE)
def order_waiting(request: HttpRequest, number: str) -> HttpResponse:
    order = order_asked(request, number)
    require_plan_or_do(request)

    def change(form: WaitingForm) -> None:
        waiting.start_waiting(
            order_id=order.pk,
            waiting_for=form.waiting(),
            why=form.cleaned_data["why"],
            by=access.person_of(request),
            now=timezone.now(),
            version=form.cleaned_data["version"],
        )

    initial = {"waiting_for": order.waiting_for, "why": order.waiting_why}
    return _change(
        request, order, WaitingForm, initial, change, gettext_lazy("What does it wait for?")
    )


@require_POST
@needs(Permission.SEE)
def order_goes_on(request: HttpRequest, number: str) -> HttpResponse:
    order = order_asked(request, number)
    require_plan_or_do(request)
    form = VersionForm(request.POST)
    if not form.is_valid():
        return order_page(request, order, refusal=_stale(), status=400)
    try:
        waiting.stop_waiting(
            order_id=order.pk,
            by=access.person_of(request),
            now=timezone.now(),
            version=form.cleaned_data["version"],
        )
    except DomainError as refusal:
        return order_page(request, order, refusal=str(refusal), status=409)
    return redirect("order", order.number)


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def order_urgency(request: HttpRequest, number: str) -> HttpResponse:
    order = order_asked(request, number)

    def change(form: UrgencyForm) -> None:
        replanning.set_urgency(
            order_id=order.pk,
            urgency=Urgency(form.cleaned_data["urgency"]),
            why=form.cleaned_data["why"],
            by=access.person_of(request),
            now=timezone.now(),
            version=form.cleaned_data["version"],
        )

    return _change(
        request, order, UrgencyForm, {"urgency": order.urgency}, change, gettext_lazy("How urgent?")
    )


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def order_planned_for(request: HttpRequest, number: str) -> HttpResponse:
    order = order_asked(request, number)

    def change(form: PlannedForForm) -> None:
        replanning.plan_for(
            order_id=order.pk,
            planned_for=form.cleaned_data["planned_for"],
            why=form.cleaned_data["why"],
            by=access.person_of(request),
            now=timezone.now(),
            version=form.cleaned_data["version"],
        )

    initial = {"planned_for": order.planned_for}
    return _change(
        request, order, PlannedForForm, initial, change, gettext_lazy("Move to another time")
    )


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def order_edit(request: HttpRequest, number: str) -> HttpResponse:
    order = order_asked(request, number)

    def change(form: OrderForm) -> None:
        filled = {name: form.cleaned_data[name] for name in OrderForm.Meta.fields}
        replanning.put_right(
            order_id=order.pk,
            figures=cast(OrderFigures, filled),
            by=access.person_of(request),
            now=timezone.now(),
            version=form.cleaned_data["version"],
        )

    initial = {
        **{name: getattr(order, name) for name in OrderForm.Meta.fields},
        "tools": "\n".join(order.tools),
        "parts": "\n".join(order.parts),
    }
    return _change(request, order, OrderForm, initial, change, gettext_lazy("Put right"))


@require_POST
@needs(Permission.DO_ORDER)
def order_step(request: HttpRequest, number: str, place: int) -> HttpResponse:
    order = order_asked(request, number)
    act = doing.untick_step if request.POST.get("not_done") else doing.tick_step
    try:
        act(
            order_id=order.pk,
            place=place,
            seen=_step_seen(request),
            by=access.person_of(request),
            now=timezone.now(),
        )
    except WorkStep.DoesNotExist:
        raise Http404 from None
    except DomainError as refusal:
        return order_page(request, order, refusal=str(refusal), status=409)
    return redirect(f"{_address(order)}#steps")


def _step_seen(request: HttpRequest) -> int | None:
    said = request.POST.get("step", "")
    return int(said) if said.isascii() and said.isdigit() and len(said) < 19 else None


@require_POST
@needs(Permission.SEE)
def order_note(request: HttpRequest, number: str) -> HttpResponse:
    order = order_asked(request, number)
    require_plan_or_do(request)
    form = NoteForm(request.POST)
    if not form.is_valid():
        return order_page(request, order, note_form=form, status=400)
    doing.add_note(
        order_id=order.pk,
        words=form.cleaned_data["words"],
        by=access.person_of(request),
        now=timezone.now(),
    )
    return redirect(f"{_address(order)}#log")


def _change(
    request: HttpRequest,
    order: WorkOrder,
    form_class: type[Any],
    initial: dict[str, Any],
    change: Callable[[Any], None],
    heading: str | Promise,
) -> HttpResponse:
    """Ask with a form, change, go back to the order; a refusal keeps what was typed."""
    initial = {**initial, "version": order.version}
    refusal, status = "", 200
    # Times are typed in the plant's own zone.
    with timezone.override(order.conveyor.plant.zone_info):
        if request.method != "POST":
            form = form_class(initial=initial)
        else:
            form = form_class(request.POST, initial=initial)
            refusal, status = _try(form, change)
            if status == 200:
                messages.success(request, _("Kept."))
                return redirect("order", order.number)
            if status == 409:
                # Pressing again now means: having seen how it stands.
                order.refresh_from_db(fields=["version", "state"])
                form = form_class({**request.POST.dict(), "version": order.version})
        context = {"order": order, "form": form, "heading": heading, "refusal": refusal}
        return render(request, "workorders/order_change.html", context, status=status)


def _try(form: Any, change: Callable[[Any], None]) -> tuple[str, int]:
    """The refusal in words and the status it has; 200 when the change was made."""
    if not form.is_valid():
        return "", 400
    try:
        change(form)
    except DomainError as error:
        return str(error), 409
    return "", 200


def _address(order: WorkOrder) -> str:
    return reverse("order", args=[order.number])


def _stale() -> str:
    return _("The page was too old. Look at the order as it is now and press again.")
