"""A walk-down on a phone: start, one station after another, changes on the way."""

import uuid
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.db.models import prefetch_related_objects
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from diagnostics.inference.as_seen import side_in_register
from diagnostics.inference.vocabulary import Degree
from diagnostics.models import Sighting, WalkDown
from diagnostics.note_forms import NoteTextForm
from diagnostics.selectors import field_notes
from diagnostics.selectors.suspicion_so_far import suspicion_so_far
from diagnostics.selectors.walk_route import Place, Route, Stop, route_of
from diagnostics.services import walking
from diagnostics.services.walking import Seen
from diagnostics.views.cases import case_asked
from diagnostics.walk_forms import LookForm, PlaceForm, StartForm
from diagnostics.walking_cautions import walking_cautions
from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.loop.vocabulary import Side
from plant.models import Conveyor
from plant.roles import Permission


@require_http_methods(["GET", "POST"])
@needs(Permission.WALK_DOWN)
def walk_down_new(request: HttpRequest, number: str) -> HttpResponse:
    case = case_asked(request, number)
    data = request.POST if request.method == "POST" else None
    form = StartForm(data, is_reversing=case.conveyor.is_reversing)
    context = {"case": case, "form": form, "cautions": walking_cautions(case.conveyor.plant_id)}
    if data is None:
        return render(request, "diagnostics/walking/start.html", context)
    if not form.is_valid():
        return render(request, "diagnostics/walking/start.html", context, status=400)
    how = form.how()
    begin = walking.record_stopped_belt if how.stopped_reason else walking.begin_walk_down
    try:
        row = begin(
            case_id=case.pk,
            how=how,
            cautions_read=True,
            by=access.person_of(request),
            now=timezone.now(),
        )
    except DomainError as refusal:
        context["refusal"] = str(refusal)
        return render(request, "diagnostics/walking/start.html", context, status=409)
    return redirect("walk-down-summary" if row.finished_at else "walk-down", row.pk)


@dataclass(frozen=True)
class _Here:
    """Where on its walk-down a person stands; `stop` is None away from the route's stops."""

    walk_down: WalkDown
    sightings: list[Sighting]
    route: Route
    place: Place | None
    stop: Stop | None


# Never shown from the browser's memory: a page gone back to would send an old look again.
@never_cache
@require_http_methods(["GET", "POST"])
@needs(Permission.WALK_DOWN)
def walk_down(request: HttpRequest, pk: int) -> HttpResponse:
    row = walk_down_asked(request, pk)
    if row.finished_at is not None:
        return redirect("walk-down-summary", row.pk)
    # Once for the route and for what was noted at a place of it.
    prefetch_related_objects([row.case.conveyor], "components")
    sightings = list(row.sightings.select_related("differs_from__seen_by"))
    route = route_of(row, sightings)
    typed = request.POST if request.method == "POST" else request.GET
    here = _Here(row, sightings, route, *_place_asked(route, row, typed))
    if request.method == "GET":
        return _station_page(request, here)
    return _keep_look(request, here)


def _keep_look(request: HttpRequest, here: _Here) -> HttpResponse:
    form = LookForm(request.POST)
    if here.place is None or not form.is_valid():
        return _station_page(request, here, form=form, status=400)
    seen = form.look_at(here.place)
    try:
        kept = walking.record_sighting(
            walk_down_id=here.walk_down.pk,
            seen=seen,
            by=access.person_of(request),
            now=timezone.now(),
            client_id=form.client_id_kept(),
        )
    except DomainError as refusal:
        return _station_page(request, here, form=form, refusal=str(refusal), status=409)
    _ask_about(request, kept, seen, here.walk_down.case.conveyor)
    after = here.stop.number if here.stop else here.route.number_before(here.place)
    return redirect(_onward(here.walk_down, here.route, seen.load.value, after))


def _ask_about(request: HttpRequest, kept: Sighting, seen: Seen, conveyor: Conveyor) -> None:
    if (kept.degree, kept.side, kept.offset_mm, kept.not_seen_reason) != (
        seen.degree or "",
        seen.side or "",
        seen.offset_mm,
        seen.not_seen_reason.strip(),
    ):
        messages.warning(
            request,
            _("%(station)s was kept already, with another look. Take that back first.")
            % {"station": kept.station},
        )
    if kept.offset_mm is not None and abs(kept.offset_mm) > conveyor.clearance_mm:
        messages.warning(
            request,
            _(
                "%(offset)d mm is beyond the edge clearance of %(clearance)d mm. It is kept and "
                "marked; is it right? Take it back below if not."
            )
            % {"offset": round(abs(kept.offset_mm)), "clearance": round(conveyor.clearance_mm)},
        )


