"""What the plant's confirmed cases taught, and the lead's hand in it."""

from dataclasses import asdict
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from diagnostics.complaint_forms import WhyForm
from diagnostics.inference.base_rates import INSTALLED_WEIGHTS
from diagnostics.learning_forms import LearningFilter, WeightsForm
from diagnostics.learning_pages import families_chart
from diagnostics.models import BaseRateWeights, Case
from diagnostics.selectors import base_rates, learning_page
from diagnostics.services import learning as service
from diagnostics.views.cases import case_asked
from diagnostics.views.whose_knowledge import plant_kept, whose
from plant import access, chart_files
from plant.access import needs
from plant.errors import DomainError
from plant.models import Plant
from plant.roles import Permission

_CASES_A_PAGE = 20
_CHANGES_A_PAGE = 30


@require_safe
@needs(Permission.SEE)
def learning(request: HttpRequest) -> HttpResponse:
    known = whose(request)
    if known.plant is None:
        return render(request, "diagnostics/learning/learning.html", {"whose": known})
    form = LearningFilter(request.GET.dict(), plant=known.plant)
    belt, cause = form.belt(), form.cause_slug()
    learnt = learning_page.learnt_at(known.plant, belt, known.knowledge)
    cases = learning_page.cases_behind(known.plant, belt, cause)
    chart = chart_files.with_file(request, families_chart(learnt))
    context = {
        "whose": known,
        "form": form,
        "belt": belt,
        "learnt": learnt,
        "chart": chart,
        **_weights_in_force(known.plant),
        "page": Paginator(cases, _CASES_A_PAGE).get_page(request.GET.get("page")),
        "may_keep": access.may(request.user, Permission.KEEP_KNOWLEDGE),
    }
    status = 200 if form.is_valid() else 400
    return chart_files.file_asked(request, [chart]) or render(
        request, "diagnostics/learning/learning.html", context, status=status
    )


@require_safe
@needs(Permission.SEE)
def changes(request: HttpRequest) -> HttpResponse:
    plant = plant_kept(request)
    rows = learning_page.changes_at(plant)
    context = {
        "whose": whose(request),
        "plant": plant,
        "page": Paginator(rows, _CHANGES_A_PAGE).get_page(request.GET.get("page")),
        "may_keep": access.may(request.user, Permission.KEEP_KNOWLEDGE),
    }
    return render(request, "diagnostics/learning/changes.html", context)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_KNOWLEDGE)
def weights(request: HttpRequest) -> HttpResponse:
    plant = plant_kept(request)
    if request.method == "GET":
        return _weights_page(request, plant, WeightsForm(initial=_proposed(request, plant)))
    form = WeightsForm(request.POST)
    if not form.is_valid():
        return _weights_page(request, plant, form, status=400)
    try:
        service.weigh_start(
            plant_id=plant.pk,
            weights=form.weights(),
            based_on=_key(request.POST.get("based_on", "")),
            by=access.person_of(request),
            now=timezone.now(),
            why=form.cleaned_data["why"],
        )
    except DomainError as refusal:
        return _weights_page(request, plant, form, refusal=str(refusal), status=409)
    messages.success(request, _("The figures are set; open cases are diagnosed anew by them."))
    return redirect(_learning_of(plant))


def _proposed(request: HttpRequest, plant: Plant) -> dict[str, float]:
    """The figures in force, or the installed or earlier ones somebody wants again."""
    again = request.GET.get("again", "")
    if again == "installed":
        return asdict(INSTALLED_WEIGHTS)
    if not again:
        return asdict(base_rates.weights_of(plant.pk))
    row = BaseRateWeights.objects.filter(plant=plant, pk=_key(again) or 0).first()
    if row is None:
        raise Http404
    return asdict(row.weights)


def _weights_in_force(plant: Plant) -> dict[str, Any]:
    row = base_rates.weights_row(plant.pk)
    return {"row": row, "weights": INSTALLED_WEIGHTS if row is None else row.weights}


def _key(text: str) -> int | None:
    """Of a row, as an address or a form says it; None for what can be none."""
    return int(text) if text.isdecimal() and len(text) < 19 else None


def _weights_page(
    request: HttpRequest, plant: Plant, form: WeightsForm, *, refusal: str = "", status: int = 200
) -> HttpResponse:
    context = {
        "whose": whose(request),
        "plant": plant,
        "form": form,
        "refusal": refusal,
        **_weights_in_force(plant),
        "back": _learning_of(plant),
    }
    return render(request, "diagnostics/learning/weights.html", context, status=status)


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_KNOWLEDGE)
def set_aside(request: HttpRequest, number: str) -> HttpResponse:
    return _ask_why(
        request,
        case_asked(request, number),
        service.set_case_aside,
        heading=_("Set this case aside"),
        told=_("It stays as it is, but counts no longer for base rates and hit rates."),
        said=_("The case is set aside; open cases are diagnosed anew."),
    )


@require_http_methods(["GET", "POST"])
@needs(Permission.KEEP_KNOWLEDGE)
def take_in(request: HttpRequest, number: str) -> HttpResponse:
    return _ask_why(
        request,
        case_asked(request, number),
        service.take_case_in,
        heading=_("Let this case count again"),
        told=_("It counts again for base rates and hit rates."),
        said=_("The case counts again; open cases are diagnosed anew."),
    )


def _ask_why(
    request: HttpRequest, case: Case, change: Any, *, heading: str, told: str, said: str
) -> HttpResponse:
    form = WhyForm(request.POST if request.method == "POST" else None)
    back = f"{_learning_of(case.conveyor.plant)}#cases"
    context = {"case": case, "form": form, "heading": heading, "told": told, "back": back}
    template = "diagnostics/learning/ask.html"
    if request.method == "GET" or not form.is_valid():
        return render(request, template, context, status=400 if form.is_bound else 200)
    try:
        change(
            case_id=case.pk,
            by=access.person_of(request),
            now=timezone.now(),
            why=form.cleaned_data["why"],
        )
    except DomainError as refusal:
        return render(request, template, {**context, "refusal": str(refusal)}, status=409)
    messages.success(request, said)
    return redirect(back)


def _learning_of(plant: Plant) -> str:
    return f"{reverse('learning')}?plant={plant.code}"
