"""Outage windows: the list, one of them, and what a planner does with it."""

from typing import Any

from django import forms
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from plant import access
from plant.access import needs
from plant.models import Plant
from plant.roles import Permission
from plant.templatetags.sheet import plant_time
from workorders.models import OutageWindow
from workorders.outage_forms import CallOffForm, WindowFilterForm, WindowForm
from workorders.selectors.outages import broken
from workorders.selectors.outages import windows as selector
from workorders.services.outages import windows as service
from workorders.views.asking import (
    AskPage,
    answer,
    no_plant,
    plant_asked,
    posted,
    seen,
    version_seen,
)

_ROWS = 25


@require_safe
@needs(Permission.SEE)
def windows(request: HttpRequest) -> HttpResponse:
    plant = access.plants_of(request.user).first()
    if plant is None:
        return no_plant(request, _("Windows and crews"), "windows")
    return _list(request, plant)


@require_safe
@needs(Permission.SEE)
def windows_of(request: HttpRequest, plant_code: str) -> HttpResponse:
    return _list(request, plant_asked(request, plant_code))


def _list(request: HttpRequest, plant: Plant) -> HttpResponse:
    now = timezone.now()
    form = WindowFilterForm(request.GET, plant=plant)
    wanted = form.wanted()
    rows = selector.windows_wanted(OutageWindow.objects.filter(plant=plant), wanted, now)
    page = Paginator(rows, _ROWS).get_page(request.GET.get("page"))
    broken.count_unfit(plant, list(page), now)
    context = {
        "plant": plant,
        "plants": list(access.plants_of(request.user)),
        "form": form,
        "wanted": wanted,
        "is_filtered": wanted != selector.WindowsWanted(),
        "page": page,
        "may_plan": access.may(request.user, Permission.PLAN_ORDER),
    }
    return render(request, "workorders/outages/windows.html", context)


@require_safe
@needs(Permission.SEE)
def window(request: HttpRequest, pk: int) -> HttpResponse:
    row = _window(request, pk)
    now = timezone.now()
    context = {
        "window": row,
        "plant": row.plant,
        "orders": broken.orders_of_window(row, now),
        "is_over": row.ends_at <= now,
        "has_moved": row.starts_at != row.first_starts_at,
        "may_plan": access.may(request.user, Permission.PLAN_ORDER),
    }
    return render(request, "workorders/outages/window.html", context)


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def window_new(request: HttpRequest, plant_code: str) -> HttpResponse:
    plant = plant_asked(request, plant_code)
    back = (reverse("windows-of", args=[plant.code]), _("Windows"))
    page = AskPage(_("A new window"), _("Put it in"), back, plant)
    with timezone.override(plant.zone_info):
        form = WindowForm(posted(request), plant=plant)

        def save() -> str:
            made = service.add_window(
                plant=plant,
                wanted=form.wanted(),
                by=access.person_of(request),
                now=timezone.now(),
                seen=seen(request),
            )
            messages.success(request, _("The window stands."))
            return reverse("window", args=[made.pk])

        return answer(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def window_move(request: HttpRequest, pk: int) -> HttpResponse:
    row = _window(request, pk)
    says = _("Work that is placed in it keeps its time; what no longer fits is shown first.")
    page = _page(row, _("Move or change the window"), _("Keep"), says)
    initial = {
        "name": row.name,
        "conveyors": list(row.conveyors.all()),
        "starts_at": row.starts_at,
        "ends_at": row.ends_at,
    }
    with timezone.override(row.plant.zone_info):
        form = WindowForm(posted(request), plant=row.plant, initial=initial)

        def save() -> str:
            service.change_window(wanted=form.wanted(), **_asked(request, row))
            messages.success(request, _("Kept."))
            return reverse("window", args=[row.pk])

        return answer(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def window_call_off(request: HttpRequest, pk: int) -> HttpResponse:
    row = _window(request, pk)
    says = _(
        "Work that is placed in it keeps its place and is marked until somebody moves it. "
        "The window can be taken up again."
    )
    page = _page(row, _("Call the window off"), _("Call it off"), says)
    form = CallOffForm(posted(request))

    def save() -> str:
        service.call_off(why=form.cleaned_data["why"], **_asked(request, row))
        messages.success(request, _("The window is called off."))
        return reverse("window", args=[row.pk])

    return answer(request, form, page, save)


@require_http_methods(["GET", "POST"])
@needs(Permission.PLAN_ORDER)
def window_take_up(request: HttpRequest, pk: int) -> HttpResponse:
    row = _window(request, pk)
    page = _page(row, _("Take the window up again"), _("Take it up again"), "")

    def save() -> str:
        service.take_up_again(**_asked(request, row))
        messages.success(request, _("The window takes place."))
        return reverse("window", args=[row.pk])

    return answer(request, forms.Form(posted(request)), page, save)


def _asked(request: HttpRequest, row: OutageWindow) -> dict[str, Any]:
    return {
        "window_id": row.pk,
        "version": version_seen(request),
        "by": access.person_of(request),
        "now": timezone.now(),
        "seen": seen(request),
    }


def _page(row: OutageWindow, heading: str, button: str, says: str) -> AskPage:
    back = (reverse("window", args=[row.pk]), row.name)
    return AskPage(heading, button, back, row.plant, row.version, says, facts=window_facts)


def window_facts(row: OutageWindow) -> list[tuple[str, str]]:
    return [
        (_("Name"), row.name),
        (_("From"), plant_time(row.starts_at, row.plant)),
        (_("Until"), plant_time(row.ends_at, row.plant)),
        (_("Conveyors"), ", ".join(one.tag for one in row.conveyors.all())),
    ]


def _window(request: HttpRequest, pk: int) -> OutageWindow:
    rows = OutageWindow.objects.select_related("plant", "series", "kept_by")
    return access.one_visible(rows.prefetch_related("conveyors"), request.user, pk=pk)
