"""Judging the urgency of an order anew, by a button beside what would change."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.roles import Permission
from workorders.forms import VersionForm
from workorders.models import WorkOrder
from workorders.services import judging_again
from workorders.views.order_page import order_page


@require_POST
@needs(Permission.PLAN_ORDER)
def order_judge_again(request: HttpRequest, number: str) -> HttpResponse:
    order = access.one_visible(
        WorkOrder.objects.select_related("conveyor__plant"), request.user, number=number
    )
    form = VersionForm(request.POST)
    if not form.is_valid():
        said = _("The page was too old. Look at the order as it is now and press again.")
        return order_page(request, order, refusal=said, status=400)
    try:
        judged = judging_again.judge_again(
            order_id=order.pk,
            by=access.person_of(request),
            now=timezone.now(),
            version=form.cleaned_data["version"],
        )
    except DomainError as refusal:
        return order_page(request, order, refusal=str(refusal), status=409)
    messages.success(
        request, _("Judged again: %(urgency)s.") % {"urgency": judged.get_urgency_display()}
    )
    return redirect("order", order.number)
