"""Merging orders: choose which, see what becomes of them, then do it."""

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.roles import Permission
from workorders import order_previews
from workorders.chain_forms import MergeForm, seen_words
from workorders.models import WorkOrder
from workorders.selectors import order_chain
from workorders.services import merging, waiting
from workorders.views.order_asked import order_asked


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def order_merge(request: HttpRequest, number: str) -> HttpResponse:
    order = order_asked(request, number)
    try:
        waiting.check_open(order)
    except DomainError as refusal:
        return _choose(request, order, None, refusal=str(refusal), status=409)
    if request.method != "POST":
        return _choose(request, order, _form(request, order))
    form = _form(request, order, request.POST)
    if not form.is_valid():
        return _choose(request, order, form, status=400)
    every = [order, *form.cleaned_data["others"]]
    into = merging.order_that_goes_on(every)
    others = [one for one in every if one != into]
    if "do" in request.POST:
        return _merge(request, order, form, into, others)
    if "again" in request.POST:
        return _choose(request, order, form)
    return _look(request, order, form, into, others)


def _merge(
    request: HttpRequest,
    order: WorkOrder,
    form: MergeForm,
    into: WorkOrder,
    others: list[WorkOrder],
) -> HttpResponse:
    try:
        merging.merge_orders(
            into_id=into.pk,
            other_ids=[one.pk for one in others],
            seen=form.versions(),
            by=access.person_of(request),
            now=timezone.now(),
        )
    except DomainError as refusal:
        return _choose(request, order, form, refusal=str(refusal), status=409)
    said = _("%(numbers)s: merged into %(number)s.")
    numbers = ", ".join(one.number for one in others)
    messages.success(request, said % {"numbers": numbers, "number": into.number})
    return redirect("order", into.number)


def _look(
    request: HttpRequest,
    order: WorkOrder,
    form: MergeForm,
    into: WorkOrder,
    others: list[WorkOrder],
) -> HttpResponse:
    try:
        merging.check_may_be_one(into, others)
        merging.check_no_circle(into, others)
    except DomainError as refusal:
        return _choose(request, order, form, refusal=str(refusal), status=409)
    context = {
        "order": order,
        "form": form,
        "into": into,
        "others": others,
        "seen": seen_words([into, *others]),
        "shown": order_previews.merge_shown(into, others),
    }
    return render(request, "workorders/chain/merge_look.html", context)


def _form(
    request: HttpRequest, order: WorkOrder, data: Mapping[str, Any] | None = None
) -> MergeForm:
    seen = access.visible(WorkOrder.objects.all(), request.user)
    return MergeForm(data, mergeable=order_chain.mergeable(order, seen))


def _choose(
    request: HttpRequest,
    order: WorkOrder,
    form: MergeForm | None,
    *,
    refusal: str = "",
    status: int = 200,
) -> HttpResponse:
    context = {
        "order": order,
        "form": form,
        "has_others": form is not None and form.fields["others"].queryset.exists(),  # type: ignore[attr-defined]
        "refusal": refusal,
    }
    return render(request, "workorders/chain/merge.html", context, status=status)
