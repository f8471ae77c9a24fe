"""Raising an order by hand, and again for a cause whose first order came to nothing."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from diagnostics.models import Hypothesis
from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.models import Conveyor
from plant.roles import Permission
from workorders.forms import NewOrderForm
from workorders.services import raising, raising_by_hand
from workorders.services.raising_by_hand import WorkWanted


@require_http_methods(["GET", "POST"])
@needs(Permission.RAISE_ORDER)
def order_new(request: HttpRequest) -> HttpResponse:
    conveyors = access.visible(Conveyor.objects.in_service(), request.user).select_related("plant")
    if request.method == "GET":
        initial = {"conveyor": request.GET.get("conveyor")}
        return _ask(request, NewOrderForm(initial=initial, conveyors=conveyors))
    form = NewOrderForm(request.POST, conveyors=conveyors)
    if not form.is_valid():
        return _ask(request, form, status=400)
    filled: dict[str, Any] = dict(form.cleaned_data)
    try:
        order = raising_by_hand.raise_by_hand(
            conveyor=filled.pop("conveyor"),
            wanted=WorkWanted(**filled),
            by=access.person_of(request),
            now=timezone.now(),
        )
    except raising_by_hand.UnknownPlace as refusal:
        form.add_error(refusal.field, str(refusal))
        return _ask(request, form, status=409)
    except raising_by_hand.UrgencyNeedsReason as refusal:
        form.add_error("urgency_why", str(refusal))
        return _ask(request, form, status=409)
    messages.success(request, _("%(number)s is proposed.") % {"number": order.number})
    return redirect("order", order.number)


@require_POST
@needs(Permission.RAISE_ORDER)
def order_raise_again(request: HttpRequest, hypothesis_pk: int) -> HttpResponse:
    hypothesis = access.one_visible(
        Hypothesis.objects.select_related("case"), request.user, pk=hypothesis_pk
    )
    try:
        order = raising.raise_again(
            hypothesis_id=hypothesis.pk, by=access.person_of(request), now=timezone.now()
        )
    except DomainError as refusal:
        messages.error(request, str(refusal))
        return redirect("case", hypothesis.case.number)
    messages.success(request, _("%(number)s is proposed.") % {"number": order.number})
    return redirect("order", order.number)


def _ask(request: HttpRequest, form: NewOrderForm, *, status: int = 200) -> HttpResponse:
    return render(request, "workorders/order_new.html", {"form": form}, status=status)
