"""Complaints that were taken: the list, one complaint, putting it right."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from diagnostics.complaint_forms import BeltForm, ComplaintFilterForm, MoveComplaintForm, WhyForm
from diagnostics.models import Case, Complaint
from diagnostics.selectors import complaint_desk
from diagnostics.services import complaints as service
from diagnostics.views.complaint_taking import belt_choice
from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.roles import Permission

_ROWS = 25


@require_safe
@needs(Permission.SEE)
def complaints(request: HttpRequest) -> HttpResponse:
    plants = list(access.plants_of(request.user))
    form = ComplaintFilterForm(request.GET, plants=plants)
    wanted = form.wanted()
    seen = access.visible(Complaint.objects.all(), request.user)
    rows = complaint_desk.complaints_wanted(seen, **wanted)
    context = {
        "form": form,
        "page": Paginator(rows, _ROWS).get_page(request.GET.get("page")),
        "is_filtered": any(wanted.values()),
        "several_plants": len(plants) > 1,
    }
    return render(request, "diagnostics/complaints/list.html", context)


@require_safe
@needs(Permission.SEE)
def complaint(request: HttpRequest, pk: int) -> HttpResponse:
    context = {"complaint": _row(request, pk)}
    return render(request, "diagnostics/complaints/complaint.html", context)


@require_http_methods(["GET", "POST"])
@needs(Permission.TAKE_COMPLAINT)
def complaint_belt(request: HttpRequest, pk: int) -> HttpResponse:
    """Say which belt it was, now that somebody knows."""
    row = _row(request, pk)
    typed: Any = request.POST if request.method == "POST" else request.GET
    if request.method == "GET" or "find" in request.POST:
        form = BeltForm(initial=typed.dict(), user=access.person_of(request))
        return _belt_page(request, row, form, typed)
    form = BeltForm(request.POST, user=access.person_of(request))
    if not form.is_valid():
        return _belt_page(request, row, form, typed, status=400)
    try:
        row = service.name_conveyor(
            complaint_id=row.pk,
            conveyor=form.cleaned_data["belt"],
            by=access.person_of(request),
            now=timezone.now(),
            join_case_id=form.join_case_id(),
            seen_case_ids=form.seen_case_ids(),
        )
    except DomainError as refusal:
        return _belt_page(request, row, form, typed, refusal=str(refusal), status=409)
    messages.success(request, _("The complaint is about %(belt)s.") % {"belt": row.conveyor})
    return redirect("complaint", row.pk)


def _belt_page(
    request: HttpRequest,
    row: Complaint,
    form: BeltForm,
    typed: Any,
    *,
    refusal: str = "",
    status: int = 200,
) -> HttpResponse:
    context = {
        "complaint": row,
        "form": form,
        "refusal": refusal,
        **belt_choice(request, typed, may_be_unsure=False),
    }
    return render(request, "diagnostics/complaints/belt.html", context, status=status)


@require_http_methods(["GET", "POST"])
@needs(Permission.TAKE_COMPLAINT)
def complaint_move(request: HttpRequest, pk: int) -> HttpResponse:
    row = _row(request, pk)
    seen = access.visible(Case.objects.all(), request.user)
    choices = complaint_desk.cases_to_move_to(row, seen)
    form = MoveComplaintForm(_posted(request), cases=choices)
    asked = {"heading": _("Move to another case"), "button": _("Move it")}
    if request.method == "GET" or not form.is_valid():
        status = 200 if request.method == "GET" else 400
        return _ask(request, row, form, asked, status=status)
    try:
        row = service.move_complaint(
            complaint_id=row.pk,
            to_case_id=form.cleaned_data["case"].pk,
            by=access.person_of(request),
            now=timezone.now(),
        )
    except DomainError as refusal:
        return _ask(request, row, form, asked, refusal=str(refusal), status=409)
    messages.success(request, _("The complaint is in %(case)s.") % {"case": row.case})
    return redirect("complaint", row.pk)


@require_http_methods(["GET", "POST"])
@needs(Permission.TAKE_COMPLAINT)
def complaint_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    row = _row(request, pk)
    form = WhyForm(_posted(request))
    asked = {"heading": _("Withdraw the complaint"), "button": _("Withdraw it")}
    if request.method == "GET" or not form.is_valid():
        status = 200 if request.method == "GET" else 400
        return _ask(request, row, form, asked, status=status)
    try:
        service.withdraw_complaint(
            complaint_id=row.pk,
            why=form.cleaned_data["why"],
            by=access.person_of(request),
            now=timezone.now(),
        )
    except DomainError as refusal:
        return _ask(request, row, form, asked, refusal=str(refusal), status=409)
    messages.success(request, _("The complaint is withdrawn. You can take that back here."))
    return redirect("complaint", row.pk)


@require_POST
@needs(Permission.TAKE_COMPLAINT)
def complaint_reinstate(request: HttpRequest, pk: int) -> HttpResponse:
    row = _row(request, pk)
    service.reinstate_complaint(complaint_id=row.pk)
    messages.success(request, _("The complaint stands again."))
    return redirect("complaint", row.pk)


def _row(request: HttpRequest, pk: int) -> Complaint:
    rows = Complaint.objects.select_related("plant", "conveyor__plant", "case", "received_by")
    return access.one_visible(rows, request.user, pk=pk)


def _posted(request: HttpRequest) -> Any:
    return request.POST if request.method == "POST" else None


def _ask(
    request: HttpRequest,
    row: Complaint,
    form: Any,
    asked: dict[str, str],
    *,
    refusal: str = "",
    status: int = 200,
) -> HttpResponse:
    context = {"complaint": row, "form": form, "refusal": refusal, **asked}
    return render(request, "diagnostics/complaints/ask.html", context, status=status)
