"""Recording a proof run; asks first, since a proved order does not come back."""

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
from workorders.forms import ProofForm
from workorders.models import WorkOrder
from workorders.selectors import watching
from workorders.services import proving


@require_http_methods(["GET", "POST"])
@needs(Permission.PROVE_ORDER)
def order_proof(request: HttpRequest, number: str) -> HttpResponse:
    order = access.one_visible(
        WorkOrder.objects.select_related("conveyor__plant"), request.user, number=number
    )
    if request.method == "GET":
        return _ask(request, order, ProofForm(initial={"version": order.version}))
    form = ProofForm(request.POST)
    if not form.is_valid():
        return _ask(request, order, form, status=400)
    try:
        run = proving.record_proof_run(
            order_id=order.pk,
            passed=form.cleaned_data["outcome"] == "passed",
            by=access.person_of(request),
            now=timezone.now(),
            note=form.cleaned_data["note"],
            revolutions_empty=form.cleaned_data["revolutions_empty"],
            revolutions_loaded=form.cleaned_data["revolutions_loaded"],
            version=form.cleaned_data["version"],
        )
    except DomainError as refusal:
        order.refresh_from_db(fields=["state", "version"])
        # Pressing again now means: having seen how it stands.
        form = ProofForm({**request.POST.dict(), "version": order.version})
        return _ask(request, order, form, refusal=str(refusal), status=409)
    messages.success(request, _said(order, passed=run.passed))
    return redirect("order", order.number)


def _said(order: WorkOrder, *, passed: bool) -> str:
    if passed:
        return _("%(number)s is proved.") % {"number": order.number}
    return _("%(number)s stays done; its case is being looked at again.") % {"number": order.number}


def _ask(
    request: HttpRequest,
    order: WorkOrder,
    form: ProofForm,
    *,
    refusal: str = "",
    status: int = 200,
) -> HttpResponse:
    context = {
        "order": order,
        "form": form,
        "refusal": refusal,
        "watch": watching.time_to_watch(order.conveyor),
    }
    return render(request, "workorders/order_proof.html", context, status=status)
