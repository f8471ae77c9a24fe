"""A proposal for the outage sheet: asked for, watched, stopped, read."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.models import Plant
from plant.roles import Permission
from workorders import plan_words
from workorders.models import PlanRun
from workorders.plan_forms import PlanForm
from workorders.selectors import plan_runs as selectors
from workorders.services import plan_runs

_RUNS = 10
_ROWS = 30
_LEFT_OUT = 25


@require_safe
@needs(Permission.SEE)
def plan(request: HttpRequest) -> HttpResponse:
    plant = access.plants_of(request.user).first()
    if plant is None:
        return render(request, "workorders/plan/no_plant.html")
    return _page(request, plant)


@require_http_methods(["GET", "HEAD", "POST"])
@needs(Permission.SEE)
def plan_of(request: HttpRequest, plant_code: str) -> HttpResponse:
    plant = access.one_visible(Plant.objects.all(), request.user, code=plant_code)
    if request.method != "POST":
        return _page(request, plant)
    access.require(request.user, Permission.PLAN_ORDER)
    return _ask(request, plant)


def _ask(request: HttpRequest, plant: Plant) -> HttpResponse:
    form = PlanForm(request.POST)
    if not form.is_valid():
        return _page(request, plant, form=form, status=400)
    by, now = access.person_of(request), timezone.now()
    try:
        asked = plan_runs.ask(plant=plant, wanted=form.wanted(plant), by=by, now=now)
    except DomainError as refusal:
        form.add_error("last_on", str(refusal))
        return _page(request, plant, form=form, status=409)
    return redirect("plan-run", asked.pk)


@require_safe
@needs(Permission.SEE)
def run(request: HttpRequest, pk: int) -> HttpResponse:
    one = run_asked(request, pk)
    context = around(request, one)
    if one.result:
        context |= _found(request, one)
    return render(request, "workorders/plan/run.html", context)


@require_safe
@needs(Permission.SEE)
def progress(request: HttpRequest, pk: int) -> HttpResponse:
    """The part of the page that moves; once it has ended the whole page is asked for."""
    one = run_asked(request, pk)
    response = render(request, "workorders/plan/_progress.html", around(request, one))
    if not one.is_owed:
        response["HX-Refresh"] = "true"
    return response


@require_POST
@needs(Permission.PLAN_ORDER)
def stop(request: HttpRequest, pk: int) -> HttpResponse:
    one = run_asked(request, pk)
    if one.is_owed:
        plan_runs.ask_stop(run_id=one.pk, now=timezone.now())
        messages.success(request, _("It stops; the best that was found until then is shown."))
    return redirect("plan-run", one.pk)


def run_asked(request: HttpRequest, pk: int) -> PlanRun:
    rows = PlanRun.objects.select_related("plant", "asked_by", "taken_by")
    return access.one_visible(rows, request.user, pk=pk)


def around(request: HttpRequest, one: PlanRun) -> dict[str, Any]:
    return {
        "run": one,
        "plant": one.plant,
        "aims": selectors.aims_shown(one),
        "is_silent": selectors.is_silent(one, timezone.now()),
        "failure": plan_words.FAILURE_WORDS.get(one.refusal, ""),
        "may_plan": access.may(request.user, Permission.PLAN_ORDER),
    }


def _found(request: HttpRequest, one: PlanRun) -> dict[str, Any]:
    kind = request.GET.get("kind", "")
    rows = Paginator(selectors.rows_wanted(one, kind), _ROWS).get_page(request.GET.get("page"))
    left = Paginator(selectors.left_out_of(one), _LEFT_OUT).get_page(request.GET.get("left"))
    counts = selectors.counts_by_mark(one)
    result = one.result or {}
    return {
        "kind": kind,
        "kinds": [(mark, plan_words.MARK_WORDS[mark], n) for mark, n in counts.items() if n],
        "changes": sum(counts[mark] for mark in selectors.CHANGES),
        "page": rows,
        "rows": selectors.rows_shown(one, list(rows)),
        "left": left,
        "left_out": selectors.left_out_shown(one, list(left)),
        "late": plan_words.late_words(result),
        "stability": plan_words.stability_words(result["stability"]),
        "clashing": sorted({clash["job"] for clash in result["clashes"]}),
        "is_stopped": result["is_stopped"],
    }


def _page(
    request: HttpRequest, plant: Plant, *, form: PlanForm | None = None, status: int = 200
) -> HttpResponse:
    runs = selectors.runs_of(plant)
    context = {
        "plant": plant,
        "plants": list(access.plants_of(request.user)),
        "form": form or PlanForm.usual(plant, timezone.now()),
        "standing": selectors.standing_run(plant),
        "page": Paginator(runs, _RUNS).get_page(request.GET.get("page")),
        "may_plan": access.may(request.user, Permission.PLAN_ORDER),
    }
    return render(request, "workorders/plan/plan.html", context, status=status)
