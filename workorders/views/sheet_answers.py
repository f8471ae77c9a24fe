"""What a move on the outage sheet is answered with: a page for people, words for the script."""

from datetime import datetime, timedelta
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.dateparse import parse_date
from django.utils.translation import gettext as _

from plant.errors import DomainError
from workorders.models import OutageWindow, WorkOrder
from workorders.selectors.last_change import last_change_words
from workorders.selectors.outage_plan import minutes_wanted, span_of
from workorders.services.locking import OrderChangedMeanwhile
from workorders.span_words import span_words


def wants_words(request: HttpRequest) -> bool:
    """The sheet's script asks for JSON; a form sent by hand does not."""
    return request.headers.get("Accept", "").startswith("application/json")


def answer(
    request: HttpRequest, order: WorkOrder, *, words: str = "", refusal: DomainError | None = None
) -> HttpResponse:
    """After a button: on the sheet again, with what was done or why not."""
    told = refused(order, refusal) if refusal else words
    if wants_words(request):
        if refusal:
            return JsonResponse({"refusal": told, "code": refusal.code}, status=409)
        return JsonResponse({"words": told, "version": order.version})
    (messages.error if refusal else messages.success)(request, told)
    return redirect(sheet_address(request, order))


def wrong(form: forms.Form) -> JsonResponse:
    """Nothing a person typed: the fields and what is wrong with each."""
    fields = {name: [str(one) for one in errors] for name, errors in form.errors.items()}
    told = _("That place cannot be read: %(fields)s.") % {"fields": ", ".join(fields)}
    return JsonResponse({"refusal": told, "fields": fields}, status=400)


def refused(order: WorkOrder, refusal: DomainError) -> str:
    """The refusal; when somebody was quicker, also who and what."""
    if isinstance(refusal, OrderChangedMeanwhile):
        return f"{refusal} {last_change_words(order)}"
    return str(refusal)


def stands_words(order: WorkOrder) -> str:
    crew = order.crew
    assert crew is not None
    assert order.planned_for is not None
    assert order.planned_until is not None
    span = span_of(order.planned_for, order.planned_until)
    times = span_words(span, order.conveyor.plant.zone_info)
    told = {"number": order.number, "times": times, "crew": crew.name}
    return _("%(number)s stands %(times)s with %(crew)s.") % told


def sheet_address(request: HttpRequest, order: WorkOrder) -> str:
    """The sheet as it was left, or where the order stands."""
    plant = order.conveyor.plant
    first = parse_first(request)
    if first is None and order.planned_for:
        first = f"{order.planned_for.astimezone(plant.zone_info):%Y-%m-%d}"
    asked = {"plant": plant.code, **({"first": first} if first else {})}
    return f"{reverse('outage-sheet')}?{urlencode(asked)}"


def parse_first(request: HttpRequest) -> str | None:
    """The first day in the address, when it is one."""
    try:
        day = parse_date(request.GET.get("first", ""))
    except ValueError:
        return None
    return day.isoformat() if day else None


def first_place(order: WorkOrder, now: datetime) -> dict[str, Any]:
    """Where it stands; without a place the next outage of its belt, at its beginning."""
    initial: dict[str, Any] = {"version": order.version}
    if order.planned_for and order.crew_id:
        return initial | {
            "window": order.window_id,
            "crew": order.crew_id,
            "starts_at": order.planned_for,
            "ends_at": order.planned_until,
        }
    window = None
    if order.needs_isolation:
        coming = OutageWindow.objects.standing().filter(conveyors=order.conveyor)
        window = coming.filter(starts_at__gt=now).first()
    if window is None:
        return initial
    ends_at = window.starts_at + timedelta(minutes=minutes_wanted(order))
    return initial | {"window": window.pk, "starts_at": window.starts_at, "ends_at": ends_at}
