"""Calendars read for outage windows: sent, looked at, taken in."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.models import Plant
from plant.roles import Permission
from workorders.calendar_forms import CalendarFileForm, TakeInForm
from workorders.calendar_words import CHANGE_WORDS, refused_words
from workorders.models import CalendarFile
from workorders.selectors.outages.calendars import Preview
from workorders.services.outages import calendars as service
from workorders.services.outages.weighing import AsksFirst
from workorders.views.asking import plant_asked, posted, seen

_FILES, _ROWS, _REFUSED = 10, 25, 50


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def calendars(request: HttpRequest, plant_code: str) -> HttpResponse:
    plant = plant_asked(request, plant_code)
    if request.method == "GET":
        return _calendars(request, plant, CalendarFileForm(plant=plant))
    form = CalendarFileForm(request.POST, request.FILES, plant=plant)
    if not form.is_valid():
        return _calendars(request, plant, form, status=400)
    file = form.cleaned_data["file"]
    try:
        sent = service.send_calendar(
            plant=plant,
            file_name=file.name,
            content=file.read(),
            calendar_name=form.cleaned_data["calendar_name"],
            conveyors=list(form.cleaned_data["conveyors"]),
            by=access.person_of(request),
            now=timezone.now(),
        )
    except DomainError as refusal:
        form.add_error("file", str(refusal))
        return _calendars(request, plant, form, status=400)
    return redirect("calendar", sent.pk)


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def calendar(request: HttpRequest, pk: int) -> HttpResponse:
    """What would be different; sent back, it is taken in."""
    rows = CalendarFile.objects.select_related("plant", "sent_by", "taken_by")
    sent = access.one_visible(rows.prefetch_related("conveyors"), request.user, pk=pk)
    try:
        preview = service.look_at(sent, timezone.now())
    except DomainError as refusal:
        messages.error(request, str(refusal))
        return redirect("calendars-of", sent.plant.code)
    form = TakeInForm(
        posted(request), has_refused=bool(preview.refused), initial={"mark": preview.mark}
    )
    if request.method == "GET" or not form.is_valid():
        return _calendar(request, sent, preview, form, status=400 if form.errors else 200)
    return _taken(request, sent, preview, form)


def _taken(
    request: HttpRequest, sent: CalendarFile, preview: Preview, form: TakeInForm
) -> HttpResponse:
    try:
        service.take_in(
            calendar_id=sent.pk,
            mark=form.cleaned_data["mark"],
            leaves_refused=form.cleaned_data.get("leaves_refused", False),
            by=access.person_of(request),
            now=timezone.now(),
            seen=seen(request),
        )
    except DomainError as refusal:
        asks = refusal.consequences if isinstance(refusal, AsksFirst) else None
        # What was ticked stays; what it is compared with is shown, and meant, anew.
        form.data = {**request.POST.dict(), "mark": preview.mark}
        told = {"refusal": str(refusal), "asks": asks}
        return _calendar(request, sent, preview, form, status=409, **told)
    messages.success(
        request, _("The calendar %(name)s is taken in.") % {"name": sent.calendar_name}
    )
    return redirect("windows-of", sent.plant.code)


def _calendars(
    request: HttpRequest, plant: Plant, form: CalendarFileForm, *, status: int = 200
) -> HttpResponse:
    rows = CalendarFile.objects.filter(plant=plant).select_related("sent_by").defer("text")
    context = {
        "plant": plant,
        "form": form,
        "page": Paginator(rows, _FILES).get_page(request.GET.get("page")),
    }
    return render(request, "workorders/outages/calendars.html", context, status=status)


def _calendar(
    request: HttpRequest,
    sent: CalendarFile,
    preview: Preview,
    form: TakeInForm,
    *,
    status: int,
    **more: Any,
) -> HttpResponse:
    page = Paginator(preview.differing, _ROWS).get_page(request.GET.get("page"))
    context = {
        "sent": sent,
        "plant": sent.plant,
        "form": form,
        "counts": [(CHANGE_WORDS[change], count) for change, count in preview.counts.items()],
        "until": preview.until,
        "refused": [(one.name, refused_words(one)) for one in preview.refused[:_REFUSED]],
        "refused_more": max(0, len(preview.refused) - _REFUSED),
        "page": page,
        "changes": [(CHANGE_WORDS[one.change], one) for one in page],
        **more,
    }
    return render(request, "workorders/outages/calendar.html", context, status=status)
