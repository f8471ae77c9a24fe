"""Taking a complaint, while the caller is on the telephone."""

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from diagnostics.complaint_forms import ComplaintForm, conveyor_asked, zone_asked
from diagnostics.models import Complaint
from diagnostics.selectors import complaint_desk
from diagnostics.services import complaints
from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.roles import Permission
from plant.selectors.finding_conveyors import find_conveyors

_BELTS = 8


@require_http_methods(["GET", "POST"])
@needs(Permission.TAKE_COMPLAINT)
def complaint_new(request: HttpRequest) -> HttpResponse:
    if request.method == "GET":
        belt = request.GET.get("conveyor", "")
        initial = {
            "belt": belt,
            "belt_words": request.GET.get("belt_words", ""),
            # The code on a component's label names it.
            "roughly_where": zone_asked(
                access.person_of(request), request.GET.get("component", "")
            ),
        }
        return _page(
            request, ComplaintForm(initial=initial, user=access.person_of(request)), initial
        )
    if "find" in request.POST:
        # The way without scripts: look for belts, keep what was typed, complain about nothing yet.
        form = ComplaintForm(initial=request.POST.dict(), user=access.person_of(request))
        return _page(request, form, request.POST)
    form = ComplaintForm(request.POST, user=access.person_of(request))
    if not form.is_valid():
        return _page(request, form, request.POST, status=400)
    try:
        complaint = complaints.take_complaint(
            plant=form.plant_named(),
            report=form.report(),
            by=access.person_of(request),
            now=timezone.now(),
            join_case_id=form.join_case_id(),
            seen_case_ids=form.seen_case_ids(),
        )
    except DomainError as refusal:
        return _page(request, form, request.POST, refusal=str(refusal), status=409)
    return _taken(request, complaint, is_joined=form.join_case_id() is not None)


def _taken(request: HttpRequest, complaint: Complaint, *, is_joined: bool) -> HttpResponse:
    if complaint.case is None:
        messages.success(request, _("Kept. It waits until somebody knows which belt it is."))
        return redirect("complaint", complaint.pk)
    said = _("Kept. It joined %(number)s.") if is_joined else _("Kept. %(number)s is open.")
    messages.success(request, said % {"number": complaint.case.number})
    return redirect("case", complaint.case.number)


def _page(
    request: HttpRequest,
    form: ComplaintForm,
    typed: Mapping[str, Any],
    *,
    refusal: str = "",
    status: int = 200,
) -> HttpResponse:
    context = {"form": form, "refusal": refusal, **belt_choice(request, typed)}
    return render(request, "diagnostics/complaints/new.html", context, status=status)


def belt_choice(
    request: HttpRequest, typed: Mapping[str, Any], *, may_be_unsure: bool = True
) -> dict[str, Any]:
    """Belts to choose from and what is open on the chosen one; for the page and its parts."""
    words = typed.get("belt_words", "")
    chosen = conveyor_asked(access.person_of(request), typed.get("belt", ""))
    found = find_conveyors(access.plants_of(request.user), words, _BELTS)
    if chosen is None and len(found) == 1:
        chosen = found[0]
    if chosen is not None and chosen not in found:
        found = [chosen, *found]
    return {
        "belts": found,
        "belt_words": words,
        "may_be_unsure": may_be_unsure,
        "is_not_sure": typed.get("belt") == "none",
        "join": typed.get("join", ""),
        **_open_on(chosen),
    }


def _open_on(chosen: Any) -> dict[str, Any]:
    if chosen is None:
        return {"chosen": None, "open_cases": [], "lately_proved": []}
    return {
        "chosen": chosen,
        "open_cases": complaint_desk.open_cases_on(chosen),
        "lately_proved": complaint_desk.lately_proved_on(chosen, timezone.now()),
    }


@require_safe
@needs(Permission.TAKE_COMPLAINT)
def belts_found(request: HttpRequest) -> HttpResponse:
    """Belts while typing, with what is open on the one that is chosen or is the only one."""
    context = belt_choice(request, request.GET, may_be_unsure="sure" not in request.GET)
    return render(request, "diagnostics/complaints/_belts.html", {**context, "is_part": True})


@require_safe
@needs(Permission.TAKE_COMPLAINT)
def open_on_belt(request: HttpRequest) -> HttpResponse:
    """What is open on a belt as soon as it is chosen."""
    context = _open_on(conveyor_asked(access.person_of(request), request.GET.get("belt", "")))
    return render(request, "diagnostics/complaints/_open_cases.html", context)
