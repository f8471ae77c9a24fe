"""Deciding on a proposal: take it or a part of it, leave it, put it back."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.roles import Permission
from workorders.models import PlanRun
from workorders.selectors import plan_runs as selectors
from workorders.services import plan_runs, plan_taking
from workorders.services.plan_taking import Outcome
from workorders.views.plan_runs import around, run_asked

# So many are named one by one.
_NAMED = 20


@require_http_methods(["GET", "HEAD", "POST"])
@needs(Permission.PLAN_ORDER)
def take(request: HttpRequest, pk: int) -> HttpResponse:
    run = run_asked(request, pk)
    if request.method != "POST":
        return _ask_take(request, run)
    try:
        outcome = plan_taking.take(
            run_id=run.pk,
            by=access.person_of(request),
            now=timezone.now(),
            orders=request.POST.getlist("order") or None,
        )
    except DomainError as refusal:
        run.refresh_from_db()
        return _ask_take(request, run, refusal=str(refusal), status=409)
    return _told(request, run, outcome, back=False)


@require_http_methods(["GET", "HEAD", "POST"])
@needs(Permission.PLAN_ORDER)
def put_back(request: HttpRequest, pk: int) -> HttpResponse:
    run = run_asked(request, pk)
    if request.method != "POST":
        return _ask_back(request, run)
    try:
        by, now = access.person_of(request), timezone.now()
        outcome = plan_taking.put_back(run_id=run.pk, by=by, now=now)
    except DomainError as refusal:
        run.refresh_from_db()
        return _ask_back(request, run, refusal=str(refusal), status=409)
    return _told(request, run, outcome, back=True)


@require_POST
@needs(Permission.PLAN_ORDER)
def leave(request: HttpRequest, pk: int) -> HttpResponse:
    run = run_asked(request, pk)
    if request.POST.get("again") == "1":
        plan_runs.take_up_again(run_id=run.pk)
    else:
        plan_runs.leave(run_id=run.pk)
    return redirect("plan-run", run.pk)


def _ask_take(
    request: HttpRequest, run: PlanRun, *, refusal: str = "", status: int = 200
) -> HttpResponse:
    asked = request.POST if request.method == "POST" else request.GET
    chosen = set(asked.getlist("order"))
    rows = [row for row in plan_taking.changing_rows(run) if not chosen or row.order in chosen]
    shown = selectors.rows_shown(run, rows)
    context = around(request, run) | {
        "rows": shown[:_NAMED],
        "more": max(0, len(shown) - _NAMED),
        "all": len(shown),
        "chosen": sorted(row.order for row in rows) if chosen else [],
        "changed": [row for row in shown if row.has_changed],
        "off": sum(row.mark == "off" for row in shown),
        "refusal": refusal,
    }
    return render(request, "workorders/plan/take.html", context, status=status)


def _ask_back(
    request: HttpRequest, run: PlanRun, *, refusal: str = "", status: int = 200
) -> HttpResponse:
    context = around(request, run) | {"all": len(run.taken or ()), "refusal": refusal}
    return render(request, "workorders/plan/back.html", context, status=status)


def _told(request: HttpRequest, run: PlanRun, outcome: Outcome, *, back: bool) -> HttpResponse:
    """On the page of the run: how many were done, and which were not, with why."""
    count = len(outcome.done)
    if back:
        words = ngettext("%(n)s order put back.", "%(n)s orders put back.", count)
    else:
        words = ngettext("%(n)s order placed.", "%(n)s orders placed.", count)
    if count:
        messages.success(request, words % {"n": count})
    for one in outcome.passed_over[:_NAMED]:
        told = {"order": one.order, "why": one.why}
        messages.warning(request, _("%(order)s stays as it is. %(why)s") % told)
    more = len(outcome.passed_over) - _NAMED
    if more > 0:
        messages.warning(request, _("%(n)s more stay as they are.") % {"n": more})
    return redirect("plan-run", run.pk)