def _onward(row: WalkDown, route: Route, load: str, after: int) -> str:
    following = route.next_open(load, after) or route.next_open(load)
    # The route was read before this look was kept: its own stop still counts as open.
    if following is not None and following.number == after:
        following = None
    if following is None and route.stops:
        return reverse("walk-down-summary", args=[row.pk])
    query = {"at": following.number} if following else {}
    return f"{reverse('walk-down', args=[row.pk])}?{urlencode(query)}#look"


def _place_asked(route: Route, row: WalkDown, typed: Any) -> tuple[Place | None, Stop | None]:
    """The place a look is made at, and the stop of the route when it is one."""
    if route.loop is None:
        form = PlaceForm(typed)
        return (form.place() if form.is_valid() else None), None
    if typed.get("station"):
        return route.place_named(typed["station"]), _stop_named(route, typed["station"])
    if typed.get("position"):
        return route.place_at(_metres(typed["position"])), None
    at = typed.get("at", "")
    stop = route.stop(int(at)) if at.isdecimal() and len(at) < 9 else None
    stop = stop or route.next_open(row.load) or route.stops[0]
    return stop.place, stop


def _stop_named(route: Route, name: str) -> Stop | None:
    wanted = name.strip().casefold()
    return next((one for one in route.stops if one.place.station.casefold() == wanted), None)


def _metres(words: str) -> float:
    """Off any loop when it is no number, so that the page says so."""
    try:
        return float(words.replace(",", "."))
    except ValueError:
        return -1.0


def _station_page(
    request: HttpRequest,
    here: _Here,
    *,
    form: LookForm | None = None,
    refusal: str = "",
    status: int = 200,
) -> HttpResponse:
    typed = request.POST if request.method == "POST" else request.GET
    asked = typed.get("station", "") or typed.get("position", "")
    route, case = here.route, here.walk_down.case
    is_missed = here.place is None and route.loop is not None
    causes = field_notes.suspected_causes(case)
    context = {
        "walk_down": here.walk_down,
        "case": case,
        "conveyor": case.conveyor,
        "plant": case.conveyor.plant,
        "route": route,
        "place": here.place,
        "stop": here.stop,
        "columns": _columns(here.walk_down, case.conveyor),
        "looks_here": _looks_at(here.place, here.sightings),
        "last_look": next((one for one in reversed(here.sightings) if not one.taken_back_at), None),
        "form": form,
        "refusal": refusal,
        "client_id": typed.get("client_id") if form else str(uuid.uuid4()),
        "asked": asked,
        "names_like": route.names_like(asked) if is_missed else [],
        "place_form": PlaceForm(typed if form else None) if route.loop is None else None,
        "suspicion": suspicion_so_far(case, route),
        "notes": field_notes.notes_here(case.conveyor, route, here.place, causes),
        "note_causes": causes,
        "note_form": NoteTextForm(auto_id="note-%s"),
    }
    status = 404 if is_missed and status == 200 else status
    return render(request, "diagnostics/walking/station.html", context, status=status)


def _looks_at(place: Place | None, sightings: list[Sighting]) -> list[Sighting]:
    if place is None:
        return []
    here = place.station.casefold()
    return [one for one in sightings if one.station.casefold() == here]


def _columns(row: WalkDown, conveyor: Conveyor) -> list[dict[str, Any]]:
    """Left and right as the person sees them, each with what the register calls that side."""
    is_facing_tail = row.facing == WalkDown.Facing.TAIL
    return [
        {
            "seen": side.value,
            "register": side_in_register(side, is_facing_tail=is_facing_tail).value,
            "own": conveyor.words_for(side_in_register(side, is_facing_tail=is_facing_tail)),
            "degrees": [one.value for one in Degree if one is not Degree.CENTRED],
        }
        for side in (Side.LEFT, Side.RIGHT)
    ]


def walk_down_asked(request: HttpRequest, pk: int) -> WalkDown:
    rows = WalkDown.objects.select_related("case__conveyor__plant", "walked_by")
    return access.one_visible(rows, request.user, pk=pk)
