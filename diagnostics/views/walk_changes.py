"""Changes on a walk-down: facing, load, remarks, a look taken back, the finish; and its summary."""

from dataclasses import replace

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from diagnostics.inference.vocabulary import LoadState
from diagnostics.models import Sighting, WalkDown
from diagnostics.selectors import loop_ribbon
from diagnostics.selectors.walk_route import route_of
from diagnostics.services import walking
from diagnostics.services.walking import Pass
from diagnostics.views.counting import counts_asked
from diagnostics.views.walking import walk_down_asked
from diagnostics.walk_forms import RemarksForm
from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.roles import Permission


@require_POST
@needs(Permission.WALK_DOWN)
def walk_down_pass(request: HttpRequest, pk: int) -> HttpResponse:
    """Turn round, empty or load the belt, run it the other way: one button each."""
    row = walk_down_asked(request, pk)
    how = pass_of(row)
    asked = request.POST
    if asked.get("facing") in WalkDown.Facing.values:
        how = replace(how, facing=asked["facing"])
    if asked.get("load") in list(LoadState):
        how = replace(how, load=LoadState(asked["load"]))
    if "backwards" in asked:
        how = replace(how, is_running_backwards=asked["backwards"] == "yes")
    if "runs_again" in asked:
        how = replace(how, stopped_reason="")
    try:
        walking.change_pass(walk_down_id=row.pk, how=how, now=timezone.now())
    except DomainError as refusal:
        messages.error(request, str(refusal))
    at = asked.get("at", "")
    query = f"?at={at}" if at.isdecimal() else ""
    return redirect(f"{reverse('walk-down', args=[row.pk])}{query}#look")


@require_http_methods(["GET", "POST"])
@needs(Permission.WALK_DOWN)
def walk_down_remarks(request: HttpRequest, pk: int) -> HttpResponse:
    row = walk_down_asked(request, pk)
    data = request.POST if request.method == "POST" else None
    form = RemarksForm(data, initial={"remarks": row.remarks, "note": row.note})
    context = {"walk_down": row, "case": row.case, "form": form}
    if data is None:
        return render(request, "diagnostics/walking/remarks.html", context)
    if not form.is_valid():
        return render(request, "diagnostics/walking/remarks.html", context, status=400)
    filled = form.cleaned_data
    how = replace(pass_of(row), remarks=tuple(filled["remarks"]), note=filled["note"])
    try:
        walking.change_pass(walk_down_id=row.pk, how=how, now=timezone.now())
    except DomainError as refusal:
        context["refusal"] = str(refusal)
        return render(request, "diagnostics/walking/remarks.html", context, status=409)
    messages.success(request, _("Kept with the walk-down."))
    return redirect("walk-down", row.pk)


def pass_of(row: WalkDown) -> Pass:
    return Pass(
        facing=row.facing,
        load=LoadState(row.load),
        is_running_backwards=row.is_running_backwards,
        stopped_reason=row.stopped_reason,
        remarks=tuple(row.remarks),
        note=row.note,
    )


@require_POST
@needs(Permission.WALK_DOWN)
def look_counts(request: HttpRequest, pk: int, look_pk: int) -> HttpResponse:
    row = walk_down_asked(request, pk)
    look: Sighting = access.one_visible(row.sightings.all(), request.user, pk=look_pk)
    counts = counts_asked(request)
    said = _("%(station)s counts again.") if counts else _("%(station)s is taken back.")
    try:
        walking.count_sighting(
            sighting_id=look.pk, walk_down_id=row.pk, counts=counts, now=timezone.now()
        )
    except DomainError as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, said % {"station": look.station})
    if request.POST.get("to") == "summary":
        return redirect("walk-down-summary", row.pk)
    address = reverse("walk-down", args=[row.pk])
    at = request.POST.get("at", "")
    return redirect(f"{address}?at={at}#look" if at.isdecimal() else address)


@require_POST
@needs(Permission.WALK_DOWN)
def walk_down_finish(request: HttpRequest, pk: int) -> HttpResponse:
    row = walk_down_asked(request, pk)
    try:
        walking.finish_walk_down(walk_down_id=row.pk, now=timezone.now())
    except DomainError as refusal:
        messages.error(request, str(refusal))
    return redirect("walk-down-summary", row.pk)


@require_POST
@needs(Permission.WALK_DOWN)
def walk_down_go_on(request: HttpRequest, pk: int) -> HttpResponse:
    row = walk_down_asked(request, pk)
    try:
        walking.go_on_walking(walk_down_id=row.pk)
    except DomainError as refusal:
        messages.error(request, str(refusal))
        return redirect("walk-down-summary", row.pk)
    return redirect("walk-down", row.pk)


@require_safe
@needs(Permission.SEE)
def walk_down_summary(request: HttpRequest, pk: int) -> HttpResponse:
    row = walk_down_asked(request, pk)
    sightings = list(row.sightings.select_related("seen_by", "differs_from__seen_by"))
    standing = [one for one in sightings if one.taken_back_at is None]
    route = route_of(row, sightings)
    context = {
        "walk_down": row,
        "case": row.case,
        "conveyor": row.case.conveyor,
        "plant": row.case.conveyor.plant,
        "sightings": sightings,
        "drawing": loop_ribbon.drawing_of_case(
            row.case, _along(standing), href_of=loop_ribbon.look_address
        ),
        "unseen_stops": [stop for stop in route.stops if not stop.looks],
        "clearance_mm": row.case.conveyor.clearance_mm,
        "diagnosis": row.case.diagnoses.filter(superseded_at__isnull=True).first(),
    }
    return render(request, "diagnostics/walking/summary.html", context)


def _along(sightings: list[Sighting]) -> list[Sighting]:
    return sorted(sightings, key=lambda one: one.position_m)
