"""Timed looks: set-up, tapping, a sensor's file, what one says, taking it back."""

import uuid
from typing import Any, cast

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from diagnostics import timed_look_pages
from diagnostics.models import Case, TimedLook
from diagnostics.selectors import timed_look_setting
from diagnostics.selectors.timed_looks import read_look
from diagnostics.services import timed_looks as service
from diagnostics.timed_forms import SensorForm, TappingForm, TapsForm
from diagnostics.views.cases import case_asked
from diagnostics.views.counting import counts_asked
from diagnostics.walking_cautions import walking_cautions
from plant import access, chart_files
from plant.access import needs
from plant.errors import DomainError
from plant.roles import Permission

_ROWS = 25
_SETTING = "diagnostics/timed/setting.html"
_TAPPING = "diagnostics/timed/tapping.html"
_SENSOR = "diagnostics/timed/sensor.html"


@require_safe
@needs(Permission.WALK_DOWN)
def timed_look_new(request: HttpRequest, number: str) -> HttpResponse:
    case = case_asked(request, number)
    initial = {"station": request.GET.get("station", "")[:48]}
    form = TappingForm(initial=initial, **_about(case))
    return render(request, _SETTING, _around(case) | {"form": form})


# Never shown from the browser's memory: a page gone back to would send old taps again.
@never_cache
@require_http_methods(["GET", "POST"])
@needs(Permission.WALK_DOWN)
def timed_look_tapping(request: HttpRequest, number: str) -> HttpResponse:
    case = case_asked(request, number)
    if not request.GET:
        return redirect("timed-look-new", case.number)
    setting = TappingForm(request.GET, **_about(case))
    if not setting.is_valid():
        return render(request, _SETTING, _around(case) | {"form": setting}, status=400)
    facing_tail = setting.is_facing_tail()
    context = _around(case) | {
        "setting": setting,
        "place": setting.cleaned_data["station"],
        "sides": timed_look_setting.sides_of(case.conveyor, is_facing_tail=facing_tail),
        "turn_s": timed_look_setting.turn_s_of(case.conveyor),
    }
    if request.method == "GET":
        context["form"] = TapsForm(initial={"client_id": uuid.uuid4()})
        return render(request, _TAPPING, context)
    form = TapsForm(request.POST, is_facing_tail=facing_tail)
    context["form"] = form
    if not form.is_valid():
        return render(request, _TAPPING, context, status=400)
    taps, duration_s = form.cleaned_data["read"]
    try:
        row = service.record_taps(
            case_id=case.pk,
            post=setting.post(form.cleaned_data["note"]),
            taps=taps,
            duration_s=duration_s,
            cautions_read=True,
            by=access.person_of(request),
            now=timezone.now(),
            client_id=form.client_id_kept(),
        )
    except DomainError as refusal:
        form.add_error("taps", str(refusal))
        return render(request, _TAPPING, context, status=409)
    return _kept(request, row)


@require_http_methods(["GET", "POST"])
@needs(Permission.WALK_DOWN)
def timed_look_sensor(request: HttpRequest, number: str) -> HttpResponse:
    case = case_asked(request, number)
    if request.method == "GET":
        initial = request.GET.dict() | {"client_id": uuid.uuid4()}
        form = SensorForm(initial=initial, **_about(case))
        return render(request, _SENSOR, _around(case) | {"form": form})
    with timezone.override(case.conveyor.plant.zone_info):
        form = SensorForm(request.POST, request.FILES, **_about(case))
        is_valid = form.is_valid()
    if not is_valid:
        return render(request, _SENSOR, _around(case) | {"form": form}, status=400)
    try:
        row = _record_file(request, case, form)
    except service.SensorFileRefused as refusal:
        form.add_error("file", str(refusal))
        return render(request, _SENSOR, _around(case) | {"form": form}, status=400)
    except DomainError as refusal:
        context = _around(case) | {"form": form, "refusal": str(refusal)}
        return render(request, _SENSOR, context, status=409)
    return _kept(request, row)


def _record_file(request: HttpRequest, case: Case, form: SensorForm) -> TimedLook:
    filled = form.cleaned_data
    file = filled["file"]
    return service.record_sensor_file(
        case_id=case.pk,
        post=form.post(filled["note"], started_at=filled["started_at"]),
        content=file.read(),
        name=file.name,
        plus_is_left=filled["plus_is"] == "left",
        cautions_read=True,
        by=access.person_of(request),
        now=timezone.now(),
        client_id=filled["client_id"],
    )


def _kept(request: HttpRequest, row: TimedLook) -> HttpResponse:
    messages.success(request, _("Kept. The diagnosis takes it into account."))
    return redirect("timed-look", row.pk)


@require_safe
@needs(Permission.SEE)
def timed_looks(request: HttpRequest, number: str) -> HttpResponse:
    case = case_asked(request, number)
    rows = TimedLook.objects.filter(case=case).select_related("made_by")
    rows = rows.defer("samples", "taps")
    page = Paginator(rows, _ROWS).get_page(request.GET.get("page"))
    return render(request, "diagnostics/timed/list.html", _around(case) | {"page": page})


@require_safe
@needs(Permission.SEE)
def timed_look(request: HttpRequest, pk: int) -> HttpResponse:
    row = _look_asked(request, pk)
    read = read_look(row)
    picture = chart_files.with_file(request, timed_look_pages.picture_of(row, read))
    context = {
        "look": row,
        "case": row.case,
        "conveyor": row.case.conveyor,
        "plant": row.case.conveyor.plant,
        "read": read,
        "picture": picture,
    }
    return chart_files.file_asked(request, [picture]) or render(
        request, "diagnostics/timed/look.html", context
    )


@require_safe
@needs(Permission.SEE)
def timed_look_file(request: HttpRequest, pk: int) -> HttpResponse:
    row = _look_asked(request, pk)
    if not row.file:
        raise Http404
    try:
        file = row.file.open("rb")
    except FileNotFoundError:
        raise Http404 from None
    # Always to be taken away, never shown: its content is somebody else's.
    answer = FileResponse(
        file, as_attachment=True, filename=row.file_to_take, content_type="text/csv"
    )
    return cast(HttpResponse, answer)


@require_POST
@needs(Permission.WALK_DOWN)
def timed_look_counts(request: HttpRequest, pk: int) -> HttpResponse:
    row = _look_asked(request, pk)
    counts = counts_asked(request)
    try:
        row = service.count_timed_look(
            timed_look_id=row.pk, case_id=row.case_id, counts=counts, now=timezone.now()
        )
    except DomainError as refusal:
        messages.error(request, str(refusal))
        return redirect("timed-look", row.pk)
    said = _("Taken back. It counts no more.") if row.taken_back_at else _("It counts again.")
    messages.success(request, said)
    return redirect("timed-look", row.pk)


def _look_asked(request: HttpRequest, pk: int) -> TimedLook:
    rows = TimedLook.objects.select_related("case__conveyor__plant", "made_by")
    return access.one_visible(rows, request.user, pk=pk)


def _about(case: Case) -> dict[str, Any]:
    return {
        "route": timed_look_setting.route_along(case.conveyor),
        "is_reversing": case.conveyor.is_reversing,
    }


def _around(case: Case) -> dict[str, Any]:
    return {
        "case": case,
        "conveyor": case.conveyor,
        "plant": case.conveyor.plant,
        "cautions": walking_cautions(case.conveyor.plant_id),
        "route": timed_look_setting.route_along(case.conveyor),
    }
