"""One diagnosis: what is suspected and why, and what a person says about it."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from diagnostics.complaint_forms import WhyForm
from diagnostics.judging_forms import AcceptForm, NameCauseForm
from diagnostics.models import Case, Diagnosis, Hypothesis
from diagnostics.selectors import diagnosis_page as selector
from diagnostics.selectors import suspects
from diagnostics.services import judging
from diagnostics.views.cases import case_asked
from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.roles import Permission


@require_safe
@needs(Permission.SEE)
def diagnosis(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    rows = Diagnosis.objects.select_related("case__conveyor__plant")
    row = access.one_visible(rows, request.user, pk=pk, case__number=number)
    return _diagnosis_page(request, row)


def _diagnosis_page(
    request: HttpRequest,
    row: Diagnosis,
    *,
    judged: Hypothesis | None = None,
    refusal: str = "",
    status: int = 200,
) -> HttpResponse:
    conveyor = row.case.conveyor
    context = {
        "page": selector.diagnosis_page(row),
        "answer": row.answer,
        "case": row.case,
        "conveyor": conveyor,
        "plant": conveyor.plant,
        "refusal": refusal,
        "judged": judged,
        "why": request.POST.get("why", ""),
    }
    return render(request, "diagnostics/diagnosis/diagnosis.html", context, status=status)


@require_POST
@needs(Permission.CONFIRM_CAUSE)
def hypothesis_accept(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    case = case_asked(request, number)
    row = _hypothesis(request, case, pk)
    form = AcceptForm(request.POST)
    if not form.is_valid():
        return _refused(request, row, " ".join(map(str, form.errors["why"])), status=400)
    try:
        judging.accept_hypothesis(
            hypothesis_id=row.pk,
            case_id=case.pk,
            by=access.person_of(request),
            now=timezone.now(),
            why=form.cleaned_data["why"],
        )
    except DomainError as refusal:
        return _refused(request, row, str(refusal), status=409)
    messages.success(request, _("The cause is accepted, and its work is proposed below."))
    return redirect("case", case.number)


def _refused(request: HttpRequest, row: Hypothesis, refusal: str, *, status: int) -> HttpResponse:
    if row.diagnosis_id is None:
        messages.error(request, refusal)
        return redirect("case", row.case.number)
    rows = Diagnosis.objects.select_related("case__conveyor__plant")
    shown = rows.get(pk=row.diagnosis_id)
    return _diagnosis_page(request, shown, judged=row, refusal=refusal, status=status)


@require_http_methods(["GET", "POST"])
@needs(Permission.CONFIRM_CAUSE)
def hypothesis_refute(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    return _ask_why(
        request,
        number,
        pk,
        judging.refute_hypothesis,
        heading=_("It is not this cause"),
        said=_("Kept as a close look that speaks against it; the diagnosis is made anew."),
    )


@require_http_methods(["GET", "POST"])
@needs(Permission.CONFIRM_CAUSE)
def hypothesis_take_back(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    return _ask_why(
        request,
        number,
        pk,
        judging.take_back_acceptance,
        heading=_("Take the acceptance back"),
        said=_("The acceptance is taken back, and work only planned for it is cancelled."),
    )


def _ask_why(
    request: HttpRequest, number: str, pk: int, judge: Any, *, heading: str, said: str
) -> HttpResponse:
    case = case_asked(request, number)
    row = _hypothesis(request, case, pk)
    form = WhyForm(request.POST if request.method == "POST" else None)
    context = {"case": case, "hypothesis": row, "form": form, "heading": heading}
    template = "diagnostics/diagnosis/ask.html"
    if request.method == "GET":
        return render(request, template, context)
    if not form.is_valid():
        return render(request, template, context, status=400)
    try:
        judge(
            hypothesis_id=row.pk,
            case_id=case.pk,
            by=access.person_of(request),
            now=timezone.now(),
            why=form.cleaned_data["why"],
        )
    except DomainError as refusal:
        return render(request, template, {**context, "refusal": str(refusal)}, status=409)
    messages.success(request, said)
    return redirect("case", case.number)


@require_http_methods(["GET", "POST"])
@needs(Permission.CONFIRM_CAUSE)
def cause_name(request: HttpRequest, number: str) -> HttpResponse:
    """Name a cause by hand: one the diagnosis does not list, or that needed none."""
    case = case_asked(request, number)
    loop = suspects.loop_or_none(case.conveyor)
    form = NameCauseForm(
        request.POST if request.method == "POST" else None,
        loop=loop,
        plant_id=case.conveyor.plant_id,
    )
    context = {"case": case, "form": form}
    template = "diagnostics/diagnosis/name_cause.html"
    if request.method == "GET":
        return render(request, template, context)
    if not form.is_valid():
        return render(request, template, context, status=400)
    place = form.cleaned_data["place"]
    try:
        judging.name_cause(
            case_id=case.pk,
            cause=form.cleaned_data["cause"],
            by=access.person_of(request),
            now=timezone.now(),
            component=place.component,
            zone=place.zone,
            position_m=place.position_m,
            why=form.cleaned_data["why"],
        )
    except DomainError as refusal:
        return render(request, template, {**context, "refusal": str(refusal)}, status=409)
    messages.success(request, _("The cause is accepted, and its work is proposed below."))
    return redirect("case", case.number)


def _hypothesis(request: HttpRequest, case: Case, pk: int) -> Hypothesis:
    return access.one_visible(
        Hypothesis.objects.select_related("case"), request.user, pk=pk, case=case
    )
