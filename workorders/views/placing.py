"""Giving an order its place: by a form, by the sheet's own script, off again, pinned."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from plant import access
from plant.access import needs
from plant.errors import DomainError
from plant.roles import Permission
from workorders.forms import VersionForm
from workorders.models import WorkOrder
from workorders.order_states import OrderState
from workorders.selectors.place_weighing import weigh_place
from workorders.services import placing, sheet_moves
from workorders.services.placing import Place
from workorders.services.sheet_moves import PlaceClashes
from workorders.sheet_forms import DrawnPlaceForm, PlaceForm
from workorders.views import sheet_moves_made
from workorders.views.sheet_answers import (
    answer,
    first_place,
    refused,
    sheet_address,
    stands_words,
    wrong,
)
from workorders.views.sheet_moves_made import Stood

_MOVABLE = {OrderState.APPROVED, OrderState.SCHEDULED}


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def order_place(request: HttpRequest, number: str) -> HttpResponse:
    order = _order(request, number)
    now = timezone.now()
    context: dict[str, Any] = {"order": order, "may_move": order.state in _MOVABLE}
    # Times are typed in the plant's own zone.
    with timezone.override(order.conveyor.plant.zone_info):
        if request.method != "POST":
            form = PlaceForm(initial=first_place(order, now), order=order, now=now)
            return _form_page(request, context, form)
        form = PlaceForm(request.POST, order=order, now=now)
        if not form.is_valid():
            return _form_page(request, context, form, status=400)
        try:
            _put(request, order, form)
        except DomainError as refusal:
            context |= {"refusal": refused(order, refusal)}
            if isinstance(refusal, PlaceClashes):
                context |= {"clashes": refusal.clashes}
            order.refresh_from_db(fields=["version", "state"])
            # Pressing again now means: having seen how it stands.
            typed = {**request.POST.dict(), "version": order.version, "all_the_same": ""}
            form = PlaceForm(typed, order=order, now=now)
            return _form_page(request, context, form, status=409)
    return redirect(sheet_address(request, order))


@require_POST
@needs(Permission.PLAN_ORDER)
def order_place_drawn(request: HttpRequest, number: str) -> JsonResponse:
    order = _order(request, number)
    form = DrawnPlaceForm(request.POST, order=order)
    if not form.is_valid():
        return wrong(form)
    try:
        order = _put(request, order, form)
    except DomainError as refusal:
        more = {"clashes": refusal.clashes} if isinstance(refusal, PlaceClashes) else {}
        told = {"refusal": refused(order, refusal), "code": refusal.code, **more}
        return JsonResponse(told, status=409)
    return JsonResponse({"words": stands_words(order), "version": order.version})


@require_POST
@needs(Permission.PLAN_ORDER)
def order_place_weighed(request: HttpRequest, number: str) -> JsonResponse:
    """What stands against a place, asked while a bar is carried there; changes nothing."""
    order = _order(request, number)
    form = DrawnPlaceForm(request.POST, order=order)
    if not form.is_valid():
        return wrong(form)
    place = form.place()
    now = timezone.now()
    try:
        placing.check_place(order, place, now)
    except DomainError as refusal:
        # What would be refused is not weighed: a bar drawn over a century would take minutes.
        return JsonResponse({"clashes": [str(refusal)]})
    weighed = weigh_place(
        order,
        window=place.window,
        crew=place.crew,
        starts_at=place.starts_at,
        ends_at=place.ends_at,
        now=now,
    )
    return JsonResponse({"clashes": weighed.words()})


@require_POST
@needs(Permission.PLAN_ORDER)
def order_take_off(request: HttpRequest, number: str) -> HttpResponse:
    order = _order(request, number)
    form = VersionForm(request.POST)
    if not form.is_valid():
        return wrong(form)
    stood = Stood.of(order)
    try:
        order = placing.take_off(
            order_id=order.pk,
            by=access.person_of(request),
            now=timezone.now(),
            version=form.cleaned_data["version"],
        )
    except DomainError as refusal:
        return answer(request, order, refusal=refusal)
    sheet_moves_made.remember(request, stood, order)
    told = _("%(number)s is off the sheet and waits below for a place.")
    return answer(request, order, words=told % {"number": order.number})


@require_POST
@needs(Permission.PLAN_ORDER)
def order_pin(request: HttpRequest, number: str) -> HttpResponse:
    order = _order(request, number)
    form = VersionForm(request.POST)
    if not form.is_valid():
        return wrong(form)
    before = order.version
    is_pinned = request.POST.get("pinned") == "1"
    try:
        order = placing.pin(
            order_id=order.pk,
            is_pinned=is_pinned,
            by=access.person_of(request),
            now=timezone.now(),
            version=form.cleaned_data["version"],
        )
    except DomainError as refusal:
        return answer(request, order, refusal=refusal)
    sheet_moves_made.follow_version(request, order, before)
    told = _("%(number)s is pinned.") if is_pinned else _("%(number)s is pinned no more.")
    return answer(request, order, words=told % {"number": order.number})


def _put(request: HttpRequest, order: WorkOrder, form: PlaceForm | DrawnPlaceForm) -> WorkOrder:
    """Place it and remember where it stood; refusals go through."""
    place: Place = form.place()
    stood = Stood.of(order)
    order = sheet_moves.put(
        order_id=order.pk,
        place=place,
        by=access.person_of(request),
        now=timezone.now(),
        version=form.cleaned_data["version"],
        all_the_same=form.cleaned_data["all_the_same"],
    )
    sheet_moves_made.remember(request, stood, order)
    if isinstance(form, PlaceForm):
        messages.success(request, stands_words(order))
    return order


def _form_page(
    request: HttpRequest, context: dict[str, Any], form: PlaceForm, status: int = 200
) -> HttpResponse:
    order = context["order"]
    context = {**context, "form": form, "back": sheet_address(request, order)}
    return render(request, "workorders/sheet/place.html", context, status=status)


def _order(request: HttpRequest, number: str) -> WorkOrder:
    rows = WorkOrder.objects.select_related("conveyor__plant", "crew", "window")
    return access.one_visible(rows, request.user, number=number)
