"""Recording a proof run; asks first, since a proved order does not come back."""

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
from workorders.models import WorkOrder
from workorders.proof_forms import LookLine, ProofForm, look_lines, looks_filled
from workorders.selectors import proof_page, watching
from workorders.services import proof_watching, proving


@require_http_methods(["GET", "POST"])
@needs(Permission.PROVE_ORDER)
def order_proof(request: HttpRequest, number: str) -> HttpResponse:
    order = access.one_visible(
        WorkOrder.objects.select_related("conveyor__plant"), request.user, number=number
    )
    if request.method == "GET":
        return _ask(request, order, _form_of(order), _lines(order))
    form, lines = ProofForm(request.POST), _lines(order, request.POST.dict())
    form.is_kept_only = "keep" in request.POST
    # Each line is looked at, so that all that is wrong is told at once.
    if not all([form.is_valid(), *(line.form.is_valid() for line in lines)]):
        return _ask(request, order, form, lines, status=400)
    try:
        return _record(request, order, form, lines)
    except DomainError as refusal:
        order.refresh_from_db(fields=["state", "version"])
        # Pressing again now means: having seen how it stands.
        form = ProofForm({**request.POST.dict(), "version": order.version})
        return _ask(request, order, form, lines, refusal=str(refusal), status=409)


def _record(
    request: HttpRequest, order: WorkOrder, form: ProofForm, lines: list[LookLine]
) -> HttpResponse:
    seen = form.seen(looks_filled(lines))
    by, now, version = access.person_of(request), timezone.now(), form.cleaned_data["version"]
    if form.is_kept_only:
        proving.keep_watch(order_id=order.pk, seen=seen, by=by, now=now, version=version)
        messages.success(request, _("Kept. Go on when the belt runs as you need it."))
        return redirect("order-proof", order.number)
    run = proving.record_proof_run(
        order_id=order.pk,
        passed=form.cleaned_data["outcome"] == "passed",
        by=by,
        now=now,
        note=seen.note,
        revolutions_empty=seen.revolutions_empty,
        revolutions_loaded=seen.revolutions_loaded,
        looks=seen.looks,
        version=version,
    )
    messages.success(request, _said(order, passed=run.passed))
    return redirect("order", order.number)


def _said(order: WorkOrder, *, passed: bool) -> str:
    if passed:
        return _("%(number)s is proved.") % {"number": order.number}
    return _("%(number)s stays done; its case is being looked at again.") % {"number": order.number}


def _form_of(order: WorkOrder) -> ProofForm:
    watch = proof_page.watch_going_on(order)
    kept = {
        name: getattr(watch, name)
        for name in ("revolutions_empty", "revolutions_loaded", "note")
        if watch is not None
    }
    return ProofForm(initial={"version": order.version, **kept})


def _lines(order: WorkOrder, data: dict[str, Any] | None = None) -> list[LookLine]:
    watched = proof_page.to_watch(order, proof_page.loop_or_none(order.conveyor))
    watch = proof_page.watch_going_on(order)
    kept = list(watch.looks.all()) if watch else []
    return look_lines(order.conveyor, watched, kept, data)


def _ask(
    request: HttpRequest,
    order: WorkOrder,
    form: ProofForm,
    lines: list[LookLine],
    *,
    refusal: str = "",
    status: int = 200,
) -> HttpResponse:
    watch = proof_page.watch_going_on(order)
    context = {
        "order": order,
        "cautions": proof_page.cautions_to_read(order),
        "form": form,
        "lines": lines,
        "refusal": refusal,
        "watch": watching.time_to_watch(order.conveyor),
        "said": proof_watching.verdict_of(order, watch) if watch else None,
    }
    return render(request, "workorders/order_proof.html", context, status=status)
