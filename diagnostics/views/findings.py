"""Close looks at what is suspected, yes or no."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from diagnostics.judging_forms import FindingForm
from diagnostics.models import Case, Finding
from diagnostics.selectors import suspects
from diagnostics.services import findings as service
from diagnostics.views.cases import case_asked
from diagnostics.views.counting import counts_asked
from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.pictures import PictureRefused
from plant.roles import Permission


@require_http_methods(["GET", "POST"])
@needs(Permission.WALK_DOWN)
def case_findings(request: HttpRequest, number: str) -> HttpResponse:
    case = case_asked(request, number)
    plant_id = case.conveyor.plant_id
    if request.method == "GET":
        return _page(request, case, FindingForm(plant_id=plant_id))
    form = FindingForm(request.POST, request.FILES, plant_id=plant_id)
    if not form.is_valid():
        return _page(request, case, form, status=400)
    try:
        kept = _record(request, case, form)
    except PictureRefused as refusal:
        form.add_error("photos", str(refusal))
        return _page(request, case, form, status=400)
    except DomainError as refusal:
        return _page(request, case, form, refusal=str(refusal), status=409)
    said = _("Kept: it is there.") if kept.is_present else _("Kept: it is not there.")
    messages.success(request, said)
    return redirect("case-findings", case.number)


def _record(request: HttpRequest, case: Case, form: FindingForm) -> Finding:
    filled = form.cleaned_data
    cause, place = filled["cause"], filled["place"]
    return service.record_finding(
        case_id=case.pk,
        cause=cause,
        is_present=filled["found"] == "yes",
        by=access.person_of(request),
        now=timezone.now(),
        component=suspects.component_at(case.conveyor, place),
        place=place,
        note=filled["note"],
        photos=form.sent_photos(f"{cause} {place}"),
    )


def _page(
    request: HttpRequest, case: Case, form: FindingForm, *, refusal: str = "", status: int = 200
) -> HttpResponse:
    listed = suspects.suspects_of(case)
    context = {
        "case": case,
        "form": form,
        "suspects": listed,
        "cautions": suspects.cautions_of([one.cause for one in listed], case.conveyor.plant_id),
        "refusal": refusal,
    }
    return render(request, "diagnostics/cases/findings.html", context, status=status)


@require_POST
@needs(Permission.WALK_DOWN)
def finding_counts(request: HttpRequest, number: str, pk: int) -> HttpResponse:
    case = case_asked(request, number)
    row = access.one_visible(Finding.objects.all(), request.user, pk=pk, case=case)
    counts = counts_asked(request)
    try:
        row = service.count_finding(
            finding_id=row.pk, case_id=case.pk, counts=counts, now=timezone.now()
        )
    except DomainError as refusal:
        messages.error(request, str(refusal))
        return redirect("case", case.number)
    messages.success(request, _("Taken back.") if row.taken_back_at else _("It counts again."))
    return redirect(f"{reverse('case', args=[case.number])}#findings")
